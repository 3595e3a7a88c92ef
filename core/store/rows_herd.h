/* Rows of the herd's own tables: treatments, tests of milk and udder, weights and condition, tests for
 * diseases. assets/upgrade-2.sql says what each column means. */
#ifndef CORE_STORE_ROWS_HERD_H
#define CORE_STORE_ROWS_HERD_H

#include "core/store/table.h"

struct treatment_row {
    int64_t id;
    int64_t cow_id;
    int64_t dry_cow;
    char condition[120];
    char product[120];
    char active[120];
    char dose[120];
    char route[120];
    char course[120];
    char quarter[8];
    char prescribed_by[120];
    char maker[120];
    int64_t extra_label;
    int64_t doses_to_come;
    int64_t milk_s;
    int64_t meat_s;
    int64_t dry_s;
    int64_t fresh_s;
    int64_t fresh_milkings;
};

struct dose_row {
    int64_t id;
    int64_t treatment_id;
    struct instant at;
    char given_by[64];
};

struct udder_test_row {
    int64_t id;
    int64_t cow_id;
    struct instant at;
    char quarter[8];
    char cmt[8];
    int64_t cells_per_ml;
    char culture[160];
};

struct milk_test_row {
    int64_t id;
    int64_t cow_id;
    struct instant at;
    int64_t fat_mpct;
    int64_t protein_mpct;
};

struct weighing_row {
    int64_t id;
    int64_t cow_id;
    struct instant at;
    int64_t mass_g;
    int64_t girth_mm;
    int64_t length_mm;
    int64_t height_mm;
};

struct condition_score_row {
    int64_t id;
    int64_t cow_id;
    struct instant at;
    int64_t score_hundredths;
};

struct health_test_row {
    int64_t id;
    int64_t cow_id;
    char name[48];
    struct date due_on;
    struct instant at;
    char result[16];
    int64_t holds_milk;
    char tested_by[64];
};

extern const struct table treatment_table, dose_table, udder_test_table, milk_test_table, weighing_table,
    condition_score_table, health_test_table;

extern const struct table *const herd_tables[]; /* ended by NULL */

#endif
