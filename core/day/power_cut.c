#include "core/day/power_cut.h"

#include <math.h>
#include <stdio.h>

#include "core/base/text.h"
#include "core/day/milk_log.h"

/* A cut that is over is told of for a day: by then the jars have been looked at. */
enum { TOLD_S = 86400 };

/* What the refrigerator held when the power went. */
static int fridge_before(struct dairy *d, struct instant at, double *temp_c, struct fail *f)
{
    struct log_room room;
    int result = log_room_load(d, (struct instant){at.s - 1}, at, &room, f);
    *temp_c = room.fridge_c;
    log_room_release(&room);
    return result;
}

int power_cut_load(struct dairy *d, struct instant now, struct power_cut *out, struct fail *f)
{
    struct outage_row row;
    bool found;
    double start_c;
    *out = (struct power_cut){
        .id = 0, .from_at = INSTANT_NONE, .to_at = INSTANT_NONE, .safe_until = INSTANT_NONE};
    if (rows_first(d->store, &outage_table,
                   "WHERE from_at <= ?1 AND (to_at IS NULL OR to_at > ?2) ORDER BY from_at DESC LIMIT 1",
                   (struct bind[]){BIND_AT(now), {false, now.s - TOLD_S, NULL}}, 2, &row, &found, f) != 0)
        return -1;
    if (!found)
        return 0;
    if (fridge_before(d, row.from_at, &start_c, f) != 0)
        return -1;
    struct outage_facts facts = {
        .minutes = (double)((instant_known(row.to_at) ? row.to_at.s : now.s) - row.from_at.s) / 60,
        .start_c = start_c,
        .room_c = (double)d->row.room_temp_mc / 1e3,
        .contents_kg = NAN,
        .walls_w_per_k = NAN,
        .end_c = row.temp_mc == ROW_NONE ? (double)NAN : (double)row.temp_mc / 1e3,
        .recover_per_min = NAN};
    if (outage_judge(&facts, &out->judged, NULL, NULL) != 0) {
        facts.end_c = NAN; /* a reading that a shut door cannot have given: judged without it */
        if (outage_judge(&facts, &out->judged, NULL, f) != 0)
            return -1;
    }
    out->id = row.id;
    out->from_at = row.from_at;
    out->to_at = row.to_at;
    if (!instant_known(row.to_at) && isfinite(out->judged.safe_minutes))
        out->safe_until = (struct instant){row.from_at.s + (int64_t)(out->judged.safe_minutes * 60)};
    return 0;
}

void power_cut_say(const struct power_cut *cut, struct instant now, char *say, size_t size)
{
    char from[CIVIL_TEXT_MAX], until[CIVIL_TEXT_MAX];
    say[0] = '\0';
    if (cut->id == 0)
        return;
    if (!instant_known(cut->to_at)) {
        (void)snprintf(say, size, "Power out since %s", instant_text_near(cut->from_at, now, from));
        if (!instant_known(cut->safe_until))
            (void)text_append(say, size, ": the milk house is cold enough; keep the door shut");
        else if (cut->safe_until.s > now.s)
            (void)text_append(say, size, ": door shut, the milk may stay until about %s",
                              instant_text_near(cut->safe_until, now, until));
        else
            (void)text_append(say, size, ": the milk has been above 40 °F too long by now; read a jar");
    } else if (cut->judged.verdict != OUTAGE_KEEP) {
        (void)snprintf(say, size, "Power was out for %s; milk was above 40 °F for %s: %s",
                       span_text(cut->to_at.s - cut->from_at.s, from),
                       isfinite(cut->judged.warm_min) ? span_text((int64_t)(cut->judged.warm_min * 60), until)
                                                      : "hours",
                       outage_word(cut->judged.verdict));
    }
}
