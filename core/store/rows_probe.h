/* Rows of the probes (assets/upgrade-3.sql says what each column means). */
#ifndef CORE_STORE_ROWS_PROBE_H
#define CORE_STORE_ROWS_PROBE_H

#include "core/store/table.h"

struct probe_row {
    int64_t id;
    char path[256];
    char place[8];
    int64_t batch_id;
    struct instant from_at;
    struct instant until_at;
};

extern const struct table probe_table;

/* Ended by NULL. */
extern const struct table *const probe_tables[];

#endif
