#include "core/sanitation/parts.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "assets/asset.h"
#include "core/base/csv.h"
#include "core/base/text.h"
#include "core/sanitation/caution.h"

/* Farther off than any calendar here goes. */
enum { NEVER_DAYS = INT32_MAX, FAR_DAYS = 36500 };

static const char *const kind_words[] = {"wears", "service", "stock"};

/* An empty cell is 0: not counted so. */
static int read_number(const struct csv_row *row, size_t column, enum dimension dim, double *out,
                       struct fail *f)
{
    struct fail inner = {0};
    *out = 0;
    if (row->cell[column][0] == '\0')
        return 0;
    if (quantity_parse(row->cell[column], dim, NULL, out, &inner) != 0 || *out < 0)
        return fail_input(f, "Row %zu: \"%.40s\" is not a number that can stand here.", row->line,
                          row->cell[column]);
    return 0;
}

static int read_kind(const struct csv_row *row, enum part_kind *out, struct fail *f)
{
    int kind = text_find(kind_words, PART_STOCK + 1, row->cell[2]);
    if (kind < 0)
        return fail_input(f, "Row %zu: \"%.40s\" is not one of wears, service, stock.", row->line,
                          row->cell[2]);
    *out = (enum part_kind)kind;
    return 0;
}

static int check_part(const struct gear_part *part, size_t line, struct fail *f)
{
    bool lives = part->milkings > 0 || part->days > 0, used = part->per_cow > 0 || part->per_session > 0;
    if (part->name[0] == '\0' || part->words[0] == '\0' || part->source[0] == '\0')
        return fail_input(f, "Row %zu: name, words or source are missing or too long.", line);
    if (part->kind == PART_STOCK ? !used : !lives)
        return fail_input(f, "Row %zu: %s has %s.", line, part->name,
                          part->kind == PART_STOCK ? "no use" : "no life, neither milkings nor days");
    return 0;
}

static int read_part(void *context, const struct csv_row *row, struct fail *f)
{
    struct part_table *table = context;
    struct gear_part part = {0};
    double milkings, days;
    if (row->line == 1)
        return 0;
    if (row->count < 8)
        return fail_input(f, "Row %zu: %zu cells; name, words, kind, four numbers and a source are needed.",
                          row->line, row->count);
    if (table->count == PARTS_MAX)
        return fail_input(f, "Row %zu: at most %d parts.", row->line, PARTS_MAX);
    if (read_kind(row, &part.kind, f) != 0 || read_number(row, 3, DIM_COUNT, &milkings, f) != 0 ||
        read_number(row, 4, DIM_COUNT, &days, f) != 0 ||
        read_number(row, 5, DIM_NUMBER, &part.per_cow, f) != 0 ||
        read_number(row, 6, DIM_NUMBER, &part.per_session, f) != 0)
        return -1;
    part.milkings = (int64_t)milkings;
    part.days = (int32_t)fmin(days, FAR_DAYS);
    if (!text_trim(part.name, sizeof part.name, row->cell[0]) ||
        !text_trim(part.words, sizeof part.words, row->cell[1]) ||
        !text_trim(part.source, sizeof part.source, row->cell[7]))
        part.name[0] = '\0';
    (void)text_trim(part.note, sizeof part.note, row->count > 8 ? row->cell[8] : "");
    if (check_part(&part, row->line, f) != 0)
        return -1;
    if (parts_find(table, part.name) != NULL)
        return fail_input(f, "Row %zu: %s is there twice.", row->line, part.name);
    table->part[table->count++] = part;
    return 0;
}

int parts_parse(const char *text, struct part_table *out, struct fail *f)
{
    struct part_table table = {.count = 0};
    if (csv_read(text, strlen(text), read_part, &table, f) != 0)
        return -1;
    *out = table;
    return 0;
}

int parts_load(struct part_table *out, struct fail *f)
{
    return parts_parse(asset_text("parts.csv"), out, f);
}

const struct gear_part *parts_find(const struct part_table *table, const char *name)
{
    for (size_t i = 0; i < table->count; i++)
        if (text_same(table->part[i].name, name))
            return &table->part[i];
    return NULL;
}

const char *life_binds_word(enum life_binds binds)
{
    return binds == LIFE_MILKINGS ? "milkings" : "calendar";
}

double life_per_day(int cows, int milkings_a_day, int units)
{
    return (double)cows * milkings_a_day / units;
}

static int check_life(const struct life_ask *ask, struct fail *f)
{
    if (ask->milkings < 0 || ask->days < 0 || ask->used < 0)
        return fail_input(f, "A life cannot be less than nothing.");
    if (ask->milkings == 0 && ask->days == 0)
        return fail_input(f, "A life of nothing: give milkings=, days= or both, as milkings=1200 days=182.");
    if (ask->milkings > 0 && !(ask->per_day > 0))
        return fail_input(f, "per_day: how many cows are milked with it in a day? Write per_day=4.");
    if (ask->days > FAR_DAYS)
        return fail_input(f, "days: a life of %d days cannot be meant.", ask->days);
    if (!date_known(ask->fitted) || !date_known(ask->today))
        return fail_input(f, "fitted: on which day was it fitted? Write fitted=2026-05-03.");
    if (date_diff(ask->fitted, ask->today) < 0)
        return fail_refused(f, "fitted: that day is still to come.");
    return 0;
}

/* Days until the milkings are used up, whole days only, from today. */
static int32_t days_of_milkings(const struct life_ask *ask)
{
    if (ask->milkings == 0)
        return NEVER_DAYS;
    double days = floor((double)(ask->milkings - ask->used) / ask->per_day + 1e-9);
    return (int32_t)fmax(fmin(days, FAR_DAYS), -FAR_DAYS);
}

int life_reckon(const struct life_ask *ask, struct life *out, struct working *w, struct fail *f)
{
    if (check_life(ask, f) != 0)
        return -1;
    int32_t by_milkings = days_of_milkings(ask);
    int32_t by_calendar = ask->days == 0 ? NEVER_DAYS : ask->days - date_diff(ask->fitted, ask->today);
    out->binds = by_milkings < by_calendar ? LIFE_MILKINGS : LIFE_CALENDAR;
    out->days_left = out->binds == LIFE_MILKINGS ? by_milkings : by_calendar;
    out->milkings_left = ask->milkings == 0 ? 0 : ask->milkings - ask->used;
    out->due_on = date_add(ask->today, out->days_left);
    out->over = out->days_left <= 0;
    if (ask->milkings > 0) {
        working_given_whole(w, "milkings", (long)ask->milkings, ORIGIN_GIVEN);
        working_given_whole(w, "used_milkings", (long)ask->used, ORIGIN_RECORDED);
        working_given(w, "per_day", ask->per_day, ORIGIN_GIVEN);
        working_step(w, "milkings: (%lld - %lld) / %.4g a day = %d days", (long long)ask->milkings,
                     (long long)ask->used, ask->per_day, by_milkings);
    }
    if (ask->days > 0) {
        working_given_whole(w, "life_days", ask->days, ORIGIN_GIVEN);
        working_step(w, "calendar: %d days left of %d", by_calendar, ask->days);
    }
    working_result_date(w, "due_on", out->due_on);
    working_result_text(w, "binds", life_binds_word(out->binds));
    working_result_whole(w, "left_days", out->days_left);
    working_source(w, "ontario-rubber");
    return 0;
}

int stock_reckon(const struct stock_ask *ask, struct stock *out, struct working *w, struct fail *f)
{
    if (!(ask->on_hand >= 0) || ask->lead_days < 0)
        return fail_input(f, "A stock cannot be less than nothing.");
    if (!(ask->used_per_day > 0))
        return fail_input(f, "How many are used in a day? With none used, the stock never runs out.");
    out->days_left = floor(ask->on_hand / ask->used_per_day + 1e-9);
    int32_t days = (int32_t)fmin(out->days_left, FAR_DAYS);
    out->out_on = date_add(ask->today, days);
    out->order_by_on = date_add(out->out_on, -ask->lead_days);
    out->order_now = date_diff(ask->today, out->order_by_on) <= 0;
    working_given(w, "on_hand", ask->on_hand, ORIGIN_RECORDED);
    working_given(w, "used_per_day", ask->used_per_day, ORIGIN_COMPUTED);
    working_given_whole(w, "lead_days", ask->lead_days, ORIGIN_GIVEN);
    working_step(w, "%.4g / %.4g a day = %.0f whole days", ask->on_hand, ask->used_per_day, out->days_left);
    working_result_date(w, "out_on", out->out_on);
    working_result_date(w, "order_by_on", out->order_by_on);
    return 0;
}

static enum band judge_band(double value, double low, double high)
{
    return value < low ? BAND_LOW : value > high ? BAND_HIGH : BAND_INSIDE;
}

const char *band_word(enum band band)
{
    static const char *const words[] = {
        [BAND_LOW] = "low", [BAND_INSIDE] = "in the band", [BAND_HIGH] = "high"};
    return words[band];
}

enum band vacuum_judge(double vacuum_kpa, struct working *w)
{
    enum band band = judge_band(vacuum_kpa, VACUUM_LOW_KPA - GAUGE_KPA, VACUUM_HIGH_KPA + GAUGE_KPA);
    working_given(w, "vacuum_kpa", vacuum_kpa, ORIGIN_MEASURED);
    working_given(w, "low_kpa", VACUUM_LOW_KPA, ORIGIN_CONSTANT);
    working_given(w, "high_kpa", VACUUM_HIGH_KPA, ORIGIN_CONSTANT);
    working_step(w, "%.1f kPa = %.1f inHg; the band is %.1f to %.1f inHg, in the claw while milk flows",
                 vacuum_kpa, vacuum_kpa / KPA_PER_INHG, VACUUM_LOW_KPA / KPA_PER_INHG,
                 VACUUM_HIGH_KPA / KPA_PER_INHG);
    working_result_text(w, "vacuum", band_word(band));
    working_source(w, "nmc-vacuum");
    return band;
}

int pulsation_reckon(double rate_per_min, double open_pct, struct pulsation *out, struct working *w,
                     struct fail *f)
{
    if (!(rate_per_min > 0))
        return fail_input(f, "rate: count the beats of a minute, as 60.");
    if (!(open_pct >= 0 && open_pct <= 100))
        return fail_input(f, "ratio: the open share of the cycle is between 0 and 100 %%, as 60%%.");
    double cycle_ms = 60000 / rate_per_min;
    out->open_ms = cycle_ms * open_pct / 100;
    out->massage_ms = cycle_ms - out->open_ms;
    out->rate = judge_band(rate_per_min, 45, 70);
    out->massage_enough = out->massage_ms >= 150;
    working_given(w, "rate_per_min", rate_per_min, ORIGIN_MEASURED);
    working_given(w, "open_pct", open_pct, ORIGIN_GIVEN);
    working_step(w, "one cycle %.0f ms: open %.0f, massage %.0f", cycle_ms, out->open_ms, out->massage_ms);
    working_step(w, "a pneumatic pulsator follows the vacuum: set the vacuum first");
    working_result(w, "open_s", out->open_ms / 1000);
    working_result(w, "massage_s", out->massage_ms / 1000);
    working_result_text(w, "rate", band_word(out->rate));
    working_result_yes(w, "massage_enough", out->massage_enough);
    working_source(w, "iso-5707");
    return 0;
}

double floor_slope_pct(double fall_m, double length_m)
{
    return length_m > 0 ? fall_m / length_m * 100 : NAN;
}
