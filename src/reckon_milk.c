/* Topics of core/milk. */
#include "src/reckon.h"

const struct reckon_topic reckon_milk[] = {
    {0},
};
