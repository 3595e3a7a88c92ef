/* Writing a routine as the text that reads back as the same. */
#include <stdio.h>

#include "core/base/text.h"
#include "core/sanitation/routine_inside.h"

/* "30s", "6min", "2h": the largest unit that says it whole. */
static const char *seconds_text(int32_t s, char buf[24])
{
    if (s % 3600 == 0 && s > 0)
        (void)snprintf(buf, 24, "%d h", s / 3600);
    else if (s % 60 == 0 && s > 0)
        (void)snprintf(buf, 24, "%d min", s / 60);
    else
        (void)snprintf(buf, 24, "%d s", s);
    return buf;
}

static void heat_text(const struct routine_step *s, char *buf, size_t size)
{
    bool us = s->heat_units == UNITS_US;
    (void)snprintf(buf, size, "%.6g%c %.6g%c", us ? temp_f_from_c(s->start_c) : s->start_c, us ? 'F' : 'C',
                   us ? temp_f_from_c(s->floor_c) : s->floor_c, us ? 'F' : 'C');
}

static void gate_text(const struct step_gate *g, char *buf, size_t size)
{
    char text[24];
    buf[0] = '\0';
    (void)text_append(buf, size, "%s", gate_words[g->kind]);
    if (g->kind == GATE_AFTER)
        (void)text_append(buf, size, " %s", g->step);
    if (g->kind == GATE_AFTER && (g->from_s > 0 || g->by_s > 0))
        (void)text_append(buf, size, " %s", seconds_text(g->from_s, text));
    if (g->by_s > 0)
        (void)text_append(buf, size, " %s", seconds_text(g->by_s, text));
}

static bool write_step(const struct routine_step *s, char *buf, size_t size)
{
    char text[96];
    bool fits = text_append(buf, size, "\nstep %s\n  say %s\n", s->id, s->words);
    if (s->how[0] != '\0')
        fits = text_append(buf, size, "  how %s\n", s->how);
    if (s->per_cow)
        fits = text_append(buf, size, "  each cow\n");
    if (s->turn)
        fits = text_append(buf, size, "  turn\n");
    if (s->every != EVERY_SESSION)
        fits = text_append(buf, size, "  every %s\n", every_words[s->every]);
    if (s->contact_s > 0)
        fits = text_append(buf, size, "  time %s\n", seconds_text(s->contact_s, text));
    if (s->kind == STEP_HOT) {
        heat_text(s, text, sizeof text);
        fits = text_append(buf, size, "  heat %s\n", text);
    }
    if (s->chemical != CHEMICAL_NONE)
        fits = text_append(buf, size, "  chemical %s\n", chemical_word(s->chemical));
    for (size_t i = 0; i < s->gate_count; i++) {
        gate_text(&s->gate[i], text, sizeof text);
        fits = text_append(buf, size, "  gate %s\n", text);
    }
    if (s->makes != MAKES_NOTHING)
        fits = text_append(buf, size, "  makes %s\n", makes_words[s->makes]);
    for (size_t i = 0; i < s->caution_count; i++)
        fits = text_append(buf, size, "  caution %s\n", caution_get(s->caution[i])->word);
    return fits;
}

static bool write_phase(const struct routine *r, enum routine_phase phase, char *buf, size_t size)
{
    char text[24];
    bool fits = true, begun = false;
    if (r->usual_s[phase] > 0) {
        begun = true;
        fits = text_append(buf, size, "\nphase %s\nusual %s\n", phase_word(phase),
                           seconds_text(r->usual_s[phase], text));
    }
    for (size_t i = 0; fits && i < r->count; i++) {
        if (r->step[i].phase != phase)
            continue;
        if (!begun)
            fits = text_append(buf, size, "\nphase %s\n", phase_word(phase));
        begun = true;
        fits = fits && write_step(&r->step[i], buf, size);
    }
    return fits;
}

int routine_write(const struct routine *r, char *buf, size_t size, struct fail *f)
{
    buf[0] = '\0';
    bool fits = text_append(buf, size, "routine %s\nbuckets %d\n", r->name, r->buckets);
    for (int phase = 0; fits && phase < PHASE_COUNT; phase++)
        fits = write_phase(r, (enum routine_phase)phase, buf, size);
    return fits ? 0 : fail_input(f, "The routine is too long to be written in %zu bytes.", size);
}
