/* The words of the text form, for its reader and its writer. */
#ifndef CORE_SANITATION_ROUTINE_INSIDE_H
#define CORE_SANITATION_ROUTINE_INSIDE_H

#include "core/sanitation/routine.h"

enum { EVERY_COUNT = EVERY_MONTH + 1, GATE_COUNT = GATE_JARS_UP + 1, MAKES_COUNT = MAKES_JARS_UP + 1 };

/* In the order of their enums. */
extern const char *const every_words[EVERY_COUNT];
extern const char *const gate_words[GATE_COUNT];
extern const char *const makes_words[MAKES_COUNT];

#endif
