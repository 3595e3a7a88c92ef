/* Acts about udder and milk quality: what the strainer disc, the paddle, a count or the laboratory said, and
 * the hold that follows from milk that is not normal. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/inside.h"
#include "core/herd/cells.h"
#include "core/herd/udder.h"
#include "core/store/rows_herd.h"

/* ---- milk that is not normal ---- */

int act_hold_abnormal(struct act *a, const struct cow_row *cow, struct instant from, const char *what)
{
    struct hold_row hold = {.cow_id = cow->id,
                            .kind = "abnormal",
                            .from_at = from,
                            .last_dose_at = INSTANT_NONE,
                            .milk_s = ROW_NONE,
                            .meat_s = ROW_NONE,
                            .dry_s = ROW_NONE,
                            .fresh_s = ROW_NONE,
                            .fresh_milkings = ROW_NONE,
                            .until_at = INSTANT_NONE,
                            .lifted_at = INSTANT_NONE};
    struct hold_row open;
    bool found;
    if (rows_first(a->dairy->store, &hold_table,
                   "WHERE cow_id = ?1 AND kind = 'abnormal' AND lifted_at IS NULL AND from_at <= ?2",
                   (struct bind[]){BIND_ID(cow->id), BIND_AT(from)}, 2, &open, &found, a->fail) != 0)
        return -1;
    if (found)
        return 0; /* it stands until a person lifts it, and lifting looks at what came after */
    (void)snprintf(hold.why, sizeof hold.why, "abnormal milk: %.140s", what);
    act_say(a, "; %s held until lifted", cow->name);
    return row_insert(a->dairy->store, &hold_table, &hold, NULL, a->fail);
}

/* ---- disc ---- */

enum { DISC_COWS_MAX = 12 };

struct disc {
    unsigned findings;
    char words[DISC_TEXT_MAX];
    struct cow_row cow[DISC_COWS_MAX];
    struct milk_row milk[DISC_COWS_MAX];
    size_t cows;
};

static int disc_hold(struct act *a, const struct disc *disc)
{
    struct disc_reading reading;
    char what[160];
    disc_read(disc->findings, (int)disc->cows, &reading);
    if (!reading.abnormal)
        return 0;
    (void)snprintf(what, sizeof what, "disc %s%s", disc->words, reading.ask_which_cow ? ", which cow?" : "");
    for (size_t i = 0; i < disc->cows; i++)
        if (act_hold_abnormal(a, &disc->cow[i], disc->milk[i].at, what) != 0)
            return -1;
    if (reading.ask_which_cow)
        act_say(a, ". Which cow? Until that is known none of it is kept; strip them again");
    return 0;
}

static int add_disc_cow(struct act *a, struct disc *disc, const struct cow_row *cow,
                        const struct milk_row *milk)
{
    if (disc->cows == DISC_COWS_MAX)
        return fail_refused(a->fail, "At most %d cows at one disc.", DISC_COWS_MAX);
    disc->cow[disc->cows] = *cow;
    disc->milk[disc->cows++] = *milk;
    return 0;
}

/* Cows whose milk of this milking stands in the same jars as hers. */
static int add_pooled(struct act *a, const struct milk_row *milk, struct disc *disc)
{
    struct cow_row *cows;
    size_t count;
    int result = rows_load(
        a->dairy->store, &cow_table,
        "WHERE id <> ?1 AND id IN (SELECT o.cow_id FROM batch_source o WHERE o.batch_id IN (SELECT b.id FROM"
        " batch b JOIN batch_source s ON s.batch_id = b.id WHERE b.milking_id = ?2 AND s.cow_id = ?1))",
        (struct bind[]){BIND_ID(milk->cow_id), BIND_ID(milk->milking_id)}, 2, (void **)&cows, &count,
        a->fail);
    for (size_t i = 0; i < count && result == 0; i++) {
        struct milk_row row;
        bool found;
        result = rows_first(a->dairy->store, &milk_table, "WHERE milking_id = ?1 AND cow_id = ?2",
                            (struct bind[]){BIND_ID(milk->milking_id), BIND_ID(cows[i].id)}, 2, &row, &found,
                            a->fail);
        if (!found)
            row = (struct milk_row){.at = milk->at};
        if (result == 0)
            result = add_disc_cow(a, disc, &cows[i], &row);
    }
    free(cows);
    return result;
}

int act_disc_of(struct act *a, const struct cow_row *cow, const struct milk_row *milk)
{
    struct disc disc = {.cows = 0};
    struct disc_reading reading;
    if (disc_parse(milk->disc, &disc.findings, a->fail) != 0)
        return -1;
    disc_read(disc.findings, 1, &reading);
    if (!reading.abnormal)
        return 0;
    (void)disc_text(disc.findings, disc.words);
    if (add_disc_cow(a, &disc, cow, milk) != 0 || add_pooled(a, milk, &disc) != 0)
        return -1;
    return disc_hold(a, &disc);
}

static const struct field disc_fields[] = {
    {"found", FIELD_TEXT, 0, FIELD_REQUIRED, NULL, "on the disc",
     "clean, dirt, hair, straw, clots, blood, fat"},
    {"cows", FIELD_TEXT, 0, 0, NULL, "whose milk",
     "names with commas; those milked since the last disc if not given"},
    FIELD_AT,
    FIELD_WHO,
};

/* The cows whose milk went through it: those named, else those milked whose milk no disc has been seen of. */
static int disc_cows(struct act *a, const struct milking_row *m, struct disc *disc)
{
    struct milk_row *rows;
    size_t count;
    char names[256];
    const char *list = form_text(a->form, "cows", NULL);
    int result = rows_load(a->dairy->store, &milk_table, "WHERE milking_id = ?1 ORDER BY at",
                           (struct bind[]){BIND_ID(m->id)}, 1, (void **)&rows, &count, a->fail);
    (void)snprintf(names, sizeof names, ",%s,", list == NULL ? "" : list);
    for (size_t i = 0; i < count && result == 0; i++) {
        struct cow_row cow;
        char name[64];
        bool meant = list == NULL && rows[i].disc[0] == '\0';
        result = row_load(a->dairy->store, &cow_table, rows[i].cow_id, &cow, a->fail);
        for (const char *p = list; result == 0 && p != NULL && list_next(&p, ',', name, sizeof name);)
            meant = meant || text_same(name, cow.name) || text_same(name, cow.tag);
        if (result == 0 && meant)
            result = add_disc_cow(a, disc, &cow, &rows[i]);
    }
    free(rows);
    return result;
}

static int check_disc_names(struct act *a, const struct disc *disc)
{
    char name[64];
    const char *list = form_text(a->form, "cows", NULL);
    while (list != NULL && list_next(&list, ',', name, sizeof name)) {
        struct cow_row cow;
        bool there = false;
        if (find_cow(a->dairy, name, &cow, a->fail) != 0)
            return -1;
        for (size_t i = 0; i < disc->cows; i++)
            there = there || disc->cow[i].id == cow.id;
        if (!there)
            return fail_refused(a->fail, "%s was not milked then.", cow.name);
    }
    return disc->cows > 0 ? 0 : fail_refused(a->fail, "Nobody has been milked whose disc was not looked at.");
}

static int act_disc(struct act *a)
{
    struct disc disc = {.cows = 0};
    struct milking_row m;
    bool found;
    if (disc_parse(form_text(a->form, "found", ""), &disc.findings, a->fail) != 0 ||
        act_milking(a, false, &m, &found) != 0)
        return -1;
    if (!found)
        return fail_refused(a->fail, "No milking is open then.");
    if (disc_cows(a, &m, &disc) != 0 || check_disc_names(a, &disc) != 0)
        return -1;
    (void)disc_text(disc.findings, disc.words);
    act_say(a, "disc of");
    for (size_t i = 0; i < disc.cows; i++) {
        act_say(a, "%s %s", i == 0 ? "" : ",", disc.cow[i].name);
        (void)snprintf(disc.milk[i].disc, sizeof disc.milk[i].disc, "%s", disc.words);
        if (row_update(a->dairy->store, &milk_table, &disc.milk[i], a->fail) != 0)
            return -1;
    }
    act_say(a, ": %s", disc.words);
    return disc_hold(a, &disc);
}

/* ---- quarters ---- */

static const struct field quarter_fields[] = {
    {"cow", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "cow", "who was tested"},
    {"LF", FIELD_TEXT, 0, 0, NULL, "left front", "paddle score: N, T, 1, 2 or 3"},
    {"RF", FIELD_TEXT, 0, 0, NULL, "right front", "paddle score"},
    {"LR", FIELD_TEXT, 0, 0, NULL, "left rear", "paddle score"},
    {"RR", FIELD_TEXT, 0, 0, NULL, "right rear", "paddle score"},
    FIELD_AT,
    FIELD_WHO,
};

static int add_paddle(struct act *a, const struct cow_row *cow, enum quarter q, int *count)
{
    enum cmt cmt;
    const char *text = form_text(a->form, quarter_code(q), NULL);
    struct udder_test_row row = {.cow_id = cow->id, .at = a->at, .cells_per_ml = ROW_NONE};
    if (text == NULL)
        return 0;
    if (cmt_parse(text, &cmt, a->fail) != 0)
        return -1;
    (void)snprintf(row.quarter, sizeof row.quarter, "%s", quarter_code(q));
    (void)snprintf(row.cmt, sizeof row.cmt, "%s", cmt_code(cmt));
    act_say(a, "%s %s %s", (*count)++ == 0 ? " paddle:" : ",", quarter_code(q), cmt_word(cmt));
    return row_insert(a->dairy->store, &udder_test_table, &row, NULL, a->fail);
}

static int act_quarter(struct act *a)
{
    struct cow_row cow;
    int count = 0;
    if (act_cow(a, "cow", &cow) != 0)
        return -1;
    act_say(a, "%s", cow.name);
    for (int q = 0; q < QUARTERS; q++)
        if (add_paddle(a, &cow, (enum quarter)q, &count) != 0)
            return -1;
    return count > 0 ? 0 : fail_input(a->fail, "Give at least one quarter, as LF=1 RF=N LR=N RR=T.");
}

/* ---- counts, cultures, tests ---- */

#define FIELD_QUARTER                                                                                        \
    {                                                                                                        \
        "quarter", FIELD_CHOICE, 0, 0, "LF|RF|LR|RR", "quarter", "which; none for milk of all four"          \
    }

static const struct field cells_fields[] = {
    {"cow", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "cow", "whose milk was counted"},
    {"count", FIELD_QUANTITY, DIM_DENSITY_COUNT, FIELD_REQUIRED, NULL, "cells per mL", "as 180000"},
    FIELD_QUARTER,
    FIELD_AT,
    FIELD_WHO,
};

static int add_cells(struct act *a, const struct cow_row *cow, double count, const char *quarter)
{
    struct udder_test_row row = {.cow_id = cow->id, .at = a->at, .cells_per_ml = (int64_t)llround(count)};
    if (count < 1 || count > 1e8)
        return fail_input(a->fail, "cells: between 1 and 100 million per mL; a report of 180 thousand is "
                                   "180000.");
    (void)snprintf(row.quarter, sizeof row.quarter, "%s", quarter);
    double score = cells_linear_score(count);
    act_say(a, " %s%s%lld cells per mL, score %.1f, %s", quarter, quarter[0] == '\0' ? "" : " ",
            (long long)row.cells_per_ml, score, cells_reading(score));
    if (count < 5000)
        act_say(a, " (in thousands? write them out)");
    return row_insert(a->dairy->store, &udder_test_table, &row, NULL, a->fail);
}

static int act_cells(struct act *a)
{
    struct cow_row cow;
    char quarter[8] = "";
    if (act_cow(a, "cow", &cow) != 0)
        return -1;
    (void)form_choice_word(a->form, "quarter", quarter, sizeof quarter);
    act_say(a, "%s:", cow.name);
    return add_cells(a, &cow, form_number(a->form, "count", 0), quarter);
}

static const struct field culture_fields[] = {
    {"cow", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "cow", "whose milk"},
    {"found", FIELD_TEXT, 0, FIELD_REQUIRED, NULL, "grown", "in the laboratory's words, as no growth"},
    FIELD_QUARTER,
    FIELD_AT,
    FIELD_WHO,
};

static int act_culture(struct act *a)
{
    struct cow_row cow;
    struct udder_test_row row = {.at = a->at, .cells_per_ml = ROW_NONE};
    if (act_cow(a, "cow", &cow) != 0)
        return -1;
    row.cow_id = cow.id;
    (void)form_choice_word(a->form, "quarter", row.quarter, sizeof row.quarter);
    (void)text_clean(row.culture, sizeof row.culture, form_text(a->form, "found", ""));
    act_say(a, "%s%s%s, culture: %.140s", cow.name, row.quarter[0] == '\0' ? "" : " ", row.quarter,
            row.culture);
    return row_insert(a->dairy->store, &udder_test_table, &row, NULL, a->fail);
}

static const struct field test_fields[] = {
    {"cow", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "cow", "whose milk was tested"},
    {"fat", FIELD_QUANTITY, DIM_PERCENT, 0, NULL, "fat", "as 4.8%"},
    {"protein", FIELD_QUANTITY, DIM_PERCENT, 0, NULL, "protein", "as 3.6%"},
    {"cells", FIELD_QUANTITY, DIM_DENSITY_COUNT, 0, NULL, "cells per mL", "as 180000"},
    FIELD_AT,
    FIELD_WHO,
};

static int act_test(struct act *a)
{
    struct cow_row cow;
    struct milk_test_row row = {.at = a->at};
    const struct value *fat = form_get(a->form, "fat"), *protein = form_get(a->form, "protein"),
                       *cells = form_get(a->form, "cells");
    if (act_cow(a, "cow", &cow) != 0)
        return -1;
    if (fat == NULL && protein == NULL && cells == NULL)
        return fail_input(a->fail, "Give fat=, protein= or cells=.");
    if (form_number(a->form, "fat", 4) > 15 || form_number(a->form, "protein", 3) > 10)
        return fail_input(a->fail, "No milk has more than 15 %% fat or 10 %% protein.");
    row.cow_id = cow.id;
    row.fat_mpct = act_milli(a, "fat");
    row.protein_mpct = act_milli(a, "protein");
    act_say(a, "%s:", cow.name);
    if (fat != NULL)
        act_say(a, " fat %.2f %%", fat->number);
    if (protein != NULL)
        act_say(a, "%s protein %.2f %%", fat != NULL ? "," : "", protein->number);
    if ((fat != NULL || protein != NULL) &&
        row_insert(a->dairy->store, &milk_test_table, &row, NULL, a->fail) != 0)
        return -1;
    return cells == NULL ? 0 : add_cells(a, &cow, cells->number, "");
}

const struct act_kind acts_udder[] = {
    {"disc", "what the strainer disc showed, for every cow whose milk went through it", "found=clots",
     FIELDS(disc_fields), act_disc},
    {"quarter", "paddle test (CMT) by quarter", "cow=Tib LF=2 RF=N LR=N RR=T", FIELDS(quarter_fields),
     act_quarter},
    {"cells", "a cell count, of the cow or of one quarter", "cow=Tib count=180000", FIELDS(cells_fields),
     act_cells},
    {"culture", "what the laboratory grew from her milk", "cow=Tib quarter=LF found=\"no growth\"",
     FIELDS(culture_fields), act_culture},
    {"test", "a test of her milk: fat, protein, cells", "cow=Maud fat=4.8% protein=3.7%", FIELDS(test_fields),
     act_test},
    {0},
};
