/* What the shelf says of itself: how many days each jar has, which is to be taken next, and what is to be
 * done, the gravest first. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/text.h"
#include "core/day/shelf.h"

static void fill_days(const struct shelf_view *v, struct shelf_row *r)
{
    r->left_days = 0;
    r->left_part = (double)NAN;
    if (!date_known(r->use_by.on))
        return;
    int whole = date_diff(instant_date(r->milked_at), r->use_by.on);
    r->left_days = date_diff(instant_date(v->now), r->use_by.on);
    r->left_part = r->left_days <= 0 || whole <= 0 ? 0 : fmin(1, (double)r->left_days / whole);
}

/* Jars of the refrigerator that can be handed out: nothing is against them, and their day is not over. */
static bool to_be_taken(const struct shelf_row *r)
{
    return r->place == AT_FRIDGE &&
           (r->state == SHELF_GOOD || r->state == SHELF_SOON || r->state == SHELF_LAST_DAY);
}

static int count_state(const struct shelf_view *v, enum shelf_state state)
{
    int jars = 0;
    for (size_t i = 0; i < v->rows; i++)
        jars += v->row[i].state == state ? v->row[i].count : 0;
    return jars;
}

static const char *jars_are(int jars, const char *one, const char *more)
{
    return jars == 1 ? one : more;
}

/* Who has milk due today that is not taken yet. */
static bool say_people(const struct shelf_view *v, char *say, size_t size)
{
    bool any = false;
    for (size_t i = 0; i < v->people.people; i++) {
        const struct person_view *p = &v->people.person[i];
        if (p->due <= p->taken_today)
            continue;
        (void)text_append(say, size, "%s%s %d", any ? ", " : "Today still: ", p->name,
                          p->due - p->taken_today);
        any = true;
    }
    if (any)
        (void)text_append(say, size, ".");
    return any;
}

void shelf_say(struct shelf_view *v)
{
    int away = count_state(v, SHELF_AWAY), past = count_state(v, SHELF_PAST),
        last = count_state(v, SHELF_LAST_DAY);
    v->next = v->rows;
    for (size_t i = v->rows; i-- > 0;)
        if (to_be_taken(&v->row[i]))
            v->next = i;
    for (size_t i = 0; i < v->rows; i++)
        fill_days(v, &v->row[i]);
    v->say[0] = '\0';
    v->urgency = URGENCY_CALM;
    if (v->recall.say[0] != '\0') {
        v->urgency = URGENCY_STOP;
        (void)snprintf(v->say, sizeof v->say, "CALL BACK: %.220s.", v->recall.say);
    } else if (away > 0) {
        v->urgency = URGENCY_STOP;
        (void)snprintf(v->say, sizeof v->say, "THROW AWAY: %d jar%s. %s", away, jars_are(away, "", "s"),
                       v->power_say);
    } else if (v->power_say[0] != '\0') {
        v->urgency = URGENCY_WATCH;
        (void)snprintf(v->say, sizeof v->say, "%s", v->power_say);
    } else if (past > 0) {
        v->urgency = URGENCY_WATCH;
        (void)snprintf(v->say, sizeof v->say, "%d jar%s past %s day. ", past, jars_are(past, " is", "s are"),
                       jars_are(past, "its", "their"));
        (void)say_people(v, v->say, sizeof v->say);
    } else if (!say_people(v, v->say, sizeof v->say)) {
        if (last > 0)
            (void)snprintf(v->say, sizeof v->say, "%d jar%s last day today.", last,
                           jars_are(last, " has its", "s have their"));
        else if (v->jars == 0)
            (void)snprintf(v->say, sizeof v->say, "No jars are at home, by these records.");
        else if (v->next < v->rows)
            (void)snprintf(v->say, sizeof v->say, "Take next: %s, the oldest.", v->row[v->next].code);
    }
}
