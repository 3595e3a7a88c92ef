/* Files of assets/ compiled into the program, so that it runs from anywhere as one file. */
#ifndef ASSETS_ASSET_H
#define ASSETS_ASSET_H

#include <stddef.h>

struct asset {
    const char *name;           /* as in assets/, for instance "sources.csv" */
    const unsigned char *bytes; /* followed by a zero byte that size does not count */
    size_t size;
};

/* Every asset, ended by a row whose name is NULL. */
extern const struct asset asset_table[];

/* The asset of that name, or NULL. Borrowed, lives as long as the program. */
const struct asset *asset_find(const char *name);

/* Its text, zero-terminated, or "" if there is none of that name. */
const char *asset_text(const char *name);

#endif
