/* Mornings for the forecast's tests. */
#ifndef TESTS_COOLING_MORNING_H
#define TESTS_COOLING_MORNING_H

#include "core/cooling/forecast.h"
#include "tests/support.h"

#define MINUTE 60.0

/* The tables, read once; a failure stops the test. */
const struct jar_list *all_jars(void);
const struct jar_kind *jar_named(const char *name);
const struct limit_set *limit_named(const char *name);

/* 06:00 is second 0. A tub of 20 kg of water at 12 C and `ice_kg` of ice stands since then; milking ended
 * then; room 12 C, refrigerator 3.5 C, limit pmo, all jars at hand. */
void morning_usual(struct morning *m, double ice_kg);

/* Adds a batch poured at that minute and 35 C; returns it. */
struct batch_facts *add_batch(struct morning *m, const char *kind, int count, double minute);
void add_move(struct batch_facts *b, double minute, int count, enum place from, enum place to);
void add_reading(struct batch_facts *b, double minute, double temp_c);
void add_act(struct morning *m, double minute, enum tub_act_kind kind, double mass_kg, double temp_c);
void add_stir(struct morning *m, double minute, enum stir stir);

/* The forecast at that minute; a refusal stops the test. Static: good until the next call. */
const struct forecast *forecast_at(struct morning *m, double minute);

#endif
