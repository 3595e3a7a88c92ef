/* A model of a disk that loses its power. It is fed what the recorder wrote down, and can at any moment be
 * asked what it might hold if the power went just then: what was synced is there; of the writes since then
 * each sector of 512 bytes may or may not be, in any order. Names (files made, renamed, removed) follow one
 * of two rules. No sector is ever half written, and nothing that was synced is lost. */
#ifndef TESTS_FAULTS_DISK_H
#define TESTS_FAULTS_DISK_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "tests/faults/record.h"
#include "tests/stream.h"

enum disk_names {
    DISK_ORDERED, /* names change in order, and any sync makes all changes so far sure: a journalling file
                     system */
    DISK_LOOSE,   /* each change may be lost by itself until its folder is synced: all that POSIX promises */
};

struct disk;

struct disk *disk_new(enum disk_names names);
void disk_free(struct disk *disk);

/* What happened next. The bytes of writes are borrowed: they must live as long as the disk. */
void disk_apply(struct disk *disk, const struct record_head *head, const char *bytes);

/* Fills an empty folder with what might be left, as the stream decides. */
void disk_crash(const struct disk *disk, struct stream *chance, const char *folder);

/* A recording read from its file: records one after another. */
struct recording {
    char *bytes;
    size_t size;
};
bool recording_read(struct recording *r, const char *path);
void recording_free(struct recording *r);

/* Takes the next record; *at begins at 0. False at the end. */
bool recording_next(const struct recording *r, size_t *at, struct record_head *head, const char **bytes);

#endif
