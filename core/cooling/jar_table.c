/* Reading assets/jars.csv: name, volume_l, liquid_height_mm, outside_diameter_mm, wall_mm, empty_kg,
 * material, source. The first row is the heading. */
#include "core/cooling/jar.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "assets/asset.h"
#include "core/base/csv.h"
#include "core/base/quantity.h"
#include "core/base/text.h"

static const char *const material_words[JAR_MATERIALS] = {"glass", "steel"};

int jar_kind_check(const struct jar_kind *kind, struct fail *f)
{
    double radius = kind->outside_diameter_m / 2 - kind->wall_m;
    if (!(kind->volume_l > 0) || !(kind->liquid_height_m > 0) || !(kind->wall_m > 0) || !(radius > 0) ||
        !(kind->empty_kg > 0) || !isfinite(kind->volume_l + kind->liquid_height_m + radius + kind->empty_kg))
        return fail_refused(
            f, "The jar \"%.32s\" needs a volume, a height, a width, a wall and a weight above zero.",
            kind->name);
    double held_l = 1000 * 3.14159265358979323846 * radius * radius * kind->liquid_height_m;
    if (fabs(held_l / kind->volume_l - 1) > 0.2)
        return fail_refused(f,
                            "The jar \"%.32s\" is said to hold %.2f L, but its height and width make %.2f L.",
                            kind->name, kind->volume_l, held_l);
    return 0;
}

static int cell_number(const struct csv_row *row, size_t cell, double *value, struct fail *f)
{
    return quantity_parse(row->cell[cell], DIM_NUMBER, NULL, value, f);
}

static int cell_material(const char *word, enum jar_material *out, struct fail *f)
{
    for (int i = 0; i < JAR_MATERIALS; i++)
        if (text_same(word, material_words[i])) {
            *out = (enum jar_material)i;
            return 0;
        }
    return fail_input(f, "\"%.20s\" is not a material of jars; it is glass or steel.", word);
}

static int read_row(void *context, const struct csv_row *row, struct fail *f)
{
    struct jar_list *list = context;
    double height_mm, width_mm, wall_mm;
    struct jar_kind kind = {0};
    if (row->line == 1)
        return 0;
    if (row->count < 8 || list->count == JAR_KINDS_MAX)
        return fail_input(f, "jars.csv, row %zu: eight columns, and at most %d jars, were expected.",
                          row->line, JAR_KINDS_MAX);
    (void)snprintf(kind.name, sizeof kind.name, "%.31s", row->cell[0]);
    (void)snprintf(kind.source, sizeof kind.source, "%.31s", row->cell[7]);
    if (cell_number(row, 1, &kind.volume_l, f) != 0 || cell_number(row, 2, &height_mm, f) != 0 ||
        cell_number(row, 3, &width_mm, f) != 0 || cell_number(row, 4, &wall_mm, f) != 0 ||
        cell_number(row, 5, &kind.empty_kg, f) != 0 || cell_material(row->cell[6], &kind.material, f) != 0)
        return -1;
    kind.liquid_height_m = height_mm / 1000;
    kind.outside_diameter_m = width_mm / 1000;
    kind.wall_m = wall_mm / 1000;
    if (jar_kind_check(&kind, f) != 0)
        return -1;
    list->kind[list->count++] = kind;
    return 0;
}

int jar_list_load(struct jar_list *out, struct fail *f)
{
    const char *text = asset_text("jars.csv");
    out->count = 0;
    return csv_read(text, strlen(text), read_row, out, f);
}

const struct jar_kind *jar_find(const struct jar_list *list, const char *name)
{
    for (size_t i = 0; i < list->count; i++)
        if (text_same(list->kind[i].name, name))
            return &list->kind[i];
    return NULL;
}

const struct jar_kind *jar_need(const struct jar_list *list, const char *name, struct fail *f)
{
    char known[FAIL_TEXT_MAX] = "";
    const struct jar_kind *kind = jar_find(list, name);
    if (kind != NULL)
        return kind;
    for (size_t i = 0; i < list->count; i++)
        text_append(known, sizeof known, "%s%s", i == 0 ? "" : ", ", list->kind[i].name);
    (void)fail_input(f, "There is no jar \"%.32s\"; there are %s.", name, known);
    return NULL;
}
