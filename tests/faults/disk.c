#include "tests/faults/disk.h"

#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { SECTOR = 512, FILES_MAX = 2048, NAMES_MAX = 2048, CHANGES_MAX = 4096, PATH_ROOM = 256 };

/* A file apart from its name: what is surely on the disk, and the writes since. */
struct content {
    char *bytes;
    size_t size, room;
};

struct pending {
    struct record_head head;
    const char *bytes;
};

struct file {
    struct content sure;
    struct pending *pending;
    size_t pending_count, pending_room;
    bool folder;
};

struct name {
    char path[PATH_ROOM];
    int file;
};

struct names {
    struct name name[NAMES_MAX];
    size_t count;
};

/* A change of names that is not sure yet. */
struct change {
    enum record_op op;
    char path[PATH_ROOM], to[PATH_ROOM];
    int file;
};

struct disk {
    enum disk_names rule;
    struct file file[FILES_MAX];
    size_t files;
    struct names seen, sure; /* as the program sees them, and as the disk surely has them */
    struct change change[CHANGES_MAX];
    size_t changes;
    struct {
        int64_t number;
        int file;
    } opened[FILES_MAX]; /* a ring: the recorder's numbers of the latest openings */
    size_t openings;
};

static void stop(const char *what)
{
    fprintf(stderr, "disk model: %s\n", what);
    exit(2);
}

/* ---- contents ---- */

static void content_reach(struct content *c, size_t size)
{
    if (size > c->room) {
        size_t room = c->room == 0 ? 65536 : c->room;
        while (room < size)
            room *= 2;
        c->bytes = realloc(c->bytes, room);
        if (c->bytes == NULL)
            stop("out of memory");
        c->room = room;
    }
    if (size > c->size) {
        memset(c->bytes + c->size, 0, size - c->size);
        c->size = size;
    }
}

static void content_write(struct content *c, size_t place, const char *bytes, size_t size)
{
    content_reach(c, place + size);
    memcpy(c->bytes + place, bytes, size);
}

static void content_set_length(struct content *c, size_t size)
{
    content_reach(c, size);
    c->size = size;
}

static void content_take(struct content *c, const struct pending *p)
{
    if (p->head.op == RECORD_WRITE)
        content_write(c, (size_t)p->head.place, p->bytes, (size_t)p->head.size);
    else
        content_set_length(c, (size_t)p->head.place);
}

/* Some sectors of one write. */
static void content_take_some(struct content *c, const struct pending *p, struct stream *chance)
{
    size_t size = (size_t)p->head.size, place = (size_t)p->head.place;
    for (size_t done = 0; done < size;) {
        size_t part = SECTOR - (place + done) % SECTOR;
        if (part > size - done)
            part = size - done;
        if (stream_below(chance, 2) == 0)
            content_write(c, place + done, p->bytes + done, part);
        done += part;
    }
}

/* Nothing since the last sync, all, the first part, or any sectors of it. */
static struct content content_left(const struct file *f, struct stream *chance)
{
    struct content c = {0};
    enum { NOTHING, ALL, FIRST, ANY } how = stream_below(chance, 4);
    size_t some = f->pending_count == 0 ? 0 : (size_t)stream_below(chance, (int)f->pending_count + 1);
    content_write(&c, 0, f->sure.bytes == NULL ? "" : f->sure.bytes, f->sure.size);
    for (size_t i = 0; i < f->pending_count && how != NOTHING; i++) {
        const struct pending *p = &f->pending[i];
        if (how == ALL || (how == FIRST && i < some))
            content_take(&c, p);
        else if (how == ANY && p->head.op == RECORD_WRITE)
            content_take_some(&c, p, chance);
        else if (how == ANY && stream_below(chance, 2) == 0)
            content_take(&c, p);
    }
    return c;
}

/* ---- names ---- */

static int names_find(const struct names *n, const char *path)
{
    for (size_t i = 0; i < n->count; i++)
        if (strcmp(n->name[i].path, path) == 0)
            return (int)i;
    return -1;
}

static void names_remove(struct names *n, const char *path)
{
    int i = names_find(n, path);
    if (i >= 0)
        n->name[i] = n->name[--n->count];
}

static void names_put(struct names *n, const char *path, int file)
{
    names_remove(n, path);
    if (n->count == NAMES_MAX)
        stop("too many names");
    snprintf(n->name[n->count].path, PATH_ROOM, "%s", path);
    n->name[n->count++].file = file;
}

static bool is_below(const char *path, const char *folder)
{
    size_t length = strlen(folder);
    return strncmp(path, folder, length) == 0 && path[length] == '/';
}

/* A folder takes what is in it along. */
static void names_move(struct names *n, const char *from, const char *to)
{
    int i = names_find(n, from);
    if (i < 0)
        return; /* it had been lost already */
    int file = n->name[i].file;
    names_remove(n, from);
    names_put(n, to, file);
    for (size_t k = 0; k < n->count; k++)
        if (is_below(n->name[k].path, from)) {
            char moved[2 * PATH_ROOM];
            snprintf(moved, sizeof moved, "%s%s", to, n->name[k].path + strlen(from));
            snprintf(n->name[k].path, PATH_ROOM, "%.255s", moved);
        }
}

static void names_change(struct names *n, const struct change *c)
{
    if (c->op == RECORD_RENAME)
        names_move(n, c->path, c->to);
    else if (c->op == RECORD_UNLINK)
        names_remove(n, c->path);
    else
        names_put(n, c->path, c->file);
}

static void folder_of(const char *path, char folder[PATH_ROOM])
{
    snprintf(folder, PATH_ROOM, "%s", path);
    char *slash = strrchr(folder, '/');
    if (slash == NULL)
        folder[0] = '\0';
    else
        *slash = '\0';
}

/* Makes changes sure: those in one folder, or all (NULL). */
static void make_sure(struct disk *d, const char *folder)
{
    size_t kept = 0;
    for (size_t i = 0; i < d->changes; i++) {
        char in[PATH_ROOM];
        folder_of(d->change[i].path, in);
        if (folder == NULL || strcmp(in, folder) == 0)
            names_change(&d->sure, &d->change[i]);
        else
            d->change[kept++] = d->change[i];
    }
    d->changes = kept;
}

static void change_names(struct disk *d, enum record_op op, const char *path, const char *to, int file)
{
    if (d->changes == CHANGES_MAX)
        stop("too many changes of names");
    struct change *c = &d->change[d->changes++];
    c->op = op;
    c->file = file;
    snprintf(c->path, PATH_ROOM, "%s", path);
    snprintf(c->to, PATH_ROOM, "%s", to);
    names_change(&d->seen, c);
}

/* ---- what happens ---- */

struct disk *disk_new(enum disk_names names)
{
    struct disk *d = calloc(1, sizeof *d);
    if (d == NULL)
        stop("out of memory");
    d->rule = names;
    return d;
}

void disk_free(struct disk *d)
{
    for (size_t i = 0; i < d->files; i++) {
        free(d->file[i].sure.bytes);
        free(d->file[i].pending);
    }
    free(d);
}

static int new_file(struct disk *d, bool folder)
{
    if (d->files == FILES_MAX)
        stop("too many files");
    d->file[d->files].folder = folder;
    return (int)d->files++;
}

static void wait_for_sync(struct file *f, const struct record_head *head, const char *bytes)
{
    if (f->pending_count == f->pending_room) {
        f->pending_room = f->pending_room == 0 ? 64 : f->pending_room * 2;
        f->pending = realloc(f->pending, f->pending_room * sizeof *f->pending);
        if (f->pending == NULL)
            stop("out of memory");
    }
    f->pending[f->pending_count++] = (struct pending){*head, bytes};
}

static void open_file(struct disk *d, const struct record_head *head, const char *path)
{
    int i = names_find(&d->seen, path);
    int file = i >= 0 ? d->seen.name[i].file : new_file(d, false);
    if (i < 0)
        change_names(d, RECORD_OPEN, path, "", file);
    size_t slot = d->openings++ % FILES_MAX;
    d->opened[slot].number = head->file;
    d->opened[slot].file = file;
    if (head->place == 1) { /* cut to nothing */
        struct record_head cut = {RECORD_TRUNCATE, 0, head->file, 0};
        wait_for_sync(&d->file[file], &cut, NULL);
    }
}

static struct file *file_of(struct disk *d, int64_t number)
{
    for (size_t back = 1; back <= d->openings && back <= FILES_MAX; back++) {
        size_t slot = (d->openings - back) % FILES_MAX;
        if (d->opened[slot].number == number)
            return &d->file[d->opened[slot].file];
    }
    stop("a file that was never opened");
    return NULL;
}

static void sync_file(struct disk *d, struct file *f)
{
    for (size_t i = 0; i < f->pending_count; i++)
        content_take(&f->sure, &f->pending[i]);
    f->pending_count = 0;
    if (d->rule == DISK_ORDERED)
        make_sure(d, NULL);
}

void disk_apply(struct disk *d, const struct record_head *head, const char *bytes)
{
    switch ((enum record_op)head->op) {
    case RECORD_OPEN: open_file(d, head, bytes); return;
    case RECORD_WRITE:
    case RECORD_TRUNCATE: wait_for_sync(file_of(d, head->file), head, bytes); return;
    case RECORD_SYNC: sync_file(d, file_of(d, head->file)); return;
    case RECORD_FOLDER: make_sure(d, d->rule == DISK_ORDERED ? NULL : bytes); return;
    case RECORD_RENAME: change_names(d, RECORD_RENAME, bytes, bytes + strlen(bytes) + 1, -1); return;
    case RECORD_UNLINK: change_names(d, RECORD_UNLINK, bytes, "", -1); return;
    case RECORD_MAKE: change_names(d, RECORD_MAKE, bytes, "", new_file(d, true)); return;
    case RECORD_PROMISE: return;
    }
    stop("a record of no kind");
}

/* ---- what is left ---- */

static void names_left(const struct disk *d, struct stream *chance, struct names *left)
{
    size_t first = d->changes == 0 ? 0 : (size_t)stream_below(chance, (int)d->changes + 1);
    left->count = d->sure.count;
    memcpy(left->name, d->sure.name, d->sure.count * sizeof d->sure.name[0]);
    for (size_t i = 0; i < d->changes; i++)
        if (d->rule == DISK_ORDERED ? i < first : stream_below(chance, 2) == 0)
            names_change(left, &d->change[i]);
}

static void write_out(const char *path, const struct content *c)
{
    int fd = open(path, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0600);
    if (fd < 0)
        return; /* its folder is not there: it went with it */
    if (write(fd, c->bytes, c->size) != (ssize_t)c->size)
        stop("no room for what is left");
    (void)close(fd);
}

static int by_path(const void *a, const void *b)
{
    return strcmp(((const struct name *)a)->path, ((const struct name *)b)->path);
}

void disk_crash(const struct disk *d, struct stream *chance, const char *folder)
{
    static struct names left;
    names_left(d, chance, &left);
    qsort(left.name, left.count, sizeof left.name[0], by_path); /* folders come before what is in them */
    for (size_t i = 0; i < left.count; i++) {
        char path[2 * PATH_ROOM];
        const struct file *f = &d->file[left.name[i].file];
        snprintf(path, sizeof path, "%s/%s", folder, left.name[i].path);
        if (f->folder) {
            (void)mkdir(path, 0700);
            continue;
        }
        struct content c = content_left(f, chance);
        write_out(path, &c);
        free(c.bytes);
    }
}

/* ---- the recording ---- */

bool recording_read(struct recording *r, const char *path)
{
    struct stat st;
    int fd = open(path, O_RDONLY | O_CLOEXEC);
    *r = (struct recording){0};
    if (fd < 0 || fstat(fd, &st) != 0)
        return false;
    r->bytes = malloc((size_t)st.st_size + 1);
    while (r->bytes != NULL && r->size < (size_t)st.st_size) {
        ssize_t n = read(fd, r->bytes + r->size, (size_t)st.st_size - r->size);
        if (n <= 0)
            break;
        r->size += (size_t)n;
    }
    (void)close(fd);
    return r->bytes != NULL && r->size == (size_t)st.st_size;
}

void recording_free(struct recording *r)
{
    free(r->bytes);
    *r = (struct recording){0};
}

bool recording_next(const struct recording *r, size_t *at, struct record_head *head, const char **bytes)
{
    if (*at + sizeof *head > r->size)
        return false;
    memcpy(head, r->bytes + *at, sizeof *head);
    *bytes = r->bytes + *at + sizeof *head;
    *at += sizeof *head + (size_t)head->size;
    return *at <= r->size;
}
