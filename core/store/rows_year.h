/* Rows of the year ahead: colostrum, the need for milk, things that come round again, feed in store.
 * assets/upgrade-3.sql says what each column means. */
#ifndef CORE_STORE_ROWS_YEAR_H
#define CORE_STORE_ROWS_YEAR_H

#include "core/store/table.h"

struct colostrum_row {
    int64_t id;
    int64_t calf_id;
    struct instant at;
    int64_t volume_ml;
};

struct sire_row {
    int64_t id;
    char name[64];
    int64_t carried_tenths;
};

struct milk_need_row {
    int64_t id;
    struct instant from_at;
    int64_t week_ml;
    int64_t room_ml;
};

struct calf_milk_row {
    int64_t id;
    int64_t cow_id;
    struct instant from_at;
    int64_t share_pct;
};

struct repeat_row {
    int64_t id;
    char name[64];
    int64_t cow_id;
    int64_t every_days;
    struct date first_on;
    char note[160];
    struct date ended_on;
};

struct repeat_done_row {
    int64_t id;
    int64_t repeat_id;
    struct instant at;
};

struct feed_stock_row {
    int64_t id;
    char feed[64];
    struct instant at;
    char kind[8];
    int64_t mass_g;
    int64_t cost_cents;
};

struct free_feed_row {
    int64_t id;
    int64_t cow_id;
    char feed[64];
    struct instant from_at;
    struct instant until_at;
};

struct feed_analysis_row {
    int64_t id;
    char feed[64];
    struct instant at;
    int64_t forage;
    int64_t dm_mpct;
    int64_t cp_mpct;
    int64_t nel_kcal_per_kg;
};

extern const struct table colostrum_table, sire_table, milk_need_table, calf_milk_table, repeat_table, repeat_done_table,
    feed_stock_table, free_feed_table, feed_analysis_table;

extern const struct table *const year_tables[]; /* ended by NULL */

#endif
