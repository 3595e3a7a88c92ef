/* The shelf, the people, the losses and the tastings as text and as JSON. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/losses.h"
#include "core/day/taste_view.h"
#include "src/json.h"
#include "src/show.h"

/* ---- shelf ---- */

static json_t *json_keeping(const struct shelf_row *r)
{
    static const char *const binds[] = {[KEEPING_BY_RULE] = "rule", [KEEPING_BY_MODEL] = "model"};
    return json_pack("{s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "used_days",
                     json_number(r->keeping.used_days), "total_days", json_number(r->keeping.total_days),
                     "left_days", json_number(r->keeping.left_days), "low_days",
                     json_number(r->keeping.low_days), "high_days", json_number(r->keeping.high_days),
                     "lost_by_chill_days", json_number(r->lost_days), "use_by_on", json_day(r->use_by.on),
                     "use_by_from", json_text(date_known(r->use_by.on) ? binds[r->use_by.binds] : NULL));
}

static json_t *json_row(const struct shelf_row *r)
{
    return json_pack("{s:s, s:s, s:f, s:s, s:i, s:s, s:o, s:o, s:o, s:s, s:o, s:o}", "code", r->code, "jar",
                     r->kind, "volume_l", r->volume_l, "cows", r->cows, "count", r->count, "place",
                     jar_place_word(r->place), "milked_at", json_moment(r->milked_at), "here_since",
                     json_moment(r->since), "now_c", json_number(r->now_c), "state",
                     shelf_state_word(r->state), "remark", json_text(r->remark), "keeping", json_keeping(r));
}

static json_t *json_person(const struct person_view *p)
{
    json_t *out = json_array();
    for (size_t i = 0; i < p->outs; i++)
        json_array_append_new(out, json_pack("{s:s, s:i}", "jar", p->out[i].kind, "count", p->out[i].count));
    return json_pack("{s:s, s:o, s:o, s:i, s:s, s:i, s:i, s:i, s:o, s:o}", "name", p->name, "contact",
                     json_text(p->contact), "contact2", json_text(p->contact2), "share", p->share, "days",
                     p->share_days, "due_today", p->due, "taken_today", p->taken_today, "owed", p->owed,
                     "last_took_at", json_moment(p->last_at), "jars_out", out);
}

static json_t *json_people(const struct people_view *v)
{
    json_t *people = json_array(), *taken = json_array();
    for (size_t i = 0; i < v->people; i++)
        json_array_append_new(people, json_person(&v->person[i]));
    for (size_t i = 0; i < v->takens; i++) {
        const struct taken_jars *t = &v->taken[i];
        const char *name = "";
        for (size_t k = 0; k < v->people; k++)
            if (v->person[k].id == t->person_id)
                name = v->person[k].name;
        json_array_append_new(taken, json_pack("{s:s, s:s, s:s, s:i, s:o}", "person", name, "code", t->code,
                                               "jar", t->kind, "count", t->count, "at", json_moment(t->at)));
    }
    return json_pack("{s:o, s:o, s:b}", "people", people, "taken", taken, "shared_today", v->shared_today);
}

static json_t *json_pool(const struct shelf_view *v)
{
    json_t *kinds = json_array();
    for (size_t i = 0; i < v->kinds.count; i++)
        json_array_append_new(kinds,
                              json_pack("{s:s, s:i, s:i, s:i, s:i, s:i}", "jar", v->kinds.kind[i].name,
                                        "clean", v->pool.n[JARS_CLEAN][i], "dirty", v->pool.n[JARS_DIRTY][i],
                                        "full", v->pool.n[JARS_FULL][i], "out", v->pool.n[JARS_OUT][i],
                                        "broken", v->pool.n[JARS_BROKEN][i]));
    return json_pack("{s:b, s:o, s:o, s:b, s:b, s:i, s:s}", "counted", v->counted, "kinds", kinds,
                     "next_milking_l", json_number(v->tomorrow_l), "enough", v->ready.enough,
                     "enough_if_washed", v->ready.enough_if_washed, "wash", v->ready.wash, "say",
                     v->ready_say);
}

json_t *json_shelf(const struct shelf_view *v)
{
    json_t *rows = json_array();
    for (size_t i = 0; i < v->rows; i++)
        json_array_append_new(rows, json_row(&v->row[i]));
    return json_pack("{s:o, s:i, s:i, s:f, s:b, s:o, s:o, s:o, s:o, s:o, s:o, s:s}", "now",
                     json_moment(v->now), "jars", v->jars, "to_settle", v->settle, "refrigerator_c",
                     v->fridge_c, "refrigerator_read", v->fridge_read, "scale",
                     json_pack("{s:f, s:f, s:i, s:s}", "life_days_at_4c", v->scale.life_days, "life_ln_sd",
                               v->scale.log_sd, "tastings", v->scale.tastings, "from", v->scale_text),
                     "rule_days", v->rule_days < 0 ? json_null() : json_integer(v->rule_days), "rows", rows,
                     "people", json_people(&v->people), "pool", json_pool(v), "recall",
                     json_recall(&v->recall), "caution", keeping_caution);
}

static void print_row(const struct shelf_row *r, enum unit_system units, struct instant now)
{
    char on[CIVIL_TEXT_MAX], lost[QUANTITY_TEXT_MAX] = "";
    (void)units;
    printf("  %-11s %3d %-12s %-12s milked %-12s", r->code, r->count, r->kind, jar_place_word(r->place),
           date_text(instant_date(r->milked_at), on));
    if (r->place != AT_FREEZER && isfinite(r->keeping.left_days))
        printf(" %4.1f days left", r->keeping.left_days);
    if (r->lost_days >= 0.05)
        (void)quantity_format_in(r->lost_days, DIM_NUMBER, "", 1, lost);
    if (lost[0] != '\0')
        printf(" (its chill cost %s)", lost);
    if (date_known(r->use_by.on))
        printf(", use by %s", date_text(r->use_by.on, on));
    printf("  %s%s%s  %s\n", shelf_state_word(r->state), r->remark[0] != '\0' ? ": " : "", r->remark,
           r->cows);
    (void)now;
}

static void print_person(const struct person_view *p)
{
    printf("  %-16s %s%s%s", p->name, p->contact, p->contact2[0] != '\0' ? ", or " : "", p->contact2);
    if (p->share > 0)
        printf("; %d on %s", p->share, p->share_days);
    if (p->day)
        printf(", today %d of %d taken", p->taken_today, p->due);
    if (p->owed > 0)
        printf(", %d owed", p->owed);
    for (size_t i = 0; i < p->outs; i++)
        printf("%s %d %s out", i == 0 ? ";" : ",", p->out[i].count, p->out[i].kind);
    putchar('\n');
}

static void print_pool(const struct shelf_view *v)
{
    if (!v->counted)
        puts("Jars were never counted; record `jars kind=half-gallon count=16` for each kind.");
    for (size_t i = 0; i < v->kinds.count; i++)
        printf("  %-12s %d clean, %d to wash, %d full, %d out, %d broken\n", v->kinds.kind[i].name,
               v->pool.n[JARS_CLEAN][i], v->pool.n[JARS_DIRTY][i], v->pool.n[JARS_FULL][i],
               v->pool.n[JARS_OUT][i], v->pool.n[JARS_BROKEN][i]);
    if (isfinite(v->tomorrow_l))
        printf("For the next milking: %s\n", v->ready_say);
}

static void print_shelf(const struct shelf_view *v, enum unit_system units)
{
    char when[CIVIL_TEXT_MAX], temp[QUANTITY_TEXT_MAX];
    printf("%d jars at home, %s; refrigerator %s%s\n", v->jars, instant_text(v->now, when),
           quantity_format(v->fridge_c, DIM_TEMPERATURE, units, temp),
           v->fridge_read ? " read" : " as usual");
    if (v->recall.say[0] != '\0')
        printf("CALL BACK: %s. `springhouse show recall` names them.\n", v->recall.say);
    if (v->power_say[0] != '\0')
        printf("%s\n", v->power_say);
    for (size_t i = 0; i < v->rows; i++)
        print_row(&v->row[i], units, v->now);
    printf("Days: %s.\nCaution: %s\n", v->scale_text, keeping_caution);
    if (v->people.people > 0)
        puts("People");
    for (size_t i = 0; i < v->people.people; i++)
        print_person(&v->people.person[i]);
    puts("Jars");
    print_pool(v);
}

int show_shelf(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f)
{
    struct shelf_view *v = malloc(sizeof *v);
    if (v == NULL)
        return fail_memory(f);
    int result = dairy_shelf(d, call->now, v, f);
    if (result == 0 && call->json)
        (void)json_print(json_shelf(v));
    else if (result == 0)
        print_shelf(v, units);
    free(v);
    return result;
}

/* ---- people ---- */

int show_people(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f)
{
    (void)units;
    char when[CIVIL_TEXT_MAX];
    struct people_view *v = malloc(sizeof *v);
    if (v == NULL)
        return fail_memory(f);
    int result = dairy_people(d, call->now, v, f);
    if (result == 0 && call->json)
        (void)json_print(json_people(v));
    for (size_t i = 0; result == 0 && !call->json && i < v->people; i++) {
        print_person(&v->person[i]);
        for (size_t k = 0; k < v->takens; k++)
            if (v->taken[k].person_id == v->person[i].id)
                printf("      %s  %d %s, %s\n", v->taken[k].code, v->taken[k].count, v->taken[k].kind,
                       instant_text_near(v->taken[k].at, v->now, when));
    }
    free(v);
    return result;
}

/* ---- losses ---- */

static json_t *json_losses(const struct losses *l)
{
    json_t *months = json_array();
    for (size_t i = 0; i < l->months; i++) {
        const struct losses_month *m = &l->month[i];
        json_t *causes = json_object();
        char name[16], key[24];
        (void)snprintf(name, sizeof name, "%04d-%02d", m->lost.year, m->lost.month);
        for (int c = 0; c < LOSS_CAUSES; c++) {
            (void)snprintf(key, sizeof key, "%s_kg", loss_word((enum loss_cause)c));
            json_object_set_new(causes, key, json_real((double)m->lost.mass_g[c] / 1e3));
        }
        json_array_append_new(months,
                              json_pack("{s:s, s:f, s:o, s:o, s:s}", "month", name, "lost_kg",
                                        (double)loss_month_g(&m->lost) / 1e3, "milked_kg",
                                        m->milked_g > 0 ? json_real((double)m->milked_g / 1e3) : json_null(),
                                        "by_cause", causes, "say", m->say));
    }
    return json_pack("{s:o}", "months", months);
}

static void print_losses(const struct losses *l, enum unit_system units)
{
    char kg[QUANTITY_TEXT_MAX];
    if (l->months == 0)
        puts("Nothing was lost, by these records.");
    for (size_t i = 0; i < l->months; i++) {
        const struct losses_month *m = &l->month[i];
        printf("%04d-%02d  %s\n", m->lost.year, m->lost.month, m->say);
        for (int c = 0; c < LOSS_CAUSES; c++)
            if (m->lost.mass_g[c] > 0)
                printf("         %-10s %s\n", loss_word((enum loss_cause)c),
                       quantity_format((double)m->lost.mass_g[c] / 1e3, DIM_MASS, units, kg));
    }
}

int show_losses(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f)
{
    double months = 12;
    struct losses *l = malloc(sizeof *l);
    if (l == NULL)
        return fail_memory(f);
    int result = call->argc > 1 ? quantity_parse(call->argv[1], DIM_COUNT, NULL, &months, f) : 0;
    if (result == 0 && (months < 1 || months > LOSS_MONTHS_MAX))
        result = fail_input(f, "Losses are shown of 1 to %d months.", LOSS_MONTHS_MAX);
    if (result == 0)
        result = dairy_losses(d, (int)months, call->now, l, f);
    if (result == 0 && call->json)
        (void)json_print(json_losses(l));
    else if (result == 0)
        print_losses(l, units);
    free(l);
    return result;
}

/* ---- taste ---- */

static json_t *json_taste(const struct taste_view *v, const struct working *w)
{
    json_t *object = json_working("taste", w);
    if (object == NULL)
        return NULL;
    json_object_set_new(object, "code", json_string(v->code));
    json_object_set_new(object, "tasted_at", json_moment(v->tasted_at));
    json_object_set_new(object, "poured_at", json_moment(v->poured_at));
    json_object_set_new(object, "flavour", json_string(v->flavour));
    json_object_set_new(object, "turned", json_boolean(v->turned));
    json_object_set_new(object, "score", v->score > 0 ? json_integer(v->score) : json_null());
    return object;
}

static void print_taste(const struct taste_view *v, const struct working *w)
{
    char when[CIVIL_TEXT_MAX];
    printf("%s, tasted %s: %s%s\n", v->code, instant_text(v->tasted_at, when), v->flavour,
           v->turned ? ", turned" : "");
    for (size_t i = 0; i < v->suspects; i++) {
        const struct taste_suspect *s = &v->suspect[i];
        printf("  %3.0f%%  %s\n        %s\n", s->share_pct, s->row->suspect,
               s->found[0] != '\0' ? s->found : "the log is silent");
        printf("        look at: %s\n", s->row->check);
    }
    for (size_t i = 0; i < w->caution_count; i++)
        printf("Caution: %s\n", w->caution[i]);
}

int show_taste(const struct call *call, struct dairy *d, enum unit_system units, struct fail *f)
{
    (void)units;
    int64_t batch = 0;
    struct working w;
    struct taste_view *v = malloc(sizeof *v);
    if (v == NULL)
        return fail_memory(f);
    working_init(&w, "taste");
    int result = call->argc > 1 ? dairy_find_batch(d, call->argv[1], call->now, &batch, f) : 0;
    if (result == 0)
        result = dairy_taste(d, batch, call->now, v, &w, f);
    if (result == 0 && call->json)
        (void)json_print(json_taste(v, &w));
    else if (result == 0)
        print_taste(v, &w);
    free(v);
    return result;
}
