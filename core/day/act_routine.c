/* Acts that change the routine: a whole one taken into use, or one step of it. Every version stays in the
 * records, and ticks name steps by id, so a morning keeps its ticks whatever is changed in the middle of it.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "assets/asset.h"
#include "core/base/file.h"
#include "core/base/text.h"
#include "core/day/inside.h"
#include "core/day/setup_view.h"
#include "core/sanitation/routine.h"

int routine_save(struct act *a, const char *text)
{
    struct routine_row *row = calloc(1, sizeof *row);
    struct routine *routine = calloc(1, sizeof *routine);
    int result = -1;
    if (row == NULL || routine == NULL)
        result = fail_memory(a->fail);
    else if (strlen(text) >= sizeof row->text)
        result =
            fail_refused(a->fail, "That routine is too long; at most %zu characters.", sizeof row->text - 1);
    else if (routine_parse(text, routine, a->fail) == 0) {
        row->from_at = a->now;
        (void)text_clean_lines(row->text, sizeof row->text, text);
        act_say(a, "%sroutine %s, %zu steps", a->what[0] == '\0' ? "" : "; ", routine->name, routine->count);
        result = row_insert(a->dairy->store, &routine_table, row, NULL, a->fail);
    }
    free(row);
    free(routine);
    return result;
}

static const struct field routine_fields[] = {
    {"file", FIELD_FILE, 0, 0, NULL, "file", "a routine file; or one of the two below"},
    {"template", FIELD_CHOICE, 0, 0, "one-bucket|two-buckets", "template",
     "the routine for one bucket milker, or for two"},
    FIELD_AT,
    FIELD_WHO,
};

static int act_routine(struct act *a)
{
    const char *path = form_text(a->form, "file", NULL);
    if (path == NULL)
        return routine_save(a,
                            asset_text(form_choice(a->form, "template", 0) == 0 ? "routine-one-bucket.txt"
                                                                                : "routine-two-buckets.txt"));
    char *text;
    size_t size;
    if (file_read(path, &text, &size, a->fail) != 0)
        return -1;
    int result = routine_save(a, text);
    free(text);
    return result;
}

/* ---- one step ---- */

static const struct field step_fields[] = {
    {"id", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "id",
     "its short name, small letters and hyphens; a new one adds a step"},
    {"say", FIELD_TEXT, 0, 0, NULL, "says", "the words on the board, at most 40 columns"},
    {"how", FIELD_TEXT, 0, FIELD_AGAIN, NULL, "how", "a sentence for somebody who has never done it"},
    {"after", FIELD_NAME, 0, 0, NULL, "comes after", "the id of the step before it; this moves it"},
    {"phase", FIELD_CHOICE, 0, 0, "ready|feed|milk|strain|chill|wash|floors", "phase",
     "of a new step, if after= does not say"},
    {"time", FIELD_QUANTITY, DIM_DURATION, FIELD_AGAIN, NULL, "its clock",
     "contact time, as 2min; empty for none"},
    {"start", FIELD_QUANTITY, DIM_TEMPERATURE, FIELD_AGAIN, NULL, "hot: starts at",
     "a step in hot water starts at, as 165F; empty for none"},
    {"floor", FIELD_QUANTITY, DIM_TEMPERATURE, 0, NULL, "hot: never below", "as 120F"},
    {"each", FIELD_CHOICE, 0, 0, "no|cow", "done", "once, or for each cow"},
    {"every", FIELD_CHOICE, 0, 0, "session|week|month", "every", "session, week or month"},
    {"chemical", FIELD_TEXT, 0, FIELD_AGAIN, NULL, "chemical",
     "none, water, detergent, chlorine, acid, iodine and others"},
    {"waits", FIELD_TEXT, 0, FIELD_AGAIN, NULL, "waits for",
     "ids of earlier steps, sanitised:1h, dry, jars-up; strip:60s:90s is not before and late after"},
    {"makes", FIELD_CHOICE, 0, 0, "nothing|sanitised|drained|dry|jars-up", "makes the gear",
     "what the step, once done, opens for others that wait"},
    {"caution", FIELD_TEXT, 0, FIELD_AGAIN, NULL, "cautions", "of its own, as scald, wet-floor; its chemical's come by themselves"},
    {"remove", FIELD_CHOICE, 0, 0, "no|yes", "take out", "yes takes the step out; its ticks stay"},
    FIELD_AT,
    FIELD_WHO,
};

/* Takes the step at `from` out and puts it in at `to`, counted after it was taken out. */
static void move_step(struct routine *r, int from, int to)
{
    struct routine_step step = r->step[from];
    memmove(&r->step[from], &r->step[from + 1], (r->count - (size_t)from - 1) * sizeof step);
    memmove(&r->step[to + 1], &r->step[to], (r->count - 1 - (size_t)to) * sizeof step);
    r->step[to] = step;
}

/* Where a step of that phase goes when nothing else is said: behind the last one of its phase. */
static int end_of_phase(const struct routine *r, enum routine_phase phase)
{
    int at = 0;
    for (size_t i = 0; i < r->count; i++)
        if (r->step[i].phase <= phase)
            at = (int)i + 1;
    return at;
}

static int add_step(struct act *a, struct routine *r, int *index)
{
    if (r->count == ROUTINE_STEPS_MAX)
        return fail_refused(a->fail, "There are %d steps already, the most there can be.", ROUTINE_STEPS_MAX);
    if (form_get(a->form, "say") == NULL)
        return fail_input(a->fail, "say= is missing: a new step needs its words.");
    struct routine_step step = {.phase = (enum routine_phase)form_choice(a->form, "phase", PHASE_READY)};
    (void)snprintf(step.id, sizeof step.id, "%.23s", form_text(a->form, "id", ""));
    *index = end_of_phase(r, step.phase);
    memmove(&r->step[*index + 1], &r->step[*index], (r->count - (size_t)*index) * sizeof step);
    r->step[*index] = step;
    r->count++;
    return 0;
}

static int place_step(struct act *a, struct routine *r, int *index)
{
    const char *after = form_text(a->form, "after", NULL);
    if (after == NULL)
        return 0;
    int before = routine_index(r, after);
    if (before < 0)
        return fail_refused(a->fail, "There is no step \"%.30s\" to come after.", after);
    if (before == *index)
        return fail_refused(a->fail, "A step cannot come after itself.");
    enum routine_phase phase = r->step[before].phase;
    int to = before < *index ? before + 1 : before;
    move_step(r, *index, to);
    *index = to;
    r->step[to].phase = phase;
    return 0;
}

/* Gates as people write them: a word for what is found of the gear, or the id of an earlier step, each with its times. */
static const struct {
    const char *word;
    enum gate_kind kind;
    int32_t by_s; /* when no time is said */
} gate_names[] = {{"sanitised", GATE_SANITISED, 3600}, {"dry", GATE_DRY, 0}, {"jars-up", GATE_JARS_UP, 0}};

enum { GATE_NAMES = sizeof gate_names / sizeof gate_names[0] };

static int read_span(struct act *a, const char *text, int32_t *out_s)
{
    double seconds;
    if (quantity_parse(text, DIM_DURATION, "min", &seconds, a->fail) != 0)
        return -1;
    *out_s = (int32_t)seconds;
    return 0;
}

/* "dry", "rinse", "sanitised:2h", "strip:60s:90s" (not before, late after). */
static int read_gate(struct act *a, const char *item, struct step_gate *gate)
{
    char word[STEP_ID_MAX], first[24] = "", second[24] = "", rest[8];
    const char *list = item;
    *gate = (struct step_gate){.kind = GATE_AFTER};
    if (!list_next(&list, ':', word, sizeof word))
        return fail_input(a->fail, "waits: an empty name between commas.");
    (void)list_next(&list, ':', first, sizeof first);
    (void)list_next(&list, ':', second, sizeof second);
    if (list_next(&list, ':', rest, sizeof rest))
        return fail_input(a->fail, "waits: \"%.40s\" has too many times; write strip:60s:90s.", item);
    (void)snprintf(gate->step, sizeof gate->step, "%s", word);
    for (size_t i = 0; i < GATE_NAMES; i++)
        if (strcmp(gate_names[i].word, word) == 0)
            *gate = (struct step_gate){.kind = gate_names[i].kind, .by_s = gate_names[i].by_s};
    if (first[0] == '\0')
        return 0;
    if (gate->kind == GATE_DRY || gate->kind == GATE_JARS_UP || (gate->kind == GATE_SANITISED && second[0] != '\0'))
        return fail_input(a->fail, "waits: %s takes no such time.", word);
    if (read_span(a, first, gate->kind == GATE_SANITISED ? &gate->by_s : &gate->from_s) != 0)
        return -1;
    return second[0] == '\0' ? 0 : read_span(a, second, &gate->by_s);
}

const char *step_waits_text(const struct routine_step *step, char *buf, size_t size)
{
    char from[QUANTITY_TEXT_MAX], by[QUANTITY_TEXT_MAX];
    buf[0] = '\0';
    for (size_t i = 0; i < step->gate_count; i++) {
        const struct step_gate *g = &step->gate[i];
        const char *name = g->step;
        for (size_t n = 0; n < GATE_NAMES; n++)
            if (g->kind == gate_names[n].kind)
                name = gate_names[n].word;
        (void)snprintf(from, sizeof from, "%ds", g->kind == GATE_SANITISED ? g->by_s : g->from_s);
        (void)snprintf(by, sizeof by, ":%ds", g->by_s);
        bool timed = g->kind == GATE_SANITISED || (g->kind == GATE_AFTER && (g->from_s > 0 || g->by_s > 0));
        (void)text_append(buf, size, "%s%s%s%s%s", i == 0 ? "" : ", ", name, timed ? ":" : "", timed ? from : "",
                          timed && g->kind == GATE_AFTER && g->by_s > 0 ? by : "");
    }
    return buf;
}

const char *step_cautions_text(const struct routine_step *step, char *buf, size_t size)
{
    buf[0] = '\0';
    for (size_t i = 0; i < step->caution_count; i++)
        (void)text_append(buf, size, "%s%s", i == 0 ? "" : ", ", caution_get(step->caution[i])->word);
    return buf;
}

static int set_waits(struct act *a, struct routine_step *step)
{
    char item[64];
    const char *list = form_text(a->form, "waits", NULL);
    if (list == NULL)
        return 0;
    step->gate_count = 0;
    while (list_next(&list, ',', item, sizeof item)) {
        if (step->gate_count == STEP_GATES_MAX)
            return fail_input(a->fail, "waits: at most %d things.", STEP_GATES_MAX);
        if (read_gate(a, item, &step->gate[step->gate_count++]) != 0)
            return -1;
    }
    return 0;
}

static int set_cautions(struct act *a, struct routine_step *step)
{
    char word[32];
    const char *list = form_text(a->form, "caution", NULL);
    if (list == NULL)
        return 0;
    step->caution_count = 0;
    while (list_next(&list, ',', word, sizeof word)) {
        if (step->caution_count == STEP_CAUTIONS_MAX)
            return fail_input(a->fail, "caution: at most %d.", STEP_CAUTIONS_MAX);
        if (!caution_find(word, &step->caution[step->caution_count++]))
            return fail_input(a->fail, "caution: there is no \"%.30s\"; no-mix-acid, scald, wet-floor and others of the "
                                       "routine files.", word);
    }
    return 0;
}

/* A step in hot water: where it starts and what it never falls below; emptied, it is a step like others. */
static int set_heat(struct act *a, struct routine_step *step)
{
    const struct value *start = form_get(a->form, "start"), *lowest = form_get(a->form, "floor");
    if (start == NULL && lowest == NULL)
        return 0;
    if (start != NULL && start->text[0] == '\0') {
        step->kind = step->contact_s > 0 ? STEP_TIMED : STEP_PLAIN;
        return 0;
    }
    if (start == NULL && step->kind != STEP_HOT)
        return fail_input(a->fail, "start= is missing: how hot the water starts, as 165F.");
    if (lowest == NULL && step->kind != STEP_HOT)
        return fail_input(a->fail, "floor= is missing: what the water never falls below, as 120F.");
    step->kind = STEP_HOT;
    step->heat_units = dairy_units(a->dairy);
    if (start != NULL)
        step->start_c = start->number;
    if (lowest != NULL)
        step->floor_c = lowest->number;
    return 0;
}

static int set_step(struct act *a, struct routine_step *step)
{
    const struct value *say = form_get(a->form, "say"), *how = form_get(a->form, "how"),
                       *time = form_get(a->form, "time"), *chemical = form_get(a->form, "chemical");
    if (say != NULL)
        (void)snprintf(step->words, sizeof step->words, "%.127s", say->text);
    if (how != NULL)
        (void)snprintf(step->how, sizeof step->how, "%.239s", how->text);
    if (time != NULL && step->kind != STEP_HOT) {
        step->contact_s = (int32_t)time->number;
        step->kind = step->contact_s > 0 ? STEP_TIMED : STEP_PLAIN;
    } else if (time != NULL) {
        step->contact_s = (int32_t)time->number;
    }
    if (set_heat(a, step) != 0)
        return -1;
    step->per_cow = form_choice(a->form, "each", step->per_cow) == 1;
    step->every = (enum step_every)form_choice(a->form, "every", (int)step->every);
    if (chemical != NULL && chemical->text[0] == '\0')
        step->chemical = CHEMICAL_NONE;
    else if (chemical != NULL && !chemical_find(chemical->text, &step->chemical))
        return fail_input(a->fail,
                          "chemical: \"%.30s\" is not one of none, water, detergent, chlorine, "
                          "alkaline-chlorine, acid, iodine, "
                          "quat, peroxyacetic, peroxide, teat-dip.",
                          chemical->text);
    step->makes = (enum step_makes)form_choice(a->form, "makes", (int)step->makes);
    return set_waits(a, step) != 0 ? -1 : set_cautions(a, step);
}

static int change_step(struct act *a, struct routine *r)
{
    const char *id = form_text(a->form, "id", "");
    int index = routine_index(r, id);
    bool known = index >= 0;
    if (form_choice(a->form, "remove", 0) == 1) {
        if (!known)
            return fail_refused(a->fail, "There is no step \"%.30s\".", id);
        act_say(a, "step %s taken out", id);
        memmove(&r->step[index], &r->step[index + 1], (r->count - (size_t)index - 1) * sizeof r->step[0]);
        r->count--;
        return 0;
    }
    if (!known && add_step(a, r, &index) != 0)
        return -1;
    if (place_step(a, r, &index) != 0)
        return -1;
    act_say(a, "step %s %s", id, known ? "changed" : "added");
    return set_step(a, &r->step[index]);
}

static int act_step(struct act *a)
{
    struct routine *r = malloc(sizeof *r);
    char *text = malloc(ROUTINE_TEXT_MAX);
    int result = -1;
    if (r == NULL || text == NULL)
        result = fail_memory(a->fail);
    else if (dairy_routine(a->dairy, r, a->fail) == 0 && change_step(a, r) == 0 &&
             routine_check(r, a->fail) == 0 && routine_write(r, text, ROUTINE_TEXT_MAX, a->fail) == 0)
        result = routine_save(a, text);
    free(text);
    free(r);
    return result;
}

const struct act_kind acts_routine[] = {
    {"routine", "takes a routine into use, from a file or a template", "template=one-bucket",
     FIELDS(routine_fields), act_routine},
    {"step", "adds, changes, moves or takes out a step of the routine",
     "id=teat-check say=\"Look at the teats\" phase=milk after=strip", FIELDS(step_fields), act_step},
    {0},
};
