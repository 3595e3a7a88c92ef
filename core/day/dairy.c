#include "core/day/dairy.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/facts.h"
#include "core/day/inside.h"
#include "core/milk/code.h"
#include "core/store/portable.h"
#include "core/store/rows_shelf.h"

static int load_own_jars(struct dairy *d, struct fail *f)
{
    struct jar_kind_row *rows;
    size_t count;
    if (rows_load(d->store, &jar_kind_table, "ORDER BY id", NULL, 0, (void **)&rows, &count, f) != 0)
        return -1;
    for (size_t i = 0; i < count && d->jars.count < JAR_KINDS_MAX; i++) {
        struct jar_kind kind = {
            .volume_l = (double)rows[i].volume_ml / 1e3,
            .liquid_height_m = (double)rows[i].height_um / 1e6,
            .outside_diameter_m = (double)rows[i].diameter_um / 1e6,
            .wall_m = (double)rows[i].wall_um / 1e6,
            .empty_kg = (double)rows[i].empty_g / 1e3,
            .material = strcmp(rows[i].material, "steel") == 0 ? JAR_STEEL : JAR_GLASS,
            .source = "own-jar",
        };
        (void)snprintf(kind.name, sizeof kind.name, "%.31s", rows[i].name);
        if (jar_kind_check(&kind, NULL) == 0)
            d->jars.kind[d->jars.count++] = kind;
    }
    free(rows);
    return 0;
}

static int load_limit(struct dairy *d, struct fail *f)
{
    if (strcmp(d->row.limit_set, "own") == 0)
        return limit_parse_own(d->row.own_limit, &d->limit, f);
    const struct limit_set *set = limit_need(&d->limits, d->row.limit_set, NULL, f);
    if (set == NULL)
        return -1;
    d->limit = *set;
    return 0;
}

static int load_into(struct dairy *d, struct fail *f)
{
    if (jar_list_load(&d->jars, f) != 0 || limit_list_load(&d->limits, f) != 0 || load_own_jars(d, f) != 0)
        return -1;
    if (rows_first(d->store, &dairy_table, "WHERE id = 1", NULL, 0, &d->row, &d->set_up, f) != 0)
        return -1;
    return d->set_up ? load_limit(d, f) : 0;
}

/* All of them or none: what cannot be read leaves the settings as they were. */
int dairy_load_settings(struct dairy *d, struct fail *f)
{
    struct dairy *fresh = malloc(sizeof *fresh);
    if (fresh == NULL)
        return fail_memory(f);
    *fresh = *d;
    int result = load_into(fresh, f);
    fresh->stale = false;
    if (result == 0)
        *d = *fresh;
    free(fresh);
    return result;
}

/* After what may have changed them; when they cannot be read now, it is tried again at the next look. */
static void settings_changed(struct dairy *d)
{
    d->stale = true;
    (void)dairy_load_settings(d, NULL);
}

int dairy_open(const char *path, enum dairy_mode mode, struct dairy **out, struct fail *f)
{
    static const enum store_mode modes[] = {[DAIRY_CREATE] = STORE_CREATE,
                                            [DAIRY_WRITE] = STORE_WRITE,
                                            [DAIRY_READ] = STORE_READ,
                                            [DAIRY_SCRATCH] = STORE_SCRATCH};
    *out = NULL;
    struct dairy *d = calloc(1, sizeof *d);
    if (d == NULL)
        return fail_memory(f);
    if (store_open(path, modes[mode], &d->store, f) != 0 || store_version(d->store, &d->version, f) != 0 ||
        dairy_load_settings(d, f) != 0) {
        dairy_close(d);
        return -1;
    }
    d->edition = 1;
    d->hasty = mode == DAIRY_SCRATCH;
    *out = d;
    return 0;
}

void dairy_close(struct dairy *d)
{
    if (d == NULL)
        return;
    facts_free(d->facts);
    store_close(d->store);
    free(d);
}

int dairy_settle(struct dairy *d, struct fail *f)
{
    d->hasty = false;
    return store_settle(d->store, f);
}

void dairy_make_haste(struct dairy *d, bool haste)
{
    d->hasty = haste;
}

bool dairy_is_set_up(const struct dairy *d)
{
    return d->set_up;
}

const char *dairy_name(const struct dairy *d)
{
    return d->set_up ? d->row.name : "";
}

const char *dairy_keeper(const struct dairy *d)
{
    return d->set_up && d->row.keeper[0] != '\0' ? d->row.keeper : "keeper";
}

enum unit_system dairy_units(const struct dairy *d)
{
    return d->set_up && strcmp(d->row.units, "metric") == 0 ? UNITS_METRIC : UNITS_US;
}

const char *dairy_path(const struct dairy *d)
{
    return store_path(d->store);
}

bool dairy_read_only(const struct dairy *d, const char **why)
{
    return store_read_only(d->store, why);
}

int dairy_refresh(struct dairy *d, bool *changed, struct fail *f)
{
    uint32_t version;
    *changed = false;
    if (store_version(d->store, &version, f) != 0)
        return -1;
    if (version == d->version && !d->stale)
        return 0;
    if (dairy_load_settings(d, f) != 0)
        return -1;
    d->version = version;
    d->edition++;
    d->cows_stale = true; /* what others have changed is not known */
    d->lessons_stale = true;
    d->scale_stale = true;
    *changed = true;
    return 0;
}

int dairy_backup(struct dairy *d, const char *path, struct fail *f)
{
    return store_backup(d->store, path, f);
}

int dairy_export(struct dairy *d, const char *path, size_t *files, size_t *rows, struct fail *f)
{
    struct portable_count count;
    if (store_export(d->store, path, &count, f) != 0)
        return -1;
    *files = count.files;
    *rows = count.rows;
    return 0;
}

bool dairy_table_file(const char *path)
{
    const char *slash = strrchr(path, '/'), *base = slash == NULL ? path : slash + 1;
    const struct table *t;
    char name[80];
    for (size_t i = 0; (t = table_at(i)) != NULL; i++) {
        (void)snprintf(name, sizeof name, "%s.csv", t->name);
        if (text_same(name, base))
            return true;
    }
    return false;
}

static int read_settings(void *dairy, struct fail *f)
{
    return dairy_load_settings(dairy, f);
}

int dairy_import(struct dairy *d, char *const paths[], size_t path_count, size_t *files, size_t *rows,
                 struct fail *f)
{
    struct portable_count count;
    if (store_import(d->store, paths, path_count, read_settings, d, &count, f) != 0) {
        settings_changed(d);
        return -1;
    }
    *files = count.files;
    *rows = count.rows;
    d->edition++;
    return 0;
}

int dairy_verify(struct dairy *d, void (*each)(void *context, const char *finding), void *context,
                 size_t *findings, struct fail *f)
{
    return store_verify(d->store, each, context, findings, f);
}

static const struct act_kind *const act_lists[] = {
    acts_setup,   /* the dairy, jars, rations, notes */
    acts_routine, /* the routine and its steps */
    acts_herd,    /* animals */
    acts_breeding, /* heats, services, checks, calvings */
    acts_year,     /* the need for milk, what comes round again */
    acts_feed,     /* feed in store, forage, analyses */
    acts_milking, /* in the stall */
    acts_pour,    /* into jars */
    acts_chill,   /* at the tub */
    acts_probe,   /* probes */
    acts_chores,  /* ticks */
    acts_shelf,   /* jars on their way */
    acts_people,  /* who takes milk */
    acts_taste,   /* how it kept, power cuts, losses */
    acts_treat,   /* treatments */
    acts_udder,   /* disc, paddle, counts, cultures */
    acts_body,    /* weight and condition */
    acts_animals, /* calves, tests for diseases */
    acts_weights, /* weights from a file */
    acts_wash,    /* sanitiser, sink, the bench's rules */
    acts_parts,   /* parts, stock, the machine */
    acts_lab,     /* samples and their figures */
};

const struct act_kind *act_at(size_t n)
{
    for (size_t i = 0; i < sizeof act_lists / sizeof act_lists[0]; i++)
        for (const struct act_kind *k = act_lists[i]; k->name != NULL; k++)
            if (n-- == 0)
                return k;
    return NULL;
}

const struct act_kind *act_find(const char *name)
{
    const struct act_kind *k;
    for (size_t n = 0; (k = act_at(n)) != NULL; n++)
        if (strcmp(k->name, name) == 0)
            return k;
    return NULL;
}

void act_form(const struct dairy *d, const struct act_kind *kind, struct instant now, struct form *form)
{
    form_init(form, kind->fields, kind->field_count, dairy_units(d), now);
}

/* Clocks differ by seconds and minutes are typed, so a minute ahead is still now. */
enum { AHEAD_ALLOWED_S = 60 };

static int check_time(const struct act *a)
{
    char when[CIVIL_TEXT_MAX], now[CIVIL_TEXT_MAX];
    if (a->at.s > a->now.s + AHEAD_ALLOWED_S)
        return fail_refused(a->fail, "%s is still to come; it is %s now. Record it when it has happened.",
                            instant_text(a->at, when), instant_text(a->now, now));
    return 0;
}

/* An hour that the clock was wrong by is soon over; a day is not. And nobody leaves a cow alone for long: who
 * comes back after half a year can say what time it is. */
enum { CLOCK_BACK_S = 12 * 3600, CLOCK_AHEAD_S = 200 * 86400 };

/* The age in which this program is used: 2020 to 2079. */
static const int64_t age_begins_s = 1577836800, age_ends_s = 3471292800;

int dairy_check_clock(struct dairy *d, struct instant now, struct fail *f)
{
    struct journal_row last;
    bool found;
    char day[CIVIL_TEXT_MAX], clock[CIVIL_TEXT_MAX], last_day[CIVIL_TEXT_MAX], last_clock[CIVIL_TEXT_MAX];
    if (rows_first(d->store, &journal_table, "ORDER BY id DESC LIMIT 1", NULL, 0, &last, &found, f) != 0)
        return -1;
    (void)date_year_text(instant_date(now), day);
    (void)clock_text(now, clock);
    if (!found)
        return now.s >= age_begins_s && now.s < age_ends_s
                   ? 0
                   : fail_refused(
                         f,
                         "The computer's clock says %s %s. Set the clock, or start with --at and the time "
                         "that it is.",
                         day, clock);
    if (now.s >= last.entered_at.s - CLOCK_BACK_S && now.s <= last.entered_at.s + CLOCK_AHEAD_S)
        return 0;
    return fail_refused(
        f,
        "The computer's clock says %s %s, but the last entry was made on %s %s. Set the clock, or "
        "start with --at and the time that it is.",
        day, clock, date_year_text(instant_date(last.entered_at), last_day),
        clock_text(last.entered_at, last_clock));
}

void dairy_mind_clock(struct dairy *d)
{
    d->minds_clock = true;
}

bool dairy_minds_clock(const struct dairy *d)
{
    return d->minds_clock;
}

static int minded_clock(struct dairy *d, struct instant now, struct fail *f)
{
    return d->minds_clock ? dairy_check_clock(d, now, f) : 0;
}

static void journal_entry(const struct act *a, struct journal_row *entry)
{
    memset(entry, 0, sizeof *entry);
    entry->happened_at = a->at;
    entry->entered_at = a->now;
    entry->cow_id = a->cow_id;
    entry->undoes = ROW_NONE;
    (void)snprintf(entry->kind, sizeof entry->kind, "%s", a->kind->name);
    (void)snprintf(entry->what, sizeof entry->what, "%s", a->what);
    (void)snprintf(entry->who, sizeof entry->who, "%.63s", form_text(a->form, "who", dairy_keeper(a->dairy)));
}

/* Tables that say nothing about a cow: after an act on these alone her record need not be read again. */
static const char *const about_no_cow[] = {
    "tick",       "milking",    "batch",   "batch_source", "jar_move", "reading", "probe", "tub_act", "routine", "jar_stock",
    "jar_kind",   "batch_temp", "pour_on", "empty_move",   "person",   "share_out", "tasting", "outage", "loss",
    "wash_rule",  "bottle",     "mix",     "strip",        "sink_fill", "part_fit", "part_stock", "machine_check",
    "lab_sample", "lab_result", NULL,
};

/* Tables that say nothing about how milk was chilled. */
static const char *const about_no_chill[] = {"tick",      "routine", "milk",    "note", "jar_stock", "empty_move", "person",
                                             "share_out", "tasting", "outage",  "loss", NULL};

/* Tables that say nothing about tasted milk; and those that do not when it happened after the last tasting. */
static const char *const about_no_taste[] = {
    "tick",  "milking", "milk",      "note",  "routine", "jar_stock", "empty_move", "person", "share_out", "loss",
    "hold",  "mix",     "treatment", "dose",  "strip",   "sink_fill", "ration",     "heat",   "service",   NULL,
};
static const char *const about_no_taste_after[] = {
    "jar_move", "reading", "tick", "milking", "empty_move", "jar_stock", "tub_act", "batch_source", NULL,
};

/* What was tasted before stays as it was. */
static bool keeps_tastings(struct dairy *d, struct instant at)
{
    bool after = d->facts != NULL && d->facts->scaled && at.s > d->facts->tasted_at.s;
    return journal_touched_only(d->store, about_no_taste) ||
           (after && journal_touched_only(d->store, about_no_taste_after));
}

/* `at`: when it happened; what happens in the open milking is no earlier morning's. */
static void note_change(struct dairy *d, struct instant at)
{
    bool of_today = d->facts != NULL && d->facts->milking.id != 0 && at.s >= d->facts->milking.opened_at.s;
    d->edition++;
    d->lessons_stale = d->lessons_stale || !(of_today || journal_touched_only(d->store, about_no_chill));
    d->scale_stale = d->scale_stale || !keeps_tastings(d, at);
    d->cows_stale = d->cows_stale || !journal_touched_only(d->store, about_no_cow);
}

int dairy_record(struct dairy *d, const struct act_kind *kind, const struct form *form, struct instant now,
                 struct act_done *done, struct fail *f)
{
    struct journal_row entry;
    struct fail own = {0};
    struct act a = {
        .dairy = d, .kind = kind, .form = form, .now = now, .cow_id = ROW_NONE, .fail = f == NULL ? &own : f};
    a.at = form_moment(form, "at", now);
    if (d->stale && dairy_load_settings(d, a.fail) != 0)
        return -1;
    if (!d->set_up && strcmp(kind->name, "dairy") != 0)
        return fail_refused(a.fail,
                            "The dairy is not set up yet: open the board, or record `dairy name=...` first.");
    if (form_check(form, a.fail) != 0 || minded_clock(d, now, a.fail) != 0 || check_time(&a) != 0 ||
        journal_begin(d->store, a.fail) != 0)
        return -1;
    bool of_settings = strcmp(kind->name, "dairy") == 0 || strcmp(kind->name, "jarkind") == 0;
    int result = kind->run(&a);
    journal_entry(&a, &entry);
    if (result == 0 && of_settings)
        result = dairy_load_settings(d, a.fail);
    if (result == 0)
        result = journal_commit(d->store, &entry, a.fail);
    else
        store_rollback(d->store);
    if (result != 0 && of_settings)
        settings_changed(d);
    if (result != 0)
        return -1;
    note_change(d, entry.happened_at);
    done->entry = entry.id;
    (void)snprintf(done->what, sizeof done->what, "%s", entry.what);
    return 0;
}

void dairy_on_progress(struct dairy *d, dairy_progress_fn on_progress, void *context)
{
    d->on_progress = on_progress;
    d->progress_context = context;
}

int dairy_undo(struct dairy *d, int64_t entry, struct instant now, struct act_done *done, struct fail *f)
{
    struct journal_row last,
        undo = {.happened_at = now, .entered_at = now, .cow_id = ROW_NONE, .undoes = ROW_NONE};
    bool found;
    if (minded_clock(d, now, f) != 0)
        return -1;
    if (entry == 0) {
        if (journal_last(d->store, &last, &found, f) != 0)
            return -1;
        if (!found)
            return fail_refused(f, "There is nothing to take back.");
        entry = last.id;
    }
    (void)snprintf(undo.who, sizeof undo.who, "%s", dairy_keeper(d));
    if (journal_undo(d->store, entry, &undo, f) != 0)
        return -1;
    note_change(d, (struct instant){INT64_MIN}); /* what was taken back may be of any time */
    done->entry = undo.id;
    (void)snprintf(done->what, sizeof done->what, "%s", undo.what);
    settings_changed(d);
    return 0;
}

void act_say(struct act *a, const char *format, ...)
{
    size_t used = strlen(a->what);
    va_list args;
    va_start(args, format);
    (void)vsnprintf(a->what + used, sizeof a->what - used, format, args);
    va_end(args);
}

const char *say_quantity(const struct dairy *d, double si, enum dimension dim, char buf[QUANTITY_TEXT_MAX])
{
    return quantity_format(si, dim, dairy_units(d), buf);
}

int64_t act_milli(const struct act *a, const char *key)
{
    const struct value *v = form_get(a->form, key);
    return v == NULL ? ROW_NONE : quantity_milli(v->number);
}

static int no_such_cow(struct dairy *d, const char *name, struct fail *f)
{
    struct cow_row *cows;
    size_t count;
    char names[200] = "";
    if (rows_load(d->store, &cow_table, "WHERE left_how IS NULL ORDER BY stall IS NULL, stall, name", NULL, 0,
                  (void **)&cows, &count, f) != 0)
        return -1;
    for (size_t i = 0; i < count; i++)
        text_append(names, sizeof names, "%s%s", i == 0 ? "" : ", ", cows[i].name);
    free(cows);
    if (count == 0)
        return fail_refused(f, "There is no cow yet; record one with `cow name=...`.");
    return fail_refused(f, "There is no cow \"%.40s\" here; there are %s.", name, names);
}

int find_cow(struct dairy *d, const char *name, struct cow_row *cow, struct fail *f)
{
    bool found;
    if (rows_first(d->store, &cow_table,
                   "WHERE left_how IS NULL AND (name = ?1 COLLATE NOCASE OR tag = ?1 OR stall = ?1)"
                   " ORDER BY name = ?1 COLLATE NOCASE DESC, tag = ?1 DESC LIMIT 1",
                   (struct bind[]){BIND_TEXT(name)}, 1, cow, &found, f) != 0)
        return -1;
    return found ? 0 : no_such_cow(d, name, f);
}

int find_cow_ever(struct dairy *d, const char *name, struct cow_row *cow, struct fail *f)
{
    bool found;
    if (rows_first(d->store, &cow_table,
                   "WHERE name = ?1 COLLATE NOCASE OR tag = ?1 OR (stall = ?1 AND left_how IS NULL)"
                   " ORDER BY left_how IS NOT NULL, name = ?1 COLLATE NOCASE DESC, left_on DESC, id DESC LIMIT 1",
                   (struct bind[]){BIND_TEXT(name)}, 1, cow, &found, f) != 0)
        return -1;
    return found ? 0 : no_such_cow(d, name, f);
}

void act_text(const struct act *a, const char *key, char *dst, size_t size)
{
    const struct value *v = form_get(a->form, key);
    if (v != NULL)
        (void)text_clean(dst, size, v->text);
}

int act_cow(struct act *a, const char *key, struct cow_row *cow)
{
    if (find_cow(a->dairy, form_text(a->form, key, ""), cow, a->fail) != 0)
        return -1;
    a->cow_id = cow->id;
    return 0;
}

bool act_day_only(const struct act *a)
{
    const struct value *at = form_get(a->form, "at");
    return at != NULL && strchr(at->text, ':') == NULL;
}

struct instant value_latest(const struct value *v)
{
    struct instant later = {v->at.s + 3600};
    struct civil first, second;
    bool zone_given = strpbrk(v->text, "Zz+") != NULL || strlen(v->text) > strlen("2026-05-03T06:10:00");
    civil_from_instant(v->at, &first);
    civil_from_instant(later, &second);
    return first.hour == second.hour && !zone_given ? later : v->at;
}

int act_dose_moment(struct act *a)
{
    const struct value *at = form_get(a->form, "at");
    if (at == NULL)
        return 0;
    if (act_day_only(a))
        return fail_input(a->fail, "at: write the hour too, as %.10sT07:10; hours of withholding run from it.",
                          at->text);
    struct instant latest = value_latest(at);
    if (latest.s <= a->now.s)
        a->at = latest;
    return 0;
}

void milking_tub_usual(const struct dairy_row *usual, struct milking_row *milking)
{
    (void)snprintf(milking->stir, sizeof milking->stir, "%s", usual->stir);
    milking->tub_water_ml = usual->tub_water_ml;
    milking->tap_temp_mc = usual->tap_temp_mc;
}

/* A milking is over when it was closed, or when it was opened too long ago. */
int act_milking(struct act *a, bool open, struct milking_row *milking, bool *found)
{
    struct store *s = a->dairy->store;
    if (rows_first(s, &milking_table,
                   "WHERE opened_at <= ?1 AND opened_at > ?1 - ?2 AND (closed_at IS NULL OR closed_at >= ?1)"
                   " ORDER BY opened_at DESC LIMIT 1",
                   (struct bind[]){BIND_AT(a->at), {false, MILKING_LONGEST_S, NULL}}, 2, milking, found,
                   a->fail) != 0)
        return -1;
    if (*found || !open)
        return 0;
    memset(milking, 0, sizeof *milking);
    milking->opened_at = a->at;
    milking->started_at = milking->ended_at = milking->closed_at = INSTANT_NONE;
    milking_tub_usual(&a->dairy->row, milking);
    *found = true;
    return row_insert(s, &milking_table, milking, NULL, a->fail);
}

/* A code that does not read: the one on the shelf that was meant, if one slip leads to just one. */
static int misread_code(struct dairy *d, const char *text, struct fail *f)
{
    enum { KNOWN_MAX = 256 };
    struct batch_row *rows;
    struct batch_code known[KNOWN_MAX];
    size_t count, n = 0;
    char meant[CODE_TEXT_MAX];
    struct fail why = {0};
    if (code_parse(text, &known[0], &why) == 0)
        return fail_refused(f, "There is no batch %.20s in the records.", text);
    if (rows_load(d->store, &batch_table, "WHERE id IN " TALLY_HOME " ORDER BY id DESC LIMIT 256", NULL, 0, (void **)&rows,
                  &count, f) != 0)
        return -1;
    for (size_t i = 0; i < count && n < KNOWN_MAX; i++)
        n += code_parse(rows[i].code, &known[n], NULL) == 0;
    free(rows);
    int match = code_match(text, known, n);
    if (match >= 0 && code_format(&known[match], meant, NULL) == 0)
        return fail_input(f, "%.200s Did you mean %s?", why.text, meant);
    return fail_input(f, "%s", why.text);
}

/* A letter names a batch of a milking; anything else is a code, read as people write it. */
int find_batch(struct dairy *d, const char *text, struct instant now, int64_t milking_id, struct batch_row *batch,
               struct fail *f)
{
    struct batch_code code;
    char formatted[CODE_TEXT_MAX];
    bool found;
    if (strlen(text) == 1) {
        /* Entered later, the letter may be of a milking that has been closed since. */
        if (rows_first(
                d->store, &batch_table,
                "WHERE poured_at <= ?1 AND substr(code, 9, 1) = upper(?2) AND (milking_id = ?3 OR ?3 IS NULL)"
                " ORDER BY poured_at DESC LIMIT 1",
                (struct bind[]){BIND_AT(now), BIND_TEXT(text), BIND_ID(milking_id)}, 3, batch, &found, f) != 0)
            return -1;
        return found ? 0 : fail_refused(f, "There is no batch %.1s this morning.", text);
    }
    if (code_parse(text, &code, NULL) != 0 || code_format(&code, formatted, NULL) != 0)
        return misread_code(d, text, f);
    if (rows_first(d->store, &batch_table, "WHERE code = ?1", (struct bind[]){BIND_TEXT(formatted)}, 1, batch, &found, f) !=
        0)
        return -1;
    return found ? 0 : fail_refused(f, "There is no batch %s in the records.", formatted);
}

int act_batch(struct act *a, const char *key, struct batch_row *batch)
{
    const char *text = form_text(a->form, key, "");
    struct milking_row milking;
    bool found = false;
    if (strlen(text) == 1 && act_milking(a, false, &milking, &found) != 0)
        return -1;
    return find_batch(a->dairy, text, a->now, found ? milking.id : ROW_NONE, batch, a->fail);
}
