/* The invented dairy of the demonstration: four cows at different stages, eighteen months of mornings, one
 * case of mastitis with its hold, one cow that was bought, and a morning half done. Names and place are made
 * up. The same seed gives the same dairy. */
#ifndef DEMO_DAIRY_H
#define DEMO_DAIRY_H

#include <stdint.h>

#include "core/day/dairy.h"

/* The moment in the middle of the morning at which the demonstration opens. */
struct instant demo_now(void);

/* Fills an empty file, open for writing, through the acts that a keeper uses. */
int demo_fill(struct dairy *d, uint64_t seed, struct fail *f);

#endif
