#include "tui/help.h"

#include "tui/kit/draw.h"

enum { COMMON_UNDO = 1, COMMON_NEW, COMMON_HELP, COMMON_BACK, COMMON_LEAVE };

const struct keymap_row common_keys[] = {
    {'u', 0, NULL, "take back", "takes the last act back; on the Journal, the entry under the cursor", 0,
     COMMON_UNDO, false},
    {'n', 0, NULL, "enter", "enters anything else: an ice weight, a hold, a note, a calving", 0, COMMON_NEW,
     false},
    {'?', 0, NULL, "why", "shows how the figure under the cursor came about, or these keys", 0, COMMON_HELP,
     true},
    {PRESS_ESC, 0, NULL, "back", "goes back", 0, COMMON_BACK, false},
    {'q', 0, NULL, "leave", "leaves the screen, and on the board the program", 0, COMMON_LEAVE, true},
    {0},
};

unsigned help_show(struct app *a)
{
    unsigned now = 0;
    page_clear(&a->page);
    if (a->screen->keys != NULL) {
        const struct keymap_row *keys = a->screen->keys(a, &now);
        keymap_help(&a->page, a->screen->name, keys, now);
    }
    keymap_help(&a->page, "Everywhere", common_keys, 0);
    page_add(&a->page, ROLE_TITLE, 0, "Screens");
    for (int i = 0; app_screens[i] != NULL; i++) {
        char letter[2] = {(char)app_screens[i]->letter, '\0'};
        page_add_pair(&a->page, 2, ROLE_KEY, 10, letter, app_screens[i]->does);
    }
    page_add(&a->page, ROLE_CHALK, 0, "%s", "");
    page_add(&a->page, ROLE_FAINT, 0,
             "Quantities carry their unit: 95F 35C 2qt 0.5gal 1.9L 48.5lb 22kg 20min 1h30 100ppm 8.25%%. A "
             "bare number takes the "
             "unit that the field shows.");
    page_add(&a->page, ROLE_FAINT, 0, "The records are in %s.", dairy_path(a->dairy));
    return app_show_page(a, "Keys");
}

/* After the screen's own keys those that work everywhere, as far as there is room. */
static void draw_keys(const struct app *a, struct rect r, const struct keymap_row *keys, unsigned now)
{
    struct keymap_row rest[sizeof common_keys / sizeof common_keys[0]] = {0};
    size_t n = 0;
    for (const struct keymap_row *row = common_keys; row->key != 0; row++)
        if (keymap_find(keys, row->key, now) == NULL && (row->key != PRESS_ESC || a->back_count > 0))
            rest[n++] = *row;
    int col = draw_keymap(r, 0, keys, now);
    draw_keymap(rect_part(r, 0, col, 1, r.cols - col), 0, rest, 0);
}

void draw_bottom(struct app *a, struct rect r)
{
    unsigned now = 0;
    bool said;
    if (a->ringing >= 0 && (size_t)a->ringing < a->board->alarms) {
        const struct alarm *alarm = &a->board->alarm[a->ringing];
        draw_textf(r, 0, 1, alarm->urgency == URGENCY_STOP ? ROLE_STOP : ROLE_WATCH,
                   GLYPH_WARNING " %s. Space: heard.", alarm->text);
        said = true;
    } else {
        said = draw_message(r, 0, &a->message);
    }
    if (r.rows >= 2 || !said) {
        const struct keymap_row *keys = a->screen->keys(a, &now);
        draw_keys(a, rect_part(r, r.rows - 1, 0, 1, r.cols), keys, now);
    }
}
