/* The schema is a list of scripts, applied in order; a new file gets them all, an old file those it lacks. */
#include "assets/asset.h"

#include <stdio.h>
#include <string.h>

#include "core/store/inside.h"

static const char *const scripts[] = {"schema-1.sql", "upgrade-2.sql", "upgrade-3.sql"};

_Static_assert(sizeof scripts / sizeof scripts[0] == STORE_VERSION, "one script for each version");

const char *schema_script(int version)
{
    return scripts[version - 1];
}

static int apply_script(struct store *s, int version, struct fail *f)
{
    char mark[64];
    (void)snprintf(mark, sizeof mark, "PRAGMA user_version = %d", version);
    return store_exec(s, asset_text(schema_script(version)), f) != 0 || store_exec(s, mark, f) != 0 ? -1 : 0;
}

static int apply_missing(struct store *s, struct fail *f)
{
    int64_t version = 0;
    /* Read again now that the file is ours: another program may have been quicker. */
    if (store_integer(s, "PRAGMA user_version", &version, f) != 0)
        return -1;
    for (int next = (int)version + 1; next <= STORE_VERSION; next++)
        if (apply_script(s, next, f) != 0)
            return -1;
    if (version == 0) {
        char mark[64];
        (void)snprintf(mark, sizeof mark, "PRAGMA application_id = %d", STORE_APPLICATION_ID);
        return store_exec(s, mark, f);
    }
    return 0;
}

/* "dairy.db" of version 1 is kept as "dairy.db.version-1" before anything is changed. */
static int keep_old_version(struct store *s, int64_t version, struct fail *f)
{
    char path[4200];
    (void)snprintf(path, sizeof path, "%s.version-%lld", s->path, (long long)version);
    return store_backup(s, path, f);
}

int schema_bring_up(struct store *s, struct fail *f)
{
    int64_t version = 0;
    if (store_integer(s, "PRAGMA user_version", &version, f) != 0)
        return -1;
    if (version == STORE_VERSION)
        return 0;
    if (version > 0 && keep_old_version(s, version, f) != 0)
        return -1;
    if (store_exec(s, "BEGIN IMMEDIATE", f) != 0)
        return -1;
    if (apply_missing(s, f) != 0) {
        store_rollback(s);
        return -1;
    }
    return store_commit(s, f);
}
