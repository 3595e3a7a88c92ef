#include "core/store/rows_herd.h"

static const struct column treatment_columns[] = {
    COLUMN_OF(INTEGER, treatment_row, cow_id),
    COLUMN_OF(INTEGER, treatment_row, dry_cow),
    COLUMN_OF(TEXT_OR_NONE, treatment_row, condition),
    COLUMN_OF(TEXT, treatment_row, product),
    COLUMN_OF(TEXT_OR_NONE, treatment_row, active),
    COLUMN_OF(TEXT_OR_NONE, treatment_row, dose),
    COLUMN_OF(TEXT_OR_NONE, treatment_row, route),
    COLUMN_OF(TEXT_OR_NONE, treatment_row, course),
    COLUMN_OF(TEXT_OR_NONE, treatment_row, quarter),
    COLUMN_OF(TEXT_OR_NONE, treatment_row, prescribed_by),
    COLUMN_OF(TEXT_OR_NONE, treatment_row, maker),
    COLUMN_OF(INTEGER, treatment_row, extra_label),
    COLUMN_OF(INTEGER, treatment_row, doses_to_come),
    COLUMN_OF(INTEGER, treatment_row, milk_s),
    COLUMN_OF(INTEGER, treatment_row, meat_s),
    COLUMN_OF(INTEGER, treatment_row, dry_s),
    COLUMN_OF(INTEGER, treatment_row, fresh_s),
    COLUMN_OF(INTEGER, treatment_row, fresh_milkings),
};
const struct table treatment_table = TABLE_OF("treatment", treatment_row, treatment_columns);

static const struct column dose_columns[] = {
    COLUMN_OF(INTEGER, dose_row, treatment_id),
    COLUMN_OF(MOMENT, dose_row, at),
    COLUMN_OF(TEXT_OR_NONE, dose_row, given_by),
};
const struct table dose_table = TABLE_OF("dose", dose_row, dose_columns);

static const struct column udder_test_columns[] = {
    COLUMN_OF(INTEGER, udder_test_row, cow_id),       COLUMN_OF(MOMENT, udder_test_row, at),
    COLUMN_OF(TEXT_OR_NONE, udder_test_row, quarter), COLUMN_OF(TEXT_OR_NONE, udder_test_row, cmt),
    COLUMN_OF(INTEGER, udder_test_row, cells_per_ml), COLUMN_OF(TEXT_OR_NONE, udder_test_row, culture),
};
const struct table udder_test_table = TABLE_OF("udder_test", udder_test_row, udder_test_columns);

static const struct column milk_test_columns[] = {
    COLUMN_OF(INTEGER, milk_test_row, cow_id),
    COLUMN_OF(MOMENT, milk_test_row, at),
    COLUMN_OF(INTEGER, milk_test_row, fat_mpct),
    COLUMN_OF(INTEGER, milk_test_row, protein_mpct),
};
const struct table milk_test_table = TABLE_OF("milk_test", milk_test_row, milk_test_columns);

static const struct column weighing_columns[] = {
    COLUMN_OF(INTEGER, weighing_row, cow_id),    COLUMN_OF(MOMENT, weighing_row, at),
    COLUMN_OF(INTEGER, weighing_row, mass_g),    COLUMN_OF(INTEGER, weighing_row, girth_mm),
    COLUMN_OF(INTEGER, weighing_row, length_mm), COLUMN_OF(INTEGER, weighing_row, height_mm),
};
const struct table weighing_table = TABLE_OF("weighing", weighing_row, weighing_columns);

static const struct column condition_score_columns[] = {
    COLUMN_OF(INTEGER, condition_score_row, cow_id),
    COLUMN_OF(MOMENT, condition_score_row, at),
    COLUMN_OF(INTEGER, condition_score_row, score_hundredths),
};
const struct table condition_score_table =
    TABLE_OF("condition_score", condition_score_row, condition_score_columns);

static const struct column health_test_columns[] = {
    COLUMN_OF(INTEGER, health_test_row, cow_id),      COLUMN_OF(TEXT, health_test_row, name),
    COLUMN_OF(DAY, health_test_row, due_on),          COLUMN_OF(MOMENT, health_test_row, at),
    COLUMN_OF(TEXT_OR_NONE, health_test_row, result), COLUMN_OF(INTEGER, health_test_row, holds_milk),
    COLUMN_OF(TEXT_OR_NONE, health_test_row, tested_by),
};
const struct table health_test_table = TABLE_OF("health_test", health_test_row, health_test_columns);

const struct table *const herd_tables[] = {
    &treatment_table,       &dose_table,        &udder_test_table, &milk_test_table, &weighing_table,
    &condition_score_table, &health_test_table, NULL,
};
