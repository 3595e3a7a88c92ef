/* Acts about the people who take milk: who they are, jars that come back, a short day shared out. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/inside.h"
#include "core/day/people.h"
#include "core/milk/trace.h"
#include "core/store/rows_shelf.h"

static int no_such_person(struct dairy *d, const char *name, struct fail *f)
{
    struct person_row *people;
    size_t count;
    char names[200] = "";
    if (rows_load(d->store, &person_table, "WHERE left_on IS NULL ORDER BY name", NULL, 0, (void **)&people,
                  &count, f) != 0)
        return -1;
    for (size_t i = 0; i < count; i++)
        (void)text_append(names, sizeof names, "%s%s", i == 0 ? "" : ", ", people[i].name);
    free(people);
    if (count == 0)
        return fail_refused(f, "\"%.40s\" is nobody who takes milk here; record them with `person name=...`.",
                            name);
    return fail_refused(f, "\"%.40s\" is nobody who takes milk here; there are %s.", name, names);
}

int find_person(struct dairy *d, const char *name, struct person_row *person, struct fail *f)
{
    bool found;
    if (rows_first(d->store, &person_table, "WHERE left_on IS NULL AND name = ?1 COLLATE NOCASE",
                   (struct bind[]){BIND_TEXT(name)}, 1, person, &found, f) != 0)
        return -1;
    return found ? 0 : no_such_person(d, name, f);
}

/* ---- person ---- */

static const struct field person_fields[] = {
    {"name", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "name", "who takes milk"},
    {"contact", FIELD_NAME, 0, FIELD_AGAIN, NULL, "reached by", "telephone, as 555 0134"},
    {"contact2", FIELD_NAME, 0, FIELD_AGAIN, NULL, "or by", "another way: address, neighbour, mail"},
    {"share", FIELD_QUANTITY, DIM_COUNT, 0, NULL, "share",
     "jars due on each of their days; 0 for none regularly"},
    {"kind", FIELD_NAME, 0, FIELD_AGAIN, NULL, "of jars", "half-gallon, quart ...; empty for any"},
    {"days", FIELD_NAME, 0, 0, NULL, "on", "daily, or days of the week: mon,thu"},
    {"rename", FIELD_NAME, 0, 0, NULL, "new name", "what they are called from now on"},
    {"note", FIELD_TEXT, 0, FIELD_AGAIN, NULL, "note", "what is to be remembered"},
    {"left", FIELD_DATE, 0, 0, NULL, "left on", "the day after which they take no more milk"},
    FIELD_AT,
    FIELD_WHO,
};

static void set_text(const struct form *form, const char *key, char *dst, size_t size)
{
    const struct value *v = form_get(form, key);
    if (v != NULL)
        (void)text_clean(dst, size, v->text);
}

/* "to=calf" must mean the calf. */
static int check_name(struct act *a, const char *name, int64_t own_id)
{
    struct person_row other;
    enum jar_place place;
    bool found;
    if (jar_place_parse(name, &place, NULL) == 0 || jar_goes(name, &place))
        return fail_refused(a->fail, "\"%s\" is where jars go; give the person another name.", name);
    if (rows_first(a->dairy->store, &person_table,
                   "WHERE left_on IS NULL AND name = ?1 COLLATE NOCASE AND id <> ?2",
                   (struct bind[]){BIND_TEXT(name), BIND_ID(own_id)}, 2, &other, &found, a->fail) != 0)
        return -1;
    return found
               ? fail_refused(a->fail, "There is a %s already; two people cannot have one name.", other.name)
               : 0;
}

static int set_person(struct act *a, struct person_row *p)
{
    const char *kind = form_text(a->form, "kind", "");
    struct instant now = a->now;
    set_text(a->form, "rename", p->name, sizeof p->name);
    set_text(a->form, "contact", p->contact, sizeof p->contact);
    set_text(a->form, "contact2", p->contact2, sizeof p->contact2);
    set_text(a->form, "note", p->note, sizeof p->note);
    set_text(a->form, "kind", p->share_kind, sizeof p->share_kind);
    set_text(a->form, "days", p->share_days, sizeof p->share_days);
    p->share = (int64_t)form_number(a->form, "share", (double)p->share);
    p->left_on = form_date(a->form, "left", p->left_on);
    if (p->share > 999)
        return fail_input(a->fail, "share: at most 999 jars.");
    if (kind[0] != '\0' && jar_need(&a->dairy->jars, kind, a->fail) == NULL)
        return -1;
    if (date_known(p->left_on) && p->left_on.days > instant_date(now).days)
        return fail_refused(a->fail, "left: that day is still to come.");
    return share_days_check(p->share_days, a->fail) != 0 ? -1 : check_name(a, p->name, p->id);
}

static int act_person(struct act *a)
{
    struct store *s = a->dairy->store;
    struct person_row p;
    bool known;
    if (rows_first(s, &person_table, "WHERE left_on IS NULL AND name = ?1 COLLATE NOCASE",
                   (struct bind[]){BIND_TEXT(form_text(a->form, "name", ""))}, 1, &p, &known, a->fail) != 0)
        return -1;
    if (!known) {
        if (form_get(a->form, "left") != NULL || form_get(a->form, "rename") != NULL)
            return find_person(a->dairy, form_text(a->form, "name", ""), &p, a->fail);
        p = (struct person_row){.share_days = "daily", .left_on = DATE_NONE};
        set_text(a->form, "name", p.name, sizeof p.name);
    }
    if (set_person(a, &p) != 0)
        return -1;
    act_say(a, "%s%s", p.name, date_known(p.left_on) ? " takes no more milk" : known ? "" : " takes milk");
    if (p.share > 0 && !date_known(p.left_on))
        act_say(a, ": %lld %s%s %s", (long long)p.share, p.share_kind[0] != '\0' ? p.share_kind : "jar",
                p.share == 1 ? "" : "s", p.share_days);
    return known ? row_update(s, &person_table, &p, a->fail)
                 : row_insert(s, &person_table, &p, NULL, a->fail);
}

/* ---- jarback ---- */

static const struct field jarback_fields[] = {
    {"person", FIELD_NAME, 0, FIELD_REQUIRED, NULL, "who", "who brought jars back"},
    {"count", FIELD_QUANTITY, DIM_COUNT, 0, NULL, "jars", "how many; all of that kind if not given"},
    {"kind", FIELD_NAME, 0, 0, NULL, "kind", "of jar; what they have most of if not given"},
    FIELD_AT,
    FIELD_WHO,
};

static int act_jarback(struct act *a)
{
    struct person_row p;
    struct tally_pool_row out;
    bool found;
    const struct value *kind = form_get(a->form, "kind");
    if (find_person(a->dairy, form_text(a->form, "person", ""), &p, a->fail) != 0)
        return -1;
    if (kind != NULL && jar_need(&a->dairy->jars, kind->text, a->fail) == NULL)
        return -1;
    if (rows_first(a->dairy->store, &tally_pool_table,
                   "WHERE state = 'out' AND person_id = ?1 AND (?2 = '' OR kind = ?2 COLLATE NOCASE) ORDER "
                   "BY count DESC "
                   "LIMIT 1",
                   (struct bind[]){BIND_ID(p.id), BIND_TEXT(kind == NULL ? "" : kind->text)}, 2, &out, &found,
                   a->fail) != 0)
        return -1;
    int64_t has = found && out.count > 0 ? out.count : 0,
            count = (int64_t)form_number(a->form, "count", (double)has);
    if (count < 1 || count > 999)
        return fail_refused(a->fail, "%s has no %s out, by these records.", p.name,
                            kind == NULL ? "jars" : kind->text);
    /* More than are known to be out: they were never written down, and are the dairy's all the same. */
    const char *name = found ? out.kind : kind != NULL ? jar_find(&a->dairy->jars, kind->text)->name : NULL;
    if (name == NULL)
        return fail_input(a->fail, "kind= is missing: %s has no jars out by these records.", p.name);
    act_say(a, "%s brought %lld %s back", p.name, (long long)count, name);
    if (count > has)
        act_say(a, ", %lld more than were out", (long long)(count - has));
    return act_move_empty(a, name, "out", "dirty", p.id, count, NULL);
}

/* ---- share ---- */

static const struct field share_fields[] = {
    {"jars", FIELD_QUANTITY, DIM_COUNT, FIELD_REQUIRED, NULL, "jars", "how many there are to share today"},
    {"method", FIELD_CHOICE, 0, 0, "owed|proportion", "method",
     "those who were short before first (owed), or all short alike (proportion)"},
    FIELD_AT,
    FIELD_WHO,
};

static int act_share(struct act *a)
{
    struct share_day day;
    int jars = (int)form_number(a->form, "jars", 0);
    enum share_method method =
        form_choice(a->form, "method", 0) == 1 ? SHARE_IN_PROPORTION : SHARE_OWED_FIRST;
    if (share_day_load(a->dairy, a->at, &day, a->fail) != 0 ||
        share_day_split(&day, jars, method, NULL, a->fail) != 0)
        return -1;
    act_say(a, "%d jars shared out: ", jars);
    for (size_t i = 0; i < day.people; i++) {
        struct share_out_row row = {.at = a->at,
                                    .person_id = day.person[i].id,
                                    .due = day.person[i].due,
                                    .granted = day.part[i].given};
        act_say(a, "%s%s %d", i == 0 ? "" : ", ", day.person[i].name, day.part[i].given);
        if (row_insert(a->dairy->store, &share_out_table, &row, NULL, a->fail) != 0)
            return -1;
    }
    return 0;
}

const struct act_kind acts_people[] = {
    {"person", "somebody takes milk, or no longer", "name=Hilda contact=\"555 0134\" share=2 days=mon,thu",
     FIELDS(person_fields), act_person},
    {"jarback", "somebody brings empty jars back", "person=Hilda count=2", FIELDS(jarback_fields),
     act_jarback},
    {"share", "today's jars are shared out among those who have some due", "jars=5 method=owed",
     FIELDS(share_fields), act_share},
    {0},
};
