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
    ck_within(a->start_c, b->start_c, 1e-9); /* written with six figures */
    ck_within(a->floor_c, b->floor_c, 1e-9);
    ck_assert(a->heat_units == b->heat_units);
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

static const struct routine_step *step_of(const char *id)
{
    const struct routine_step *step = routine_find(&routine, id);
    ck_assert_msg(step != NULL, "no step %s in %s", id, routine.name);
    return step;
}

/* The window of the gate by which `id` waits for `other`. */
static const struct step_gate *gate_of(const char *id, const char *other)
{
    const struct routine_step *step = step_of(id);
    for (size_t i = 0; i < step->gate_count; i++)
        if (step->gate[i].kind == GATE_AFTER && strcmp(step->gate[i].step, other) == 0)
            return &step->gate[i];
    ck_abort_msg("%s does not wait for %s", id, other);
    return NULL;
}

START_TEST(the_templates_keep_to_their_sources)
{
    for (size_t i = 0; i < sizeof templates / sizeof templates[0]; i++) {
        read_template(templates[i]);
        /* Consistent steps for effective milking; NMC Recommended milking procedures: pre-dip 30 s, dry 20 s
         * with cotton, 2-3 squirts. */
        ck_assert_int_eq(step_of("pre-dip")->contact_s, 30);
        ck_assert_int_eq(step_of("wipe")->contact_s, 20);
        ck_assert(strstr(step_of("strip")->words, "2 or 3 squirts") != NULL);
        /* Wallace, Milking the most out of udder prep: cups on 60-90 s after the first touch. */
        ck_assert_int_eq(gate_of("cups-on", "strip")->from_s, 60);
        ck_assert_int_eq(gate_of("cups-on", "strip")->by_s, 90);
        /* Ontario, Attention dairy goat producers using bucket milking machines (2010): hot detergent stays
         * above 120 F for 6 minutes of contact. */
        ck_assert(step_of("hot-wash")->kind == STEP_HOT);
        ck_within(temp_f_from_c(step_of("hot-wash")->floor_c), 120, 1e-9);
        ck_assert_int_eq(step_of("hot-wash")->contact_s, 360);
        /* Wis. ATCP 65.34(1)(c): chlorine, 2 minutes. */
        ck_assert_int_eq(step_of("sanitise")->contact_s, 120);
        /* Nageotte (1968), Cornell (2006): sanitise immediately before use, drain; wash after every milking.
         */
        ck_assert(step_of("sanitise")->phase == PHASE_READY && step_of("drain")->phase == PHASE_READY);
        ck_assert(step_of("hot-wash")->every == EVERY_SESSION &&
                  step_of("acid-rinse")->every == EVERY_SESSION);
        /* 1 NYCRR 2.41(b): no hosing while clean bottles stand on the floor. */
        ck_assert(step_of("hose")->gate[0].kind == GATE_JARS_UP);
        ck_assert(step_of("hose")->phase == PHASE_FLOORS);
        /* Vacuum off before the cups; post-dip at once after them. */
        ck_assert_ptr_nonnull(gate_of("post-dip", "cups-off"));
        ck_assert_str_eq(step_of("cups-off")->words, "Vacuum off, then the cups");
    }
}
END_TEST

START_TEST(acid_and_chlorine_cards_both_say_never_together)
{
    for (size_t i = 0; i < sizeof templates / sizeof templates[0]; i++) {
        read_template(templates[i]);
        int cards = 0;
        for (size_t j = 0; j < routine.count; j++) {
            enum caution_id list[STEP_CARD_CAUTIONS_MAX];
            enum chemical c = routine.step[j].chemical;
            size_t count = step_cautions(&routine.step[j], list);
            for (size_t a = 0; a < count; a++)
                for (size_t b = 0; b < a; b++)
                    ck_assert_msg(list[a] != list[b], "%s says a thing twice", routine.step[j].id);
            if (c != CHEMICAL_ACID && c != CHEMICAL_CHLORINE && c != CHEMICAL_ALKALINE_CHLORINE)
                continue;
            cards++;
            ck_assert_uint_gt(count, 0);
            ck_assert_msg(list[0] == CAUTION_NO_MIX_ACID, "%s", routine.step[j].id);
        }
        ck_assert_int_ge(cards, 4); /* sanitise, hot wash, milkstone, acid rinse */
    }
}
END_TEST

#define HEAD      "routine X\nphase ready\n"
#define HEAD_WASH "routine X\nphase wash\n"

/* clang-format off */
static const struct {
    const char *text, *line;
} refusals[] = {
    {"phase ready\nstep a\nsay A\n", "The routine has no name; begin with a line `routine One bucket milker`."},
    {"routine X\n", "A routine has between 1 and 64 steps."},
    {"routine X\nroutine Y\n", "Line 2: the routine has a name already."},
    {"routine X\nbuckets 9\n", "Line 2: 1 to 4 buckets."},
    {"routine X\nbuckets 5\n", "Line 2: 1 to 4 buckets."},
    {"routine X\nbuckets 0\n", "Line 2: 1 to 4 buckets."},
    {"routine X\nbuckets two\n", "Line 2: \"two\" is not a whole number; write it as 4."},
    {"routine X\nphase dinner\n",
     "Line 2: \"dinner\" is not a phase; the phases are ready, feed, milk, strain, chill, wash, floors."},
    {"routine X\nphase wash\nphase milk\n",
     "Line 3: milk cannot come after wash; each phase once, in the order ready, feed, milk, strain, chill, wash, "
     "floors."},
    {"routine X\nphase wash\nphase wash\n",
     "Line 3: wash cannot come after wash; each phase once, in the order ready, feed, milk, strain, chill, wash, "
     "floors."},
    {"routine X\nstep a\n", "Line 2: a step belongs to a phase; begin with `phase ready`."},
    {"routine X\nusual 5min\n", "Line 2: `usual` stands right after its phase."},
    {HEAD "say A\n", "Line 3: `say` belongs to a step, and there is none before it."},
    {HEAD "step a\nsay\n", "Line 4: `say` says nothing."},
    {HEAD "step a\n", "Line 3: step \"a\" has no words; give it a line `say ...`."},
    {HEAD "step A b\nsay A\n",
     "Line 3: step \"A b\" has a name that is not small letters, digits and hyphens, such as hot-wash."},
    {HEAD "step a\nsay 12345678901234567890123456789012345678901\n",
     "Line 4: the words are 41 columns long; at most 40 fit."},
    {HEAD "step a\nsay A\nchemicl acid\n",
     "Line 5: \"chemicl\" is not a word of a routine; they are routine, buckets, phase, usual, step, say, how, each, "
     "turn, every, time, heat, chemical, gate, makes, caution."},
    {HEAD "step a\nsay A\nchemical vinegar\n",
     "Line 5: \"vinegar\" is not one of none, water, detergent, chlorine, alkaline-chlorine, acid, iodine, quat, "
     "peroxyacetic, peroxide, teat-dip."},
    {HEAD "step a\nsay A\ntime 6\n", "Line 5: \"6\" has no unit; write it as 20min, 2h or 1h30."},
    {HEAD "step a\nsay A\ntime 0 s\n", "Line 3: step \"a\" has a clock without a length; write `time 30 s`."},
    {HEAD "step a\nsay A\ntime 0.5 s\n", "Line 5: \"0.5s\" is not a whole number of seconds, at most a day."},
    {HEAD "step a\nsay A\ntime 2 d\n", "Line 5: \"2d\" is not a whole number of seconds, at most a day."},
    {HEAD "step a\nsay A\ntime 30 s long\n", "Line 5: \"long\" at the end is not understood."},
    {HEAD "step a\nsay A\nheat 165F\n",
     "Line 5: two temperatures are needed, start and floor: `heat 165F 120F`."},
    {HEAD "step a\nsay A\nheat 120F 165F\n",
     "Line 3: step \"a\" must start hotter than its floor and not above boiling: `heat 165F 120F`."},
    {HEAD "step a\nsay A\nheat 165F 49C\n", "Line 5: write both temperatures in the same unit."},
    {HEAD "step a\nsay A\nheat 165 120\n", "Line 5: \"165\" has no unit; write it as 95F or 35C."},
    {HEAD "step a\nsay A\neach goat\n", "Line 5: `each cow` is all that can be said here."},
    {HEAD "step a\nsay A\nturn\n", "Line 3: step \"a\" has a turn but is not done for each cow; add `each cow`."},
    {HEAD "step a\nsay A\nevery day\n", "Line 5: \"day\" is not one of session, week, month."},
    {HEAD "step a\nsay A\nmakes wet\n", "Line 5: \"wet\" is not one of sanitised, drained, dry, jars-up."},
    {HEAD "step a\nsay A\neach cow\nmakes dry\n",
     "Line 3: step \"a\" opens a gate, so it must be done once in every session."},
    {HEAD "step a\nsay A\ncaution hot\n", "Line 5: there is no caution \"hot\"."},
    {HEAD "step a\nsay A\nstep a\nsay B\n", "Line 5: step \"a\" is there twice; every step needs a name of its own."},
    {HEAD "step a\nsay A\ngate open\n", "Line 5: \"open\" is not a gate; the gates are after, sanitised, dry, jars-up."},
    {HEAD "step a\nsay A\ngate after b\n",
     "Line 3: step \"a\" waits for \"b\", which is not a step of this routine."},
    {HEAD "step a\nsay A\ngate after b\nstep b\nsay B\n",
     "Line 3: step \"a\" waits for \"b\", which does not come before it."},
    {HEAD "step a\nsay A\ngate after a\n", "Line 3: step \"a\" waits for \"a\", which does not come before it."},
    {HEAD "step a\nsay A\nstep b\nsay B\ngate after a 90 s 60 s\n",
     "Line 5: step \"b\" has a gate that closes before it opens; write the shorter time first."},
    {HEAD "step a\nsay A\ngate sanitised\n",
     "Line 3: step \"a\" must say how long ago sanitising may be: `gate sanitised 1 h`."},
    {HEAD "step a\nsay A\ngate sanitised 1 h\n",
     "Line 3: step \"a\" waits for sanitised gear, but no step before it `makes sanitised` and another `makes "
     "drained`."},
    {HEAD "step m\nsay M\nmakes sanitised\nstep a\nsay A\ngate sanitised 1 h\n",
     "Line 6: step \"a\" waits for sanitised gear, but no step before it `makes sanitised` and another `makes "
     "drained`."},
    {HEAD "step m\nsay M\nmakes drained\nstep a\nsay A\ngate sanitised 1 h\n",
     "Line 6: step \"a\" waits for sanitised gear, but no step before it `makes sanitised` and another `makes "
     "drained`."},
    {HEAD "step a\nsay A\ngate dry\n",
     "Line 3: step \"a\" waits for dry gear, but no step before it `makes dry`."},
    {HEAD "step a\nsay A\ngate dry 1 h\n", "Line 5: \"1 h\" at the end is not understood."},
    {HEAD "step a\nsay A\ngate jars-up\nstep b\nsay B\nmakes jars-up\n",
     "Line 3: step \"a\" waits for the jars to be up, but no step before it `makes jars-up`."},
    {HEAD_WASH "step a\nsay A\nchemical alkaline-chlorine\nstep b\nsay B\nchemical acid\n",
     "Line 6: step \"b\" brings acid where \"a\" left chlorinated detergent: put a plain rinse of every session "
     "between them (`chemical water`)."},
    {HEAD_WASH "step a\nsay A\nchemical acid\nstep b\nsay B\nstep c\nsay C\nchemical chlorine\n",
     "Line 8: step \"c\" brings chlorine where \"a\" left acid: put a plain rinse of every session between them "
     "(`chemical water`)."},
    /* A rinse of the week is not always done, so it does not keep the two apart. */
    {HEAD_WASH "step a\nsay A\nchemical acid\nstep b\nsay B\nevery week\nchemical water\nstep c\nsay C\nchemical "
               "chlorine\n",
     "Line 10: step \"c\" brings chlorine where \"a\" left acid: put a plain rinse of every session between them "
     "(`chemical water`)."},
    /* The acid that ends one session is still there when the next begins with chlorine. */
    {HEAD "step a\nsay A\nchemical chlorine\nstep b\nsay B\nchemical water\nstep c\nsay C\nchemical acid\n",
     "Line 3: step \"a\" brings chlorine where \"c\" left acid: put a plain rinse of every session between them "
     "(`chemical water`)."},
};
/* clang-format on */

START_TEST(what_breaks_a_rule_is_refused_by_line_and_changes_nothing)
{
    read_template(templates[0]);
    again = routine;
    for (size_t i = 0; i < sizeof refusals / sizeof refusals[0]; i++) {
        struct fail f = {0};
        ck_assert_msg(routine_parse(refusals[i].text, &routine, &f) == -1, "taken:\n%s", refusals[i].text);
        ck_assert_str_eq(f.text, refusals[i].line);
        ck_assert_int_eq(f.code, FAIL_INPUT);
        ck_assert(memcmp(&routine, &again, sizeof routine) == 0);
    }
}
END_TEST

/* Made in memory, a routine is held to the same rules; one that says nothing of buckets has one. */
START_TEST(buckets_are_one_to_four)
{
    ck_assert_int_eq(routine_parse(HEAD "step a\nsay A\n", &routine, NULL), 0);
    ck_assert_int_eq(routine.buckets, 1);
    for (int buckets = 0; buckets <= 5; buckets++) {
        routine.buckets = buckets;
        ck_assert_int_eq(routine_check(&routine, NULL), buckets >= 1 && buckets <= 4 ? 0 : -1);
    }
}
END_TEST

START_TEST(long_lines_and_too_many_steps_are_refused)
{
    static char many[ROUTINE_TEXT_MAX];
    struct fail f = {0};
    strcpy(many, HEAD "step a\nsay ");
    memset(many + strlen(many), 'x', 500);
    ck_assert_int_eq(routine_parse(many, &routine, &f), -1);
    ck_assert_str_eq(f.text, "Line 4: the line is too long; at most 399 letters.");
    many[0] = '\0';
    (void)text_append(many, sizeof many, HEAD);
    for (int i = 0; i < ROUTINE_STEPS_MAX + 1; i++)
        (void)text_append(many, sizeof many, "step s%d\nsay S\n", i);
    ck_assert_int_eq(routine_parse(many, &routine, &f), -1);
    ck_assert_str_eq(f.text, "Line 131: at most 64 steps.");
    many[0] = '\0';
    (void)text_append(many, sizeof many, HEAD);
    for (int i = 0; i < ROUTINE_PER_COW_MAX + 1; i++)
        (void)text_append(many, sizeof many, "step s%d\nsay S\neach cow\n", i);
    ck_assert_int_eq(routine_parse(many, &routine, &f), -1);
    ck_assert_str_eq(f.text, "17 steps are done for each cow; at most 16 can be.");
}
END_TEST

START_TEST(comments_blanks_and_line_ends_of_any_kind_do_not_matter)
{
    struct fail f = {0};
    ck_assert_msg(
        routine_parse("# mine\r\n\r\n  routine  Short \r\nPHASE Wash\n\tstep wash\n say Wash\t it \n"
                      "  # not now\n heat 165 F 120 F\n time 6 min",
                      &routine, &f) == 0,
        "%s", f.text);
    ck_assert_str_eq(routine.name, "Short");
    ck_assert_str_eq(routine.step[0].words, "Wash it");
    ck_assert(routine.step[0].kind == STEP_HOT && routine.step[0].contact_s == 360);
    round_trip();
}
END_TEST

/* A routine that keeps every rule, with every kind of thing in it. */
static void invent_step(struct stream *s, size_t i)
{
    static const char *const words[] = {"Wash it all", "Öl nachsehen", "Rinse, then \"look\"", "水 165°"};
    static const enum chemical safe[] = {CHEMICAL_NONE, CHEMICAL_WATER, CHEMICAL_ACID, CHEMICAL_IODINE,
                                         CHEMICAL_TEAT_DIP};
    struct routine_step *step = &routine.step[i];
    snprintf(step->id, sizeof step->id, "s%zu-x", i);
    const char *said = words[stream_below(s, 4)];
    snprintf(step->words, sizeof step->words, "%s", said);
    if (stream_below(s, 2) == 0)
        snprintf(step->how, sizeof step->how, "How %s is done: slowly.", said);
    step->phase = (enum routine_phase)((size_t)PHASE_COUNT * i / routine.count);
    step->kind = (enum step_kind)stream_below(s, 3);
    step->every = (enum step_every)stream_below(s, 3);
    step->per_cow = stream_below(s, 4) == 0;
    step->turn = step->per_cow && stream_below(s, 2) == 0;
    if (step->kind != STEP_PLAIN)
        step->contact_s = 1 + stream_below(s, 8000);
    if (step->kind == STEP_HOT) {
        bool us = stream_below(s, 2) == 0;
        double lowest = us ? 90 + stream_below(s, 50) : 40 + stream_below(s, 20);
        step->heat_units = us ? UNITS_US : UNITS_METRIC;
        step->floor_c = us ? temp_c_from_f(lowest) : lowest;
        step->start_c = us ? temp_c_from_f(lowest + 40.5) : lowest + 20.25;
    }
    step->chemical = safe[stream_below(s, 5)];
    if (!step->per_cow && step->every == EVERY_SESSION)
        step->makes = (enum step_makes)stream_below(s, 5);
    for (int g = stream_below(s, 3); g > 0 && i > 0; g--) {
        struct step_gate *gate = &step->gate[step->gate_count++];
        snprintf(gate->step, sizeof gate->step, "s%d-x", stream_below(s, (int)i));
        gate->from_s = stream_below(s, 3) * 45;
        gate->by_s = stream_below(s, 2) == 0 ? 0 : gate->from_s + 1 + stream_below(s, 4000);
    }
    while (step->caution_count < (size_t)stream_below(s, STEP_CAUTIONS_MAX))
        step->caution[step->caution_count++] = (enum caution_id)stream_below(s, CAUTION_COUNT);
}

START_TEST(any_routine_that_keeps_the_rules_comes_back_the_same)
{
    struct stream s = {11};
    struct fail f = {0};
    for (int n = 0; n < 200; n++) {
        memset(&routine, 0, sizeof routine);
        snprintf(routine.name, sizeof routine.name, "Morning %d", n);
        routine.buckets = 1 + stream_below(&s, ROUTINE_BUCKETS_MAX);
        routine.count = 1 + (size_t)stream_below(&s, 40);
        for (size_t i = 0; i < routine.count; i++)
            invent_step(&s, i);
        for (int i = 0; i < PHASE_COUNT; i++)
            routine.usual_s[i] = stream_below(&s, 3) * 421;
        if (routine_check(&routine, &f) != 0) {
            ck_assert_msg(strstr(f.text, "for each cow") != NULL, "%s", f.text); /* more than 16 of them */
            continue;
        }
        round_trip();
    }
}
END_TEST

/* Bytes changed, cut and doubled at random: refused with a line, or read as some routine that keeps the
 * rules. */
START_TEST(damaged_text_is_refused_or_read_but_never_breaks_the_reader)
{
    static char damaged[2 * ROUTINE_TEXT_MAX];
    struct stream s = {12};
    int taken = 0;
    read_template(templates[0]);
    again = routine;
    for (int n = 0; n < 1500; n++) {
        struct fail f = {0};
        snprintf(damaged, sizeof damaged, "%s", asset_text(templates[n % 2]));
        for (int i = 1 + stream_below(&s, 3); i > 0; i--) {
            size_t length = strlen(damaged), at = (size_t)stream_below(&s, (int)length);
            size_t span = (size_t)stream_below(&s, 30);
            if (at + span > length)
                span = length - at;
            if (n % 3 == 0)
                damaged[at] = (char)(1 + stream_below(&s, 255));
            else if (n % 3 == 1)
                memmove(damaged + at, damaged + at + span, length - at - span + 1);
            else
                memmove(damaged + at + span, damaged + at, length - at + 1);
        }
        if (routine_parse(damaged, &routine, &f) == 0) {
            taken++;
            if (routine_check(&routine, &f) != 0)
                ck_abort_msg("taken, yet: %s", f.text);
            routine = again;
        } else if (f.text[0] == '\0' || memcmp(&routine, &again, sizeof routine) != 0) {
            ck_abort_msg("no reason, or the old routine was touched");
        }
    }
    ck_assert_int_gt(taken, 100);
    ck_assert_int_lt(taken, 1400);
}
END_TEST

/* The largest that there can be: every text, gate and caution full. */
START_TEST(the_longest_routine_fits_its_text)
{
    memset(&routine, 0, sizeof routine);
    memset(routine.name, 'n', 40);
    routine.buckets = 4;
    routine.count = ROUTINE_STEPS_MAX;
    for (size_t i = 0; i < routine.count; i++) {
        struct routine_step *step = &routine.step[i];
        snprintf(step->id, sizeof step->id, "a-name-as-long-as-can%02d", (int)(i % 100));
        for (int c = 0; c < STEP_WORDS_COLUMNS; c++)
            strcat(step->words, "é");
        memset(step->how, 'h', STEP_HOW_MAX - 1);
        step->kind = STEP_HOT;
        step->contact_s = 86399;
        step->start_c = 99.99;
        step->floor_c = 88.88;
        step->heat_units = UNITS_METRIC;
        step->chemical = CHEMICAL_ALKALINE_CHLORINE;
        step->makes = MAKES_SANITISED;
        for (; i > 0 && step->gate_count < STEP_GATES_MAX; step->gate_count++) {
            step->gate[step->gate_count] = (struct step_gate){.from_s = 86397, .by_s = 86399};
            snprintf(step->gate[step->gate_count].step, STEP_ID_MAX, "%s", routine.step[0].id);
        }
        for (; step->caution_count < STEP_CAUTIONS_MAX; step->caution_count++)
            step->caution[step->caution_count] = CAUTION_ACID_INTO_WATER;
    }
    round_trip();
    ck_assert_int_eq(routine_write(&routine, text, 2000, NULL), -1);
}
END_TEST

START_TEST(words_of_chemicals_and_cautions_are_found_and_unique)
{
    struct source source;
    enum chemical c;
    enum caution_id id;
    for (int i = 0; i < CHEMICAL_COUNT; i++) {
        ck_assert(chemical_find(chemical_word((enum chemical)i), &c) && (int)c == i);
        ck_assert_str_ne(chemical_name((enum chemical)i), "");
    }
    ck_assert(!chemical_find("soda", &c) && !chemical_find("", &c));
    for (int i = 0; i < CAUTION_COUNT; i++) {
        const struct caution *caution = caution_get((enum caution_id)i);
        ck_assert_msg(caution->word != NULL, "caution %d has no row", i);
        ck_assert_msg(caution_find(caution->word, &id) && (int)id == i, "%s", caution->word);
        ck_assert_msg(source_find(caution->source, &source) == 0, "%s: no source %s", caution->word,
                      caution->source);
        ck_assert_msg(text_width(caution->text) <= 92, "%s is %d columns", caution->word,
                      text_width(caution->text));
        ck_assert(strstr(caution->text, "safe to drink") == NULL);
    }
    ck_assert(!caution_find("", &id));
}
END_TEST

/* Stanford EHS, Bleach solutions; Children's Hospital of Philadelphia: chlorine never with acid, ammonium,
 * peroxide or another cleaner. */
START_TEST(what_must_not_meet_is_the_same_both_ways)
{
    static const struct {
        enum chemical a, b;
        bool apart;
    } rows[] = {
        {CHEMICAL_CHLORINE, CHEMICAL_ACID, true},      {CHEMICAL_ALKALINE_CHLORINE, CHEMICAL_ACID, true},
        {CHEMICAL_CHLORINE, CHEMICAL_PEROXIDE, true},  {CHEMICAL_CHLORINE, CHEMICAL_PEROXYACETIC, true},
        {CHEMICAL_CHLORINE, CHEMICAL_QUAT, true},      {CHEMICAL_CHLORINE, CHEMICAL_IODINE, true},
        {CHEMICAL_CHLORINE, CHEMICAL_DETERGENT, true}, {CHEMICAL_CHLORINE, CHEMICAL_ALKALINE_CHLORINE, false},
        {CHEMICAL_CHLORINE, CHEMICAL_WATER, false},    {CHEMICAL_CHLORINE, CHEMICAL_TEAT_DIP, false},
        {CHEMICAL_ACID, CHEMICAL_NONE, false},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        ck_assert(chemical_must_not_meet(rows[i].a, rows[i].b) == rows[i].apart);
        ck_assert(chemical_must_not_meet(rows[i].b, rows[i].a) == rows[i].apart);
    }
}
END_TEST

Suite *routine_suite(void)
{
    Suite *s = suite_create("routine");
    TCase *t = tcase_create("routine");
    tcase_add_test(t, both_templates_read_and_come_back_the_same);
    tcase_add_test(t, the_templates_keep_to_their_sources);
    tcase_add_test(t, acid_and_chlorine_cards_both_say_never_together);
    tcase_add_test(t, what_breaks_a_rule_is_refused_by_line_and_changes_nothing);
    tcase_add_test(t, buckets_are_one_to_four);
    tcase_add_test(t, long_lines_and_too_many_steps_are_refused);
    tcase_add_test(t, comments_blanks_and_line_ends_of_any_kind_do_not_matter);
    tcase_add_test(t, any_routine_that_keeps_the_rules_comes_back_the_same);
    tcase_add_test(t, damaged_text_is_refused_or_read_but_never_breaks_the_reader);
    tcase_add_test(t, the_longest_routine_fits_its_text);
    tcase_add_test(t, words_of_chemicals_and_cautions_are_found_and_unique);
    tcase_add_test(t, what_must_not_meet_is_the_same_both_ways);
    suite_add_tcase(s, t);
    return s;
}
