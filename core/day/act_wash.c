/* Acts at the wash bench: sanitiser mixed, strips dipped, hot water into the sink, and the rules that the
 * bench goes by. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/wash_record.h"
#include "core/sanitation/contact.h"
#include "core/sanitation/laboratory.h"

/* ---- the bottle ---- */

static bool names_bottle(const struct form *form)
{
    return form_get(form, "strength") != NULL || form_get(form, "opened") != NULL ||
           form_get(form, "label_dose") != NULL || form_get(form, "label_volume") != NULL ||
           form_get(form, "label_ppm") != NULL;
}

/* What was said of the bottle over what is known of the one in use. */
static int read_bottle(struct act *a, const struct bottle_row *known, bool found, struct bottle_row *out)
{
    const struct value *strength = form_get(a->form, "strength");
    char chemical[20];
    (void)snprintf(chemical, sizeof chemical, "%s", out->chemical);
    if (found)
        *out = *known;
    else
        *out = (struct bottle_row){.strength_mpct = ROW_NONE,
                                   .basis = "simple",
                                   .label_dose_ul = ROW_NONE,
                                   .label_volume_ml = ROW_NONE,
                                   .label_mppm = ROW_NONE};
    (void)snprintf(out->chemical, sizeof out->chemical, "%s", chemical);
    (void)form_choice_word(a->form, "basis", out->basis, sizeof out->basis);
    if (strength != NULL)
        out->strength_mpct = quantity_milli(strength->number);
    if (form_get(a->form, "label_dose") != NULL)
        out->label_dose_ul = quantity_milli(form_number(a->form, "label_dose", 0) * 1e3);
    if (form_get(a->form, "label_volume") != NULL)
        out->label_volume_ml = act_milli(a, "label_volume");
    if (form_get(a->form, "label_ppm") != NULL)
        out->label_mppm = act_milli(a, "label_ppm");
    return 0;
}

static int check_bottle(struct act *a, const struct bottle_row *b)
{
    if (strcmp(b->chemical, "chlorine") != 0) {
        if (b->strength_mpct != ROW_NONE)
            return fail_input(a->fail, "strength: %s is mixed by its label: label_dose=, label_volume=, "
                                       "label_ppm=.", b->chemical);
        if (b->label_dose_ul == ROW_NONE || b->label_volume_ml == ROW_NONE || b->label_mppm == ROW_NONE)
            return fail_input(a->fail,
                              "label: give its recipe, as label_dose=1floz label_volume=5gal label_ppm=25ppm.");
        return 0;
    }
    if (b->strength_mpct == ROW_NONE)
        return fail_input(a->fail, "strength= is missing: of this bottle, from its label, as 8.25%%.");
    struct bleach bleach = bottle_bleach(b);
    return bleach_check(&bleach, a->fail);
}

static bool same_bottle(const struct bottle_row *a, const struct bottle_row *b)
{
    return a->strength_mpct == b->strength_mpct && strcmp(a->basis, b->basis) == 0 &&
           a->label_dose_ul == b->label_dose_ul && a->label_volume_ml == b->label_volume_ml &&
           a->label_mppm == b->label_mppm;
}

/* The bottle that is poured from: the one in use, or, where its label or its day differ, a new one. */
static int take_bottle(struct act *a, const struct mix_record *last, struct bottle_row *out)
{
    struct bottle_row known;
    bool found;
    memset(out, 0, sizeof *out);
    (void)snprintf(out->chemical, sizeof out->chemical, "%s", last->found ? last->bottle.chemical : "chlorine");
    if (form_get(a->form, "strength") != NULL) /* only bleach goes by its percent */
        (void)snprintf(out->chemical, sizeof out->chemical, "chlorine");
    (void)form_choice_word(a->form, "chemical", out->chemical, sizeof out->chemical);
    if (bottle_load(a->dairy, out->chemical, a->at, &known, &found, a->fail) != 0 ||
        read_bottle(a, &known, found, out) != 0 || check_bottle(a, out) != 0)
        return -1;
    struct date opened = form_date(a->form, "opened", DATE_NONE);
    if (date_known(opened) && date_diff(opened, instant_date(a->at)) < 0)
        return fail_refused(a->fail, "opened: that day is still to come.");
    bool other_day = date_known(opened) && (!found || instant_date(known.opened_at).days != opened.days);
    if (found && !other_day && (!names_bottle(a->form) || same_bottle(&known, out)))
        return 0;
    out->opened_at =
        date_known(opened) && opened.days != instant_date(a->at).days ? date_start(opened) : a->at;
    out->id = 0;
    return row_insert(a->dairy->store, &bottle_table, out, NULL, a->fail);
}

/* ---- strip ---- */

static int add_strip(struct act *a, const struct mix_record *m, const char *ppm_key)
{
    struct strip_row row = {.at = a->at,
                            .mix_id = m->mix.id,
                            .mppm = act_milli(a, ppm_key),
                            .top_mppm = m->read ? m->strip.top_mppm : 200000,
                            .ph_milli = act_milli(a, "ph"),
                            .temp_mc = act_milli(a, "temp")};
    struct mix_record after = *m;
    const struct value *ph = form_get(a->form, "ph");
    double counts;
    bool good;
    if (form_get(a->form, "top") != NULL)
        row.top_mppm = act_milli(a, "top");
    if (ph != NULL && !(ph->number >= 0 && ph->number <= 14))
        return fail_input(a->fail, "ph: there is no pH of %.4g; the scale runs from 0 to 14.", ph->number);
    after.read = true;
    after.strip = row;
    if (mix_strength(&after, &counts, NULL, a->fail) != 0)
        return -1;
    act_say(a, "%sstrip %.4g ppm: %s", a->what[0] == '\0' ? "" : "; ", (double)row.mppm / 1e3,
            mix_verdict(&after, counts, &good));
    return row_insert(a->dairy->store, &strip_table, &row, NULL, a->fail);
}

static const struct field strip_fields[] = {
    {"ppm", FIELD_QUANTITY, DIM_CONCENTRATION, FIELD_REQUIRED, NULL, "strip shows", "as 100ppm"},
    {"top", FIELD_QUANTITY, DIM_CONCENTRATION, 0, NULL, "its last colour",
     "end of the strip's scale, as 200ppm"},
    {"ph", FIELD_QUANTITY, DIM_NUMBER, 0, NULL, "pH", "if it was read, as 7.5"},
    {"temp", FIELD_QUANTITY, DIM_TEMPERATURE, 0, NULL, "water", "of the solution, if it was read, as 80F"},
    FIELD_AT,
    FIELD_WHO,
};

/* A working solution is not kept longer than a day: common practice, no source. */
enum { MIX_LASTS_S = 24 * 3600 };

static int act_strip(struct act *a)
{
    struct mix_record m;
    if (mix_record_load(a->dairy, a->at, &m, a->fail) != 0)
        return -1;
    if (!m.found || a->at.s - m.mix.at.s > MIX_LASTS_S)
        return fail_refused(a->fail, "Nothing was mixed in the day before; record `mix` first.");
    return add_strip(a, &m, "ppm");
}

/* ---- mix ---- */

static const struct field mix_fields[] = {
    {"strength", FIELD_QUANTITY, DIM_PERCENT, FIELD_UNIT_NEEDED, NULL, "bottle's label",
     "strength of this bleach, as 8.25%; the bottle in use if not given"},
    {"opened", FIELD_DATE, 0, 0, NULL, "bottle opened", "the day, as 2026-05-03"},
    {"target", FIELD_QUANTITY, DIM_CONCENTRATION, FIELD_UNIT_NEEDED, NULL, "to be",
     "strength wanted, as 100ppm; as last time if not given"},
    {"volume", FIELD_QUANTITY, DIM_VOLUME, 0, NULL, "volume", "as 3gal; as last time if not given"},
    {"dose", FIELD_QUANTITY, DIM_VOLUME, 0, NULL, "went in",
     "what really went in, as 1tbsp; the dose as worked out if not given"},
    {"strip", FIELD_QUANTITY, DIM_CONCENTRATION, FIELD_UNIT_NEEDED, NULL, "strip shows",
     "as 100ppm; it beats the sum"},
    {"top", FIELD_QUANTITY, DIM_CONCENTRATION, FIELD_UNIT_NEEDED | FIELD_SELDOM, NULL, "its last colour",
     "end of the strip's scale, as 200ppm"},
    {"ph", FIELD_QUANTITY, DIM_NUMBER, 0, NULL, "pH", "if it was read, as 7.5"},
    {"temp", FIELD_QUANTITY, DIM_TEMPERATURE, 0, NULL, "water", "of the solution, if it was read, as 80F"},
    {"counted", FIELD_CHOICE, 0, 0, "final|water", "volume is",
     "final (when mixed) or water (to which the dose is added)"},
    {"basis", FIELD_CHOICE, 0, 0, "simple|trade", "percent is",
     "simple (a household label) or trade (g in 100 mL)"},
    {"chemical", FIELD_CHOICE, 0, 0, "chlorine|iodine|quat|peroxyacetic|peroxide", "chemical",
     "other than chlorine: with its label's recipe"},
    {"label_dose", FIELD_QUANTITY, DIM_VOLUME, 0, NULL, "label: product", "as 1floz"},
    {"label_volume", FIELD_QUANTITY, DIM_VOLUME, 0, NULL, "label: in water", "as 5gal"},
    {"label_ppm", FIELD_QUANTITY, DIM_CONCENTRATION, FIELD_UNIT_NEEDED, NULL, "label: gives", "as 25ppm"},
    FIELD_AT,
    FIELD_WHO,
};

/* Target, volume and way of counting: as given, else as last time. */
static int read_mix(struct act *a, const struct mix_record *last, struct mix_row *row)
{
    *row = last->mix;
    row->id = 0;
    row->at = a->at;
    if (!last->found)
        (void)snprintf(row->counted, sizeof row->counted, "final");
    (void)form_choice_word(a->form, "counted", row->counted, sizeof row->counted);
    if (form_get(a->form, "target") != NULL)
        row->target_mppm = act_milli(a, "target");
    else if (!last->found || strcmp(last->bottle.chemical, form_text(a->form, "chemical",
                                                                     last->bottle.chemical)) != 0)
        return fail_input(a->fail, "target= is missing: the strength wanted, as 100ppm.");
    if (form_get(a->form, "volume") != NULL)
        row->volume_ml = act_milli(a, "volume");
    else if (!last->found)
        return fail_input(a->fail, "volume= is missing: how much is mixed, as 3gal.");
    return 0;
}

static int act_mix(struct act *a)
{
    struct mix_record last, m = {.found = true};
    struct solution s;
    char name[64], spoons[64], volume[QUANTITY_TEXT_MAX];
    double ppm;
    bool good;
    if (mix_record_load(a->dairy, a->at, &last, a->fail) != 0 || read_mix(a, &last, &m.mix) != 0 ||
        take_bottle(a, &last, &m.bottle) != 0 ||
        bottle_dose(&m.bottle, (double)m.mix.target_mppm / 1e3, (double)m.mix.volume_ml / 1e3,
                    strcmp(m.mix.counted, "water") == 0 ? VOLUME_WATER : VOLUME_FINAL, &s, NULL, a->fail) != 0)
        return -1;
    m.mix.bottle_id = m.bottle.id;
    m.mix.dose_ul = quantity_milli(form_number(a->form, "dose", s.dose_ml / 1e3) * 1e3);
    if (m.mix.dose_ul <= 0 || m.mix.dose_ul >= m.mix.volume_ml * 1000)
        return fail_input(a->fail, "dose: there must be some, and less than the water, as 1tbsp or 15mL.");
    if (mix_strength(&m, &ppm, NULL, a->fail) != 0)
        return -1;
    double dose_ml = (double)m.mix.dose_ul / 1e3;
    act_say(a, "%s: %.3g mL (%s) in %s, %.0f ppm", bottle_text(&m.bottle, name, sizeof name), dose_ml,
            spoon_text(dose_ml / ML_PER_TSP, spoons, sizeof spoons),
            say_quantity(a->dairy, (double)m.mix.volume_ml / 1e3, DIM_VOLUME, volume), ppm);
    const char *verdict = mix_verdict(&m, ppm, &good);
    if (!good)
        act_say(a, ", %s", verdict);
    if (row_insert(a->dairy->store, &mix_table, &m.mix, NULL, a->fail) != 0)
        return -1;
    if (last.read) /* the same strips */
        m.strip.top_mppm = last.strip.top_mppm;
    if (form_get(a->form, "strip") != NULL)
        return add_strip(a, &m, "strip");
    return form_get(a->form, "ph") == NULL
               ? 0
               : fail_input(a->fail, "ph: is kept with a strip's reading; give strip= too.");
}

/* ---- the sink ---- */

static const struct field sink_fields[] = {
    {"temp", FIELD_QUANTITY, DIM_TEMPERATURE, FIELD_REQUIRED, NULL, "hot water",
     "its temperature in the sink, as 165F"},
    {"volume", FIELD_QUANTITY, DIM_VOLUME, 0, NULL, "how much", "as 5gal"},
    FIELD_AT,
    FIELD_WHO,
};

static int act_sink(struct act *a)
{
    struct sink_fill_row row = {
        .at = a->at, .temp_mc = act_milli(a, "temp"), .volume_ml = act_milli(a, "volume")};
    double temp_c = form_number(a->form, "temp", 0);
    char text[QUANTITY_TEXT_MAX];
    (void)say_quantity(a->dairy, temp_c, DIM_TEMPERATURE, text);
    if (temp_c > 100)
        return fail_refused(a->fail, "%s: water boils before that; read again.", text);
    if (row.volume_ml != ROW_NONE && row.volume_ml <= 0)
        return fail_input(a->fail, "volume: how much water, as 5gal.");
    act_say(a, "hot water into the sink: %s", text);
    if (temp_c <= temp_c_from_f(WASH_FLOOR_F))
        act_say(a, ", too cold to wash with: never below 120 °F (49 °C)");
    return row_insert(a->dairy->store, &sink_fill_table, &row, NULL, a->fail);
}

/* ---- the rules ---- */

static const struct field rules_fields[] = {
    {"contact", FIELD_NAME, 0, 0, NULL, "sanitiser's contact",
     "house, food-code, wisconsin, nevada, label or pmo"},
    {"standard", FIELD_NAME, 0, 0, NULL, "milk held to",
     "voluntary, pmo-raw, eu-raw, england, california, utah and others of standards.csv"},
    {"water", FIELD_NAME, 0, 0, NULL, "water held to", "new-york"},
    {"heater", FIELD_QUANTITY, DIM_TEMPERATURE, FIELD_AGAIN, NULL, "hottest water",
     "that the heater gives, as 140F"},
    FIELD_AT,
    FIELD_WHO,
};

static int check_contact_set(struct act *a, const char *set)
{
    struct contact_rules *rules = malloc(sizeof *rules);
    int result = rules == NULL ? fail_memory(a->fail) : contact_rules_load(rules, a->fail);
    bool found = false;
    for (size_t i = 0; result == 0 && i < rules->count; i++)
        found = found || text_same(rules->rule[i].set, set);
    free(rules);
    if (result == 0 && !found)
        return fail_input(a->fail, "contact: there is no set \"%.30s\"; %s.", set, rules_fields[0].help);
    return result;
}

static int check_standard(struct act *a, const char *key, const char *set, bool water)
{
    struct lab_standards *table = malloc(sizeof *table);
    int result = table == NULL ? fail_memory(a->fail) : lab_standards_load(table, a->fail);
    bool found = false;
    char names[200] = "";
    for (size_t i = 0; result == 0 && i < table->count; i++) {
        const struct lab_standard *s = &table->row[i];
        if ((s->measure == LAB_WATER) != water)
            continue;
        found = found || text_same(s->set, set);
        if (strstr(names, s->set) == NULL) /* a set has several measures */
            (void)text_append(names, sizeof names, "%s%s", names[0] == '\0' ? "" : ", ", s->set);
    }
    free(table);
    if (result == 0 && !found)
        return fail_input(a->fail, "%s: there is no standard \"%.30s\"; there are %s.", key, set, names);
    return result;
}

static int act_rules(struct act *a)
{
    struct wash_rule_row row;
    const struct value *heater = form_get(a->form, "heater");
    if (wash_rule_load(a->dairy, &row, a->fail) != 0)
        return -1;
    row.id = 0;
    row.from_at = a->at;
    act_text(a, "contact", row.contact_set, sizeof row.contact_set);
    act_text(a, "standard", row.lab_set, sizeof row.lab_set);
    act_text(a, "water", row.water_set, sizeof row.water_set);
    if (heater != NULL)
        row.heater_mc = heater->text[0] == '\0' ? ROW_NONE : act_milli(a, "heater");
    if (check_contact_set(a, row.contact_set) != 0 || check_standard(a, "standard", row.lab_set, false) != 0 ||
        check_standard(a, "water", row.water_set, true) != 0)
        return -1;
    act_say(a, "the bench goes by: contact %s, milk %s, water %s", row.contact_set, row.lab_set, row.water_set);
    return row_insert(a->dairy->store, &wash_rule_table, &row, NULL, a->fail);
}

const struct act_kind acts_wash[] = {
    {"mix", "a sanitiser is mixed, from this bottle, for a strength and a volume",
     "strength=8.25% target=100ppm volume=3gal strip=100ppm", FIELDS(mix_fields), act_mix},
    {"strip", "a test strip was dipped into the mix: it beats the sum", "ppm=100ppm top=200ppm ph=7.5",
     FIELDS(strip_fields), act_strip},
    {"sink", "hot wash water goes into the sink; later temperatures are `reading at_place=sink`", "temp=165F volume=5gal",
     FIELDS(sink_fields), act_sink},
    {"rules", "which rules and standards the wash bench goes by", "contact=food-code standard=utah heater=160F",
     FIELDS(rules_fields), act_rules},
    {0},
};
