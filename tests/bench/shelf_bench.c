/* How long the shelf takes with ten years of four cows on file, some 50,000 jars: the screen opened from the
 * board (the snapshot and its picture), beside plain SQLite reading the same rows in the same run; and a
 * trace of one cow's milk of a week. Processor time; medians of rounds that take turns. shelf_bench FILE
 * makes FILE first when it is not there (about a minute) */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "core/day/shelf.h"
#include "tests/bench/past.h"
#include "tests/bench/raw_reads.h"
#include "tui/app.h"

enum { DAYS = 3652, JARS_EACH = 7, ROUNDS = 41, COWS = 4, CHILLED_DAYS = 21 };

static const char *const cows[COWS] = {"Brindle", "Clover", "Fern", "Nettle"};

/* ---- ten years ---- */

static void make_people(struct dairy *d, struct date day)
{
    char words[120];
    for (int i = 0; i < 12; i++) {
        (void)snprintf(words, sizeof words,
                       "name=Person %c  contact=555 01%02d  contact2=the house number %d  share=1  "
                       "days=%s",
                       'A' + i, 10 + i, i + 1, i % 2 == 0 ? "mon,thu" : "daily");
        bench_act(d, day, 5 * 60, "person", words);
    }
}

static void make_dairy(struct dairy *d, struct date day)
{
    char words[120], born[CIVIL_TEXT_MAX];
    bench_act(d, day, 4 * 60, "dairy",
              "name=Bench  units=us  limit=pmo  stalls=4  tub=20L  fridge=3C  times=06:10");
    bench_act(d, day, 4 * 60, "jars", "kind=half-gallon  count=500");
    for (int i = 0; i < COWS; i++) {
        (void)snprintf(words, sizeof words, "name=%s  breed=Jersey  born=%s  stall=%d  calved=%s", cows[i],
                       date_iso(date_add(day, -1500 - 100 * i), born), i + 1, "2016-01-01");
        bench_act(d, day, 4 * 60, "cow", words);
    }
    make_people(d, day);
}

/* She is treated once a year and her milk goes to nobody for a week. */
static bool on_hold(int n, int cow)
{
    return (n + cow * 91) % 365 < 7;
}

static void make_morning(struct dairy *d, struct date day, int n)
{
    char words[200], from[80] = "";
    int minute = 6 * 60 + 10, kept = 0;
    bench_act(d, day, minute - 30, "ice", "mass=15kg");
    bench_act(d, day, minute, "milking", "state=start");
    for (int i = 0; i < COWS; i++) {
        (void)snprintf(words, sizeof words, "cow=%s  mass=%d.%dkg  strip=clean  disc=clean", cows[i],
                       8 + (n + i) % 4, (n * 7 + i) % 10);
        bench_act(d, day, minute + 6 * (i + 1), "milk", words);
        if ((n + i * 91) % 365 == 0) {
            (void)snprintf(words, sizeof words, "cow=%s  product=udder tube  milk_hours=96h  meat_days=10d",
                           cows[i]);
            bench_act(d, day, minute + 6 * (i + 1), "treat", words);
        }
        if (on_hold(n, i))
            continue;
        (void)snprintf(from + strlen(from), sizeof from - strlen(from), "%s%s", kept++ == 0 ? "" : ",",
                       cows[i]);
    }
    for (int b = 0; b < 2; b++) {
        (void)snprintf(words, sizeof words, "jars=%dxhalf-gallon  from=%s  temp=34C", JARS_EACH, from);
        bench_act(d, day, minute + 26 + b, "pour", words);
    }
    bench_act(d, day, minute + 30, "milking", "state=end");
    bench_act(d, day, minute + 45, "reading", "batch=A  temp=12C");
    for (int b = 0; b < 2; b++)
        bench_act(d, day, minute + 70 + b, "pull", b == 0 ? "batch=A  to=fridge" : "batch=B  to=fridge");
    bench_act(d, day, minute + 80, "milking", "state=done");
}

static void make_day(struct dairy *d, struct date day, int n)
{
    char words[120], before[CIVIL_TEXT_MAX];
    make_morning(d, day, n);
    bench_act(d, day, 9 * 60, "reading", "at_place=fridge  temp=3.5C");
    for (int i = 0; i < 3; i++) {
        (void)snprintf(words, sizeof words, "batch=%c  count=1  to=Person %c", i % 2 == 0 ? 'A' : 'B',
                       'A' + (n + i) % 12);
        bench_act(d, day, 10 * 60 + i, "jar", words);
    }
    bench_act(d, day, 12 * 60, "jar", "batch=A  count=3  to=cheese");
    if (n % 30 == 0)
        bench_act(d, day, 13 * 60, "jar", "batch=B  count=1  to=dump  why=spilled");
    if (n % 20 == 0)
        bench_act(d, day, 18 * 60, "taste",
                  n % 60 == 0 ? "batch=B  flavour=good  score=5" : "batch=A  flavour=feed");
    if (n >= 6) {
        (void)snprintf(words, sizeof words, "before=%s  to=drunk", date_iso(date_add(day, -5), before));
        bench_act(d, day, 19 * 60, "clear", words);
    }
    bench_act(d, day, 20 * 60, "washed", "");
    if (n % 7 == 0) {
        (void)snprintf(words, sizeof words, "person=Person %c", 'A' + n / 7 % 12);
        struct form form;
        struct act_done done;
        const struct act_kind *kind = act_find("jarback"); /* some have none out yet, and are refused */
        act_form(d, kind, bench_minute(day, 21 * 60), &form);
        (void)form_set_pair(&form, words, NULL);
        (void)dairy_record(d, kind, &form, bench_minute(day, 21 * 60), &done, NULL);
    }
}

static void make_file(const char *path, struct date first)
{
    struct dairy *d;
    struct fail f = {0};
    bench_need(dairy_open(path, DAIRY_SCRATCH, &d, &f), &f);
    dairy_make_haste(d, true);
    make_dairy(d, first);
    for (int n = 0; n < DAYS; n++) {
        dairy_make_haste(d, n < DAYS - CHILLED_DAYS);
        make_day(d, date_add(first, n), n);
        if (n % 365 == 0)
            (void)fprintf(stderr, "year %d\n", n / 365 + 1);
    }
    bench_need(dairy_settle(d, &f), &f);
    dairy_close(d);
}

/* ---- the measure ---- */

struct opened {
    struct app app;
    struct canvas canvas;
    struct clock_held held;
};

static void open_board(struct opened *o, const char *path, struct instant now)
{
    struct fail f = {0};
    bench_need(dairy_open(path, DAIRY_READ, &o->app.dairy, &f), &f);
    o->app.now = now;
    o->app.clock = clock_held(&o->held, now);
    o->app.ringing = -1;
    o->app.screen = &shelf_screen;
    o->app.board = calloc(1, sizeof *o->app.board);
    bench_need(dairy_board(o->app.dairy, now, o->app.board, &f), &f);
    bench_need(canvas_resize(&o->canvas, 30, 100, &f), &f);
}

static void draw_shelf(struct opened *o)
{
    canvas_erase(&o->canvas);
    shelf_screen.draw(&o->app, rect_whole(&o->canvas));
}

static void open_shelf(struct opened *o)
{
    shelf_screen.open(&o->app);
    draw_shelf(o);
}

static void measure_shelf(struct opened *o, const char *path)
{
    double shelf_us[ROUNDS], draw_us[ROUNDS], raw_us[ROUNDS];
    long rows = 0;
    open_shelf(o);
    raw_reads_begin();
    open_shelf(o);
    struct raw_reads *raw = raw_reads_end(path);
    (void)raw_reads_run(raw);
    for (int i = 0; i < ROUNDS; i++) {
        double at = bench_now_us();
        shelf_screen.open(&o->app);
        shelf_us[i] = bench_now_us() - at;
        draw_shelf(o);
        draw_us[i] = bench_now_us() - at - shelf_us[i];
        shelf_us[i] += draw_us[i];
        at = bench_now_us();
        rows = raw_reads_run(raw);
        raw_us[i] = bench_now_us() - at;
    }
    double shelf = bench_median(shelf_us, ROUNDS), plain = bench_median(raw_us, ROUNDS);
    printf("shelf opened and drawn        %9.3f ms, drawing %.3f of it\n", shelf / 1e3,
           bench_median(draw_us, ROUNDS) / 1e3);
    printf("the same %5ld rows, %3zu reads %9.3f ms\n", rows, raw_reads_statements(raw), plain / 1e3);
    printf("ratio                         %9.2f\n", shelf / plain);
    raw_reads_free(raw);
}

static void measure_trace(struct opened *o)
{
    double us[ROUNDS];
    struct fail f = {0};
    struct trace_view *v = calloc(1, sizeof *v);
    struct trace_ask ask = {
        .from = ASK_COW, .id = 1, .since = {o->app.now.s - 7 * 86400}, .until = {o->app.now.s}};
    for (int i = 0; i < ROUNDS; i++) {
        double at = bench_now_us();
        bench_need(dairy_trace(o->app.dairy, &ask, o->app.now, v, &f), &f);
        us[i] = bench_now_us() - at;
    }
    printf("trace of a cow's week         %9.2f ms, %d jars in %zu places\n", bench_median(us, ROUNDS) / 1e3,
           v->sum.jars, v->lines);
    free(v);
}

int main(int argc, char **argv)
{
    struct date first;
    struct opened *o = calloc(1, sizeof *o);
    if (argc != 2 || o == NULL || !date_from_ymd(2016, 5, 3, &first)) {
        (void)fprintf(stderr, "usage: shelf_bench FILE\n");
        return 2;
    }
    if (access(argv[1], F_OK) != 0)
        make_file(argv[1], first);
    raw_reads_watch();
    open_board(o, argv[1], bench_minute(date_add(first, DAYS - 1), 22 * 60));
    measure_shelf(o, argv[1]);
    measure_trace(o);
    dairy_close(o->app.dairy);
    return 0;
}
