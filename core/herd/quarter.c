#include "core/herd/quarter.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/text.h"
#include "core/herd/cells.h"
#include "core/herd/udder.h"

enum { SECONDS_PER_DAY = 86400 };

static const struct {
    const char *code, *name;
} quarter_table[QUARTERS] = {
    [QUARTER_LF] = {"LF", "left front"},
    [QUARTER_RF] = {"RF", "right front"},
    [QUARTER_LR] = {"LR", "left rear"},
    [QUARTER_RR] = {"RR", "right rear"},
};

const char *quarter_code(enum quarter q)
{
    return quarter_table[q].code;
}

const char *quarter_name(enum quarter q)
{
    return quarter_table[q].name;
}

/* R is both right and rear, so the pairs are listed, not worked out from their letters. */
bool quarter_parse(const char *text, enum quarter *out)
{
    static const struct {
        const char *code;
        enum quarter q;
    } others[] = {
        {"FL", QUARTER_LF}, {"FR", QUARTER_RF}, {"RL", QUARTER_LR}, {"HL", QUARTER_LR},
        {"LH", QUARTER_LR}, {"HR", QUARTER_RR}, {"RH", QUARTER_RR},
    };
    for (int q = 0; q < QUARTERS; q++)
        if (text_same(text, quarter_table[q].code)) {
            *out = (enum quarter)q;
            return true;
        }
    for (size_t i = 0; i < sizeof others / sizeof others[0]; i++)
        if (text_same(text, others[i].code)) {
            *out = others[i].q;
            return true;
        }
    return false;
}

/* How bad one look is. */
enum rank { RANK_NONE, RANK_CLEAN, RANK_SUSPECT, RANK_RAISED };

static enum rank worse(enum rank a, enum rank b)
{
    return a > b ? a : b;
}

static enum rank look_rank(const struct quarter_look *look)
{
    enum rank rank = RANK_NONE;
    if (look->strip >= 0)
        rank = (look->strip & ~STRIP_BLIND) != 0 ? RANK_RAISED : RANK_CLEAN;
    if (look->cmt >= 0)
        rank = worse(rank, look->cmt >= CMT_1       ? RANK_RAISED
                           : look->cmt == CMT_TRACE ? RANK_SUSPECT
                                                    : RANK_CLEAN);
    if (look->cells_per_ml >= 0)
        rank = worse(rank, look->cells_per_ml >= CELLS_INFECTED_PER_ML  ? RANK_RAISED
                           : look->cells_per_ml >= CELLS_SUSPECT_PER_ML ? RANK_SUSPECT
                                                                        : RANK_CLEAN);
    return rank;
}

static int sign(double x)
{
    return (x > 0) - (x < 0);
}

/* The finest measure that both looks share decides; half a linear score is within the spread of a count. */
static int look_direction(const struct quarter_look *before, const struct quarter_look *now)
{
    double change = cells_linear_score(now->cells_per_ml) - cells_linear_score(before->cells_per_ml);
    if (isfinite(change))
        return fabs(change) >= 0.5 ? sign(change) : 0;
    if (before->cmt >= 0 && now->cmt >= 0)
        return sign(now->cmt - before->cmt);
    return sign((double)look_rank(now) - (double)look_rank(before));
}

static int days_between(struct instant a, struct instant b)
{
    return (int)((b.s - a.s) / SECONDS_PER_DAY);
}

/* A run of raised looks. It is over once a clean look lies CHRONIC_DAYS behind the last raised one. */
struct spell {
    struct instant began_at, last_at;
    int looks;
    bool broken; /* looked clean in between */
};

static void spell_take(struct spell *s, const struct quarter_look *look, enum rank rank)
{
    if (s->looks > 0 && s->broken && days_between(s->last_at, look->at) >= CHRONIC_DAYS)
        memset(s, 0, sizeof *s);
    if (rank != RANK_RAISED) {
        s->broken = s->broken || rank == RANK_CLEAN;
        return;
    }
    if (s->looks == 0) {
        s->began_at = look->at;
        s->broken = false;
    }
    s->last_at = look->at;
    s->looks++;
}

static enum quarter_state state_of(const struct spell *s, const struct quarter_look *last, enum rank rank)
{
    if (last->strip >= 0 && (last->strip & STRIP_BLIND) != 0)
        return QUARTER_BLIND;
    if (rank == RANK_RAISED) {
        bool chronic = s->broken || days_between(s->began_at, last->at) >= CHRONIC_DAYS;
        return chronic ? QUARTER_CHRONIC : QUARTER_NEW;
    }
    if (s->looks > 0 && days_between(s->last_at, last->at) <= CLEARING_DAYS)
        return QUARTER_CLEARING;
    return rank == RANK_SUSPECT ? QUARTER_SUSPECT : QUARTER_CLEAN;
}

void quarter_trend(const struct quarter_look *looks, size_t n, struct quarter_trend *out)
{
    struct spell spell = {0};
    const struct quarter_look *last = NULL;
    *out = (struct quarter_trend){
        .state = QUARTER_UNKNOWN, .looked_at = INSTANT_NONE, .raised_at = INSTANT_NONE};
    for (size_t i = 0; i < n; i++) {
        enum rank rank = look_rank(&looks[i]);
        if (rank == RANK_NONE)
            continue;
        spell_take(&spell, &looks[i], rank);
        out->direction = last == NULL ? 0 : look_direction(last, &looks[i]);
        last = &looks[i];
    }
    if (last == NULL)
        return;
    out->looked_at = last->at;
    out->state = state_of(&spell, last, look_rank(last));
    if (out->state == QUARTER_NEW || out->state == QUARTER_CHRONIC || out->state == QUARTER_CLEARING) {
        out->raised_at = spell.began_at;
        out->raised_looks = spell.looks;
    }
}

const char *quarter_state_word(enum quarter_state state)
{
    static const char *const words[] = {
        [QUARTER_UNKNOWN] = "not looked at", [QUARTER_CLEAN] = "clean",
        [QUARTER_SUSPECT] = "suspect",       [QUARTER_NEW] = "new",
        [QUARTER_CHRONIC] = "chronic",       [QUARTER_CLEARING] = "clearing",
        [QUARTER_BLIND] = "blind",
    };
    return words[state];
}

const char *quarters_text(const struct quarter_trend trends[QUARTERS], char *buf, size_t size)
{
    int unknown = 0;
    if (size > 0)
        buf[0] = '\0';
    for (int q = 0; q < QUARTERS; q++) {
        unknown += trends[q].state == QUARTER_UNKNOWN;
        if (trends[q].state != QUARTER_UNKNOWN && trends[q].state != QUARTER_CLEAN)
            (void)text_append(buf, size, "%s%s %s", buf[0] == '\0' ? "" : ", ", quarter_code((enum quarter)q),
                              quarter_state_word(trends[q].state));
    }
    if (size > 0 && buf[0] == '\0')
        (void)text_append(buf, size, "%s", unknown == QUARTERS ? "quarters not looked at" : "quarters clean");
    return buf;
}
