/* Reading the text form of a routine. A table of words says what each line means; the reader fills a routine
 * of its own, so that a bad file leaves the caller's untouched. */
#include <ctype.h>
#include <math.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>

#include "core/base/text.h"
#include "core/sanitation/routine_inside.h"

enum { LINE_MAX_BYTES = 400, CLOCK_MAX_S = 24 * 3600 };

struct reader {
    struct routine routine;
    int line;
    bool in_phase;
    enum routine_phase phase;
    struct routine_step *step; /* the step being read, or NULL */
};

__attribute__((format(printf, 3, 4))) static int line_fail(const struct reader *rd, struct fail *f,
                                                           const char *format, ...)
{
    char text[FAIL_TEXT_MAX];
    va_list args;
    va_start(args, format);
    (void)vsnprintf(text, sizeof text, format, args);
    va_end(args);
    return fail_input(f, "Line %d: %s", rd->line, text);
}

/* Takes the next word off *p; "" at the end. Cut when too long, and then not understood. */
static void next_word(const char **p, char *word, size_t size)
{
    size_t used = 0;
    while (isblank((unsigned char)**p))
        (*p)++;
    for (; **p != '\0' && !isblank((unsigned char)**p); (*p)++)
        if (used + 1 < size)
            word[used++] = **p;
    word[used] = '\0';
}

/* Takes the next quantity off *p: "60s", or "60 s" as two words. */
static void next_quantity(const char **p, char *text, size_t size)
{
    char unit[16];
    next_word(p, text, size);
    if (text[0] == '\0' || text[strspn(text, "0123456789.")] != '\0')
        return;
    const char *after = *p;
    next_word(&after, unit, sizeof unit);
    if (unit[0] != '\0' && !isdigit((unsigned char)unit[0])) {
        (void)text_append(text, size, "%s", unit);
        *p = after;
    }
}

/* Nothing may follow what was understood. */
static int at_end(const struct reader *rd, const char *rest, struct fail *f)
{
    while (isblank((unsigned char)*rest))
        rest++;
    return *rest == '\0' ? 0 : line_fail(rd, f, "\"%.40s\" at the end is not understood.", rest);
}

/* Cleans words into dst: at most size - 1 bytes and `columns` wide. */
static int read_words(const struct reader *rd, const char *value, char *dst, size_t size, int columns,
                      struct fail *f)
{
    char clean[LINE_MAX_BYTES * 3];
    (void)text_clean(clean, sizeof clean, value);
    if (text_width(clean) > columns)
        return line_fail(rd, f, "the words are %d columns long; at most %d fit.", text_width(clean), columns);
    if (strlen(clean) >= size)
        return line_fail(rd, f, "the words take too much room; write them shorter.");
    (void)snprintf(dst, size, "%s", clean);
    return 0;
}

/* A whole number of seconds, at most a day. */
static int read_seconds(const struct reader *rd, const char *text, int32_t *out, struct fail *f)
{
    double s;
    struct fail inner = {0};
    if (quantity_parse(text, DIM_DURATION, NULL, &s, &inner) != 0)
        return line_fail(rd, f, "%s", inner.text);
    if (fabs(s - round(s)) > 1e-6 || s > CLOCK_MAX_S)
        return line_fail(rd, f, "\"%.40s\" is not a whole number of seconds, at most a day.", text);
    *out = (int32_t)round(s);
    return 0;
}

static int read_name(struct reader *rd, const char *value, struct fail *f)
{
    if (rd->routine.name[0] != '\0')
        return line_fail(rd, f, "the routine has a name already.");
    return read_words(rd, value, rd->routine.name, sizeof rd->routine.name, STEP_WORDS_COLUMNS, f);
}

static int read_buckets(struct reader *rd, const char *value, struct fail *f)
{
    double n;
    struct fail inner = {0};
    if (quantity_parse(value, DIM_COUNT, NULL, &n, &inner) != 0)
        return line_fail(rd, f, "%s", inner.text);
    if (n < 1 || n > ROUTINE_BUCKETS_MAX)
        return line_fail(rd, f, "1 to %d buckets.", ROUTINE_BUCKETS_MAX);
    rd->routine.buckets = (int)n;
    return 0;
}

static int read_phase(struct reader *rd, const char *value, struct fail *f)
{
    rd->step = NULL;
    for (int i = 0; i < PHASE_COUNT; i++)
        if (text_same(phase_word((enum routine_phase)i), value)) {
            if (rd->in_phase && (int)rd->phase >= i)
                return line_fail(rd, f,
                                 "%s cannot come after %s; each phase once, in the order ready, feed, "
                                 "milk, strain, chill, wash, floors.",
                                 value, phase_word(rd->phase));
            rd->phase = (enum routine_phase)i;
            rd->in_phase = true;
            return 0;
        }
    return line_fail(rd, f,
                     "\"%.40s\" is not a phase; the phases are ready, feed, milk, strain, chill, wash, "
                     "floors.",
                     value);
}

static int read_usual(struct reader *rd, const char *value, struct fail *f)
{
    char text[32];
    if (!rd->in_phase || rd->step != NULL)
        return line_fail(rd, f, "`usual` stands right after its phase.");
    next_quantity(&value, text, sizeof text);
    if (at_end(rd, value, f) != 0)
        return -1;
    return read_seconds(rd, text, &rd->routine.usual_s[rd->phase], f);
}

static int read_step(struct reader *rd, const char *value, struct fail *f)
{
    if (!rd->in_phase)
        return line_fail(rd, f, "a step belongs to a phase; begin with `phase ready`.");
    if (rd->routine.count == ROUTINE_STEPS_MAX)
        return line_fail(rd, f, "at most %d steps.", ROUTINE_STEPS_MAX);
    if (strlen(value) >= STEP_ID_MAX)
        return line_fail(rd, f, "the step's name is too long; at most %d letters.", STEP_ID_MAX - 1);
    rd->step = &rd->routine.step[rd->routine.count++];
    memset(rd->step, 0, sizeof *rd->step);
    (void)snprintf(rd->step->id, sizeof rd->step->id, "%s", value);
    rd->step->phase = rd->phase;
    rd->step->line = rd->line;
    return 0;
}

static int read_say(struct reader *rd, const char *value, struct fail *f)
{
    return read_words(rd, value, rd->step->words, sizeof rd->step->words, STEP_WORDS_COLUMNS, f);
}

static int read_how(struct reader *rd, const char *value, struct fail *f)
{
    return read_words(rd, value, rd->step->how, sizeof rd->step->how, STEP_HOW_MAX - 1, f);
}

static int read_each(struct reader *rd, const char *value, struct fail *f)
{
    if (!text_same(value, "cow"))
        return line_fail(rd, f, "`each cow` is all that can be said here.");
    rd->step->per_cow = true;
    return 0;
}

static int read_turn(struct reader *rd, const char *value, struct fail *f)
{
    if (*value != '\0')
        return line_fail(rd, f, "`turn` stands alone.");
    rd->step->turn = true;
    return 0;
}

static int read_every(struct reader *rd, const char *value, struct fail *f)
{
    int i = text_find(every_words, EVERY_COUNT, value);
    if (i < 0)
        return line_fail(rd, f, "\"%.40s\" is not one of session, week, month.", value);
    rd->step->every = (enum step_every)i;
    return 0;
}

static int read_time(struct reader *rd, const char *value, struct fail *f)
{
    char text[32];
    next_quantity(&value, text, sizeof text);
    if (at_end(rd, value, f) != 0 || read_seconds(rd, text, &rd->step->contact_s, f) != 0)
        return -1;
    if (rd->step->kind == STEP_PLAIN)
        rd->step->kind = STEP_TIMED;
    return 0;
}

static int read_heat(struct reader *rd, const char *value, struct fail *f)
{
    char start[32], lowest[32];
    struct fail inner = {0};
    next_quantity(&value, start, sizeof start);
    next_quantity(&value, lowest, sizeof lowest);
    if (start[0] == '\0' || lowest[0] == '\0')
        return line_fail(rd, f, "two temperatures are needed, start and floor: `heat 165F 120F`.");
    if (at_end(rd, value, f) != 0)
        return -1;
    if (quantity_parse(start, DIM_TEMPERATURE, NULL, &rd->step->start_c, &inner) != 0 ||
        quantity_parse(lowest, DIM_TEMPERATURE, NULL, &rd->step->floor_c, &inner) != 0)
        return line_fail(rd, f, "%s", inner.text);
    bool start_in_c = toupper((unsigned char)start[strlen(start) - 1]) == 'C';
    if (start_in_c != (toupper((unsigned char)lowest[strlen(lowest) - 1]) == 'C'))
        return line_fail(rd, f, "write both temperatures in the same unit.");
    rd->step->heat_units = start_in_c ? UNITS_METRIC : UNITS_US;
    rd->step->kind = STEP_HOT;
    return 0;
}

static int read_chemical(struct reader *rd, const char *value, struct fail *f)
{
    char known[FAIL_TEXT_MAX] = "";
    if (chemical_find(value, &rd->step->chemical))
        return 0;
    for (int i = 0; i < CHEMICAL_COUNT; i++)
        (void)text_append(known, sizeof known, "%s%s", i == 0 ? "" : ", ", chemical_word((enum chemical)i));
    return line_fail(rd, f, "\"%.40s\" is not one of %s.", value, known);
}

/* The times of a gate: none, `gate sanitised 1 h`, `gate after STEP 60 s` or `gate after STEP 60 s 90 s`. */
static int read_gate_times(const struct reader *rd, struct step_gate *g, const char *value, struct fail *f)
{
    int32_t *const places[] = {&g->from_s, &g->by_s};
    int place = g->kind == GATE_AFTER ? 0 : g->kind == GATE_SANITISED ? 1 : 2;
    char text[32];
    for (; place < 2; place++) {
        next_quantity(&value, text, sizeof text);
        if (text[0] == '\0')
            return 0; /* what is missing, the check of the whole says */
        if (read_seconds(rd, text, places[place], f) != 0)
            return -1;
    }
    return at_end(rd, value, f);
}

static int read_gate(struct reader *rd, const char *value, struct fail *f)
{
    char kind[16];
    struct routine_step *s = rd->step;
    if (s->gate_count == STEP_GATES_MAX)
        return line_fail(rd, f, "at most %d gates.", STEP_GATES_MAX);
    next_word(&value, kind, sizeof kind);
    int i = text_find(gate_words, GATE_COUNT, kind);
    if (i < 0)
        return line_fail(rd, f, "\"%.40s\" is not a gate; the gates are after, sanitised, dry, jars-up.",
                         kind);
    struct step_gate *g = &s->gate[s->gate_count++];
    g->kind = (enum gate_kind)i;
    if (g->kind == GATE_AFTER)
        next_word(&value, g->step, sizeof g->step);
    return read_gate_times(rd, g, value, f);
}

static int read_makes(struct reader *rd, const char *value, struct fail *f)
{
    int i = text_find(makes_words, MAKES_COUNT, value);
    if (i <= 0)
        return line_fail(rd, f, "\"%.40s\" is not one of sanitised, drained, dry, jars-up.", value);
    rd->step->makes = (enum step_makes)i;
    return 0;
}

static int read_caution(struct reader *rd, const char *value, struct fail *f)
{
    struct routine_step *s = rd->step;
    if (s->caution_count == STEP_CAUTIONS_MAX)
        return line_fail(rd, f, "at most %d cautions of its own.", STEP_CAUTIONS_MAX);
    if (!caution_find(value, &s->caution[s->caution_count]))
        return line_fail(rd, f, "there is no caution \"%.40s\".", value);
    s->caution_count++;
    return 0;
}

static const struct keyword {
    const char *word;
    bool of_step; /* needs a step before it */
    int (*read)(struct reader *rd, const char *value, struct fail *f);
} keywords[] = {
    {"routine", false, read_name},     {"buckets", false, read_buckets}, {"phase", false, read_phase},
    {"usual", false, read_usual},      {"step", false, read_step},       {"say", true, read_say},
    {"how", true, read_how},           {"each", true, read_each},        {"turn", true, read_turn},
    {"every", true, read_every},       {"time", true, read_time},        {"heat", true, read_heat},
    {"chemical", true, read_chemical}, {"gate", true, read_gate},        {"makes", true, read_makes},
    {"caution", true, read_caution},
};

static int read_line(struct reader *rd, const char *line, struct fail *f)
{
    char word[24], value[LINE_MAX_BYTES];
    next_word(&line, word, sizeof word);
    (void)text_trim(value, sizeof value, line);
    if (word[0] == '\0' || word[0] == '#')
        return 0;
    for (size_t i = 0; i < sizeof keywords / sizeof keywords[0]; i++) {
        const struct keyword *k = &keywords[i];
        if (!text_same(k->word, word))
            continue;
        if (k->of_step && rd->step == NULL)
            return line_fail(rd, f, "`%s` belongs to a step, and there is none before it.", k->word);
        if (value[0] == '\0' && k->read != read_turn)
            return line_fail(rd, f, "`%s` says nothing.", k->word);
        return k->read(rd, value, f);
    }
    return line_fail(rd, f,
                     "\"%.24s\" is not a word of a routine; they are routine, buckets, phase, usual, step, "
                     "say, how, each, turn, every, time, heat, chemical, gate, makes, caution.",
                     word);
}

void routine_copy(struct routine *to, const struct routine *from)
{
    memcpy(to, from, offsetof(struct routine, step) + from->count * sizeof from->step[0]);
    to->count = from->count;
}

int routine_parse(const char *text, struct routine *out, struct fail *f)
{
    /* Most of it is places for steps, which are cleared as they are taken: a hardened build would clear them all. */
    struct reader rd __attribute__((uninitialized));
    memset(rd.routine.name, 0, sizeof rd.routine.name);
    memset(rd.routine.usual_s, 0, sizeof rd.routine.usual_s);
    rd.routine.count = 0;
    rd.routine.buckets = 1;
    rd.line = 0;
    rd.in_phase = false;
    rd.phase = PHASE_COUNT;
    rd.step = NULL;
    while (*text != '\0') {
        char line[LINE_MAX_BYTES];
        size_t length = strcspn(text, "\n");
        rd.line++;
        if (length >= sizeof line)
            return line_fail(&rd, f, "the line is too long; at most %d letters.", LINE_MAX_BYTES - 1);
        memcpy(line, text, length);
        line[length] = '\0';
        if (length > 0 && line[length - 1] == '\r')
            line[length - 1] = '\0';
        if (read_line(&rd, line, f) != 0)
            return -1;
        text += length + (text[length] == '\n' ? 1 : 0);
    }
    if (routine_check(&rd.routine, f) != 0)
        return -1;
    routine_copy(out, &rd.routine);
    return 0;
}
