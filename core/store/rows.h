/* One struct for each table of schema-1.sql (which says what each column means; columns added later are in
 * upgrade-2.sql), with the map that reads and writes it. rows_test checks every map against the schema. */
#ifndef CORE_STORE_ROWS_H
#define CORE_STORE_ROWS_H

#include "core/store/table.h"

struct dairy_row {
    int64_t id;
    char name[80];
    char keeper[64];
    char units[8];
    char limit_set[32];
    char own_limit[120];
    int64_t stalls;
    int64_t tub_water_ml;
    int64_t tap_temp_mc;
    int64_t room_temp_mc;
    int64_t fridge_temp_mc;
    char stir[8];
    int64_t table_s;
    int64_t fresh_s;
    int64_t fresh_milkings;
    char milking_time[32];
    struct instant made_at;
    int64_t use_days;
};

struct cow_row {
    int64_t id;
    char name[64];
    char tag[32];
    char breed[32];
    char sex[8];
    struct date born_on;
    int64_t stall;
    int64_t dam_id;
    char came[8];
    struct date came_on;
    int64_t calvings_before;
    char left_how[16];
    struct date left_on;
    char came_from[64];
    struct date quarantine_on;
    char left_to[64];
};

struct calving_row {
    int64_t id;
    int64_t cow_id;
    struct instant at;
    int64_t ease;
    int64_t day_only;
};

struct calf_row {
    int64_t id;
    int64_t calving_id;
    char sex[8];
    char fate[12];
    int64_t mass_g;
    int64_t cow_id;
};

struct heat_row {
    int64_t id;
    int64_t cow_id;
    struct instant at;
    char signs[160];
};

struct service_row {
    int64_t id;
    int64_t cow_id;
    struct instant at;
    struct date until_on;
    char how[8];
    char sire[64];
    char served_by[64];
};

struct pregnancy_check_row {
    int64_t id;
    int64_t cow_id;
    struct instant at;
    char method[16];
    char result[16];
    int64_t stage_days;
    int64_t twins;
    char calf_sex[8];
};

struct pregnancy_loss_row {
    int64_t id;
    int64_t cow_id;
    struct instant at;
    char why[160];
};

struct dry_off_row {
    int64_t id;
    int64_t cow_id;
    struct instant at;
};

struct hold_row {
    int64_t id;
    int64_t cow_id;
    char kind[16];
    char why[160];
    struct instant from_at;
    struct instant last_dose_at;
    int64_t doses_to_come;
    int64_t milk_s;
    int64_t meat_s;
    int64_t dry_s;
    int64_t fresh_s;
    int64_t fresh_milkings;
    struct instant until_at;
    struct instant lifted_at;
};

struct ration_row {
    int64_t id;
    int64_t cow_id;
    char feed[64];
    int64_t mass_g;
    struct instant from_at;
    struct instant until_at;
};

struct note_row {
    int64_t id;
    struct instant at;
    int64_t cow_id;
    char text[512];
};

struct milking_row {
    int64_t id;
    struct instant opened_at;
    struct instant started_at;
    struct instant ended_at;
    struct instant closed_at;
    char who[64];
    char stir[8]; /* how the tub was stirred as a rule, then; "": not known */
    int64_t tub_water_ml, tap_temp_mc;
};

struct milk_row {
    int64_t id;
    int64_t milking_id;
    int64_t cow_id;
    struct instant at;
    int64_t mass_g;
    char strip[200];
    char disc[80];
    int64_t milkings;
};

/* Of the same table what a day's yield needs: for reading many, never for writing. */
struct milk_weight_row {
    int64_t id;
    struct instant at;
    int64_t mass_g;
    int64_t milkings;
};

struct jar_kind_row {
    int64_t id;
    char name[32];
    int64_t volume_ml;
    int64_t height_um;
    int64_t diameter_um;
    int64_t wall_um;
    int64_t empty_g;
    char material[8];
};

struct jar_stock_row {
    int64_t id;
    char kind[32];
    int64_t on_hand;
};

struct batch_row {
    int64_t id;
    char code[24];
    int64_t milking_id;
    char kind[32];
    int64_t count;
    int64_t volume_ml;
    struct instant poured_at;
    int64_t temp_mc;
    int64_t temp_read;
    char held_why[160];
};

struct batch_source_row {
    int64_t id;
    int64_t batch_id;
    int64_t cow_id;
    int64_t mass_g;
    int64_t held;
};

struct jar_move_row {
    int64_t id;
    int64_t batch_id;
    struct instant at;
    char from_place[16];
    char to_place[16];
    int64_t count;
    char why[160];
    int64_t person_id;
};

struct reading_row {
    int64_t id;
    struct instant at;
    int64_t batch_id;
    char place[16];
    int64_t temp_mc;
    char source[8];
};

struct tub_act_row {
    int64_t id;
    struct instant at;
    char kind[8];
    int64_t mass_g;
    int64_t temp_mc;
    char stir[8];
};

struct routine_row {
    int64_t id;
    struct instant from_at;
    char text[49152];
};

struct tick_row {
    int64_t id;
    int64_t milking_id;
    char step[24];
    int64_t cow_id;
    char kind[8];
    struct instant at;
};

extern const struct table dairy_table, cow_table, calving_table, calf_table, heat_table, service_table,
    pregnancy_check_table, pregnancy_loss_table, dry_off_table, hold_table, ration_table, note_table,
    milking_table, milk_table, milk_weight_table, jar_kind_table, jar_stock_table, batch_table,
    batch_source_table, jar_move_table, reading_table, tub_act_table, routine_table, tick_table;

/* Every table there is, for tests, checks and exports: lists, each ended by NULL, themselves ended by NULL.
 */
extern const struct table *const *const all_table_lists[];

/* The n-th of them all, or NULL past the last. */
const struct table *table_at(size_t n);

#endif
