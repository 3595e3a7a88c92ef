#include "core/milk/share.h"

#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>

#include "core/base/text.h"
#include "core/milk/apportion.h"

_Static_assert((int)SHARE_PEOPLE_MAX <= (int)APPORTION_MAX, "people are shared out by apportion()");

const char *share_method_words(enum share_method method)
{
    return method == SHARE_OWED_FIRST
               ? "those who were short before first, the others in proportion to what is due"
               : "in proportion to what is due, everybody short alike";
}

static int split_check(int jars, const struct share_person *person, size_t n, struct fail *f)
{
    if (n > SHARE_PEOPLE_MAX)
        return fail_input(f, "A day is shared among at most %d people.", SHARE_PEOPLE_MAX);
    if (jars < 0 || jars > SHARE_COUNT_MAX)
        return fail_input(f, "The number of jars to share is 0 to %d.", SHARE_COUNT_MAX);
    for (size_t i = 0; i < n; i++)
        if (person[i].due < 0 || person[i].owed < 0 || person[i].due > SHARE_COUNT_MAX ||
            person[i].owed > SHARE_COUNT_MAX)
            return fail_input(f, "Person %zu: jars due and owed are 0 to %d.", i + 1, SHARE_COUNT_MAX);
    return 0;
}

/* Enough for all: what is due, and then what is owed, as far as it goes. */
static void give_full(int over, const struct share_person *person, size_t n, struct share_part *part)
{
    int64_t owed[SHARE_PEOPLE_MAX] = {0}, back[SHARE_PEOPLE_MAX] = {0}, sum = 0;
    for (size_t i = 0; i < n; i++) {
        owed[i] = person[i].owed;
        sum += owed[i];
    }
    (void)apportion(over < sum ? over : sum, owed, NULL, n, back);
    for (size_t i = 0; i < n; i++) {
        part[i].given = person[i].due + (int)back[i];
        (void)snprintf(part[i].why, sizeof part[i].why, "%d due, in full", person[i].due);
        if (person[i].owed > 0)
            text_append(part[i].why, sizeof part[i].why, "; %d of %d owed", (int)back[i], person[i].owed);
    }
}

/* The one of those not served yet who is owed most, or n. */
static size_t most_owed(const struct share_person *person, size_t n, const bool served[])
{
    size_t best = n;
    for (size_t i = 0; i < n; i++)
        if (!served[i] && person[i].owed > 0 && person[i].due > 0 &&
            (best == n || person[i].owed > person[best].owed))
            best = i;
    return best;
}

/* Serves people who are owed, most owed first; returns what is left. */
static int give_owed_first(int jars, const struct share_person *person, size_t n, struct share_part *part,
                           bool served[])
{
    for (size_t i = most_owed(person, n, served); i < n; i = most_owed(person, n, served)) {
        part[i].given = jars < person[i].due ? jars : person[i].due;
        jars -= part[i].given;
        served[i] = true;
        (void)snprintf(part[i].why, sizeof part[i].why, "%d of %d due, before others: %d owed from before",
                       part[i].given, person[i].due, person[i].owed);
    }
    return jars;
}

/* Shares jars among those not served yet by what is due to them. */
static void give_in_proportion(int jars, const struct share_person *person, size_t n, struct share_part *part,
                               const bool served[])
{
    int64_t due[SHARE_PEOPLE_MAX] = {0}, owed[SHARE_PEOPLE_MAX] = {0}, given[SHARE_PEOPLE_MAX] = {0}, sum = 0;
    for (size_t i = 0; i < n; i++) {
        due[i] = served[i] ? 0 : person[i].due;
        owed[i] = person[i].owed;
        sum += due[i];
    }
    (void)apportion(jars, due, owed, n, given);
    for (size_t i = 0; i < n; i++) {
        if (served[i])
            continue;
        double exact = sum == 0 ? 0 : (double)jars * (double)due[i] / (double)sum;
        part[i].given = (int)given[i];
        (void)snprintf(part[i].why, sizeof part[i].why, "%d of %d due: the exact part is %.2f", part[i].given,
                       person[i].due, exact);
    }
}

int share_split(int jars, enum share_method method, const struct share_person *person, size_t n,
                struct share_part *part, struct share_split *out, char say[static 200], struct working *w,
                struct fail *f)
{
    bool served[SHARE_PEOPLE_MAX] = {false};
    int due = 0, rest = jars;
    struct share_split split = {0};
    if (split_check(jars, person, n, f) != 0)
        return -1;
    for (size_t i = 0; i < n; i++)
        due += person[i].due;
    if (jars >= due)
        give_full(jars - due, person, n, part);
    else {
        if (method == SHARE_OWED_FIRST)
            rest = give_owed_first(jars, person, n, part, served);
        give_in_proportion(rest, person, n, part, served);
    }
    for (size_t i = 0; i < n; i++) {
        part[i].owed_after = person[i].owed + person[i].due - part[i].given;
        split.given += part[i].given;
        split.owed_after += part[i].owed_after;
    }
    split.left = jars - split.given;
    *out = split;
    if (jars >= due)
        (void)snprintf(say, 200, "%d jars for %d due: everybody gets theirs, %d left over.", jars, due,
                       split.left);
    else
        (void)snprintf(say, 200, "%d jars for %d due, %d short: %s.", jars, due, due - jars,
                       share_method_words(method));
    working_given_whole(w, "jars", jars, ORIGIN_GIVEN);
    working_given_whole(w, "due", due, ORIGIN_GIVEN);
    working_given_text(w, "method", share_method_words(method), ORIGIN_GIVEN);
    working_step(w, "%s", say);
    working_result_whole(w, "given", split.given);
    working_result_whole(w, "left", split.left);
    working_result_whole(w, "owed_after", split.owed_after);
    working_source(w, "largest-remainder");
    return 0;
}
