#include "core/base/file.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

int file_read(const char *path, char **text, size_t *size, struct fail *f)
{
    int result = -1;
    char *bytes = NULL;
    int fd = open(path, O_RDONLY | O_CLOEXEC | O_NOCTTY | O_NONBLOCK);
    struct stat st;
    if (fd < 0)
        return fail_set(f, FAIL_STORE, "Cannot read %s: %s.", path, strerror(errno));
    if (fstat(fd, &st) != 0 || !S_ISREG(st.st_mode)) {
        fail_set(f, FAIL_STORE, "Cannot read %s: it is not an ordinary file.", path);
        goto out;
    }
    if ((uintmax_t)st.st_size > FILE_READ_MAX) {
        fail_set(f, FAIL_STORE, "Cannot read %s: it is larger than 64 MB.", path);
        goto out;
    }
    /* One byte more than the file had when it was opened, so that its end is seen even if it grows meanwhile.
     */
    size_t room = (size_t)st.st_size + 1, used = 0;
    bytes = malloc(room + 1);
    if (bytes == NULL) {
        fail_memory(f);
        goto out;
    }
    while (used < room) {
        ssize_t got = read(fd, bytes + used, room - used);
        if (got < 0 && errno == EINTR)
            continue;
        if (got < 0) {
            fail_set(f, FAIL_STORE, "Cannot read %s: %s.", path, strerror(errno));
            goto out;
        }
        if (got == 0)
            break;
        used += (size_t)got;
    }
    bytes[used] = '\0';
    *text = bytes;
    *size = used;
    bytes = NULL;
    result = 0;
out:
    free(bytes);
    (void)close(fd);
    return result;
}

static int cannot_write(const struct file_writer *w, struct fail *f)
{
    return fail_set(f, FAIL_STORE, "Cannot write %s: %s.%s", w->path, strerror(errno),
                    w->stays ? "" : " The file there before is unchanged.");
}

int file_begin(struct file_writer *w, const char *path, struct fail *f)
{
    *w = (struct file_writer){.fd = -1};
    if (strlen(path) >= sizeof w->path)
        return fail_input(f, "That file name is too long.");
    (void)snprintf(w->path, sizeof w->path, "%s", path);
    struct stat st;
    if (lstat(path, &st) == 0 && !S_ISREG(st.st_mode))
        return fail_refused(f, "Cannot write %s: it is there already and is not an ordinary file.", path);
    (void)snprintf(w->temp_path, sizeof w->temp_path, "%s.new-%ld", path, (long)getpid());
    w->fd = open(w->temp_path, O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, 0600);
    if (w->fd < 0) {
        w->temp_path[0] = '\0';
        return cannot_write(w, f);
    }
    return 0;
}

int file_write(struct file_writer *w, const void *bytes, size_t size, struct fail *f)
{
    const char *p = bytes;
    while (size > 0) {
        ssize_t done = write(w->fd, p, size);
        if (done < 0 && errno == EINTR)
            continue;
        if (done < 0)
            return cannot_write(w, f);
        p += done;
        size -= (size_t)done;
    }
    return 0;
}

/* A rename is on disk only when its folder is. */
static int sync_folder(const char *path)
{
    char folder[4096];
    (void)snprintf(folder, sizeof folder, "%s", path);
    char *slash = strrchr(folder, '/');
    if (slash == NULL)
        (void)snprintf(folder, sizeof folder, ".");
    else
        slash[slash == folder ? 1 : 0] = '\0';
    int fd = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (fd < 0)
        return -1;
    int result = fsync(fd);
    (void)close(fd);
    return result;
}

static int not_surely_on_disk(const char *path, struct fail *f)
{
    return fail_set(f, FAIL_STORE, "Cannot make sure that %s is on the disk: %s.", path, strerror(errno));
}

int file_put_in_place(const char *temp_path, const char *path, struct fail *f)
{
    if (rename(temp_path, path) != 0)
        return fail_set(f, FAIL_STORE, "Cannot put %s in its place: %s.", path, strerror(errno));
    return sync_folder(path) == 0 ? 0 : not_surely_on_disk(path, f);
}

int file_commit(struct file_writer *w, struct fail *f)
{
    if (fsync(w->fd) != 0) {
        (void)cannot_write(w, f);
        file_abandon(w);
        return -1;
    }
    int closed = close(w->fd);
    w->fd = -1;
    if (closed != 0) {
        (void)cannot_write(w, f);
        file_abandon(w);
        return -1;
    }
    if (!w->stays && file_put_in_place(w->temp_path, w->path, f) != 0) {
        file_abandon(w);
        return -1;
    }
    w->temp_path[0] = '\0';
    return 0;
}

void file_abandon(struct file_writer *w)
{
    if (w->fd >= 0)
        (void)close(w->fd);
    w->fd = -1;
    if (w->temp_path[0] != '\0')
        (void)unlink(w->temp_path);
    w->temp_path[0] = '\0';
}

int file_replace(const char *path, const void *bytes, size_t size, struct fail *f)
{
    struct file_writer w;
    if (file_begin(&w, path, f) != 0)
        return -1;
    if (file_write(&w, bytes, size, f) != 0) {
        file_abandon(&w);
        return -1;
    }
    return file_commit(&w, f);
}

int file_folder_begin(struct file_folder *folder, const char *path, struct fail *f)
{
    *folder = (struct file_folder){.path = ""};
    size_t length = strlen(path);
    while (length > 1 && path[length - 1] == '/')
        length--;
    if (length >= sizeof folder->path)
        return fail_input(f, "That folder name is too long.");
    (void)snprintf(folder->path, sizeof folder->path, "%.*s", (int)length, path);
    (void)snprintf(folder->temp_path, sizeof folder->temp_path, "%s.new-%ld", folder->path, (long)getpid());
    struct stat st;
    if (lstat(folder->path, &st) == 0 && !S_ISDIR(st.st_mode)) {
        folder->temp_path[0] = '\0';
        return fail_refused(f, "Cannot write %s: it is there already and is not a folder.", folder->path);
    }
    if (mkdir(folder->temp_path, 0700) != 0) {
        folder->temp_path[0] = '\0';
        return fail_set(f, FAIL_STORE, "Cannot make the folder %s: %s.", folder->path, strerror(errno));
    }
    return 0;
}

int file_folder_file(struct file_folder *folder, const char *name, struct file_writer *w, struct fail *f)
{
    *w = (struct file_writer){.fd = -1, .stays = true};
    int length = snprintf(w->temp_path, sizeof w->temp_path, "%s/%s", folder->temp_path, name);
    (void)snprintf(w->path, sizeof w->path, "%.4000s/%.90s", folder->path, name);
    if ((size_t)length >= sizeof w->temp_path || strlen(folder->path) > 4000) {
        w->temp_path[0] = '\0';
        return fail_input(f, "That folder name is too long.");
    }
    w->fd = open(w->temp_path, O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, 0600);
    if (w->fd >= 0)
        return 0;
    w->temp_path[0] = '\0';
    return fail_set(f, FAIL_STORE, "Cannot write %s: %s.", w->path, strerror(errno));
}

/* A new name over an empty folder is one step for the file system; over one with files in it, it is refused.
 */
int file_folder_commit(struct file_folder *folder, struct fail *f)
{
    int fd = open(folder->temp_path, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    int result = fd < 0 ? -1 : fsync(fd);
    if (fd >= 0)
        (void)close(fd);
    if (result == 0)
        result = rename(folder->temp_path, folder->path);
    if (result != 0) {
        if (errno == ENOTEMPTY || errno == EEXIST)
            fail_refused(f, "%s is there already and has something in it; name a new folder.", folder->path);
        else
            fail_set(f, FAIL_STORE, "Cannot put %s in its place: %s.", folder->path, strerror(errno));
        file_folder_abandon(folder);
        return -1;
    }
    folder->temp_path[0] = '\0';
    return sync_folder(folder->path) == 0 ? 0 : not_surely_on_disk(folder->path, f);
}

void file_folder_abandon(struct file_folder *folder)
{
    DIR *d = folder->temp_path[0] == '\0' ? NULL : opendir(folder->temp_path);
    if (d != NULL) {
        for (struct dirent *e = readdir(d); e != NULL; e = readdir(d))
            (void)unlinkat(dirfd(d), e->d_name, 0);
        (void)closedir(d);
    }
    if (folder->temp_path[0] != '\0')
        (void)rmdir(folder->temp_path);
    folder->temp_path[0] = '\0';
}

int file_sync(const char *path, struct fail *f)
{
    int fd = open(path, O_RDONLY | O_CLOEXEC | O_NOFOLLOW);
    int result = fd < 0 ? -1 : fsync(fd);
    if (result != 0)
        (void)not_surely_on_disk(path, f);
    if (fd >= 0)
        (void)close(fd);
    return result;
}

int file_make_folders(const char *path, struct fail *f)
{
    char folder[4096];
    if (strlen(path) >= sizeof folder)
        return fail_input(f, "That folder name is too long.");
    (void)snprintf(folder, sizeof folder, "%s", path);
    for (char *p = folder + 1;; p++) {
        if (*p != '/' && *p != '\0')
            continue;
        char kept = *p;
        *p = '\0';
        if (mkdir(folder, 0700) != 0 && errno != EEXIST)
            return fail_set(f, FAIL_STORE, "Cannot make the folder %s: %s.", folder, strerror(errno));
        if (kept == '\0')
            break;
        *p = kept;
    }
    return 0;
}
