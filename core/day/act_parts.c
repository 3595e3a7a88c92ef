/* Acts on the gear that wears: parts fitted, jobs of the machine done, stock counted, vacuum and pulsation
 * measured. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/inside.h"
#include "core/sanitation/parts.h"
#include "core/store/rows_wash.h"

static const struct field part_fields[] = {
    {"name", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "part",
     "liner, milk-hose, pulse-tube, pump-oil, disc, strip and others of parts.csv, or your own word"},
    {"fitted", FIELD_DATE, 0, 0, NULL, "fitted, or done", "the day, as 2026-05-03; today if not given"},
    {"milkings", FIELD_QUANTITY, DIM_COUNT, 0, NULL, "lasts milkings", "life in cows milked with it, as 1200"},
    {"days", FIELD_QUANTITY, DIM_COUNT, 0, NULL, "lasts days", "life by the calendar, as 182"},
    {"stock", FIELD_QUANTITY, DIM_COUNT, 0, NULL, "on the shelf", "how many were counted, as 100"},
    {"lead", FIELD_QUANTITY, DIM_COUNT, 0, NULL, "days to get more", "from order to shelf, as 7"},
    {"note", FIELD_TEXT, 0, 0, NULL, "note", "what was seen or done"},
    FIELD_AT,
    FIELD_WHO,
};

/* A life that is given must be one: `days=0` is a slip, not "by milkings alone". */
static int check_given_life(struct act *a, const char *key, int64_t *life)
{
    const struct value *v = form_get(a->form, key);
    if (v != NULL && !(v->number > 0))
        return fail_input(a->fail, "%s: a life of 0 is none; leave %s= out if it is not counted so.", key, key);
    if (v != NULL && v->number > 100000)
        return fail_input(a->fail, "%s: a life of %.0f cannot be meant.", key, v->number);
    if (v != NULL)
        *life = (int64_t)v->number;
    return 0;
}

/* Its life: as given now, else as it was said at the last fitting, else as the table has it. */
static int take_life(struct act *a, const struct gear_part *known, struct part_fit_row *row)
{
    struct part_fit_row last;
    bool found;
    if (rows_first(a->dairy->store, &part_fit_table, "WHERE part = ?1 ORDER BY at DESC, id DESC LIMIT 1",
                   (struct bind[]){BIND_TEXT(row->part)}, 1, &last, &found, a->fail) != 0)
        return -1;
    row->milkings = found ? last.milkings : known != NULL && known->milkings > 0 ? known->milkings : ROW_NONE;
    row->days = found ? last.days : known != NULL && known->days > 0 ? known->days : ROW_NONE;
    if (check_given_life(a, "milkings", &row->milkings) != 0 || check_given_life(a, "days", &row->days) != 0)
        return -1;
    if (row->milkings == ROW_NONE && row->days == ROW_NONE)
        return fail_input(a->fail, "%s: how long does it last? Give milkings=, days= or both.", row->part);
    return 0;
}

static int add_fit(struct act *a, const struct gear_part *known, const char *name)
{
    struct part_fit_row row = {.at = a->at};
    char day[CIVIL_TEXT_MAX];
    struct date fitted = form_date(a->form, "fitted", instant_date(a->at));
    (void)snprintf(row.part, sizeof row.part, "%s", name);
    if (date_diff(fitted, instant_date(a->at)) < 0)
        return fail_refused(a->fail, "fitted: that day is still to come.");
    if (fitted.days != instant_date(a->at).days)
        row.at = date_start(fitted);
    if (take_life(a, known, &row) != 0)
        return -1;
    act_text(a, "note", row.note, sizeof row.note);
    act_say(a, "%s%s %s", known != NULL ? known->words : name,
            known != NULL && known->kind == PART_SERVICE ? ":" : ": fitted", date_text(fitted, day));
    if (row.milkings != ROW_NONE)
        act_say(a, ", for %lld milkings", (long long)row.milkings);
    if (row.days != ROW_NONE)
        act_say(a, "%s %lld days", row.milkings != ROW_NONE ? " or" : ", for", (long long)row.days);
    return row_insert(a->dairy->store, &part_fit_table, &row, NULL, a->fail);
}

static int add_stock(struct act *a, const struct gear_part *known, const char *name)
{
    struct part_stock_row last, row = {.at = a->at, .lead_days = ROW_NONE};
    bool found;
    if (rows_first(a->dairy->store, &part_stock_table, "WHERE part = ?1 ORDER BY at DESC, id DESC LIMIT 1",
                   (struct bind[]){BIND_TEXT(name)}, 1, &last, &found, a->fail) != 0)
        return -1;
    if (found)
        row.lead_days = last.lead_days;
    (void)snprintf(row.part, sizeof row.part, "%s", name);
    row.on_hand = (int64_t)form_number(a->form, "stock", 0);
    if (form_get(a->form, "lead") != NULL)
        row.lead_days = (int64_t)fmin(form_number(a->form, "lead", 0), 3650);
    act_say(a, "%s%s: %lld on the shelf", a->what[0] == '\0' ? "" : "; ", known != NULL ? known->words : name,
            (long long)row.on_hand);
    return row_insert(a->dairy->store, &part_stock_table, &row, NULL, a->fail);
}

static int do_part(struct act *a, const struct part_table *table)
{
    const char *name = form_text(a->form, "name", "");
    const struct gear_part *known = parts_find(table, name);
    bool stock = form_get(a->form, "stock") != NULL;
    for (size_t i = 0; known == NULL && i < table->count; i++)
        if (text_same(table->part[i].words, name))
            known = &table->part[i];
    if (known != NULL)
        name = known->name;
    if (strlen(name) >= sizeof((struct part_fit_row *)0)->part)
        return fail_input(a->fail, "name: too long; one or two words are enough.");
    if (known != NULL && known->kind == PART_STOCK && !stock)
        return fail_input(a->fail, "%s are used up, not fitted; count them with stock=.", known->words);
    if (!stock && form_get(a->form, "lead") != NULL)
        return fail_input(a->fail, "lead: goes with stock=, how many are on the shelf.");
    bool fit = !stock || form_get(a->form, "fitted") != NULL || form_get(a->form, "milkings") != NULL ||
               form_get(a->form, "days") != NULL;
    if (fit && known != NULL && known->kind == PART_STOCK)
        return fail_input(a->fail, "%s are used up, not fitted; leave fitted=, milkings= and days= out.",
                          known->words);
    if (fit && add_fit(a, known, name) != 0)
        return -1;
    return stock ? add_stock(a, known, name) : 0;
}

static int act_part(struct act *a)
{
    struct part_table *table = malloc(sizeof *table);
    int result = table == NULL ? fail_memory(a->fail) : parts_load(table, a->fail);
    if (result == 0)
        result = do_part(a, table);
    free(table);
    return result;
}

/* ---- vacuum and pulsation ---- */

static const struct field machine_fields[] = {
    {"vacuum", FIELD_QUANTITY, DIM_PRESSURE, 0, NULL, "vacuum", "at the claw while milk flows, as 12inHg"},
    {"rate", FIELD_QUANTITY, DIM_RATE, 0, NULL, "pulsations", "counted in a minute, as 60/min"},
    {"open", FIELD_QUANTITY, DIM_PERCENT, FIELD_UNIT_NEEDED, NULL, "liner open",
     "share of a pulsation, as 60%"},
    {"note", FIELD_TEXT, 0, 0, NULL, "note", "leaks, belt, oil, air vent"},
    FIELD_AT,
    FIELD_WHO,
};

static int act_machine(struct act *a)
{
    struct machine_check_row row = {
        .at = a->at, .vacuum_pa = act_milli(a, "vacuum"), .rate_milli = act_milli(a, "rate"),
        .open_mpct = act_milli(a, "open")};
    struct pulsation beat;
    char vacuum[QUANTITY_TEXT_MAX];
    if (row.vacuum_pa == ROW_NONE && row.rate_milli == ROW_NONE)
        return fail_input(a->fail, "Give vacuum= or rate=: what was measured.");
    if (row.vacuum_pa != ROW_NONE && row.vacuum_pa <= 0)
        return fail_input(a->fail, "vacuum: a vacuum of 0 is none; as 12inHg or 41kPa.");
    if (row.open_mpct != ROW_NONE && row.rate_milli == ROW_NONE)
        return fail_input(a->fail, "open: goes with rate=, as 60/min.");
    act_text(a, "note", row.note, sizeof row.note);
    act_say(a, "machine:");
    if (row.vacuum_pa != ROW_NONE)
        act_say(a, " vacuum %s, %s", say_quantity(a->dairy, (double)row.vacuum_pa / 1e3, DIM_PRESSURE, vacuum),
                band_word(vacuum_judge((double)row.vacuum_pa / 1e3, NULL)));
    if (row.rate_milli != ROW_NONE) {
        if (pulsation_reckon((double)row.rate_milli / 1e3, form_number(a->form, "open", 60), &beat, NULL,
                             a->fail) != 0)
            return -1;
        act_say(a, "%s %.4g a minute, %s", row.vacuum_pa != ROW_NONE ? ";" : "", (double)row.rate_milli / 1e3,
                band_word(beat.rate));
        if (row.open_mpct != ROW_NONE && !beat.massage_enough)
            act_say(a, ", massage under 150 ms");
    }
    return row_insert(a->dairy->store, &machine_check_table, &row, NULL, a->fail);
}

const struct act_kind acts_parts[] = {
    {"part", "a part is fitted, a job of the machine done, or stock counted", "name=liner fitted=2026-05-03 milkings=1200 days=182",
     FIELDS(part_fields), act_part},
    {"machine", "vacuum and pulsation as measured", "vacuum=12inHg rate=60/min open=60%", FIELDS(machine_fields),
     act_machine},
    {0},
};
