#include "core/day/yield_days.h"

#include <stdbool.h>
#include <string.h>

/* A day is held against so many weighed days before it and after it. */
enum { NEIGHBOURS = 3, MILKINGS_MAX = 8 };

/* Adds the milkings up by day. A day with a milking that was not weighed has its number of milkings negative.
 */
static size_t add_up(const struct milk_row *milk, size_t count, struct date calved_on, struct yield_row *out)
{
    size_t n = 0;
    bool missing = false;
    for (size_t i = 0; i < count; i++) {
        int day = date_diff(calved_on, instant_date(milk[i].at));
        if (day < 1)
            continue;
        if (n == 0 || out[n - 1].day != day) {
            out[n++] = (struct yield_row){.day = day};
            missing = false;
        }
        missing = missing || milk[i].mass_g == ROW_NONE;
        int milkings =
            (out[n - 1].milkings < 0 ? -out[n - 1].milkings : out[n - 1].milkings) + (int)milk[i].milkings;
        out[n - 1].milkings = missing ? -milkings : milkings;
        out[n - 1].kg += milk[i].mass_g == ROW_NONE ? 0 : (double)milk[i].mass_g / 1e3;
    }
    return n;
}

static int number(const struct yield_row *row)
{
    int n = row->milkings < 0 ? -row->milkings : row->milkings;
    return n < MILKINGS_MAX ? n : MILKINGS_MAX - 1;
}

/* The number of milkings that the days about day i have most often; of two equally frequent ones the larger.
 */
static int number_about(const struct yield_row *rows, size_t n, size_t i, int usual)
{
    int seen[MILKINGS_MAX] = {0}, best = 0;
    size_t from = i > NEIGHBOURS ? i - NEIGHBOURS : 0;
    for (size_t k = from; k < n && k <= i + NEIGHBOURS; k++)
        if (k != i)
            seen[number(&rows[k])]++;
    for (int m = 1; m < MILKINGS_MAX; m++)
        if (seen[m] > 0 && seen[m] >= seen[best])
            best = m;
    return best > 0 ? best : usual;
}

size_t yield_days(const struct milk_row *milk, size_t count, struct date calved_on, int usual,
                  struct yield_row *out)
{
    size_t n = add_up(milk, count, calved_on, out), kept = 0;
    /* First marked, then taken out: each day is judged by its neighbours as they were recorded. */
    for (size_t i = 0; i < n; i++)
        if (out[i].milkings > 0 && out[i].milkings < number_about(out, n, i, usual))
            out[i].kg = -1;
    for (size_t i = 0; i < n; i++)
        if (out[i].milkings > 0 && out[i].kg >= 0)
            out[kept++] = out[i];
    return kept;
}
