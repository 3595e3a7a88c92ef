#include "tests/day/real_cows.h"

#include "core/base/file.h"
#include "tests/day/rig.h"
#include "tests/scratch.h"
#include "tests/support.h"

const char *const real_cow_name[COWS] = {"Hazel", "Linnet", "Marigold", "Rowan"};

struct csv_text {
    struct date calved_on;
    char id[16];
    int cow;
    size_t length;
    char text[80000];
};

/* The day's line as a spreadsheet has it: date, cow, kg, fat %, protein %, cells per mL. Days that were not weighed
 * are left out. */
static int write_line(void *context, const struct csv_row *row, struct fail *f)
{
    (void)f;
    struct csv_text *out = context;
    char day[CIVIL_TEXT_MAX], cells[24] = "";
    if (row->line == 1)
        return 0;
    if (strcmp(out->id, row->cell[0]) != 0) {
        snprintf(out->id, sizeof out->id, "%.15s", row->cell[0]);
        out->cow++;
    }
    if (row->cell[6][0] == '\0')
        return 0;
    if (row->cell[10][0] != '\0')
        snprintf(cells, sizeof cells, "%.0f", 1000 * strtod(row->cell[10], NULL));
    out->length += (size_t)snprintf(out->text + out->length, sizeof out->text - out->length, "%s,%s,%s,%s,%s,%s\n",
                                    date_iso(date_add(out->calved_on, (int)strtol(row->cell[3], NULL, 10)), day),
                                    real_cow_name[out->cow], row->cell[6], row->cell[7], row->cell[8], cells);
    ck_assert_uint_lt(out->length, sizeof out->text);
    return 0;
}

struct dairy *real_cows_open(const char *name, struct real_herd *herd)
{
    static struct csv_text csv;
    char words[300];
    size_t size;
    struct fail f = {0};
    char *text = read_test_file("data/lactation_daily_4cows.csv", &size);
    ck_assert(read_herd(text, size, herd));
    memset(&csv, 0, sizeof csv);
    csv.cow = -1;
    ck_assert_int_eq(date_parse(REAL_COWS_CALVED, &csv.calved_on, &f), 0);
    csv.length = (size_t)snprintf(csv.text, sizeof csv.text, "date,cow,kg,fat,protein,cells\n");
    ck_assert_int_eq(csv_read(text, size, write_line, &csv, &f), 0);
    free(text);
    ck_assert_msg(file_replace(scratch_path("weights.csv"), csv.text, csv.length, &f) == 0, "%s", f.text);

    struct dairy *d = rig_open(name);
    rig_do(d, "2025-01-01T05:00", "dairy", "name=Test  keeper=Ann  units=metric  stalls=4  times=06:10,18:10");
    for (int i = 0; i < COWS; i++) {
        snprintf(words, sizeof words, "name=%s  breed=%s  stall=%d  calved=%s  calvings=%d", real_cow_name[i],
                 herd->cow[i].breed, i + 1, REAL_COWS_CALVED, herd->cow[i].parity - 1);
        rig_do(d, "2025-01-01T05:00", "cow", words);
    }
    snprintf(words, sizeof words, "file=%.200s  milkings=2", scratch_path("weights.csv"));
    rig_do(d, "2025-11-02T20:00", "weights", words);
    for (int i = 0; i < COWS; i++) {
        snprintf(words, sizeof words, "cow=%s", real_cow_name[i]);
        rig_do(d, REAL_COWS_DRY, "dry", words);
    }
    return d;
}
