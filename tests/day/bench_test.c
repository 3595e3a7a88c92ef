/* What the wash bench shows, from what was recorded: strength, sink, parts, laboratory, order; and the routine,
 * edited in the middle of a morning. */
#include <math.h>

#include "core/day/relief_view.h"
#include "core/day/setup_view.h"
#include "core/day/tonight_view.h"
#include "core/day/wash_view.h"
#include "tests/day/rig.h"
#include "tests/scratch.h"
#include "tests/support.h"

#define EVENING "2026-05-02T20:00"

static const struct wash_view *bench(struct dairy *d, const char *at)
{
    static struct wash_view *v;
    struct fail f = {0};
    if (v == NULL)
        v = calloc(1, sizeof *v);
    ck_assert_msg(dairy_wash(d, rig_at(at), v, &f) == 0, "%s", f.text);
    return v;
}

/* ---- the mix ---- */

START_TEST(what_counts_is_the_strip_and_the_chosen_rule_judges_it)
{
    struct dairy *d = rig_small("t.db", EVENING);
    ck_assert(!bench(d, "2026-05-03T05:30")->mix.known);
    rig_do(d, "2026-05-03T05:40", "mix", "strength=8.25%  opened=2026-04-12  target=100ppm  volume=3gal");
    const struct wash_mix_view *m = &bench(d, "2026-05-03T05:41")->mix;
    ck_assert(m->known && m->fresh && m->good && !instant_known(m->read_at));
    ck_within(m->ppm, 100, 0.1);
    ck_within(m->dose_ml, 3 * L_PER_GAL * 100 / 82500 * 1000, 0.01); /* derived: volume x ppm / (percent x 10000) */
    ck_assert_msg(strstr(m->opened, "12 Apr, 21 days ago") != NULL, "%s", m->opened);
    /* A tablespoon to the gallon of 8.25 %: 321 ppm, 200 only at 5.25 % (derived from 14.787 mL in 3785.4 mL). */
    ck_assert_msg(strstr(m->spoon_rule, "321 ppm") != NULL, "%s", m->spoon_rule);
    /* Food Code 4-501.114: 50 to 99 mg/L need 100 °F, or 75 °F at pH 8 or less. */
    rig_do(d, "2026-05-03T05:42", "rules", "contact=food-code");
    rig_do(d, "2026-05-03T05:43", "strip", "ppm=60ppm  top=200ppm  ph=9  temp=80F");
    m = &bench(d, "2026-05-03T05:44")->mix;
    ck_within(m->ppm, 60, 1e-9);
    ck_assert_int_eq(m->contact, CONTACT_NOT_ALLOWED);
    ck_assert_msg(strstr(m->contact_words, "NOT ALLOWED") != NULL, "%s", m->contact_words);
    rig_do(d, "2026-05-03T05:45", "strip", "ppm=60ppm  ph=7.5  temp=80F");
    m = &bench(d, "2026-05-03T05:46")->mix;
    ck_assert_int_eq(m->contact, CONTACT_ALLOWED);
    ck_assert_msg(strstr(m->contact_words, "10 s") != NULL, "%s", m->contact_words);
    ck_assert(!bench(d, "2026-05-04T06:00")->mix.fresh);
    dairy_close(d);
}
END_TEST

static const char *relief_dose(struct dairy *d, const char *at)
{
    static struct relief_view *v;
    struct fail f = {0};
    if (v == NULL)
        v = calloc(1, sizeof *v);
    ck_assert_msg(dairy_relief(d, rig_at(at), v, &f) == 0, "%s", f.text);
    ck_assert_int_ge(v->dose_step, 0);
    ck_assert_str_eq(v->routine.step[v->dose_step].id, "mix");
    return v->dose;
}

START_TEST(who_milks_for_once_is_told_the_dose)
{
    struct dairy *d = rig_small("t.db", EVENING);
    const char *dose = relief_dose(d, "2026-05-03T05:30");
    ck_assert_msg(strstr(dose, "label and the strip") != NULL, "%s", dose);
    rig_do(d, "2026-05-03T05:40", "mix", "strength=6%  target=100ppm  volume=3gal");
    dose = relief_dose(d, "2026-05-03T05:41");
    ck_assert_msg(strncmp(dose, "Mixed already, at 05:40: 18.9 mL", 32) == 0, "%s", dose);
    /* 6 %, 100 ppm, 3 gal: 18.93 mL (derived: volume x ppm / (percent x 10000)), 3.84 teaspoons of 4.929 mL. */
    dose = relief_dose(d, "2026-05-04T05:30");
    ck_assert_msg(strncmp(dose, "Dose: 18.9 mL (1 tbsp 3/4 tsp) of bleach 6%", 43) == 0, "%s", dose);
    ck_assert_msg(strstr(dose, "3 gal for 100 ppm") != NULL, "%s", dose);
    dairy_close(d);
}
END_TEST

START_TEST(who_milks_for_once_is_told_the_evenings_figure)
{
    struct dairy *d = rig_small("t.db", EVENING);
    struct relief_view *v = calloc(1, sizeof *v);
    struct tonight_view *t = calloc(1, sizeof *t);
    struct fail f = {0};
    char ice[80];
    ck_assert_msg(dairy_relief(d, rig_at("2026-05-03T05:00"), v, &f) == 0, "%s", f.text);
    ck_assert_msg(dairy_tonight(d, rig_at("2026-05-03T05:00"), t, NULL, &f) == 0, "%s", f.text);
    /* 0.45359237 kg to the pound (NIST SP 811); rounded up to whole ones. */
    snprintf(ice, sizeof ice, "Ice for the tub: %.0f lb; jars: %d half-gallon.", ceil(t->plan.ice_advised_kg / 0.45359237),
             t->plan.jars[0]);
    ck_assert_str_eq(v->tub, ice);
    rig_do(d, "2026-05-03T06:10", "milking", "state=start");
    ck_assert_msg(dairy_relief(d, rig_at("2026-05-03T06:11"), v, &f) == 0, "%s", f.text);
    ck_assert_str_eq(v->tub, "");
    free(t);
    free(v);
    dairy_close(d);
}
END_TEST

/* ---- the sink ---- */

START_TEST(the_sink_is_learned_from_two_readings_and_remembered)
{
    struct dairy *d = rig_small("t.db", EVENING); /* the milk house is at 60 °F */
    ck_assert(!bench(d, "2026-05-03T06:30")->sink.filled);
    rig_do(d, "2026-05-03T06:00", "milking", "state=start");
    rig_do(d, "2026-05-03T06:40", "sink", "temp=160F");
    const struct wash_sink_view *s = &bench(d, "2026-05-03T06:41")->sink;
    ck_assert(s->filled && isnan(s->k_per_min) && !instant_known(s->floor_at));
    ck_assert_msg(strstr(s->words, "one more reading") != NULL, "%s", s->words);
    /* 160 to 150 °F in 5 min beside 60 °F: k 0.021072 a minute, 120 °F after 24.24 min (derived from Newton's law). */
    rig_do(d, "2026-05-03T06:45", "reading", "at_place=sink  temp=150F");
    s = &bench(d, "2026-05-03T06:45")->sink;
    ck_within(s->k_per_min, 0.021072, 0.00001);
    ck_within((double)(s->floor_at.s - s->filled_at.s) / 60, 24.24, 0.02);
    ck_within(temp_f_from_c(s->now_c), 150, 0.01);
    ck_assert_msg(strstr(s->words, "above 120 °F for 20 min more, until 07:04") != NULL, "%s", s->words);
    /* Third-degree burn at 150 °F in 2 s: the table of scald times. */
    ck_assert_msg(strstr(s->scald_words, "within 2 seconds") != NULL, "%s", s->scald_words);
    s = &bench(d, "2026-05-03T07:10")->sink;
    ck_assert_msg(strstr(s->words, "TOO COLD to wash with: under 120 °F since 07:04") != NULL, "%s", s->words);
    /* The next day the first reading is enough; a wash of 6 min must start at 60 + 60 e^(6 k) = 128.1 °F (derived). */
    s = &bench(d, "2026-05-04T06:00")->sink;
    ck_assert(!s->filled);
    ck_assert_int_eq(s->runs, 1);
    ck_within(temp_f_from_c(s->needed_c), 60 + 60 * exp(6 * 0.021072), 0.05);
    rig_do(d, "2026-05-04T06:40", "sink", "temp=160F");
    s = &bench(d, "2026-05-04T06:40")->sink;
    ck_within((double)(s->floor_at.s - s->filled_at.s) / 60, 24.24, 0.02);
    /* A heater set to 120 °F can never end a wash at 120 °F. */
    rig_do(d, "2026-05-04T06:41", "rules", "heater=120F");
    s = &bench(d, "2026-05-04T06:42")->sink;
    ck_assert(!s->heater_enough);
    ck_assert_msg(strstr(s->start_words, "the heater at 120 °F cannot do it") != NULL, "%s", s->start_words);
    dairy_close(d);
}
END_TEST

START_TEST(hot_and_cold_for_the_wash_are_worked_out)
{
    struct dairy *d = rig_small("t.db", EVENING); /* tap 55 °F; the routine's wash starts at 165 °F */
    rig_do(d, EVENING, "rules", "heater=180F");
    ck_assert_str_eq(bench(d, EVENING)->sink.temper_words, ""); /* nobody has said how much */
    rig_do(d, EVENING, "sink", "temp=165F  volume=10gal");
    /* 180 and 55 °F for 10 gal at 165 °F: 8.8 hot, 1.2 cold (derived). */
    const struct wash_sink_view *s = &bench(d, EVENING)->sink;
    ck_assert_str_eq(s->temper_words, "8.8 gal at 180 °F and 1.2 gal from the tap make 165 °F");
    rig_do(d, EVENING, "rules", "heater=140F");
    s = &bench(d, EVENING)->sink;
    ck_assert_msg(strstr(s->temper_words, "165 °F cannot be had: the heater gives 140 °F") != NULL, "%s", s->temper_words);
    dairy_close(d);
}
END_TEST

START_TEST(the_chore_of_the_hot_wash_knows_when_its_water_is_cold)
{
    struct dairy *d = rig_small("t.db", EVENING);
    rig_do(d, "2026-05-03T06:00", "milking", "state=start");
    rig_do(d, "2026-05-03T06:40", "sink", "temp=130F");
    rig_do(d, "2026-05-03T06:42", "reading", "at_place=sink  temp=126F");
    rig_do(d, "2026-05-03T06:42", "tick", "step=hot-wash  state=begun");
    const struct board *b = rig_board(d, "2026-05-03T06:43");
    bool seen = false;
    for (size_t i = 0; i < b->progress.count; i++) {
        const struct progress_row *row = &b->progress.row[i];
        if (strcmp(row->step->id, "hot-wash") != 0)
            continue;
        seen = true;
        /* 130 to 126 °F in 2 min beside 60 °F: k = ln(70/66)/2; from 126 to 120 °F ln(66/60)/k = 3.24 min (derived). */
        ck_within((double)(row->floor_at.s - rig_at("2026-05-03T06:42").s) / 60, log(66.0 / 60) / (log(70.0 / 66) / 2),
                  0.05);
        ck_assert(row->too_short); /* six minutes are asked for */
    }
    ck_assert(seen);
    dairy_close(d);
}
END_TEST

START_TEST(acid_that_was_left_in_the_sink_waits_for_a_rinse_the_next_day)
{
    struct dairy *d = rig_small("t.db", EVENING);
    rig_do(d, "2026-05-03T06:00", "milking", "state=start");
    rig_do(d, "2026-05-03T07:00", "tick", "step=hot-rinse");
    rig_do(d, "2026-05-03T07:02", "tick", "step=acid-rinse");
    rig_do(d, "2026-05-03T07:30", "milking", "state=done");
    rig_do(d, "2026-05-04T05:40", "tick", "step=gear-look");
    rig_do(d, "2026-05-04T05:41", "tick", "step=mix");
    for (int rinsed = 0; rinsed < 2; rinsed++) {
        const struct board *b = rig_board(d, rinsed ? "2026-05-04T05:46" : "2026-05-04T05:43");
        for (size_t i = 0; i < b->progress.count; i++)
            if (strcmp(b->progress.row[i].step->id, "sanitise") == 0) {
                ck_assert_int_eq(b->progress.row[i].state, rinsed ? STATE_OPEN : STATE_WAITING);
                ck_assert_msg(rinsed || strstr(b->progress.row[i].why, "acid is in the sink") != NULL, "%s",
                              b->progress.row[i].why);
            }
        if (!rinsed)
            rig_do(d, "2026-05-04T05:45", "tick", "step=rinse-gear");
    }
    dairy_close(d);
}
END_TEST

/* ---- parts ---- */

static const struct wash_part_view *part_of(const struct wash_view *v, const char *name)
{
    for (size_t i = 0; i < v->parts; i++)
        if (strcmp(v->part[i].name, name) == 0)
            return &v->part[i];
    ck_abort_msg("no part %s", name);
}

START_TEST(parts_are_due_by_milkings_or_by_the_calendar_whichever_binds)
{
    struct dairy *d = rig_small("t.db", EVENING);
    /* Two cows once a day with one unit: 1200 milkings are 600 days, so half a year binds (derived). */
    rig_do(d, "2026-05-03T09:00", "part", "name=liner  fitted=2026-05-01");
    const struct wash_part_view *p = part_of(bench(d, "2026-05-03T09:01"), "liner");
    ck_assert_int_eq(p->days_left, 182 - 2);
    ck_assert_msg(strstr(p->text, "due 30 Oct, in 180 days, by the calendar") != NULL, "%s", p->text);
    /* 20 milkings are 10 days with two cows; one cow milked since takes half a day off, whole days count. */
    rig_do(d, "2026-05-03T09:02", "part", "name=liner  milkings=20  days=182");
    ck_assert_int_eq(part_of(bench(d, "2026-05-03T09:03"), "liner")->days_left, 10);
    rig_do(d, "2026-05-03T09:04", "milk", "cow=Maud  mass=36lb");
    p = part_of(bench(d, "2026-05-03T09:05"), "liner");
    ck_assert_int_eq(p->days_left, 9);
    ck_assert_msg(strstr(p->text, "by milkings") != NULL, "%s", p->text);
    ck_assert_int_eq(p->urgency, URGENCY_WATCH);
    /* A word of the keeper's own. */
    rig_do(d, "2026-05-03T09:06", "part", "name=teat cup plug  days=30  fitted=2026-04-01");
    p = part_of(bench(d, "2026-05-03T09:07"), "teat cup plug");
    ck_assert(p->over);
    ck_assert_msg(strstr(p->text, "DUE since 1 May, 2 days over") != NULL, "%s", p->text);
    ck_assert_str_eq(bench(d, "2026-05-03T09:07")->part[0].name, "teat cup plug"); /* what is over stands first */
    dairy_close(d);
}
END_TEST

START_TEST(stock_is_used_up_by_the_cows_that_were_milked)
{
    struct dairy *d = rig_small("t.db", EVENING);
    rig_do(d, "2026-05-03T05:00", "part", "name=disc  stock=20  lead=5");
    const struct wash_part_view *p = part_of(bench(d, "2026-05-03T05:01"), "disc");
    ck_assert_int_eq(p->days_left, 10); /* one disc for one cow: two a day */
    ck_assert_msg(strstr(p->text, "20 on the shelf, out 13 May, order by 8 May") != NULL, "%s", p->text);
    rig_do(d, "2026-05-03T06:20", "milk", "cow=Maud  mass=36lb");
    rig_do(d, "2026-05-03T06:30", "milk", "cow=Tib  mass=20lb");
    p = part_of(bench(d, "2026-05-03T07:00"), "disc");
    ck_assert_msg(strstr(p->text, "18 on the shelf") != NULL, "%s", p->text);
    rig_do(d, "2026-05-03T07:01", "part", "name=disc  stock=1");
    p = part_of(bench(d, "2026-05-03T07:02"), "disc");
    ck_assert_msg(strstr(p->text, "NONE LEFT for a day") != NULL, "%s", p->text);
    dairy_close(d);
}
END_TEST

/* ---- the laboratory ---- */

static void figure(struct dairy *d, const char *name, const char *drawn, const char *came, int plate)
{
    char words[120];
    snprintf(words, sizeof words, "sample=%s  drawn=%s  plate=%d", name, drawn, plate);
    rig_do(d, came, "lab", words);
}

START_TEST(standards_that_count_differently_are_told_apart)
{
    struct dairy *d = rig_small("t.db", "2026-02-02T20:00");
    const struct wash_measure_view *m;
    rig_do(d, "2026-02-03T09:00", "rules", "standard=california"); /* 3 of the last 5 over 15 000 */
    figure(d, "A", "2026-02-10T07:00", "2026-02-15T09:00", 16000);
    m = &bench(d, "2026-02-15T10:00")->measure[LAB_PLATE];
    ck_assert_int_eq(m->verdict, LAB_OVER);
    figure(d, "B", "2026-03-10T07:00", "2026-03-15T09:00", 17000);
    figure(d, "C", "2026-04-10T07:00", "2026-04-15T09:00", 18000);
    m = &bench(d, "2026-04-15T10:00")->measure[LAB_PLATE];
    ck_assert_int_eq(m->verdict, LAB_BROKEN);
    ck_assert_int_eq(m->urgency, URGENCY_STOP);
    ck_assert_uint_gt(m->looks, 0);
    ck_assert_uint_gt(m->logs, 0);
    /* The EU looks at a geometric mean of two samples a month over two months; three in three months say nothing. */
    rig_do(d, "2026-04-16T09:00", "rules", "standard=eu-raw");
    m = &bench(d, "2026-04-16T10:00")->measure[LAB_PLATE];
    ck_assert_int_eq(m->verdict, LAB_TOO_FEW);
    figure(d, "D", "2026-03-12T07:00", "2026-04-16T11:00", 1000);
    figure(d, "E", "2026-04-14T07:00", "2026-04-16T11:00", 1000);
    m = &bench(d, "2026-04-16T12:00")->measure[LAB_PLATE];
    ck_assert_int_eq(m->verdict, LAB_WITHIN);
    /* (17000 x 18000 x 1000 x 1000)^(1/4) = 4182.45 (derived). */
    ck_assert_msg(strstr(m->words, "4182.45") != NULL, "%s", m->words);
    dairy_close(d);
}
END_TEST

static bool has_line(const struct wash_measure_view *m, const char *part)
{
    for (size_t i = 0; i < m->logs; i++)
        if (strstr(m->log[i], part) != NULL)
            return true;
    return false;
}

START_TEST(a_high_count_is_asked_of_this_dairys_own_log_of_that_day)
{
    struct dairy *d = rig_small("t.db", EVENING);
    /* The evening's wash: cut short, and the acid left out. */
    rig_do(d, "2026-05-03T06:00", "milking", "state=start");
    rig_do(d, "2026-05-03T06:40", "sink", "temp=150F");
    rig_do(d, "2026-05-03T06:41", "tick", "step=hot-wash  state=begun");
    rig_do(d, "2026-05-03T06:43", "reading", "at_place=sink  temp=140F");
    rig_do(d, "2026-05-03T06:44", "tick", "step=hot-wash  state=done");
    rig_do(d, "2026-05-03T06:50", "tick", "step=acid-rinse  state=skipped");
    rig_do(d, "2026-05-03T07:00", "milking", "state=done");
    rig_do(d, "2026-05-04T05:40", "mix", "strength=8.25%  target=100ppm  volume=3gal  strip=50ppm");
    rig_do(d, "2026-05-04T05:42", "tick", "step=sanitise  state=skipped");
    rig_do(d, "2026-05-04T06:00", "milking", "state=start");
    rig_do(d, "2026-05-04T06:20", "milk", "cow=Maud  mass=36lb  strip=clean  disc=dirt");
    rig_do(d, "2026-05-04T06:25", "pour", "jars=4xhalf-gallon  temp=95F  bath=34F");
    rig_do(d, "2026-05-04T07:30", "sample", "hours=30h");
    rig_do(d, "2026-05-06T09:00", "lab", "temp=46F");
    rig_do(d, "2026-05-09T09:00", "lab", "plate=52000  coliform=2");
    const struct wash_view *v = bench(d, "2026-05-09T10:00");
    const struct wash_measure_view *m = &v->measure[LAB_PLATE];
    ck_assert_int_eq(m->verdict, LAB_BROKEN); /* voluntary standard: under 5000 */
    static const char *const lines[] = {"TOO LONG",
                                        "came at 46 °F",
                                        "WARM sample",
                                        "gear NOT sanitised: the step was left out",
                                        "nothing says that the gear was drained",
                                        "sanitiser 50 ppm by strip: too weak",
                                        "hot wash before it: 3 min, too short",
                                        "at the last reading: 140 °F",
                                        "left out of the wash before it: acid-rinse",
                                        "Maud: disc dirt",
                                        "at 50 °F after"};
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++)
        ck_assert_msg(has_line(m, lines[i]), "no line has \"%s\"", lines[i]);
    /* What is within its standard is not asked about. */
    ck_assert_int_eq(v->measure[LAB_COLIFORM].verdict, LAB_WITHIN);
    ck_assert_uint_eq(v->measure[LAB_COLIFORM].logs, 0);
    dairy_close(d);
}
END_TEST

START_TEST(a_sample_on_its_way_says_how_long_it_has)
{
    struct dairy *d = rig_small("t.db", EVENING);
    rig_do(d, "2026-05-03T07:00", "sample", "name=M1  hours=30h");
    ck_assert_str_eq(bench(d, "2026-05-03T08:00")->sample[0].text,
                     "milk drawn 07:00, NOT SENT; cold, and there by Mon 13:00: 29 h 00 left");
    const struct wash_view *v = bench(d, "2026-05-04T14:00");
    ck_assert_int_eq(v->sample[0].urgency, URGENCY_STOP);
    ck_assert_msg(strstr(v->sample[0].text, "TOO LATE, 1 h 00 over") != NULL, "%s", v->sample[0].text);
    rig_do(d, "2026-05-04T15:00", "lab", "plate=900");
    ck_assert_uint_eq(bench(d, "2026-05-04T15:01")->samples, 0);
    dairy_close(d);
}
END_TEST

/* ---- the order ---- */

START_TEST(clean_cows_are_milked_first_and_the_treated_last)
{
    struct dairy *d = rig_small("t.db", EVENING);
    rig_do(d, EVENING, "cow", "name=Wren  breed=Guernsey  stall=3  calved=2026-04-10  calvings=1");
    /* Wren is fresh, Maud clean, Tib clean; stalls decide between the clean. Montana ARM 32.9.303: abnormal milk
     * last, or in separate gear. */
    const struct wash_view *v = bench(d, "2026-05-03T06:00");
    ck_assert_uint_eq(v->orders, 3);
    ck_assert_str_eq(v->order[0].name, "Wren");
    ck_assert_str_eq(v->order[1].name, "Maud");
    rig_do(d, "2026-05-03T06:00", "treat", "cow=Maud  product=tube  why=mastitis  dose=1  route=quarter  milk_hours=96h  meat_days=4d");
    rig_do(d, "2026-05-03T06:01", "milk", "cow=Tib  mass=20lb  strip=flakes  quarter=LF");
    v = bench(d, "2026-05-04T06:00");
    ck_assert_str_eq(v->order[1].name, "Tib");
    ck_assert_str_eq(v->order[2].name, "Maud");
    ck_assert_msg(strstr(v->order[2].why, "last") != NULL, "%s", v->order[2].why);
    /* The board's chores go by the same order. */
    const struct board *b = rig_board(d, "2026-05-04T06:00");
    ck_assert_str_eq(b->cow[0].name, "Wren");
    ck_assert_str_eq(b->cow[2].name, "Maud");
    dairy_close(d);
}
END_TEST

/* ---- the routine, edited in the middle of a morning ---- */

static const struct progress_row *row_of(const struct board *b, const char *step)
{
    for (size_t i = 0; i < b->progress.count; i++)
        if (strcmp(b->progress.row[i].step->id, step) == 0)
            return &b->progress.row[i];
    return NULL;
}

START_TEST(a_routine_edited_in_the_middle_of_a_morning_keeps_its_ticks)
{
    struct dairy *d = rig_small("t.db", EVENING);
    rig_do(d, "2026-05-03T05:40", "tick", "step=ice");
    rig_do(d, "2026-05-03T05:41", "tick", "step=jars");
    rig_do(d, "2026-05-03T05:42", "tick", "step=gear-look");
    size_t done = rig_board(d, "2026-05-03T05:43")->progress.done;
    ck_assert_uint_eq(done, 3);
    /* insert, reword, move, retire */
    rig_do(d, "2026-05-03T05:44", "step", "id=lamp  say=Lamp lit  after=ice");
    rig_do(d, "2026-05-03T05:45", "step", "id=jars  say=Jars and lids counted");
    rig_do(d, "2026-05-03T05:46", "step", "id=gear-look  after=ice");
    const struct board *b = rig_board(d, "2026-05-03T05:47");
    ck_assert_uint_eq(b->progress.done, done);
    ck_assert_int_eq(row_of(b, "jars")->state, STATE_DONE);
    ck_assert_int_eq(row_of(b, "jars")->done_at.s, rig_at("2026-05-03T05:41").s);
    ck_assert_int_eq(row_of(b, "gear-look")->state, STATE_DONE);
    ck_assert_int_eq(row_of(b, "lamp")->state, STATE_OPEN);
    ck_assert(row_of(b, "gear-look") < row_of(b, "lamp"));
    /* Taken out, its tick stays in the records; put in again, it is ticked. */
    rig_do(d, "2026-05-03T05:48", "step", "id=jars  remove=yes");
    b = rig_board(d, "2026-05-03T05:49");
    ck_assert_ptr_null(row_of(b, "jars"));
    ck_assert_uint_eq(b->progress.unknown_ticks, 1);
    rig_do(d, "2026-05-03T05:50", "step", "id=jars  say=Jars counted  after=lamp");
    ck_assert_int_eq(row_of(rig_board(d, "2026-05-03T05:51"), "jars")->state, STATE_DONE);
    dairy_close(d);
}
END_TEST

START_TEST(an_edit_that_lets_acid_and_chlorine_meet_is_refused)
{
    struct dairy *d = rig_small("t.db", EVENING);
    struct setup_view *v = calloc(1, sizeof *v);
    ck_assert_int_eq(dairy_setup(d, v, NULL), 0);
    size_t steps = v->routine.count;
    /* Between the chlorinated wash and the acid stands a plain rinse; it cannot be taken out, nor moved behind, nor
     * made a weekly one. */
    rig_refused(d, EVENING, "step", "id=hot-rinse  remove=yes", "rinse");
    rig_refused(d, EVENING, "step", "id=hot-rinse  after=acid-rinse", "rinse");
    rig_refused(d, EVENING, "step", "id=hot-rinse  every=week", "rinse");
    rig_refused(d, EVENING, "step", "id=apart  chemical=acid", "rinse");
    rig_refused(d, EVENING, "step", "id=apart  start=165F", "floor= is missing");
    rig_refused(d, EVENING, "step", "id=hot-wash  floor=170F", "hot-wash");
    ck_assert_int_eq(dairy_setup(d, v, NULL), 0);
    ck_assert_uint_eq(v->routine.count, steps);
    rig_do(d, EVENING, "step", "id=hot-wash  start=170F  floor=125F");
    ck_assert_int_eq(dairy_setup(d, v, NULL), 0);
    ck_within(routine_find(&v->routine, "hot-wash")->start_c, temp_c_from_f(170), 0.01);
    free(v);
    dairy_close(d);
}
END_TEST

START_TEST(gates_are_edited_with_their_times)
{
    struct dairy *d = rig_small("t.db", EVENING);
    struct setup_view *v = calloc(1, sizeof *v);
    char waits[200];
    rig_refused(d, EVENING, "step", "id=cups-on  waits=dry:5min", "takes no such time");
    rig_refused(d, EVENING, "step", "id=cups-on  waits=strip:60s:90s:2h", "too many times");
    rig_refused(d, EVENING, "step", "id=cups-on  waits=strip:soon", "is not a length of time");
    rig_refused(d, EVENING, "step", "id=cups-on  waits=post-dip", "post-dip"); /* comes later */
    rig_refused(d, EVENING, "step", "id=hose  caution=be-nice", "there is no \"be-nice\"");
    rig_do(d, EVENING, "step", "id=cups-on  waits=wipe,strip:60s:90s,sanitised:2h");
    ck_assert_int_eq(dairy_setup(d, v, NULL), 0);
    const struct routine_step *step = routine_find(&v->routine, "cups-on");
    ck_assert_uint_eq(step->gate_count, 3);
    ck_assert_int_eq(step->gate[1].from_s, 60);
    ck_assert_int_eq(step->gate[1].by_s, 90);
    ck_assert_int_eq(step->gate[2].kind, GATE_SANITISED);
    ck_assert_int_eq(step->gate[2].by_s, 7200);
    /* What Set-up shows of them is what the act takes. */
    ck_assert_str_eq(step_waits_text(step, waits, sizeof waits), "wipe, strip:60s:90s, sanitised:7200s");
    char words[240];
    snprintf(words, sizeof words, "id=cups-on  waits=%s", waits);
    rig_do(d, EVENING, "step", words);
    ck_assert_int_eq(dairy_setup(d, v, NULL), 0);
    ck_assert_str_eq(step_waits_text(routine_find(&v->routine, "cups-on"), waits, sizeof waits),
                     "wipe, strip:60s:90s, sanitised:7200s");
    free(v);
    dairy_close(d);
}
END_TEST

START_TEST(the_gear_must_be_sanitised_within_the_time_and_drained)
{
    struct dairy *d = rig_small("t.db", EVENING);
    /* Sanitised at 05:00, the first cow at 06:30: more than the hour of the gate. */
    rig_do(d, "2026-05-03T04:55", "tick", "step=gear-look");
    rig_do(d, "2026-05-03T04:56", "tick", "step=mix");
    rig_do(d, "2026-05-03T05:00", "tick", "step=sanitise  state=begun");
    rig_do(d, "2026-05-03T06:30", "milking", "state=start");
    rig_do(d, "2026-05-03T06:31", "tick", "step=strip  cow=Maud");
    rig_do(d, "2026-05-03T06:31", "tick", "step=wipe  cow=Maud");
    const struct progress_row *row = row_of(rig_board(d, "2026-05-03T06:33"), "cups-on");
    ck_assert_int_eq(row->state, STATE_WAITING);
    ck_assert_msg(strstr(row->why, "sanitised again: it was 1 h 2") != NULL, "%s", row->why);
    /* Two hours are allowed instead: then it is the draining that is missing. */
    rig_do(d, "2026-05-03T06:33", "step", "id=cups-on  waits=wipe,sanitised:2h");
    row = row_of(rig_board(d, "2026-05-03T06:34"), "cups-on");
    ck_assert_msg(strstr(row->why, "drained") != NULL, "%s", row->why);
    rig_do(d, "2026-05-03T06:34", "tick", "step=drain");
    ck_assert_int_eq(row_of(rig_board(d, "2026-05-03T06:35"), "cups-on")->state, STATE_OPEN);
    /* No hosing while jars stand on the floor: New York 2.41(b). */
    row = row_of(rig_board(d, "2026-05-03T06:35"), "hose");
    ck_assert_int_eq(row->state, STATE_WAITING);
    ck_assert_msg(strstr(row->why, "jars off the floor") != NULL, "%s", row->why);
    rig_do(d, "2026-05-03T06:36", "tick", "step=jars-up");
    ck_assert_int_eq(row_of(rig_board(d, "2026-05-03T06:37"), "hose")->state, STATE_OPEN);
    dairy_close(d);
}
END_TEST

START_TEST(what_was_left_out_is_said_at_the_end)
{
    struct dairy *d = rig_small("t.db", EVENING);
    struct form form;
    struct act_done done;
    rig_do(d, "2026-05-03T05:40", "tick", "step=ice");
    rig_do(d, "2026-05-03T05:41", "tick", "step=vacuum  state=skipped");
    const struct act_kind *milking = act_find("milking");
    act_form(d, milking, rig_at("2026-05-03T07:30"), &form);
    ck_assert_int_eq(form_set_pair(&form, "state=done", NULL), 0);
    ck_assert_int_eq(dairy_record(d, milking, &form, rig_at("2026-05-03T07:30"), &done, NULL), 0);
    ck_assert_str_eq(done.what, "milking done and closed; left out: vacuum");
    dairy_close(d);
}
END_TEST

Suite *bench_suite(void)
{
    Suite *s = suite_create("bench");
    TCase *t = tcase_create("bench");
    tcase_add_checked_fixture(t, scratch_open, scratch_close);
    tcase_add_test(t, what_counts_is_the_strip_and_the_chosen_rule_judges_it);
    tcase_add_test(t, who_milks_for_once_is_told_the_dose);
    tcase_add_test(t, who_milks_for_once_is_told_the_evenings_figure);
    tcase_add_test(t, the_sink_is_learned_from_two_readings_and_remembered);
    tcase_add_test(t, hot_and_cold_for_the_wash_are_worked_out);
    tcase_add_test(t, the_chore_of_the_hot_wash_knows_when_its_water_is_cold);
    tcase_add_test(t, acid_that_was_left_in_the_sink_waits_for_a_rinse_the_next_day);
    tcase_add_test(t, parts_are_due_by_milkings_or_by_the_calendar_whichever_binds);
    tcase_add_test(t, stock_is_used_up_by_the_cows_that_were_milked);
    tcase_add_test(t, standards_that_count_differently_are_told_apart);
    tcase_add_test(t, a_high_count_is_asked_of_this_dairys_own_log_of_that_day);
    tcase_add_test(t, a_sample_on_its_way_says_how_long_it_has);
    tcase_add_test(t, clean_cows_are_milked_first_and_the_treated_last);
    suite_add_tcase(s, t);

    t = tcase_create("routine");
    tcase_add_checked_fixture(t, scratch_open, scratch_close);
    tcase_add_test(t, a_routine_edited_in_the_middle_of_a_morning_keeps_its_ticks);
    tcase_add_test(t, an_edit_that_lets_acid_and_chlorine_meet_is_refused);
    tcase_add_test(t, gates_are_edited_with_their_times);
    tcase_add_test(t, the_gear_must_be_sanitised_within_the_time_and_drained);
    tcase_add_test(t, what_was_left_out_is_said_at_the_end);
    suite_add_tcase(s, t);
    return s;
}
