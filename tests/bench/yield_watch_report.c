/* How often the yield watch calls, beside the rule "20 % below the median of the last week, on one day", on
 * the four real daily lactations of tests/data/lactation_daily_4cows.csv (Friggens, Ridder & Lovendahl 2007);
 * how soon it finds drops that are laid over them; and how well tomorrow and the rest of the lactation are
 * forecast. Prints tables. */
#include <stdio.h>
#include <stdlib.h>

#include "core/base/file.h"
#include "core/herd/yield_total.h"
#include "tests/herd/four_cows.h"
#include "tests/herd/watch_trial.h"

static void print_alarms(const struct real_herd *herd)
{
    struct watch_tally all = {0};
    puts("Alarms on the cows as they were (true and false ones: nobody recorded which)");
    puts("cow                       days   watch: days  spells  remarks   20 % rule: days  spells");
    for (size_t c = 0; c < herd->n; c++) {
        struct watch_tally t = {0};
        watch_trial_cow(&herd->cow[c], &t);
        printf("%-7s %-12s L%d %5d   %11d %7d %8d   %15d %7d\n", herd->cow[c].id, herd->cow[c].breed,
               herd->cow[c].parity, t.days, t.watch_days, t.watch_spells, t.remarks, t.naive_days,
               t.naive_spells);
    }
    watch_trial_alarms(herd, &all);
    printf("%-23s %5d   %11d %7d %8d   %15d %7d\n", "all", all.days, all.watch_days, all.watch_spells,
           all.remarks, all.naive_days, all.naive_spells);
    printf("share of days                   %10.1f %%                   %14.1f %%\n",
           100.0 * all.watch_days / all.days, 100.0 * all.naive_days / all.days);
    printf("days between spells, per cow    %10d                     %14d\n\n", all.days / all.watch_spells,
           all.days / all.naive_spells);
}

static void print_drops(const struct real_herd *herd)
{
    static const double shares[] = {0.10, 0.15, 0.20, 0.30, 0.40};
    static const size_t lengths[] = {1, 2, 3, 7};
    puts("Drops laid over quiet stretches: found, and on which day of the drop on average");
    puts("drop   days  trials   watch alarm   day   or remark   20 % rule   day");
    for (size_t i = 0; i < sizeof shares / sizeof shares[0]; i++)
        for (size_t k = 0; k < sizeof lengths / sizeof lengths[0]; k++) {
            struct drop_tally t = watch_trial_drop(herd, shares[i], lengths[k], 7);
            printf("%3.0f %%  %4zu  %6d   %9.0f %%  %4.1f   %7.0f %%   %7.0f %%  %4.1f\n", 100 * shares[i],
                   lengths[k], t.trials, 100.0 * t.watch_found / t.trials,
                   t.watch_found > 0 ? (double)t.watch_delay / t.watch_found : 0.0,
                   100.0 * t.watch_remarks / t.trials, 100.0 * t.naive_found / t.trials,
                   t.naive_found > 0 ? (double)t.naive_delay / t.naive_found : 0.0);
        }
    putchar('\n');
}

static int by_value(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static void print_tomorrow(const struct real_herd *herd)
{
    static double off[COWS * COW_DAYS], naive[COWS * COW_DAYS];
    size_t n = 0;
    int inside = 0;
    for (size_t c = 0; c < herd->n; c++) {
        const struct real_cow *cow = &herd->cow[c];
        struct lactation_prior prior = watch_trial_prior(cow);
        for (size_t i = 5; i < cow->n; i++) {
            struct lactation lac;
            struct expectation e;
            if (cow->row[i].day < TRIAL_FIRST_DAY)
                continue;
            lactation_learn(&prior, cow->row, i, LACTATION_TOMORROW, &lac, NULL);
            lactation_expect(&lac, cow->row[i].day, 2, &e, NULL);
            inside += cow->row[i].kg >= e.low_kg && cow->row[i].kg <= e.high_kg;
            naive[n] = fabs(naive_deviation_pct(cow->row, i));
            off[n++] = 100 * fabs(cow->row[i].kg / e.kg - 1);
        }
    }
    qsort(off, n, sizeof off[0], by_value);
    qsort(naive, n, sizeof naive[0], by_value);
    puts("Tomorrow's milk, percent off:   half the days within   nine in ten within");
    printf("  expectation                   %14.1f %%      %14.1f %%     (band meant for 80 %%: %.0f %%)\n",
           off[n / 2], off[n * 9 / 10], 100.0 * inside / (double)n);
    printf("  median of the last week       %14.1f %%      %14.1f %%\n\n", naive[n / 2], naive[n * 9 / 10]);
}

static void print_season(const struct real_herd *herd)
{
    static const int asked_on[] = {5, 10, 20, 30, 45, 60, 90, 120, 150, 180, 210, 240, 270};
    int inside = 0, asked = 0;
    puts("Milk of 305 days, asked on day: percent that came against percent expected (nine in ten within the "
         "band)");
    for (size_t k = 0; k < sizeof asked_on / sizeof asked_on[0]; k++) {
        printf("  %3d ", asked_on[k]);
        for (size_t c = 0; c < herd->n; c++) {
            const struct real_cow *cow = &herd->cow[c];
            struct lactation_prior prior = watch_trial_prior(cow);
            struct yield_point p[COW_DAYS];
            struct lactation lac;
            struct lactation_total t;
            struct yield_sum came;
            size_t n = 0;
            while (n < cow->n && cow->row[n].day <= asked_on[k])
                n++;
            lactation_learn(&prior, cow->row, n, LACTATION_SEASON, &lac, NULL);
            lactation_total(&lac, cow->row, n, 2, &t, NULL);
            if (yield_sum_days(p, cow_points(cow, p), 1, COW_DAYS, NULL, &came, NULL) != 0)
                continue;
            printf("  %+6.1f (band %4.1f)", 100 * (came.kg / t.expected_305_kg - 1),
                   100 * (t.high_305_kg / t.expected_305_kg - 1));
            inside += came.kg > t.low_305_kg && came.kg < t.high_305_kg;
            asked++;
        }
        putchar('\n');
    }
    printf("  within the band: %d of %d\n", inside, asked);
}

int main(void)
{
    static struct real_herd herd;
    struct fail f = {0};
    char *text = NULL;
    size_t size;
    if (file_read(TESTS_DIR "/data/lactation_daily_4cows.csv", &text, &size, &f) != 0 ||
        !read_herd(text, size, &herd)) {
        fprintf(stderr, "yield_watch_report: %s\n",
                f.text[0] != '\0' ? f.text : "the data are not as described");
        free(text);
        return 1;
    }
    free(text);
    print_alarms(&herd);
    print_drops(&herd);
    print_tomorrow(&herd);
    print_season(&herd);
    return 0;
}
