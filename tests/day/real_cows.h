/* The four real lactations of tests/data/lactation_daily_4cows.csv as four cows of a dairy, taken in as a keeper would. */
#ifndef TESTS_DAY_REAL_COWS_H
#define TESTS_DAY_REAL_COWS_H

#include "core/day/dairy.h"
#include "tests/herd/four_cows.h"

#define REAL_COWS_CALVED "2025-01-01" /* the data tell days from calving, not dates */
#define REAL_COWS_DRY "2025-11-03T07:00"

extern const char *const real_cow_name[COWS]; /* invented; in the order of the data */

/* Makes scratch_path(name): the four cows in their stalls, and every weight, fat, protein and cell count of theirs
 * from a CSV file by the act `weights`; dried off on the day after the 305th. Stops the test on failure. */
struct dairy *real_cows_open(const char *name, struct real_herd *herd);

#endif
