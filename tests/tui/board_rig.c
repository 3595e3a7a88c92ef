#include "tests/tui/board_rig.h"

#include <sys/stat.h>
#include <unistd.h>

#include "core/base/file.h"
#include "demo/dairy.h"
#include "tests/day/rig.h"
#include "tests/scratch.h"
#include "tests/support.h"

const struct tty_kind usual_terminal = {"xterm-256color", true, true};

void board_rig_open(struct board_rig *rig, const char *path, const char *at, const struct tty_kind *kind,
                    int rows, int cols)
{
    struct fail f = {0};
    memset(rig, 0, sizeof *rig);
    ck_assert_msg(dairy_open(path, DAIRY_CREATE, &rig->dairy, &f) == 0, "%s", f.text);
    tty_open(&rig->tty, kind, rows, cols);
    rig->tty.clock = clock_held(&rig->tty.held, rig_at(at));
    ck_assert_msg(app_open(&rig->app, rig->dairy, rig->tty.term, rig->tty.clock, &f) == 0, "%s", f.text);
    tty_begin(&rig->tty, &app_hooks, &rig->app);
    app_attach(&rig->app, &rig->tty.loop);
    /* The first picture does without what the past teaches; the next turn brings it. */
    tty_turn(&rig->tty);
}

void board_rig_close(struct board_rig *rig)
{
    app_close(&rig->app);
    tty_close(&rig->tty);
    dairy_close(rig->dairy);
}

static char master[64];

void demo_master_open(void)
{
    struct dairy *d;
    struct fail f = {0};
    snprintf(master, sizeof master, "/tmp/springhouse-demo-master-%ld.db", (long)getpid());
    ck_assert_msg(dairy_open(master, DAIRY_SCRATCH, &d, &f) == 0 && demo_fill(d, 1, &f) == 0 &&
                      dairy_settle(d, &f) == 0,
                  "%s", f.text);
    dairy_close(d);
}

void demo_master_close(void)
{
    (void)remove(master);
}

const char *demo_copy(const char *name)
{
    char *bytes;
    size_t size;
    struct fail f = {0};
    ck_assert_msg(file_read(master, &bytes, &size, &f) == 0, "%s", f.text);
    ck_assert_msg(file_replace(scratch_path(name), bytes, size, &f) == 0, "%s", f.text);
    free(bytes);
    return scratch_path(name);
}
