#include "core/day/yield_days.h"

#include <stdbool.h>
#include <string.h>

/* A day is held against so many weighed days before it and after it. */
enum { NEIGHBOURS = 3, MILKINGS_MAX = 8 };

/* A day with a milking that was not weighed has its number of milkings negative. */
void yield_add(struct yield_adding *a, struct instant at, int64_t mass_g, int64_t milkings)
{
    int day = date_diff(a->calved_on, instant_date_near(at, &a->week));
    if (day < 1)
        return;
    if (a->count == 0 || a->row[a->count - 1].day != day)
        a->row[a->count++] = (struct yield_row){.day = day};
    struct yield_row *row = &a->row[a->count - 1];
    bool missing = row->milkings < 0 || mass_g == ROW_NONE;
    int number = (row->milkings < 0 ? -row->milkings : row->milkings) + (int)milkings;
    row->milkings = missing ? -number : number;
    row->kg += mass_g == ROW_NONE ? 0 : (double)mass_g / 1e3;
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

void yield_settle(struct yield_adding *a, int usual)
{
    size_t kept = 0;
    int most = usual; /* a day with the most milkings of all lacks none */
    for (size_t i = 0; i < a->count; i++)
        most = number(&a->row[i]) > most ? number(&a->row[i]) : most;
    /* First marked, then taken out: each day is judged by its neighbours as they were recorded. */
    for (size_t i = 0; i < a->count; i++)
        if (a->row[i].milkings > 0 && a->row[i].milkings < most &&
            a->row[i].milkings < number_about(a->row, a->count, i, usual))
            a->row[i].kg = -1;
    for (size_t i = 0; i < a->count; i++)
        if (a->row[i].milkings > 0 && a->row[i].kg >= 0)
            a->row[kept++] = a->row[i];
    a->count = kept;
}

size_t yield_days(const struct milk_row *milk, size_t count, struct date calved_on, int usual,
                  struct yield_row *out)
{
    struct yield_adding days = {.calved_on = calved_on, .row = out};
    for (size_t i = 0; i < count; i++)
        yield_add(&days, milk[i].at, milk[i].mass_g, milk[i].milkings);
    yield_settle(&days, usual);
    return days.count;
}
