#include "tui/kit/form_view.h"

#include <assert.h>
#include <ctype.h>
#include <stdio.h>
#include <string.h>

#include "core/base/text.h"
#include "tui/kit/draw.h"
#include "tui/kit/press.h"

enum {
    POINTER_COLS = 2,
    LABEL_COLS_MAX = 18,
    GAP_COLS = 2,
    ENTRY_COLS = 24,
    BESIDE_COLS_LEAST = 16, /* less is not worth beginning a sentence in */
    HINT_ROWS = 2,
    CHOICE_TEXT_MAX = 64,
};

static const struct field *field_of(const struct form_view *v, size_t i)
{
    return &v->form.fields[i];
}

static const char *label_of(const struct field *field)
{
    return field->label != NULL ? field->label : field->key;
}

/* What a parsed value means, in words; "" where the text says it already. */
static void say_value(const struct form *form, size_t i, char *buf, size_t size)
{
    const struct value *v = &form->value[i];
    char words[CIVIL_TEXT_MAX], day[CIVIL_TEXT_MAX];
    buf[0] = '\0';
    switch (form->fields[i].type) {
    case FIELD_QUANTITY: {
        char quantity[QUANTITY_TEXT_MAX];
        (void)snprintf(buf, size, "%s",
                       quantity_format(v->number, form->fields[i].dim, form->units, quantity));
        break;
    }
    case FIELD_DATE:
        (void)snprintf(buf, size, "%s, %s", date_weekday_text(v->on, words), date_iso(v->on, day));
        break;
    case FIELD_MOMENT: (void)snprintf(buf, size, "%s", instant_text_near(v->at, form->now, words)); break;
    case FIELD_TEXT:
    case FIELD_NAME:
    case FIELD_CHOICE:
    case FIELD_FILE: break;
    }
}

/* Works out anew what a line says. A line that is not understood holds no value. */
static void read_line(struct form_view *v, size_t i)
{
    const struct field *field = field_of(v, i);
    char text[ENTRY_MAX];
    v->fail[i] = (struct fail){0};
    v->understood[i][0] = '\0';
    v->form.value[i] = (struct value){0};
    (void)text_trim(text, sizeof text, v->entry[i].text);
    bool clears = v->filled[i] && (field->flags & FIELD_AGAIN) != 0;
    if (text[0] == '\0' && !clears)
        return;
    bool good = form_set(&v->form, field->key, text, &v->fail[i]) == 0;
    if (good && text[0] != '\0') {
        say_value(&v->form, i, v->understood[i], sizeof v->understood[i]);
        if (v->understand != NULL)
            good = v->understand(v->context, &v->form, i, v->understood[i], sizeof v->understood[i],
                                 &v->fail[i]) == 0;
    }
    if (!good) {
        v->understood[i][0] = '\0';
        v->form.value[i] = (struct value){0};
    }
}

void form_view_init(struct form_view *v, const char *title, const struct field *fields, size_t count,
                    enum unit_system units, struct instant now)
{
    memset(v, 0, sizeof *v);
    v->title = title;
    form_init(&v->form, fields, count, units, now);
    for (size_t i = 0; i < count; i++)
        entry_init(&v->entry[i], "", FORM_TEXT_MAX - 1);
    while (v->shown < count && (fields[v->shown].flags & FIELD_SELDOM) == 0)
        v->shown++;
}

/* Unfolds as far as that line. */
static void show_line(struct form_view *v, size_t i)
{
    if (i >= v->shown)
        v->shown = i + 1;
}

void form_view_understand(struct form_view *v, form_understand_fn understand, void *context)
{
    v->understand = understand;
    v->context = context;
    for (size_t i = 0; i < v->form.count; i++)
        read_line(v, i);
}

static size_t line_of(const struct form_view *v, const char *key)
{
    size_t i = 0;
    while (i < v->form.count && strcmp(v->form.fields[i].key, key) != 0)
        i++;
    assert(i < v->form.count);
    return i < v->form.count ? i : 0;
}

void form_view_set(struct form_view *v, const char *key, const char *text)
{
    size_t i = line_of(v, key);
    entry_init(&v->entry[i], text, FORM_TEXT_MAX - 1);
    v->filled[i] = v->entry[i].length > 0;
    if (v->filled[i])
        show_line(v, i);
    read_line(v, i);
}

void form_view_go(struct form_view *v, const char *key)
{
    v->at = line_of(v, key);
    show_line(v, v->at);
}

/* The position of the line's word among its choices, -1 when it has none. */
static int choice_now(const struct form_view *v, size_t i)
{
    char word[CHOICE_TEXT_MAX];
    for (int n = 0; field_choice(field_of(v, i), n, word, sizeof word); n++)
        if (text_same(word, v->entry[i].text))
            return n;
    return -1;
}

static int choice_count(const struct field *field)
{
    char word[CHOICE_TEXT_MAX];
    int n = 0;
    while (field_choice(field, n, word, sizeof word))
        n++;
    return n;
}

static void choose(struct form_view *v, size_t i, int n)
{
    char word[CHOICE_TEXT_MAX];
    bool some = n >= 0 && field_choice(field_of(v, i), n, word, sizeof word);
    entry_init(&v->entry[i], some ? word : "", FORM_TEXT_MAX - 1);
}

/* One further, round and round; "none of them" is a place too where the field may be left out. */
static void choose_next(struct form_view *v, size_t i, int step)
{
    int count = choice_count(field_of(v, i)), now = choice_now(v, i);
    bool may_be_none = (field_of(v, i)->flags & FIELD_REQUIRED) == 0;
    int lowest = may_be_none ? -1 : 0, next = now + step;
    if (next >= count)
        next = lowest;
    else if (next < lowest)
        next = count - 1;
    choose(v, i, next);
}

/* The next choice that begins with that letter. */
static void choose_letter(struct form_view *v, size_t i, int letter)
{
    char word[CHOICE_TEXT_MAX];
    int count = choice_count(field_of(v, i)), now = choice_now(v, i);
    for (int step = 1; step <= count; step++) {
        int n = (now + step) % count;
        if (n >= 0 && field_choice(field_of(v, i), n, word, sizeof word) &&
            tolower((unsigned char)word[0]) == letter) {
            choose(v, i, n);
            return;
        }
    }
}

static bool choice_press(struct form_view *v, int key)
{
    switch (key) {
    case ' ':
    case PRESS_RIGHT: choose_next(v, v->at, 1); return true;
    case PRESS_LEFT: choose_next(v, v->at, -1); return true;
    case PRESS_BACKSPACE:
    case PRESS_DELETE:
    case PRESS_DELETE_WORD:
    case PRESS_DELETE_ALL: choose(v, v->at, -1); return true;
    default: break;
    }
    if (key > ' ' && key < 0x7F)
        choose_letter(v, v->at, tolower(key));
    return press_writes(key);
}

static void move_to(struct form_view *v, size_t line)
{
    if (line >= v->shown)
        v->shown = v->form.count;
    v->at = line;
    v->refused = (struct fail){0};
}

static bool move_press(struct form_view *v, int key)
{
    size_t last = v->form.count - 1;
    switch (key) {
    case PRESS_UP: move_to(v, v->at > 0 ? v->at - 1 : 0); return true;
    case PRESS_DOWN: move_to(v, v->at < last ? v->at + 1 : last); return true;
    case PRESS_TAB: move_to(v, v->at < last ? v->at + 1 : 0); return true;
    case PRESS_BACK_TAB: move_to(v, v->at > 0 ? v->at - 1 : v->shown - 1); return true;
    default: return false;
    }
}

/* A sentence begins with the key that it is about, as it is typed after a command ("name= is missing"). Here
 * the line's label says which is meant. */
static void say_refused(struct form_view *v, const struct fail *why)
{
    size_t key = strcspn(why->text, "=: ");
    v->refused = *why;
    for (size_t i = 0; i < v->form.count && why->text[key] != ' '; i++) {
        const struct field *field = field_of(v, i);
        if (strlen(field->key) != key || strncmp(field->key, why->text, key) != 0)
            continue;
        const char *rest = why->text + key + (why->text[key] == '=' ? 1 : 0);
        (void)snprintf(v->refused.text, sizeof v->refused.text, "%s%s", label_of(field), rest);
    }
}

static enum form_view_answer submit(struct form_view *v)
{
    struct fail why = {0};
    for (size_t i = 0; i < v->form.count; i++)
        read_line(v, i);
    for (size_t i = 0; i < v->form.count; i++)
        if (v->fail[i].code != FAIL_NONE) {
            move_to(v, i);
            say_refused(v, &v->fail[i]);
            return FORM_VIEW_DRAW;
        }
    v->refused = why;
    if (form_check(&v->form, &why) == 0)
        return FORM_VIEW_SUBMIT;
    for (size_t i = v->form.count; i-- > 0;)
        if ((field_of(v, i)->flags & FIELD_REQUIRED) != 0 && !v->form.value[i].given)
            move_to(v, i);
    say_refused(v, &why);
    return FORM_VIEW_DRAW;
}

static enum form_view_answer edited(struct form_view *v)
{
    v->refused = (struct fail){0};
    read_line(v, v->at);
    return FORM_VIEW_DRAW;
}

enum form_view_answer form_view_press(struct form_view *v, int key)
{
    if (key == PRESS_ESC)
        return FORM_VIEW_LEAVE;
    if (key == PRESS_ENTER)
        return submit(v);
    if (v->form.count == 0)
        return FORM_VIEW_NOTHING;
    if (move_press(v, key))
        return FORM_VIEW_DRAW;
    bool chooses = field_of(v, v->at)->type == FIELD_CHOICE;
    if (chooses ? choice_press(v, key) : entry_press(&v->entry[v->at], key))
        return edited(v);
    return FORM_VIEW_NOTHING;
}

enum form_view_answer form_view_paste(struct form_view *v, uint32_t code)
{
    if (v->form.count == 0 || field_of(v, v->at)->type == FIELD_CHOICE)
        return FORM_VIEW_NOTHING;
    return entry_paste(&v->entry[v->at], code) ? edited(v) : FORM_VIEW_NOTHING;
}

void form_view_refuse(struct form_view *v, const struct fail *why)
{
    say_refused(v, why);
}

int form_view_rows(const struct form_view *v)
{
    return (int)v->shown + (v->shown < v->form.count ? 1 : 0) + 1 + HINT_ROWS;
}

static int label_cols(const struct form_view *v, enum charset set)
{
    int widest = 0;
    for (size_t i = 0; i < v->form.count; i++) {
        int width = draw_width(set, label_of(field_of(v, i)));
        widest = width > widest ? width : widest;
    }
    return widest < LABEL_COLS_MAX ? widest : LABEL_COLS_MAX;
}

static void draw_choice(struct rect r, const struct form_view *v, size_t i, bool has_keys)
{
    const char *word = v->entry[i].length > 0 ? v->entry[i].text : GLYPH_DASH;
    (void)draw_textf(r, 0, 0, has_keys ? ROLE_STRONG : ROLE_CHALK, "‹ %s ›", word);
}

/* One line into r (one row): pointer, label, what was typed, what was understood. */
static void draw_line(struct rect r, struct form_view *v, size_t i)
{
    bool has_keys = i == v->at;
    struct rect pointer = rect_take_left(&r, POINTER_COLS);
    struct rect label = rect_take_left(&r, label_cols(v, r.canvas->charset));
    (void)rect_take_left(&r, GAP_COLS);
    int beside_cols = r.cols - ENTRY_COLS - GAP_COLS;
    struct rect typed = rect_take_left(&r, beside_cols >= BESIDE_COLS_LEAST ? ENTRY_COLS : r.cols);
    if (has_keys)
        (void)draw_text(pointer, 0, 0, ROLE_ACCENT, GLYPH_POINTER);
    (void)draw_text(label, 0, 0, has_keys ? ROLE_STRONG : ROLE_CHALK, label_of(field_of(v, i)));
    if (field_of(v, i)->type == FIELD_CHOICE)
        draw_choice(typed, v, i, has_keys);
    else
        draw_entry(typed, 0, 0, typed.cols, &v->entry[i], has_keys);
    /* While a line is being typed it is not wrong yet, only not finished. */
    bool wrong = v->fail[i].code != FAIL_NONE;
    (void)draw_text(r, 0, GAP_COLS,
                    wrong && !has_keys ? ROLE_WATCH
                    : wrong            ? ROLE_FAINT
                                       : ROLE_CALM,
                    wrong ? v->fail[i].text : v->understood[i]);
}

/* The whole sentence that has no room beside its line, or what goes into the line. */
static void draw_hint(struct rect r, const struct form_view *v)
{
    if (v->refused.code != FAIL_NONE)
        (void)draw_wrapped(r, 0, 0, ROLE_WATCH, v->refused.text);
    else if (v->form.count > 0 && v->fail[v->at].code != FAIL_NONE)
        (void)draw_wrapped(r, 0, 0, ROLE_CHALK, v->fail[v->at].text);
    else if (v->form.count > 0 && field_of(v, v->at)->help != NULL)
        (void)draw_wrapped(r, 0, 0, ROLE_FAINT, field_of(v, v->at)->help);
}

static void scroll_to_line(struct form_view *v, size_t rows)
{
    if (rows == 0)
        return;
    if (v->at < v->top)
        v->top = v->at;
    if (v->at >= v->top + rows)
        v->top = v->at - rows + 1;
    if (v->top + rows > v->shown)
        v->top = v->shown > rows ? v->shown - rows : 0;
}

void draw_form_view(struct rect r, struct form_view *v)
{
    if (r.rows > 2)
        draw_rule(rect_take_top(&r, 1), 0, ROLE_ACCENT, v->title, "Enter done · Esc leave");
    struct rect hint = rect_take_bottom(&r, r.rows > HINT_ROWS ? HINT_ROWS : r.rows - 1);
    hint = rect_part(hint, 0, POINTER_COLS, hint.rows, hint.cols);
    if (v->shown < v->form.count && r.rows > 1) {
        int row = r.rows - 1 < (int)v->shown ? r.rows - 1 : (int)v->shown;
        (void)draw_textf(rect_part(r, row, POINTER_COLS, 1, r.cols - POINTER_COLS), 0, 0, ROLE_FAINT,
                         GLYPH_DOWN " %zu more, seldom needed", v->form.count - v->shown);
        r = rect_part(r, 0, 0, row, r.cols);
    }
    scroll_to_line(v, (size_t)r.rows);
    for (int row = 0; row < r.rows && v->top + (size_t)row < v->shown; row++)
        draw_line(rect_part(r, row, 0, 1, r.cols), v, v->top + (size_t)row);
    draw_hint(hint, v);
}
