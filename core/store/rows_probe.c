#include "core/store/rows_probe.h"

static const struct column probe_columns[] = {
    COLUMN_OF(TEXT, probe_row, path),        COLUMN_OF(TEXT_OR_NONE, probe_row, place),
    COLUMN_OF(INTEGER, probe_row, batch_id), COLUMN_OF(MOMENT, probe_row, from_at),
    COLUMN_OF(MOMENT, probe_row, until_at),
};
const struct table probe_table = TABLE_OF("probe", probe_row, probe_columns);

const struct table *const probe_tables[] = {&probe_table, NULL};
