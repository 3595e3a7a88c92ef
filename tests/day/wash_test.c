/* The wash bench in acts: the mix from this bottle, strips, the sink's water, parts, the machine, samples; what
 * is refused, and that nothing is then changed. */
#include <math.h>

#include "core/day/journal_view.h"
#include "core/store/rows_wash.h"
#include "tests/day/rig.h"
#include "tests/scratch.h"
#include "tests/support.h"

#define EVENING "2026-05-02T20:00"
#define MORNING "2026-05-03T05:40"

/* What an act answers with. */
static const char *said(struct dairy *d, const char *at, const char *act, const char *words)
{
    static struct act_done done;
    struct fail f = {0};
    ck_assert_msg(rig_try(d, at, act, words, &done, &f), "%s %s: %s", act, words, f.text);
    return done.what;
}

static void says(struct dairy *d, const char *at, const char *act, const char *words, const char *part)
{
    const char *what = said(d, at, act, words);
    ck_assert_msg(strstr(what, part) != NULL, "%s %s: \"%s\" has no \"%s\"", act, words, what, part);
}

START_TEST(a_mix_is_dosed_from_this_bottle)
{
    struct dairy *d = rig_small("t.db", EVENING);
    /* 6 %, 100 ppm, 3 gal: 18.93 mL (derived: volume x ppm / (percent x 10000)), 3.84 teaspoons of 4.929 mL. */
    says(d, MORNING, "mix", "strength=6%  target=100ppm  volume=3gal", "18.9 mL (1 tbsp 3/4 tsp) in 3 gal, 100 ppm");
    /* The bottle and the amounts are remembered. */
    says(d, "2026-05-04T05:40", "mix", "", "bleach 6%: 18.9 mL");
    /* Another label is another bottle: 8.25 %, 200 ppm, 10 L: 24.24 mL (derived). */
    says(d, "2026-05-05T05:40", "mix", "strength=8.25%  opened=2026-05-04  target=200ppm  volume=10L",
         "bleach 8.25%: 24.2 mL");
    says(d, "2026-05-06T05:40", "mix", "volume=1gal  target=100ppm", "bleach 8.25%: 4.59 mL");
    /* The tablespoon rule with that bottle: 321 ppm (derived), over the 200 ppm that may stay unrinsed (9 CFR
     * 590.552). What was done is recorded; what to do about it is said. */
    says(d, "2026-05-06T05:45", "mix", "dose=14.787mL  counted=water", "321 ppm, too strong to leave unrinsed: add water");
    dairy_close(d);
}
END_TEST

START_TEST(other_sanitisers_go_by_their_label)
{
    struct dairy *d = rig_small("t.db", EVENING);
    rig_refused(d, MORNING, "mix", "chemical=iodine  target=25ppm  volume=5gal", "give its recipe");
    /* The label's own recipe gives the label's own dose: 1 US fluid ounce is 29.574 mL. */
    says(d, MORNING, "mix", "chemical=iodine  label_dose=1floz  label_volume=5gal  label_ppm=25ppm  target=25ppm  volume=5gal",
         "iodine by its label: 29.6 mL");
    rig_refused(d, "2026-05-03T05:50", "mix", "chemical=iodine  target=26ppm", "25"); /* 12.5 to 25: Food Code */
    rig_refused(d, "2026-05-03T05:50", "mix", "chemical=iodine  strength=10%", "by its label");
    says(d, "2026-05-03T05:52", "mix", "target=12.5ppm", "iodine by its label: 14.8 mL");
    dairy_close(d);
}
END_TEST

START_TEST(a_strip_beats_the_sum)
{
    struct dairy *d = rig_small("t.db", EVENING);
    rig_refused(d, MORNING, "strip", "ppm=100ppm", "Nothing was mixed");
    says(d, MORNING, "mix", "strength=8.25%  target=100ppm  volume=3gal  strip=50ppm  top=200ppm",
         "strip 50 ppm: too weak: mix again");
    says(d, "2026-05-03T05:45", "strip", "ppm=150ppm", "good: 100 to 200 ppm");
    says(d, "2026-05-03T05:46", "strip", "ppm=200ppm", "the strip's last colour");
    dairy_close(d);
}
END_TEST

START_TEST(bad_input_at_the_bench_is_one_line_and_changes_nothing)
{
    static const struct {
        const char *act, *words, *line;
    } bad[] = {
        {"mix", "strength=0%  target=100ppm  volume=3gal", "there is no bleach of 0 %"},
        {"mix", "strength=101%  target=100ppm  volume=3gal", "cannot be meant"},
        {"mix", "strength=25%  target=100ppm  volume=3gal", "no liquid bleach has 25 %"},
        {"mix", "strength=6  target=100ppm  volume=3gal", "\"6\" has no unit; write it as 8.25%"},
        {"mix", "strength=nan%  target=100ppm  volume=3gal", "is not a percentage"},
        {"mix", "strength=-6%  target=100ppm  volume=3gal", "less than nothing"},
        {"mix", "strength=6%  target=250ppm  volume=3gal", "200"},
        {"mix", "strength=6%  target=100  volume=3gal", "has no unit"},
        {"mix", "strength=6%  target=100ppm  volume=0gal", "volume"},
        {"mix", "strength=6%  target=100ppm  volume=3gal  opened=2026-05-09", "still to come"},
        {"mix", "strength=6%  target=100ppm  volume=3gal  dose=4gal", "less than the water"},
        {"mix", "strength=6%  target=100ppm  volume=3gal  ph=7", "give strip= too"},
        {"mix", "target=100ppm  volume=3gal", "strength= is missing"},
        {"mix", "strength=6%  volume=3gal", "target= is missing"},
        {"mix", "strength=6%  target=100ppm", "volume= is missing"},
        {"mix", "strength=6%  target=100ppm  volume=3gal  strip=100ppm  ph=15", "there is no pH of 15"},
        {"mix", "strength=6%  target=100ppm  volume=3gal  strip=250ppm  top=200ppm", "its scale ends at 200 ppm"},
        {"sink", "temp=240F", "water boils"},
        {"part", "name=liner  milkings=0", "a life of 0 is none"},
        {"part", "name=liner  days=0", "a life of 0 is none"},
        {"part", "name=teapot", "how long does it last"},
        {"part", "name=disc", "used up, not fitted"},
        {"part", "name=liner  fitted=2026-06-01", "still to come"},
        {"part", "name=liner  lead=5", "goes with stock="},
        {"machine", "", "what was measured"},
        {"machine", "vacuum=0inHg", "a vacuum of 0"},
        {"machine", "rate=0/min", "rate"},
        {"machine", "rate=60/min  open=60", "has no unit"},
        {"sample", "hours=0h", "30h or 60h"},
        {"sample", "of=water  cow=Maud", "no cow"},
        {"lab", "plate=4000", "There is no sample yet"},
        {"rules", "contact=moon", "there is no set \"moon\""},
        {"rules", "standard=moon", "there is no standard \"moon\""},
        {"rules", "water=eu-raw", "there are new-york"},
    };
    struct dairy *d = rig_small("t.db", EVENING);
    struct journal_view *v = calloc(1, sizeof *v);
    ck_assert_int_eq(dairy_journal(d, rig_at(MORNING), 0, v, NULL), 0);
    int64_t last = v->entry[0].id;
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++)
        rig_refused(d, MORNING, bad[i].act, bad[i].words, bad[i].line);
    ck_assert_int_eq(dairy_journal(d, rig_at(MORNING), 0, v, NULL), 0);
    ck_assert_int_eq(v->entry[0].id, last);
    free(v);
    dairy_close(d);
}
END_TEST

START_TEST(the_sink_cannot_warm_up_by_itself)
{
    struct dairy *d = rig_small("t.db", EVENING);
    rig_do(d, "2026-05-03T06:40", "sink", "temp=160F  volume=3gal");
    rig_do(d, "2026-05-03T06:45", "reading", "at_place=sink  temp=150F");
    rig_refused(d, "2026-05-03T06:46", "reading", "at_place=sink  temp=151F", "cannot warm up");
    rig_refused(d, "2026-05-03T06:46", "reading", "at_place=sink  temp=240F", "boils");
    says(d, "2026-05-03T06:47", "sink", "temp=118F", "too cold to wash with");
    dairy_close(d);
}
END_TEST

START_TEST(samples_are_followed_to_their_figures)
{
    struct dairy *d = rig_small("t.db", EVENING);
    says(d, MORNING, "sample", "of=milk  lab=county laboratory  hours=30h  temp=38F",
         "sample S1 drawn, milk; at the laboratory by Mon 4 May 11:40");
    rig_refused(d, MORNING, "sample", "name=s1", "There is a sample s1 already");
    says(d, "2026-05-03T09:00", "lab", "sent=2026-05-03T08:30", "sample S1 sent");
    rig_refused(d, "2026-05-03T10:00", "lab", "arrived=2026-05-03T08:00", "before it was sent");
    rig_refused(d, "2026-05-03T10:00", "lab", "sent=2026-05-03T05:00", "before it was drawn");
    /* A warm parcel reads high (keepers' account: 5600 and 6900 beside 20 to 980): kept, and said. */
    says(d, "2026-05-03T12:00", "lab", "temp=46F", "over 40 °F it grows on the way");
    rig_refused(d, "2026-05-06T12:00", "lab", "water=0", "it has no");
    says(d, "2026-05-06T12:00", "lab", "sample=S1  plate=5600  coliform=4", "plate count 5600, coliform count 4");
    says(d, "2026-05-06T12:05", "lab", "sample=S1  plate=560", "560 (corrected)");
    says(d, "2026-05-07T12:05", "lab", "sample=W7  drawn=2026-05-01T09:00  water=0", "sample W7");
    says(d, "2026-05-08T06:00", "sample", "", "sample S3 drawn, milk; at the laboratory by Sat 9 May 12:00");
    dairy_close(d);
}
END_TEST

START_TEST(the_machine_is_held_to_the_published_bands)
{
    struct dairy *d = rig_small("t.db", EVENING);
    /* 36 to 42 kPa at the claw (National Mastitis Council); 12 inHg is 40.6 kPa, 14 inHg 47.4 kPa. */
    says(d, MORNING, "machine", "vacuum=12inHg  rate=60/min  open=60%", "vacuum 12 inHg, in the band; 60 a minute, in the band");
    says(d, MORNING, "machine", "vacuum=14inHg", "14 inHg, high");
    says(d, MORNING, "machine", "vacuum=31kPa", "low");
    dairy_close(d);
}
END_TEST

START_TEST(every_act_of_the_bench_can_be_taken_back)
{
    static const struct {
        const char *act, *words;
    } acts[] = {
        {"rules", "contact=food-code  standard=utah  heater=140F"},
        {"mix", "strength=8.25%  target=100ppm  volume=3gal  strip=100ppm  ph=7.5  temp=80F"},
        {"sink", "temp=165F"},
        {"part", "name=liner  stock=8  lead=7  fitted=2026-05-01"},
        {"machine", "vacuum=12inHg"},
        {"sample", "name=A1"},
        {"lab", "sample=A1  plate=900"},
    };
    struct dairy *d = rig_small("t.db", EVENING);
    struct act_done done;
    size_t findings, count = sizeof acts / sizeof acts[0];
    for (size_t i = 0; i < count; i++)
        rig_do(d, MORNING, acts[i].act, acts[i].words);
    for (size_t i = 0; i < count; i++)
        ck_assert_int_eq(dairy_undo(d, 0, rig_at("2026-05-03T05:50"), &done, NULL), 0);
    ck_assert_int_eq(dairy_verify(d, NULL, NULL, &findings, NULL), 0);
    ck_assert_uint_eq(findings, 0);
    rig_refused(d, "2026-05-03T06:00", "strip", "ppm=100ppm", "Nothing was mixed");
    rig_refused(d, "2026-05-03T06:00", "lab", "plate=900", "There is no sample yet");
    dairy_close(d);
}
END_TEST

Suite *wash_suite(void)
{
    Suite *s = suite_create("wash");
    TCase *t = tcase_create("acts");
    tcase_add_checked_fixture(t, scratch_open, scratch_close);
    tcase_add_test(t, a_mix_is_dosed_from_this_bottle);
    tcase_add_test(t, other_sanitisers_go_by_their_label);
    tcase_add_test(t, a_strip_beats_the_sum);
    tcase_add_test(t, bad_input_at_the_bench_is_one_line_and_changes_nothing);
    tcase_add_test(t, the_sink_cannot_warm_up_by_itself);
    tcase_add_test(t, samples_are_followed_to_their_figures);
    tcase_add_test(t, the_machine_is_held_to_the_published_bands);
    tcase_add_test(t, every_act_of_the_bench_can_be_taken_back);
    suite_add_tcase(s, t);
    return s;
}
