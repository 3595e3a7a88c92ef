/* The three panes of the board. Each draws a part of the snapshot into its rectangle and changes nothing. */
#ifndef TUI_BOARD_PANES_H
#define TUI_BOARD_PANES_H

#include "tui/app.h"

enum pane { PANE_STALLS, PANE_CHILL, PANE_CHORES, PANES };

void draw_stalls(struct app *a, struct rect r);
void draw_chill(struct app *a, struct rect r);
void draw_chores(struct app *a, struct rect r);

/* Rows that the stalls pane would like, its title included; less is drawn with less. */
int stalls_rows(const struct app *a, int screen_rows);

/* The role in which something of that urgency is drawn. */
enum role urgency_role(enum urgency urgency);

/* The role for a batch's verdict. */
enum role verdict_role(enum verdict verdict);

/* The title of a pane: accented when it has the keys. */
enum role pane_role(const struct app *a, enum pane pane);

enum { COUNTDOWN_MAX = 32 };

/* Elapsed or remaining time as a clock shows it: "9:05", "1:02:40"; negative with a minus. Returns buf. */
const char *countdown_text(int64_t seconds, char buf[COUNTDOWN_MAX]);

#endif
