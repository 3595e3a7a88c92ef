/* The morning as data: phases, and in each phase steps in the order in which they are done. A routine is read
 * from plain text (assets/routine-*.txt, or the keeper's own), checked as a whole, and can be written back.
 *
 * The text is line by line: a word, then its value. `#` begins a comment line; blank lines and indents do not
 * matter.
 *
 *   routine One bucket milker        its name
 *   buckets 1                        how many cows are milked at once
 *   phase wash                       ready, feed, milk, strain, chill, wash, floors, in this order
 *   usual 25 min                     how long the phase takes until past mornings say better; for one cow,
 *                                    where its steps are done for each cow
 *   step hot-wash                    begins a step; its id is what ticks refer to, so keep it when editing
 *     say Hot wash, brush every surface      the words on the card, at most 40 columns
 *     how ...                        a longer sentence for somebody who has never done it
 *     each cow                       done once for each cow in milk
 *     turn                           with two buckets: here the next cow of the pair gets her turn first
 *     every week                     session (when not said), week or month
 *     time 6 min                     contact time: the step runs a clock
 *     heat 165F 120F                 start at, and never below: the step ends by a tick, while still above
 *     chemical alkaline-chlorine     a word of chemical.h
 *     gate after rinse               what it waits for: see enum gate_kind
 *     gate after strip 60 s 90 s     not before 60 s, late after 90 s
 *     gate sanitised 1 h             the gear was sanitised within 1 h before the milking began, and drained
 *     gate dry                       the gear was found dry
 *     gate jars-up                   no clean jars on the floor
 *     makes sanitised                being done opens a gate: sanitised, drained, dry or jars-up
 *     caution scald                  a word of caution.h
 *
 * Memory is the caller's; a routine holds no pointers but to static text. */
#ifndef CORE_SANITATION_ROUTINE_H
#define CORE_SANITATION_ROUTINE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/base/fail.h"
#include "core/base/quantity.h"
#include "core/sanitation/caution.h"
#include "core/sanitation/chemical.h"

enum routine_phase {
    PHASE_READY,
    PHASE_FEED,
    PHASE_MILK,
    PHASE_STRAIN,
    PHASE_CHILL,
    PHASE_WASH,
    PHASE_FLOORS,
    PHASE_COUNT
};

enum step_kind {
    STEP_PLAIN, /* one tick: done */
    STEP_TIMED, /* a tick begins a contact time, which ends by itself */
    STEP_HOT,   /* a tick begins it; it must be ended by a second tick before the water is too cold */
};

enum step_every { EVERY_SESSION, EVERY_WEEK, EVERY_MONTH };

enum gate_kind {
    GATE_AFTER,     /* another step, earlier in the order, of the same cow where both are done for each cow;
                     * of all cows where only the other is */
    GATE_SANITISED, /* sanitised within by_s before the milking began, and drained since */
    GATE_DRY,       /* gear found dry */
    GATE_JARS_UP,   /* no clean jars on the floor */
};

enum step_makes {
    MAKES_NOTHING,
    MAKES_SANITISED,
    MAKES_DRAINED,
    MAKES_DRY,
    MAKES_JARS_UP,
};

enum {
    ROUTINE_STEPS_MAX = 64,
    ROUTINE_PER_COW_MAX = 16, /* of them done for each cow */
    ROUTINE_NAME_MAX = 64,
    ROUTINE_BUCKETS_MAX = 4,
    STEP_ID_MAX = 24,
    STEP_WORDS_COLUMNS = 40,
    STEP_WORDS_MAX = 128, /* bytes */
    STEP_HOW_MAX = 240,
    STEP_GATES_MAX = 4,
    STEP_CAUTIONS_MAX = 4,
    STEP_CARD_CAUTIONS_MAX = STEP_CAUTIONS_MAX + CHEMICAL_CAUTIONS_MAX,
    ROUTINE_TEXT_MAX = 64 * 1024, /* any routine, written */
};

struct step_gate {
    enum gate_kind kind;
    char step[STEP_ID_MAX]; /* GATE_AFTER */
    int32_t from_s;         /* GATE_AFTER: not before, seconds after that step; 0 = at once */
    int32_t by_s;           /* GATE_AFTER: late after; 0 = no limit. GATE_SANITISED: the longest allowed */
};

struct routine_step {
    char id[STEP_ID_MAX]; /* small letters, digits, hyphens */
    char words[STEP_WORDS_MAX];
    char how[STEP_HOW_MAX]; /* "" if the words say it all */
    enum routine_phase phase;
    enum step_kind kind;
    enum step_every every;
    bool per_cow;
    bool turn;
    int32_t contact_s;           /* STEP_TIMED: > 0; STEP_HOT: shortest time in the hot water, may be 0 */
    double start_c, floor_c;     /* STEP_HOT */
    enum unit_system heat_units; /* in which the two were written, so that they are written back alike */
    enum chemical chemical;
    enum step_makes makes;
    struct step_gate gate[STEP_GATES_MAX];
    size_t gate_count;
    enum caution_id caution[STEP_CAUTIONS_MAX]; /* its own; see step_cautions() for all */
    size_t caution_count;
    int line; /* of the text it was read from, for refusals; 0 when it was not read */
};

struct routine {
    char name[ROUTINE_NAME_MAX];
    int buckets;                  /* 1 .. ROUTINE_BUCKETS_MAX */
    int32_t usual_s[PHASE_COUNT]; /* 0 = not said */
    struct routine_step step[ROUTINE_STEPS_MAX];
    size_t count;
};

/* "ready", "feed", ...; "nothing", "sanitised", ...; static text. */
const char *phase_word(enum routine_phase phase);
const char *makes_word(enum step_makes makes);

/* Reads a routine from text and checks it. On failure *out is not changed and the sentence begins with the
 * line's number. */
int routine_parse(const char *text, struct routine *out, struct fail *f);

/* Copies a routine's steps, and not the places for more. */
void routine_copy(struct routine *to, const struct routine *from);

/* Writes it as text that reads back as the same routine (comments are not kept). Fails only when buf is too
 * small: ROUTINE_TEXT_MAX is enough for any. */
int routine_write(const struct routine *r, char *buf, size_t size, struct fail *f);

/* The rules that every routine keeps: phases in order; ids unique; words present and short; gates name steps
 * that come earlier; clocks have a length, hot steps start above their floor; chemicals that must not meet
 * have a plain rinse of every session between them, also from the end of one session to the start of the
 * next; a `sanitised` gate has a step that makes it so. Names the first step that breaks one. */
int routine_check(const struct routine *r, struct fail *f);

/* The step of that id, or NULL; its place in the order, or -1. Borrowed. */
const struct routine_step *routine_find(const struct routine *r, const char *id);
int routine_index(const struct routine *r, const char *id);

/* The cautions of its card, gravest first and each once: those of its chemical, then its own. Returns how
 * many. */
size_t step_cautions(const struct routine_step *step, enum caution_id out[STEP_CARD_CAUTIONS_MAX]);

#endif
