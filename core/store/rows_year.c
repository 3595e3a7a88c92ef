#include "core/store/rows_year.h"

static const struct column colostrum_columns[] = {
    COLUMN_OF(INTEGER, colostrum_row, calf_id),
    COLUMN_OF(MOMENT, colostrum_row, at),
    COLUMN_OF(INTEGER, colostrum_row, volume_ml),
};
const struct table colostrum_table = TABLE_OF("colostrum", colostrum_row, colostrum_columns);

static const struct column sire_columns[] = {
    COLUMN_OF(TEXT, sire_row, name),
    COLUMN_OF(INTEGER, sire_row, carried_tenths),
};
const struct table sire_table = TABLE_OF("sire", sire_row, sire_columns);

static const struct column milk_need_columns[] = {
    COLUMN_OF(MOMENT, milk_need_row, from_at),
    COLUMN_OF(INTEGER, milk_need_row, week_ml),
    COLUMN_OF(INTEGER, milk_need_row, room_ml),
};
const struct table milk_need_table = TABLE_OF("milk_need", milk_need_row, milk_need_columns);

static const struct column calf_milk_columns[] = {
    COLUMN_OF(INTEGER, calf_milk_row, cow_id),
    COLUMN_OF(MOMENT, calf_milk_row, from_at),
    COLUMN_OF(INTEGER, calf_milk_row, share_pct),
};
const struct table calf_milk_table = TABLE_OF("calf_milk", calf_milk_row, calf_milk_columns);

static const struct column repeat_columns[] = {
    COLUMN_OF(TEXT, repeat_row, name),          COLUMN_OF(INTEGER, repeat_row, cow_id),
    COLUMN_OF(INTEGER, repeat_row, every_days), COLUMN_OF(DAY, repeat_row, first_on),
    COLUMN_OF(TEXT_OR_NONE, repeat_row, note),  COLUMN_OF(DAY, repeat_row, ended_on),
};
const struct table repeat_table = TABLE_OF("repeat", repeat_row, repeat_columns);

static const struct column repeat_done_columns[] = {
    COLUMN_OF(INTEGER, repeat_done_row, repeat_id),
    COLUMN_OF(MOMENT, repeat_done_row, at),
};
const struct table repeat_done_table = TABLE_OF("repeat_done", repeat_done_row, repeat_done_columns);

static const struct column feed_stock_columns[] = {
    COLUMN_OF(TEXT, feed_stock_row, feed), COLUMN_OF(MOMENT, feed_stock_row, at),
    COLUMN_OF(TEXT, feed_stock_row, kind), COLUMN_OF(INTEGER, feed_stock_row, mass_g),
    COLUMN_OF(INTEGER, feed_stock_row, cost_cents),
};
const struct table feed_stock_table = TABLE_OF("feed_stock", feed_stock_row, feed_stock_columns);

static const struct column free_feed_columns[] = {
    COLUMN_OF(INTEGER, free_feed_row, cow_id),
    COLUMN_OF(TEXT, free_feed_row, feed),
    COLUMN_OF(MOMENT, free_feed_row, from_at),
    COLUMN_OF(MOMENT, free_feed_row, until_at),
};
const struct table free_feed_table = TABLE_OF("free_feed", free_feed_row, free_feed_columns);

static const struct column feed_analysis_columns[] = {
    COLUMN_OF(TEXT, feed_analysis_row, feed),       COLUMN_OF(MOMENT, feed_analysis_row, at),
    COLUMN_OF(INTEGER, feed_analysis_row, forage),  COLUMN_OF(INTEGER, feed_analysis_row, dm_mpct),
    COLUMN_OF(INTEGER, feed_analysis_row, cp_mpct), COLUMN_OF(INTEGER, feed_analysis_row, nel_kcal_per_kg),
};
const struct table feed_analysis_table = TABLE_OF("feed_analysis", feed_analysis_row, feed_analysis_columns);

const struct table *const year_tables[] = {
    &colostrum_table,   &sire_table,       &milk_need_table,  &calf_milk_table,     &repeat_table,
    &repeat_done_table, &feed_stock_table, &free_feed_table, &feed_analysis_table,
    NULL,
};
