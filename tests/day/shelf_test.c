/* The shelf: jars on their way, how long they keep, who has them, and what undo may not break. */
#include <stdarg.h>

#include "core/day/shelf.h"
#include "core/day/taste_view.h"
#include "core/day/tonight_view.h"
#include "tests/day/rig.h"
#include "tests/scratch.h"
#include "tests/support.h"

#define EVENING "2026-05-02T20:00"

static struct shelf_view *shelf;
static struct trace_view *trace;
static struct dairy *d;

static void open_dairy(void)
{
    scratch_open();
    shelf = calloc(1, sizeof *shelf);
    trace = calloc(1, sizeof *trace);
    d = rig_small("t.db", EVENING);
}

static void close_dairy(void)
{
    struct fail f = {0};
    size_t findings = 0;
    ck_assert_int_eq(dairy_verify(d, NULL, NULL, &findings, &f), 0);
    dairy_close(d);
    free(shelf);
    free(trace);
    scratch_close();
}

static const struct shelf_view *look(const char *at)
{
    struct fail f = {0};
    ck_assert_msg(dairy_shelf(d, rig_at(at), shelf, &f) == 0, "%s", f.text);
    return shelf;
}

/* A morning of two cows: four half gallons of Maud (A), three of Tib (B), half an hour in the tub. */
static void morning(const char *day)
{
    char at[24];
    static const struct {
        const char *clock, *act, *words;
    } acts[] = {
        {"05:40", "ice", "mass=20lb"},
        {"06:10", "milking", "state=start"},
        {"06:18", "milk", "cow=Maud  mass=34.4lb  strip=clean"},
        {"06:20", "pour", "jars=4xhalf-gallon  from=Maud  temp=95F  bath=33F"},
        {"06:28", "milk", "cow=Tib  mass=25.8lb  strip=clean"},
        {"06:30", "pour", "jars=3xhalf-gallon  from=Tib  temp=95F"},
        {"06:32", "milking", "state=end"},
        {"07:20", "pull", "batch=A  to=fridge"},
        {"07:30", "pull", "batch=B  to=fridge"},
        {"07:40", "milking", "state=done"},
    };
    for (size_t i = 0; i < sizeof acts / sizeof acts[0]; i++) {
        (void)snprintf(at, sizeof at, "%sT%s", day, acts[i].clock);
        rig_do(d, at, acts[i].act, acts[i].words);
    }
}

static char *code_of(const char *day, char letter)
{
    static char text[4][16];
    static int next;
    struct shelf_view *v = shelf;
    char *code = text[next++ % 4];
    (void)day;
    code[0] = '\0';
    for (size_t i = 0; i < v->rows; i++)
        if (v->row[i].code[8] == letter && strncmp(v->row[i].code, day, 6) == 0)
            (void)snprintf(code, 16, "%s", v->row[i].code);
    ck_assert_msg(code[0] != '\0', "no batch %c of %s on the shelf", letter, day);
    return code;
}

static void act(const char *at, const char *kind, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
static void act(const char *at, const char *kind, const char *format, ...)
{
    char words[300];
    va_list args;
    va_start(args, format);
    (void)vsnprintf(words, sizeof words, format, args);
    va_end(args);
    rig_do(d, at, kind, words);
}

START_TEST(jars_stand_oldest_first_and_each_says_how_long_it_is_good)
{
    morning("2026-05-03");
    morning("2026-05-04");
    look("2026-05-04T20:00");
    ck_assert_uint_eq(shelf->rows, 4);
    ck_assert_int_eq(shelf->jars, 14);
    ck_assert_str_eq(shelf->row[0].cows, "Maud");
    ck_assert_int_eq(shelf->row[0].count, 4);
    ck_assert_int_eq(shelf->row[0].place, AT_FRIDGE);
    ck_assert(strncmp(shelf->row[0].code, "260503-1A", 9) == 0 &&
              strncmp(shelf->row[3].code, "260504-1B", 9) == 0);
    for (size_t i = 0; i < 4; i++) {
        const struct shelf_row *r = &shelf->row[i];
        /* Cooled through the day, the jar is near the refrigerator's 38 °F. */
        ck_within(r->now_c, temp_c_from_f(38), 0.5);
        ck_assert(r->keeping.left_days > 2 && r->keeping.left_days < r->keeping.total_days);
        ck_assert(r->keeping.low_days < r->keeping.left_days && r->keeping.left_days < r->keeping.high_days);
        ck_assert(r->lost_days > 0);
        ck_assert_int_eq(r->state, SHELF_GOOD);
    }
    ck_assert(shelf->row[0].keeping.left_days < shelf->row[2].keeping.left_days);
    ck_assert_int_eq(shelf->scale.basis, KEEPING_USUAL);
    ck_assert(strstr(shelf->scale_text, "usual") != NULL);
}
END_TEST

/* Newton's law of the jar in the tub, then the refrigerator: the life used must lie between that of milk at
 * the refrigerator's temperature all along and that of milk at 95 °F for the first hour; the rate at 25 °C,
 * the model's cap, is 7.685 times that at 4 °C: ((25 + 7.85) / 11.85)^2, by hand. */
START_TEST(the_chill_is_part_of_what_was_used)
{
    morning("2026-05-03");
    look("2026-05-03T18:20");
    double cold = (38 - 32) / 1.8, rate = (cold + 7.85) * (cold + 7.85) / (11.85 * 11.85);
    double least = 12.0 / 24 * rate, most = least + 2.0 / 24 * 7.685;
    ck_assert_msg(shelf->row[0].keeping.used_days > least && shelf->row[0].keeping.used_days < most,
                  "%g of %g to %g", shelf->row[0].keeping.used_days, least, most);
}
END_TEST

START_TEST(a_slow_chill_is_shown_as_days_lost)
{
    rig_do(d, "2026-05-03T06:18", "milk", "cow=Maud  mass=34.4lb  strip=clean");
    rig_do(d, "2026-05-03T06:20", "pour", "jars=4xhalf-gallon  from=Maud  temp=95F");
    rig_do(d, "2026-05-03T06:25", "pull", "batch=A  to=fridge");
    look("2026-05-04T06:00");
    double slow = shelf->row[0].lost_days;
    morning("2026-05-04");
    look("2026-05-05T06:00");
    ck_assert_msg(slow > shelf->row[1].lost_days + 0.3, "%g against %g days lost", slow,
                  shelf->row[1].lost_days);
}
END_TEST

START_TEST(the_use_by_day_is_the_earlier_of_rule_and_model)
{
    morning("2026-05-03");
    look("2026-05-03T20:00");
    struct date model = shelf->row[0].use_by.model_on;
    ck_assert(date_known(model) && !date_known(shelf->row[0].use_by.rule_on));
    ck_assert_int_eq(shelf->row[0].use_by.on.days, model.days);
    rig_do(d, "2026-05-03T20:01", "dairy", "use=3");
    look("2026-05-03T20:02");
    ck_assert_int_eq(shelf->row[0].use_by.binds, KEEPING_BY_RULE);
    ck_assert_int_eq(date_diff(instant_date(rig_at("2026-05-03T06:20")), shelf->row[0].use_by.on), 3);
    static const struct {
        const char *at;
        enum shelf_state state;
    } days[] = {{"2026-05-04T09:00", SHELF_GOOD},
                {"2026-05-05T09:00", SHELF_SOON},
                {"2026-05-06T09:00", SHELF_LAST_DAY},
                {"2026-05-07T09:00", SHELF_PAST}};
    for (size_t i = 0; i < sizeof days / sizeof days[0]; i++)
        ck_assert_int_eq(look(days[i].at)->row[0].state, days[i].state);
    rig_do(d, "2026-05-07T10:00", "dairy", "use=30");
    ck_assert_int_eq(look("2026-05-07T10:01")->row[0].use_by.binds, KEEPING_BY_MODEL);
    rig_do(d, "2026-05-07T10:02", "dairy", "use=");
    ck_assert_int_eq(look("2026-05-07T10:03")->rule_days, -1);
}
END_TEST

START_TEST(jars_go_to_people_and_come_back)
{
    morning("2026-05-03");
    look("2026-05-03T20:00");
    char *a = code_of("260503", 'A');
    rig_do(d, "2026-05-03T20:00", "person", "name=Hilda  contact=555 0134  share=2  days=daily");
    rig_refused(d, "2026-05-03T20:01", "person", "name=calf", "is where jars go");
    rig_refused(d, "2026-05-03T20:01", "person", "name=Otto  days=feast", "names no days");
    act("2026-05-03T20:02", "jar", "batch=%s  count=2  to=hilda", a);
    look("2026-05-03T20:03");
    ck_assert_int_eq(shelf->jars, 5);
    ck_assert_uint_eq(shelf->people.people, 1);
    ck_assert_int_eq(shelf->people.person[0].out_all, 2);
    ck_assert_int_eq(shelf->people.person[0].taken_today, 2);
    ck_assert_str_eq(shelf->people.person[0].out[0].kind, "half-gallon");
    /* A full jar comes back; then an empty one. */
    act("2026-05-03T21:00", "jar", "batch=%s  to=fridge  from=Hilda", a);
    ck_assert_int_eq(look("2026-05-03T21:01")->jars, 6);
    rig_do(d, "2026-05-04T08:00", "jarback", "person=Hilda");
    look("2026-05-04T08:01");
    ck_assert_int_eq(shelf->people.person[0].out_all, 0);
    ck_assert_int_eq(shelf->pool.n[JARS_DIRTY][0], 1);
    rig_refused(d, "2026-05-04T08:02", "jarback", "person=Hilda", "has no jars out");
    act("2026-05-04T08:03", "jar", "batch=%s  to=drunk", a);
    rig_do(d, "2026-05-04T08:04", "washed", "kind=half-gallon");
    look("2026-05-04T08:05");
    ck_assert_int_eq(shelf->pool.n[JARS_DIRTY][0], 0);
    ck_assert_int_eq(shelf->pool.n[JARS_CLEAN][0], 12 - 7 + 2);
    rig_do(d, "2026-05-04T08:06", "broken", "kind=half-gallon  count=2");
    act("2026-05-04T08:07", "broken", "batch=%s", a);
    look("2026-05-04T08:08");
    ck_assert_int_eq(shelf->pool.n[JARS_BROKEN][0], 3);
    ck_assert_int_eq(shelf->pool.n[JARS_CLEAN][0] + shelf->pool.n[JARS_FULL][0], 9);
    rig_refused(d, "2026-05-04T08:09", "broken", "count=1", "Say what broke");
}
END_TEST

START_TEST(the_chore_of_setting_jars_out_says_that_they_are_washed)
{
    morning("2026-05-03");
    look("2026-05-03T20:00");
    act("2026-05-03T20:01", "jar", "batch=%s  count=3  to=drunk", code_of("260503", 'A'));
    ck_assert_int_eq(look("2026-05-03T20:02")->pool.n[JARS_DIRTY][0], 3);
    rig_do(d, "2026-05-04T05:40", "tick", "step=jars");
    look("2026-05-04T05:41");
    ck_assert_int_eq(shelf->pool.n[JARS_DIRTY][0], 0);
    ck_assert_int_eq(shelf->pool.n[JARS_CLEAN][0], 12 - 4);
    rig_do(d, "2026-05-04T05:42", "tick", "step=jars  state=undone");
    ck_assert_int_eq(look("2026-05-04T05:43")->pool.n[JARS_DIRTY][0], 3);
}
END_TEST

START_TEST(slips_at_the_shelf_get_one_line)
{
    morning("2026-05-03");
    look("2026-05-03T20:00");
    char *a = code_of("260503", 'A'), words[200], wrong[16];
    static const struct {
        const char *kind, *words, *line;
    } slips[] = {
        {"jar", "batch=%s  to=Nobody", "nobody who takes milk"},
        {"jar", "batch=%s  to=dump", "why= is missing"},
        {"jar", "batch=%s  count=9  to=drunk", "there are only 4, not 9"},
        {"jar", "batch=%s  count=0  to=drunk", "one jar or more"},
        {"jar", "batch=%s  to=fridge", "No jar of batch"},
        {"jar", "batch=%s  to=drunk  at=2026-05-03T06:19", "than had come there"},
        {"taste", "batch=%s  flavour=purple", "not a flavour"},
        {"taste", "batch=%s  flavour=sour  score=9", "score: 1"},
        {"taste", "batch=%s  flavour=good  turned=yes", "does not taste good"},
        {"taste", "batch=%s  flavour=sour  at=2026-05-03T05:00", "cannot have been tasted before"},
        {"pour", "onto=%s  from=Maud", "A top-up needs both"},
        {"repour", "batch=%s  jars=1xquart", "does not go into those"},
        {"clear", "before=2026-05-03", "No jar that was poured before"},
        {"outage", "from=2026-05-03T19:00  to=2026-05-03T18:00", "before the power went"},
        {"outage", "temp=44F", "give to= with it"},
        {"loss", "why=spilled", "how much was lost"},
        {"washed", "kind=half-gallon  count=1", "There are 0 half-gallon"},
        {"share", "jars=3", "Nobody has milk due"},
        {"jarback", "person=Hilda", "nobody who takes milk"},
    };
    for (size_t i = 0; i < sizeof slips / sizeof slips[0]; i++) {
        (void)snprintf(words, sizeof words, slips[i].words, a);
        rig_refused(d, "2026-05-03T20:01", slips[i].kind, words, slips[i].line);
    }
    /* One character misread: the code on the shelf that was meant is named. */
    (void)snprintf(wrong, sizeof wrong, "%s", a);
    wrong[5] = wrong[5] == '8' ? '9' : '8';
    (void)snprintf(words, sizeof words, "batch=%s  to=drunk", wrong);
    rig_refused(d, "2026-05-03T20:01", "jar", words, "Did you mean 260503-1A");
}
END_TEST

/* A part-filled quart of yesterday gets this morning's milk on top. */
START_TEST(a_topped_up_jar_holds_milk_of_both_mornings)
{
    rig_do(d, "2026-05-03T06:18", "milk", "cow=Tib  mass=2kg  strip=clean");
    rig_do(d, "2026-05-03T06:20", "pour", "jars=1xhalf-gallon  from=Tib  temp=95F  volume=1L");
    rig_do(d, "2026-05-03T07:30", "pull", "batch=A  to=fridge");
    look("2026-05-04T05:00");
    char *old = code_of("260503", 'A'), words[200];
    rig_do(d, "2026-05-04T06:18", "milk", "cow=Maud  mass=15.6kg  strip=clean");
    /* Half a litre at 95 °F on a litre at 38 °F comes to 57 °F: over the 50 °F of the milk ordinance (PMO,
     * section 7, item 18r: a blend with an earlier milking never above 50 °F). By hand: (2 x 38 + 95) / 3
     * = 57. */
    (void)snprintf(words, sizeof words, "jars=4xhalf-gallon  onto=%s  top=0.5L  from=Maud  temp=95F", old);
    rig_refused(d, "2026-05-04T06:20", "pour", words, "comes to 57 °F");
    rig_refused(d, "2026-05-04T06:20", "pour", words, "at most");
    (void)snprintf(words, sizeof words, "onto=%s  top=1L  from=Maud  temp=50F", old);
    rig_refused(d, "2026-05-04T06:20", "pour", words, "has room for");
    (void)snprintf(words, sizeof words, "jars=4xhalf-gallon  onto=%s  top=0.5L  from=Maud  temp=60F", old);
    rig_do(d, "2026-05-04T06:20", "pour", words);
    look("2026-05-04T06:21");
    ck_assert_uint_eq(shelf->rows, 2); /* the topped-up jar is the oldest milk, though poured last */
    ck_assert_int_eq(shelf->row[0].code[8], 'B');
    ck_assert(strstr(shelf->row[0].cows, "older milk") != NULL);
    ck_within(shelf->row[0].volume_l, 1.5, 1e-3);
    ck_assert_int_eq(shelf->row[0].milked_at.s, rig_at("2026-05-03T06:20").s);
    /* The jar is the same: the pool took four clean ones this morning, one yesterday, and none is to be
     * washed. */
    ck_assert_int_eq(shelf->pool.n[JARS_CLEAN][0], 12 - 5);
    ck_assert_int_eq(shelf->pool.n[JARS_DIRTY][0], 0);
    ck_assert_int_eq(shelf->pool.n[JARS_FULL][0], 5);
    struct trace_ask ask = {ASK_BATCH, shelf->row[0].batch_id, INSTANT_NONE, INSTANT_NONE};
    ck_assert_int_eq(dairy_trace(d, &ask, rig_at("2026-05-04T06:22"), trace, NULL), 0);
    ck_assert_uint_eq(trace->milks, 2);
    ck_assert_str_eq(trace->milk[0].cow, "Tib");
    ck_assert_str_eq(trace->milk[1].cow, "Maud");
    /* A litre and half a litre at 1.0305 kg per litre, to the gram. */
    ck_within(trace->milk[0].kg, 1.0305, 2e-3);
    ck_within(trace->milk[1].kg, 0.51525, 2e-3);
}
END_TEST

START_TEST(jars_poured_into_other_jars_keep_their_story)
{
    morning("2026-05-03");
    look("2026-05-03T07:45");
    char *a = code_of("260503", 'A');
    act("2026-05-03T08:00", "repour", "batch=%s  count=1  jars=2xquart", a);
    look("2026-05-03T20:00");
    ck_assert_uint_eq(shelf->rows, 3);
    ck_assert_int_eq(shelf->jars, 3 + 3 + 2);
    const struct shelf_row *c = NULL;
    for (size_t i = 0; i < shelf->rows; i++)
        if (shelf->row[i].code[8] == 'C')
            c = &shelf->row[i];
    ck_assert(c != NULL);
    ck_assert_str_eq(c->kind, "quart");
    ck_assert_int_eq(c->milked_at.s, rig_at("2026-05-03T06:20").s);
    /* What it has used up does not begin anew. */
    ck_within(c->keeping.used_days, shelf->row[0].keeping.used_days, 0.1);
    struct trace_ask ask = {ASK_COW, 1, rig_at("2026-05-03T00:00"), rig_at("2026-05-03T12:00")};
    ck_assert_int_eq(dairy_trace(d, &ask, rig_at("2026-05-03T20:00"), trace, NULL), 0);
    ck_assert_int_eq(trace->sum.jars, 4 + 2); /* the emptied jar counts as gone, its milk in two quarts */
    ck_assert_int_eq(trace->sum.at_home, 3 + 2);
}
END_TEST

/* The answer to a trace that is asked in words. */
static const struct trace_view *asked(const char *at, const char *pair, struct fail *f)
{
    struct form form;
    struct trace_ask ask;
    form_init(&form, trace_fields, trace_field_count, dairy_units(d), rig_at(at));
    ck_assert_int_eq(form_set_pair(&form, pair, NULL), 0);
    if (trace_ask_read(d, &form, rig_at(at), &ask, f) != 0)
        return NULL;
    ck_assert_int_eq(dairy_trace(d, &ask, rig_at(at), trace, NULL), 0);
    return trace;
}

START_TEST(a_sample_leads_to_the_jars_of_its_milk)
{
    struct fail f = {0};
    morning("2026-05-03");
    look("2026-05-03T07:45");
    int jars = shelf->jars;
    act("2026-05-03T07:46", "sample", "name=S1");
    act("2026-05-03T07:47", "sample", "name=S2  cow=Maud");
    act("2026-05-03T07:48", "sample", "name=S3  batch=%s", code_of("260503", 'A'));
    act("2026-05-03T07:49", "sample", "name=S4  of=water");
    ck_assert_int_eq(asked("2026-05-03T20:00", "sample=S1", &f)->sum.jars, jars);
    struct trace_ask maud = {ASK_COW, 1, rig_at("2026-05-03T00:00"), rig_at("2026-05-03T12:00")};
    ck_assert_int_eq(dairy_trace(d, &maud, rig_at("2026-05-03T20:00"), trace, NULL), 0);
    int of_maud = trace->sum.jars;
    ck_assert_int_eq(asked("2026-05-03T20:00", "sample=s2", &f)->sum.jars, of_maud);
    ck_assert_int_lt(of_maud, jars);
    ck_assert_str_eq(asked("2026-05-03T20:00", "sample=S3", &f)->line[0].code, code_of("260503", 'A'));
    ck_assert(asked("2026-05-03T20:00", "sample=S4", &f) == NULL);
    ck_assert_msg(strstr(f.text, "of water") != NULL, "%s", f.text);
    ck_assert(asked("2026-05-03T20:00", "sample=S9", &f) == NULL);
    ck_assert_msg(strstr(f.text, "no sample") != NULL, "%s", f.text);
}
END_TEST

START_TEST(tastings_teach_how_long_milk_keeps_here)
{
    morning("2026-05-01");
    morning("2026-05-02");
    look("2026-05-02T12:00");
    double usual = shelf->scale.life_days;
    char first[16], second[16];
    (void)snprintf(first, sizeof first, "%s", code_of("260501", 'A'));
    (void)snprintf(second, sizeof second, "%s", code_of("260502", 'A'));
    act("2026-05-12T08:00", "taste", "batch=%s  flavour=good  score=5", first);
    act("2026-05-14T08:00", "taste", "batch=%s  flavour=good", second);
    look("2026-05-14T09:00");
    ck_assert_int_eq(shelf->scale.basis, KEEPING_LEARNED);
    ck_assert_int_eq(shelf->scale.tastings, 2);
    ck_assert_msg(shelf->scale.life_days > usual * 1.2, "%g after good tastings, %g before",
                  shelf->scale.life_days, usual);
    ck_assert(strstr(shelf->scale_text, "2 batches tasted") != NULL);
    double longer = shelf->scale.life_days;
    act("2026-05-14T10:00", "taste", "batch=%s  flavour=sour  at=2026-05-05T08:00", second);
    ck_assert(look("2026-05-14T10:01")->scale.life_days < longer);
}
END_TEST

START_TEST(a_wrong_taste_leads_to_suspects_with_this_dairys_log)
{
    struct taste_view *v = calloc(1, sizeof *v);
    struct fail f = {0};
    rig_do(d, "2026-05-03T06:18", "milk", "cow=Maud  mass=34.4lb  strip=clean  disc=clean");
    rig_do(d, "2026-05-03T06:20", "pour", "jars=4xhalf-gallon  from=Maud  temp=95F");
    rig_do(d, "2026-05-03T06:25", "pull", "batch=A  to=fridge");
    rig_do(d, "2026-05-03T20:00", "reading", "at_place=fridge  temp=49F");
    rig_do(d, "2026-05-05T08:00", "taste", "batch=A  flavour=malty  others=same");
    ck_assert_msg(dairy_taste(d, 0, rig_at("2026-05-05T08:01"), v, NULL, &f) == 0, "%s", f.text);
    ck_assert_str_eq(v->flavour, "sour");
    ck_assert(v->turned);
    ck_assert(v->suspects >= 4);
    /* Five minutes in the tub, then the refrigerator: the log supports both a slow chill and a warm
     * refrigerator, and they come before the others. */
    for (size_t i = 0; i < 2; i++) {
        const char *s = v->suspect[i].row->suspect;
        ck_assert_msg(strcmp(s, "slow chill") == 0 || strcmp(s, "warm refrigerator") == 0, "%s", s);
        ck_assert_int_eq(v->suspect[i].finding, TASTE_SUPPORTS);
    }
    ck_assert(strstr(v->suspect[0].found, "to come to 40 °F") != NULL ||
              strstr(v->suspect[1].found, "to come to") != NULL);
    ck_assert_int_eq((int)v->log.fact[TASTE_MASTITIS_SIGNS], 0);
    ck_assert_int_eq((int)v->log.fact[TASTE_DISC_DIRTY], 0);
    ck_assert(isnan(v->log.fact[TASTE_LIGHT]));
    free(v);
}
END_TEST

START_TEST(a_power_cut_is_told_while_it_lasts_and_judges_every_jar_after)
{
    morning("2026-05-03");
    rig_do(d, "2026-05-04T14:00", "outage", "from=2026-05-04T14:00");
    const struct board *b = rig_board(d, "2026-05-04T14:30");
    ck_assert_msg(strstr(b->sentence, "Power out since 14:00: door shut, the milk may stay until about") !=
                      NULL,
                  "%s", b->sentence);
    ck_assert_int_eq(b->urgency, URGENCY_WATCH);
    ck_assert(b->good_until.s > rig_at("2026-05-04T14:30").s);
    rig_refused(d, "2026-05-04T15:00", "outage", "from=2026-05-04T14:50", "out already");
    ck_assert_int_eq(look("2026-05-04T14:30")->row[0].state, SHELF_GOOD);
    ck_assert(strstr(shelf->power_say, "Power out") != NULL);
    rig_do(d, "2026-05-05T02:00", "outage", "to=2026-05-05T02:00");
    b = rig_board(d, "2026-05-05T02:01");
    ck_assert_msg(strstr(b->sentence, "discard") != NULL, "%s", b->sentence);
    ck_assert_int_eq(b->urgency, URGENCY_STOP);
    /* Above 40 °F for two hours or more: discard (public advice on refrigerators without power). */
    look("2026-05-05T08:00");
    ck_assert_int_eq(shelf->row[0].state, SHELF_AWAY);
    ck_assert(strstr(shelf->row[0].remark, "two hours") != NULL);
    ck_assert_int_eq(shelf->settle, 7);
}
END_TEST

START_TEST(a_power_cut_says_what_the_room_and_the_time_make_of_it)
{
    struct act_done done;
    struct fail f = {0};
    morning("2026-05-03");
    /* A milk house at 39 °F never brings the milk above 40 °F, however long the power is out. */
    rig_do(d, "2026-05-04T13:00", "dairy", "room=39F");
    int64_t cut = rig_do(d, "2026-05-04T14:00", "outage", "from=2026-05-04T14:00");
    const struct board *b = rig_board(d, "2026-05-04T22:00");
    ck_assert_msg(strstr(b->sentence, "the milk house is cold enough; keep the door shut") != NULL, "%s", b->sentence);
    ck_assert_int_eq(dairy_undo(d, cut, rig_at("2026-05-04T22:01"), &done, &f), 0);
    /* In a room of 70 °F ten hours are too long, and that is said while it lasts. */
    rig_do(d, "2026-05-04T22:02", "dairy", "room=70F");
    rig_do(d, "2026-05-04T22:03", "outage", "from=2026-05-04T12:00");
    b = rig_board(d, "2026-05-04T22:04");
    ck_assert_msg(strstr(b->sentence, "above 40 °F too long by now") != NULL, "%s", b->sentence);
    /* A refrigerator cannot have got colder with its door shut: such a reading is left out, and the cut judged by the
     * room alone. */
    rig_do(d, "2026-05-04T22:05", "outage", "to=2026-05-04T22:05  temp=30F");
    b = rig_board(d, "2026-05-04T22:06");
    ck_assert_msg(strstr(b->sentence, "Power was out for 10 h 05") != NULL && strstr(b->sentence, "discard") != NULL, "%s",
                  b->sentence);
}
END_TEST

START_TEST(a_short_day_is_shared_out_with_reasons)
{
    struct share_day day;
    struct working w;
    rig_do(d, "2026-05-03T20:00", "person", "name=Hilda  share=4  days=daily");
    rig_do(d, "2026-05-03T20:00", "person", "name=Otto  share=2  days=daily");
    rig_do(d, "2026-05-03T20:00", "person", "name=Vi  share=2  days=mon,thu");
    working_init(&w, "share");
    /* 3 May 2026 is a Sunday: Vi has nothing due. */
    ck_assert_int_eq(share_day_load(d, rig_at("2026-05-03T20:00"), &day, NULL), 0);
    ck_assert_uint_eq(day.people, 2);
    ck_assert_int_eq(share_day_split(&day, 3, SHARE_IN_PROPORTION, &w, NULL), 0);
    ck_assert_int_eq(day.part[0].given, 2); /* 3 x 4/6 */
    ck_assert_int_eq(day.part[1].given, 1);
    ck_assert(strstr(day.part[0].why, "2 of 4 due") != NULL);
    rig_do(d, "2026-05-03T20:01", "share", "jars=3  method=proportion");
    rig_refused(d, "2026-05-03T20:02", "share", "jars=3", "shared out already");
    look("2026-05-03T20:03");
    ck_assert_int_eq(shelf->people.person[0].due, 2);
    ck_assert_int_eq(shelf->people.person[0].owed, 2);
    ck_assert_int_eq(shelf->people.person[1].owed, 1);
    /* The next day those who were short come first. */
    rig_do(d, "2026-05-04T20:01", "share", "jars=6  method=owed");
    look("2026-05-04T20:02");
    ck_assert_int_eq(shelf->people.person[0].due, 4);
    ck_assert_int_eq(shelf->people.person[2].due, 0);
    ck_assert_int_eq(shelf->people.person[2].owed, 2);
}
END_TEST

START_TEST(old_jars_are_cleared_in_one_act_and_undo_brings_them_back)
{
    struct act_done done;
    morning("2026-05-01");
    morning("2026-05-03");
    look("2026-05-03T20:00");
    ck_assert_int_eq(shelf->jars, 14);
    act("2026-05-03T20:01", "jar", "batch=%s  to=freezer", code_of("260501", 'A'));
    rig_refused(d, "2026-05-03T20:02", "clear", "before=2026-05-03  to=dump", "why= is missing");
    rig_do(d, "2026-05-03T20:02", "clear", "before=2026-05-03");
    look("2026-05-03T20:03");
    ck_assert_int_eq(shelf->jars, 8);
    ck_assert_int_eq(shelf->row[shelf->rows - 1].state, SHELF_FROZEN);
    ck_assert_int_eq(dairy_undo(d, 0, rig_at("2026-05-03T20:04"), &done, NULL), 0);
    ck_assert_int_eq(look("2026-05-03T20:05")->jars, 14);
}
END_TEST

START_TEST(an_earlier_move_is_not_taken_back_while_later_ones_rest_on_it)
{
    struct fail f = {0};
    struct act_done done;
    rig_do(d, "2026-05-03T06:18", "milk", "cow=Maud  mass=34.4lb  strip=clean");
    rig_do(d, "2026-05-03T06:20", "pour", "jars=4xhalf-gallon  from=Maud  temp=95F");
    int64_t pull = rig_do(d, "2026-05-03T07:20", "pull", "batch=A  to=fridge  count=2");
    rig_do(d, "2026-05-03T07:25", "jar", "batch=A  count=2  to=drunk");
    rig_do(d, "2026-05-03T07:30", "pull", "batch=A  to=fridge");
    /* In sum the jars would be there: two more came to the refrigerator later. But at 07:25 they were not. */
    ck_assert_int_eq(dairy_undo(d, pull, rig_at("2026-05-03T08:00"), &done, &f), -1);
    ck_assert_msg(strstr(f.text, "07:25") != NULL, "%s", f.text);
    ck_assert_int_eq(look("2026-05-03T08:01")->jars, 2);
}
END_TEST

/* What was learned is kept from look to look; it is what a program that opens the file now would learn. */
static void check_scale(const char *at)
{
    struct dairy *fresh = rig_open("t.db");
    struct shelf_view *v = calloc(1, sizeof *v);
    struct fail f = {0};
    ck_assert_msg(dairy_shelf(fresh, rig_at(at), v, &f) == 0, "%s", f.text);
    ck_within(look(at)->scale.life_days, v->scale.life_days, 1e-12);
    ck_assert_int_eq(shelf->scale.tastings, v->scale.tastings);
    free(v);
    dairy_close(fresh);
}

START_TEST(what_was_learned_from_tastings_is_learned_again_when_it_must_be)
{
    char words[80];
    morning("2026-05-03");
    look("2026-05-03T08:00");
    snprintf(words, sizeof words, "batch=%s  flavour=good", code_of("260503", 'A'));
    rig_do(d, "2026-05-09T18:00", "taste", words);
    check_scale("2026-05-09T18:01");
    double cold = shelf->scale.life_days;
    /* Entered late: the refrigerator was warm in those days, so good milk had used up more of its life. */
    rig_do(d, "2026-05-09T18:02", "reading", "at_place=fridge  temp=46F  at=2026-05-06T08:00");
    check_scale("2026-05-09T18:03");
    ck_assert_double_gt(shelf->scale.life_days, cold);
    /* What happens to jars and milk after the tasting changes nothing of it. */
    double warm = shelf->scale.life_days;
    snprintf(words, sizeof words, "batch=%s  to=drunk", code_of("260503", 'B'));
    rig_do(d, "2026-05-09T18:04", "jar", words);
    check_scale("2026-05-09T18:05");
    ck_within(shelf->scale.life_days, warm, 0);
    struct act_done done;
    ck_assert_int_eq(dairy_undo(d, 0, rig_at("2026-05-09T18:06"), &done, NULL), 0);
    check_scale("2026-05-09T18:07");
}
END_TEST

START_TEST(cheese_of_milk_that_must_not_be_kept_is_called_back_too)
{
    char words[120];
    morning("2026-05-03");
    look("2026-05-03T08:00");
    const char *code = code_of("260503", 'A');
    snprintf(words, sizeof words, "batch=%s  count=3  to=cheese", code);
    rig_do(d, "2026-05-03T10:00", "jar", words);
    snprintf(words, sizeof words, "batch=%s  to=drunk", code);
    rig_do(d, "2026-05-03T12:00", "jar", words);
    ck_assert_uint_eq(look("2026-05-04T08:00")->recall.lines, 0);
    rig_do(d, "2026-05-04T08:10", "treat", "cow=Maud  product=tube  milk_hours=96h  at=2026-05-02T20:00");
    ck_assert_int_eq(look("2026-05-04T08:11")->recall.open_cheese, 3);
    ck_assert_int_eq(shelf->recall.open_home + shelf->recall.open_given, 0);
    ck_assert_msg(strstr(shelf->say, "find the cheese of 3 jars") != NULL, "%s", shelf->say);
    snprintf(words, sizeof words, "batch=%s  count=4  from=cheese  to=dump  why=held", code);
    rig_refused(d, "2026-05-04T08:12", "jar", words, "3 were made into cheese, not 4");
    snprintf(words, sizeof words, "batch=%s  count=3  from=cheese  to=fridge", code);
    rig_refused(d, "2026-05-04T08:12", "jar", words, "Cheese can be thrown away");
    int dirty = shelf->pool.n[JARS_DIRTY][0];
    snprintf(words, sizeof words, "batch=%s  count=3  from=cheese  to=dump  why=held", code);
    rig_do(d, "2026-05-04T08:13", "jar", words);
    ck_assert_int_eq(look("2026-05-04T08:14")->recall.open_cheese, 0);
    ck_assert_int_eq(shelf->pool.n[JARS_DIRTY][0], dirty); /* the jars were emptied when it was made */
}
END_TEST

static int count_findings;

static void note_finding(void *context, const char *finding)
{
    (void)context;
    count_findings++;
    ck_abort_msg("verify: %s", finding);
}

/* Random mornings, top-ups, other jars, moves to and fro, and undos in any order. After each step: what the
 * shelf, the people and the gone add up to is what was poured; grams too; and looking forward from a cow's
 * milk and back from jars agree. */
enum { SET_UP_ACTS = 7 }; /* the first entries of the journal, which stay */

static const char *random_code(struct stream *s)
{
    if (shelf->rows == 0)
        return NULL;
    return shelf->row[stream_below(s, (int)shelf->rows)].code;
}

static int64_t last_entry;

static int try_act(const char *at, const char *kind, const char *words)
{
    struct form form;
    struct act_done done;
    struct fail f = {0};
    char copy[300];
    const struct act_kind *k = act_find(kind);
    act_form(d, k, rig_at(at), &form);
    (void)snprintf(copy, sizeof copy, "%s", words);
    for (char *word = strtok(copy, " "); word != NULL; word = strtok(NULL, " "))
        if (form_set_pair(&form, word, &f) != 0)
            ck_abort_msg("%s %s: %s", kind, words, f.text);
    int result = dairy_record(d, k, &form, rig_at(at), &done, &f);
    last_entry = result == 0 ? done.entry : last_entry;
    return result;
}

/* Takes back one of the latest entries; an undo that is itself taken back is a redo. */
static void try_undo(struct stream *s, const char *at)
{
    struct act_done done;
    int64_t entry = last_entry - stream_below(s, 12);
    if (entry > SET_UP_ACTS && dairy_undo(d, entry, rig_at(at), &done, NULL) == 0)
        last_entry = done.entry;
}

static void random_step(struct stream *s, const char *at)
{
    static const char *const places[] = {"Hilda",   "Otto",   "drunk",  "calf", "pigs",
                                         "freezer", "fridge", "cheese", "dump"};
    char words[200];
    const char *code = random_code(s);
    switch (stream_below(s, 11)) {
    case 0:
    case 1:
        (void)snprintf(words, sizeof words, "cow=%s mass=%dkg strip=clean",
                       stream_below(s, 2) ? "Maud" : "Tib", 5 + stream_below(s, 12));
        (void)try_act(at, "milk", words);
        (void)snprintf(words, sizeof words, "jars=%dxhalf-gallon,%dxquart from=%s temp=%dC volume=%dL",
                       1 + stream_below(s, 3), 1 + stream_below(s, 2),
                       stream_below(s, 3) == 0 ? "Maud,Tib" : "Maud", 15 + stream_below(s, 20),
                       2 + stream_below(s, 3));
        (void)try_act(at, "pour", words);
        return;
    case 2:
        if (code != NULL) {
            (void)snprintf(words, sizeof words, "batch=%s to=fridge", code);
            (void)try_act(at, "pull", words);
        }
        return;
    case 3:
        if (code != NULL) {
            (void)snprintf(words, sizeof words, "onto=%s top=%dmL from=Tib temp=8C allow=test", code,
                           100 * (1 + stream_below(s, 5)));
            (void)try_act(at, "pour", words);
        }
        return;
    case 4:
        if (code != NULL) {
            (void)snprintf(words, sizeof words, "batch=%s count=1 jars=%dxquart", code,
                           1 + stream_below(s, 3));
            (void)try_act(at, "repour", words);
        }
        return;
    case 5:
        if (code != NULL) {
            (void)snprintf(words, sizeof words, "batch=%s to=fridge from=%s", code,
                           stream_below(s, 2) ? "Hilda" : "Otto");
            (void)try_act(at, "jar", words);
        }
        return;
    case 6:
    case 7: try_undo(s, at); return;
    default:
        if (code != NULL) {
            (void)snprintf(words, sizeof words, "batch=%s count=%d to=%s why=other", code,
                           1 + stream_below(s, 2), places[stream_below(s, 9)]);
            (void)try_act(at, "jar", words);
        }
        return;
    }
}

/* Every lot forward and every batch back: the same pairs. */
static void check_relation(const char *at)
{
    struct trace_view *back = calloc(1, sizeof *back);
    struct fail f = {0};
    for (int64_t cow = 1; cow <= 2; cow++) {
        struct trace_ask ask = {ASK_COW, cow, INSTANT_NONE, INSTANT_NONE};
        ck_assert_msg(dairy_trace(d, &ask, rig_at(at), trace, &f) == 0, "%s", f.text);
        for (size_t i = 0; i < trace->lines; i++) {
            struct trace_ask batch = {ASK_BATCH, trace->line[i].batch_id, INSTANT_NONE, INSTANT_NONE};
            bool found = false;
            ck_assert_msg(dairy_trace(d, &batch, rig_at(at), back, &f) == 0, "%s", f.text);
            for (size_t k = 0; k < back->milks; k++)
                found = found || back->milk[k].cow_id == cow;
            if (!found)
                ck_abort_msg("batch %s holds milk of cow %d, but looking back does not find her",
                             trace->line[i].code, (int)cow);
        }
    }
    for (size_t i = 0; i < shelf->rows; i++) {
        const struct shelf_row *row = &shelf->row[i];
        struct trace_ask batch = {ASK_BATCH, row->batch_id, INSTANT_NONE, INSTANT_NONE};
        double kg = 0;
        int jars = 0;
        ck_assert_msg(dairy_trace(d, &batch, rig_at(at), back, &f) == 0, "%s", f.text);
        for (size_t k = 0; k < back->lines; k++)
            jars += back->line[k].batch_id == row->batch_id ? back->line[k].count : 0;
        for (size_t k = 0; k < back->milks; k++) {
            struct trace_ask cow = {ASK_COW, back->milk[k].cow_id, back->milk[k].at, back->milk[k].at};
            bool found = false;
            kg += back->milk[k].kg;
            ck_assert_int_eq(dairy_trace(d, &cow, rig_at(at), trace, NULL), 0);
            for (size_t n = 0; n < trace->lines; n++)
                found = found || trace->line[n].batch_id == row->batch_id;
            if (!found)
                ck_abort_msg("%s: looking forward from %s's milk does not find it", row->code,
                             back->milk[k].cow);
        }
        /* 8.6 lb to the gallon; a jar's rounding is a gram of milk and half a millilitre, for itself and for
         * the jar that its milk came from. */
        double by_volume_kg = jars * row->volume_l * 8.6 * 0.45359237 / 3.785411784;
        if (!isnan(kg) && fabs(kg - by_volume_kg) > 0.004 * jars)
            ck_abort_msg("%s: %.3f kg of the cows in it, %.3f kg by its jars", row->code, kg, by_volume_kg);
    }
    free(back);
}

START_TEST(jars_and_milk_are_conserved_whatever_is_done_and_undone)
{
    struct stream s = {.state = 4711 + (uint64_t)_i};
    char at[24];
    size_t findings = 0;
    last_entry = SET_UP_ACTS;
    rig_do(d, EVENING, "jars", "kind=quart  count=30");
    rig_do(d, EVENING, "person", "name=Hilda");
    rig_do(d, EVENING, "person", "name=Otto");
    for (int step = 0; step < 70; step++) {
        int minute = step * 47;
        (void)snprintf(at, sizeof at, "2026-05-%02dT%02d:%02d", 3 + minute / 1440, minute / 60 % 24,
                       minute % 60);
        look(at);
        random_step(&s, at);
    }
    look(at);
    ck_assert_int_eq(dairy_verify(d, note_finding, NULL, &findings, NULL), 0);
    ck_assert_uint_eq(findings, 0);
    check_relation(at);
    /* What is full at home by the pool is what stands on the shelf. */
    int full = 0;
    for (size_t i = 0; i < shelf->kinds.count; i++)
        full += shelf->pool.n[JARS_FULL][i];
    ck_assert_int_eq(full, shelf->jars);
}
END_TEST

Suite *shelf_suite(void)
{
    Suite *s = suite_create("shelf");
    TCase *t = tcase_create("shelf");
    tcase_add_checked_fixture(t, open_dairy, close_dairy);
    tcase_add_test(t, jars_stand_oldest_first_and_each_says_how_long_it_is_good);
    tcase_add_test(t, a_sample_leads_to_the_jars_of_its_milk);
    tcase_add_test(t, the_chill_is_part_of_what_was_used);
    tcase_add_test(t, a_slow_chill_is_shown_as_days_lost);
    tcase_add_test(t, the_use_by_day_is_the_earlier_of_rule_and_model);
    tcase_add_test(t, jars_go_to_people_and_come_back);
    tcase_add_test(t, the_chore_of_setting_jars_out_says_that_they_are_washed);
    tcase_add_test(t, slips_at_the_shelf_get_one_line);
    tcase_add_test(t, a_topped_up_jar_holds_milk_of_both_mornings);
    tcase_add_test(t, jars_poured_into_other_jars_keep_their_story);
    tcase_add_test(t, tastings_teach_how_long_milk_keeps_here);
    tcase_add_test(t, a_wrong_taste_leads_to_suspects_with_this_dairys_log);
    tcase_add_test(t, a_power_cut_is_told_while_it_lasts_and_judges_every_jar_after);
    tcase_add_test(t, a_power_cut_says_what_the_room_and_the_time_make_of_it);
    tcase_add_test(t, a_short_day_is_shared_out_with_reasons);
    tcase_add_test(t, old_jars_are_cleared_in_one_act_and_undo_brings_them_back);
    tcase_add_test(t, an_earlier_move_is_not_taken_back_while_later_ones_rest_on_it);
    tcase_add_test(t, what_was_learned_from_tastings_is_learned_again_when_it_must_be);
    tcase_add_test(t, cheese_of_milk_that_must_not_be_kept_is_called_back_too);
    tcase_add_loop_test(t, jars_and_milk_are_conserved_whatever_is_done_and_undone, 0, 12);
    suite_add_tcase(s, t);
    return s;
}
