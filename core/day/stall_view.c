#include "core/day/stall_view.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/text.h"
#include "core/breeding/calving.h"
#include "core/breeding/cycle.h"
#include "core/breeding/figures.h"
#include "core/day/cow_due.h"

static void fill_rations(const struct cow_record *r, struct stall_view *s)
{
    for (size_t i = 0; i < r->ration_count && s->rations < BOARD_RATIONS_MAX; i++) {
        struct ration_view *v = &s->ration[s->rations++];
        (void)snprintf(v->feed, sizeof v->feed, "%s", r->rations[i].feed);
        v->mass_kg = (double)r->rations[i].mass_g / 1e3;
    }
}

static void fill_yield(const struct cow_record *r, const struct milk_row *milk, struct instant at,
                       struct stall_view *s)
{
    const struct watch_result *watch = &r->watch;
    s->today_kg = milk->id != 0 && milk->mass_g != ROW_NONE ? (double)milk->mass_g / 1e3 : (double)NAN;
    cow_record_expect(r, at, &s->expected);
    cow_record_recent(r, s->recent_kg, BOARD_RECENT_DAYS);
    /* Until the day is whole the watch speaks of the last one that was: of its trend, not of its odd day. */
    bool today_whole = watch->day == date_diff(r->stage.calved_on, r->today);
    s->watch = watch->level;
    if (!today_whole && watch->level != WATCH_TREND_LOW && watch->level != WATCH_TREND_HIGH)
        s->watch = WATCH_SILENT;
    if (r->learned && s->watch != WATCH_SILENT) {
        (void)watch_word(watch, s->yield, sizeof s->yield);
        (void)snprintf(s->yield_words, sizeof s->yield_words, "%s", watch->words);
    }
}

static void fill_state(const struct cow_record *r, struct stall_view *s)
{
    char day[CIVIL_TEXT_MAX];
    /* In milk, what she carries is said in a line of its own, from all that is known. */
    if (r->stage.in_milk)
        (void)snprintf(s->state, sizeof s->state, "in milk, day %d", r->stage.day);
    else
        (void)cow_stage_text(&r->stage, ", ", s->state, sizeof s->state);
    if (date_known(r->row.quarantine_on) && r->row.quarantine_on.days >= r->today.days)
        (void)text_append(s->state, sizeof s->state, ", apart until %s",
                          date_text(r->row.quarantine_on, day));
}

/* Around calving, what to watch for comes before everything else about breeding. */
static bool fill_near(const struct cow_record *r, struct instant now, struct stall_view *s)
{
    struct milk_fever_watch watch;
    struct calving_near near;
    char until[CIVIL_TEXT_MAX];
    if (cow_milk_fever(r, now, &watch, NULL)) {
        (void)snprintf(s->breeding, sizeof s->breeding, "milk-fever watch to %s", instant_text_near(watch.until_at, now, until));
        return true;
    }
    if (r->pregnancy.chance < 0.5 || !date_known(r->plan.due_on) || date_diff(r->today, r->plan.watch_from_on) > 0)
        return false;
    gestation_near(&r->plan, now, &near, NULL);
    if (!isfinite(near.week_chance))
        return false;
    (void)snprintf(s->breeding, sizeof s->breeding, "calving: %.0f %% in 24 h, %.0f %% in 7 d", 100 * near.day_chance,
                   100 * near.week_chance);
    return true;
}

/* An open cow's next heat, when it is near. */
static void add_heat(const struct cow_record *r, struct stall_view *s)
{
    enum { NEAR_DAYS = 5, SEEN_LATELY = 3 };
    struct heat heats[CYCLE_HEATS_MAX];
    struct heat_window window;
    struct cycle cycle;
    char from[CIVIL_TEXT_MAX], to[CIVIL_TEXT_MAX];
    enum pregnancy_state state = r->pregnancy.state;
    if (state != PREGNANCY_NOT_SERVED && state != PREGNANCY_OPEN && state != PREGNANCY_LOST)
        return;
    size_t n = cycle_heats(&r->breeding, heats, CYCLE_HEATS_MAX);
    cycle_learn(heats, n, breeding_heifer(&r->breeding), &cycle, NULL);
    if (n == 0 || cycle_ahead(&cycle, heat_on(&heats[n - 1]), r->today, &window, 1) == 0 || window.cycle > SEEN_LATELY ||
        date_diff(r->today, window.from_on) > NEAR_DAYS)
        return;
    (void)snprintf(s->breeding, sizeof s->breeding, "heat %s to %s", date_text(window.from_on, from), date_text(window.to_on, to));
    int open_days = breeding_days_open(&r->breeding, r->today);
    if (open_days >= 0)
        (void)text_append(s->breeding, sizeof s->breeding, ", open %d d", open_days);
}

void stall_view_fill(const struct cow_record *r, const struct milk_row *milk, struct instant now,
                     struct instant milking_at, struct stall_view *s)
{
    s->empty = false;
    s->number = r->row.stall == ROW_NONE ? 0 : (int)r->row.stall;
    s->cow_id = r->row.id;
    (void)snprintf(s->name, sizeof s->name, "%s", r->row.name);
    fill_state(r, s);
    if (!fill_near(r, now, s) && !r->breeding.male && r->stage.stage != STAGE_CALF && r->stage.stage != STAGE_UNBORN) {
        (void)pregnancy_text(&r->pregnancy, r->today, s->breeding, sizeof s->breeding);
        add_heat(r, s);
    }
    if (r->learned)
        (void)quarters_text(r->quarters, s->udder, sizeof s->udder);
    s->in_milk = r->stage.in_milk;
    s->milked = milk->id != 0;
    fill_yield(r, milk, s->milked ? milk->at : milking_at, s);
    hold_state(&r->holds.facts, s->milked ? milk->at : now, &s->hold, NULL);
    s->keep = s->hold.keep;
    fill_rations(r, s);
}
