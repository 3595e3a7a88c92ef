/* A whole morning through the keyboard, from an empty file to clean floors; the same morning through acts;
 * and the same morning cut short by SIGKILL after every key. */
#include <signal.h>
#include <sys/mman.h>
#include <sys/wait.h>
#include <unistd.h>

#include "core/day/journal_view.h"
#include "tests/day/rig.h"
#include "tests/scratch.h"
#include "tests/support.h"
#include "tests/tui/board_rig.h"

#define EVENING "2026-05-02T20:00"

/* Set-up on a new file: the dairy, one cow, twelve half gallons, the routine as it is offered. */
static const char *const set_up[] = {
    "type:Alder_Side Enter", /* the dairy's name; all else as it is usual */
    "type:Maud Down type:Jersey Down Down type:2026-01-31 Enter Esc", /* one cow; stall 1 is filled in; no
                                                                         more cows */
    "type:12 Enter Esc",                                              /* twelve half gallons; no more jars */
    "Enter",                                                          /* the routine for one bucket */
};

/* The morning. Space ticks what is next; waits let clocks run. The sleep between is a night. */
static const char *const morning[] = {
    "wait:34800",                                        /* the night: to 05:40 */
    "Tab i type:20lb Enter",                             /* to the chill pane: twenty pounds of ice */
    "Tab Space Space Space Space Space",                 /* chores: ice, jars, gear, rinse, mix */
    "Space wait:130",                                    /* sanitise, two minutes */
    "Space Space Space Space Space Space Space wait:30", /* drain .. hands; once for her grain */
    "Space Space wait:31",                               /* brush; pre-dip runs its half minute */
    "Space Space wait:21",                               /* strip; wipe */
    "wait:40 Space wait:300 Space Space",                /* cups on, five minutes, cups off, post-dip */
    "1 m type:36lb Enter",       /* her weight; strip cup and disc clean as they stand */
    "Tab Tab Space Space Space", /* weighed, strained, disc looked at */
    "p type:4xhalf-gallon Down Down type:95F Down type:34F Enter", /* four half gallons at 95, the tub at 34
                                                                    */
    "Space Space",                                                 /* jars in the tub, tub stirred */
    "wait:900 Tab Tab 5 8 Enter",    /* a quarter of an hour later batch A reads 58 */
    "Tab Space Space wait:20",       /* lukewarm rinse, apart */
    "Space wait:420 Space",          /* hot wash, seven minutes, ended */
    "Space Space Space Space Space", /* hot rinse, acid, hang, and so on */
    "wait:600 Tab Tab 4 4 Enter",    /* 44: under the limit */
    "t Enter",                       /* out of the tub, to the refrigerator */
    "Tab Space Space Space Space Space Space Space Space Space", /* the rest, to the last look */
};

enum { MORNING_PARTS = sizeof morning / sizeof morning[0] };

static void type_set_up(struct board_rig *rig)
{
    for (size_t i = 0; i < sizeof set_up / sizeof set_up[0]; i++)
        tty_keys(&rig->tty, set_up[i]);
    ck_assert(dairy_is_set_up(rig->dairy));
    ck_assert(rig->app.screen == &board_screen);
}

static struct instant rig_now(struct board_rig *rig)
{
    return clock_now(&rig->tty.clock);
}

START_TEST(a_dairy_is_set_up_and_a_morning_milked_with_the_keyboard)
{
    struct board_rig rig;
    board_rig_open(&rig, scratch_path("t.db"), EVENING, &usual_terminal, 30, 100);
    ck_assert(tty_shows(&rig.tty, "A new dairy"));
    type_set_up(&rig);
    const struct board *b = rig.app.board;
    ck_assert_str_eq(b->dairy, "Alder Side");
    ck_assert_str_eq(b->stall[0].name, "Maud");
    for (int i = 0; i < MORNING_PARTS; i++)
        tty_keys(&rig.tty, morning[i]);
    /* The whole morning stands there: her milk, four jars that kept the limit and are in the refrigerator,
     * every step. */
    ck_within(b->stall[0].today_kg, 36 * KG_PER_LB, 0.001);
    ck_assert_uint_eq(b->batches, 1);
    ck_assert_int_eq(b->batch[0].count, 4);
    ck_assert_uint_eq(b->batch[0].readings, 2);
    ck_assert_int_eq(b->batch[0].forecast.place, PLACE_FRIDGE);
    ck_assert_msg(b->batch[0].forecast.verdict == VERDICT_KEPT, "%s",
                  verdict_word(b->batch[0].forecast.verdict));
    ck_assert_msg(b->progress.done == b->progress.rows, "%zu of %zu steps: %s", b->progress.done,
                  b->progress.rows, b->sentence);
    board_rig_close(&rig);
    /* The lid is closed; tomorrow it is all there. */
    board_rig_open(&rig, scratch_path("t.db"), "2026-05-04T05:40", &usual_terminal, 30, 100);
    ck_assert(!rig.app.board->milking_open);
    ck_assert_str_eq(rig.app.board->stall[0].name, "Maud");
    tty_keys(&rig.tty, "Enter Tab Tab Tab"); /* her page, down to her milkings */
    ck_assert(tty_shows(&rig.tty, "36 lb"));
    board_rig_close(&rig);
}
END_TEST

/* The acts that those keys amount to, in their order. Times are taken from the journal of the typed morning.
 */
static const char *const acts[][2] = {
    {"dairy", "name=Alder Side  units=us  limit=pmo  stalls=4"},
    {"cow", "name=Maud  breed=Jersey  stall=1  calved=2026-01-31"},
    {"jars", "kind=half-gallon  count=12"},
    {"routine", "template=one-bucket"},
    {"ice", "mass=20lb"},
};

START_TEST(the_same_morning_in_acts_gives_the_same_board)
{
    struct board_rig rig;
    struct journal_view *v = calloc(1, sizeof *v);
    board_rig_open(&rig, scratch_path("keys.db"), EVENING, &usual_terminal, 30, 100);
    type_set_up(&rig);
    for (int i = 0; i < MORNING_PARTS; i++)
        tty_keys(&rig.tty, morning[i]);
    struct instant now = rig_now(&rig);
    char *typed = rig_board_json(rig.dairy, now);
    ck_assert_int_eq(dairy_journal(rig.dairy, now, 0, v, NULL), 0);
    /* The second dairy: what is not a tick is written out in words, ticks follow the typed order. */
    struct dairy *d = rig_open("acts.db");
    size_t next = 0;
    for (size_t i = v->entries; i-- > 0;) {
        const struct journal_entry *e = &v->entry[i];
        char at[CIVIL_TEXT_MAX], words[200];
        instant_iso_local(e->happened_at, at);
        if (strcmp(e->kind, "tick") == 0) {
            struct journal_detail detail;
            char step[64] = "", kind[16] = "", cow[16] = "";
            bool undone = false;
            ck_assert_int_eq(dairy_journal_detail(rig.dairy, e->id, &detail, NULL), 0);
            for (size_t n = 0; n < detail.lines; n++) {
                const char *line = detail.line[n];
                (void)sscanf(line, "  step: %63s", step);
                (void)sscanf(line, "  kind: %15s", kind);
                undone = undone || strstr(line, ", taken out") != NULL;
                if (strcmp(line, "  cow: Maud") == 0)
                    strcpy(cow, "  cow=Maud");
            }
            snprintf(words, sizeof words, "step=%s  state=%s%s", step, undone ? "undone" : kind, cow);
            rig_do(d, at, "tick", words);
        } else if (next < sizeof acts / sizeof acts[0]) {
            ck_assert_str_eq(e->kind, acts[next][0]);
            rig_do(d, at, acts[next][0], acts[next][1]);
            next++;
        } else if (strcmp(e->kind, "milk") == 0) {
            rig_do(d, at, "milk", "cow=Maud  mass=36lb  strip=clean  disc=clean");
        } else if (strcmp(e->kind, "pour") == 0) {
            rig_do(d, at, "pour", "jars=4xhalf-gallon  temp=95F  bath=34F");
        } else if (strcmp(e->kind, "reading") == 0) {
            rig_do(d, at, "reading",
                   strstr(e->what, "58") != NULL ? "batch=A  temp=58F" : "batch=A  temp=44F");
        } else {
            ck_assert_str_eq(e->kind, "pull");
            rig_do(d, at, "pull", "batch=A  to=fridge");
        }
    }
    char *recorded = rig_board_json(d, now);
    ck_assert_str_eq(typed, recorded);
    free(typed);
    free(recorded);
    free(v);
    dairy_close(d);
    board_rig_close(&rig);
}
END_TEST

/* What the child has seen on its board after its last key, in memory that both processes share. */
struct seen {
    int keys;
    int64_t now;
    char json[200000];
};

static void child_types(struct seen *seen, int keys, const char *path)
{
    struct board_rig rig;
    int typed = 0;
    board_rig_open(&rig, path, EVENING, &usual_terminal, 30, 100);
    type_set_up(&rig);
    for (int i = 0; i < MORNING_PARTS; i++) {
        char word[64];
        const char *list = morning[i];
        while (list_next(&list, ' ', word, sizeof word)) {
            tty_keys(&rig.tty, word);
            if (++typed < keys)
                continue;
            char *json = rig_board_json(rig.dairy, rig_now(&rig));
            snprintf(seen->json, sizeof seen->json, "%s", json);
            seen->now = rig_now(&rig).s;
            seen->keys = typed;
            kill(getpid(), SIGKILL);
        }
    }
    _exit(0);
}

START_TEST(killed_after_any_key_the_morning_stands_as_it_was_seen)
{
    struct seen *seen = mmap(NULL, sizeof *seen, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    ck_assert(seen != MAP_FAILED);
    /* Every seventh key in one run, shifted by the loop: all parts of the morning are cut. */
    for (int keys = 1 + _i; keys < 100; keys += 14) {
        char name[32];
        memset(seen, 0, sizeof *seen);
        snprintf(name, sizeof name, "kill-%d.db", keys);
        const char *path = scratch_path(name);
        pid_t child = fork();
        if (child == 0)
            child_types(seen, keys, path);
        int status;
        waitpid(child, &status, 0);
        if (WIFEXITED(status) && WEXITSTATUS(status) == 0)
            break; /* the morning is over before so many keys */
        ck_assert_msg(WIFSIGNALED(status) && WTERMSIG(status) == SIGKILL, "the child ended with %d", status);
        struct dairy *d = rig_open(name);
        size_t findings;
        char *json = rig_board_json(d, (struct instant){seen->now});
        ck_assert_str_eq(json, seen->json);
        free(json);
        ck_assert_int_eq(dairy_verify(d, NULL, NULL, &findings, NULL), 0);
        ck_assert_uint_eq(findings, 0);
        dairy_close(d);
    }
    munmap(seen, sizeof *seen);
}
END_TEST

Suite *morning_suite(void)
{
    Suite *s = suite_create("morning");
    TCase *t = tcase_create("morning");
    tcase_add_checked_fixture(t, scratch_open, scratch_close);
    tcase_add_test(t, a_dairy_is_set_up_and_a_morning_milked_with_the_keyboard);
    tcase_add_test(t, the_same_morning_in_acts_gives_the_same_board);
    tcase_add_loop_test(t, killed_after_any_key_the_morning_stands_as_it_was_seen, 0, 2);
    suite_add_tcase(s, t);
    return s;
}
