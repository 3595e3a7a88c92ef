/* Sharing a short day out. */
#ifndef TUI_SHARE_SCREEN_H
#define TUI_SHARE_SCREEN_H

#include "tui/app.h"

/* Opens it with as many jars as stand on the shelf of the app and can be handed out. */
unsigned open_share(struct app *a);

#endif
