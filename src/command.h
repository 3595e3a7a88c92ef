/* The command line: one table of commands, one file for each. */
#ifndef SRC_COMMAND_H
#define SRC_COMMAND_H

#include <stdbool.h>

#include "core/base/civil.h"
#include "core/base/fail.h"
#include "core/base/quantity.h"

/* What every command is called with: the options that go with all of them, and its own words. */
struct call {
    const char *program;
    const char *db_path;    /* --db FILE, or NULL for the usual place */
    bool units_given;       /* --units us|metric */
    enum unit_system units; /* as given, else US until the dairy says otherwise */
    bool at_given;          /* --at MOMENT: pretend it is then */
    struct instant now;     /* that moment, or the clock */
    bool json;              /* --json */
    bool no_color;          /* --no-color, or NO_COLOR in the environment */
    bool help;              /* --help behind the first of its words: only for commands with topics */
    int argc;               /* words after the command's name, options taken out */
    char **argv;
};

struct command {
    const char *name;
    const char *words;                   /* what follows the name, as help shows it */
    const char *does;                    /* one line */
    const char *example;                 /* a whole command line */
    const char *more;                    /* further help, or NULL */
    bool options;                        /* takes options of its own: they stay among its words */
    bool topics;                         /* its first word has a help of its own */
    int (*run)(const struct call *call); /* returns the exit status */
};

extern const struct command command_table[]; /* ended by a row whose name is NULL */

int run_board(const struct call *call); /* with no command */
int run_demo(const struct call *call);
int run_show(const struct call *call);
int run_record(const struct call *call);
int run_undo(const struct call *call);
int run_reckon(const struct call *call);
int run_backup(const struct call *call);
int run_export(const struct call *call);
int run_import(const struct call *call);
int run_verify(const struct call *call);

/* `import` of weights: whether that is what the words ask for, and the command itself. */
bool import_is_weights(const struct call *call);
int import_weights(const struct call *call);

/* Says why on standard error and returns the exit status that belongs to it. */
int say_fail(const struct fail *f);

#endif
