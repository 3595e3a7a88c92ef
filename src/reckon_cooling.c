/* Topics of core/cooling. */
#include "src/reckon.h"

const struct reckon_topic reckon_cooling[] = {
    {0},
};
