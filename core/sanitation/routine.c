/* The routine as a whole: finding steps, the cautions of a card, and the rules that every routine keeps. Its
 * text form is in routine_read.c and routine_write.c. */
#include <assert.h>
#include <ctype.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "core/base/text.h"
#include "core/sanitation/routine_inside.h"

static const char *const phase_words[PHASE_COUNT] = {
    [PHASE_READY] = "ready", [PHASE_FEED] = "feed", [PHASE_MILK] = "milk",    [PHASE_STRAIN] = "strain",
    [PHASE_CHILL] = "chill", [PHASE_WASH] = "wash", [PHASE_FLOORS] = "floors"};

const char *const every_words[EVERY_COUNT] = {"session", "week", "month"};
const char *const gate_words[GATE_COUNT] = {"after", "sanitised", "dry", "jars-up"};
const char *const makes_words[MAKES_COUNT] = {"nothing", "sanitised", "drained", "dry", "jars-up"};

const char *phase_word(enum routine_phase phase)
{
    return phase_words[phase];
}

const char *makes_word(enum step_makes makes)
{
    return makes_words[makes];
}

int routine_index(const struct routine *r, const char *id)
{
    for (size_t i = 0; i < r->count; i++)
        if (strcmp(r->step[i].id, id) == 0)
            return (int)i;
    return -1;
}

const struct routine_step *routine_find(const struct routine *r, const char *id)
{
    int i = routine_index(r, id);
    return i < 0 ? NULL : &r->step[i];
}

size_t step_cautions(const struct routine_step *step, enum caution_id out[STEP_CARD_CAUTIONS_MAX])
{
    size_t count = caution_of_chemical(step->chemical, out);
    for (size_t i = 0; i < step->caution_count; i++) {
        bool there = false;
        for (size_t j = 0; j < count; j++)
            there = there || out[j] == step->caution[i];
        if (!there)
            out[count++] = step->caution[i];
    }
    return count;
}

/* A refusal about one step, which is named by its line where it has one. */
__attribute__((format(printf, 3, 4))) static int step_fail(const struct routine_step *step, struct fail *f,
                                                           const char *format, ...)
{
    char text[FAIL_TEXT_MAX], where[32] = "";
    va_list args;
    va_start(args, format);
    (void)vsnprintf(text, sizeof text, format, args);
    va_end(args);
    if (step->line > 0)
        (void)snprintf(where, sizeof where, "Line %d: ", step->line);
    return fail_input(f, "%sstep \"%s\" %s", where, step->id, text);
}

static bool id_is_good(const char *id)
{
    if (!islower((unsigned char)*id))
        return false;
    for (; *id != '\0'; id++)
        if (!islower((unsigned char)*id) && !isdigit((unsigned char)*id) && *id != '-')
            return false;
    return true;
}

static int check_words(const struct routine *r, const struct routine_step *s, struct fail *f)
{
    (void)r;
    if (!id_is_good(s->id))
        return step_fail(s, f, "has a name that is not small letters, digits and hyphens, such as hot-wash.");
    if (s->words[0] == '\0')
        return step_fail(s, f, "has no words; give it a line `say ...`.");
    if (text_width(s->words) > STEP_WORDS_COLUMNS)
        return step_fail(s, f, "has words of %d columns; at most %d fit its card.", text_width(s->words),
                         STEP_WORDS_COLUMNS);
    return 0;
}

static int check_clock(const struct routine *r, const struct routine_step *s, struct fail *f)
{
    (void)r;
    if (s->contact_s < 0 || (s->kind == STEP_TIMED && s->contact_s == 0))
        return step_fail(s, f, "has a clock without a length; write `time 30 s`.");
    if (s->kind == STEP_PLAIN && s->contact_s > 0)
        return step_fail(s, f, "has a length but no clock.");
    if (s->kind == STEP_HOT && !(s->start_c > s->floor_c && s->floor_c > 0 && s->start_c <= 100))
        return step_fail(s, f, "must start hotter than its floor and not above boiling: `heat 165F 120F`.");
    return 0;
}

static int check_place(const struct routine *r, const struct routine_step *s, struct fail *f)
{
    const struct routine_step *first = routine_find(r, s->id);
    assert(s != NULL);
    if (first != s)
        return step_fail(s, f, "is there twice; every step needs a name of its own.");
    if (s > r->step && s->phase < s[-1].phase)
        return step_fail(s, f,
                         "belongs to %s, which comes before %s; the order is ready, feed, milk, strain, "
                         "chill, wash, floors.",
                         phase_word(s->phase), phase_word(s[-1].phase));
    if (s->turn && !s->per_cow)
        return step_fail(s, f, "has a turn but is not done for each cow; add `each cow`.");
    if (s->makes != MAKES_NOTHING && (s->per_cow || s->every != EVERY_SESSION))
        return step_fail(s, f, "opens a gate, so it must be done once in every session.");
    return 0;
}

/* Whether some step before `s` makes it so. */
static bool made_before(const struct routine *r, const struct routine_step *s, enum step_makes makes)
{
    for (const struct routine_step *e = r->step; e < s; e++)
        if (e->makes == makes)
            return true;
    return false;
}

static int check_after(const struct routine *r, const struct routine_step *s, const struct step_gate *g,
                       struct fail *f)
{
    const struct routine_step *other = routine_find(r, g->step);
    if (other == NULL)
        return step_fail(s, f, "waits for \"%s\", which is not a step of this routine.", g->step);
    if (other >= s)
        return step_fail(s, f, "waits for \"%s\", which does not come before it.", g->step);
    if (g->from_s < 0 || g->by_s < 0 || (g->by_s > 0 && g->by_s <= g->from_s))
        return step_fail(s, f, "has a gate that closes before it opens; write the shorter time first.");
    return 0;
}

static int check_gates(const struct routine *r, const struct routine_step *s, struct fail *f)
{
    for (size_t i = 0; i < s->gate_count; i++) {
        const struct step_gate *g = &s->gate[i];
        switch (g->kind) {
        case GATE_AFTER:
            if (check_after(r, s, g, f) != 0)
                return -1;
            break;
        case GATE_SANITISED:
            if (g->by_s <= 0)
                return step_fail(s, f, "must say how long ago sanitising may be: `gate sanitised 1 h`.");
            if (!made_before(r, s, MAKES_SANITISED) || !made_before(r, s, MAKES_DRAINED))
                return step_fail(s, f,
                                 "waits for sanitised gear, but no step before it `makes sanitised` and "
                                 "another `makes drained`.");
            break;
        case GATE_DRY:
            if (!made_before(r, s, MAKES_DRY))
                return step_fail(s, f, "waits for dry gear, but no step before it `makes dry`.");
            break;
        case GATE_JARS_UP:
            if (!made_before(r, s, MAKES_JARS_UP))
                return step_fail(s, f, "waits for the jars to be up, but no step before it `makes jars-up`.");
            break;
        }
    }
    return 0;
}

/* From `s` onwards, into the next session too, nothing that it must not meet may come before a rinse that is
 * done every time. Steps of the week count as chemicals but not as rinses: they are not always done. */
static int check_chemical(const struct routine *r, const struct routine_step *s, struct fail *f)
{
    size_t at = (size_t)(s - r->step);
    for (size_t i = 1; i <= r->count; i++) {
        const struct routine_step *later = &r->step[(at + i) % r->count];
        if (later->chemical == CHEMICAL_WATER && later->every == EVERY_SESSION)
            return 0;
        if (chemical_must_not_meet(s->chemical, later->chemical))
            return step_fail(later, f,
                             "brings %s where \"%s\" left %s: put a plain rinse of every session "
                             "between them (`chemical water`).",
                             chemical_name(later->chemical), s->id, chemical_name(s->chemical));
    }
    return 0;
}

static int check_counts(const struct routine *r, struct fail *f)
{
    size_t per_cow = 0;
    for (size_t i = 0; i < r->count; i++)
        per_cow += r->step[i].per_cow ? 1 : 0;
    if (r->name[0] == '\0')
        return fail_input(f, "The routine has no name; begin with a line `routine One bucket milker`.");
    if (r->count == 0 || r->count > ROUTINE_STEPS_MAX)
        return fail_input(f, "A routine has between 1 and %d steps.", ROUTINE_STEPS_MAX);
    if (per_cow > ROUTINE_PER_COW_MAX)
        return fail_input(f, "%zu steps are done for each cow; at most %d can be.", per_cow,
                          ROUTINE_PER_COW_MAX);
    if (r->buckets < 1 || r->buckets > ROUTINE_BUCKETS_MAX)
        return fail_input(f, "A routine has 1 to %d buckets.", ROUTINE_BUCKETS_MAX);
    return 0;
}

int routine_check(const struct routine *r, struct fail *f)
{
    static int (*const rules[])(const struct routine *, const struct routine_step *, struct fail *) = {
        check_words, check_clock, check_place, check_gates, check_chemical};
    if (check_counts(r, f) != 0)
        return -1;
    for (size_t rule = 0; rule < sizeof rules / sizeof rules[0]; rule++)
        for (size_t i = 0; i < r->count; i++)
            if (rules[rule](r, &r->step[i], f) != 0)
                return -1;
    return 0;
}
