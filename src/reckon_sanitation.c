/* Topics of core/sanitation. */
#include "src/reckon.h"

const struct reckon_topic reckon_sanitation[] = {
    {0},
};
