/* Rows of the shelf: people, jars on their way, milk poured on, temperatures, tastings, losses, and what they
 * add up to (assets/upgrade-2.sql says what each column means). */
#ifndef CORE_STORE_ROWS_SHELF_H
#define CORE_STORE_ROWS_SHELF_H

#include "core/store/table.h"

struct person_row {
    int64_t id;
    char name[64];
    char contact[80];
    char contact2[80];
    int64_t share;
    char share_kind[32];
    char share_days[32];
    struct date left_on;
    char note[160];
};

struct share_out_row {
    int64_t id;
    struct instant at;
    int64_t person_id;
    int64_t due;
    int64_t granted;
};

struct pour_on_row {
    int64_t id;
    struct instant at;
    int64_t from_batch_id;
    int64_t to_batch_id;
    int64_t mass_g;
};

struct batch_temp_row {
    int64_t id;
    int64_t batch_id;
    struct instant at;
    int64_t temp_mc;
};

struct empty_move_row {
    int64_t id;
    struct instant at;
    char kind[32];
    char from_state[12];
    char to_state[12];
    int64_t person_id;
    int64_t count;
    int64_t tick_id;
    char why[80];
};

struct tasting_row {
    int64_t id;
    struct instant at;
    int64_t batch_id;
    char flavour[24];
    int64_t score;
    int64_t turned;
    int64_t one_jar;
    char note[160];
};

struct outage_row {
    int64_t id;
    struct instant from_at;
    struct instant to_at;
    int64_t temp_mc;
};

struct loss_row {
    int64_t id;
    struct instant at;
    int64_t cow_id;
    int64_t mass_g;
    char why[160];
};

/* Read only: core/store keeps them (tally.c). */
struct tally_place_row {
    int64_t id;
    int64_t batch_id;
    char kind[32];
    char place[16];
    int64_t person_id;
    int64_t count;
};

struct tally_pool_row {
    int64_t id;
    char kind[32];
    char state[12];
    int64_t person_id;
    int64_t count;
};

extern const struct table person_table, share_out_table, pour_on_table, batch_temp_table, empty_move_table,
    tasting_table, outage_table, loss_table, tally_place_table, tally_pool_table;

/* For rows.c: all of them, ended by NULL. */
extern const struct table *const shelf_tables[];

/* Jars in the keeper's hands, of any batch: goes behind "batch_id IN" and the like. */
#define TALLY_HOME "(SELECT batch_id FROM tally_place WHERE place IN ('tub', 'table', 'fridge', 'freezer'))"

#endif
