/* Names and notes that try to get out of their place: escape sequences, words that turn the writing round,
 * marks without end, formulas for spreadsheets. They go in as a keeper's words do, and are looked for
 * wherever they come out: on the screen, on standard output, in JSON, in the plain text of an export. */
#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "tests/faults/board.h"
#include "tests/faults/morning.h"

enum { PATIENCE_MS = 20000, LETTERS = 26 };

static char folder[PATH_ROOM], records[2 * PATH_ROOM], output[2 * PATH_ROOM], text_folder[2 * PATH_ROOM];
static long cases;

static const char *const texts[] = {
    "Maud",
    "\033[2J\033[H",
    "\033]0;title\007",
    "\033P+q544e\033\\",
    "\033[31mred",
    "\xC2\x9B"
    "31m",
    "\xC2\x9D"
    "0;x\007",
    "a\nb\rc\td\be\vf\fg",
    "\177\001\002\016\017",
    "\xE2\x80\xAE"
    "evods",
    "\xE2\x81\xA6iso\xE2\x81\xA9",
    "\xE2\x80\x8B\xE2\x80\x8C\xE2\x80\x8D\xEF\xBB\xBF",
    "Z\xCC\x81\xCC\x82\xCC\x83\xCC\x84\xCC\x85\xCC\x86",
    "\xCC\x81\xCC\x82",
    "\xE8\x8A\xB1\xE5\xAD\x90\xE8\x8A\xB1\xE5\xAD\x90",
    "\xF0\x9F\x91\xA9\xE2\x80\x8D\xF0\x9F\x8C\xBE",
    "\xEF\xB7\xBD",
    "\xFF\xFE\xC0\x80\xED\xA0\x80\xF5\x80\x80\x80",
    "\xE2\x82",
    "\xF3\xA0\x81\x81\xF3\xA0\x81\x82",
    "=1+1",
    "+1-1",
    "-2+3",
    "@SUM(A1)",
    "=cmd|' /C calc'!A0",
    "\t=1",
    "'=1",
    "a\",\"b",
    "\"",
    "a,b;c|d",
    "%s%n%x",
    "'); DROP TABLE cow; --",
    "../../etc/passwd",
    "<b>&amp;</b>",
    "{\"a\":1}",
    "         ",
    "------------------------------------------------------------------------------------------",
    "WWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWW",
    "1/2 \xC2\xBD \xC2\xB0"
    "F",
    "$(touch /tmp/x)`id`",
};
enum { TEXTS = sizeof texts / sizeof texts[0] };

/* One code point; 0xFFFFFFFF for what is no UTF-8. Written here, so as not to ask the program. */
static uint32_t decode(const unsigned char *s, size_t left, size_t *length)
{
    size_t n = s[0] < 0x80 ? 1 : s[0] < 0xC2 ? 0 : s[0] < 0xE0 ? 2 : s[0] < 0xF0 ? 3 : s[0] < 0xF5 ? 4 : 0;
    *length = 1;
    if (n == 0 || n > left)
        return UINT32_MAX;
    uint32_t c = n == 1 ? s[0] : s[0] & (0xFFu >> (n + 1));
    for (size_t i = 1; i < n; i++) {
        if ((s[i] & 0xC0) != 0x80)
            return UINT32_MAX;
        c = c << 6 | (s[i] & 0x3F);
    }
    *length = n;
    return c;
}

/* Controls, what has no width, what turns the writing round, tags (Unicode, General_Category Cc and Cf). */
static bool is_unsafe(uint32_t c)
{
    return c < 0x20 || (c >= 0x7F && c < 0xA0) || (c >= 0x200B && c <= 0x200F) ||
           (c >= 0x202A && c <= 0x202E) || (c >= 0x2060 && c <= 0x206F) || c == 0x2028 || c == 0x2029 ||
           c == 0xFEFF || (c >= 0xE0000 && c <= 0xE007F) || c == UINT32_MAX;
}

static void expect_clean(const char *what, const char *text, size_t size)
{
    cases++;
    for (size_t i = 0, length; i < size; i += length) {
        uint32_t c = decode((const unsigned char *)text + i, size - i, &length);
        if (c != '\n' && is_unsafe(c)) {
            violation("%s: U+%04X at byte %zu", what, (unsigned)c, i);
            return;
        }
    }
}

/* ---- going in ---- */

static long taken;

static void put(const char *kind, const char *key, const char *text, const char *more)
{
    struct run r;
    char word[600];
    snprintf(word, sizeof word, "%s=%s", key, text);
    const char *const words[] = {program(), "--db", records, "--at", "2026-05-03T06:20",
                                 "record",  kind,   word,    more,   NULL};
    run(&r, words, NULL, PATIENCE_MS);
    expect_clean("what was recorded", r.out, strlen(r.out));
    expect_clean("a refusal", r.err, strlen(r.err));
    if (r.timed_out || r.signal != 0 || r.status > 2)
        violation("record %s: exit %d, signal %d", kind, r.status, r.signal);
    taken += r.status == 0;
}

/* Each as a cow's name (twelve of them have stalls), a note, a person with whom to talk, a medicine. */
static void put_all(void)
{
    for (int i = 0; i < TEXTS; i++) {
        char stall[20] = "";
        snprintf(stall, sizeof stall, "stall=%d", 3 + i % 10);
        put("cow", "name", texts[i], i < 30 && i % 3 == 0 ? stall : "sire=x");
        put("note", "text", texts[i], "cow=Maud");
        put("person", "name", texts[i], "contact==1+1");
        put("taste", "note", texts[i], "flavour=feed");
        put("milk", "who", texts[i], "mass=4lb");
    }
    if (taken < TEXTS)
        violation("only %ld of these texts were taken", taken);
}

/* ---- coming out ---- */

static char *output_of(const char *const words[])
{
    static const char line[] = "exec \"$@\" > \"$0\" 2>&1";
    const char *all[20] = {"/bin/sh",         "-c", line, output, program(), "--db", records, "--at",
                           "2026-05-03T06:30"};
    struct run r;
    size_t size = 0;
    int n = 9;
    for (int i = 0; words[i] != NULL; i++)
        all[n++] = words[i];
    all[n] = NULL;
    run(&r, all, NULL, PATIENCE_MS);
    if (r.timed_out || r.signal != 0 || r.status > 2)
        violation("%s %s: exit %d, signal %d", words[0], words[1], r.status, r.signal);
    char *text = read_whole(output, &size);
    if (text != NULL)
        expect_clean(words[1], text, size);
    return text;
}

static void in_output(void)
{
    static const char *const pages[] = {"board",  "tonight", "herd",  "relief", "shelf",
                                        "recall", "people",  "taste", "losses", "journal"};
    for (size_t i = 0; i < sizeof pages / sizeof pages[0]; i++)
        for (int json = 0; json < 2; json++) {
            const char *const words[] = {"show", pages[i], json == 1 ? "--json" : NULL, NULL};
            free(output_of(words));
        }
    for (int i = 0; i < TEXTS; i++) {
        const char *const cow[] = {"show", "cow", texts[i], NULL},
                          *const card[] = {"show", "card", texts[i], NULL},
                          *const no_page[] = {"show", texts[i], NULL},
                          *const topic[] = {"reckon", texts[i], texts[i], NULL};
        free(output_of(cow));
        free(output_of(card));
        free(output_of(no_page));
        free(output_of(topic));
    }
}

/* RFC 4180, read here cell by cell: as many cells in each row as in the heading, and no text cell that a
 * spreadsheet takes for a formula (OWASP, CSV Injection). A number may have its sign. */
static void look_at_csv(const char *name, const char *text, size_t size)
{
    long columns = 0, column = 0, row = 0;
    bool quoted = false, begins = true;
    char cell[64];
    size_t used = 0;
    for (size_t i = 0; i < size; i++) {
        char c = text[i];
        if (begins && c == '"') {
            quoted = true;
            begins = false;
            continue;
        }
        if (quoted && c == '"' && i + 1 < size && text[i + 1] == '"')
            i++;
        else if (quoted && c == '"') {
            quoted = false;
            continue;
        } else if (!quoted && (c == ',' || c == '\n')) {
            char *end;
            cell[used] = '\0';
            (void)strtod(cell, &end);
            if (used > 0 && strchr("=+-@\t\r", cell[0]) != NULL && *end != '\0')
                violation("%s, row %ld: a formula: %s", name, row + 1, cell);
            used = 0;
            begins = true;
            column++;
            if (c == '\n') {
                if (row++ == 0)
                    columns = column;
                else if (column != columns)
                    violation("%s, row %ld: %ld cells instead of %ld", name, row, column, columns);
                column = 0;
            }
            continue;
        }
        begins = false;
        if (used + 1 < sizeof cell && c != '\r')
            cell[used++] = c;
    }
    cases++;
}

static void in_export(void)
{
    const char *const words[] = {"export", text_folder, NULL};
    free(output_of(words));
    DIR *d = opendir(text_folder);
    long files = 0;
    for (struct dirent *e; d != NULL && (e = readdir(d)) != NULL;) {
        char path[4 * PATH_ROOM];
        size_t size = 0;
        snprintf(path, sizeof path, "%s/%s", text_folder, e->d_name);
        char *text = strstr(e->d_name, ".csv") == NULL ? NULL : read_whole(path, &size);
        if (text == NULL)
            continue;
        look_at_csv(e->d_name, text, size);
        for (size_t k = 0; k < size; k++) /* RFC 4180: lines end in CR LF */
            if (text[k] == '\r' && k + 1 < size && text[k + 1] == '\n')
                text[k] = '\n';
        expect_clean(e->d_name, text, size);
        free(text);
        files++;
    }
    if (d != NULL)
        (void)closedir(d);
    if (files < 20)
        violation("the export has only %ld files", files);
}

static void look_at_screen(struct pty *p, const char *what)
{
    char text[4096];
    for (int row = 0; row < p->rows; row++) {
        (void)pty_row(p, row, text, sizeof text);
        expect_clean(what, text, strlen(text));
    }
    if (p->controls != 0)
        violation("%s: a sequence that is none of ours was sent", what);
    p->controls = 0;
}

/* Every screen that a letter opens, with what opens there; the frame must stand as it does for plain names:
 * the time stays in the first row. */
static void on_screen(int rows, int cols)
{
    const char *const words[] = {program(), "--db", records, "--at", "2026-05-03T06:30", NULL};
    struct pty p;
    char text[4096], what[40];
    pty_open(&p, words, NULL, "xterm-256color", rows, cols);
    if (!pty_wait_for(&p, "Sun 3 May", PATIENCE_MS))
        violation("hostile names: the board does not open");
    (void)pty_pump(&p, 100, 5000);
    look_at_screen(&p, "board");
    if (strstr(pty_row(&p, 0, text, sizeof text), "Sun 3 May") == NULL)
        violation("hostile names: the first row is not in its place");
    for (char letter = 'a'; letter <= 'z'; letter++) {
        static const char *const keys[] = {"", "\r", "\033[B\033[B\033[B", "?", "\033[6~"};
        if (letter == 'q' || letter == 'u')
            continue;
        for (size_t k = 0; k < sizeof keys / sizeof keys[0]; k++) {
            char press[3] = {k == 0 ? letter : '\0', '\0', '\0'};
            (void)pty_type(&p, press);
            (void)pty_type(&p, keys[k]);
            (void)pty_pump(&p, 15, 1000);
            snprintf(what, sizeof what, "screen %c, %zu keys", letter, k);
            look_at_screen(&p, what);
        }
        for (int back = 0; back < 3; back++) {
            (void)pty_type(&p, "\033");
            (void)pty_pump(&p, 30, 500); /* an escape is one when nothing follows for a while */
        }
    }
    pty_close(&p);
}

int main(void)
{
    (void)program();
    folder_make(folder);
    morning_small_dairy(folder);
    snprintf(records, sizeof records, "%s/" RECORDS_NAME, folder);
    snprintf(output, sizeof output, "%s/output", folder);
    snprintf(text_folder, sizeof text_folder, "%s/text", folder);
    put_all();
    in_output();
    in_export();
    on_screen(30, 100);
    on_screen(24, 80);
    folder_remove(folder);
    printf("  %d texts, %ld acts took one\n", TEXTS, taken);
    return finish("text that tries to get out", cases, "places");
}
