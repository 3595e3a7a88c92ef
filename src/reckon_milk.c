/* Topics of core/milk. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "core/base/text.h"
#include "core/milk/code.h"
#include "core/milk/keeping.h"
#include "core/milk/share.h"
#include "core/milk/taste.h"
#include "src/history.h"
#include "src/reckon.h"

#define COUNT_OF(array) (sizeof(array) / sizeof(array)[0])

/* ---- keeping ---- */

/* clang-format off */
static const struct field keeping_fields[] = {
    {"temp", FIELD_QUANTITY, DIM_TEMPERATURE, 0, NULL, "kept at", "where it is kept, as 38F"},
    {"age", FIELD_QUANTITY, DIM_DURATION, 0, NULL, "age", "how long it has stood there, as 3d"},
    {"history", FIELD_FILE, 0, 0, NULL, "history", "file of hours,temp_c: times from 0 on, or hours at each temperature"},
    {"rows", FIELD_CHOICE, 0, 0, "times|stays", "rows are", "what the hours of the file are: times or stays"},
    {"start", FIELD_QUANTITY, DIM_DENSITY_COUNT, 0, NULL, "count", "cold-loving bacteria at the start, as 100/mL"},
    {"shelf_days", FIELD_QUANTITY, DIM_NUMBER, 0, NULL, "keeps days", "days that your milk keeps, as 10"},
    {"at", FIELD_QUANTITY, DIM_TEMPERATURE, 0, NULL, "at", "the temperature at which it keeps so long, as 38F"},
};
/* clang-format on */

/* How long milk lasts here: by the user's word, or from a count, or as usual. */
static int keeping_scale_from(const struct form *form, struct keeping_scale *scale, struct fail *f)
{
    const struct value *days = form_get(form, "shelf_days"), *start = form_get(form, "start");
    if (days == NULL && form_get(form, "at") != NULL)
        return fail_input(f, "at= goes with shelf_days=: the days that milk keeps at that temperature.");
    if (days != NULL && start != NULL && start->number >= KEEPING_SPOILED_PER_ML)
        return fail_refused(f, "Milk with %g per mL has turned already, so it does not keep for days.",
                            start->number);
    if (days != NULL)
        return keeping_scale_given(days->number, form_number(form, "at", KEEPING_REF_C), scale, f);
    if (start != NULL)
        return keeping_scale_counted(start->number, scale, f);
    *scale = keeping_scale_usual();
    return 0;
}

static int keeping_history_from(const struct form *form, double store_c, struct keeping_span **span,
                                size_t *count, struct working *w, struct fail *f)
{
    const struct value *history = form_get(form, "history"), *age = form_get(form, "age");
    enum history_rows rows = (enum history_rows)form_choice(form, "rows", HISTORY_UNKNOWN);
    if (history != NULL && age != NULL)
        return fail_input(f, "Give history= or age=, not both: the history says how old the milk is.");
    if (history != NULL) {
        if (history_read(history->text, &rows, span, count, f) != 0)
            return -1;
        working_given_text(w, "history", history->text, ORIGIN_GIVEN);
        working_given_text(w, "rows", rows == HISTORY_TIMES ? "times" : "stays",
                           form_get(form, "rows") != NULL ? ORIGIN_GIVEN : ORIGIN_DEFAULT);
    } else if (age != NULL) {
        *span = calloc(1, sizeof **span);
        if (*span == NULL)
            return fail_memory(f);
        **span = keeping_held(age->number / 3600, store_c);
        *count = 1;
        working_given(w, "age_h", age->number / 3600, ORIGIN_GIVEN);
    }
    return 0;
}

static void keeping_count_from(const struct form *form, const struct keeping_forecast *fc,
                               const struct keeping_scale *scale, struct working *w)
{
    const struct value *start = form_get(form, "start");
    if (start != NULL) {
        (void)keeping_count_per_ml(start->number, fc->used_days, scale, w);
        return;
    }
    working_result(w, "count_now_per_ml", NAN);
    if (isfinite(fc->left_days))
        working_why(
            w, "There is no count now because there was none at the start; add start=, as start=100/mL.");
}

static int reckon_keeping(const struct form *form, struct working *w, struct fail *f)
{
    struct keeping_span *span = NULL;
    size_t count = 0;
    struct keeping_scale scale;
    struct keeping_forecast fc;
    const struct value *temp = form_get(form, "temp");
    double at_c = form_number(form, "at", KEEPING_REF_C), store_c = temp != NULL ? temp->number : at_c;
    if (temp == NULL && form_get(form, "history") == NULL)
        return fail_input(f, "temp= is missing: %s; or give history=.", keeping_fields[0].help);
    if (keeping_scale_from(form, &scale, f) != 0 ||
        keeping_history_from(form, store_c, &span, &count, w, f) != 0)
        return -1;
    int result = keeping_forecast(span, count, &scale, store_c, &fc, w, f);
    if (result == 0) {
        if (form_get(form, "shelf_days") != NULL) {
            working_given(w, "shelf_days", form_number(form, "shelf_days", NAN), ORIGIN_GIVEN);
            working_given(w, "at_c", at_c, form_get(form, "at") != NULL ? ORIGIN_GIVEN : ORIGIN_DEFAULT);
        }
        if (form_get(form, "history") != NULL)
            (void)keeping_lost_days(span, count, store_c, w);
        if (temp == NULL)
            working_given(w, "storage_c", store_c, ORIGIN_DEFAULT);
        keeping_count_from(form, &fc, &scale, w);
    }
    free(span);
    return result;
}

/* ---- code ---- */

static const struct field code_fields[] = {
    {"code", FIELD_NAME, 0, 0, NULL, "code", "a batch code to read, as 260503-1AR"},
    {"on", FIELD_DATE, 0, 0, NULL, "day", "or the day of the milking, as 2026-05-03"},
    {"milking", FIELD_QUANTITY, DIM_COUNT, 0, NULL, "milking", "which milking of that day; 1 when not given"},
    {"batch", FIELD_NAME, 0, 0, NULL, "batch", "letter of the batch; A when not given"},
};

static int reckon_code(const struct form *form, struct working *w, struct fail *f)
{
    struct batch_code code;
    char text[CODE_TEXT_MAX], letter[2] = "";
    const struct value *given = form_get(form, "code");
    if (given != NULL) {
        if (code_parse(given->text, &code, f) != 0)
            return -1;
        working_given_text(w, "code", given->text, ORIGIN_GIVEN);
    } else {
        if (form_get(form, "on") == NULL)
            return fail_input(f, "on= is missing: %s; or give code= to read one.", code_fields[1].help);
        const char *batch = form_text(form, "batch", "A");
        code.on = form_date(form, "on", DATE_NONE);
        code.milking = (int)fmin(form_number(form, "milking", 1), CODE_MILKINGS_MAX + 1);
        code.letter = (char)(batch[0] >= 'a' && batch[0] <= 'z' ? batch[0] - 'a' + 'A' : batch[0]);
        if (batch[1] != '\0')
            code.letter = '\0';
    }
    if (code_format(&code, text, f) != 0)
        return -1;
    letter[0] = code.letter;
    working_step(
        w, "year, month, day, milking, batch; the check makes 9y + 8y + 7m + 6m + 5d + 4d + 3 x milking + 2 "
           "x batch + check a multiple of 23");
    working_result_text(w, "code", text);
    working_result_date(w, "milked_on", code.on);
    working_result_whole(w, "milking", code.milking);
    working_result_text(w, "batch", letter);
    return 0;
}

/* ---- share ---- */

static const struct field share_fields[] = {
    {"jars", FIELD_QUANTITY, DIM_COUNT, FIELD_REQUIRED, NULL, "jars", "how many jars there are to share"},
    {"due", FIELD_TEXT, 0, FIELD_REQUIRED, NULL, "due", "what each person has due, as 4,2,2"},
    {"owed", FIELD_TEXT, 0, 0, NULL, "owed", "what each is owed from before, as 0,1,0"},
    {"method", FIELD_CHOICE, 0, 0, "proportion|owed", "method",
     "all short alike (proportion), or those owed first"},
};

/* Reads "4,2,2" into one number per person. Returns how many, or -1. */
static int read_counts(const char *list, const char *key, int counts[SHARE_PEOPLE_MAX], struct fail *f)
{
    char item[16];
    int n = 0;
    double number;
    while (list_next(&list, ',', item, sizeof item)) {
        if (n == SHARE_PEOPLE_MAX)
            return fail_input(f, "%s: at most %d people.", key, SHARE_PEOPLE_MAX);
        if (quantity_parse(item, DIM_COUNT, NULL, &number, f) != 0)
            return -1;
        counts[n++] = (int)fmin(number, SHARE_COUNT_MAX + 1);
    }
    return n;
}

static int reckon_share(const struct form *form, struct working *w, struct fail *f)
{
    int due[SHARE_PEOPLE_MAX] = {0}, owed[SHARE_PEOPLE_MAX] = {0};
    struct share_person person[SHARE_PEOPLE_MAX];
    struct share_part part[SHARE_PEOPLE_MAX];
    struct share_split split;
    char say[200];
    int n = read_counts(form_text(form, "due", ""), "due", due, f);
    int m = n < 0 ? -1 : read_counts(form_text(form, "owed", ""), "owed", owed, f);
    if (m < 0)
        return -1;
    if (form_get(form, "owed") != NULL && m != n)
        return fail_input(f, "owed: %d people, but due= has %d.", m, n);
    for (int i = 0; i < n; i++)
        person[i] = (struct share_person){due[i], owed[i]};
    if (share_split((int)fmin(form_number(form, "jars", 0), SHARE_COUNT_MAX + 1),
                    (enum share_method)form_choice(form, "method", SHARE_IN_PROPORTION), person, (size_t)n,
                    part, &split, say, w, f) != 0)
        return -1;
    for (int i = 0; i < n; i++) {
        working_row(w, "people", i);
        working_result_whole(w, "jars", part[i].given);
        working_result_whole(w, "owed_after", part[i].owed_after);
        working_result_text(w, "why", part[i].why);
    }
    working_row(w, NULL, -1);
    return 0;
}

/* ---- taste ---- */

/* clang-format off */
static const struct field taste_fields[] = {
    {"flavour", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "flavour", "what it tastes of, as sour, soapy, cardboard"},
    {"chill", FIELD_QUANTITY, DIM_DURATION, 0, NULL, "time to 40 °F", "how long the batch took to 40 °F, as 2h"},
    {"fridge", FIELD_QUANTITY, DIM_TEMPERATURE, 0, NULL, "warmest", "warmest reading of the refrigerator, as 47F"},
    {"life", FIELD_QUANTITY, DIM_PERCENT, 0, NULL, "life used", "part of its life that was used, as 80%"},
    {"feed_change", FIELD_QUANTITY, DIM_DURATION, 0, NULL, "feed changed", "since feed or pasture changed, as 2d"},
    {"fed_before", FIELD_QUANTITY, DIM_DURATION, 0, NULL, "fed before", "from strong feed to milking, as 1h"},
    {"in_milk", FIELD_QUANTITY, DIM_DURATION, 0, NULL, "in milk", "since she calved, as 260d"},
    {"mix", FIELD_QUANTITY, DIM_CONCENTRATION, 0, NULL, "mix", "strength of the sanitiser, as 100ppm"},
    {"milked", FIELD_DATE, 0, 0, NULL, "milked on", "day of the milking, as 2026-05-03"},
    {"treated", FIELD_QUANTITY, DIM_DURATION, 0, NULL, "treated", "since a cow was treated, as 5d"},
    {"wash_missed", FIELD_CHOICE, 0, 0, "no|yes", "wash missed", "the wash before was missed or too cool: yes or no"},
    {"disc_dirty", FIELD_CHOICE, 0, 0, "no|yes", "disc dirty", "the strainer disc was dirty: yes or no"},
    {"mastitis", FIELD_CHOICE, 0, 0, "no|yes", "mastitis", "strip, test or cells show it: yes or no"},
    {"air_leak", FIELD_CHOICE, 0, 0, "no|yes", "air leak", "yes or no"},
    {"topped_up", FIELD_CHOICE, 0, 0, "no|yes", "topped up", "topped up, or warmed and cooled again: yes or no"},
    {"light", FIELD_CHOICE, 0, 0, "no|yes", "light", "it stood in the light: yes or no"},
    {"metal", FIELD_CHOICE, 0, 0, "no|yes", "metal", "copper or iron touched it: yes or no"},
    {"not_drained", FIELD_CHOICE, 0, 0, "no|yes", "not drained", "a drain step was left out: yes or no"},
    {"one_jar", FIELD_CHOICE, 0, 0, "no|yes", "one jar", "other jars of the batch taste right: yes or no"},
};

/* Which fact each field is, and what its SI unit is worth in the fact's. */
static const struct {
    const char *key;
    enum taste_fact fact;
    double factor;
} taste_keys[] = {
    {"chill", TASTE_TO_40F_MIN, 1.0 / 60},           {"fridge", TASTE_FRIDGE_MAX_C, 1},
    {"life", TASTE_LIFE_USED, 0.01},                 {"feed_change", TASTE_FEED_CHANGE_DAYS, 1.0 / 86400},
    {"fed_before", TASTE_FED_BEFORE_H, 1.0 / 3600},  {"in_milk", TASTE_DAYS_IN_MILK, 1.0 / 86400},
    {"mix", TASTE_MIX_PPM, 1},                       {"milked", TASTE_MONTH, 1},
    {"treated", TASTE_TREATED_DAYS, 1.0 / 86400},    {"wash_missed", TASTE_WASH_MISSED, 1},
    {"disc_dirty", TASTE_DISC_DIRTY, 1},             {"mastitis", TASTE_MASTITIS_SIGNS, 1},
    {"air_leak", TASTE_AIR_LEAK, 1},                 {"topped_up", TASTE_TOPPED_UP, 1},
    {"light", TASTE_LIGHT, 1},                       {"metal", TASTE_METAL, 1},
    {"not_drained", TASTE_NOT_DRAINED, 1},           {"one_jar", TASTE_ONE_JAR, 1},
};
/* clang-format on */

static double taste_number(const struct value *v, enum field_type type)
{
    struct civil c;
    if (type == FIELD_CHOICE)
        return v->choice;
    if (type != FIELD_DATE)
        return v->number;
    date_to_civil(v->on, &c);
    return c.month;
}

static void taste_log_from(const struct form *form, struct taste_log *log, struct working *w)
{
    taste_log_clear(log);
    for (size_t i = 0; i < COUNT_OF(taste_keys); i++) {
        const struct value *v = form_get(form, taste_keys[i].key);
        if (v == NULL)
            continue;
        log->fact[taste_keys[i].fact] = taste_keys[i].factor * taste_number(v, taste_fields[i + 1].type);
        working_given_text(w, taste_keys[i].key, v->text, ORIGIN_GIVEN);
    }
}

static int reckon_taste(const struct form *form, struct working *w, struct fail *f)
{
    struct taste_table table;
    struct taste_log log;
    struct taste_suspect suspects[TASTE_ROWS_MAX];
    char flavour[TASTE_NAME_MAX];
    size_t count;
    if (taste_table_load(&table, f) != 0 ||
        taste_flavour(&table, form_text(form, "flavour", ""), flavour, f) != 0)
        return -1;
    taste_log_from(form, &log, w);
    taste_rank(&table, flavour, &log, form->units, suspects, &count, w);
    return 0;
}

const struct reckon_topic reckon_milk[] = {
    {"keeping", "days that milk has left, after all its temperatures", "temp=38F age=3d shelf_days=10 at=38F",
     keeping_fields, COUNT_OF(keeping_fields), reckon_keeping},
    {"code", "a batch code for the tape, or what one says", "on=2026-05-03 milking=1 batch=A", code_fields,
     COUNT_OF(code_fields), reckon_code},
    {"share", "whole jars of a short day, shared out", "jars=6 due=4,3,2 owed=0,1,0", share_fields,
     COUNT_OF(share_fields), reckon_share},
    {"taste", "suspects when milk tastes wrong", "flavour=sour chill=3h fridge=47F", taste_fields,
     COUNT_OF(taste_fields), reckon_taste},
    {0},
};
