/* Files are replaced whole or not at all. */
#include <dirent.h>
#include <signal.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include "core/base/file.h"
#include "tests/support.h"

static char folder[] = "/tmp/springhouse-file-XXXXXX";
static char path[64], other[64];

static void make_folder(void)
{
    ck_assert(mkdtemp(folder) != NULL);
    snprintf(path, sizeof path, "%s/sheet.csv", folder);
    snprintf(other, sizeof other, "%s/other", folder);
}

static void remove_folder(void)
{
    unlink(path);
    unlink(other);
    rmdir(other);
    rmdir(folder);
}

static int files_in_folder(void)
{
    int n = 0;
    DIR *d = opendir(folder);
    ck_assert(d != NULL);
    for (struct dirent *e = readdir(d); e != NULL; e = readdir(d))
        n += e->d_name[0] != '.';
    closedir(d);
    return n;
}

START_TEST(a_file_is_replaced_whole)
{
    char *text;
    size_t size;
    struct stat st;
    ck_assert_int_eq(file_replace(path, "one", 3, NULL), 0);
    ck_assert_int_eq(file_replace(path, "twice", 5, NULL), 0);
    ck_assert_int_eq(file_read(path, &text, &size, NULL), 0);
    ck_assert_int_eq(size, 5);
    ck_assert_str_eq(text, "twice");
    free(text);
    ck_assert_int_eq(stat(path, &st), 0);
    ck_assert_int_eq(st.st_mode & 0777, 0600);
    ck_assert_int_eq(files_in_folder(), 1);
}
END_TEST

START_TEST(giving_up_leaves_the_old_file_and_nothing_else)
{
    struct file_writer w;
    char *text;
    size_t size;
    ck_assert_int_eq(file_replace(path, "old", 3, NULL), 0);
    ck_assert_int_eq(file_begin(&w, path, NULL), 0);
    ck_assert_int_eq(file_write(&w, "half", 4, NULL), 0);
    file_abandon(&w);
    ck_assert_int_eq(file_read(path, &text, &size, NULL), 0);
    ck_assert_str_eq(text, "old");
    free(text);
    ck_assert_int_eq(files_in_folder(), 1);
}
END_TEST

START_TEST(links_folders_and_missing_places_are_refused_with_a_sentence)
{
    struct fail f = {0};
    char missing[96];
    ck_assert_int_eq(symlink("/etc/passwd", other), 0);
    ck_assert_int_eq(file_replace(other, "x", 1, &f), -1);
    ck_assert(strstr(f.text, "not an ordinary file") != NULL);
    unlink(other);
    ck_assert_int_eq(mkdir(other, 0700), 0);
    ck_assert_int_eq(file_replace(other, "x", 1, &f), -1);
    snprintf(missing, sizeof missing, "%s/none/sheet.csv", folder);
    ck_assert_int_eq(file_replace(missing, "x", 1, &f), -1);
    ck_assert(strstr(f.text, "No such file") != NULL);
    char *text;
    size_t size;
    ck_assert_int_eq(file_read(missing, &text, &size, &f), -1);
    ck_assert_int_eq(file_read(folder, &text, &size, &f), -1);
    ck_assert_int_eq(file_read("/dev/zero", &text, &size, &f), -1);
}
END_TEST

START_TEST(names_too_long_and_files_too_large_are_refused_with_a_sentence)
{
    static char name[6000];
    struct fail f = {0};
    struct file_folder into;
    struct file_writer w;
    char *text;
    size_t size;
    memset(name, 'x', sizeof name - 1);
    name[0] = '/';
    ck_assert_int_eq(file_replace(name, "x", 1, &f), -1);
    ck_assert_str_eq(f.text, "That file name is too long.");
    ck_assert_int_eq(file_make_folders(name, &f), -1);
    ck_assert_str_eq(f.text, "That folder name is too long.");
    ck_assert_int_eq(file_folder_begin(&into, name, &f), -1);
    ck_assert_str_eq(f.text, "That folder name is too long.");
    ck_assert_int_eq(file_folder_begin(&into, other, &f), 0);
    ck_assert_int_eq(file_folder_file(&into, name, &w, &f), -1);
    ck_assert_str_eq(f.text, "That folder name is too long.");
    file_folder_abandon(&into);
    /* One byte over 64 MB; it takes no room on the disk. */
    ck_assert_int_eq(file_replace(path, "x", 1, NULL), 0);
    ck_assert_int_eq(truncate(path, 64 * 1024 * 1024 + 1), 0);
    ck_assert_int_eq(file_read(path, &text, &size, &f), -1);
    ck_assert(strstr(f.text, "it is larger than 64 MB.") != NULL);
    ck_assert_int_eq(files_in_folder(), 1);
}
END_TEST

START_TEST(a_write_that_fails_leaves_the_old_file)
{
    struct fail f = {0};
    char *text;
    size_t size;
    ck_assert_int_eq(file_replace(path, "old", 3, NULL), 0);
    /* No file may be longer than two bytes from here on: the third cannot be written (EFBIG, setrlimit(2)). */
    ck_assert(signal(SIGXFSZ, SIG_IGN) != SIG_ERR);
    struct rlimit before, two = {2, 2};
    ck_assert_int_eq(getrlimit(RLIMIT_FSIZE, &before), 0);
    two.rlim_max = before.rlim_max;
    ck_assert_int_eq(setrlimit(RLIMIT_FSIZE, &two), 0);
    int result = file_replace(path, "newer", 5, &f);
    ck_assert_int_eq(setrlimit(RLIMIT_FSIZE, &before), 0);
    ck_assert_int_eq(result, -1);
    ck_assert_msg(strstr(f.text, "The file there before is unchanged.") != NULL, "%s", f.text);
    ck_assert_int_eq(file_read(path, &text, &size, NULL), 0);
    ck_assert_str_eq(text, "old");
    free(text);
    ck_assert_int_eq(files_in_folder(), 1);
}
END_TEST

START_TEST(what_cannot_be_put_in_its_place_is_said)
{
    struct fail f = {0};
    struct file_folder made;
    ck_assert_int_eq(file_put_in_place(other, path, &f), -1); /* there is nothing to put */
    ck_assert(strstr(f.text, "in its place: No such file") != NULL);
    ck_assert_int_eq(file_sync(other, &f), -1);
    ck_assert(strstr(f.text, "Cannot make sure that") != NULL);
    /* The folder made was taken away by somebody. */
    ck_assert_int_eq(file_folder_begin(&made, other, NULL), 0);
    ck_assert_int_eq(rmdir(made.temp_path), 0);
    ck_assert_int_eq(file_folder_commit(&made, &f), -1);
    ck_assert(strstr(f.text, "in its place: No such file") != NULL);
    /* A name without a folder is one of the folder that we stand in. */
    ck_assert_int_eq(chdir(folder), 0);
    ck_assert_int_eq(file_replace("sheet.csv", "x", 1, &f), 0);
    ck_assert_int_eq(access(path, F_OK), 0);
    ck_assert_int_eq(chdir("/"), 0);
}
END_TEST

START_TEST(folders_are_made_for_the_owner_only)
{
    char deep[128];
    struct stat st;
    snprintf(deep, sizeof deep, "%s/a/b", folder);
    ck_assert_int_eq(file_make_folders(deep, NULL), 0);
    ck_assert_int_eq(file_make_folders(deep, NULL), 0);
    ck_assert_int_eq(stat(deep, &st), 0);
    ck_assert_int_eq(st.st_mode & 0777, 0700);
    rmdir(deep);
    snprintf(deep, sizeof deep, "%s/a", folder);
    rmdir(deep);
    struct fail f = {0};
    ck_assert_int_eq(file_make_folders("/dev/null/x", &f), -1);
}
END_TEST

static int write_into(struct file_folder *into, const char *name, const char *text)
{
    struct file_writer w;
    if (file_folder_file(into, name, &w, NULL) != 0 || file_write(&w, text, strlen(text), NULL) != 0)
        return -1;
    return file_commit(&w, NULL);
}

START_TEST(a_folder_of_files_appears_whole)
{
    struct file_folder made;
    struct fail f = {0};
    struct stat st;
    char inside[96];
    snprintf(inside, sizeof inside, "%s/a.csv", other);
    ck_assert_int_eq(file_folder_begin(&made, other, NULL), 0);
    ck_assert_int_eq(write_into(&made, "a.csv", "one"), 0);
    ck_assert_int_eq(write_into(&made, "a.csv", "again"), -1); /* no file is written twice */
    ck_assert_int_eq(access(other, F_OK), -1);
    ck_assert_int_eq(file_folder_commit(&made, NULL), 0);
    ck_assert_int_eq(stat(other, &st), 0);
    ck_assert_int_eq(st.st_mode & 0777, 0700);
    ck_assert_int_eq(stat(inside, &st), 0);
    ck_assert_int_eq(st.st_mode & 0777, 0600);
    ck_assert_int_eq(st.st_size, 3);
    /* Over a folder that has something in it nothing is written. */
    ck_assert_int_eq(file_folder_begin(&made, other, NULL), 0);
    ck_assert_int_eq(write_into(&made, "b.csv", "two"), 0);
    ck_assert_int_eq(file_folder_commit(&made, &f), -1);
    ck_assert(strstr(f.text, "has something in it") != NULL);
    ck_assert_int_eq(files_in_folder(), 1);
    unlink(inside);
    /* Over an empty one it is; a trailing slash is no part of a name. */
    snprintf(inside, sizeof inside, "%s/", other);
    ck_assert_int_eq(file_folder_begin(&made, inside, NULL), 0);
    ck_assert_int_eq(file_folder_commit(&made, NULL), 0);
    ck_assert_int_eq(files_in_folder(), 1);
}
END_TEST

START_TEST(a_folder_given_up_leaves_nothing)
{
    struct file_folder made;
    struct fail f = {0};
    ck_assert_int_eq(file_folder_begin(&made, other, NULL), 0);
    ck_assert_int_eq(write_into(&made, "a.csv", "one"), 0);
    file_folder_abandon(&made);
    ck_assert_int_eq(files_in_folder(), 0);
    ck_assert_int_eq(file_replace(path, "x", 1, NULL), 0);
    ck_assert_int_eq(file_folder_begin(&made, path, &f), -1);
    ck_assert(strstr(f.text, "is not a folder") != NULL);
    file_folder_abandon(&made);
    ck_assert_int_eq(files_in_folder(), 1);
}
END_TEST

Suite *file_suite(void)
{
    Suite *s = suite_create("file");
    TCase *t = tcase_create("file");
    tcase_add_checked_fixture(t, make_folder, remove_folder);
    tcase_add_test(t, a_file_is_replaced_whole);
    tcase_add_test(t, giving_up_leaves_the_old_file_and_nothing_else);
    tcase_add_test(t, links_folders_and_missing_places_are_refused_with_a_sentence);
    tcase_add_test(t, names_too_long_and_files_too_large_are_refused_with_a_sentence);
    tcase_add_test(t, a_write_that_fails_leaves_the_old_file);
    tcase_add_test(t, what_cannot_be_put_in_its_place_is_said);
    tcase_add_test(t, folders_are_made_for_the_owner_only);
    tcase_add_test(t, a_folder_of_files_appears_whole);
    tcase_add_test(t, a_folder_given_up_leaves_nothing);
    suite_add_tcase(s, t);
    return s;
}
