#include "core/day/ahead.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/file.h"
#include "core/base/ical.h"
#include "core/base/text.h"
#include "core/day/ahead_inside.h"
#include "core/day/cow_page.h"
#include "core/day/facts.h"

const char *ahead_part_word(enum ahead_part part)
{
    static const char *const words[AHEAD_PARTS] = {
        [AHEAD_COW] = "cow",     [AHEAD_REPEAT] = "again", [AHEAD_SHELF] = "shelf",
        [AHEAD_FEED] = "feed",   [AHEAD_CHORE] = "chore",  [AHEAD_WASH] = "wash",
    };
    return words[part];
}

struct ahead_row *ahead_add(struct ahead_view *v, const struct dairy *d, enum ahead_part part, struct date on,
                            const char *kind, int64_t of)
{
    if (!date_known(on))
        return NULL;
    if (v->rows == AHEAD_MAX) {
        v->more = true;
        return NULL;
    }
    struct ahead_row *row = &v->row[v->rows++];
    memset(row, 0, sizeof *row);
    row->part = part;
    row->on = on;
    row->to_on = DATE_NONE;
    row->cow_id = ROW_NONE;
    /* Two dairies may meet in one calendar: the moment at which the records were begun tells them apart. */
    (void)snprintf(row->uid, sizeof row->uid, "%s-%lld@%llx.springhouse", kind, (long long)of,
                   (unsigned long long)d->row.made_at.s);
    return row;
}

int64_t ahead_name_number(const char *name)
{
    uint32_t hash = 2166136261U;
    for (const char *p = name; *p != '\0'; p++)
        hash = (hash ^ (unsigned char)*p) * 16777619U;
    return hash;
}

void ahead_preset(struct ahead_row *row, const char *key, const char *value)
{
    for (int i = 0; i < AHEAD_PRESETS; i++)
        if (row->preset[i].key[0] == '\0') {
            (void)snprintf(row->preset[i].key, sizeof row->preset[i].key, "%s", key);
            (void)snprintf(row->preset[i].value, sizeof row->preset[i].value, "%.63s", value);
            return;
        }
}

/* By day; what is over stands with today, the most pressing first. */
static int by_day(const void *a, const void *b)
{
    const struct ahead_row *x = a, *y = b;
    if (x->on.days != y->on.days)
        return x->on.days < y->on.days ? -1 : 1;
    if (x->urgency != y->urgency)
        return x->urgency > y->urgency ? -1 : 1;
    return strcmp(x->uid, y->uid);
}

int dairy_ahead(struct dairy *d, struct instant now, struct ahead_view *out, struct fail *f)
{
    static int (*const parts[])(struct dairy *, struct ahead_view *, struct fail *) = {
        ahead_add_cows, ahead_add_repeats, ahead_add_chores,
    };
    memset(out, 0, sizeof *out);
    if (!d->set_up)
        return fail_refused(f, "The dairy is not set up yet.");
    out->now = now;
    out->today = instant_date(now);
    if (facts_load(d, now, true, f) != 0 || store_begin_look(d->store, f) != 0)
        return -1;
    int result = 0;
    for (size_t i = 0; i < sizeof parts / sizeof parts[0] && result == 0; i++)
        result = parts[i](d, out, f);
    store_rollback(d->store); /* nothing was written: this only ends the look */
    if (result != 0 || ahead_add_shelf(d, out, f) != 0 || ahead_add_feed(d, out, f) != 0 ||
        ahead_add_wash(d, out, f) != 0)
        return -1;
    qsort(out->row, out->rows, sizeof out->row[0], by_day);
    return 0;
}

/* ---- the working ---- */

static int explain_cow(struct dairy *d, const struct ahead_view *v, const struct ahead_row *row, struct working *w,
                       struct fail *f)
{
    struct cow_page *page = malloc(sizeof *page);
    if (page == NULL)
        return fail_memory(f);
    int result = dairy_cow_page(d, row->cow_id, v->now, PAGE_NOW, page, f);
    bool found = false;
    for (size_t i = 0; i < page->dues && result == 0 && !found; i++)
        if (strcmp(page->due[i].words, row->words) == 0) {
            struct page_figure figure = {.kind = FIGURE_DUE, .index = (int)i};
            found = true;
            result = cow_page_explain(d, page, &figure, w, f);
        }
    free(page);
    return result;
}

int ahead_explain(struct dairy *d, const struct ahead_view *v, size_t row, struct working *w, struct fail *f)
{
    if (row >= v->rows)
        return fail_refused(f, "Nothing is due.");
    const struct ahead_row *r = &v->row[row];
    working_init(w, r->words);
    if (r->part == AHEAD_COW && explain_cow(d, v, r, w, f) != 0)
        return -1;
    working_result_date(w, "due_on", r->on);
    if (r->reason[0] != '\0')
        working_step(w, "%s", r->reason);
    return 0;
}

/* ---- the calendar file ---- */

static int to_file(void *context, const void *bytes, size_t size, struct fail *f)
{
    return file_write(context, bytes, size, f);
}

/* A reminder at half past seven of the day. */
enum { ALARM_MIN = 7 * 60 + 30 };

static int write_row(struct ical *ical, const struct ahead_view *v, const struct ahead_row *row, struct fail *f)
{
    char summary[200], description[320] = "", since[CIVIL_TEXT_MAX];
    (void)snprintf(summary, sizeof summary, "%s%s%s", row->who, row->who[0] == '\0' ? "" : ": ", row->words);
    (void)snprintf(description, sizeof description, "%s", row->reason);
    /* What is overdue is shown today, or nobody would see it. */
    bool overdue = row->on.days < v->today.days && !date_known(row->to_on);
    if (overdue)
        text_append(description, sizeof description, "%sDue since %s.", description[0] == '\0' ? "" : "\n",
                    date_year_text(row->on, since));
    struct ical_event event = {.uid = row->uid,
                               .summary = summary,
                               .description = description,
                               .on = overdue ? v->today : row->on,
                               .to_on = row->to_on,
                               .at = INSTANT_NONE,
                               .to_at = INSTANT_NONE,
                               .alarm_min = ALARM_MIN};
    return ical_event(ical, &event, f);
}

int dairy_calendar(struct dairy *d, struct instant now, const char *path, size_t *events, struct fail *f)
{
    struct ical ical;
    struct file_writer w;
    struct ahead_view *v = malloc(sizeof *v);
    if (v == NULL)
        return fail_memory(f);
    *events = 0;
    int result = dairy_ahead(d, now, v, f);
    if (result != 0)
        goto out;
    result = file_begin(&w, path, f);
    if (result == 0)
        result = ical_begin(&ical, to_file, &w, now, f);
    for (size_t i = 0; i < v->rows && result == 0; i++)
        result = write_row(&ical, v, &v->row[i], f);
    if (result == 0)
        result = ical_end(&ical, f);
    if (result != 0)
        file_abandon(&w);
    else
        result = file_commit(&w, f);
    if (result == 0)
        *events = v->rows;
out:
    free(v);
    return result;
}
