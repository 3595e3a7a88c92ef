/* What the chill pane and the batch page both show of a batch, and the entries that both open. */
#ifndef TUI_BATCH_PARTS_H
#define TUI_BATCH_PARTS_H

#include "tui/app.h"

/* Seconds until the limit's temperature; NaN when it is past or does not come. */
double to_limit_s(const struct app *a, const struct batch_forecast *f);

/* "45 °F in 22 min, safe out 06:52"; brief: "safe out 06:52" alone, where there is something to say. */
void when_text(const struct app *a, const struct batch_forecast *f, bool brief, char *buf, size_t size);

/* "will make it, 1 h 35 min in hand"; not brief: "45 °F by 08:35: ..." */
void verdict_text(const struct app *a, const struct batch_forecast *f, bool brief, char *buf, size_t size);

/* "06:52" of a moment in UTC seconds. Returns buf. */
const char *clock_at(double at_s, char buf[CIVIL_TEXT_MAX]);

/* The falling line against the limit, band, readings, now and the deadline; `wide` also names the stages. */
void draw_batch_chart(struct app *a, struct rect r, const struct batch_view *v, bool wide);

/* The count-down in figures as large as the room allows, under a line that says to what. */
void draw_countdown(struct app *a, struct rect r, const struct batch_view *v);

/* "still", "water moved", ... */
const char *stir_says(enum stir stir);

/* Entry forms about the batch under the cursor, and the tub. `digit`: what was typed already, or "". */
unsigned open_reading(struct app *a, const char *digit);
unsigned open_take_out(struct app *a);
unsigned open_tub_reading(struct app *a);

/* Points a probe: at a batch (its code) or anything (""). The path stands there if this computer has a probe. */
unsigned open_probe(struct app *a, const char *batch);

#endif
