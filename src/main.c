/* springhouse: finds the command, takes the options that go with every command off the line, and runs it. The
 * one place that reads the clock at the top. */
#include <assert.h>
#include <locale.h>
#include <malloc.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>

#include "core/base/text.h"
#include "src/command.h"
#include "src/reckon.h"

const struct command command_table[] = {
    {.name = "demo",
     .words = "[--pace N] [--seed N] [--make FILE]",
     .does = "the board on an invented dairy, in the middle of a morning; nothing is kept",
     .example = "springhouse demo --pace 30",
     .more = "  --pace N     time runs N times as fast\n"
             "  --seed N     another history of the same dairy\n"
             "  --make FILE  writes that dairy to a new file instead",
     .run = run_demo,
     .options = true},
    {.name = "show",
     .words = "WHAT [--json]",
     .does = "prints what a screen shows",
     .example = "springhouse show board --json",
     .more = "Without WHAT it lists them; `springhouse show WHAT --help` tells more of one.",
     .run = run_show,
     .topics = true},
    {.name = "record",
     .words = "KIND KEY=VALUE...",
     .does = "records one act, as a key press would; at= says when it happened",
     .example = "springhouse record milk cow=Maud mass=48.5lb strip=clean at=06:20",
     .more = "Without KIND it lists them; `springhouse record KIND --help` shows its keys.",
     .run = run_record,
     .topics = true},
    {.name = "undo",
     .words = "[N]",
     .does = "takes journal entry N back, or the last act",
     .example = "springhouse undo 42",
     .run = run_undo},
    {.name = "reckon",
     .words = "TOPIC KEY=VALUE... [--json]",
     .does = "works out one figure and shows the working; needs no database",
     .example = "springhouse reckon chill milk=95F bath=34F jar=half-gallon stir=water until=45F",
     .more = "Without TOPIC it lists them; `springhouse reckon TOPIC --help` shows its keys.",
     .run = run_reckon,
     .topics = true},
    {.name = "export",
     .words = "FOLDER | --calendar FILE.ics",
     .does = "writes everything as plain text: one CSV file for each table, in a new folder",
     .example = "springhouse export /media/stick/dairy-2026",
     .more = "  --calendar FILE.ics  writes what is due as a calendar instead (RFC 5545); written again, it\n"
             "                       changes the events that a phone took from it before and doubles none",
     .run = run_export,
     .options = true},
    {.name = "import",
     .words = "WEIGHTS.csv [--preview] | FOLDER|FILE...",
     .does = "takes milk weights in from a CSV file; or reads an export back into a file without records",
     .example = "springhouse import weights.csv --preview",
     .more = "An export's folder, or files from it, go into a file that has no records yet. Any other CSV file is\n"
             "one of weights. Its first row names the columns: date, cow, and kg or lb; time, fat, protein and cells\n"
             "if they are there. What was understood is printed first, with every row that is wrong.\n"
             "  --preview     only looks\n"
             "  --cow NAME    whose weights they are, if there is no column of cows\n"
             "  --dates O     iso (2026-05-03), month-first (5/3/2026) or day-first (3/5/2026)\n"
             "  --milkings N  each row is a day of N milkings together",
     .run = run_import,
     .options = true},
    {.name = "backup",
     .words = "FILE",
     .does = "copies the records, checked, while the board may stay open",
     .example = "springhouse backup /media/stick/dairy.db",
     .run = run_backup},
    {.name = "verify",
     .words = "[FILE]",
     .does = "checks the records: the file, its references, and that the jars add up",
     .example = "springhouse verify",
     .run = run_verify},
    {.name = NULL},
};

static const struct command *command_find(const char *name)
{
    for (const struct command *c = command_table; c->name != NULL; c++)
        if (strcmp(c->name, name) == 0)
            return c;
    return NULL;
}

static void print_help(void)
{
    puts("springhouse: the milk-house board for one to four cows milked by hand\n\n"
         "  springhouse [OPTIONS]            open the board");
    for (const struct command *c = command_table; c->name != NULL; c++)
        printf("  springhouse %-8s %-12s %s\n", c->name, c->words[0] == '\0' ? "" : "...", c->does);
    puts("\nWith every command:\n"
         "  --db FILE           the dairy to work on (else $XDG_DATA_HOME/springhouse/dairy.db)\n"
         "  --at MOMENT         pretend it is then, as 2026-05-03T06:10\n"
         "  --units us|metric   the units to read and write\n"
         "  --no-color          no colour, as with NO_COLOR in the environment\n"
         "  --help              this, or with a command its own help\n"
         "  --version");
}

static void print_command_help(const struct command *c)
{
    printf("springhouse %s %s\n  %s\n\nFor example:\n  %s\n", c->name, c->words, c->does, c->example);
    if (c->more != NULL)
        printf("\n%s\n", c->more);
}

/* Takes the value of an option that has one, from "--name=value" or from the next word. */
static const char *option_value(const char *name, int *i, int argc, char *argv[])
{
    const char *rest;
    assert(*i < argc && argv[*i] != NULL);
    if (text_starts(argv[*i], name, &rest) && *rest == '=')
        return rest + 1;
    if (strcmp(argv[*i], name) == 0 && *i + 1 < argc)
        return argv[++*i];
    return NULL;
}

static bool is_option(const char *word, const char *name)
{
    const char *rest;
    return text_starts(word, name, &rest) && (*rest == '\0' || *rest == '=');
}

static bool is_common(const char *word)
{
    static const char *const common[] = {"--json", "--no-color", "--db", "--at", "--units"};
    for (size_t i = 0; i < sizeof common / sizeof common[0]; i++)
        if (is_option(word, common[i]))
            return true;
    return false;
}

static int take_option(struct call *call, int *i, int argc, char *argv[], struct fail *f)
{
    const char *word = argv[*i], *value;
    if (strcmp(word, "--json") == 0) {
        call->json = true;
    } else if (strcmp(word, "--no-color") == 0) {
        call->no_color = true;
    } else if (is_option(word, "--db") && (value = option_value("--db", i, argc, argv)) != NULL) {
        call->db_path = value;
    } else if (is_option(word, "--at") && (value = option_value("--at", i, argc, argv)) != NULL) {
        call->at_given = true;
        return instant_parse(value, call->now, &call->now, f);
    } else if (is_option(word, "--units") && (value = option_value("--units", i, argc, argv)) != NULL) {
        if (strcmp(value, "us") != 0 && strcmp(value, "metric") != 0)
            return fail_input(f, "--units is us or metric, not \"%.20s\".", value);
        call->units_given = true;
        call->units = strcmp(value, "us") == 0 ? UNITS_US : UNITS_METRIC;
    } else {
        return fail_input(f, "\"%.40s\" is not an option, or its value is missing; see springhouse --help.",
                          word);
    }
    return 0;
}

int main(int argc, char *argv[])
{
    struct fail f = {0};
    struct call call = {.program = argc > 0 ? argv[0] : "springhouse", .now = {(int64_t)time(NULL)}};
    const struct command *command = NULL;
    bool help = false;
    /* Snapshots come and go in large pieces. glibc would learn to keep them in the heap, where they leave holes that the
     * board, open for weeks, never gives back; so they keep coming from the system and going back to it. */
    (void)mallopt(M_MMAP_THRESHOLD, 64 * 1024);
    /* Only character classes follow the locale: numbers keep their decimal point. */
    setlocale(LC_CTYPE, "");
    umask(077);
    /* A limit on the size of files is then an error that can be said, not the end. */
    (void)signal(SIGXFSZ, SIG_IGN);
    const char *no_color = getenv("NO_COLOR");
    call.no_color = no_color != NULL && *no_color != '\0';
    char **words = calloc((size_t)argc + 1, sizeof *words);
    if (words == NULL)
        return say_fail((fail_memory(&f), &f));
    int status = 0, count = 0;
    for (int i = 1; i < argc && argv[i] != NULL; i++) {
        if (strcmp(argv[i], "--help") == 0 || strcmp(argv[i], "-h") == 0) {
            help = true;
        } else if (strcmp(argv[i], "--version") == 0) {
            puts("springhouse " SPRINGHOUSE_VERSION);
            goto out;
        } else if (argv[i][0] == '-' && argv[i][1] == '-' &&
                   !(command != NULL && command->options && !is_common(argv[i]))) {
            if (take_option(&call, &i, argc, argv, &f) != 0) {
                status = say_fail(&f);
                goto out;
            }
        } else if (command == NULL) {
            command = command_find(argv[i]);
            if (command == NULL) {
                fail_input(&f, "There is no command \"%.40s\"; see springhouse --help.", argv[i]);
                status = say_fail(&f);
                goto out;
            }
        } else {
            words[count++] = argv[i];
        }
    }
    call.argc = count;
    call.argv = words;
    call.help = help && command != NULL && command->topics && count > 0;
    if (call.help)
        status = command->run(&call);
    else if (help && command != NULL)
        print_command_help(command);
    else if (help)
        print_help();
    else if (command == NULL)
        status = run_board(&call);
    else
        status = command->run(&call);
    if (fflush(stdout) != 0 || ferror(stdout)) {
        fail_set(&f, FAIL_STORE, "Cannot write to standard output.");
        status = say_fail(&f);
    }
out:
    free(words);
    return status;
}
