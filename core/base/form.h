/* A form: the named values that an act (`record milk cow=Maud mass=48.5lb`) or a figure (`reckon chill
 * milk=95F`) takes. One table of fields says what is accepted; the command line, the entry fields of the
 * board, the help and the tests all read that table. */
#ifndef CORE_BASE_FORM_H
#define CORE_BASE_FORM_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/base/civil.h"
#include "core/base/quantity.h"

enum field_type {
    FIELD_TEXT, /* words, cleaned */
    FIELD_NAME, /* the name of a thing in the records (a cow, a person, a batch code): one line, cleaned */
    FIELD_QUANTITY, /* a number with a unit, see `dim` */
    FIELD_CHOICE,   /* one of `choices` */
    FIELD_DATE,     /* a day */
    FIELD_MOMENT,   /* a time */
    FIELD_FILE,     /* a path, taken as it stands */
};

enum {
    FIELD_REQUIRED = 1,    /* must be given */
    FIELD_UNIT_NEEDED = 2, /* a bare number is refused: percentages and strengths, where a slip hurts */
    FIELD_AGAIN = 4,       /* may be given empty to clear what is there */
    FIELD_SELDOM = 8,      /* a form on the screen folds it away, with all that follow, until it is gone to */
};

struct field {
    const char *key;
    enum field_type type;
    enum dimension dim; /* for FIELD_QUANTITY */
    unsigned flags;
    const char *choices; /* for FIELD_CHOICE: "still|water|both" */
    const char *label;   /* as the entry field on the board says it: "weight" */
    const char *help;    /* one line: what goes in */
};

enum { FORM_FIELDS_MAX = 24, FORM_TEXT_MAX = 512 };

struct value {
    bool given;
    double number;            /* FIELD_QUANTITY, in the dimension's SI unit */
    int choice;               /* FIELD_CHOICE: index into choices */
    struct date on;           /* FIELD_DATE */
    struct instant at;        /* FIELD_MOMENT */
    char text[FORM_TEXT_MAX]; /* what was given, cleaned; "" when cleared */
};

struct form {
    const struct field *fields;
    size_t count;
    enum unit_system units; /* what bare numbers mean */
    struct instant now;     /* what "06:10" is counted back from */
    struct value value[FORM_FIELDS_MAX];
};

/* An empty form over `count` fields (at most FORM_FIELDS_MAX). The table is borrowed. */
void form_init(struct form *form, const struct field *fields, size_t count, enum unit_system units,
               struct instant now);

/* Sets one value from text. Refuses an unknown key (naming the nearest there is), a value that is not
 * understood. */
int form_set(struct form *form, const char *key, const char *text, struct fail *f);

/* Sets one value from "key=text". */
int form_set_pair(struct form *form, const char *pair, struct fail *f);

/* All required fields are there, or a line that names the first that is missing with its help. */
int form_check(const struct form *form, struct fail *f);

/* The value of `key`, or NULL when it was not given. Asking for a key that the form does not have is our
 * mistake: it stops a debug build. Borrowed from the form. */
const struct value *form_get(const struct form *form, const char *key);

/* Shorthands: the value, or the fallback when it was not given. */
double form_number(const struct form *form, const char *key, double fallback);
const char *form_text(const struct form *form, const char *key, const char *fallback);
int form_choice(const struct form *form, const char *key, int fallback);
/* Copies the chosen word to buf; leaves buf alone and returns false when none was given. */
bool form_choice_word(const struct form *form, const char *key, char *buf, size_t size);
struct instant form_moment(const struct form *form, const char *key, struct instant fallback);
struct date form_date(const struct form *form, const char *key, struct date fallback);

/* The n-th choice of "a|b|c" copied to buf; false when there is none. */
bool field_choice(const struct field *field, int n, char *buf, size_t size);

/* Takes the next item off a list such as "3xhalf-gallon,2xquart" (separator ','): copies it, trimmed, to buf
 * and moves *list past it. False at the end of the list. An item longer than the buffer is cut, and so will
 * not be understood. */
bool list_next(const char **list, char separator, char *buf, size_t size);

#endif
