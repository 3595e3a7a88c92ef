/* Inside the forecast: what could be done now. */
#ifndef CORE_COOLING_ADVICE_INSIDE_H
#define CORE_COOLING_ADVICE_INSIDE_H

#include "core/cooling/outlook_inside.h"

/* Room for a second morning and its scene; the caller's, since it is large. */
struct advice_room {
    struct morning morning;
    struct scene scene;
};

/* Fills out->advice from a scene that has been run and the outlooks of its batches. */
void advice_make(const struct scene *scene, const struct outlook *outlook, struct advice_room *room,
                 struct forecast *out);

#endif
