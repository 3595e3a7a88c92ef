/* The one module that writes files other than the database: exports, sheets, backups, calendars. Everything
 * goes through open, write, fsync and rename, so that a power cut leaves the old file or the new one, never
 * half of either. */
#ifndef CORE_BASE_FILE_H
#define CORE_BASE_FILE_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/fail.h"

/* Longest text file that is read whole: a guard against being handed a disk image. */
#define FILE_READ_MAX ((size_t)64 * 1024 * 1024)

/* Reads a whole file; *text is allocated, ended by a zero byte that *size does not count, and is the caller's
 * to free(). Fails on anything that is not a regular file, or is larger than FILE_READ_MAX. */
int file_read(const char *path, char **text, size_t *size, struct fail *f);

/* A file being written beside its final place. */
struct file_writer {
    int fd;
    char path[4096];      /* where it will be */
    char temp_path[4128]; /* where it is until then: same folder, new name */
    bool stays;           /* it is in a new folder, which is put in place as a whole */
};

/* Begins to replace `path`: opens a new file (mode 0600, never following a link) in the same folder. */
int file_begin(struct file_writer *w, const char *path, struct fail *f);

int file_write(struct file_writer *w, const void *bytes, size_t size, struct fail *f);

/* Puts the written file in place: syncs it, renames it over `path`, syncs the folder. On failure the old file
 * stands and the new one is gone; but when only the folder could not be synced, the new one is there and may
 * not outlive a power cut. */
int file_commit(struct file_writer *w, struct fail *f);

/* Gives up: removes what was written; the old file stands. Safe after file_begin() failed. */
void file_abandon(struct file_writer *w);

/* All of the above for text that is ready. */
int file_replace(const char *path, const void *bytes, size_t size, struct fail *f);

/* A folder of new files being written beside its final place: all of it is there, or none. */
struct file_folder {
    char path[4096];
    char temp_path[4128];
};

/* Begins the folder `path`, mode 0700, which may not be there yet, or must be empty. */
int file_folder_begin(struct file_folder *folder, const char *path, struct fail *f);

/* Begins a file of that name in it. Goes on with file_write() and file_commit(), or file_abandon(). */
int file_folder_file(struct file_folder *folder, const char *name, struct file_writer *w, struct fail *f);

/* Puts the folder in place. On failure it and its files are gone. */
int file_folder_commit(struct file_folder *folder, struct fail *f);

/* Gives up: removes it and its files. Safe after file_folder_begin() failed. */
void file_folder_abandon(struct file_folder *folder);

/* Moves a finished file from temp_path over path and syncs the folder (a backup that SQLite has written,
 * say). */
int file_put_in_place(const char *temp_path, const char *path, struct fail *f);

/* Makes sure that what was written to a file by other means is on the disk. */
int file_sync(const char *path, struct fail *f);

/* Makes every missing folder of `path`, mode 0700. */
int file_make_folders(const char *path, struct fail *f);

#endif
