/* Days in tests, written as people write them. */
#ifndef TESTS_BREEDING_DAY_H
#define TESTS_BREEDING_DAY_H

#include "core/base/civil.h"
#include "tests/support.h"

static inline struct date day(const char *iso)
{
    struct date d = DATE_NONE;
    struct fail f = {0};
    if (date_parse(iso, &d, &f) != 0)
        ck_abort_msg("%s", f.text);
    return d;
}

static inline struct instant moment(const char *iso)
{
    struct instant t = INSTANT_NONE;
    struct fail f = {0};
    if (instant_parse(iso, (struct instant){0}, &t, &f) != 0)
        ck_abort_msg("%s", f.text);
    return t;
}

#define ck_day(actual, iso_text)                                                                             \
    do {                                                                                                     \
        char iso_[CIVIL_TEXT_MAX];                                                                           \
        ck_assert_str_eq(date_iso((actual), iso_), (iso_text));                                              \
    } while (0)

#endif
