#include "assets/asset.h"

#include <string.h>

const struct asset *asset_find(const char *name)
{
    for (const struct asset *a = asset_table; a->name != NULL; a++)
        if (strcmp(a->name, name) == 0)
            return a;
    return NULL;
}

const char *asset_text(const char *name)
{
    const struct asset *a = asset_find(name);
    return a == NULL ? "" : (const char *)a->bytes;
}
