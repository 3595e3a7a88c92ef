#include "tests/scratch.h"

#include <dirent.h>
#include <ftw.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "tests/support.h"

static char folder[64];

void scratch_open(void)
{
    snprintf(folder, sizeof folder, "/tmp/springhouse-test-XXXXXX");
    ck_assert(mkdtemp(folder) != NULL);
}

static int remove_one(const char *path, const struct stat *st, int type, struct FTW *walk)
{
    (void)st;
    (void)type;
    (void)walk;
    return remove(path);
}

void scratch_close(void)
{
    nftw(folder, remove_one, 8, FTW_DEPTH | FTW_PHYS);
}

const char *scratch_path(const char *name)
{
    static char paths[8][128];
    static int next;
    char *path = paths[next++ % 8];
    snprintf(path, sizeof paths[0], "%s/%s", folder, name);
    return path;
}

int scratch_files(void)
{
    int n = 0;
    DIR *d = opendir(folder);
    ck_assert(d != NULL);
    for (struct dirent *e = readdir(d); e != NULL; e = readdir(d))
        n += strcmp(e->d_name, ".") != 0 && strcmp(e->d_name, "..") != 0;
    closedir(d);
    return n;
}
