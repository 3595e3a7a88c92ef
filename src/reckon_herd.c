/* Topics of core/herd. */
#include "src/reckon.h"

const struct reckon_topic reckon_herd[] = {
    {0},
};
