/* Lines between panes. A cell of a line is known by the sides of the cell it reaches, so that lines that meet
 * are joined whichever was drawn first. */
#include <string.h>

#include "tui/kit/cells.h"
#include "tui/kit/draw.h"

enum { NORTH = 1, EAST = 2, SOUTH = 4, WEST = 8 };

/* By sides reached; lines of a single side are shown as whole ones. */
static const uint32_t lines[16] = {
    [NORTH] = 0x2502,
    [SOUTH] = 0x2502,
    [NORTH | SOUTH] = 0x2502,
    [EAST] = 0x2500,
    [WEST] = 0x2500,
    [EAST | WEST] = 0x2500,
    [SOUTH | EAST] = 0x250C,
    [SOUTH | WEST] = 0x2510,
    [NORTH | EAST] = 0x2514,
    [NORTH | WEST] = 0x2518,
    [NORTH | SOUTH | EAST] = 0x251C,
    [NORTH | SOUTH | WEST] = 0x2524,
    [SOUTH | EAST | WEST] = 0x252C,
    [NORTH | EAST | WEST] = 0x2534,
    [NORTH | EAST | SOUTH | WEST] = 0x253C,
};

/* The sides of the line at a place, 0 where there is none. In ASCII a corner cannot be told from a crossing;
 * it stays a + whatever joins it. */
static unsigned sides_at(struct rect r, int row, int col)
{
    const struct cell *cell = canvas_at(r.canvas, r.row + row, r.col + col);
    if (cell == NULL || cell->role != ROLE_RULE)
        return 0;
    if (cell->base == '-')
        return EAST | WEST;
    if (cell->base == '|')
        return NORTH | SOUTH;
    if (cell->base == '+')
        return NORTH | EAST | SOUTH | WEST;
    for (unsigned sides = 15; sides > 0; sides--)
        if (lines[sides] == cell->base)
            return sides;
    return 0;
}

static void put_line(struct rect r, int row, int col, unsigned sides)
{
    if (row < 0 || row >= r.rows || col < 0 || col >= r.cols)
        return;
    uint32_t out[GLYPH_STAND_IN_MAX];
    (void)glyph_stand_in(lines[sides | sides_at(r, row, col)], r.canvas->charset, out);
    cell_put_code(r, row, col, ROLE_RULE, out[0]);
}

static void line_across(struct rect r, int row)
{
    if (row < 0 || row >= r.rows)
        return;
    uint32_t plain[GLYPH_STAND_IN_MAX];
    (void)glyph_stand_in(lines[EAST | WEST], r.canvas->charset, plain);
    for (int col = 0; col < r.cols; col++) {
        unsigned there = sides_at(r, row, col);
        if (there == 0)
            cell_put_code(r, row, col, ROLE_RULE, plain[0]);
        else if ((col > 0 && col < r.cols - 1) || (there & (NORTH | SOUTH)) == 0)
            put_line(r, row, col, EAST | WEST);
        else
            put_line(r, row, col, col == 0 ? EAST : WEST);
    }
}

static void line_title(struct rect r, int row, enum role role, const char *title)
{
    int width = draw_width(r.canvas->charset, title);
    struct rect room = rect_part(r, row, 1, 1, width + 3 < r.cols ? width + 2 : r.cols - 2);
    draw_erase(room);
    if (role == ROLE_ACCENT) /* a word of its own where there is no colour: the pane that has the keys */
        (void)draw_text(room, 0, 0, role, GLYPH_POINTER);
    (void)draw_text(rect_part(room, 0, 1, 1, room.cols - 2), 0, 0, role, title);
}

void draw_rule(struct rect r, int row, enum role role, const char *title, const char *remark)
{
    if (row < 0 || row >= r.rows)
        return;
    line_across(r, row);
    int titled = title != NULL && *title != '\0' ? draw_width(r.canvas->charset, title) + 3 : 0;
    int width = remark != NULL ? draw_width(r.canvas->charset, remark) : 0;
    /* Where both have no room the title stands: half a remark says nothing. */
    if (width > 0 && titled + width + 3 <= r.cols) {
        struct rect room = rect_part(r, row, r.cols - width - 3, 1, width + 2);
        draw_erase(room);
        (void)draw_text(rect_part(room, 0, 1, 1, room.cols - 2), 0, 0, ROLE_CHALK, remark);
    }
    if (title != NULL && *title != '\0')
        line_title(r, row, role, title);
}

void draw_upright(struct rect r, int col)
{
    for (int row = 0; row < r.rows; row++) {
        unsigned sides = NORTH | SOUTH;
        bool meets = (sides_at(r, row, col) & (EAST | WEST)) != 0;
        if (meets && row == 0)
            sides = SOUTH;
        else if (meets && row == r.rows - 1)
            sides = NORTH;
        put_line(r, row, col, sides);
    }
}

void draw_box(struct rect r, enum role role, const char *title)
{
    if (r.rows < 2 || r.cols < 2)
        return;
    for (int col = 1; col < r.cols - 1; col++) {
        put_line(r, 0, col, EAST | WEST);
        put_line(r, r.rows - 1, col, EAST | WEST);
    }
    for (int row = 1; row < r.rows - 1; row++) {
        put_line(r, row, 0, NORTH | SOUTH);
        put_line(r, row, r.cols - 1, NORTH | SOUTH);
    }
    put_line(r, 0, 0, SOUTH | EAST);
    put_line(r, 0, r.cols - 1, SOUTH | WEST);
    put_line(r, r.rows - 1, 0, NORTH | EAST);
    put_line(r, r.rows - 1, r.cols - 1, NORTH | WEST);
    if (title != NULL && *title != '\0')
        line_title(r, 0, role, title);
}
