/* What the recorder writes down and the disk model reads: every call that changes what is on disk under one
 * folder, in order, with its bytes, and between them what the program has promised by then. */
#ifndef TESTS_FAULTS_RECORD_H
#define TESTS_FAULTS_RECORD_H

#include <stdint.h>

enum record_op {
    RECORD_OPEN = 'O',     /* text: path; place 1: it was cut to nothing */
    RECORD_WRITE = 'W',    /* place, bytes */
    RECORD_TRUNCATE = 'T', /* place: the new length */
    RECORD_SYNC = 'S',
    RECORD_FOLDER = 'D',  /* a folder was synced; text: path */
    RECORD_RENAME = 'R',  /* text: both paths, each ended by a zero byte */
    RECORD_UNLINK = 'U',  /* text: path; of a file or a folder */
    RECORD_MAKE = 'M',    /* a folder was made; text: path */
    RECORD_PROMISE = 'P', /* text: what the program has said is done */
};

/* Paths are below the folder, without it. */
struct record_head {
    int32_t op;
    int32_t size; /* of the bytes or text that follow */
    int64_t file; /* one number for each opening of a file */
    int64_t place;
};

#endif
