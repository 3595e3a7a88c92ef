#include "tui/probe_desk.h"

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <pthread.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "core/base/text.h"

enum { ROUND_MS = 5000 };

/* What the thread sends; small enough that a pipe takes it whole or not at all. */
struct probe_sign {
    char path[PROBE_PATH_MAX];
    bool read;
    double temp_c;
    char why[120];
};

struct probe_desk {
    struct probe_seat seat[PROBES_MAX];
    size_t seats;
    int fd[2]; /* the thread writes to the second */
    bool running;
    int round_ms;
    pthread_t thread;
    /* shared with the thread, under the lock */
    pthread_mutex_t lock;
    pthread_cond_t changed;
    bool stop;
    char path[PROBES_MAX][PROBE_PATH_MAX];
    size_t paths;
};

/* ---- the thread ---- */

static void send_reading(const struct probe_desk *desk, const char *path)
{
    struct probe_sign sign = {.temp_c = NAN};
    struct fail f = {0};
    (void)snprintf(sign.path, sizeof sign.path, "%s", path);
    sign.read = probe_file_read(path, &sign.temp_c, &f) == 0;
    (void)snprintf(sign.why, sizeof sign.why, "%.119s", f.text);
    /* A full pipe means that nobody has looked for long: the next round says it better. */
    ssize_t sent = write(desk->fd[1], &sign, sizeof sign);
    (void)sent;
}

static bool wait_round(struct probe_desk *desk, char path[PROBES_MAX][PROBE_PATH_MAX], size_t *paths, bool first)
{
    struct timespec until;
    (void)clock_gettime(CLOCK_MONOTONIC, &until);
    until.tv_nsec += (long)(desk->round_ms % 1000) * 1000000;
    until.tv_sec += desk->round_ms / 1000 + until.tv_nsec / 1000000000;
    until.tv_nsec %= 1000000000;
    (void)pthread_mutex_lock(&desk->lock);
    if (!desk->stop && !first)
        (void)pthread_cond_timedwait(&desk->changed, &desk->lock, &until);
    bool go_on = !desk->stop;
    memcpy(path, desk->path, sizeof desk->path);
    *paths = desk->paths;
    (void)pthread_mutex_unlock(&desk->lock);
    return go_on;
}

static void *read_rounds(void *context)
{
    struct probe_desk *desk = context;
    char path[PROBES_MAX][PROBE_PATH_MAX];
    size_t paths = 0;
    bool first = true;
    while (wait_round(desk, path, &paths, first)) {
        first = false;
        for (size_t i = 0; i < paths; i++)
            send_reading(desk, path[i]);
    }
    return NULL;
}

/* Signals are for the screen's thread. */
static bool start_thread(struct probe_desk *desk)
{
    sigset_t all, before;
    (void)sigfillset(&all);
    (void)pthread_sigmask(SIG_SETMASK, &all, &before);
    desk->running = pthread_create(&desk->thread, NULL, read_rounds, desk) == 0;
    (void)pthread_sigmask(SIG_SETMASK, &before, NULL);
    return desk->running;
}

/* ---- what comes in ---- */

/* Stores a good reading that is news. Should the file be busy or the reading refused, the next one comes soon. */
static bool store_reading(struct app *a, struct probe_seat *seat)
{
    struct thin_reading next = {(double)a->now.s, seat->watch.temp_c};
    struct form form;
    struct act_done done;
    char text[32];
    const struct act_kind *kind = act_find("probed");
    if ((isfinite(seat->stored.at) && !probe_worth_storing(&seat->use, &seat->stored, &next)) ||
        dairy_read_only(a->dairy, NULL))
        return false;
    act_form(a->dairy, kind, a->now, &form);
    (void)snprintf(text, sizeof text, "%.3fC", next.temp_c);
    if (form_set(&form, "path", seat->use.path, NULL) != 0 || form_set(&form, "temp", text, NULL) != 0 ||
        form_set(&form, "who", "probe", NULL) != 0)
        return false;
    if (dairy_record(a->dairy, kind, &form, a->now, &done, NULL) != 0)
        return false;
    seat->stored = next;
    return true;
}

static void take_sign(struct app *a, const struct probe_sign *sign)
{
    for (size_t i = 0; i < a->probes->seats; i++) {
        struct probe_seat *seat = &a->probes->seat[i];
        if (strcmp(seat->use.path, sign->path) != 0)
            continue;
        (void)snprintf(seat->why, sizeof seat->why, "%s", sign->why);
        if (!sign->read) {
            (void)probe_miss(&seat->watch, (double)a->now.s);
            continue;
        }
        seat->shown_c = sign->temp_c;
        if (probe_take(&seat->watch, (double)a->now.s, sign->temp_c, seat->use.moving) == PROBE_GOOD)
            (void)store_reading(a, seat);
    }
}

static unsigned on_probe(void *context, int fd)
{
    struct app *a = context;
    struct probe_sign sign;
    unsigned answer = LOOP_NOTHING;
    app_look(a);
    while (read(fd, &sign, sizeof sign) == (ssize_t)sizeof sign) {
        take_sign(a, &sign);
        answer = LOOP_DRAW;
    }
    app_look(a);
    return answer;
}

/* ---- beginning and end ---- */

static struct probe_desk *desk_new(void)
{
    struct probe_desk *desk = calloc(1, sizeof *desk);
    pthread_condattr_t monotonic;
    if (desk == NULL)
        return NULL;
    if (pipe2(desk->fd, O_NONBLOCK | O_CLOEXEC) != 0) {
        free(desk);
        return NULL;
    }
    (void)pthread_mutex_init(&desk->lock, NULL);
    (void)pthread_condattr_init(&monotonic);
    (void)pthread_condattr_setclock(&monotonic, CLOCK_MONOTONIC);
    (void)pthread_cond_init(&desk->changed, &monotonic);
    (void)pthread_condattr_destroy(&monotonic);
    return desk;
}

static void desk_free(struct probe_desk *desk)
{
    if (desk->running) {
        (void)pthread_mutex_lock(&desk->lock);
        desk->stop = true;
        (void)pthread_cond_signal(&desk->changed);
        (void)pthread_mutex_unlock(&desk->lock);
        (void)pthread_join(desk->thread, NULL);
    }
    (void)pthread_cond_destroy(&desk->changed);
    (void)pthread_mutex_destroy(&desk->lock);
    (void)close(desk->fd[0]);
    (void)close(desk->fd[1]);
    free(desk);
}

static bool same_use(const struct probe_use *x, const struct probe_use *y)
{
    return strcmp(x->path, y->path) == 0 && strcmp(x->place, y->place) == 0 && x->batch_id == y->batch_id;
}

/* Seats as the records have them now; what is known of one that stays is kept. */
static void take_list(struct probe_desk *desk, const struct probe_list *list)
{
    struct probe_seat before[PROBES_MAX];
    size_t count = desk->seats;
    memcpy(before, desk->seat, sizeof before);
    desk->seats = list->count;
    for (size_t i = 0; i < list->count; i++) {
        desk->seat[i] = (struct probe_seat){.shown_c = NAN, .stored = {-INFINITY, NAN}};
        probe_watch_init(&desk->seat[i].watch);
        for (size_t n = 0; n < count; n++)
            if (same_use(&before[n].use, &list->use[i]))
                desk->seat[i] = before[n];
        desk->seat[i].use = list->use[i];
    }
    (void)pthread_mutex_lock(&desk->lock);
    bool changed = desk->paths != list->count;
    for (size_t i = 0; i < list->count; i++) {
        changed = changed || strcmp(desk->path[i], list->use[i].path) != 0;
        (void)snprintf(desk->path[i], PROBE_PATH_MAX, "%s", list->use[i].path);
    }
    desk->paths = list->count;
    if (changed)
        (void)pthread_cond_signal(&desk->changed);
    (void)pthread_mutex_unlock(&desk->lock);
}

void probe_desk_renew(struct app *a)
{
    struct probe_list list;
    struct fail f = {0};
    if (a->loop == NULL || dairy_probes(a->dairy, a->now, &list, NULL) != 0 ||
        (list.count == 0 && a->probes == NULL))
        return;
    if (a->probes == NULL) {
        a->probes = desk_new();
        if (a->probes == NULL)
            return;
        a->probes->round_ms = a->probe_round_ms > 0 ? a->probe_round_ms : ROUND_MS;
        if (loop_watch(a->loop, a->probes->fd[0], on_probe, a, &f) != 0) {
            desk_free(a->probes);
            a->probes = NULL;
            (void)app_fail(a, &f);
            return;
        }
    }
    take_list(a->probes, &list);
    if (!a->probes->running && list.count > 0 && !start_thread(a->probes))
        app_say(a, ROLE_WATCH, "The probes cannot be read: %s.", strerror(errno));
}

void probe_desk_close(struct app *a)
{
    if (a->probes == NULL)
        return;
    loop_unwatch(a->loop, a->probes->fd[0]);
    desk_free(a->probes);
    a->probes = NULL;
}

/* ---- for screens ---- */

size_t probe_desk_count(const struct app *a)
{
    return a->probes == NULL ? 0 : a->probes->seats;
}

const struct probe_seat *probe_desk_at(const struct app *a, size_t n)
{
    return &a->probes->seat[n];
}

const struct probe_seat *probe_desk_seat(const struct app *a, int64_t batch_id, const char *place)
{
    for (size_t i = 0; i < probe_desk_count(a); i++) {
        const struct probe_use *use = &a->probes->seat[i].use;
        if (batch_id != 0 ? use->batch_id == batch_id : strcmp(use->place, place) == 0)
            return &a->probes->seat[i];
    }
    return NULL;
}

const char *probe_seat_text(const struct app *a, const struct probe_seat *seat, char *buf, size_t size)
{
    enum probe_state state = seat->watch.state;
    buf[0] = '\0';
    if (state == PROBE_GOOD) {
        (void)snprintf(buf, size, "%s", app_quantity(a, seat->watch.temp_c, DIM_TEMPERATURE));
        return buf;
    }
    (void)snprintf(buf, size, "%s", probe_state_word(state));
    if (isfinite(seat->shown_c) && state != PROBE_WAITING && state != PROBE_SILENT)
        (void)text_append(buf, size, " at %s", app_quantity(a, seat->shown_c, DIM_TEMPERATURE));
    return buf;
}
