#include "core/store/rows_shelf.h"

static const struct column person_columns[] = {
    COLUMN_OF(TEXT, person_row, name),
    COLUMN_OF(TEXT_OR_NONE, person_row, contact),
    COLUMN_OF(TEXT_OR_NONE, person_row, contact2),
    COLUMN_OF(INTEGER, person_row, share),
    COLUMN_OF(TEXT_OR_NONE, person_row, share_kind),
    COLUMN_OF(TEXT, person_row, share_days),
    COLUMN_OF(DAY, person_row, left_on),
    COLUMN_OF(TEXT_OR_NONE, person_row, note),
};
const struct table person_table = TABLE_OF("person", person_row, person_columns);

static const struct column share_out_columns[] = {
    COLUMN_OF(MOMENT, share_out_row, at),
    COLUMN_OF(INTEGER, share_out_row, person_id),
    COLUMN_OF(INTEGER, share_out_row, due),
    COLUMN_OF(INTEGER, share_out_row, granted),
};
const struct table share_out_table = TABLE_OF("share_out", share_out_row, share_out_columns);

static const struct column pour_on_columns[] = {
    COLUMN_OF(MOMENT, pour_on_row, at),
    COLUMN_OF(INTEGER, pour_on_row, from_batch_id),
    COLUMN_OF(INTEGER, pour_on_row, to_batch_id),
    COLUMN_OF(INTEGER, pour_on_row, mass_g),
};
const struct table pour_on_table = TABLE_OF("pour_on", pour_on_row, pour_on_columns);

static const struct column batch_temp_columns[] = {
    COLUMN_OF(INTEGER, batch_temp_row, batch_id),
    COLUMN_OF(MOMENT, batch_temp_row, at),
    COLUMN_OF(INTEGER, batch_temp_row, temp_mc),
};
const struct table batch_temp_table = TABLE_OF("batch_temp", batch_temp_row, batch_temp_columns);

static const struct column empty_move_columns[] = {
    COLUMN_OF(MOMENT, empty_move_row, at),         COLUMN_OF(TEXT, empty_move_row, kind),
    COLUMN_OF(TEXT, empty_move_row, from_state),   COLUMN_OF(TEXT, empty_move_row, to_state),
    COLUMN_OF(INTEGER, empty_move_row, person_id), COLUMN_OF(INTEGER, empty_move_row, count),
    COLUMN_OF(INTEGER, empty_move_row, tick_id),   COLUMN_OF(TEXT_OR_NONE, empty_move_row, why),
};
const struct table empty_move_table = TABLE_OF("empty_move", empty_move_row, empty_move_columns);

static const struct column tasting_columns[] = {
    COLUMN_OF(MOMENT, tasting_row, at),         COLUMN_OF(INTEGER, tasting_row, batch_id),
    COLUMN_OF(TEXT, tasting_row, flavour),      COLUMN_OF(INTEGER, tasting_row, score),
    COLUMN_OF(INTEGER, tasting_row, turned),    COLUMN_OF(INTEGER, tasting_row, one_jar),
    COLUMN_OF(TEXT_OR_NONE, tasting_row, note),
};
const struct table tasting_table = TABLE_OF("tasting", tasting_row, tasting_columns);

static const struct column outage_columns[] = {
    COLUMN_OF(MOMENT, outage_row, from_at),
    COLUMN_OF(MOMENT, outage_row, to_at),
    COLUMN_OF(INTEGER, outage_row, temp_mc),
};
const struct table outage_table = TABLE_OF("outage", outage_row, outage_columns);

static const struct column loss_columns[] = {
    COLUMN_OF(MOMENT, loss_row, at),
    COLUMN_OF(INTEGER, loss_row, cow_id),
    COLUMN_OF(INTEGER, loss_row, mass_g),
    COLUMN_OF(TEXT, loss_row, why),
};
const struct table loss_table = TABLE_OF("loss", loss_row, loss_columns);

static const struct column tally_place_columns[] = {
    COLUMN_OF(INTEGER, tally_place_row, batch_id), COLUMN_OF(TEXT, tally_place_row, kind),
    COLUMN_OF(TEXT, tally_place_row, place),       COLUMN_OF(INTEGER, tally_place_row, person_id),
    COLUMN_OF(INTEGER, tally_place_row, count),
};
const struct table tally_place_table = TABLE_OF("tally_place", tally_place_row, tally_place_columns);

static const struct column tally_pool_columns[] = {
    COLUMN_OF(TEXT, tally_pool_row, kind),
    COLUMN_OF(TEXT, tally_pool_row, state),
    COLUMN_OF(INTEGER, tally_pool_row, person_id),
    COLUMN_OF(INTEGER, tally_pool_row, count),
};
const struct table tally_pool_table = TABLE_OF("tally_pool", tally_pool_row, tally_pool_columns);

const struct table *const shelf_tables[] = {&person_table,
                                            &share_out_table,
                                            &pour_on_table,
                                            &batch_temp_table,
                                            &empty_move_table,
                                            &tasting_table,
                                            &outage_table,
                                            &loss_table,
                                            &tally_place_table,
                                            &tally_pool_table,
                                            NULL};
