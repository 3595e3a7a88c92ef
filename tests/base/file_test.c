/* Files are replaced whole or not at all. */
#include <dirent.h>
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
    tcase_add_test(t, folders_are_made_for_the_owner_only);
    tcase_add_test(t, a_folder_of_files_appears_whole);
    tcase_add_test(t, a_folder_given_up_leaves_nothing);
    suite_add_tcase(s, t);
    return s;
}
