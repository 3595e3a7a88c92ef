#include "core/base/source.h"

#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#include "assets/asset.h"

/* Reads the cell at *p into dst and moves *p past its comma. The table is ours: plain cells, quoted where
 * they hold a comma, no line breaks inside; source_test reads it with the full parser as well. */
static void read_cell(const char **p, char *dst, size_t size)
{
    bool quoted = **p == '"';
    size_t used = 0;
    if (quoted)
        (*p)++;
    for (;; (*p)++) {
        if (quoted && (*p)[0] == '"' && (*p)[1] != '"') {
            (*p)++;
            break;
        }
        if (quoted && (*p)[0] == '"')
            (*p)++;
        if (**p == '\0' || **p == '\n' || (!quoted && **p == ','))
            break;
        if (used + 1 < size)
            dst[used++] = **p;
    }
    dst[used] = '\0';
    if (**p == ',')
        (*p)++;
}

int source_find(const char *id, struct source *out)
{
    for (const char *p = asset_text("sources.csv"); *p != '\0';) {
        read_cell(&p, out->id, sizeof out->id);
        if (strcmp(out->id, id) == 0) {
            read_cell(&p, out->title, sizeof out->title);
            read_cell(&p, out->edition, sizeof out->edition);
            read_cell(&p, out->section, sizeof out->section);
            read_cell(&p, out->mark, sizeof out->mark);
            return 0;
        }
        p = strchr(p, '\n');
        if (p == NULL)
            break;
        p++;
    }
    return -1;
}

const char *source_text(const char *id, char *buf, size_t size)
{
    struct source s;
    if (source_find(id, &s) != 0)
        (void)snprintf(buf, size, "%s", id);
    else
        (void)snprintf(buf, size, "%s%s%s%s%s", s.title, s.edition[0] != '\0' ? ", " : "", s.edition,
                       s.section[0] != '\0' ? ", " : "", s.section);
    return buf;
}
