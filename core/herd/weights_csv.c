#include "core/herd/weights_csv.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/csv.h"
#include "core/base/quantity.h"
#include "core/base/text.h"

enum column {
    COLUMN_DATE,
    COLUMN_TIME,
    COLUMN_COW,
    COLUMN_MILK,
    COLUMN_FAT,
    COLUMN_PROTEIN,
    COLUMN_CELLS,
    COLUMNS
};

/* Headings that are understood, written without blanks, signs and capitals. */
static const struct heading {
    const char *name;
    enum column column;
    const char *unit; /* of bare numbers; NULL: every cell says its unit, or it has none */
    double times;     /* for counts told in thousands */
} headings[] = {
    {"date", COLUMN_DATE, NULL, 1},
    {"day", COLUMN_DATE, NULL, 1},
    {"milkedon", COLUMN_DATE, NULL, 1},
    {"milkedat", COLUMN_DATE, NULL, 1},
    {"datetime", COLUMN_DATE, NULL, 1},
    {"time", COLUMN_TIME, NULL, 1},
    {"cow", COLUMN_COW, NULL, 1},
    {"name", COLUMN_COW, NULL, 1},
    {"cowname", COLUMN_COW, NULL, 1},
    {"animal", COLUMN_COW, NULL, 1},
    {"tag", COLUMN_COW, NULL, 1},
    {"kg", COLUMN_MILK, "kg", 1},
    {"milkkg", COLUMN_MILK, "kg", 1},
    {"weightkg", COLUMN_MILK, "kg", 1},
    {"yieldkg", COLUMN_MILK, "kg", 1},
    {"lb", COLUMN_MILK, "lb", 1},
    {"lbs", COLUMN_MILK, "lb", 1},
    {"milklb", COLUMN_MILK, "lb", 1},
    {"milklbs", COLUMN_MILK, "lb", 1},
    {"weightlb", COLUMN_MILK, "lb", 1},
    {"weightlbs", COLUMN_MILK, "lb", 1},
    {"pounds", COLUMN_MILK, "lb", 1},
    {"milk", COLUMN_MILK, NULL, 1},
    {"weight", COLUMN_MILK, NULL, 1},
    {"yield", COLUMN_MILK, NULL, 1},
    {"fat", COLUMN_FAT, "%", 1},
    {"fatpct", COLUMN_FAT, "%", 1},
    {"butterfat", COLUMN_FAT, "%", 1},
    {"protein", COLUMN_PROTEIN, "%", 1},
    {"proteinpct", COLUMN_PROTEIN, "%", 1},
    {"cells", COLUMN_CELLS, NULL, 1},
    {"cellsperml", COLUMN_CELLS, NULL, 1},
    {"scc", COLUMN_CELLS, NULL, 1},
    {"cells1000perml", COLUMN_CELLS, NULL, 1000},
    {"cells1000ml", COLUMN_CELLS, NULL, 1000},
    {"scc1000perml", COLUMN_CELLS, NULL, 1000},
    {"scc1000ml", COLUMN_CELLS, NULL, 1000},
};

/* What can be meant; beyond it a cell is in the wrong column or unit. */
#define MILK_KG_MAX     100.0
#define FAT_PCT_MAX     15.0
#define PROTEIN_PCT_MAX 10.0

struct reading {
    enum weights_dates dates;
    weight_row_fn on_row;
    void *context;
    struct weights_preview *preview;
    int cell[COLUMNS]; /* where each column stands in the file, -1 nowhere */
    const struct heading *heading[COLUMNS];
};

/* ---- heading row ---- */

static void squeeze(char *dst, size_t size, const char *src)
{
    size_t used = 0;
    for (; *src != '\0' && used + 1 < size; src++)
        if (isalnum((unsigned char)*src))
            dst[used++] = (char)tolower((unsigned char)*src);
    dst[used] = '\0';
}

static const struct heading *heading_find(const char *text)
{
    char name[40];
    squeeze(name, sizeof name, text);
    for (size_t i = 0; i < sizeof headings / sizeof headings[0]; i++)
        if (strcmp(headings[i].name, name) == 0)
            return &headings[i];
    return NULL;
}

static int read_headings(struct reading *r, const struct csv_row *row, struct fail *f)
{
    char *columns = r->preview->columns;
    const size_t size = sizeof r->preview->columns;
    char others[100] = "";
    for (size_t i = 0; i < row->count; i++) {
        const struct heading *h = heading_find(row->cell[i]);
        if (h == NULL) {
            if (row->cell[i][0] != '\0')
                (void)text_append(others, sizeof others, "%s%s", others[0] == '\0' ? "" : ", ", row->cell[i]);
            continue;
        }
        if (r->cell[h->column] >= 0)
            return fail_input(f, "\"%.30s\" and \"%.30s\" would be the same column; leave one out.",
                              row->cell[r->cell[h->column]], row->cell[i]);
        r->cell[h->column] = (int)i;
        r->heading[h->column] = h;
        (void)text_append(columns, size, "%s%s", columns[0] == '\0' ? "" : ", ", row->cell[i]);
    }
    if (r->cell[COLUMN_DATE] < 0 || r->cell[COLUMN_MILK] < 0)
        return fail_input(
            f,
            "The first row must name the columns: date, cow, and kg or lb; there is no %s among \"%.100s\".",
            r->cell[COLUMN_DATE] < 0 ? "date" : "kg or lb", columns[0] == '\0' ? others : columns);
    if (others[0] != '\0')
        (void)text_append(columns, size, "; not read: %s", others);
    return 0;
}

/* ---- one row ---- */

/* The cell of a column, "" when the row or the file does not have it. */
static const char *cell_of(const struct reading *r, const struct csv_row *row, enum column column)
{
    int at = r->cell[column];
    return at >= 0 && (size_t)at < row->count ? row->cell[at] : "";
}

/* Reads "5/3/2026" with / . or - between, in the order chosen; false if it is not of that form. */
static bool read_plain_date(const char *text, enum weights_dates dates, struct date *out)
{
    int part[3], length[3];
    for (int i = 0; i < 3; i++) {
        char *end;
        if (!isdigit((unsigned char)*text))
            return false;
        part[i] = (int)strtol(text, &end, 10);
        length[i] = (int)(end - text);
        if (length[i] > 4 || (i < 2 && *end != '/' && *end != '.' && *end != '-') || (i == 2 && *end != '\0'))
            return false;
        text = end + (i < 2);
    }
    if (length[2] != 4 || length[0] > 2 || length[1] > 2)
        return false;
    bool month_first = dates == DATES_MONTH_FIRST;
    return date_from_ymd(part[2], part[month_first ? 0 : 1], part[month_first ? 1 : 0], out);
}

static int read_when(const struct reading *r, const struct csv_row *csv, struct weight_row *row,
                     struct fail *f)
{
    const char *day = cell_of(r, csv, COLUMN_DATE), *clock = cell_of(r, csv, COLUMN_TIME);
    char both[80];
    row->at = INSTANT_NONE;
    if (date_parse(day, &row->on, NULL) == 0 ||
        (r->dates != DATES_ISO && read_plain_date(day, r->dates, &row->on))) {
        if (clock[0] == '\0')
            return 0;
        char iso[CIVIL_TEXT_MAX];
        (void)snprintf(both, sizeof both, "%sT%.30s", date_iso(row->on, iso), clock);
        return instant_parse(both, INSTANT_NONE, &row->at, f);
    }
    if (strchr(day, '/') != NULL && r->dates == DATES_ISO)
        return fail_input(f, "\"%.40s\" may be day or month first; say which, or write it as 2026-05-03.",
                          day);
    /* A moment needs its day: a bare clock time would be counted from nowhere. */
    if (strchr(day, '-') == NULL || instant_parse(day, INSTANT_NONE, &row->at, NULL) != 0)
        return fail_input(f, "\"%.40s\" is not a date; write it as 2026-05-03.", day);
    row->on = instant_date(row->at);
    return 0;
}

/* Reads an optional share of the milk. */
static int read_pct(const struct reading *r, const struct csv_row *csv, enum column column, double most,
                    double *out, struct fail *f)
{
    const char *text = cell_of(r, csv, column);
    *out = NAN;
    if (text[0] == '\0')
        return 0;
    if (quantity_parse(text, DIM_PERCENT, "%", out, f) != 0)
        return -1;
    if (*out > most)
        return fail_input(f, "\"%.40s\" %% cannot be meant; milk has at most %g %%.", text, most);
    return 0;
}

static int read_cells(const struct reading *r, const struct csv_row *csv, double *out, struct fail *f)
{
    const char *text = cell_of(r, csv, COLUMN_CELLS);
    *out = NAN;
    if (text[0] == '\0')
        return 0;
    if (quantity_parse(text, DIM_DENSITY_COUNT, NULL, out, f) != 0)
        return -1;
    *out *= r->heading[COLUMN_CELLS]->times;
    return 0;
}

static int read_milk(const struct reading *r, const struct csv_row *csv, double *kg, struct fail *f)
{
    const char *text = cell_of(r, csv, COLUMN_MILK);
    if (text[0] == '\0')
        return fail_input(f, "There is no weight.");
    if (quantity_parse(text, DIM_MASS, r->heading[COLUMN_MILK]->unit, kg, f) != 0)
        return -1;
    if (*kg <= 0)
        return fail_input(f, "A weight of nothing is not taken in; leave the row out.");
    if (*kg > MILK_KG_MAX)
        return fail_input(f, "\"%.40s\" is more than a cow gives in a day; is the unit right?", text);
    return 0;
}

static int read_cow(const struct reading *r, const struct csv_row *csv, struct weight_row *row,
                    struct fail *f)
{
    const char *text = cell_of(r, csv, COLUMN_COW);
    if (r->cell[COLUMN_COW] >= 0 && text[0] == '\0')
        return fail_input(f, "There is no cow.");
    if (strlen(text) >= sizeof row->cow)
        return fail_input(f, "\"%.40s\" is too long for a cow's name.", text);
    (void)snprintf(row->cow, sizeof row->cow, "%s", text);
    return 0;
}

static void read_row(const struct reading *r, const struct csv_row *csv, struct weight_row *row)
{
    struct fail f = {0};
    memset(row, 0, sizeof *row);
    row->line = csv->line;
    row->on = DATE_NONE;
    row->kg = row->fat_pct = row->protein_pct = row->cells_per_ml = NAN;
    row->good = read_when(r, csv, row, &f) == 0 && read_cow(r, csv, row, &f) == 0 &&
                read_milk(r, csv, &row->kg, &f) == 0 &&
                read_pct(r, csv, COLUMN_FAT, FAT_PCT_MAX, &row->fat_pct, &f) == 0 &&
                read_pct(r, csv, COLUMN_PROTEIN, PROTEIN_PCT_MAX, &row->protein_pct, &f) == 0 &&
                read_cells(r, csv, &row->cells_per_ml, &f) == 0;
    if (!row->good)
        (void)snprintf(row->wrong, sizeof row->wrong, "%.*s", (int)sizeof row->wrong - 1, f.text);
}

static void preview_take(struct weights_preview *p, const struct weight_row *row)
{
    p->rows++;
    if (!row->good) {
        if (p->wrongs < WEIGHTS_WRONG_ROWS)
            p->wrong[p->wrongs++] = *row;
        return;
    }
    p->good++;
    if (p->samples < WEIGHTS_PREVIEW_ROWS)
        p->sample[p->samples++] = *row;
    if (!date_known(p->first_on) || row->on.days < p->first_on.days)
        p->first_on = row->on;
    if (!date_known(p->last_on) || row->on.days > p->last_on.days)
        p->last_on = row->on;
    p->least_kg = fmin(p->least_kg, row->kg);
    p->most_kg = fmax(p->most_kg, row->kg);
}

static int on_csv_row(void *context, const struct csv_row *csv, struct fail *f)
{
    struct reading *r = context;
    struct weight_row row;
    if (r->cell[COLUMN_DATE] < 0)
        return read_headings(r, csv, f);
    read_row(r, csv, &row);
    preview_take(r->preview, &row);
    return r->on_row == NULL ? 0 : r->on_row(r->context, &row, f);
}

int weights_csv_read(const char *text, size_t size, enum weights_dates dates, weight_row_fn on_row,
                     void *context, struct weights_preview *preview, struct fail *f)
{
    struct reading r = {.dates = dates, .on_row = on_row, .context = context, .preview = preview};
    memset(preview, 0, sizeof *preview);
    preview->first_on = preview->last_on = DATE_NONE;
    preview->least_kg = preview->most_kg = NAN; /* fmin and fmax pass over NaN */
    for (int i = 0; i < COLUMNS; i++)
        r.cell[i] = -1;
    if (csv_read(text, size, on_csv_row, &r, f) != 0)
        return -1;
    if (r.cell[COLUMN_DATE] < 0)
        return fail_input(f,
                          "The file is empty; its first row must name the columns: date, cow, and kg or lb.");
    return 0;
}
