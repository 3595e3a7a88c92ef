/* Rows of the wash bench: sanitiser, sink, parts, machine, laboratory (assets/upgrade-3.sql says what each
 * column means). */
#ifndef CORE_STORE_ROWS_WASH_H
#define CORE_STORE_ROWS_WASH_H

#include "core/store/table.h"

struct wash_rule_row {
    int64_t id;
    struct instant from_at;
    char contact_set[16];
    char lab_set[20];
    char water_set[20];
    int64_t heater_mc;
};

struct bottle_row {
    int64_t id;
    struct instant opened_at;
    char chemical[20];
    int64_t strength_mpct;
    char basis[8];
    int64_t label_dose_ul;
    int64_t label_volume_ml;
    int64_t label_mppm;
};

struct mix_row {
    int64_t id;
    struct instant at;
    int64_t bottle_id;
    int64_t volume_ml;
    char counted[8];
    int64_t target_mppm;
    int64_t dose_ul;
};

struct strip_row {
    int64_t id;
    struct instant at;
    int64_t mix_id;
    int64_t mppm;
    int64_t top_mppm;
    int64_t ph_milli;
    int64_t temp_mc;
};

struct sink_fill_row {
    int64_t id;
    struct instant at;
    int64_t temp_mc;
    int64_t volume_ml;
};

struct part_fit_row {
    int64_t id;
    struct instant at;
    char part[48];
    int64_t milkings;
    int64_t days;
    char note[160];
};

struct part_stock_row {
    int64_t id;
    struct instant at;
    char part[48];
    int64_t on_hand;
    int64_t lead_days;
};

struct machine_check_row {
    int64_t id;
    struct instant at;
    int64_t vacuum_pa;
    int64_t rate_milli;
    int64_t open_mpct;
    char note[160];
};

struct lab_sample_row {
    int64_t id;
    struct instant drawn_at;
    char name[32];
    char of[8];
    int64_t cow_id;
    int64_t batch_id;
    char laboratory[64];
    int64_t drawn_mc;
    int64_t hours_s;
    struct instant sent_at;
    struct instant arrived_at;
    int64_t arrived_mc;
};

struct lab_result_row {
    int64_t id;
    int64_t sample_id;
    struct instant at;
    char measure[12];
    int64_t value_milli;
};

extern const struct table wash_rule_table, bottle_table, mix_table, strip_table, sink_fill_table,
    part_fit_table, part_stock_table, machine_check_table, lab_sample_table, lab_result_table;

/* For rows.c: all of them, ended by NULL. */
extern const struct table *const wash_tables[];

#endif
