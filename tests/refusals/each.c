/* Every act and every snapshot of the tests of core/day, refused at each of its places before it is done. The linker sends
 * the tests' calls here (--wrap): nothing else in them differs from an ordinary run. Asserted after each refusal: the call
 * said so, in one sentence; no transaction is left open; and not a byte of the records changed. That nothing was lost from
 * memory, the leak sanitiser says at the end of each test; that the call then works, its test. */
#include <fcntl.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "core/day/ahead.h"
#include "core/day/batch_page.h"
#include "core/day/cow_card.h"
#include "core/day/cow_page.h"
#include "core/day/feed_view.h"
#include "core/day/herd_view.h"
#include "core/day/inside.h"
#include "core/day/journal_view.h"
#include "core/day/losses.h"
#include "core/day/people.h"
#include "core/day/probes.h"
#include "core/day/relief_view.h"
#include "core/day/setup_view.h"
#include "core/day/shelf.h"
#include "core/day/supply_view.h"
#include "core/day/taste_view.h"
#include "core/day/tonight_view.h"
#include "core/day/trace_view.h"
#include "core/day/wash_view.h"
#include "core/day/weights.h"
#include "core/store/inside.h"
#include "tests/refusals/refuse.h"
#include "tests/support.h"

/* The first hundred bytes of the file: every commit changes its change counter (SQLite's file format, section 1.3.7). */
enum { HEADER = 100 };

struct watch {
    struct dairy *dairy;
    const char *call;
    struct fail *fail;
    const void *frame;
    unsigned char before[HEADER];
};

static void look(const struct dairy *d, unsigned char header[HEADER])
{
    int fd = d == NULL ? -1 : open(dairy_path(d), O_RDONLY);
    memset(header, 0, HEADER);
    if (fd < 0)
        return;
    if (pread(fd, header, HEADER, 0) < 0)
        abort();
    (void)close(fd);
}

/* Settings that could not be read are read again, as the board does at its next look. */
static void begin(struct watch *w)
{
    if (w->dairy != NULL && w->dairy->stale)
        ck_assert_int_eq(dairy_load_settings(w->dairy, NULL), 0);
    look(w->dairy, w->before);
    w->fail->text[0] = '\0';
    refuse_begin(w->frame);
}

/* A refusal that was not missed. An act that is done and on the disk stays done when the settings cannot be read back, or
 * when it cannot be told which tables it touched: then all that was worked out before is worked out anew. */
static bool may_do_without(const struct watch *w, const unsigned char after[HEADER])
{
    bool done = memcmp(w->before, after, HEADER) != 0;
    return refuse_was_of_an_ending() || (done && w->dairy != NULL && (w->dairy->stale || w->dairy->store->touched_count > TOUCHED_MAX));
}

static bool again(struct watch *w, int result)
{
    unsigned char after[HEADER];
    if (!refuse_end())
        return false;
    look(w->dairy, after);
    if (result == 0) {
        ck_assert_msg(may_do_without(w, after), "%s went on without what was refused [%s]", w->call, refuse_where());
        return false;
    }
    const char *text = w->fail->text;
    if (strstr(text, "Saved as entry") != NULL)
        return false;
    ck_assert_msg(text[0] != '\0' && strpbrk(text, "\n\033") == NULL, "%s says \"%s\" [%s]", w->call, text, refuse_where());
    ck_assert_msg(memcmp(w->before, after, HEADER) == 0, "%s failed (%s) and changed the file [%s]", w->call, text,
                  refuse_where());
    ck_assert_msg(w->dairy == NULL || w->dairy->store->db == NULL || sqlite3_get_autocommit(w->dairy->store->db) != 0 ||
                      w->dairy->store->suspect,
                  "%s left a transaction open [%s]", w->call, refuse_where());
    begin(w);
    return true;
}

#define EACH(name, dairy, parameters, arguments)       \
    int __real_##name parameters;                      \
    int __wrap_##name parameters;                      \
    int __wrap_##name parameters                       \
    {                                                  \
        struct fail own;                               \
        int result;                                    \
        f = f == NULL ? &own : f;                      \
        if (refuse_is_on())                            \
            return __real_##name arguments;            \
        struct watch w = {dairy, #name, f, __builtin_frame_address(0), {0}}; \
        begin(&w);                                     \
        do                                             \
            result = __real_##name arguments;          \
        while (again(&w, result));                     \
        return result;                                 \
    }

#define EACH_LOOK(name, type) \
    EACH(name, d, (struct dairy * d, struct instant now, type * out, struct fail *f), (d, now, out, f))

EACH(dairy_open, NULL, (const char *path, enum dairy_mode mode, struct dairy **out, struct fail *f), (path, mode, out, f))
EACH(dairy_record, d,
     (struct dairy * d, const struct act_kind *kind, const struct form *form, struct instant now, struct act_done *done,
      struct fail *f),
     (d, kind, form, now, done, f))
EACH(dairy_undo, d, (struct dairy * d, int64_t entry, struct instant now, struct act_done *done, struct fail *f),
     (d, entry, now, done, f))
EACH(dairy_refresh, d, (struct dairy * d, bool *changed, struct fail *f), (d, changed, f))
EACH(dairy_settle, d, (struct dairy * d, struct fail *f), (d, f))
EACH(dairy_backup, d, (struct dairy * d, const char *path, struct fail *f), (d, path, f))
EACH(dairy_export, d, (struct dairy * d, const char *path, size_t *files, size_t *rows, struct fail *f),
     (d, path, files, rows, f))
EACH(dairy_import, d,
     (struct dairy * d, char *const paths[], size_t path_count, size_t *files, size_t *rows, struct fail *f),
     (d, paths, path_count, files, rows, f))
EACH(dairy_verify, d,
     (struct dairy * d, void (*each)(void *, const char *), void *context, size_t *findings, struct fail *f),
     (d, each, context, findings, f))

EACH_LOOK(dairy_board, struct board)
EACH_LOOK(dairy_board_first, struct board)
EACH_LOOK(dairy_ahead, struct ahead_view)
EACH_LOOK(dairy_feed, struct feed_view)
EACH_LOOK(dairy_herd, struct herd_view)
EACH_LOOK(dairy_people, struct people_view)
EACH_LOOK(dairy_probes, struct probe_list)
EACH_LOOK(dairy_relief, struct relief_view)
EACH_LOOK(dairy_shelf, struct shelf_view)
EACH_LOOK(dairy_supply, struct supply_view)
EACH_LOOK(dairy_tonight_jars, struct tonight_view)
EACH_LOOK(dairy_recall, struct recall_view)
EACH_LOOK(dairy_wash, struct wash_view)
EACH_LOOK(share_day_load, struct share_day)
EACH(dairy_setup, d, (struct dairy * d, struct setup_view *out, struct fail *f), (d, out, f))
EACH(dairy_calendar, d, (struct dairy * d, struct instant now, const char *path, size_t *events, struct fail *f),
     (d, now, path, events, f))
EACH(dairy_batch_page, d,
     (struct dairy * d, int64_t batch_id, struct instant now, struct batch_page *out, struct fail *f),
     (d, batch_id, now, out, f))
EACH(dairy_cow_card, d, (struct dairy * d, int64_t cow_id, struct instant now, struct cow_card *out, struct fail *f),
     (d, cow_id, now, out, f))
EACH(dairy_cow_page, d,
     (struct dairy * d, int64_t cow_id, struct instant now, int lactation, struct cow_page *out, struct fail *f),
     (d, cow_id, now, lactation, out, f))
EACH(dairy_find_cow, d, (struct dairy * d, const char *name, int64_t *cow_id, struct fail *f), (d, name, cow_id, f))
EACH(dairy_treatment_product, d, (struct dairy * d, int64_t treatment_id, char *product, size_t size, struct fail *f),
     (d, treatment_id, product, size, f))
EACH(dairy_journal, d, (struct dairy * d, struct instant now, int64_t before, struct journal_view *out, struct fail *f),
     (d, now, before, out, f))
EACH(dairy_journal_detail, d, (struct dairy * d, int64_t entry, struct journal_detail *out, struct fail *f),
     (d, entry, out, f))
EACH(dairy_losses, d, (struct dairy * d, int months, struct instant now, struct losses *out, struct fail *f),
     (d, months, now, out, f))
EACH(dairy_taste, d,
     (struct dairy * d, int64_t batch_id, struct instant now, struct taste_view *out, struct working *wk, struct fail *f),
     (d, batch_id, now, out, wk, f))
EACH(dairy_tonight, d,
     (struct dairy * d, struct instant now, struct tonight_view *out, struct working *wk, struct fail *f),
     (d, now, out, wk, f))
EACH(dairy_trace, d,
     (struct dairy * d, const struct trace_ask *ask, struct instant now, struct trace_view *out, struct fail *f),
     (d, ask, now, out, f))
EACH(dairy_find_batch, d,
     (struct dairy * d, const char *code, struct instant now, int64_t *batch_id, struct fail *f),
     (d, code, now, batch_id, f))
EACH(trace_ask_read, d,
     (struct dairy * d, const struct form *form, struct instant now, struct trace_ask *out, struct fail *f),
     (d, form, now, out, f))
EACH(dairy_weights_look, d,
     (struct dairy * d, const struct form *form, struct instant now, struct weights_view *out, struct fail *f),
     (d, form, now, out, f))

/* The workings. */
#define EACH_WORKING(name, type) \
    EACH(name, d, (struct dairy * d, const type *v, size_t n, struct working *wk, struct fail *f), (d, v, n, wk, f))
#define EACH_WORKING_NOW(name) \
    EACH(name, d, (struct dairy * d, struct instant now, struct working *wk, struct fail *f), (d, now, wk, f))
#define EACH_WORKING_COW(name) \
    EACH(name, d, (struct dairy * d, int64_t cow, struct instant now, struct working *wk, struct fail *f), \
         (d, cow, now, wk, f))

EACH_WORKING(ahead_explain, struct ahead_view)
EACH_WORKING(board_explain_batch, struct board)
EACH_WORKING(feed_explain_cow, struct feed_view)
EACH_WORKING(feed_explain_stock, struct feed_view)
EACH_WORKING(shelf_explain, struct shelf_view)
EACH_WORKING_COW(board_explain_cow)
EACH_WORKING_COW(board_explain_hold)
EACH_WORKING_COW(board_explain_calving)
EACH_WORKING_NOW(board_explain_chores)
EACH_WORKING_NOW(supply_explain)
EACH_WORKING_NOW(dairy_herd_explain)
EACH_WORKING_NOW(wash_explain_mix)
EACH_WORKING_NOW(wash_explain_sink)
EACH(supply_explain_gap, d, (struct dairy * d, struct instant now, size_t gap, struct working *wk, struct fail *f),
     (d, now, gap, wk, f))
EACH(wash_explain_part, d, (struct dairy * d, struct instant now, const char *name, struct working *wk, struct fail *f),
     (d, now, name, wk, f))
EACH(wash_explain_measure, d,
     (struct dairy * d, struct instant now, enum lab_measure measure, struct working *wk, struct fail *f),
     (d, now, measure, wk, f))
EACH(cow_page_explain, d,
     (struct dairy * d, const struct cow_page *p, const struct page_figure *figure, struct working *wk, struct fail *f),
     (d, p, figure, wk, f))
EACH(cow_page_explain_day, d,
     (struct dairy * d, const struct cow_page *p, struct date on, struct working *wk, struct fail *f), (d, p, on, wk, f))
