/* Keys, bytes, sizes and time over all screens, in process: nothing may crash, what stands on the screen is
 * clean text, and afterwards the records pass their own check. */
#include <fcntl.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

#include "tests/fuzz/small_dairy.h"
#include "tests/fuzz/target.h"
#include "tui/app.h"

enum { EVENTS_MOST = 400 };

int LLVMFuzzerInitialize(int *argc, char ***argv)
{
    (void)argc;
    (void)argv;
    fuzz_environment();
    small_dairy_make();
    return 0;
}

static void on_finding(void *context, const char *finding)
{
    (void)context;
    fprintf(stderr, "the records: %s\n", finding);
}

/* A terminal of this process: a pipe for keys, a file in memory for what is sent, a clock that is told. */
struct desk {
    struct term *term;
    struct loop loop;
    struct clock_held held;
    FILE *in, *out;
    int feed_fd;
};

static void desk_open(struct desk *k)
{
    int ends[2];
    struct fail f = {0};
    FUZZ_CHECK(pipe2(ends, O_CLOEXEC) == 0);
    *k = (struct desk){.feed_fd = ends[1], .in = fdopen(ends[0], "r")};
    k->out = fdopen(memfd_create("terminal", MFD_CLOEXEC), "w");
    FUZZ_CHECK(k->in != NULL && k->out != NULL);
    struct term_options options = {
        .type = "xterm-256color", .rows = 24, .cols = 80, .borrowed = true, .in = k->in, .out = k->out};
    k->term = term_open(&options, &f);
    FUZZ_CHECK(k->term != NULL);
}

static void desk_close(struct desk *k)
{
    loop_release(&k->loop);
    term_close(k->term);
    (void)fclose(k->in);
    (void)fclose(k->out);
    (void)close(k->feed_fd);
}

static void turn(struct desk *k)
{
    k->loop.keys_waiting = true;
    for (int i = 0; i < k->loop.watch_count; i++)
        k->loop.watch[i].ready = true;
    (void)loop_turn(&k->loop);
}

static void look_at_screen(struct desk *k)
{
    static char text[CANVAS_COLS_MAX * 16];
    const struct canvas *c = term_canvas(k->term);
    for (int row = 0; row < c->rows; row++) {
        (void)canvas_row_text(c, row, text, sizeof text);
        fuzz_check_clean("screen", text, strlen(text));
    }
}

/* A byte is a key, but for two: what follows them is a size, or how long nothing happens. */
static size_t one_event(struct desk *k, const uint8_t *data, size_t size)
{
    if (data[0] == 0 && size >= 3) {
        (void)term_resize(k->term, 1 + data[2] % 80, 1 + data[1]);
        k->loop.answer |= LOOP_DRAW;
        turn(k);
        return 3;
    }
    if (data[0] == 1 && size >= 2) {
        clock_held_advance(&k->held, (int64_t)data[1] * data[1] * data[1] * 10);
        turn(k);
        return 2;
    }
    FUZZ_CHECK(write(k->feed_fd, data, 1) == 1);
    /* What follows an escape belongs to it. */
    if (data[0] != 27 && data[0] != '[')
        turn(k);
    return 1;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct app app;
    static struct desk desk;
    struct dairy *d = NULL;
    struct fail f = {0};
    size_t findings = 0;
    FUZZ_CHECK(dairy_open(small_dairy_file("keys.db"), DAIRY_WRITE, &d, &f) == 0);
    desk_open(&desk);
    struct clock clock = clock_held(&desk.held, small_dairy_now());
    memset(&app, 0, sizeof app);
    FUZZ_CHECK(app_open(&app, d, desk.term, clock, &f) == 0);
    FUZZ_CHECK(loop_init(&desk.loop, desk.term, clock, &app_hooks, &app, &f) == 0);
    app_attach(&app, &desk.loop);
    turn(&desk);
    turn(&desk);
    for (size_t used = 0, events = 0; used < size && events < EVENTS_MOST && desk.loop.end == LOOP_RUNNING;
         events++)
        used += one_event(&desk, data + used, size - used);
    turn(&desk);
    if (desk.loop.end == LOOP_RUNNING)
        look_at_screen(&desk);
    app_close(&app);
    desk_close(&desk);
    FUZZ_CHECK(dairy_verify(d, on_finding, NULL, &findings, &f) == 0 && findings == 0);
    dairy_close(d);
    return 0;
}
