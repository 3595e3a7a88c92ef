/* Acts about breeding: heats, services, checks, losses, drying off, calving. Each puts its fact among the
 * cow's others first: what cannot be is refused, what is odd is recorded with a question. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/breeding/calving.h"
#include "core/breeding/consistency.h"
#include "core/breeding/cycle.h"
#include "core/day/cow_record.h"
#include "core/day/inside.h"
#include "core/store/rows_year.h"

/* ---- one fact among the others ---- */

static bool asked_before(const struct finding *old, size_t count, const char *text)
{
    for (size_t i = 0; i < count; i++)
        if (strcmp(old[i].text, text) == 0)
            return true;
    return false;
}

/* What is odd now and was not before; the first is enough for one line. */
static int ask(struct act *a, const struct cow_record *before, const struct cow_record *after)
{
    struct date today = instant_date(a->now);
    struct finding *old = calloc(2 * FINDINGS_MAX, sizeof *old);
    if (old == NULL)
        return fail_memory(a->fail);
    struct finding *new = old + FINDINGS_MAX;
    size_t olds = breeding_findings(&before->breeding, today, old, FINDINGS_MAX);
    size_t news = breeding_findings(&after->breeding, today, new, FINDINGS_MAX);
    for (size_t i = 0; i < news; i++)
        if (new[i].weight == FINDING_QUESTION && !asked_before(old, olds, new[i].text)) {
            act_say(a, ". Is that right? %s", new[i].text);
            break;
        }
    free(old);
    return 0;
}

/* Writes the row if her facts then still agree. Both records are the caller's to release in any case. */
static int write_among(struct act *a, int64_t cow_id, const struct table *t, void *row,
                       struct cow_record *before, struct cow_record *after)
{
    if (cow_record_load_breeding(a->dairy, cow_id, a->now, before, a->fail) != 0 ||
        row_insert(a->dairy->store, t, row, NULL, a->fail) != 0 ||
        cow_record_load_breeding(a->dairy, cow_id, a->now, after, a->fail) != 0)
        return -1;
    return breeding_consistent(&before->breeding, &after->breeding, instant_date(a->now), a->fail);
}

typedef void (*say_fn)(struct act *a, const struct cow_record *after);

static int record(struct act *a, int64_t cow_id, const struct table *t, void *row, say_fn say)
{
    struct cow_record *both = calloc(2, sizeof *both);
    if (both == NULL)
        return fail_memory(a->fail);
    int result = write_among(a, cow_id, t, row, &both[0], &both[1]);
    if (result == 0 && say != NULL)
        say(a, &both[1]);
    if (result == 0)
        result = ask(a, &both[0], &both[1]);
    cow_record_release(&both[0]);
    cow_record_release(&both[1]);
    free(both);
    return result;
}

int act_breeding_fact(struct act *a, int64_t cow_id, const struct table *t, void *row)
{
    return record(a, cow_id, t, row, NULL);
}

/* Morning of a civil day, for facts of which only the day is known. */
static struct instant noon_of(struct date d)
{
    struct instant t = date_start(d);
    t.s += 12 * 3600;
    return t;
}

/* ---- calving ---- */

static const struct field calving_fields[] = {
    {"cow", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "cow", "who calved"},
    {"ease", FIELD_QUANTITY, DIM_COUNT, 0, NULL, "ease",
     "1 no help, 2 slight, 3 needed help, 4 hard, 5 extreme"},
    {"calf", FIELD_TEXT, 0, 0, NULL, "calf",
     "heifer or bull, dead if so, its weight: heifer 62lb; twins with a comma"},
    {"name", FIELD_TEXT, 0, 0, NULL, "its name", "of twins with a comma; or later, with calf"},
    {"colostrum", FIELD_QUANTITY, DIM_VOLUME, 0, NULL, "colostrum", "its first feed, as 3qt"},
    {"fed", FIELD_MOMENT, 0, 0, NULL, "fed at", "when it drank that, as 04:50"},
    FIELD_AT,
    FIELD_WHO,
};

/* Nobody notes the sex of every calf born dead. */
static bool only_dead(const char *list)
{
    char word[16];
    (void)text_clean(word, sizeof word, list);
    return text_same(word, "dead");
}

static const char *const fate_words[] = {
    [CALF_ALIVE] = "alive", [CALF_BORN_DEAD] = "born-dead", [CALF_DIED_48H] = "died-48h"};

static int add_colostrum(struct act *a, int64_t calf_id, struct instant calved_at)
{
    struct colostrum_row row = {
        .calf_id = calf_id, .at = form_moment(a->form, "fed", a->at), .volume_ml = act_milli(a, "colostrum")};
    char volume[QUANTITY_TEXT_MAX];
    if (row.volume_ml == ROW_NONE && form_get(a->form, "fed") == NULL)
        return 0;
    if (row.volume_ml != ROW_NONE && (row.volume_ml < 50 || row.volume_ml > 10000))
        return fail_input(a->fail, "colostrum: one feed is between a cup and 10 quarts.");
    if (row.at.s < calved_at.s)
        return fail_refused(a->fail, "fed: that is before it was born.");
    if (row.at.s > a->now.s + 60)
        return fail_refused(a->fail, "fed: that is still to come.");
    if (row.volume_ml == ROW_NONE)
        act_say(a, ", sucked");
    else
        act_say(a, ", drank %s", say_quantity(a->dairy, (double)row.volume_ml / 1e3, DIM_VOLUME, volume));
    return row_insert(a->dairy->store, &colostrum_table, &row, NULL, a->fail);
}

static int add_calf(struct act *a, const struct cow_row *dam, const struct calving_row *calving,
                    const struct calf *c, const char *name, int64_t *calf_id)
{
    struct calf_row row = {.calving_id = calving->id, .cow_id = ROW_NONE, .mass_g = ROW_NONE};
    char mass[QUANTITY_TEXT_MAX];
    if (isfinite(c->weight_kg) && !(c->weight_kg >= 10 && c->weight_kg <= 80))
        return fail_input(a->fail, "calf: a calf weighs between 22 and 176 lb (10 and 80 kg).");
    if (isfinite(c->weight_kg))
        row.mass_g = quantity_milli(c->weight_kg);
    (void)snprintf(row.sex, sizeof row.sex, "%s",
                   c->sex == CALF_BULL     ? "bull"
                   : c->sex == CALF_HEIFER ? "heifer"
                                           : "");
    (void)snprintf(row.fate, sizeof row.fate, "%s", fate_words[c->fate]);
    /* One that lives is an animal of its own from now on. */
    if (c->fate == CALF_ALIVE && act_calf_animal(a, dam, calving->at, row.sex, name, &row.cow_id) != 0)
        return -1;
    if (row_insert(a->dairy->store, &calf_table, &row, calf_id, a->fail) != 0)
        return -1;
    act_say(a, "%s%s", row.sex[0] == '\0' ? "calf" : row.sex, c->fate == CALF_ALIVE ? "" : ", ");
    if (c->fate != CALF_ALIVE)
        act_say(a, "%s", calf_fate_word(c->fate));
    if (row.mass_g != ROW_NONE)
        act_say(a, " %s", say_quantity(a->dairy, c->weight_kg, DIM_MASS, mass));
    if (name[0] != '\0')
        act_say(a, " %s", name);
    return 0;
}

/* A row for each calf; the first that lives gets the colostrum that was entered. */
static int add_calves(struct act *a, const struct cow_row *dam, const struct calving_row *row)
{
    struct calving calving = {.on = instant_date(row->at)};
    const char *list = form_text(a->form, "calf", ""), *names = form_text(a->form, "name", "");
    char name[64];
    int64_t calf_id = ROW_NONE, drinks = ROW_NONE;
    if (only_dead(list))
        calving = (struct calving){.calves = 1, .calf = {{.fate = CALF_BORN_DEAD, .weight_kg = (double)NAN}}};
    else if (list[0] != '\0' && calves_parse(list, &calving, a->fail) != 0)
        return -1;
    for (int i = 0; i < calving.calves; i++) {
        act_say(a, "%s", i == 0 ? ": " : ", ");
        if (!list_next(&names, ',', name, sizeof name))
            name[0] = '\0';
        if (add_calf(a, dam, row, &calving.calf[i], name, &calf_id) != 0)
            return -1;
        if (drinks == ROW_NONE && calving.calf[i].fate == CALF_ALIVE)
            drinks = calf_id;
    }
    if (drinks == ROW_NONE && (form_get(a->form, "colostrum") != NULL || form_get(a->form, "fed") != NULL))
        return fail_input(a->fail, "colostrum: say which calf drank it, with calf=heifer or calf=bull.");
    if (drinks != ROW_NONE && add_colostrum(a, drinks, row->at) != 0)
        return -1;
    if (calving_freemartin(&calving) != NULL)
        act_say(a, "; the heifer is twin to a bull: most such are sterile");
    return 0;
}

static int act_calving(struct act *a)
{
    struct cow_row cow;
    struct calving_row row = {.at = a->at, .ease = ROW_NONE};
    const struct value *ease = form_get(a->form, "ease");
    char until[CIVIL_TEXT_MAX];
    if (act_cow(a, "cow", &cow) != 0)
        return -1;
    if (ease != NULL && (ease->number < 1 || ease->number > 5))
        return fail_input(a->fail, "ease: 1 (no help) to 5 (extreme).");
    row.cow_id = cow.id;
    row.ease = ease == NULL ? ROW_NONE : (int64_t)ease->number;
    if (act_day_only(a)) {
        row.day_only = 1;
        row.at = noon_of(instant_date(a->at));
    }
    act_say(a, "%s calved", cow.name);
    if (act_breeding_fact(a, cow.id, &calving_table, &row) != 0 || add_calves(a, &cow, &row) != 0)
        return -1;
    struct milk_fever_watch watch;
    calving_milk_fever(row.at, a->now, 0, (double)NAN, false, false, &watch, NULL);
    if (watch.phase != MILK_FEVER_OVER)
        act_say(a, "; watch her for milk fever until %s", instant_text(watch.until_at, until));
    return 0;
}

static const struct field colostrum_fields[] = {
    {"cow", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "mother", "whose calf drank"},
    {"amount", FIELD_QUANTITY, DIM_VOLUME, 0, NULL, "amount", "as 2qt; empty if it sucked"},
    {"sex", FIELD_CHOICE, 0, 0, "heifer|bull", "which", "of twins: which"},
    FIELD_AT,
    FIELD_WHO,
};

/* Her living calves of the last days; colostrum later than that is milk. */
static int act_colostrum(struct act *a)
{
    struct cow_row cow;
    struct calf_row calf;
    struct colostrum_row row = {.at = a->at, .volume_ml = act_milli(a, "amount")};
    bool found;
    char sex[8] = "", volume[QUANTITY_TEXT_MAX];
    if (act_cow(a, "cow", &cow) != 0)
        return -1;
    (void)form_choice_word(a->form, "sex", sex, sizeof sex);
    if (row.volume_ml != ROW_NONE && (row.volume_ml < 50 || row.volume_ml > 10000))
        return fail_input(a->fail, "amount: one feed is between a cup and 10 quarts.");
    if (rows_first(a->dairy->store, &calf_table,
                   "WHERE fate <> 'born-dead' AND (?2 = '' OR sex = ?2) AND calving_id IN (SELECT id FROM "
                   "calving WHERE "
                   "cow_id = ?1 AND at <= ?3 AND at > ?3 - 259200) ORDER BY id",
                   (struct bind[]){BIND_ID(cow.id), BIND_TEXT(sex), BIND_AT(a->at)}, 3, &calf, &found,
                   a->fail) != 0)
        return -1;
    if (!found)
        return fail_refused(a->fail,
                            "%s has no %s of the last three days; record her calving with calf= first.",
                            cow.name, sex[0] == '\0' ? "calf" : sex);
    row.calf_id = calf.id;
    act_say(a, "%s's %s %s", cow.name, calf.sex[0] == '\0' ? "calf" : calf.sex,
            row.volume_ml == ROW_NONE ? "sucked" : "drank ");
    if (row.volume_ml != ROW_NONE)
        act_say(a, "%s of colostrum",
                say_quantity(a->dairy, (double)row.volume_ml / 1e3, DIM_VOLUME, volume));
    return row_insert(a->dairy->store, &colostrum_table, &row, NULL, a->fail);
}

/* ---- heat ---- */

static const struct field heat_fields[] = {
    {"cow", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "cow", "who is in heat"},
    {"signs", FIELD_TEXT, 0, 0, NULL, "signs", "standing, mounts, mucus, restless, bawling and others"},
    FIELD_AT,
    FIELD_WHO,
};

/* When to serve, while there is time for it. */
static void say_service(struct act *a, const struct cow_record *r)
{
    struct service_window when;
    unsigned signs = 0;
    char from[CIVIL_TEXT_MAX], to[CIVIL_TEXT_MAX];
    (void)heat_signs_parse(form_text(a->form, "signs", ""), &signs, NULL);
    cycle_service_window(a->at, &when, NULL);
    if (r->breeding.male || r->pregnancy.state == PREGNANCY_IN_CALF || heat_strength(signs) == HEAT_OVER ||
        when.last_at.s <= a->now.s || act_day_only(a))
        return;
    act_say(a, "; best served %s to %s", instant_text_near(when.from_at, a->now, from),
            instant_text_near(when.to_at, a->now, to));
}

static int act_heat(struct act *a)
{
    struct cow_row cow;
    struct heat_row row = {.at = a->at};
    unsigned signs = 0;
    const char *text = form_text(a->form, "signs", NULL);
    if (act_cow(a, "cow", &cow) != 0 || (text != NULL && heat_signs_parse(text, &signs, a->fail) != 0))
        return -1;
    row.cow_id = cow.id;
    if (signs != 0)
        (void)heat_signs_text(signs, row.signs, sizeof row.signs);
    act_say(a, "%s in heat%s%s", cow.name, signs == 0 ? "" : ": ", row.signs);
    if (signs != 0)
        act_say(a, " (%s)", heat_strength_word(heat_strength(signs)));
    return record(a, cow.id, &heat_table, &row, say_service);
}

/* ---- service ---- */

static const struct field service_fields[] = {
    {"cow", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "cow", "who was served"},
    {"by", FIELD_CHOICE, 0, 0, "ai|bull|field|unseen", "by",
     "ai, bull, field (ran with a bull), unseen (before she came)"},
    {"sire", FIELD_NAME, 0, 0, NULL, "sire", "name or code of the bull"},
    {"until", FIELD_DATE, 0, 0, NULL, "until", "last day with the bull, for field and unseen"},
    FIELD_AT,
    FIELD_WHO,
};

static void say_plan(struct act *a, const struct cow_record *r)
{
    char from[CIVIL_TEXT_MAX], to[CIVIL_TEXT_MAX], due[CIVIL_TEXT_MAX];
    struct date today = instant_date(a->now);
    if (!date_known(r->plan.due_on))
        return;
    if (r->plan.heat_to_on.days >= today.days)
        act_say(a, "; watch for heat %s to %s", date_text(r->plan.heat_from_on, from),
                date_text(r->plan.heat_to_on, to));
    if (r->plan.due_on.days >= today.days)
        act_say(a, "; due %s if she holds", date_year_text(r->plan.due_on, due));
}

static int act_service(struct act *a)
{
    struct cow_row cow;
    struct service_row row = {.at = a->at, .how = "ai"};
    if (act_cow(a, "cow", &cow) != 0)
        return -1;
    row.cow_id = cow.id;
    row.until_on = form_date(a->form, "until", DATE_NONE);
    (void)form_choice_word(a->form, "by", row.how, sizeof row.how);
    act_text(a, "sire", row.sire, sizeof row.sire);
    act_text(a, "who", row.served_by, sizeof row.served_by);
    bool window = strcmp(row.how, "field") == 0 || strcmp(row.how, "unseen") == 0;
    if (window != date_known(row.until_on))
        return fail_input(a->fail, window ? "until= is missing: the last day with the bull."
                                          : "until= goes with by=field or by=unseen.");
    if (window && row.until_on.days < instant_date(a->at).days)
        return fail_refused(a->fail, "until: that is before the first day.");
    act_say(a, "%s served, %s%s%s", cow.name, row.how, row.sire[0] == '\0' ? "" : ", ", row.sire);
    return record(a, cow.id, &service_table, &row, say_plan);
}

/* ---- sires ---- */

static const struct field sire_fields[] = {
    {"name", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "sire", "as in her services"},
    {"days", FIELD_QUANTITY, DIM_NUMBER, FIELD_REQUIRED, NULL, "carried",
     "his calves are carried so many days longer than usual, as 1.5 or -2; his catalogue has it"},
    FIELD_AT,
    FIELD_WHO,
};

static int act_sire(struct act *a)
{
    struct sire_row row = {.id = 0};
    bool known;
    double days = form_number(a->form, "days", 0);
    if (!(days >= -10 && days <= 10))
        return fail_input(a->fail, "days: between -10 and 10.");
    if (rows_first(a->dairy->store, &sire_table, "WHERE name = ?1 COLLATE NOCASE",
                   (struct bind[]){BIND_TEXT(form_text(a->form, "name", ""))}, 1, &row, &known, a->fail) != 0)
        return -1;
    if (!known)
        row.id = 0;
    act_text(a, "name", row.name, sizeof row.name);
    row.carried_tenths = (int64_t)lround(10 * days);
    act_say(a, "calves of %s are carried %.1f days %s than usual", row.name, fabs(days),
            days < 0 ? "less" : "longer");
    return known ? row_update(a->dairy->store, &sire_table, &row, a->fail)
                 : row_insert(a->dairy->store, &sire_table, &row, NULL, a->fail);
}

/* ---- check, loss, drying off ---- */

static const struct field check_fields[] = {
    {"cow", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "cow", "who was checked"},
    {"method", FIELD_CHOICE, 0, FIELD_REQUIRED, "ultrasound|palpation|pag|progesterone", "method",
     "ultrasound, palpation, pag (blood or milk) or progesterone"},
    {"result", FIELD_CHOICE, 0, FIELD_REQUIRED, "in-calf|open|doubtful", "result",
     "in-calf, open or doubtful"},
    {"days", FIELD_QUANTITY, DIM_COUNT, 0, NULL, "days along", "as judged by who checked"},
    {"twins", FIELD_CHOICE, 0, 0, "no|yes", "twins", "yes if two were seen or felt"},
    {"calf", FIELD_CHOICE, 0, 0, "heifer|bull", "calf",
     "if its sex was seen: a bull is carried a day longer"},
    FIELD_AT,
    FIELD_WHO,
};

static int act_check(struct act *a)
{
    struct cow_row cow;
    struct pregnancy_check_row row = {.at = a->at, .stage_days = ROW_NONE};
    const struct value *days = form_get(a->form, "days");
    if (act_cow(a, "cow", &cow) != 0)
        return -1;
    row.cow_id = cow.id;
    (void)form_choice_word(a->form, "method", row.method, sizeof row.method);
    (void)form_choice_word(a->form, "result", row.result, sizeof row.result);
    row.twins = form_choice(a->form, "twins", 0);
    (void)form_choice_word(a->form, "calf", row.calf_sex, sizeof row.calf_sex);
    if (row.calf_sex[0] != '\0' &&
        (strcmp(row.method, "ultrasound") != 0 || strcmp(row.result, "in-calf") != 0))
        return fail_input(a->fail, "calf: its sex is seen by ultrasound alone, in a cow that is in calf.");
    if (days != NULL && (days->number < 1 || days->number > 300))
        return fail_input(a->fail, "days: between 1 and 300.");
    if (days != NULL)
        row.stage_days = (int64_t)days->number;
    act_say(a, "%s checked by %s: %s", cow.name, row.method, row.result);
    return record(a, cow.id, &pregnancy_check_table, &row, NULL);
}

static const struct field dry_fields[] = {
    {"cow", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "cow", "who is milked no more"},
    FIELD_AT,
    FIELD_WHO,
};

static int act_dry(struct act *a)
{
    struct cow_row cow;
    struct dry_off_row row = {.at = a->at};
    if (act_cow(a, "cow", &cow) != 0)
        return -1;
    row.cow_id = cow.id;
    act_say(a, "%s dried off", cow.name);
    return record(a, cow.id, &dry_off_table, &row, NULL);
}

static const struct field lost_fields[] = {
    {"cow", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "cow", "who lost her calf"},
    {"why", FIELD_TEXT, 0, 0, NULL, "what is known", "in words"},
    FIELD_AT,
    FIELD_WHO,
};

static int act_lost(struct act *a)
{
    struct cow_row cow;
    struct pregnancy_loss_row row = {.at = a->at};
    if (act_cow(a, "cow", &cow) != 0)
        return -1;
    row.cow_id = cow.id;
    act_text(a, "why", row.why, sizeof row.why);
    act_say(a, "%s lost her calf", cow.name);
    return record(a, cow.id, &pregnancy_loss_table, &row, NULL);
}

const struct act_kind acts_breeding[] = {
    {"calving", "a cow has calved", "cow=Maud ease=1 calf=\"heifer 58lb\" colostrum=3qt",
     FIELDS(calving_fields), act_calving},
    {"colostrum", "a new calf drank colostrum", "cow=Maud amount=2qt", FIELDS(colostrum_fields),
     act_colostrum},
    {"heat", "a heat was seen", "cow=Maud signs=standing,mucus at=06:10", FIELDS(heat_fields), act_heat},
    {"service", "a cow was served", "cow=Maud by=ai sire=Rowan", FIELDS(service_fields), act_service},
    {"sire", "how long a bull's calves are carried", "name=Rowan days=-1.5", FIELDS(sire_fields), act_sire},
    {"check", "a pregnancy check", "cow=Maud method=ultrasound result=in-calf", FIELDS(check_fields),
     act_check},
    {"lost", "a pregnancy was lost", "cow=Maud why=\"found at the fence\"", FIELDS(lost_fields), act_lost},
    {"dry", "a cow is dried off", "cow=Maud", FIELDS(dry_fields), act_dry},
    {0},
};
