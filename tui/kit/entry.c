#include "tui/kit/entry.h"

#include <string.h>

#include "tui/kit/cells.h"
#include "tui/kit/draw.h"
#include "tui/kit/press.h"

static size_t step_forward(const struct entry *e, size_t at)
{
    const char *next;
    (void)cells_step(e->text + at, CHARSET_FULL, &next);
    return (size_t)(next - e->text);
}

static size_t step_back(const struct entry *e, size_t at)
{
    size_t before = 0;
    for (size_t next = 0; next < at; next = step_forward(e, next))
        before = next;
    return before;
}

static void cut_out(struct entry *e, size_t from, size_t to)
{
    memmove(e->text + from, e->text + to, e->length - to + 1);
    e->length -= to - from;
    e->at = from;
}

/* Marks already standing on the character before the caret; too many to add one when there is none. */
static int marks_before(const struct entry *e)
{
    if (e->at == 0 || e->text[e->at - 1] == ' ')
        return TEXT_MARKS_MAX;
    int marks = -1, length;
    for (size_t i = step_back(e, e->at); i < e->at; i += (size_t)length) {
        (void)text_decode(e->text + i, &length);
        marks++;
    }
    return marks;
}

static bool takes(const struct entry *e, uint32_t code)
{
    switch (text_classify(code)) {
    case TEXT_SHOWN:
    case TEXT_SPACE: return true;
    case TEXT_MARK: return marks_before(e) < TEXT_MARKS_MAX;
    case TEXT_DROPPED:
    case TEXT_BAD: break;
    }
    return false;
}

static bool insert(struct entry *e, uint32_t code)
{
    char bytes[4];
    size_t n = text_encode(text_classify(code) == TEXT_SPACE ? ' ' : code, bytes);
    if (!takes(e, code) || e->length + n > e->limit)
        return false;
    memmove(e->text + e->at + n, e->text + e->at, e->length - e->at + 1);
    memcpy(e->text + e->at, bytes, n);
    e->length += n;
    e->at += n;
    return true;
}

static size_t word_begin(const struct entry *e)
{
    size_t at = e->at;
    while (at > 0 && e->text[at - 1] == ' ')
        at--;
    while (at > 0 && e->text[at - 1] != ' ')
        at--;
    return at;
}

void entry_init(struct entry *e, const char *text, size_t limit)
{
    *e = (struct entry){.limit = limit == 0 || limit >= ENTRY_MAX ? ENTRY_MAX - 1 : limit};
    (void)text_clean(e->text, e->limit + 1, text);
    e->length = strlen(e->text);
    e->at = e->length;
}

bool entry_press(struct entry *e, int key)
{
    if (press_writes(key)) {
        (void)insert(e, (uint32_t)key);
        return true;
    }
    switch (key) {
    case PRESS_LEFT: e->at = step_back(e, e->at); return true;
    case PRESS_RIGHT: e->at = step_forward(e, e->at); return true;
    case PRESS_HOME: e->at = 0; return true;
    case PRESS_END: e->at = e->length; return true;
    case PRESS_BACKSPACE: cut_out(e, step_back(e, e->at), e->at); return true;
    case PRESS_DELETE: cut_out(e, e->at, step_forward(e, e->at)); return true;
    case PRESS_DELETE_WORD: cut_out(e, word_begin(e), e->at); return true;
    case PRESS_DELETE_ALL: cut_out(e, 0, e->length); return true;
    default: return false;
    }
}

bool entry_paste(struct entry *e, uint32_t code)
{
    return insert(e, code);
}

/* Keeps the caret in sight, and no more hidden at the left than that takes. */
static void scroll_to_caret(struct entry *e, int cols, int caret, int total)
{
    if (caret - e->scroll >= cols)
        e->scroll = caret - cols + 1;
    if (e->scroll > caret)
        e->scroll = caret;
    if (e->scroll > 0 && total + 1 - e->scroll < cols)
        e->scroll = total + 1 > cols ? total + 1 - cols : 0;
}

static void draw_caret(struct rect field, const struct entry *e, int col)
{
    struct cells it = cells_of(e->text + e->at, NULL, field.canvas->charset);
    struct cell cell = {.base = ' ', .columns = 1};
    (void)cells_next(&it, &cell);
    cell.role = ROLE_CARET;
    cell_put(field, 0, col, &cell);
}

void draw_entry(struct rect r, int row, int col, int cols, struct entry *e, bool has_keys)
{
    struct rect field = rect_part(r, row, col, 1, cols);
    enum charset set = r.canvas->charset;
    int caret = cells_width(e->text, e->text + e->at, set), total = cells_width(e->text, NULL, set);
    if (field.rows == 0 || field.cols == 0)
        return;
    scroll_to_caret(e, field.cols, caret, total);
    draw_fill(field, ROLE_FIELD, ' ');
    struct cells it = cells_of(e->text, NULL, set);
    struct cell cell;
    for (int at = -e->scroll; at < field.cols && cells_next(&it, &cell); at += cell.columns) {
        cell.role = ROLE_FIELD;
        cell_put(field, 0, at, &cell);
    }
    if (has_keys)
        draw_caret(field, e, caret - e->scroll);
}

bool entry_ok(const struct entry *e)
{
    int marks = TEXT_MARKS_MAX, length;
    bool caret_fits = e->at == e->length;
    if (e->limit >= ENTRY_MAX || e->length > e->limit || strlen(e->text) != e->length || e->scroll < 0)
        return false;
    for (size_t i = 0; i < e->length; i += (size_t)length) {
        enum text_class class = text_classify(text_decode(e->text + i, &length));
        if (length == 1 && (unsigned char)e->text[i] >= 0x80)
            return false;
        if (class == TEXT_BAD || class == TEXT_DROPPED || (class == TEXT_MARK && ++marks > TEXT_MARKS_MAX))
            return false;
        if (class != TEXT_MARK)
            marks = class == TEXT_SHOWN ? 0 : TEXT_MARKS_MAX;
        caret_fits = caret_fits || (i == e->at && class != TEXT_MARK);
    }
    return caret_fits;
}
