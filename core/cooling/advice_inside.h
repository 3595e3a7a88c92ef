/* Inside the forecast: what could be done now. */
#ifndef CORE_COOLING_ADVICE_INSIDE_H
#define CORE_COOLING_ADVICE_INSIDE_H

#include "core/cooling/outlook_inside.h"

/* Fills out->advice from a scene that has been run and the outlooks of its batches. */
void advice_make(const struct scene *scene, const struct outlook *outlook, struct forecast *out);

#endif
