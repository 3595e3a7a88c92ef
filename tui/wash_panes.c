#include "tui/wash_panes.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "core/base/text.h"
#include "core/sanitation/washwater.h"
#include "tui/board_panes.h"
#include "tui/kit/draw.h"

static struct wash_line *add(struct wash_lines *l, enum role role, int indent, const char *format, ...)
    __attribute__((format(printf, 4, 5)));

static struct wash_line *add(struct wash_lines *l, enum role role, int indent, const char *format, ...)
{
    va_list args;
    struct wash_line *line = &l->line[l->count < WASH_PANE_LINES_MAX ? l->count++ : WASH_PANE_LINES_MAX - 1];
    line->role = role;
    line->indent = indent;
    line->item = line->thing = -1;
    line->right[0] = '\0';
    va_start(args, format);
    (void)vsnprintf(line->text, sizeof line->text, format, args);
    va_end(args);
    return line;
}

/* Lines from `from` on can be chosen, and belong to a thing. */
static void belong_to(struct wash_lines *l, int from, int thing)
{
    for (int i = from; i < l->count; i++) {
        l->line[i].item = l->items++;
        l->line[i].thing = thing;
    }
}

static enum role calm_role(enum urgency urgency, enum role calm)
{
    return urgency == URGENCY_CALM ? calm : urgency_role(urgency);
}

/* ---- the mix ---- */

static void add_dose(const struct wash_view *v, struct wash_lines *l, enum role role, double dose_ml, const char *spoons)
{
    char volume[QUANTITY_TEXT_MAX];
    add(l, role, 0, "%.3g mL (%s) of %s in %s for %.0f ppm", dose_ml, spoons, v->mix.bottle,
        quantity_format(v->mix.volume_l, DIM_VOLUME, v->units, volume), v->mix.target_ppm);
}

static void add_mix(const struct wash_view *v, struct wash_lines *l)
{
    const struct wash_mix_view *m = &v->mix;
    char at[CIVIL_TEXT_MAX];
    if (!m->known) {
        add(l, ROLE_WATCH, 0, "Nothing mixed yet. Enter: the bottle's label strength, the strength wanted, how much.");
        return;
    }
    if (!m->fresh) {
        add(l, ROLE_WATCH, 0, "No mix today. Enter takes the same again:");
        add_dose(v, l, ROLE_STRONG, m->next.dose_ml, m->next_spoons);
    } else {
        if (instant_known(m->read_at))
            add(l, m->good ? ROLE_CALM : ROLE_STOP, 0, "%.0f ppm by strip at %s: %s", m->ppm, clock_text(m->read_at, at),
                m->verdict);
        else
            add(l, m->good ? ROLE_WATCH : ROLE_STOP, 0, "%.0f ppm by the sum%s%s; dip a strip, it beats the sum", m->ppm,
                m->good ? "" : ", ", m->good ? "" : m->verdict);
        add_dose(v, l, ROLE_CHALK, m->dose_ml, m->spoons);
        add(l, m->contact == CONTACT_NOT_ALLOWED ? ROLE_STOP : m->contact == CONTACT_ALLOWED ? ROLE_CHALK : ROLE_WATCH, 0,
            "rule %s: %s", m->rule, m->contact_words);
    }
    add(l, ROLE_FAINT, 0, "bottle %s; it weakens, the strip tells how much", m->opened);
    if (m->spoon_rule[0] != '\0')
        add(l, ROLE_WATCH, 0, "%s", m->spoon_rule);
}

/* ---- the sink ---- */

static void add_sink(const struct wash_view *v, struct wash_lines *l)
{
    const struct wash_sink_view *s = &v->sink;
    bool cold = instant_known(s->floor_at) && s->floor_at.s <= v->now.s;
    add(l, cold ? ROLE_STOP : s->filled ? ROLE_STRONG : ROLE_CHALK, 0, "%s", s->words);
    if (s->scald_words[0] != '\0')
        add(l, ROLE_WATCH, 0, GLYPH_WARNING " %s", s->scald_words);
    if (s->start_words[0] != '\0')
        add(l, s->heater_enough ? ROLE_CHALK : ROLE_STOP, 0, "%s", s->start_words);
    else
        add(l, ROLE_FAINT, 0, "two readings of the hot water, some minutes apart, teach how fast this sink cools");
    if (s->temper_words[0] != '\0')
        add(l, ROLE_CHALK, 0, "%s", s->temper_words);
}

/* ---- parts ---- */

static void add_parts(const struct wash_view *v, struct wash_lines *l)
{
    for (size_t i = 0; i < v->parts; i++) {
        const struct wash_part_view *p = &v->part[i];
        add(l, !p->recorded ? ROLE_FAINT : p->urgency != URGENCY_CALM ? ROLE_WATCH : ROLE_CHALK, 0, "%s: %s", p->words, p->text);
        belong_to(l, l->count - 1, (int)i);
    }
    add(l, calm_role(v->machine_urgency, ROLE_CHALK), 0, "Machine, %s", v->machine);
}

/* ---- the laboratory ---- */

/* Things of this pane: the measures by their number, then the samples. */
bool wash_lab_thing(const struct wash_view *v, const struct wash_lines *l, int item,
                    const struct wash_sample_view **sample, const struct wash_measure_view **measure)
{
    *sample = NULL;
    *measure = NULL;
    for (int i = 0; i < l->count; i++) {
        int thing = l->line[i].thing;
        if (l->line[i].item != item || thing < 0)
            continue;
        if (thing < LAB_MEASURES)
            *measure = &v->measure[thing];
        else
            *sample = &v->sample[thing - LAB_MEASURES];
        return true;
    }
    return false;
}

static const char *verdict_words(const struct wash_measure_view *m)
{
    static const char *const words[] = {[LAB_WITHIN] = "",
                                        [LAB_OVER] = "Over, this once: ",
                                        [LAB_BROKEN] = "OVER THE STANDARD: ",
                                        [LAB_TOO_FEW] = ""};
    return m->standard[0] == '\0' ? "" : words[m->verdict];
}

/* A figure older than this is shown with its year. */
enum { OLD_DAYS = 300 };

static void add_measure(const struct wash_view *v, const struct wash_measure_view *m, struct wash_lines *l)
{
    char day[CIVIL_TEXT_MAX];
    int from = l->count;
    struct wash_line *line = add(l, calm_role(m->urgency, ROLE_STRONG), 0, "%s%s %.6g%s. %s", verdict_words(m),
                                 lab_measure_name(m->measure), m->last, m->measure == LAB_WATER ? " in 100 mL" : " per mL",
                                 m->words);
    bool old = date_diff(m->on, instant_date(v->now)) > OLD_DAYS;
    (void)snprintf(line->right, sizeof line->right, "%s, %.20s",
                   old ? date_year_text(m->on, day) : date_text(m->on, day), m->sample);
    if (m->logs > 0)
        add(l, ROLE_TITLE, 2, "what the records say of that day");
    for (size_t i = 0; i < m->logs; i++)
        add(l, ROLE_CHALK, 4, "%s", m->log[i]);
    if (m->looks > 0)
        add(l, ROLE_TITLE, 2, "look at first");
    for (size_t i = 0; i < m->looks; i++)
        add(l, ROLE_CHALK, 4, "%s", m->look[i]);
    belong_to(l, from, (int)m->measure);
}

/* What breaks the standard stands first. */
static void add_measures(const struct wash_view *v, struct wash_lines *l, bool broken)
{
    for (int i = 0; i < LAB_MEASURES; i++)
        if (v->measure[i].known && (v->measure[i].urgency == URGENCY_STOP) == broken)
            add_measure(v, &v->measure[i], l);
}

static void add_lab(const struct wash_view *v, struct wash_lines *l)
{
    add_measures(v, l, true);
    for (size_t i = 0; i < v->samples; i++) {
        add(l, calm_role(v->sample[i].urgency, ROLE_CHALK), 0, "%s: %s", v->sample[i].name, v->sample[i].text);
        belong_to(l, l->count - 1, LAB_MEASURES + (int)i);
    }
    add_measures(v, l, false);
    if (l->count == 0)
        add(l, ROLE_FAINT, 0, "No sample recorded. + when one is drawn, of milk or of water.");
    else
        add(l, ROLE_FAINT, 0, "%s", caution_text(CAUTION_NOT_SAFETY));
}

/* ---- cautions ---- */

static void add_cautions(const struct wash_view *v, struct wash_lines *l)
{
    for (size_t i = 0; i < v->cautions; i++)
        add(l, i == 0 ? ROLE_STOP : ROLE_WATCH, 0, GLYPH_WARNING " %s", caution_text(v->caution[i]));
    belong_to(l, 0, -1); /* nothing to open: the arrows read on */
}

/* ---- all ---- */

void wash_pane_lines(const struct wash_view *v, enum wash_pane pane, struct wash_lines *out)
{
    static void (*const adders[WASH_PANES])(const struct wash_view *, struct wash_lines *) = {
        add_mix, add_sink, add_parts, add_lab, add_cautions};
    out->count = out->items = 0;
    adders[pane](v, out);
}

const char *wash_pane_title(enum wash_pane pane)
{
    static const char *const titles[WASH_PANES] = {"SANITISER", "SINK", "PARTS AND MACHINE", "LABORATORY AND WATER",
                                                   "NEVER, AND ALWAYS"};
    return titles[pane];
}

const char *wash_pane_remark(const struct wash_view *v, enum wash_pane pane, char *buf, size_t size)
{
    char temp[QUANTITY_TEXT_MAX];
    buf[0] = '\0';
    if (pane == WASH_MIX)
        (void)snprintf(buf, size, "rule: %s", v->contact_set);
    else if (pane == WASH_SINK)
        (void)snprintf(buf, size, "never below %s",
                       quantity_format(temp_c_from_f(WASH_FLOOR_F), DIM_TEMPERATURE, v->units, temp));
    else if (pane == WASH_PARTS)
        (void)snprintf(buf, size, v->parts_due == 0 ? "nothing due" : "%zu to see to", v->parts_due);
    else if (pane == WASH_LAB)
        (void)snprintf(buf, size, "held to: %s", v->lab_set);
    if (pane == WASH_LAB && v->samples > 0)
        (void)snprintf(buf, size, "%zu under way, held to: %s", v->samples, v->lab_set);
    return buf;
}

static int line_rows(const struct rect *r, const struct wash_line *line)
{
    int cols = r->cols - 2 - line->indent;
    if (line->right[0] != '\0')
        cols -= draw_width(r->canvas->charset, line->right) + 1;
    return draw_wrapped_rows(r->canvas->charset, cols < 10 ? 10 : cols, 2, line->text);
}

int wash_lines_rows(const struct rect *r, const struct wash_lines *l)
{
    int rows = 0;
    for (int i = 0; i < l->count; i++)
        rows += line_rows(r, &l->line[i]);
    return rows;
}

/* The first line to draw, so that the chosen item and what belongs to it are seen. */
static int first_line(const struct rect *r, const struct wash_lines *l, int chosen)
{
    int at = 0;
    for (int i = 0; i < l->count; i++)
        if (chosen >= 0 && l->line[i].item == chosen)
            at = i;
    int rows = line_rows(r, &l->line[at]), first = at;
    if (wash_lines_rows(r, l) <= r->rows)
        return 0;
    while (first > 0 && rows + line_rows(r, &l->line[first - 1]) <= r->rows / 2)
        rows += line_rows(r, &l->line[--first]);
    int below = 0;
    for (int i = first; i < l->count; i++)
        below += line_rows(r, &l->line[i]);
    while (first > 0 && below + line_rows(r, &l->line[first - 1]) <= r->rows)
        below += line_rows(r, &l->line[--first]);
    return first;
}

void draw_wash_lines(struct rect r, const struct wash_lines *l, int chosen, bool has_keys)
{
    int row = 0;
    if (l->count == 0 || r.rows <= 0)
        return;
    for (int i = first_line(&r, l, chosen); i < l->count && row < r.rows; i++) {
        const struct wash_line *line = &l->line[i];
        int rows = line_rows(&r, line), cols = r.cols - 2 - line->indent;
        struct rect part = rect_part(r, row, 1 + line->indent, rows, cols);
        if (line->right[0] != '\0') {
            draw_right(rect_part(r, row, 1, 1, r.cols - 2), 0, ROLE_FAINT, line->right);
            part.cols -= draw_width(r.canvas->charset, line->right) + 1;
        }
        (void)draw_wrapped(part, 0, 2, line->role, line->text);
        if (has_keys && chosen >= 0 && line->item == chosen)
            draw_flip(rect_part(r, row, 0, rows, r.cols));
        row += rows;
    }
}
