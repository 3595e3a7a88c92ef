#include "tui/kit/working_page.h"

#include <stdio.h>

#include "core/base/source.h"

enum { INDENT = 2, LABEL_COLS = 22, FIGURE_TEXT_MAX = 160, SOURCE_TEXT_MAX = 480 };

static void add_figure(struct page *p, const struct figure *fig, enum role role, enum unit_system units,
                       bool with_origin)
{
    char label[40], text[FIGURE_TEXT_MAX], line[FIGURE_TEXT_MAX + 20];
    (void)figure_label(fig, label, sizeof label);
    (void)figure_format(fig, units, text, sizeof text);
    (void)snprintf(line, sizeof line, with_origin ? "%s (%s)" : "%s", text, origin_word(fig->origin));
    page_add_pair(p, fig->row < 0 ? INDENT : 2 * INDENT, role, LABEL_COLS, label, line);
}

static void add_results(struct page *p, const struct working *w, enum unit_system units)
{
    int row = -1;
    for (size_t i = 0; i < w->result_count; i++) {
        const struct figure *fig = &w->result[i];
        if (fig->row != row && fig->row >= 0)
            page_add(p, ROLE_CHALK, INDENT, "%s %d", w->rows, fig->row + 1);
        row = fig->row;
        add_figure(p, fig, ROLE_STRONG, units, false);
    }
    if (w->why[0] != '\0')
        page_add(p, ROLE_WATCH, INDENT, "%s", w->why);
    for (size_t i = 0; i < w->caution_count; i++)
        page_add(p, ROLE_WATCH, INDENT, GLYPH_WARNING " %s", w->caution[i]);
}

static void add_title(struct page *p, const char *title, size_t count)
{
    if (count == 0)
        return;
    page_add(p, ROLE_CHALK, 0, "%s", "");
    page_add(p, ROLE_TITLE, 0, "%s", title);
}

void page_add_working(struct page *p, const struct working *w, enum unit_system units)
{
    char text[SOURCE_TEXT_MAX];
    page_add(p, ROLE_TITLE, 0, "%s", w->title);
    add_results(p, w, units);
    add_title(p, "Given", w->given_count);
    for (size_t i = 0; i < w->given_count; i++)
        add_figure(p, &w->given[i], ROLE_CHALK, units, true);
    add_title(p, "Working", w->step_count);
    for (size_t i = 0; i < w->step_count; i++)
        page_add(p, ROLE_CHALK, INDENT, "%s", w->step[i]);
    add_title(p, "Source", w->source_count);
    for (size_t i = 0; i < w->source_count; i++)
        page_add(p, ROLE_FAINT, INDENT, "%s", source_text(w->source[i], text, sizeof text));
}
