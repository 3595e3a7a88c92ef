/* What the files of the cow page share. */
#ifndef CORE_DAY_COW_PAGE_INSIDE_H
#define CORE_DAY_COW_PAGE_INSIDE_H

#include "core/day/cow_page.h"
#include "core/day/cow_record.h"

/* One of her lactations. The running or last one is borrowed from her record. */
struct lact {
    bool current;
    struct date calved_on, dried_on;
    struct date end_on; /* the first day that is not of it: the next calving, or tomorrow */
    int parity;
    int milkings; /* a day */
    struct milk_row *milk;
    size_t milk_count;
    struct yield_row *yield;
    size_t yield_count;
    struct lactation_prior prior;
    struct lactation curve, season;
    struct lactation_total total;
    const struct expectation *course; /* of her record, for so many days; NULL and 0: of a lactation that is past */
    int course_days;
    struct milk_test_row *tests; /* of fat and protein */
    size_t test_count;
};

/* Everything a page is made of. */
struct page_facts {
    struct dairy *dairy;
    struct instant now;
    const struct cow_record *r; /* the board's own, or `own` */
    const struct milk_row *milk_now; /* of the open milking; id 0: none */
    struct lact lact;                /* the one looked at; calved_on DATE_NONE: she has none */
    struct yield_row *before;        /* days of the lactation before it */
    size_t before_count;
    struct weighing_row *weighings;
    size_t weighing_count;
    struct condition_score_row *scores;
    size_t score_count;
    struct health_test_row *health;
    size_t health_count;
    struct cow_record own; /* last, and large: set only where `r` is this */
};

int page_facts_load(struct dairy *d, int64_t cow_id, struct instant now, int lactation, struct page_facts *out,
                    struct fail *f);
void page_facts_release(struct page_facts *p);

/* The weight that a row tells: on the scale, or worked out from its measures; NaN: neither. */
double weighing_kg(const struct weighing_row *row, bool *by_tape);

/* Events of the page's stretch of time, newest first, and the spans of her holds. */
int page_fill_events(const struct page_facts *facts, struct cow_page *p, struct fail *f);

/* The side column. */
int page_fill_figures(const struct page_facts *facts, struct cow_page *p, struct fail *f);

/* Adds a row to it, under the heading `group`. */
void page_figure_add(struct cow_page *p, const char *group, enum page_figure_kind kind, int index, enum urgency urgency,
              const char *format, ...) __attribute__((format(printf, 6, 7)));

/* Its rows about breeding, and the working behind them; of a thing that is due false when it is not of breeding. */
void page_add_breeding(const struct page_facts *facts, struct cow_page *p);
void page_explain_breeding(const struct page_facts *facts, enum page_figure_kind kind, struct working *w);
bool page_explain_due(const struct page_facts *facts, enum due_kind kind, struct working *w);

#endif
