#include "core/store/rows_wash.h"

static const struct column wash_rule_columns[] = {
    COLUMN_OF(MOMENT, wash_rule_row, from_at),
    COLUMN_OF(TEXT, wash_rule_row, contact_set),
    COLUMN_OF(TEXT, wash_rule_row, lab_set),
    COLUMN_OF(TEXT, wash_rule_row, water_set),
    COLUMN_OF(INTEGER, wash_rule_row, heater_mc),
};
const struct table wash_rule_table = TABLE_OF("wash_rule", wash_rule_row, wash_rule_columns);

static const struct column bottle_columns[] = {
    COLUMN_OF(MOMENT, bottle_row, opened_at),
    COLUMN_OF(TEXT, bottle_row, chemical),
    COLUMN_OF(INTEGER, bottle_row, strength_mpct),
    COLUMN_OF(TEXT, bottle_row, basis),
    COLUMN_OF(INTEGER, bottle_row, label_dose_ul),
    COLUMN_OF(INTEGER, bottle_row, label_volume_ml),
    COLUMN_OF(INTEGER, bottle_row, label_mppm),
};
const struct table bottle_table = TABLE_OF("bottle", bottle_row, bottle_columns);

static const struct column mix_columns[] = {
    COLUMN_OF(MOMENT, mix_row, at),
    COLUMN_OF(INTEGER, mix_row, bottle_id),
    COLUMN_OF(INTEGER, mix_row, volume_ml),
    COLUMN_OF(TEXT, mix_row, counted),
    COLUMN_OF(INTEGER, mix_row, target_mppm),
    COLUMN_OF(INTEGER, mix_row, dose_ul),
};
const struct table mix_table = TABLE_OF("mix", mix_row, mix_columns);

static const struct column strip_columns[] = {
    COLUMN_OF(MOMENT, strip_row, at),
    COLUMN_OF(INTEGER, strip_row, mix_id),
    COLUMN_OF(INTEGER, strip_row, mppm),
    COLUMN_OF(INTEGER, strip_row, top_mppm),
    COLUMN_OF(INTEGER, strip_row, ph_milli),
    COLUMN_OF(INTEGER, strip_row, temp_mc),
};
const struct table strip_table = TABLE_OF("strip", strip_row, strip_columns);

static const struct column sink_fill_columns[] = {
    COLUMN_OF(MOMENT, sink_fill_row, at),
    COLUMN_OF(INTEGER, sink_fill_row, temp_mc),
    COLUMN_OF(INTEGER, sink_fill_row, volume_ml),
};
const struct table sink_fill_table = TABLE_OF("sink_fill", sink_fill_row, sink_fill_columns);

static const struct column part_fit_columns[] = {
    COLUMN_OF(MOMENT, part_fit_row, at),
    COLUMN_OF(TEXT, part_fit_row, part),
    COLUMN_OF(INTEGER, part_fit_row, milkings),
    COLUMN_OF(INTEGER, part_fit_row, days),
    COLUMN_OF(TEXT_OR_NONE, part_fit_row, note),
};
const struct table part_fit_table = TABLE_OF("part_fit", part_fit_row, part_fit_columns);

static const struct column part_stock_columns[] = {
    COLUMN_OF(MOMENT, part_stock_row, at),
    COLUMN_OF(TEXT, part_stock_row, part),
    COLUMN_OF(INTEGER, part_stock_row, on_hand),
    COLUMN_OF(INTEGER, part_stock_row, lead_days),
};
const struct table part_stock_table = TABLE_OF("part_stock", part_stock_row, part_stock_columns);

static const struct column machine_check_columns[] = {
    COLUMN_OF(MOMENT, machine_check_row, at),
    COLUMN_OF(INTEGER, machine_check_row, vacuum_pa),
    COLUMN_OF(INTEGER, machine_check_row, rate_milli),
    COLUMN_OF(INTEGER, machine_check_row, open_mpct),
    COLUMN_OF(TEXT_OR_NONE, machine_check_row, note),
};
const struct table machine_check_table =
    TABLE_OF("machine_check", machine_check_row, machine_check_columns);

static const struct column lab_sample_columns[] = {
    COLUMN_OF(MOMENT, lab_sample_row, drawn_at),
    COLUMN_OF(TEXT, lab_sample_row, name),
    COLUMN_OF(TEXT, lab_sample_row, of),
    COLUMN_OF(INTEGER, lab_sample_row, cow_id),
    COLUMN_OF(INTEGER, lab_sample_row, batch_id),
    COLUMN_OF(TEXT_OR_NONE, lab_sample_row, laboratory),
    COLUMN_OF(INTEGER, lab_sample_row, drawn_mc),
    COLUMN_OF(INTEGER, lab_sample_row, hours_s),
    COLUMN_OF(MOMENT, lab_sample_row, sent_at),
    COLUMN_OF(MOMENT, lab_sample_row, arrived_at),
    COLUMN_OF(INTEGER, lab_sample_row, arrived_mc),
};
const struct table lab_sample_table = TABLE_OF("lab_sample", lab_sample_row, lab_sample_columns);

static const struct column lab_result_columns[] = {
    COLUMN_OF(INTEGER, lab_result_row, sample_id),
    COLUMN_OF(MOMENT, lab_result_row, at),
    COLUMN_OF(TEXT, lab_result_row, measure),
    COLUMN_OF(INTEGER, lab_result_row, value_milli),
};
const struct table lab_result_table = TABLE_OF("lab_result", lab_result_row, lab_result_columns);

const struct table *const wash_tables[] = {&wash_rule_table,
                                           &bottle_table,
                                           &mix_table,
                                           &strip_table,
                                           &sink_fill_table,
                                           &part_fit_table,
                                           &part_stock_table,
                                           &machine_check_table,
                                           &lab_sample_table,
                                           &lab_result_table,
                                           NULL};
