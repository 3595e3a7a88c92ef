/* Pages that the shelf opens: all about a batch, about a person, a wrong taste and its suspects, the losses.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "core/base/text.h"
#include "core/day/batch_page.h"
#include "core/day/losses.h"
#include "core/day/taste_view.h"
#include "tui/shelf_panes.h"

/* ---- a batch ---- */

static void add_where(struct app *a, const struct trace_view *t)
{
    char since[CIVIL_TEXT_MAX];
    page_add(&a->page, ROLE_TITLE, 0, "Where its jars are");
    for (size_t i = 0; i < t->lines; i++) {
        const struct trace_line *l = &t->line[i];
        page_add(&a->page, l->settled ? ROLE_FAINT : ROLE_CHALK, 2, "%s  %d %s, %s%s%s since %s%s%s%s%s",
                 l->code, l->count, l->kind, jar_place_word(l->place), l->person[0] != '\0' ? " to " : "",
                 l->person, instant_text_near(l->here_since, a->now, since),
                 l->contact[0] != '\0' ? "; " : "", l->contact, l->contact2[0] != '\0' ? ", or " : "",
                 l->contact2);
    }
}

static void add_whose(struct app *a, const struct trace_view *t)
{
    char at[CIVIL_TEXT_MAX];
    page_add(&a->page, ROLE_TITLE, 0, "Whose milk");
    for (size_t i = 0; i < t->milks; i++) {
        const struct trace_milk *m = &t->milk[i];
        page_add(&a->page, m->held ? ROLE_STOP : ROLE_CHALK, 2, "%s, milked %s%s%s%s%s", m->cow,
                 instant_text_near(m->at, a->now, at), isfinite(m->kg) ? ", " : "",
                 isfinite(m->kg) ? app_quantity(a, m->kg, DIM_MASS) : "", m->held ? "; NOT TO BE KEPT: " : "",
                 m->why);
    }
}

static void add_minutes(char *text, size_t size, const char *mark, double minutes)
{
    char span[CIVIL_TEXT_MAX];
    if (isfinite(minutes))
        (void)text_append(text, size, ", %s after %s", mark, span_text(llround(minutes) * 60, span));
}

static void add_chill(struct app *a, const struct batch_page *p)
{
    char text[300] = "", at[CIVIL_TEXT_MAX];
    page_add(&a->page, ROLE_TITLE, 0, "Its chill");
    (void)text_append(text, sizeof text, "Poured %s at %s%s", instant_text_near(p->poured_at, a->now, at),
                      app_quantity(a, p->poured_c, DIM_TEMPERATURE), p->poured_read ? " read" : " as usual");
    add_minutes(text, sizeof text, app_quantity(a, temp_c_from_f(50), DIM_TEMPERATURE), p->to_50f_min);
    add_minutes(text, sizeof text, app_quantity(a, temp_c_from_f(40), DIM_TEMPERATURE), p->to_40f_min);
    page_add(&a->page, ROLE_CHALK, 2, "%s.", text);
    if (p->limit_known && p->verdict != VERDICT_NONE)
        page_add(&a->page, ROLE_CHALK, 2, "%s by %s: %s.", app_quantity(a, p->limit_c, DIM_TEMPERATURE),
                 clock_text(p->deadline_at, at), verdict_word(p->verdict));
    for (size_t i = 0; i < p->temps; i++)
        if (p->temp[i].read)
            page_add(&a->page, ROLE_CHALK, 2, "%s read %s",
                     app_quantity(a, p->temp[i].temp_c, DIM_TEMPERATURE),
                     instant_text_near(p->temp[i].at, a->now, at));
}

static void add_keeping(struct app *a, const struct batch_page *p)
{
    page_add(&a->page, ROLE_TITLE, 0, "How long it keeps");
    if (p->keeping_known && isfinite(p->keeping.left_days))
        page_add(&a->page, ROLE_CHALK, 2,
                 "Half of such jars keep %.1f days more, nine in ten %.1f. Its chill cost %.1f days. On "
                 "throwing it away: %s.",
                 p->keeping.left_days, p->keeping.low_days, p->lost_days, discard_word(p->discard.verdict));
    for (size_t i = 0; i < p->discard.reasons; i++)
        page_add(&a->page, ROLE_STOP, 2, "%s", p->discard.reason[i].text);
    page_add(&a->page, ROLE_WATCH, 2, GLYPH_WARNING " %s", keeping_caution);
}

static void add_morning(struct app *a, const struct batch_page *p)
{
    char at[CIVIL_TEXT_MAX], text[200] = "";
    page_add(&a->page, ROLE_TITLE, 0, "That milking");
    (void)text_append(text, sizeof text, "%d steps of the routine done", p->steps_done);
    if (p->who[0] != '\0')
        (void)text_append(text, sizeof text, ", by %s", p->who);
    if (instant_known(p->mixed_at))
        (void)text_append(text, sizeof text, "; sanitiser mixed %s", clock_text(p->mixed_at, at));
    if (instant_known(p->sanitised_at))
        (void)text_append(text, sizeof text, ", gear sanitised %s", clock_text(p->sanitised_at, at));
    page_add(&a->page, ROLE_CHALK, 2, "%s.", text);
    for (size_t i = 0; i < p->skips; i++)
        page_add(&a->page, ROLE_WATCH, 2, "left out: %s", p->skipped[i]);
    for (size_t i = 0; i < p->tastes; i++)
        page_add(&a->page, p->taste[i].turned ? ROLE_WATCH : ROLE_CHALK, 2, "tasted %s: %s%s",
                 instant_text_near(p->taste[i].at, a->now, at), p->taste[i].flavour,
                 p->taste[i].turned ? ", turned" : "");
}

unsigned show_batch_page(struct app *a, int64_t batch_id)
{
    struct fail f = {0};
    struct batch_page *p = malloc(sizeof *p);
    unsigned answer;
    if (p == NULL)
        return LOOP_NOTHING;
    if (dairy_batch_page(a->dairy, batch_id, a->now, p, &f) != 0) {
        answer = app_fail(a, &f);
    } else {
        page_clear(&a->page);
        page_add(&a->page, ROLE_STRONG, 0, "%s  %d %s of %s each", p->code, p->count, p->kind,
                 app_quantity(a, p->volume_l, DIM_VOLUME));
        if (p->held_why[0] != '\0')
            page_add(&a->page, ROLE_STOP, 0, "HELD MILK: %s", p->held_why);
        add_where(a, &p->trace);
        add_whose(a, &p->trace);
        add_keeping(a, p);
        add_chill(a, p);
        add_morning(a, p);
        answer = app_show_page(a, "From the cow to the glass");
    }
    free(p);
    return answer;
}

/* ---- a person ---- */

unsigned show_person_page(struct app *a, const struct person_view *p)
{
    const struct people_view *v = &a->shelf->view.people;
    char at[CIVIL_TEXT_MAX];
    page_clear(&a->page);
    page_add(&a->page, ROLE_STRONG, 0, "%s", p->name);
    page_add_pair(&a->page, 2, ROLE_CHALK, 12, "reached",
                  p->contact[0] != '\0' ? p->contact : "not written down");
    if (p->contact2[0] != '\0')
        page_add_pair(&a->page, 2, ROLE_CHALK, 12, "or", p->contact2);
    if (p->share > 0)
        page_add(&a->page, ROLE_CHALK, 2, "%d %s on each of: %s", p->share,
                 p->share_kind[0] != '\0' ? p->share_kind
                 : p->share == 1          ? "jar"
                                          : "jars",
                 p->share_days);
    if (p->owed > 0)
        page_add(&a->page, ROLE_WATCH, 2, "%d owed from short days", p->owed);
    if (p->note[0] != '\0')
        page_add(&a->page, ROLE_CHALK, 2, "%s", p->note);
    page_add(&a->page, ROLE_TITLE, 0, "Our jars that they have, full or empty");
    for (size_t i = 0; i < p->outs; i++)
        page_add(&a->page, ROLE_CHALK, 2, "%d %s", p->out[i].count, p->out[i].kind);
    if (p->outs == 0)
        page_add(&a->page, ROLE_FAINT, 2, "none");
    page_add(&a->page, ROLE_TITLE, 0, "Milk that they took in the last four weeks");
    for (size_t i = 0; i < v->takens; i++)
        if (v->taken[i].person_id == p->id)
            page_add(&a->page, ROLE_CHALK, 2, "%s  %d %s, %s", v->taken[i].code, v->taken[i].count,
                     v->taken[i].kind, instant_text_near(v->taken[i].at, a->now, at));
    return app_show_page(a, "Who takes milk");
}

/* ---- a wrong taste ---- */

static void add_suspect(struct app *a, const struct taste_suspect *s)
{
    static const char *const signs[] = {[TASTE_SILENT] = "The log is silent",
                                        [TASTE_SUPPORTS] = "The log speaks for it",
                                        [TASTE_AGAINST] = "The log speaks against it"};
    page_add(&a->page, ROLE_STRONG, 0, "%2.0f %%  %s", s->share_pct, s->row->suspect);
    page_add(&a->page, s->finding == TASTE_SUPPORTS ? ROLE_WATCH : ROLE_CHALK, 6, "%s%s%s.",
             s->finding == TASTE_SILENT && s->found[0] != '\0' ? "The log speaks neither way"
                                                               : signs[s->finding],
             s->found[0] != '\0' ? ": " : "", s->found);
    page_add(&a->page, ROLE_FAINT, 6, "Look at: %s", s->row->check);
}

unsigned show_taste_page(struct app *a, int64_t batch_id)
{
    struct fail f = {0};
    struct working w;
    char at[CIVIL_TEXT_MAX];
    struct taste_view *v = malloc(sizeof *v);
    unsigned answer;
    if (v == NULL)
        return LOOP_NOTHING;
    working_init(&w, "taste");
    if (dairy_taste(a->dairy, batch_id, a->now, v, &w, &f) != 0) {
        answer = app_fail(a, &f);
    } else {
        page_clear(&a->page);
        page_add(&a->page, ROLE_STRONG, 0, "%s, tasted %s: %s%s", v->code,
                 instant_text_near(v->tasted_at, a->now, at), v->flavour, v->turned ? ", turned" : "");
        if (v->note[0] != '\0')
            page_add(&a->page, ROLE_CHALK, 2, "%s", v->note);
        for (size_t i = 0; i < v->suspects; i++)
            add_suspect(a, &v->suspect[i]);
        for (size_t i = 0; i < w.caution_count; i++)
            page_add(&a->page, ROLE_WATCH, 0, GLYPH_WARNING " %s", w.caution[i]);
        answer = app_show_page(a, "Why it may taste so");
    }
    free(v);
    return answer;
}

/* ---- losses ---- */

unsigned show_losses_page(struct app *a)
{
    enum { MONTHS = 24 };
    struct fail f = {0};
    struct losses *l = malloc(sizeof *l);
    unsigned answer;
    if (l == NULL)
        return LOOP_NOTHING;
    if (dairy_losses(a->dairy, MONTHS, a->now, l, &f) != 0) {
        answer = app_fail(a, &f);
    } else {
        page_clear(&a->page);
        if (l->months == 0)
            page_add(&a->page, ROLE_CHALK, 0, "Nothing was lost, by these records.");
        for (size_t i = 0; i < l->months; i++) {
            const struct losses_month *m = &l->month[i];
            page_add(&a->page, ROLE_STRONG, 0, "%04d-%02d  %s", m->lost.year, m->lost.month, m->say);
            for (int c = 0; c < LOSS_CAUSES; c++)
                if (m->lost.mass_g[c] > 0)
                    page_add_pair(&a->page, 9, ROLE_CHALK, 12, loss_word((enum loss_cause)c),
                                  app_quantity(a, (double)m->lost.mass_g[c] / 1e3, DIM_MASS));
        }
        answer = app_show_page(a, "What was lost, and why");
    }
    free(l);
    return answer;
}
