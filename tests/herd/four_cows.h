/* The four real lactations of tests/data/lactation_daily_4cows.csv, and number tables read by column. */
#ifndef TESTS_HERD_FOUR_COWS_H
#define TESTS_HERD_FOUR_COWS_H

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/csv.h"
#include "core/herd/lactation.h"

enum { COWS = 4, COW_DAYS = 305 };

struct real_cow {
    char id[16]; /* cow and lactation, as in the data: "8202.3" */
    char breed[24];
    int parity;
    struct yield_row row[COW_DAYS]; /* days that have both milkings */
    size_t n;
};

struct real_herd {
    struct real_cow cow[COWS];
    size_t n;
};

static inline int take_cow_day(void *context, const struct csv_row *row, struct fail *f)
{
    (void)f;
    struct real_herd *herd = context;
    if (row->line == 1)
        return 0;
    if (herd->n == 0 || strcmp(herd->cow[herd->n - 1].id, row->cell[0]) != 0) {
        if (herd->n == COWS)
            return -1;
        struct real_cow *next = &herd->cow[herd->n++];
        snprintf(next->id, sizeof next->id, "%.15s", row->cell[0]);
        /* RDM: rod dansk malkerace, Red Danish. */
        snprintf(next->breed, sizeof next->breed, "%.23s",
                 strcmp(row->cell[1], "RDM") == 0 ? "Red Danish" : row->cell[1]);
        next->parity = (int)strtol(row->cell[2], NULL, 10);
    }
    struct real_cow *cow = &herd->cow[herd->n - 1];
    if (row->cell[6][0] != '\0' && cow->n < COW_DAYS)
        cow->row[cow->n++] =
            (struct yield_row){(int)strtol(row->cell[3], NULL, 10), strtod(row->cell[6], NULL), 2};
    return 0;
}

/* False if the file is not as described. */
static inline bool read_herd(const char *text, size_t size, struct real_herd *herd)
{
    memset(herd, 0, sizeof *herd);
    return csv_read(text, size, take_cow_day, herd, NULL) == 0 && herd->n == COWS;
}

static inline size_t cow_points(const struct real_cow *cow, struct yield_point *points)
{
    for (size_t i = 0; i < cow->n; i++)
        points[i] = (struct yield_point){cow->row[i].day, cow->row[i].kg};
    return cow->n;
}

#endif
