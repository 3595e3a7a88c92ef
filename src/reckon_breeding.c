/* Topics of core/breeding. */
#include "src/reckon.h"

const struct reckon_topic reckon_breeding[] = {
    {0},
};
