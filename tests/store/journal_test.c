/* Undo and redo of anything, refused where later entries rest on it. */
#include "core/store/journal.h"
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

static struct journal_row entry(const char *what)
{
    struct journal_row e = {.happened_at = {100},
                            .entered_at = {200},
                            .who = "keeper",
                            .kind = "note",
                            .cow_id = ROW_NONE,
                            .undoes = ROW_NONE};
    snprintf(e.what, sizeof e.what, "%s", what);
    return e;
}

static int64_t add_cow(const char *name)
{
    struct cow_row cow = {.sex = "female",
                          .came = "here",
                          .stall = ROW_NONE,
                          .dam_id = ROW_NONE,
                          .born_on = DATE_NONE,
                          .came_on = DATE_NONE,
                          .left_on = DATE_NONE};
    struct journal_row e = entry(name);
    snprintf(cow.name, sizeof cow.name, "%s", name);
    ck_assert_int_eq(journal_begin(s, NULL), 0);
    ck_assert_int_eq(row_insert(s, &cow_table, &cow, NULL, NULL), 0);
    ck_assert_int_eq(journal_commit(s, &e, NULL), 0);
    return cow.id;
}

static int64_t add_note(int64_t cow_id, const char *text)
{
    struct note_row note = {.at = {5}, .cow_id = cow_id};
    struct journal_row e = entry(text);
    snprintf(note.text, sizeof note.text, "%s", text);
    ck_assert_int_eq(journal_begin(s, NULL), 0);
    ck_assert_int_eq(row_insert(s, &note_table, &note, NULL, NULL), 0);
    ck_assert_int_eq(journal_commit(s, &e, NULL), 0);
    return e.id;
}

static int undo(int64_t id, struct fail *f, int64_t *number)
{
    struct journal_row e = entry("");
    int result = journal_undo(s, id, &e, f);
    if (number != NULL)
        *number = e.id;
    return result;
}

static size_t count_rows(const struct table *t)
{
    void *rows;
    size_t count;
    ck_assert_int_eq(rows_load(s, t, "ORDER BY id", NULL, 0, &rows, &count, NULL), 0);
    free(rows);
    return count;
}

START_TEST(an_act_is_taken_back_and_put_back_again)
{
    int64_t cow = add_cow("Maud"), taken, put, again;
    int64_t noted = add_note(cow, "limps");
    bool holds;
    ck_assert_int_eq(undo(noted, NULL, &taken), 0);
    ck_assert_int_eq(count_rows(&note_table), 0);
    ck_assert_int_eq(journal_holds(s, noted, &holds, NULL), 0);
    ck_assert(!holds);
    ck_assert_int_eq(undo(taken, NULL, &put), 0);
    ck_assert_int_eq(count_rows(&note_table), 1);
    journal_holds(s, noted, &holds, NULL);
    ck_assert(holds);
    ck_assert_int_eq(undo(noted, NULL, &again), 0);
    ck_assert_int_eq(count_rows(&note_table), 0);
    ck_assert_int_eq(count_rows(&journal_table), 5); /* nothing leaves the journal */
    struct journal_row e;
    ck_assert_int_eq(row_load(s, &journal_table, put, &e, NULL), 0);
    ck_assert_str_eq(e.what, "put back 2: limps");
    ck_assert_str_eq(e.kind, "undo");
}
END_TEST

START_TEST(what_later_entries_rest_on_is_not_taken_back)
{
    struct fail f = {0};
    int64_t cow = add_cow("Maud"), note = add_note(cow, "limps");
    ck_assert_int_eq(undo(1, &f, NULL), -1);
    ck_assert_int_eq(f.code, FAIL_REFUSED);
    ck_assert(strstr(f.text, "later entries rest on it") != NULL);
    ck_assert_int_eq(count_rows(&cow_table), 1);
    ck_assert_int_eq(undo(note, NULL, NULL), 0);
    ck_assert_int_eq(undo(1, NULL, NULL), 0);
    ck_assert_int_eq(count_rows(&cow_table), 0);
}
END_TEST

START_TEST(what_was_changed_since_is_not_taken_back)
{
    struct fail f = {0};
    struct journal_row e = entry("renamed");
    struct cow_row cow;
    int64_t id = add_cow("Maud");
    ck_assert_int_eq(journal_begin(s, NULL), 0);
    ck_assert_int_eq(row_load(s, &cow_table, id, &cow, NULL), 0);
    strcpy(cow.name, "Tib");
    ck_assert_int_eq(row_update(s, &cow_table, &cow, NULL), 0);
    ck_assert_int_eq(journal_commit(s, &e, NULL), 0);
    ck_assert_int_eq(undo(1, &f, NULL), -1);
    ck_assert_str_eq(
        f.text,
        "Entry 1 (Maud) cannot be taken back: a later entry changed the same thing (cow 1). Take that one "
        "back first.");
    ck_assert_int_eq(undo(e.id, NULL, NULL), 0);
    ck_assert_int_eq(row_load(s, &cow_table, id, &cow, NULL), 0);
    ck_assert_str_eq(cow.name, "Maud");
    ck_assert_int_eq(undo(e.id, &f, NULL), -1);
    ck_assert(strstr(f.text, "has been taken back already") != NULL);
    ck_assert_int_eq(undo(99, &f, NULL), -1);
    ck_assert_str_eq(f.text, "There is no journal entry 99.");
}
END_TEST

START_TEST(an_act_that_changes_nothing_is_refused)
{
    struct fail f = {0};
    struct journal_row e = entry("nothing");
    ck_assert_int_eq(journal_begin(s, NULL), 0);
    ck_assert_int_eq(journal_commit(s, &e, &f), -1);
    ck_assert_int_eq(f.code, FAIL_REFUSED);
    ck_assert_int_eq(count_rows(&journal_table), 0);
    ck_assert_int_eq(journal_begin(s, NULL), 0); /* and the file is free again */
    store_rollback(s);
}
END_TEST

START_TEST(the_last_act_is_the_last_that_holds)
{
    struct journal_row e;
    bool found;
    ck_assert_int_eq(journal_last(s, &e, &found, NULL), 0);
    ck_assert(!found);
    int64_t first = add_note(ROW_NONE, "one"), second = add_note(ROW_NONE, "two");
    ck_assert_int_eq(undo(second, NULL, NULL), 0);
    ck_assert_int_eq(journal_last(s, &e, &found, NULL), 0);
    ck_assert_int_eq(e.id, first);
}
END_TEST

static int collect(void *context, const struct journal_change *c, struct fail *f)
{
    (void)f;
    char *all = context;
    sprintf(all + strlen(all), "%s%s %d %s %s>%s; ",
            c->is_new    ? "+"
            : c->is_gone ? "-"
                         : "",
            c->table, (int)c->id, c->column, c->before, c->after);
    return 0;
}

START_TEST(changes_are_told_column_by_column)
{
    char all[1000] = "";
    struct journal_row e = entry("renamed");
    struct cow_row cow;
    int64_t id = add_cow("Maud");
    ck_assert_int_eq(journal_begin(s, NULL), 0);
    row_load(s, &cow_table, id, &cow, NULL);
    cow.stall = 2;
    ck_assert_int_eq(row_update(s, &cow_table, &cow, NULL), 0);
    ck_assert_int_eq(journal_commit(s, &e, NULL), 0);
    ck_assert_int_eq(journal_changes(s, e.id, collect, all, NULL), 0);
    ck_assert_str_eq(all, "cow 1 stall >2; ");
}
END_TEST

START_TEST(any_history_can_be_taken_back_to_nothing)
{
    /* Random acts and undos; then everything that holds is taken back, newest first, and the tables must be
     * empty. */
    struct stream stream = {42};
    int64_t cows[40];
    int cow_count = 0;
    for (int n = 0; n < 120; n++) {
        char name[32];
        snprintf(name, sizeof name, "cow%d", n);
        int what = stream_below(&stream, 4);
        if (what == 0 && cow_count < 40)
            cows[cow_count++] = add_cow(name);
        else if (what == 1)
            add_note(ROW_NONE, name);
        else if (what == 2)
            (void)undo(1 + stream_below(&stream, n + 1), NULL, NULL); /* may be refused */
        else if (cow_count > 0) {
            struct cow_row cow;
            if (row_load(s, &cow_table, cows[stream_below(&stream, cow_count)], &cow, NULL) == 0)
                add_note(cow.id, "about her");
        }
    }
    ck_assert_uint_gt(count_rows(&note_table), 5);
    for (;;) {
        struct journal_row e;
        struct fail f = {0};
        bool found;
        ck_assert_int_eq(journal_last(s, &e, &found, NULL), 0);
        if (!found)
            break;
        ck_assert_msg(undo(e.id, &f, NULL) == 0, "%s", f.text);
    }
    ck_assert_uint_eq(count_rows(&note_table), 0);
    ck_assert_uint_eq(count_rows(&cow_table), 0);
}
END_TEST

Suite *journal_suite(void)
{
    Suite *suite = suite_create("journal");
    TCase *t = tcase_create("journal");
    tcase_add_checked_fixture(t, open_store, close_store);
    tcase_add_test(t, an_act_is_taken_back_and_put_back_again);
    tcase_add_test(t, what_later_entries_rest_on_is_not_taken_back);
    tcase_add_test(t, what_was_changed_since_is_not_taken_back);
    tcase_add_test(t, an_act_that_changes_nothing_is_refused);
    tcase_add_test(t, the_last_act_is_the_last_that_holds);
    tcase_add_test(t, changes_are_told_column_by_column);
    tcase_add_test(t, any_history_can_be_taken_back_to_nothing);
    suite_add_tcase(suite, t);
    return suite;
}
