/* What the strip cup and the strainer disc show, and what each finding means. Text forms are read and written
 * here, so that records, files and screens agree. The paddle test and cell counts are in cells.h, the course
 * of a quarter in quarter.h. */
#ifndef CORE_HERD_UDDER_H
#define CORE_HERD_UDDER_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/fail.h"
#include "core/herd/cells.h"
#include "core/herd/quarter.h"

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

enum { STRIP_TEXT_MAX = 200 };

struct strip {
    unsigned char quarter[QUARTERS]; /* enum strip_finding, or-ed */
};

/* Reads "clean", or findings by quarter: "LF:clots RR:flakes", "LF:clots+blood,RR:off-colour". Quarters that
 * are not named were looked at and clean. Separators are blanks or commas. */
int strip_parse(const char *text, struct strip *out, struct fail *f);

/* The same in one form: "clean", or "LF:clots+blood RR:flakes". Returns buf. */
const char *strip_text(const struct strip *strip, char buf[STRIP_TEXT_MAX]);

/* True if any quarter shows something that keeps the milk out (anything but clean and blind). */
bool strip_abnormal(const struct strip *strip);

/* What the findings of one quarter mean and what to do, the most serious first. Returns buf. */
const char *strip_meaning(unsigned findings, char *buf, size_t size);

/* What was left on the strainer disc. */
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

/* Reads "clean", or findings separated by commas, pluses or blanks: "dirt,hair". */
int disc_parse(const char *text, unsigned *out, struct fail *f);

/* The same in one form: "clean", "dirt,hair". Returns buf. */
const char *disc_text(unsigned findings, char buf[DISC_TEXT_MAX]);

struct disc_reading {
    bool abnormal;      /* the milk on this disc is not to be kept */
    bool ask_which_cow; /* abnormal, and milk of more than one cow went through */
    char words[640];    /* what to do, then what each finding means, the most serious first */
};

/* `cows` is the number of cows whose milk went through the disc. */
void disc_read(unsigned findings, int cows, struct disc_reading *out);

#endif
