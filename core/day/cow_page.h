/* A cow's page as a snapshot: who she is, how she stands, her milk against what was expected, and what
 * happened to her. The page looks at one lactation; the others are a key away. */
#ifndef CORE_DAY_COW_PAGE_H
#define CORE_DAY_COW_PAGE_H

#include "core/day/board.h"
#include "core/day/cow_due.h"

enum {
    PAGE_DAYS_MAX = 440,
    PAGE_EVENTS_MAX = 320,
    PAGE_MILKINGS_MAX = 60,
    PAGE_LACTATIONS_MAX = 24,
    PAGE_FIGURES_MAX = 32,
    PAGE_SPANS_MAX = 24,
    PAGE_BODY_MAX = 160,
};

/* One day of the lactation; days to come have no kg. */
struct page_day {
    struct date on;
    int day;                             /* after calving */
    double kg;                           /* NaN: not weighed whole */
    double expected_kg, low_kg, high_kg; /* by her curve as a whole; NaN before day 1 */
    double before_kg;                    /* the same day of the lactation before; NaN */
};

enum event_kind {
    EVENT_CALVING,
    EVENT_HEAT,
    EVENT_SERVICE,
    EVENT_CHECK,
    EVENT_LOSS,
    EVENT_DRY_OFF,
    EVENT_TREATMENT,
    EVENT_HOLD,
    EVENT_UDDER, /* strip cup and disc */
    EVENT_TEST,  /* paddle, cells, culture, fat and protein, tests for diseases */
    EVENT_WEIGHT,
    EVENT_CONDITION,
    EVENT_NOTE,
    EVENT_CAME,
    EVENT_LEFT,
    EVENT_KINDS
};

const char *event_word(enum event_kind kind); /* "calved", "heat", ... */

struct page_event {
    struct instant at;
    struct date on; /* the day of it */
    enum event_kind kind;
    int64_t id; /* of what it is about, for changing it: a treatment's number; 0 */
    char words[200];
};

/* A stretch of days on which her milk was not to be kept. */
struct page_span {
    struct date from_on, to_on; /* to_on: today, when it still stands */
    bool treatment;
};

struct page_milking {
    struct instant at;
    double mass_kg; /* NaN: not weighed */
    char strip[200], disc[80];
};

struct page_lactation {
    struct date calved_on, dried_on; /* DATE_NONE: not dried off */
    int number;                      /* 1 is her first, those before the records counted */
};

/* Weight and condition, oldest first. */
struct page_weight {
    struct instant at;
    double kg;       /* NaN: only a height */
    bool by_tape;    /* worked out from measures */
    double usual_kg; /* of her breed at that age; NaN: no table */
};

struct page_score {
    struct instant at;
    double score;
};

/* Figures of the side column, each with a working behind it. */
enum page_figure_kind {
    FIGURE_DUE,      /* a row of what comes next */
    FIGURE_QUARTERS, /* two quarters side by side: a row of the udder's map */
    FIGURE_HOLD,
    FIGURE_MEAT,
    FIGURE_CELLS,
    FIGURE_CULTURE,
    FIGURE_EXPECTED,
    FIGURE_WATCH,
    FIGURE_TO_DATE,
    FIGURE_305,
    FIGURE_PEAK,
    FIGURE_PERSISTENCY,
    FIGURE_CORRECTED,
    FIGURE_WEIGHT,
    FIGURE_CONDITION,
    FIGURE_RATION,
    FIGURE_NOTE,
    FIGURE_CALVING,  /* her due day: windows and chances */
    FIGURE_CYCLE,    /* her heats to come */
    FIGURE_BREEDING, /* days open, calving interval ... */
};

struct page_figure {
    enum page_figure_kind kind;
    int index;         /* FIGURE_DUE: which of page.due; FIGURE_QUARTERS: 0 front, 1 rear */
    const char *group; /* heading over it: "NEXT", "UDDER" ...; static */
    enum urgency urgency;
    char text[120];
};

struct cow_page {
    struct instant now;
    struct date today; /* or the day on which she left */
    enum unit_system units;
    int64_t cow_id;
    char name[64], tag[32], breed[32], dam[64];
    bool male, gone;
    struct date born_on;
    int stall; /* 0: none */
    int parity;
    struct stall_view view; /* as her card on the board */
    char remark[160];       /* what must not be overlooked: a freemartin, overdue; "" */
    char caution[200];      /* beside a hold: "" or what a label's hours assume */

    struct date calved_on, dry_off_on, close_up_on, due_on, due_from_on, due_to_on;

    struct page_lactation lactation[PAGE_LACTATIONS_MAX]; /* oldest first */
    size_t lactations;
    size_t shown;     /* which of them the page looks at; 0 without any */
    bool shown_now;   /* it is the running or last one */
    size_t days_past; /* of day[], how many are not to come */

    double to_date_kg, expected_305_kg, low_305_kg, high_305_kg; /* of the lactation shown; NaN */
    bool by_intervals; /* to_date_kg by the test interval method: weights are weeks apart */
    int filled_days;   /* days in to_date_kg without a weight, if they are many enough to be said; else 0 */
    double peak_kg;    /* by her curve; NaN: it has no peak, or not yet */
    int peak_day;
    bool peak_ahead; /* her curve still rises: the peak is to come */
    double persistency;          /* NaN without a peak */
    double fat_pct, protein_pct; /* of the last test in it; NaN */

    struct cow_due due[DUE_MAX];
    size_t dues;
    struct page_figure figure[PAGE_FIGURES_MAX];
    size_t figures;
    struct quarter_trend quarter[QUARTERS];

    struct page_span span[PAGE_SPANS_MAX];
    size_t spans;
    struct date from_on;                    /* events older than this are not in the list */
    struct date strip_from_on, strip_to_on; /* the year of the strip, both days included */

    /* The long lists stand last: each has its number, and beyond that nothing is set. */
    size_t days, weights, scores, milkings, events;
    struct page_day day[PAGE_DAYS_MAX]; /* from calving on, or the last PAGE_DAYS_MAX */
    struct page_weight weight[PAGE_BODY_MAX];
    struct page_score score[PAGE_BODY_MAX];
    struct page_milking milking[PAGE_MILKINGS_MAX]; /* newest first, of the lactation shown */
    struct page_event event[PAGE_EVENTS_MAX];       /* newest first, from `from_on` on */
};

/* Looks at the n-th lactation of hers, 0 the oldest in the records; PAGE_NOW the running or last. */
enum { PAGE_NOW = -1 };

/* Works the page out for `now`. About 200 kB: the caller keeps one. */
int dairy_cow_page(struct dairy *d, int64_t cow_id, struct instant now, int lactation, struct cow_page *out,
                   struct fail *f);

/* The working behind a figure of the page, and behind one day of its chart. */
int cow_page_explain(struct dairy *d, const struct cow_page *p, const struct page_figure *figure,
                     struct working *w, struct fail *f);
int cow_page_explain_day(struct dairy *d, const struct cow_page *p, struct date on, struct working *w,
                         struct fail *f);

/* The product of a treatment, by the number that an event of the page carries. */
int dairy_treatment_product(struct dairy *d, int64_t treatment_id, char *product, size_t size,
                            struct fail *f);

/* The number of the animal of that name, tag or stall among those that are here, or else of the last one of
 * that name that left. */
int dairy_find_cow(struct dairy *d, const char *name, int64_t *cow_id, struct fail *f);

#endif
