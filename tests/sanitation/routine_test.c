/* The text form of a routine: what is read is what is written, and what breaks a rule is refused with its
 * line. Facts of the templates are checked against the sources named beside them. */
#include "core/sanitation/routine.h"

#include "assets/asset.h"
#include "core/base/source.h"
#include "core/base/text.h"
#include "tests/support.h"

static const char *const templates[] = {"routine-one-bucket.txt", "routine-two-buckets.txt"};

static struct routine routine, again;
static char text[ROUTINE_TEXT_MAX], text_again[ROUTINE_TEXT_MAX];

static void read_template(const char *name)
{
    struct fail f = {0};
    ck_assert_msg(routine_parse(asset_text(name), &routine, &f) == 0, "%s: %s", name, f.text);
}

static void same_step(const struct routine_step *a, const struct routine_step *b)
{
    ck_assert_str_eq(a->id, b->id);
    ck_assert_str_eq(a->words, b->words);
    ck_assert_str_eq(a->how, b->how);
    ck_assert(a->phase == b->phase && a->kind == b->kind && a->every == b->every);
    ck_assert(a->per_cow == b->per_cow && a->turn == b->turn && a->contact_s == b->contact_s);
    ck_assert(a->start_c == b->start_c && a->floor_c == b->floor_c && a->heat_units == b->heat_units);
    ck_assert(a->chemical == b->chemical && a->makes == b->makes);
    ck_assert_uint_eq(a->gate_count, b->gate_count);
    for (size_t i = 0; i < a->gate_count; i++) {
        ck_assert(a->gate[i].kind == b->gate[i].kind);
        ck_assert_str_eq(a->gate[i].step, b->gate[i].step);
        ck_assert(a->gate[i].from_s == b->gate[i].from_s && a->gate[i].by_s == b->gate[i].by_s);
    }
    ck_assert_uint_eq(a->caution_count, b->caution_count);
    for (size_t i = 0; i < a->caution_count; i++)
        ck_assert(a->caution[i] == b->caution[i]);
}

static void same_routine(const struct routine *a, const struct routine *b)
{
    ck_assert_str_eq(a->name, b->name);
    ck_assert_int_eq(a->buckets, b->buckets);
    ck_assert_uint_eq(a->count, b->count);
    for (int i = 0; i < PHASE_COUNT; i++)
        ck_assert_int_eq(a->usual_s[i], b->usual_s[i]);
    for (size_t i = 0; i < a->count; i++)
        same_step(&a->step[i], &b->step[i]);
}

static void round_trip(void)
{
    struct fail f = {0};
    ck_assert_msg(routine_write(&routine, text, sizeof text, &f) == 0, "%s", f.text);
    ck_assert_msg(routine_parse(text, &again, &f) == 0, "%s\n%s", f.text, text);
    same_routine(&again, &routine);
    ck_assert_int_eq(routine_write(&again, text_again, sizeof text_again, NULL), 0);
    ck_assert_str_eq(text_again, text);
}

START_TEST(both_templates_read_and_come_back_the_same)
{
    for (size_t i = 0; i < sizeof templates / sizeof templates[0]; i++) {
        read_template(templates[i]);
        round_trip();
        ck_assert_int_eq(routine.buckets, (int)i + 1);
        for (int phase = 0; phase < PHASE_COUNT; phase++) {
            int steps = 0;
            for (size_t j = 0; j < routine.count; j++)
                steps += (int)routine.step[j].phase == phase;
            ck_assert_msg(steps > 0, "%s: nothing in %s", templates[i],
                          phase_word((enum routine_phase)phase));
            ck_assert_int_gt(routine.usual_s[phase], 0);
        }
    }
}
END_TEST

Suite *routine_suite(void)
{
    Suite *s = suite_create("routine");
    TCase *t = tcase_create("routine");
    tcase_add_test(t, both_templates_read_and_come_back_the_same);
    suite_add_tcase(s, t);
    return s;
}
