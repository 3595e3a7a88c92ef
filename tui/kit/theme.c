/* Chalk on a dark board: off-white is the terminal's own foreground, and the five colours are muted ones that
 * can be told from it. They were chosen to be legible on a dark ground and to stay so on a light one, since
 * the ground is whatever the terminal has (tests/kit/theme_test.c works the contrasts out). */
#include "tui/kit/theme.h"

#include <curses.h>

enum { OWN = -1 }; /* the terminal's own colour */

/* Colours 16-255 are the fixed cube and grey ramp of a 256-colour terminal. */
enum { SAGE_256 = 65, STRAW_256 = 136, BRICK_256 = 167, SLATE_256 = 67, ASH_256 = 244 };

/* clang-format off */
static const struct {
    const char *name;
    struct look mono, eight, wide;
} looks[ROLE_COUNT] = {
    /*                 name        no colour                    8 and 16 colours                            256 colours */
    [ROLE_CHALK]    = {"chalk",    {A_NORMAL, OWN},             {A_NORMAL, OWN},                            {A_NORMAL, OWN}},
    [ROLE_FAINT]    = {"faint",    {A_DIM, OWN},                {A_DIM, OWN},                               {A_NORMAL, ASH_256}},
    [ROLE_STRONG]   = {"strong",   {A_BOLD, OWN},               {A_BOLD, OWN},                              {A_BOLD, OWN}},
    [ROLE_TITLE]    = {"title",    {A_BOLD, OWN},               {A_BOLD, OWN},                              {A_BOLD, OWN}},
    [ROLE_CALM]     = {"calm",     {A_NORMAL, OWN},             {A_NORMAL, COLOR_GREEN},                    {A_NORMAL, SAGE_256}},
    [ROLE_WATCH]    = {"watch",    {A_BOLD, OWN},               {A_BOLD, COLOR_YELLOW},                     {A_BOLD, STRAW_256}},
    [ROLE_STOP]     = {"stop",     {A_REVERSE, OWN},            {A_BOLD | A_REVERSE, COLOR_RED},            {A_BOLD | A_REVERSE, BRICK_256}},
    [ROLE_ACCENT]   = {"accent",   {A_REVERSE, OWN},            {A_BOLD, COLOR_CYAN},                       {A_BOLD, SLATE_256}},
    [ROLE_KEY]      = {"key",      {A_BOLD, OWN},               {A_BOLD, OWN},                              {A_BOLD, OWN}},
    [ROLE_FIELD]    = {"field",    {A_UNDERLINE, OWN},          {A_UNDERLINE, OWN},                         {A_UNDERLINE, OWN}},
    [ROLE_CARET]    = {"caret",    {A_REVERSE, OWN},            {A_REVERSE, OWN},                           {A_REVERSE, OWN}},
    [ROLE_SELECTED] = {"selected", {A_REVERSE, OWN},            {A_REVERSE, OWN},                           {A_REVERSE, OWN}},
    [ROLE_RULE]     = {"rule",     {A_DIM, OWN},                {A_DIM, OWN},                               {A_NORMAL, ASH_256}},
    [ROLE_CURVE]    = {"curve",    {A_BOLD, OWN},               {A_BOLD, OWN},                              {A_BOLD, OWN}},
    [ROLE_BAND]     = {"band",     {A_DIM, OWN},                {A_DIM, OWN},                               {A_NORMAL, ASH_256}},
};
/* clang-format on */

struct look theme_look(enum role role, enum depth depth)
{
    switch (depth) {
    case DEPTH_MONO: return looks[role].mono;
    case DEPTH_8:
    case DEPTH_16: return looks[role].eight;
    case DEPTH_256: return looks[role].wide;
    }
    return looks[role].mono;
}

enum depth theme_depth(int colours, bool wanted)
{
    if (!wanted || colours < 8)
        return DEPTH_MONO;
    if (colours < 16)
        return DEPTH_8;
    return colours < 256 ? DEPTH_16 : DEPTH_256;
}

const char *role_name(enum role role)
{
    return looks[role].name;
}
