/* Row maps against the schema itself: every column of every table is mapped, with a type that fits. */
#include <sqlite3.h>

#include "core/store/rows.h"
#include "tests/scratch.h"
#include "tests/support.h"

static struct store *s;

static void open_store(void)
{
    scratch_open();
    struct fail f = {0};
    ck_assert_msg(store_open(scratch_path("t.db"), STORE_CREATE, &s, &f) == 0, "%s", f.text);
}

static void close_store(void)
{
    store_close(s);
    scratch_close();
}

START_TEST(every_map_is_its_table)
{
    sqlite3 *db;
    sqlite3_stmt *columns;
    ck_assert_int_eq(sqlite3_open(scratch_path("t.db"), &db), SQLITE_OK);
    ck_assert_int_eq(
        sqlite3_prepare_v2(db, "SELECT name, type, \"notnull\" FROM pragma_table_info(?1) WHERE name <> 'id'",
                           -1, &columns, NULL),
        SQLITE_OK);
    const struct table *t;
    for (size_t i = 0; (t = table_at(i)) != NULL; i++) {
        size_t n = 0;
        sqlite3_reset(columns);
        sqlite3_bind_text(columns, 1, t->name, -1, SQLITE_STATIC);
        while (sqlite3_step(columns) == SQLITE_ROW) {
            const char *name = (const char *)sqlite3_column_text(columns, 0);
            const char *type = (const char *)sqlite3_column_text(columns, 1);
            bool not_null = sqlite3_column_int(columns, 2) != 0;
            ck_assert_msg(n < t->column_count, "%s.%s is not mapped", t->name, name);
            const struct column *c = &t->columns[n++];
            ck_assert_str_eq(c->name, name);
            bool is_text = c->type == COLUMN_TEXT || c->type == COLUMN_TEXT_OR_NONE ||
                           c->type == COLUMN_DAY || c->type == COLUMN_LINES;
            ck_assert_msg(strcmp(type, is_text ? "TEXT" : "INTEGER") == 0, "%s.%s is %s", t->name, name,
                          type);
            if (c->type == COLUMN_TEXT)
                ck_assert_msg(not_null, "%s.%s may be NULL", t->name, name);
            if (c->type == COLUMN_TEXT_OR_NONE)
                ck_assert_msg(!not_null, "%s.%s may not be NULL", t->name, name);
            ck_assert_int_le(c->offset + c->size, t->row_size);
        }
        ck_assert_msg(n == t->column_count && n > 0, "%s has %zu columns", t->name, n);
    }
    sqlite3_finalize(columns);
    sqlite3_close(db);
}
END_TEST

START_TEST(every_table_of_the_file_is_listed)
{
    sqlite3 *db;
    sqlite3_stmt *tables;
    ck_assert_int_eq(sqlite3_open(scratch_path("t.db"), &db), SQLITE_OK);
    sqlite3_prepare_v2(db,
                       "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' AND "
                       "name <> 'journal'",
                       -1, &tables, NULL);
    while (sqlite3_step(tables) == SQLITE_ROW) {
        const char *name = (const char *)sqlite3_column_text(tables, 0);
        bool listed = false;
        for (size_t i = 0; table_at(i) != NULL; i++)
            listed = listed || strcmp(table_at(i)->name, name) == 0;
        ck_assert_msg(listed, "%s is in no list", name);
    }
    sqlite3_finalize(tables);
    sqlite3_close(db);
}
END_TEST

START_TEST(a_row_comes_back_as_it_went_in)
{
    struct cow_row cow = {.name = "Maud",
                          .sex = "female",
                          .came = "bought",
                          .breed = "jersey",
                          .stall = 1,
                          .dam_id = ROW_NONE,
                          .born_on = DATE_NONE,
                          .left_on = DATE_NONE};
    struct cow_row back;
    int64_t id;
    ck_assert(date_from_ymd(2024, 2, 29, &cow.came_on));
    ck_assert_int_eq(row_insert(s, &cow_table, &cow, &id, NULL), 0);
    ck_assert_int_eq(row_load(s, &cow_table, id, &back, NULL), 0);
    ck_assert_int_eq(back.id, id);
    ck_assert_str_eq(back.name, "Maud");
    ck_assert_str_eq(back.tag, "");
    ck_assert_int_eq(back.came_on.days, cow.came_on.days);
    ck_assert(!date_known(back.born_on));
    ck_assert_int_eq(back.dam_id, ROW_NONE);
    strcpy(back.name, "Tib");
    back.stall = ROW_NONE;
    ck_assert_int_eq(row_update(s, &cow_table, &back, NULL), 0);
    ck_assert_int_eq(row_load(s, &cow_table, id, &cow, NULL), 0);
    ck_assert_str_eq(cow.name, "Tib");
    ck_assert_int_eq(cow.stall, ROW_NONE);
    ck_assert_int_eq(row_remove(s, &cow_table, id, NULL), 0);
    struct fail f = {0};
    ck_assert_int_eq(row_load(s, &cow_table, id, &cow, &f), -1);
    ck_assert_str_eq(f.text, "There is no cow number 1.");
    ck_assert_int_eq(row_remove(s, &cow_table, id, &f), -1);
    ck_assert_int_eq(row_update(s, &cow_table, &cow, &f), -1);
}
END_TEST

START_TEST(ids_are_never_used_twice)
{
    struct note_row note = {.at = {1}, .cow_id = ROW_NONE, .text = "x"};
    int64_t first, second;
    ck_assert_int_eq(row_insert(s, &note_table, &note, &first, NULL), 0);
    ck_assert_int_eq(row_remove(s, &note_table, first, NULL), 0);
    ck_assert_int_eq(row_insert(s, &note_table, &note, &second, NULL), 0);
    ck_assert_int_gt(second, first);
}
END_TEST

START_TEST(rows_written_by_other_hands_are_cleaned)
{
    sqlite3 *db;
    ck_assert_int_eq(sqlite3_open(scratch_path("t.db"), &db), SQLITE_OK);
    ck_assert_int_eq(
        sqlite3_exec(db,
                     "INSERT INTO note (at, text) VALUES (5, 'a' || char(27) || '[2J' || char(8238) || 'b');"
                     "INSERT INTO cow (name, born_on) VALUES ('Maud', 'never')",
                     NULL, NULL, NULL),
        SQLITE_OK);
    sqlite3_close(db);
    struct note_row note;
    struct cow_row cow;
    ck_assert_int_eq(row_load(s, &note_table, 1, &note, NULL), 0);
    ck_assert_str_eq(note.text, "a\xEF\xBF\xBD[2J\xEF\xBF\xBD"
                                "b");
    ck_assert_int_eq(row_load(s, &cow_table, 1, &cow, NULL), 0);
    ck_assert(!date_known(cow.born_on));
}
END_TEST

START_TEST(lists_are_loaded_in_order)
{
    struct note_row *rows;
    size_t count;
    for (int i = 0; i < 40; i++) {
        struct note_row note = {.at = {100 - i}, .cow_id = ROW_NONE, .text = "x"};
        ck_assert_int_eq(row_insert(s, &note_table, &note, NULL, NULL), 0);
    }
    ck_assert_int_eq(rows_load(s, &note_table, "WHERE at > ?1 ORDER BY at",
                               (struct bind[]){{false, 70, NULL}}, 1, (void **)&rows, &count, NULL),
                     0);
    ck_assert_int_eq(count, 30);
    ck_assert_int_eq(rows[0].at.s, 71);
    free(rows);
    ck_assert_int_eq(rows_load(s, &note_table, "WHERE text = ?1",
                               (struct bind[]){BIND_TEXT("'); DROP TABLE note; --")}, 1, (void **)&rows,
                               &count, NULL),
                     0);
    ck_assert(rows == NULL && count == 0);
}
END_TEST

Suite *rows_suite(void)
{
    Suite *suite = suite_create("rows");
    TCase *t = tcase_create("rows");
    tcase_add_checked_fixture(t, open_store, close_store);
    tcase_add_test(t, every_map_is_its_table);
    tcase_add_test(t, every_table_of_the_file_is_listed);
    tcase_add_test(t, a_row_comes_back_as_it_went_in);
    tcase_add_test(t, ids_are_never_used_twice);
    tcase_add_test(t, rows_written_by_other_hands_are_cleaned);
    tcase_add_test(t, lists_are_loaded_in_order);
    suite_add_tcase(suite, t);
    return suite;
}
