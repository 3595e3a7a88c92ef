/* Quantities, dates, moments and forms, as people type them. Whatever is taken is a number, and what is
 * written of it reads back as the same. */
#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "core/base/form.h"
#include "core/base/quantity.h"
#include "core/base/text.h"
#include "tests/fuzz/target.h"

enum { DIMENSIONS = DIM_LAST + 1 };

int LLVMFuzzerInitialize(int *argc, char ***argv)
{
    (void)argc;
    (void)argv;
    fuzz_environment();
    return 0;
}

static void expect_line(const struct fail *f)
{
    FUZZ_CHECK(f->code != FAIL_NONE && f->text[0] != '\0');
    fuzz_check_clean("refusal", f->text, strlen(f->text));
    FUZZ_CHECK(strchr(f->text, '\n') == NULL);
}

static void try_quantity(const char *text, enum dimension dim, bool bare)
{
    struct fail f = {0};
    double si = NAN, again = NAN;
    for (int system = 0; system < 2; system++) {
        enum unit_system units = system == 0 ? UNITS_US : UNITS_METRIC;
        const char *unit = quantity_unit(dim, units);
        char written[QUANTITY_TEXT_MAX], rewritten[QUANTITY_TEXT_MAX];
        if (quantity_parse(text, dim, bare ? unit : NULL, &si, &f) != 0) {
            expect_line(&f);
            continue;
        }
        FUZZ_CHECK(isfinite(si));
        (void)quantity_format(si, dim, units, written);
        fuzz_check_clean("quantity", written, strlen(written));
        FUZZ_CHECK(quantity_parse(written, dim, unit, &again, &f) == 0);
        FUZZ_CHECK(strcmp(quantity_format(again, dim, units, rewritten), written) == 0);
    }
}

static void try_date(const char *text)
{
    struct fail f = {0};
    struct date d, again;
    char iso[CIVIL_TEXT_MAX];
    if (date_parse(text, &d, &f) != 0) {
        expect_line(&f);
        return;
    }
    FUZZ_CHECK(date_parse(date_iso(d, iso), &again, &f) == 0 && again.days == d.days);
}

static void try_instant(const char *text)
{
    struct fail f = {0};
    struct instant t, again, now = {1777804860}; /* 2026-05-03T10:41Z */
    char iso[CIVIL_TEXT_MAX], local[CIVIL_TEXT_MAX];
    if (instant_parse(text, now, &t, &f) != 0) {
        expect_line(&f);
        return;
    }
    FUZZ_CHECK(instant_parse(instant_iso(t, iso), now, &again, &f) == 0 && again.s == t.s);
    /* Before the railways had their time (1883 in New York) zones differed by odd seconds, which ISO 8601
     * cannot say. */
    if (t.s > -2208988800)
        FUZZ_CHECK(instant_parse(instant_iso_local(t, local), now, &again, &f) == 0 && again.s == t.s);
    (void)instant_text_near(t, now, local);
    (void)span_text(t.s, local);
}

static void try_text(const char *text)
{
    char clean[300], cut[300], again[300];
    (void)text_clean(clean, sizeof clean, text);
    fuzz_check_clean("clean text", clean, strlen(clean));
    FUZZ_CHECK(text_clean(again, sizeof again, clean)); /* what is clean stays as it is */
    for (int columns = 0; columns < 12; columns++) {
        FUZZ_CHECK(text_cut(cut, sizeof cut, clean, columns, false) <= columns);
        FUZZ_CHECK(text_width(cut) <= columns);
    }
    text_escape(cut, sizeof cut, text);
    for (const char *p = cut; *p != '\0'; p++)
        FUZZ_CHECK(*p >= 0x20 && *p < 0x7F);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char text[256];
    if (size == 0)
        return 0;
    (void)fuzz_text(text, sizeof text, data + 1, size - 1);
    try_quantity(text, (enum dimension)(data[0] % DIMENSIONS), data[0] >= 128);
    try_date(text);
    try_instant(text);
    try_text(text);
    return 0;
}
