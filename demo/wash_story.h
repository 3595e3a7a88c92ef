/* What happened at the invented dairy's wash bench, day by day; dairy.c tells it. */
#ifndef DEMO_WASH_STORY_H
#define DEMO_WASH_STORY_H

struct demo_deed {
    const char *at, *act, *words[12];
};

/* In order of time, ended by a row whose `at` is NULL. */
extern const struct demo_deed demo_wash_story[];

#endif
