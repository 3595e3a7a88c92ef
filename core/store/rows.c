#include "core/store/rows.h"

#include "core/store/rows_herd.h"
#include "core/store/rows_probe.h"
#include "core/store/rows_shelf.h"
#include "core/store/rows_wash.h"
#include "core/store/rows_year.h"

static const struct column dairy_columns[] = {
    COLUMN_OF(TEXT, dairy_row, name),
    COLUMN_OF(TEXT, dairy_row, keeper),
    COLUMN_OF(TEXT, dairy_row, units),
    COLUMN_OF(TEXT, dairy_row, limit_set),
    COLUMN_OF(TEXT_OR_NONE, dairy_row, own_limit),
    COLUMN_OF(INTEGER, dairy_row, stalls),
    COLUMN_OF(INTEGER, dairy_row, tub_water_ml),
    COLUMN_OF(INTEGER, dairy_row, tap_temp_mc),
    COLUMN_OF(INTEGER, dairy_row, room_temp_mc),
    COLUMN_OF(INTEGER, dairy_row, fridge_temp_mc),
    COLUMN_OF(TEXT, dairy_row, stir),
    COLUMN_OF(INTEGER, dairy_row, table_s),
    COLUMN_OF(INTEGER, dairy_row, fresh_s),
    COLUMN_OF(INTEGER, dairy_row, fresh_milkings),
    COLUMN_OF(TEXT, dairy_row, milking_time),
    COLUMN_OF(MOMENT, dairy_row, made_at),
    COLUMN_OF(INTEGER, dairy_row, use_days),
};
const struct table dairy_table = TABLE_OF("dairy", dairy_row, dairy_columns);

static const struct column cow_columns[] = {
    COLUMN_OF(TEXT, cow_row, name),
    COLUMN_OF(TEXT_OR_NONE, cow_row, tag),
    COLUMN_OF(TEXT_OR_NONE, cow_row, breed),
    COLUMN_OF(TEXT, cow_row, sex),
    COLUMN_OF(DAY, cow_row, born_on),
    COLUMN_OF(INTEGER, cow_row, stall),
    COLUMN_OF(INTEGER, cow_row, dam_id),
    COLUMN_OF(TEXT, cow_row, came),
    COLUMN_OF(DAY, cow_row, came_on),
    COLUMN_OF(INTEGER, cow_row, calvings_before),
    COLUMN_OF(TEXT_OR_NONE, cow_row, left_how),
    COLUMN_OF(DAY, cow_row, left_on),
    COLUMN_OF(TEXT_OR_NONE, cow_row, came_from),
    COLUMN_OF(DAY, cow_row, quarantine_on),
    COLUMN_OF(TEXT_OR_NONE, cow_row, left_to),
};
const struct table cow_table = TABLE_OF("cow", cow_row, cow_columns);

static const struct column calving_columns[] = {
    COLUMN_OF(INTEGER, calving_row, cow_id),
    COLUMN_OF(MOMENT, calving_row, at),
    COLUMN_OF(INTEGER, calving_row, ease),
    COLUMN_OF(INTEGER, calving_row, day_only),
};
const struct table calving_table = TABLE_OF("calving", calving_row, calving_columns);

static const struct column calf_columns[] = {
    COLUMN_OF(INTEGER, calf_row, calving_id), COLUMN_OF(TEXT_OR_NONE, calf_row, sex),
    COLUMN_OF(TEXT, calf_row, fate),          COLUMN_OF(INTEGER, calf_row, mass_g),
    COLUMN_OF(INTEGER, calf_row, cow_id),
};
const struct table calf_table = TABLE_OF("calf", calf_row, calf_columns);

static const struct column heat_columns[] = {
    COLUMN_OF(INTEGER, heat_row, cow_id),
    COLUMN_OF(MOMENT, heat_row, at),
    COLUMN_OF(TEXT_OR_NONE, heat_row, signs),
};
const struct table heat_table = TABLE_OF("heat", heat_row, heat_columns);

static const struct column service_columns[] = {
    COLUMN_OF(INTEGER, service_row, cow_id),    COLUMN_OF(MOMENT, service_row, at),
    COLUMN_OF(DAY, service_row, until_on),      COLUMN_OF(TEXT, service_row, how),
    COLUMN_OF(TEXT_OR_NONE, service_row, sire), COLUMN_OF(TEXT_OR_NONE, service_row, served_by),
};
const struct table service_table = TABLE_OF("service", service_row, service_columns);

static const struct column pregnancy_check_columns[] = {
    COLUMN_OF(INTEGER, pregnancy_check_row, cow_id),        COLUMN_OF(MOMENT, pregnancy_check_row, at),
    COLUMN_OF(TEXT, pregnancy_check_row, method),           COLUMN_OF(TEXT, pregnancy_check_row, result),
    COLUMN_OF(INTEGER, pregnancy_check_row, stage_days),    COLUMN_OF(INTEGER, pregnancy_check_row, twins),
    COLUMN_OF(TEXT_OR_NONE, pregnancy_check_row, calf_sex),
};
const struct table pregnancy_check_table =
    TABLE_OF("pregnancy_check", pregnancy_check_row, pregnancy_check_columns);

static const struct column pregnancy_loss_columns[] = {
    COLUMN_OF(INTEGER, pregnancy_loss_row, cow_id),
    COLUMN_OF(MOMENT, pregnancy_loss_row, at),
    COLUMN_OF(TEXT_OR_NONE, pregnancy_loss_row, why),
};
const struct table pregnancy_loss_table =
    TABLE_OF("pregnancy_loss", pregnancy_loss_row, pregnancy_loss_columns);

static const struct column dry_off_columns[] = {
    COLUMN_OF(INTEGER, dry_off_row, cow_id),
    COLUMN_OF(MOMENT, dry_off_row, at),
};
const struct table dry_off_table = TABLE_OF("dry_off", dry_off_row, dry_off_columns);

static const struct column hold_columns[] = {
    COLUMN_OF(INTEGER, hold_row, cow_id),
    COLUMN_OF(TEXT, hold_row, kind),
    COLUMN_OF(TEXT, hold_row, why),
    COLUMN_OF(MOMENT, hold_row, from_at),
    COLUMN_OF(MOMENT, hold_row, last_dose_at),
    COLUMN_OF(INTEGER, hold_row, doses_to_come),
    COLUMN_OF(INTEGER, hold_row, milk_s),
    COLUMN_OF(INTEGER, hold_row, meat_s),
    COLUMN_OF(INTEGER, hold_row, dry_s),
    COLUMN_OF(INTEGER, hold_row, fresh_s),
    COLUMN_OF(INTEGER, hold_row, fresh_milkings),
    COLUMN_OF(MOMENT, hold_row, until_at),
    COLUMN_OF(MOMENT, hold_row, lifted_at),
};
const struct table hold_table = TABLE_OF("hold", hold_row, hold_columns);

static const struct column ration_columns[] = {
    COLUMN_OF(INTEGER, ration_row, cow_id),  COLUMN_OF(TEXT, ration_row, feed),
    COLUMN_OF(INTEGER, ration_row, mass_g),  COLUMN_OF(MOMENT, ration_row, from_at),
    COLUMN_OF(MOMENT, ration_row, until_at),
};
const struct table ration_table = TABLE_OF("ration", ration_row, ration_columns);

static const struct column note_columns[] = {
    COLUMN_OF(MOMENT, note_row, at),
    COLUMN_OF(INTEGER, note_row, cow_id),
    COLUMN_OF(TEXT, note_row, text),
};
const struct table note_table = TABLE_OF("note", note_row, note_columns);

static const struct column milking_columns[] = {
    COLUMN_OF(MOMENT, milking_row, opened_at), COLUMN_OF(MOMENT, milking_row, started_at),
    COLUMN_OF(MOMENT, milking_row, ended_at),  COLUMN_OF(MOMENT, milking_row, closed_at),
    COLUMN_OF(TEXT_OR_NONE, milking_row, who),
    COLUMN_OF(TEXT_OR_NONE, milking_row, stir),
    COLUMN_OF(INTEGER, milking_row, tub_water_ml),
    COLUMN_OF(INTEGER, milking_row, tap_temp_mc),
};
const struct table milking_table = TABLE_OF("milking", milking_row, milking_columns);

static const struct column milk_columns[] = {
    COLUMN_OF(INTEGER, milk_row, milking_id), COLUMN_OF(INTEGER, milk_row, cow_id),
    COLUMN_OF(MOMENT, milk_row, at),          COLUMN_OF(INTEGER, milk_row, mass_g),
    COLUMN_OF(TEXT_OR_NONE, milk_row, strip), COLUMN_OF(TEXT_OR_NONE, milk_row, disc),
    COLUMN_OF(INTEGER, milk_row, milkings),
};
const struct table milk_table = TABLE_OF("milk", milk_row, milk_columns);

static const struct column milk_weight_columns[] = {
    COLUMN_OF(MOMENT, milk_weight_row, at),
    COLUMN_OF(INTEGER, milk_weight_row, mass_g),
    COLUMN_OF(INTEGER, milk_weight_row, milkings),
};
const struct table milk_weight_table = TABLE_OF("milk", milk_weight_row, milk_weight_columns);

static const struct column jar_kind_columns[] = {
    COLUMN_OF(TEXT, jar_kind_row, name),         COLUMN_OF(INTEGER, jar_kind_row, volume_ml),
    COLUMN_OF(INTEGER, jar_kind_row, height_um), COLUMN_OF(INTEGER, jar_kind_row, diameter_um),
    COLUMN_OF(INTEGER, jar_kind_row, wall_um),   COLUMN_OF(INTEGER, jar_kind_row, empty_g),
    COLUMN_OF(TEXT, jar_kind_row, material),
};
const struct table jar_kind_table = TABLE_OF("jar_kind", jar_kind_row, jar_kind_columns);

static const struct column jar_stock_columns[] = {
    COLUMN_OF(TEXT, jar_stock_row, kind),
    COLUMN_OF(INTEGER, jar_stock_row, on_hand),
};
const struct table jar_stock_table = TABLE_OF("jar_stock", jar_stock_row, jar_stock_columns);

static const struct column batch_columns[] = {
    COLUMN_OF(TEXT, batch_row, code),
    COLUMN_OF(INTEGER, batch_row, milking_id),
    COLUMN_OF(TEXT, batch_row, kind),
    COLUMN_OF(INTEGER, batch_row, count),
    COLUMN_OF(INTEGER, batch_row, volume_ml),
    COLUMN_OF(MOMENT, batch_row, poured_at),
    COLUMN_OF(INTEGER, batch_row, temp_mc),
    COLUMN_OF(INTEGER, batch_row, temp_read),
    COLUMN_OF(TEXT_OR_NONE, batch_row, held_why),
};
const struct table batch_table = TABLE_OF("batch", batch_row, batch_columns);

static const struct column batch_source_columns[] = {
    COLUMN_OF(INTEGER, batch_source_row, batch_id),
    COLUMN_OF(INTEGER, batch_source_row, cow_id),
    COLUMN_OF(INTEGER, batch_source_row, mass_g),
    COLUMN_OF(INTEGER, batch_source_row, held),
};
const struct table batch_source_table = TABLE_OF("batch_source", batch_source_row, batch_source_columns);

static const struct column jar_move_columns[] = {
    COLUMN_OF(INTEGER, jar_move_row, batch_id),  COLUMN_OF(MOMENT, jar_move_row, at),
    COLUMN_OF(TEXT, jar_move_row, from_place),   COLUMN_OF(TEXT, jar_move_row, to_place),
    COLUMN_OF(INTEGER, jar_move_row, count),     COLUMN_OF(TEXT_OR_NONE, jar_move_row, why),
    COLUMN_OF(INTEGER, jar_move_row, person_id),
};
const struct table jar_move_table = TABLE_OF("jar_move", jar_move_row, jar_move_columns);

static const struct column reading_columns[] = {
    COLUMN_OF(MOMENT, reading_row, at),          COLUMN_OF(INTEGER, reading_row, batch_id),
    COLUMN_OF(TEXT_OR_NONE, reading_row, place), COLUMN_OF(INTEGER, reading_row, temp_mc),
    COLUMN_OF(TEXT, reading_row, source),
};
const struct table reading_table = TABLE_OF("reading", reading_row, reading_columns);

static const struct column tub_act_columns[] = {
    COLUMN_OF(MOMENT, tub_act_row, at),         COLUMN_OF(TEXT, tub_act_row, kind),
    COLUMN_OF(INTEGER, tub_act_row, mass_g),    COLUMN_OF(INTEGER, tub_act_row, temp_mc),
    COLUMN_OF(TEXT_OR_NONE, tub_act_row, stir),
};
const struct table tub_act_table = TABLE_OF("tub_act", tub_act_row, tub_act_columns);

static const struct column routine_columns[] = {
    COLUMN_OF(MOMENT, routine_row, from_at),
    COLUMN_OF(LINES, routine_row, text),
};
const struct table routine_table = TABLE_OF("routine", routine_row, routine_columns);

static const struct column tick_columns[] = {
    COLUMN_OF(INTEGER, tick_row, milking_id), COLUMN_OF(TEXT, tick_row, step),
    COLUMN_OF(INTEGER, tick_row, cow_id),     COLUMN_OF(TEXT, tick_row, kind),
    COLUMN_OF(MOMENT, tick_row, at),
};
const struct table tick_table = TABLE_OF("tick", tick_row, tick_columns);

static const struct table *const tables[] = {&dairy_table,
                                             &cow_table,
                                             &calving_table,
                                             &calf_table,
                                             &heat_table,
                                             &service_table,
                                             &pregnancy_check_table,
                                             &pregnancy_loss_table,
                                             &dry_off_table,
                                             &hold_table,
                                             &ration_table,
                                             &note_table,
                                             &milking_table,
                                             &milk_table,
                                             &jar_kind_table,
                                             &jar_stock_table,
                                             &batch_table,
                                             &batch_source_table,
                                             &jar_move_table,
                                             &reading_table,
                                             &tub_act_table,
                                             &routine_table,
                                             &tick_table,
                                             NULL};

const struct table *const *const all_table_lists[] = {
    tables, shelf_tables, herd_tables, year_tables, wash_tables, probe_tables, NULL,
};

const struct table *table_at(size_t n)
{
    for (const struct table *const *const *list = all_table_lists; *list != NULL; list++)
        for (const struct table *const *t = *list; *t != NULL; t++)
            if (n-- == 0)
                return *t;
    return NULL;
}
