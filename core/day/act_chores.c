/* Acts on the routine: steps begun, done, skipped, and un-ticked. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/day/inside.h"
#include "core/sanitation/progress.h"
#include "core/sanitation/routine.h"
#include "core/store/rows_shelf.h"

static const struct field tick_fields[] = {
    {"step", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "step", "its id in the routine, as hot-wash"},
    {"state", FIELD_CHOICE, 0, 0, "done|begun|skipped|undone", "state",
     "done, begun (its clock runs), skipped, undone"},
    {"cow", FIELD_NAME, 0, 0, NULL, "cow", "for steps done for each cow"},
    FIELD_AT,
    FIELD_WHO,
};

int dairy_routine(struct dairy *d, struct routine *out, struct fail *f)
{
    struct routine_row *row = malloc(sizeof *row);
    bool found = false;
    if (row == NULL)
        return fail_memory(f);
    int result = rows_first(d->store, &routine_table, "ORDER BY id DESC LIMIT 1", NULL, 0, row, &found, f);
    if (result == 0 && !found)
        result = fail_refused(f, "There is no routine yet; record `routine template=one-bucket`.");
    if (result == 0)
        result = routine_parse(row->text, out, f);
    free(row);
    return result;
}

/* The step itself, with its cow where it has one. */
static int find_step(struct act *a, struct tick_row *row, bool *clocked)
{
    struct cow_row cow;
    struct routine *routine = malloc(sizeof *routine);
    int result = -1;
    if (routine == NULL)
        return fail_memory(a->fail);
    const char *id = form_text(a->form, "step", "");
    const struct routine_step *step = NULL;
    if (dairy_routine(a->dairy, routine, a->fail) != 0)
        goto out;
    step = routine_find(routine, id);
    if (step == NULL) {
        fail_refused(a->fail, "There is no step \"%.30s\" in the routine.", id);
    } else if (!step->per_cow && form_get(a->form, "cow") != NULL) {
        fail_input(a->fail, "%s is done once, not for each cow; leave cow= out.", id);
    } else if (step->per_cow && form_get(a->form, "cow") == NULL) {
        fail_input(a->fail, "%s is done for each cow; say which with cow=.", id);
    } else if (!step->per_cow || act_cow(a, "cow", &cow) == 0) {
        row->cow_id = step->per_cow ? cow.id : ROW_NONE;
        (void)snprintf(row->step, sizeof row->step, "%s", step->id);
        *clocked = step->kind != STEP_PLAIN;
        act_say(a, "%s%s%s", step->words, step->per_cow ? ", " : "", step->per_cow ? cow.name : "");
        result = 0;
    }
out:
    free(routine);
    return result;
}

/* The ticks of that step (and cow) in that milking. */
static int load_ticks(struct act *a, const struct tick_row *like, struct tick_row **rows, size_t *count)
{
    return rows_load(a->dairy->store, &tick_table,
                     "WHERE milking_id = ?1 AND step = ?2 AND cow_id IS ?3 ORDER BY at, id",
                     (struct bind[]){BIND_ID(like->milking_id), BIND_TEXT(like->step), BIND_ID(like->cow_id)},
                     3, (void **)rows, count, a->fail);
}

/* The step at which jars are counted, dry and dated (its id stays, whatever it is called): what was to be
 * washed is clean from then on. */
static const char jars_step[] = "jars";

static int untick_washing(struct act *a, int64_t tick_id)
{
    struct empty_move_row *rows;
    size_t count;
    if (rows_load(a->dairy->store, &empty_move_table, "WHERE tick_id = ?1", (struct bind[]){BIND_ID(tick_id)},
                  1, (void **)&rows, &count, a->fail) != 0)
        return -1;
    int result = 0;
    for (size_t i = 0; i < count && result == 0; i++)
        result = row_remove(a->dairy->store, &empty_move_table, rows[i].id, a->fail);
    free(rows);
    return result;
}

static int tick_washing(struct act *a, const struct tick_row *tick)
{
    if (strcmp(tick->step, jars_step) != 0 || strcmp(tick->kind, "done") != 0)
        return 0;
    size_t said = strlen(a->what);
    act_say(a, "; washed ");
    size_t before = strlen(a->what);
    if (act_wash_all(a, tick->id) != 0)
        return -1;
    if (strlen(a->what) == before)
        a->what[said] = '\0'; /* there was nothing to wash */
    return 0;
}

static int untick(struct act *a, const struct tick_row *rows, size_t count)
{
    if (count == 0)
        return fail_refused(a->fail, "That step is not ticked.");
    act_say(a, ": un-ticked");
    if (untick_washing(a, rows[count - 1].id) != 0)
        return -1;
    return row_remove(a->dairy->store, &tick_table, rows[count - 1].id, a->fail);
}

static int check_again(struct act *a, const struct tick_row *row, const struct tick_row *rows, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        if (strcmp(rows[i].kind, row->kind) == 0 || strcmp(rows[i].kind, "begun") != 0)
            return fail_refused(a->fail, "That step is ticked already; un-tick it first.");
        if (rows[i].at.s > row->at.s)
            return fail_refused(a->fail, "That is before the step was begun.");
    }
    return 0;
}

static int act_tick(struct act *a)
{
    struct milking_row m;
    struct tick_row row = {.at = a->at, .kind = "done"}, *rows = NULL;
    bool found, clocked = false;
    size_t count = 0;
    char state[12] = "done";
    (void)form_choice_word(a->form, "state", state, sizeof state);
    bool undone = strcmp(state, "undone") == 0;
    if (find_step(a, &row, &clocked) != 0 || act_milking(a, !undone, &m, &found) != 0)
        return -1;
    if (!found)
        return fail_refused(a->fail, "No milking is open then; nothing is ticked.");
    row.milking_id = m.id;
    (void)snprintf(row.kind, sizeof row.kind, "%.7s", state);
    if (strcmp(state, "begun") == 0 && !clocked)
        return fail_input(a->fail, "That step has no clock to begin; tick it done.");
    if (load_ticks(a, &row, &rows, &count) != 0)
        return -1;
    int result = undone ? untick(a, rows, count) : check_again(a, &row, rows, count);
    free(rows);
    if (result != 0 || undone)
        return result;
    if (strcmp(state, "done") != 0)
        act_say(a, ": %s", state);
    if (row_insert(a->dairy->store, &tick_table, &row, NULL, a->fail) != 0)
        return -1;
    return tick_washing(a, &row);
}

const struct act_kind acts_chores[] = {
    {"tick", "a step of the routine is done, begun, skipped or un-ticked", "step=hot-wash state=begun",
     FIELDS(tick_fields), act_tick},
    {0},
};
