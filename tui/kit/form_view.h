/* A form to fill in: one line for each field of a struct form, with its label, what was typed, and beside it
 * what was understood or what is wrong, before anything is entered.
 *
 *      cow      Maud
 *    ▸ weight   48.5lb               48.5 lb
 *      strip    ‹ clear ›
 *      when     6:1o                 "6:1o" is not a time; write 06:10.
 */
#ifndef TUI_KIT_FORM_VIEW_H
#define TUI_KIT_FORM_VIEW_H

#include <stdbool.h>

#include "core/base/form.h"
#include "tui/kit/entry.h"
#include "tui/kit/rect.h"

/* Says what a field's text was taken to mean, when that is more than its parsing: the cow of that name, say.
 * The field has parsed well. Returns 0 and writes words to buf (may be left empty), or -1 with the reason in
 * *f when it cannot be right. */
typedef int (*form_understand_fn)(void *context, const struct form *form, size_t field, char *buf,
                                  size_t size, struct fail *f);

struct form_view {
    const char *title;
    struct form form; /* always holds what the lines say, as far as it was understood */
    struct entry entry[FORM_FIELDS_MAX];
    struct fail fail[FORM_FIELDS_MAX]; /* FAIL_NONE: nothing wrong with that line */
    char understood[FORM_FIELDS_MAX][QUANTITY_TEXT_MAX * 2];
    bool filled[FORM_FIELDS_MAX];  /* the line had a value from the start: emptying it can mean to clear it */
    size_t at;                     /* the line that has the keys */
    size_t shown;                  /* lines that are not folded away: all, or those before the first seldom one */
    size_t top;                    /* the first line shown */
    form_understand_fn understand; /* may be NULL */
    void *context;
    struct fail refused; /* why the whole was not taken; shown under the lines until the next key */
};

/* Opens an empty form with the keys in the first line; what is seldom asked is folded away until it is filled
 * or gone to. The table of fields and the title are borrowed. */
void form_view_init(struct form_view *v, const char *title, const struct field *fields, size_t count,
                    enum unit_system units, struct instant now);

/* Asks `understand` about every line from now on. */
void form_view_understand(struct form_view *v, form_understand_fn understand, void *context);

/* Fills one line beforehand ("cow", "Maud"). A value that is not understood stands there with its reason. */
void form_view_set(struct form_view *v, const char *key, const char *text);

/* Puts the keys into that line. */
void form_view_go(struct form_view *v, const char *key);

enum form_view_answer {
    FORM_VIEW_NOTHING, /* not its key */
    FORM_VIEW_DRAW,    /* something changed */
    FORM_VIEW_SUBMIT,  /* Enter, and every line is understood: v->form is what was entered */
    FORM_VIEW_LEAVE,   /* Esc */
};

enum form_view_answer form_view_press(struct form_view *v, int key);
enum form_view_answer form_view_paste(struct form_view *v, uint32_t code);

/* The entered form was refused by what should have taken it: says why, keeps every line. */
void form_view_refuse(struct form_view *v, const struct fail *why);

/* Rows it would like. */
int form_view_rows(const struct form_view *v);
void draw_form_view(struct rect r, struct form_view *v);

#endif
