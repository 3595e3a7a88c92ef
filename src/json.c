#include "src/json.h"

#include <math.h>
#include <stdio.h>

#include "core/base/source.h"
#include "src/command.h"

json_t *json_number(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

json_t *json_text(const char *text)
{
    return text == NULL || *text == '\0' ? json_null() : json_string(text);
}

json_t *json_moment(struct instant t)
{
    char iso[CIVIL_TEXT_MAX];
    return json_text(instant_iso_local(t, iso));
}

json_t *json_day(struct date d)
{
    char iso[CIVIL_TEXT_MAX];
    return json_text(date_iso(d, iso));
}

static json_t *json_figure(const struct figure *fig)
{
    switch (fig->kind) {
    case FIGURE_NUMBER: return json_number(fig->number);
    case FIGURE_WHOLE: return json_integer((json_int_t)fig->number);
    case FIGURE_TEXT: return json_string(fig->text);
    case FIGURE_YES_NO: return json_boolean(fig->number != 0);
    case FIGURE_NONE: break;
    }
    return json_null();
}

static json_t *json_result(const struct working *w)
{
    json_t *result = json_object(), *rows = w->rows == NULL ? NULL : json_array();
    for (size_t i = 0; i < w->result_count; i++) {
        const struct figure *fig = &w->result[i];
        json_t *into = result;
        if (fig->row >= 0) {
            while (json_array_size(rows) <= (size_t)fig->row)
                if (json_array_append_new(rows, json_object()) != 0)
                    return result;
            into = json_array_get(rows, (size_t)fig->row);
        }
        json_object_set_new(into, fig->name, json_figure(fig));
    }
    if (rows != NULL)
        json_object_set_new(result, w->rows, rows);
    return result;
}

json_t *json_working(const char *topic, const struct working *w)
{
    char text[400];
    json_t *given = json_object(), *steps = json_array(), *sources = json_array(), *cautions = json_array();
    for (size_t i = 0; i < w->given_count; i++)
        json_object_set_new(given, w->given[i].name, json_figure(&w->given[i]));
    for (size_t i = 0; i < w->step_count; i++)
        json_array_append_new(steps, json_string(w->step[i]));
    for (size_t i = 0; i < w->source_count; i++)
        json_array_append_new(sources, json_string(source_text(w->source[i], text, sizeof text)));
    for (size_t i = 0; i < w->caution_count; i++)
        json_array_append_new(cautions, json_string(w->caution[i]));
    json_t *object = json_pack("{s:s, s:o, s:o, s:o, s:o, s:o}", "topic", topic, "given", given, "result",
                               json_result(w), "working", steps, "source", sources, "caution", cautions);
    if (object != NULL && w->why[0] != '\0')
        json_object_set_new(object, "why", json_string(w->why));
    return object;
}

int json_print(json_t *object)
{
    if (object == NULL) {
        struct fail f;
        fail_memory(&f);
        return say_fail(&f);
    }
    json_dumpf(object, stdout, JSON_INDENT(2) | JSON_REAL_PRECISION(15));
    putchar('\n');
    json_decref(object);
    return 0;
}
