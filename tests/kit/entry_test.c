/* Typing: the entry against a model that is a plain list of characters. */
#include "tui/kit/entry.h"

#include "core/base/text.h"
#include "tests/kit/hostile.h"
#include "tests/support.h"
#include "tui/kit/draw.h"
#include "tui/kit/press.h"

static struct entry entry;

static void type(const char *text)
{
    int length;
    for (; *text != '\0'; text += length)
        (void)entry_press(&entry, (int)text_decode(text, &length));
}

START_TEST(typing_moving_and_deleting)
{
    entry_init(&entry, "48.5lb", 0);
    ck_assert_uint_eq(entry.at, 6);
    ck_assert(entry_press(&entry, PRESS_BACKSPACE));
    ck_assert(entry_press(&entry, PRESS_BACKSPACE));
    type(" kg");
    ck_assert_str_eq(entry.text, "48.5 kg");
    ck_assert(entry_press(&entry, PRESS_HOME));
    ck_assert(entry_press(&entry, PRESS_DELETE));
    ck_assert(entry_press(&entry, PRESS_RIGHT));
    type("1");
    ck_assert_str_eq(entry.text, "81.5 kg");
    ck_assert(entry_press(&entry, PRESS_END));
    ck_assert(entry_press(&entry, PRESS_DELETE_WORD));
    ck_assert_str_eq(entry.text, "81.5 ");
    ck_assert(entry_press(&entry, PRESS_DELETE_WORD));
    ck_assert_str_eq(entry.text, "");
    type("x");
    ck_assert(entry_press(&entry, PRESS_DELETE_ALL));
    ck_assert_str_eq(entry.text, "");
    ck_assert(entry_press(&entry, PRESS_BACKSPACE)); /* its key, though there is nothing to do */
    ck_assert(!entry_press(&entry, PRESS_ENTER) && !entry_press(&entry, PRESS_TAB) &&
              !entry_press(&entry, PRESS_UP) && !entry_press(&entry, PRESS_ESC));
    ck_assert(entry_ok(&entry));
}
END_TEST

START_TEST(a_letter_and_its_marks_go_together)
{
    entry_init(&entry, "", 0);
    type("Z\xCC\x81\xCC\x82\xCC\x83y"); /* the third mark is one too many */
    ck_assert_str_eq(entry.text, "Z\xCC\x81\xCC\x82y");
    ck_assert(entry_press(&entry, PRESS_LEFT));
    ck_assert(entry_press(&entry, PRESS_LEFT));
    ck_assert_uint_eq(entry.at, 0);
    type("\xCC\x81"); /* nothing for it to stand on */
    ck_assert(entry_press(&entry, PRESS_DELETE));
    ck_assert_str_eq(entry.text, "y");
}
END_TEST

START_TEST(controls_and_the_like_do_not_go_in)
{
    entry_init(&entry, "\x1b[2Ja", 0);
    ck_assert_str_eq(entry.text, "\xEF\xBF\xBD[2Ja");
    entry_init(&entry, "", 0);
    static const uint32_t bad[] = {0x1B, 0x00, 0x7F, 0x9B, 0x202E, 0x200B, 0xE000, 0xFE0F};
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++)
        ck_assert(!entry_paste(&entry, bad[i]));
    ck_assert(entry_paste(&entry, 'a') && entry_paste(&entry, '\n') && entry_paste(&entry, '\t'));
    ck_assert_str_eq(entry.text, "a  ");
}
END_TEST

START_TEST(a_limit_is_kept_to_the_byte)
{
    entry_init(&entry, "Buttercup", 4);
    ck_assert_str_eq(entry.text, "Butt");
    entry_init(&entry, "", 5);
    type("花子x");
    ck_assert_str_eq(entry.text, "花x"); /* 3 bytes, no room for 3 more, room for 1 */
    entry_init(&entry, "", ENTRY_MAX * 2);
    for (int i = 0; i < ENTRY_MAX + 10; i++)
        type("a");
    ck_assert_uint_eq(entry.length, ENTRY_MAX - 1);
    ck_assert(entry_ok(&entry));
}
END_TEST

/* The model: characters in an array, one string each, and a place among them. */
enum { MODEL_MAX = 64, MODEL_CHAR = 8 };

struct model {
    char unit[MODEL_MAX][MODEL_CHAR];
    int count, at;
};

static void model_insert(struct model *m, const char *unit)
{
    memmove(m->unit[m->at + 1], m->unit[m->at], (size_t)(m->count - m->at) * MODEL_CHAR);
    (void)snprintf(m->unit[m->at], MODEL_CHAR, "%s", unit);
    m->count++;
    m->at++;
}

static void model_delete(struct model *m, int from, int to)
{
    memmove(m->unit[from], m->unit[to], (size_t)(m->count - to) * MODEL_CHAR);
    m->count -= to - from;
    m->at = from;
}

static bool model_blank(const struct model *m, int i)
{
    return strcmp(m->unit[i], " ") == 0;
}

static void model_delete_word(struct model *m)
{
    int from = m->at;
    while (from > 0 && model_blank(m, from - 1))
        from--;
    while (from > 0 && !model_blank(m, from - 1))
        from--;
    model_delete(m, from, m->at);
}

static void model_press(struct model *m, int key)
{
    switch (key) {
    case PRESS_LEFT: m->at -= m->at > 0; break;
    case PRESS_RIGHT: m->at += m->at < m->count; break;
    case PRESS_HOME: m->at = 0; break;
    case PRESS_END: m->at = m->count; break;
    case PRESS_BACKSPACE:
        if (m->at > 0)
            model_delete(m, m->at - 1, m->at);
        break;
    case PRESS_DELETE:
        if (m->at < m->count)
            model_delete(m, m->at, m->at + 1);
        break;
    case PRESS_DELETE_WORD: model_delete_word(m); break;
    case PRESS_DELETE_ALL: model_delete(m, 0, m->count); break;
    default: break;
    }
}

static void ck_model(const struct model *m, int n)
{
    char text[MODEL_MAX * MODEL_CHAR] = "";
    size_t at = 0;
    for (int i = 0; i < m->count; i++) {
        if (i == m->at)
            at = strlen(text);
        (void)text_append(text, sizeof text, "%s", m->unit[i]);
    }
    if (m->at == m->count)
        at = strlen(text);
    if (strcmp(text, entry.text) != 0 || at != entry.at || !entry_ok(&entry))
        ck_abort_msg("round %d: \"%s\" at %zu, the model has \"%s\" at %zu", n, entry.text, entry.at, text,
                     at);
}

START_TEST(any_keys_at_all_do_what_the_model_does)
{
    static const char *const units[] = {
        "a", "B", "7", ".", " ", "é", "ł", "花", "½", "e\xCC\x81", "x\xCC\x81\xCC\xB2"};
    static const int keys[] = {PRESS_LEFT,        PRESS_LEFT,      PRESS_RIGHT,     PRESS_HOME,
                               PRESS_END,         PRESS_BACKSPACE, PRESS_BACKSPACE, PRESS_DELETE,
                               PRESS_DELETE_WORD, PRESS_DELETE_ALL};
    struct stream s = {2024};
    struct model m = {0};
    entry_init(&entry, "", 0);
    for (int n = 0; n < 100000; n++) {
        int pick = stream_below(&s, 40);
        if (pick < 10) {
            if (pick < 9 || stream_below(&s, 8) == 0) { /* emptying it is rare */
                model_press(&m, keys[pick]);
                ck_assert(entry_press(&entry, keys[pick]));
            }
        } else if (m.count < MODEL_MAX - 1) {
            const char *unit = units[stream_below(&s, 11)];
            model_insert(&m, unit);
            type(unit);
        }
        if (n % 4 == 0)
            ck_model(&m, n);
    }
}
END_TEST

START_TEST(any_paste_leaves_clean_text_and_a_caret_in_sight)
{
    struct stream s = {31};
    struct canvas canvas = {0};
    char text[600];
    ck_assert_int_eq(canvas_resize(&canvas, 1, 30, NULL), 0);
    for (int n = 0; n < 3000; n++) {
        int length;
        hostile_make(&s, text, sizeof text);
        entry_init(&entry, "", (size_t)stream_below(&s, ENTRY_MAX));
        for (const char *p = text; *p != '\0'; p += length) {
            (void)entry_paste(&entry, text_decode(p, &length));
            if (stream_below(&s, 9) == 0)
                (void)entry_press(&entry, stream_below(&s, 2) == 0 ? PRESS_LEFT : PRESS_HOME);
        }
        if (!entry_ok(&entry))
            ck_abort_msg("round %d: \"%s\"", n, entry.text);
        canvas_erase(&canvas);
        int cols = 1 + stream_below(&s, 30), carets = 0;
        draw_entry(rect_whole(&canvas), 0, 0, cols, &entry, true);
        for (int col = 0; col < canvas.cols; col++)
            carets += canvas.cells[col].role == ROLE_CARET;
        if (carets < 1 || carets > 2)
            ck_abort_msg("round %d: the caret covers %d cells", n, carets);
    }
    canvas_release(&canvas);
}
END_TEST

static const char *drawn(int cols, bool has_keys)
{
    static char buf[400];
    struct canvas canvas = {0};
    ck_assert_int_eq(canvas_resize(&canvas, 1, 40, NULL), 0);
    draw_entry(rect_whole(&canvas), 0, 0, cols, &entry, has_keys);
    (void)canvas_row_text(&canvas, 0, buf, sizeof buf);
    canvas_release(&canvas);
    return buf;
}

START_TEST(long_text_scrolls_so_that_the_caret_is_seen)
{
    entry_init(&entry, "abcdefghij", 0);
    ck_assert_str_eq(drawn(6, true), "fghij"); /* and a place for the next letter */
    for (int i = 0; i < 7; i++)
        (void)entry_press(&entry, PRESS_LEFT);
    ck_assert_str_eq(drawn(6, true), "defghi");
    (void)entry_press(&entry, PRESS_HOME);
    ck_assert_str_eq(drawn(6, true), "abcdef");
    (void)entry_press(&entry, PRESS_END);
    ck_assert_str_eq(drawn(6, true), "fghij");
    ck_assert_str_eq(drawn(20, true), "abcdefghij"); /* a wider window hides nothing */
    for (int i = 0; i < 7; i++)
        (void)entry_press(&entry, PRESS_BACKSPACE);
    ck_assert_str_eq(drawn(6, true), "abc");
    ck_assert_str_eq(drawn(0, true), "");
}
END_TEST

Suite *entry_suite(void)
{
    Suite *s = suite_create("entry");
    TCase *t = tcase_create("entry");
    tcase_add_test(t, typing_moving_and_deleting);
    tcase_add_test(t, a_letter_and_its_marks_go_together);
    tcase_add_test(t, controls_and_the_like_do_not_go_in);
    tcase_add_test(t, a_limit_is_kept_to_the_byte);
    tcase_add_test(t, any_keys_at_all_do_what_the_model_does);
    tcase_add_test(t, any_paste_leaves_clean_text_and_a_caret_in_sight);
    tcase_add_test(t, long_text_scrolls_so_that_the_caret_is_seen);
    suite_add_tcase(s, t);
    return s;
}
