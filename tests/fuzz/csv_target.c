/* Text files from outside: weights from a spreadsheet, a history of temperatures, a routine; and cells
 * written and read again. */
#include <math.h>
#include <string.h>

#include "core/base/csv.h"
#include "core/base/text.h"
#include "core/herd/weights_csv.h"
#include "core/sanitation/routine.h"
#include "tests/fuzz/target.h"

int LLVMFuzzerInitialize(int *argc, char ***argv)
{
    (void)argc;
    (void)argv;
    fuzz_environment();
    return 0;
}

static int on_weight(void *context, const struct weight_row *row, struct fail *f)
{
    (void)context;
    (void)f;
    fuzz_check_clean("name of a cow", row->cow, strlen(row->cow));
    if (row->good)
        FUZZ_CHECK(isfinite(row->kg) && row->kg >= 0 && date_known(row->on));
    else
        fuzz_check_clean("what is wrong", row->wrong, strlen(row->wrong));
    return 0;
}

static int on_row(void *context, const struct csv_row *row, struct fail *f)
{
    (void)context;
    (void)f;
    FUZZ_CHECK(row->count <= CSV_CELLS_MAX);
    for (size_t i = 0; i < row->count; i++)
        fuzz_check_clean("cell", row->cell[i], strlen(row->cell[i]));
    return 0;
}

static int same_cell(void *context, const struct csv_long_row *row, struct fail *f)
{
    (void)f;
    FUZZ_CHECK(row->count == 3 && strcmp(row->cell[1], context) == 0 && strcmp(row->cell[2], "end") == 0);
    return 0;
}

/* Any text, written as a cell, is the same text read back, and no spreadsheet takes it for a formula (OWASP,
 * CSV Injection: = + - @ tab CR at the beginning). */
static void write_and_read(const char *text)
{
    char cell[2200], line[2300];
    struct fail f = {0};
    FUZZ_CHECK(csv_quote(cell, sizeof cell, text));
    const char *first = cell[0] == '"' ? cell + 1 : cell;
    FUZZ_CHECK(*first == '\0' || strchr("=+-@\t\r", *first) == NULL);
    snprintf(line, sizeof line, "begin,%s,end\r\n", cell);
    FUZZ_CHECK(csv_read_long(line, strlen(line), same_cell, (void *)(uintptr_t)text, &f) == 0);
}

static void routine_and_back(const char *text)
{
    static struct routine one, two;
    static char written[ROUTINE_TEXT_MAX], rewritten[ROUTINE_TEXT_MAX];
    struct fail f = {0};
    if (routine_parse(text, &one, &f) != 0) {
        fuzz_check_clean("refusal", f.text, strlen(f.text));
        return;
    }
    FUZZ_CHECK(routine_write(&one, written, sizeof written, &f) == 0);
    FUZZ_CHECK(routine_parse(written, &two, &f) == 0);
    FUZZ_CHECK(routine_write(&two, rewritten, sizeof rewritten, &f) == 0);
    FUZZ_CHECK(strcmp(written, rewritten) == 0);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static char text[65536];
    char cell[1000];
    struct weights_preview preview;
    struct fail f = {0};
    if (size == 0)
        return 0;
    const char *bytes = (const char *)data + 1;
    (void)weights_csv_read(bytes, size - 1, (enum weights_dates)(data[0] % 3), on_weight, NULL, &preview, &f);
    (void)csv_read(bytes, size - 1, on_row, NULL, &f);
    (void)fuzz_text(text, sizeof text, data + 1, size - 1);
    routine_and_back(text);
    write_and_read(fuzz_text(cell, sizeof cell, data + 1, size - 1));
    return 0;
}
