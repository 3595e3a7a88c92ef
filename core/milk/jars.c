#include "core/milk/jars.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/form.h"
#include "core/base/text.h"

enum { COUNT_MAX = 999 };

double milk_mass_kg(double volume_l, double density_kg_per_l)
{
    return volume_l * density_kg_per_l;
}

double milk_volume_l(double mass_kg, double density_kg_per_l)
{
    return mass_kg / density_kg_per_l;
}

/* ---- kinds and counts ---- */

/* The same name, whatever its case, with blanks for hyphens, and in the plural. */
static bool names_kind(const char *words, const char *name)
{
    for (; *name != '\0'; words++, name++) {
        char a = (char)tolower((unsigned char)*words), b = (char)tolower((unsigned char)*name);
        if (a != b && !(a == ' ' && b == '-') && !(a == '-' && b == ' '))
            return false;
    }
    return *words == '\0' || text_same(words, "s");
}

static int kind_find(const char *words, const struct jars_kinds *kinds)
{
    for (size_t i = 0; i < kinds->count; i++)
        if (names_kind(words, kinds->kind[i].name))
            return (int)i;
    return -1;
}

static int unknown_kind(const char *words, const struct jars_kinds *kinds, struct fail *f)
{
    char all[FAIL_TEXT_MAX] = "";
    for (size_t i = 0; i < kinds->count; i++)
        text_append(all, sizeof all, "%s%s", i == 0 ? "" : ", ", kinds->kind[i].name);
    return fail_input(f, "\"%.40s\" is not a kind of jar here; there are %s.", words, all);
}

/* Reads "3x" or "3 " at *p, moving past it: 1 when there is no number, -1 when it is out of range. */
static int read_count(const char **p)
{
    const char *s = *p;
    int n = 0;
    if (!isdigit((unsigned char)*s))
        return 1;
    for (; isdigit((unsigned char)*s); s++)
        if (n <= COUNT_MAX)
            n = n * 10 + (*s - '0');
    while (*s == ' ')
        s++;
    if (text_starts(s, "×", &s) || text_starts(s, "x", &s) || text_starts(s, "X", &s))
        while (*s == ' ')
            s++;
    *p = s;
    return n < 1 || n > COUNT_MAX ? -1 : n;
}

int jars_parse(const char *text, const struct jars_kinds *kinds, int n[JARS_KINDS_MAX], struct fail *f)
{
    int sum[JARS_KINDS_MAX] = {0};
    char item[80];
    const char *list = text;
    bool any = false;
    while (list_next(&list, ',', item, sizeof item)) {
        const char *words = item;
        int count = read_count(&words);
        if (count < 0)
            return fail_input(f, "\"%.40s\": the number of jars is 1 to %d.", item, COUNT_MAX);
        if (*words == '\0')
            return fail_input(
                f, "\"%.40s\" does not say what kind of jars; write them as 3xhalf-gallon,2xquart.", text);
        int kind = kind_find(words, kinds);
        if (kind < 0)
            return unknown_kind(words, kinds, f);
        sum[kind] += count;
        any = true;
        if (sum[kind] > COUNT_MAX)
            return fail_input(f, "\"%.40s\": the number of jars is 1 to %d.", text, COUNT_MAX);
    }
    if (!any)
        return fail_input(f, "No jars were given; write them as 3xhalf-gallon,2xquart.");
    memcpy(n, sum, sizeof sum);
    return 0;
}

const char *jars_format(const int n[JARS_KINDS_MAX], const struct jars_kinds *kinds, char *buf, size_t size)
{
    buf[0] = '\0';
    for (size_t i = 0; i < kinds->count; i++)
        if (n[i] > 0)
            text_append(buf, size, "%s%dx%s", buf[0] == '\0' ? "" : ",", n[i], kinds->kind[i].name);
    return buf;
}

const char *jars_text(const int n[JARS_KINDS_MAX], const struct jars_kinds *kinds, char *buf, size_t size)
{
    size_t left = 0;
    for (size_t i = 0; i < kinds->count; i++)
        left += n[i] > 0 ? 1 : 0;
    (void)snprintf(buf, size, "%s", left == 0 ? "none" : "");
    for (size_t i = 0; i < kinds->count; i++) {
        if (n[i] <= 0)
            continue;
        left--;
        text_append(buf, size, "%d %s%s", n[i], kinds->kind[i].name,
                    left == 0   ? ""
                    : left == 1 ? " and "
                                : ", ");
    }
    return buf;
}

double jars_volume_l(const int n[JARS_KINDS_MAX], const struct jars_kinds *kinds)
{
    double sum = 0;
    for (size_t i = 0; i < kinds->count; i++)
        sum += n[i] * kinds->kind[i].volume_l;
    return sum;
}

/* ---- choosing ---- */

/* Takes whole jars of each kind in order of preference; stops at the first kind of which jars are left.
 * Returns the milk that is left. */
static double take_whole(double volume_l, const struct jars_kinds *kinds, int clean[JARS_KINDS_MAX],
                         int n[JARS_KINDS_MAX])
{
    double rest = volume_l;
    for (size_t i = 0; i < kinds->count; i++) {
        double fills = floor(rest / kinds->kind[i].volume_l + 1e-9);
        n[i] = fills < clean[i] ? (int)fills : clean[i];
        clean[i] -= n[i];
        rest -= n[i] * kinds->kind[i].volume_l;
        if (clean[i] > 0)
            break;
    }
    return fmax(rest, 0);
}

/* Tries `jars` more jars from kind `first` on, which together the rest fills; the first set found has the
 * kinds most preferred. Adds it to n[] and returns true. */
static bool fill_exactly(double rest, int jars, size_t first, const struct jars_kinds *kinds,
                         int clean[JARS_KINDS_MAX], int n[JARS_KINDS_MAX], double volume_l)
{
    if (jars == 0)
        return rest <= volume_l && rest >= JARS_FULL_PART * volume_l;
    for (size_t i = first; i < kinds->count; i++) {
        if (clean[i] == 0)
            continue;
        clean[i]--;
        n[i]++;
        if (fill_exactly(rest, jars - 1, i, kinds, clean, n, volume_l + kinds->kind[i].volume_l))
            return true;
        clean[i]++;
        n[i]--;
    }
    return false;
}

static int smallest_holding(double rest, const struct jars_kinds *kinds, const int clean[JARS_KINDS_MAX])
{
    int best = -1;
    for (size_t i = 0; i < kinds->count; i++)
        if (clean[i] > 0 && kinds->kind[i].volume_l >= rest &&
            (best < 0 || kinds->kind[i].volume_l < kinds->kind[best].volume_l))
            best = (int)i;
    return best;
}

static void place_rest(double rest, const struct jars_kinds *kinds, int clean[JARS_KINDS_MAX],
                       struct jars_choice *c)
{
    if (rest <= JARS_OVER_PART * jars_volume_l(c->n, kinds))
        return;
    for (int jars = 1; jars <= 3; jars++)
        if (fill_exactly(rest, jars, 0, kinds, clean, c->n, 0))
            return;
    c->part_kind = smallest_holding(rest, kinds, clean);
    if (c->part_kind < 0) {
        c->short_l = rest;
        return;
    }
    c->n[c->part_kind]++;
    c->part_l = rest;
}

static int choose_check(double volume_l, const struct jars_kinds *kinds, const int clean[JARS_KINDS_MAX],
                        struct fail *f)
{
    if (!(volume_l >= 0) || !isfinite(volume_l))
        return fail_input(f, "The volume of milk must be 0 or more, as 2.5gal.");
    for (size_t i = 0; i < kinds->count; i++) {
        if (!(kinds->kind[i].volume_l > 0))
            return fail_input(f, "A %s jar must hold more than nothing.", kinds->kind[i].name);
        if (clean[i] < 0)
            return fail_input(f, "There cannot be fewer than no %s jars.", kinds->kind[i].name);
    }
    return 0;
}

static void choose_working(double volume_l, const struct jars_kinds *kinds, const struct jars_choice *c,
                           const int clean[JARS_KINDS_MAX], struct working *w)
{
    char text[80];
    if (w == NULL)
        return;
    working_given(w, "volume_l", volume_l, ORIGIN_GIVEN);
    working_given_text(w, "clean", jars_text(clean, kinds, text, sizeof text), ORIGIN_RECORDED);
    for (size_t i = 0; i < kinds->count; i++)
        working_step(w, "%s: %.3f L each, %d taken of %d clean", kinds->kind[i].name, kinds->kind[i].volume_l,
                     c->n[i], clean[i]);
    if (c->part_kind >= 0)
        working_step(w, "the last %.3f L go into one %s", c->part_l, kinds->kind[c->part_kind].name);
    working_result_text(w, "jars", jars_text(c->n, kinds, text, sizeof text));
    working_result(w, "part_l", c->part_l);
    working_result(w, "short_l", c->short_l);
    working_source(w, "practice");
}

int jars_choose(double volume_l, const struct jars_kinds *kinds, const int clean[JARS_KINDS_MAX],
                struct jars_choice *out, struct working *w, struct fail *f)
{
    struct jars_choice c = {.part_kind = -1};
    int left[JARS_KINDS_MAX] = {0};
    if (choose_check(volume_l, kinds, clean, f) != 0)
        return -1;
    memcpy(left, clean, kinds->count * sizeof left[0]);
    double rest = take_whole(volume_l, kinds, left, c.n);
    if (rest > 0)
        place_rest(rest, kinds, left, &c);
    *out = c;
    choose_working(volume_l, kinds, &c, clean, w);
    return 0;
}
