/* The sources that workings cite: assets/sources.csv, one row each (id, title, edition, section, mark, note).
 */
#ifndef CORE_BASE_SOURCE_H
#define CORE_BASE_SOURCE_H

#include <stddef.h>

struct source {
    char id[32];
    char title[200];
    char edition[80];
    char section[120];
    char mark[16]; /* "read", "derived" or "memory": how the figure got here */
};

/* Looks up `id`; returns 0, or -1 when there is none. Read from the compiled-in table, no allocation. */
int source_find(const char *id, struct source *out);

/* One line for people: "title, edition, section", or the id itself when it is unknown. Returns buf. */
const char *source_text(const char *id, char *buf, size_t size);

#endif
