/* The udder, quarter by quarter: what the strip cup, the paddle test, the cell count and the strainer disc
 * show, and what each means. Text forms are read and written here, so that records, files and screens agree.
 */
#ifndef CORE_HERD_UDDER_H
#define CORE_HERD_UDDER_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/civil.h"
#include "core/base/fail.h"
#include "core/base/working.h"

enum quarter { QUARTER_LF, QUARTER_RF, QUARTER_LR, QUARTER_RR, QUARTERS };

const char *quarter_code(enum quarter q); /* "LF" */
const char *quarter_name(enum quarter q); /* "left front" */

/* "LF" in either case, also FL, HL, RH and the like (front, rear or hind). False if it is none. */
bool quarter_parse(const char *text, enum quarter *out);

/* ---- strip cup ---- */

/* What was seen in the first streams of a quarter; more than one may be. No bit: looked at and clean. */
enum strip_finding {
    STRIP_CLEAN = 0,
    STRIP_FLAKES = 1,
    STRIP_CLOTS = 2,
    STRIP_WATERY = 4,
    STRIP_BLOOD = 8,
    STRIP_OFF_COLOUR = 16,
    STRIP_BLIND = 32, /* this quarter gives no milk */
};

enum { STRIP_TEXT_MAX = 160 };

struct strip {
    unsigned char quarter[QUARTERS]; /* enum strip_finding, or-ed */
};

/* Reads "clean", or findings by quarter: "LF:clots RR:flakes", "LF:clots+blood,RR:off-colour". Quarters that
 * are not named were looked at and clean. Separators blank or comma. */
int strip_parse(const char *text, struct strip *out, struct fail *f);

/* The same in one form: "clean", or "LF:clots+blood RR:flakes". Returns buf. */
const char *strip_text(const struct strip *strip, char buf[STRIP_TEXT_MAX]);

/* True if any quarter shows something that keeps the milk out (anything but clean and blind). */
bool strip_abnormal(const struct strip *strip);

/* What one finding means and what to do: a static sentence. */
const char *strip_meaning(enum strip_finding finding);

/* ---- paddle test (California mastitis test) ---- */

enum cmt { CMT_NEGATIVE, CMT_TRACE, CMT_1, CMT_2, CMT_3, CMT_SCORES };

/* "N", "0", "-", "T", "1", "2", "3" and the words "negative", "trace". Words from the paddle, never counts.
 */
int cmt_parse(const char *text, enum cmt *out, struct fail *f);

const char *cmt_code(enum cmt score); /* "N", "T", "1", "2", "3" */
const char *cmt_word(enum cmt score); /* "negative", "trace", "weak", "distinct", "strong" */

/* Cells per mL that such a reaction stands for; *high is INFINITY for the last. The ranges overlap, so a
 * score is kept as a score. */
void cmt_range(enum cmt score, double *low_per_ml, double *high_per_ml);

/* ---- cell counts ---- */

#define CELLS_INFECTED_PER_ML 200000.0 /* a cow or quarter probably infected, from memory */

/* Linear score log2(cells / 100 000) + 3 (cells > 0, else NaN), and back. */
double cells_linear_score(double cells_per_ml);
double cells_from_score(double linear_score);

/* Geometric mean: its score is the mean of the scores. NaN if n is 0 or a count is not positive. */
double cells_mean_per_ml(const double *cells_per_ml, size_t n);

/* How a linear score is read: "no sign of infection" ... Static. */
const char *cells_reading(double linear_score);

/* Exactly one of the two is a number, the other NaN. */
int cells_reckon(double cells_per_ml, double linear_score, struct working *w, struct fail *f);

/* ---- strainer disc ---- */

enum disc_finding {
    DISC_CLEAN = 0,
    DISC_DIRT = 1,
    DISC_HAIR = 2,
    DISC_STRAW = 4,
    DISC_CLOTS = 8,
    DISC_BLOOD = 16,
    DISC_FAT = 32, /* granules of butterfat */
};

enum { DISC_TEXT_MAX = 80 };

/* Reads "clean" or findings separated by comma, plus or blank: "dirt,hair". */
int disc_parse(const char *text, unsigned *out, struct fail *f);
const char *disc_text(unsigned findings, char buf[DISC_TEXT_MAX]);

struct disc_reading {
    bool abnormal;      /* the milk on this disc is not to be kept */
    bool ask_which_cow; /* abnormal, and milk of more than one cow went through */
    char words[320];    /* what each finding means, most serious first */
};

/* `cows` is the number of cows whose milk went through the disc. */
void disc_read(unsigned findings, int cows, struct disc_reading *out);

/* ---- trend of a quarter ---- */

/* One look at one quarter, by whatever means; the others stay "not looked at". */
struct quarter_look {
    struct instant at;
    int strip;           /* enum strip_finding or-ed; -1 not stripped */
    int cmt;             /* enum cmt; -1 not tested */
    double cells_per_ml; /* NaN: not counted */
};

enum quarter_state {
    QUARTER_UNKNOWN, /* never looked at */
    QUARTER_CLEAN,
    QUARTER_SUSPECT,  /* trace, or a count between the limits */
    QUARTER_NEW,      /* raised now, clean or unknown before */
    QUARTER_CHRONIC,  /* raised for two months or more, or again within that time after looking clean */
    QUARTER_CLEARING, /* was raised within the last month, clean at the last look */
    QUARTER_BLIND,
};

enum { CHRONIC_DAYS = 60, CLEARING_DAYS = 30 };

struct quarter_trend {
    enum quarter_state state;
    int direction; /* +1 getting worse, -1 better, 0 level or not known: last look against the one before */
    struct instant looked_at; /* last look; INSTANT_NONE */
    struct instant raised_at; /* when this spell of raised looks began; INSTANT_NONE */
    int raised_looks;         /* looks in it */
};

/* Looks in rising order of time, of one quarter in one lactation. */
void quarter_trend(const struct quarter_look *looks, size_t n, struct quarter_trend *out);

const char *quarter_state_word(enum quarter_state state); /* "new", "chronic", ... */

/* The udder in one line: "quarters clean", "LF new (clots), RR chronic". Returns buf. */
const char *udder_text(const struct quarter_trend trends[QUARTERS], char *buf, size_t size);

#endif
