#include "demo/dairy.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "demo/wash_story.h"

/* The story. Days are those of the civil calendar; the demonstration's own day is the last. */
static const char first_day[] = "2024-11-04";
static const char today[] = "2026-05-03";

/* Full chores are written for the last days only: enough to learn from, and quick to make. */
enum { DAYS_WITH_CHORES = 10, MILK_START_MINUTE = 6 * 60 + 10 };

struct lactation_of {
    const char *calved, *dried; /* NULL: still in milk, or from before */
    double a, b, c;             /* Wood's curve, kg at one milking a day */
};

struct demo_cow {
    const char *name, *breed, *tag, *born;
    int stall, calvings_before;
    const char *came_on; /* bought then; NULL: here before the records */
    struct lactation_of lactation[3];
};

static const struct demo_cow cows[] = {
    {"Maud",
     "Jersey",
     "J-14",
     "2020-03-14",
     1,
     2,
     NULL,
     {{"2024-12-22", "2025-11-29", 11.8, 0.145, 0.0032}, {"2026-01-31", NULL, 12.6, 0.142, 0.0028}, {0}}},
    {"Tib",
     "Ayrshire",
     "A-07",
     "2019-08-30",
     2,
     3,
     NULL,
     {{"2024-09-02", "2025-07-03", 10.2, 0.15, 0.0034}, {"2025-08-31", NULL, 10.6, 0.15, 0.0033}, {0}}},
    {"Wren",
     "Guernsey",
     "G-21",
     "2021-05-11",
     3,
     1,
     NULL,
     {{"2025-06-05", "2026-03-26", 10.9, 0.14, 0.0031}, {0}, {0}}},
    {"Sorrel",
     "Milking Shorthorn",
     "S-02",
     "2022-02-19",
     4,
     1,
     "2025-10-12",
     {{"2026-04-20", NULL, 11.5, 0.15, 0.003}, {0}, {0}}},
};

enum { COWS = sizeof cows / sizeof cows[0] };

enum { STORY_WORDS_MAX = 14 };

/* What happens on a day, in order of time: an act and its words. */
static const struct {
    const char *at, *act, *words[STORY_WORDS_MAX + 1];
} story[] = {
    {"2025-02-24T06:20", "heat", {"cow=Maud", "signs=standing, mucus"}},
    {"2025-03-17T06:20", "heat", {"cow=Maud", "signs=standing"}},
    {"2025-04-07T07:30", "heat", {"cow=Maud", "signs=restless, mucus"}},
    {"2025-04-28T06:15", "heat", {"cow=Maud", "signs=standing, mounts"}},
    {"2025-04-28T17:30", "service", {"cow=Maud", "by=ai", "sire=Rowan Hill"}},
    {"2025-06-03T10:00", "check", {"cow=Maud", "method=ultrasound", "result=in-calf"}},
    {"2025-01-20T06:25", "heat", {"cow=Tib", "signs=standing"}},
    {"2024-11-24T17:10", "service", {"cow=Tib", "by=ai", "sire=Braeside"}},
    {"2025-01-02T10:00", "check", {"cow=Tib", "method=ultrasound", "result=in-calf"}},
    {"2025-09-04T17:40", "service", {"cow=Wren", "by=ai", "sire=Copper Beech"}},
    {"2025-10-09T10:00", "check", {"cow=Wren", "method=ultrasound", "result=in-calf"}},
    {"2025-10-12T15:00",
     "note",
     {"cow=Sorrel", "text=Came from across the valley; tested clear before she came"}},
    {"2025-11-18T06:30", "heat", {"cow=Tib", "signs=standing, mucus"}},
    {"2025-12-10T07:00", "heat", {"cow=Tib", "signs=standing"}},
    {"2025-12-10T17:30", "service", {"cow=Tib", "by=ai", "sire=Copper Beech"}},
    {"2026-01-16T10:00", "check", {"cow=Tib", "method=ultrasound", "result=in-calf"}},
    {"2026-02-10T06:40", "heat", {"cow=Maud", "signs=restless"}},
    {"2026-03-03T06:20", "heat", {"cow=Maud", "signs=standing, mounts, mucus"}},
    {"2026-03-03T17:45", "service", {"cow=Maud", "by=ai", "sire=Rowan Hill"}},
    {"2025-09-12T06:30", "note", {"cow=Tib", "text=Kicks at flies; tail tied while milking"}},
    {"2026-01-31T04:10", "note", {"cow=Maud", "text=Heifer calf up and sucking within the hour"}},
    {"2026-04-30T06:50", "note", {"cow=Tib", "text=Left front swollen and warm; sample taken"}},
    {"2026-04-30T06:52", "quarter", {"cow=Tib", "LF=3", "RF=N", "LR=T", "RR=N"}},
    {"2026-05-01T07:10",
     "treat",
     {"cow=Tib", "product=udder tube", "why=mastitis, left front", "active=cloxacillin", "dose=1 tube",
      "route=into the quarter", "course=once a day, twice", "milk_hours=96h", "meat_days=10d", "quarter=LF",
      "more=yes", "vet=Dr Harker, Low Lane", "maker=lot 2207"}},
    {"2026-05-02T07:10", "dose", {"cow=Tib", "more=no"}},
    {"2026-05-02T16:00", "culture", {"cow=Tib", "quarter=LF", "found=Strep. uberis"}},
    {"2026-03-26T09:20",
     "treat",
     {"cow=Wren", "product=dry-cow tube", "why=drying off", "active=cloxacillin benzathine",
      "dose=1 tube each quarter", "route=into the quarter", "course=once", "dry=yes", "dry_days=42d",
      "fresh_hours=96h", "meat_days=28d", "vet=Dr Harker, Low Lane", "maker=lot 1881"}},
    {"2025-06-30T08:00", "cow", {"name=Maud's calf", "left=sold", "to=a farm down the road"}},
    {"2025-06-30T08:05", "cow", {"name=Wren's calf", "left=sold", "to=a farm down the road"}},
    {"2025-10-05T09:00", "cow", {"name=Tib's calf", "left=sold", "to=a farm down the road"}},
    {"2025-10-28T11:00", "tested", {"cow=Sorrel", "test=tuberculosis", "result=clear", "due=2026-10-28"}},
    {"2025-10-30T11:00", "tested", {"cow=Sorrel", "test=brucellosis", "result=clear"}},
    {"2026-02-04T07:00", "weigh", {"cow=Pippin", "mass=24.5kg"}},
    {"2026-03-08T07:00", "weigh", {"cow=Pippin", "girth=0.80m"}},
    {"2026-04-12T07:00", "weigh", {"cow=Pippin", "girth=0.91m"}},
    {"2025-11-30T08:00", "weigh", {"cow=Maud", "girth=1.74m"}},
    {"2026-04-12T07:30", "weigh", {"cow=Maud", "girth=1.68m"}},
    {"2026-04-12T07:34", "weigh", {"cow=Tib", "girth=1.76m"}},
    {"2026-01-28T08:00", "condition", {"cow=Maud", "score=3.5"}},
    {"2026-03-16T08:00", "condition", {"cow=Maud", "score=2.75"}},
    {"2026-03-16T08:04", "condition", {"cow=Tib", "score=3.25"}},
    {"2026-03-26T09:30", "condition", {"cow=Wren", "score=3.5"}},
    {"2026-03-14T07:40", "test", {"cow=Maud", "fat=4.9%", "protein=3.8%", "cells=92000"}},
    {"2025-11-08T19:00", "loss", {"volume=1.9L", "why=broken: it slipped on the step"}},
    {"2026-01-18T06:31", "loss", {"cow=Tib", "mass=3kg", "why=spilled: foot in the pail"}},
    {"2026-01-12T18:00", "taste", {"batch=260104-1AM", "flavour=good", "score=4"}},
    {"2026-02-22T18:30",
     "taste",
     {"batch=260211-1AN", "flavour=sour", "score=1", "note=the last jar, at the back"}},
    {"2026-03-10T18:00", "taste", {"batch=260302-1AF", "flavour=good", "score=4"}},
    {"2026-04-08T18:10", "taste", {"batch=260330-1A5", "flavour=good", "score=3"}},
    {"2026-04-19T18:00", "taste", {"batch=260408-1A5", "flavour=sour", "score=2"}},
    {"2025-11-30T08:10", "repeat", {"name=hoof trim", "cow=Tib", "every=180d", "first=2025-12-06"}},
    {"2025-12-06T09:00", "did", {"name=hoof trim", "cow=Tib"}},
    {"2026-04-21T20:10", "forage", {"cow=Maud", "feed=grass hay"}},
    {"2026-04-21T20:11", "forage", {"cow=Tib", "feed=grass hay"}},
    {"2026-04-21T20:12", "forage", {"cow=Wren", "feed=grass hay"}},
    {"2026-04-21T20:13", "forage", {"cow=Sorrel", "feed=grass hay"}},
    {"2026-04-21T20:20", "stock", {"feed=grass hay", "mass=1900kg", "cost=380"}},
    {"2026-04-21T20:21", "stock", {"feed=dairy mix", "mass=181.4kg", "cost=152"}},
    {"2026-04-21T20:22", "stock", {"feed=alfalfa pellets", "mass=45.4kg", "cost=34"}},
    {"2026-04-21T20:23", "stock", {"feed=oats", "mass=22.7kg", "cost=17.50"}},
    {"2026-04-21T20:24", "stock", {"feed=beet pulp", "mass=22.7kg", "cost=19"}},
    {"2026-04-27T19:30", "need", {"week=64gal", "room=105gal"}},
    {"2026-04-27T19:32", "repeat", {"name=water test", "every=365d", "first=2026-05-20", "note=well; county laboratory"}},
    {"2026-04-27T19:34",
     "repeat",
     {"name=vaccination", "cow=Sorrel", "every=365d", "first=2026-05-12", "note=booster; Dr Harker"}},
    {"2026-03-14T07:41", "test", {"cow=Tib", "fat=4.1%", "protein=3.4%", "cells=210000"}},
};

/* Days on which Tib's strip cup shows something. */
static const struct {
    const char *day, *strip;
} findings[] = {{"2026-04-30", "LF:clots"},
                {"2026-05-01", "LF:clots"},
                {"2026-05-02", "LF:flakes"},
                {"2025-03-09", "RR:flakes"}};

static const char *const rations[][3] = {
    {"Maud", "dairy mix", "2.7kg"}, {"Maud", "alfalfa pellets", "0.9kg"}, {"Tib", "dairy mix", "1.4kg"},
    {"Wren", "oats", "0.5kg"},      {"Sorrel", "dairy mix", "2.3kg"},     {"Sorrel", "beet pulp", "0.7kg"},
};

/* ---- chance ---- */

struct chance {
    uint64_t state;
};

/* SplitMix64 (Steele, Lea and Flood 2014). */
static double uniform(struct chance *c)
{
    uint64_t z = (c->state += UINT64_C(0x9E3779B97F4A7C15));
    z = (z ^ (z >> 30)) * UINT64_C(0xBF58476D1CE4E5B9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94D049BB133111EB);
    return (double)((z ^ (z >> 31)) >> 11) * 0x1p-53;
}

/* Near enough to normal: twelve uniforms. */
static double normal(struct chance *c)
{
    double sum = -6;
    for (int i = 0; i < 12; i++)
        sum += uniform(c);
    return sum;
}

/* ---- acts ---- */

struct making {
    struct dairy *dairy;
    struct chance chance;
    struct fail *fail;
    int halves; /* half gallons filled this morning */
    bool older; /* there are jars of a week ago */
    bool bench; /* mixes and wash water are written down */
};

static struct instant moment(const char *text)
{
    struct instant t = {0};
    (void)instant_parse(text, t, &t, NULL);
    return t;
}

static struct instant minute_of(struct date day, int minute)
{
    struct civil c;
    date_to_civil(day, &c);
    c.hour = minute / 60;
    c.minute = minute % 60;
    return civil_to_instant(&c, NULL);
}

/* Does one act as if it were entered at `at`; words are "key=value", ended by NULL. */
static int act_words(struct making *m, struct instant at, const char *act, const char *const words[])
{
    struct form form;
    struct act_done done;
    const struct act_kind *kind = act_find(act);
    act_form(m->dairy, kind, at, &form);
    form.units = UNITS_METRIC;
    for (int i = 0; words[i] != NULL; i++)
        if (form_set_pair(&form, words[i], m->fail) != 0)
            return -1;
    return dairy_record(m->dairy, kind, &form, at, &done, m->fail);
}

#define ACT(m, at, act, ...) act_words((m), (at), (act), (const char *const[]){__VA_ARGS__, NULL})

/* "mass=21.34kg" and the like, in a text of its own. */
#define WORD(name, ...)                                                                                      \
    char name[96];                                                                                           \
    (void)snprintf(name, sizeof name, __VA_ARGS__)

static int begin_dairy(struct making *m, struct instant at)
{
    if (ACT(m, at, "dairy", "name=Marrowby Croft", "keeper=Ansel", "units=us", "limit=pmo", "stalls=4",
            "tub=15L", "tap=12C", "room=11C", "fridge=3C", "stir=no", "table=3min", "fresh=5d",
            "times=06:10") != 0)
        return -1;
    for (int i = 0; i < COWS; i++) {
        const struct demo_cow *cow = &cows[i];
        WORD(name, "name=%s", cow->name);
        WORD(breed, "breed=%s", cow->breed);
        WORD(tag, "tag=%s", cow->tag);
        WORD(born, "born=%s", cow->born);
        WORD(stall, "stall=%d", cow->stall);
        WORD(before, "calvings=%d", cow->calvings_before);
        WORD(came, "came_on=%s", cow->came_on == NULL ? "" : cow->came_on);
        struct instant when =
            cow->came_on == NULL ? at : minute_of(instant_date(moment(cow->came_on)), 14 * 60);
        int result = cow->came_on == NULL ? ACT(m, when, "cow", name, breed, tag, born, stall, before)
                                          : ACT(m, when, "cow", name, breed, tag, born, stall, before,
                                                "came=bought", came, "from=a herd across the valley",
                                                "quarantine=30d", "tests=tuberculosis,brucellosis");
        if (result != 0)
            return -1;
    }
    if (ACT(m, at, "jars", "kind=half-gallon", "count=60") != 0 ||
        ACT(m, at, "jars", "kind=quart", "count=24") != 0)
        return -1;
    for (size_t i = 0; i < sizeof rations / sizeof rations[0]; i++) {
        WORD(cow, "cow=%s", rations[i][0]);
        WORD(feed, "feed=%s", rations[i][1]);
        WORD(mass, "mass=%s", rations[i][2]);
        if (ACT(m, moment("2026-04-21T20:00"), "ration", cow, feed, mass) != 0)
            return -1;
    }
    return 0;
}

/* ---- a cow's days ---- */

static bool day_is(const char *text, struct date day)
{
    struct date other;
    return text != NULL && date_parse(text, &other, NULL) == 0 && other.days == day.days;
}

/* Her lactation on a day: days since calving, or -1 when she is dry or not here. */
static int day_in_milk(const struct demo_cow *cow, struct date day, const struct lactation_of **which)
{
    for (int i = 0; i < 3; i++) {
        struct date calved, dried;
        const struct lactation_of *l = &cow->lactation[i];
        if (l->calved == NULL || date_parse(l->calved, &calved, NULL) != 0 || day.days < calved.days)
            continue;
        if (l->dried != NULL && date_parse(l->dried, &dried, NULL) == 0 && day.days >= dried.days)
            continue;
        *which = l;
        return date_diff(calved, day);
    }
    return -1;
}

/* Best in early summer, lowest in January; and less while Tib is ill. */
static double season(struct date day)
{
    struct civil c;
    date_to_civil(day, &c);
    return 1 + 0.05 * cos(2 * 3.14159265358979 * ((c.month - 1) * 30.4 + c.day - 150) / 365);
}

static const char *finding_of(const struct demo_cow *cow, struct date day)
{
    for (size_t i = 0; i < sizeof findings / sizeof findings[0]; i++)
        if (strcmp(cow->name, "Tib") == 0 && day_is(findings[i].day, day))
            return findings[i].strip;
    return "clean";
}

static double illness(const struct demo_cow *cow, struct date day)
{
    static const struct {
        const char *day;
        double part;
    } days[] = {{"2026-04-28", 0.93}, {"2026-04-29", 0.86}, {"2026-04-30", 0.74},
                {"2026-05-01", 0.7},  {"2026-05-02", 0.78}, {"2026-05-03", 0.84}};
    for (size_t i = 0; i < sizeof days / sizeof days[0]; i++)
        if (strcmp(cow->name, "Tib") == 0 && day_is(days[i].day, day))
            return days[i].part;
    return 1;
}

static double milk_kg(struct making *m, const struct demo_cow *cow, const struct lactation_of *l, int day_in,
                      struct date day)
{
    double t = day_in < 1 ? 1 : day_in;
    double kg = l->a * pow(t, l->b) * exp(-l->c * t);
    return kg * season(day) * illness(cow, day) * exp(0.045 * normal(&m->chance));
}

static int calvings_and_dryings(struct making *m, struct date day)
{
    for (int i = 0; i < COWS; i++)
        for (int n = 0; n < 3; n++) {
            const struct lactation_of *l = &cows[i].lactation[n];
            WORD(cow, "cow=%s", cows[i].name);
            if (day_is(l->calved, day)) {
                bool heifer = i == 0 && n == 1;
                if (ACT(m, minute_of(day, 3 * 60 + 40), "calving", cow, "ease=1",
                        heifer ? "calf=heifer" : "calf=bull", heifer ? "name=Pippin" : NULL) != 0)
                    return -1;
            }
            if (day_is(l->dried, day) && ACT(m, minute_of(day, 9 * 60), "dry", cow) != 0)
                return -1;
        }
    return 0;
}

static int tell_story(struct making *m, struct date day)
{
    for (size_t i = 0; i < sizeof story / sizeof story[0]; i++)
        if (instant_date(moment(story[i].at)).days == day.days &&
            act_words(m, moment(story[i].at), story[i].act, story[i].words) != 0)
            return -1;
    return 0;
}

/* ---- the shelf ---- */

/* Who takes milk. */
static const char *const people[][6] = {
    {"name=Hesper Lund", "contact=555 0134", "contact2=the blue house by the bridge", "share=2",
     "days=mon,thu", NULL},
    {"name=Otto Vane", "contact=555 0177", "contact2=otto at the mill", "share=1", "days=sun,wed", NULL},
    {"name=Old Pell", "contact=knock at the back door", "share=1", "days=sun", NULL},
};

/* The household drinks, cooks with, and now and then spills what the shelf holds: told week by week for the
 * time before the last days. */
enum { DAYS_WITH_JARS = 11, KEPT_A_DAY = 6 };

static int begin_people(struct making *m, struct instant at)
{
    for (size_t i = 0; i < sizeof people / sizeof people[0]; i++)
        if (act_words(m, at, "person", people[i]) != 0)
            return -1;
    return 0;
}

/* Jars of days that are over: told of in one act. */
static int clear_before(struct making *m, struct date day, int days, int minute, const char *to)
{
    char before[CIVIL_TEXT_MAX];
    WORD(word, "before=%s", date_iso(date_add(day, -days), before));
    return ACT(m, minute_of(day, minute), "clear", word, to);
}

/* In the time before, once a week. */
static int clear_week(struct making *m, struct date day)
{
    struct civil c;
    date_to_civil(day, &c);
    if (c.weekday != 6)
        return 0;
    if (clear_before(m, day, 0, 20 * 60, "to=drunk") != 0)
        return -1;
    return act_words(m, minute_of(day, 21 * 60), "washed", (const char *const[]){NULL});
}

/* In the last days most of the morning's jars become cheese, and what nobody drank in a week goes to the
 * pigs. */
static int clear_day(struct making *m, struct date day)
{
    if (m->halves > KEPT_A_DAY) {
        WORD(count, "count=%d", m->halves - KEPT_A_DAY);
        if (ACT(m, minute_of(day, 10 * 60), "jar", "batch=A", count, "to=cheese") != 0)
            return -1;
    }
    return m->older ? clear_before(m, day, 3, 19 * 60, "to=pigs") : 0;
}

/* What happened at the shelf in the last days; the batch is named by its letter, of that morning. */
static const struct {
    const char *at, *act, *words[6];
} shelf_story[] = {
    {"2026-04-23T17:10", "jar", {"batch=A", "count=2", "to=Hesper Lund"}},
    {"2026-04-24T07:50", "reading", {"at_place=fridge", "temp=38F"}},
    {"2026-04-25T18:40", "jar", {"batch=A", "count=3", "to=drunk"}},
    {"2026-04-26T09:00", "jar", {"batch=A", "to=Otto Vane"}},
    {"2026-04-26T09:05", "jar", {"batch=A", "to=Old Pell"}},
    {"2026-04-26T10:30", "jarback", {"person=Hesper Lund", "count=2"}},
    {"2026-04-27T17:20", "jar", {"batch=A", "count=2", "to=Hesper Lund"}},
    {"2026-04-27T19:00", "reading", {"at_place=fridge", "temp=39F"}},
    {"2026-04-28T18:10", "jar", {"batch=A", "count=2", "to=drunk"}},
    {"2026-04-29T09:20", "jar", {"batch=A", "to=Otto Vane"}},
    {"2026-04-29T18:30", "jar", {"batch=A", "count=2", "to=freezer"}},
    {"2026-04-30T17:15", "jar", {"batch=A", "count=2", "to=Hesper Lund"}},
    {"2026-04-30T18:00", "taste", {"batch=A", "flavour=good", "score=5"}},
    {"2026-05-01T18:20", "jar", {"batch=A", "to=dump", "why=spilled: lid was not on"}},
    {"2026-05-01T18:40",
     "taste",
     {"batch=260429-1AJ", "flavour=salty", "score=2", "others=same", "note=flat and salty"}},
    {"2026-05-02T08:40", "reading", {"at_place=fridge", "temp=38F"}},
    {"2026-05-02T18:10", "jar", {"batch=A", "count=2", "to=drunk"}},
};

static int tell_shelf_story(struct making *m, struct date day)
{
    for (size_t i = 0; i < sizeof shelf_story / sizeof shelf_story[0]; i++)
        if (instant_date(moment(shelf_story[i].at)).days == day.days &&
            act_words(m, moment(shelf_story[i].at), shelf_story[i].act, shelf_story[i].words) != 0)
            return -1;
    return 0;
}

/* ---- the wash bench ---- */

static int tell_wash_story(struct making *m, struct date day)
{
    for (const struct demo_deed *deed = demo_wash_story; deed->at != NULL; deed++)
        if (instant_date(moment(deed->at)).days == day.days &&
            act_words(m, moment(deed->at), deed->act, deed->words) != 0)
            return -1;
    return 0;
}

/* The morning's mix, with the strip; and, unless it is still to come, the wash water read twice. */
static int wash_bench(struct making *m, struct date day, bool washed)
{
    int start = MILK_START_MINUTE;
    struct civil c;
    date_to_civil(day, &c);
    WORD(hot, "temp=%dC", 73 + c.day % 3);
    WORD(later, "temp=%dC", 68 + c.day % 3);
    bool new_bottle = day_is("2026-04-24", day);
    if (ACT(m, minute_of(day, start - 28), "mix", "target=100ppm", "volume=3gal",
            new_bottle ? "strength=8.25%" : NULL, "opened=2026-04-12") != 0 ||
        ACT(m, minute_of(day, start - 27), "strip", "ppm=100ppm", "top=200ppm", "temp=27C") != 0)
        return -1;
    if (!washed)
        return 0;
    return ACT(m, minute_of(day, start + 35), "sink", hot, "volume=4gal") != 0 ||
                   ACT(m, minute_of(day, start + 41), "reading", "at_place=sink", later) != 0
               ? -1
               : 0;
}

/* ---- a morning ---- */

/* Ticks that every morning has, with the minute after the start; "begun" ones run a clock. */
static const struct {
    const char *step;
    int minute;
    bool begun, each;
} chores[] = {
    {"ice", -38, false, false},        {"jars", -34, false, false},      {"gear-look", -31, false, false},
    {"rinse-gear", -30, false, false}, {"mix", -28, false, false},       {"sanitise", -26, true, false},
    {"drain", -22, false, false},      {"assemble", -19, false, false},  {"vacuum", -16, false, false},
    {"cows-in", -12, false, false},    {"order", -10, false, false},     {"grain", -8, false, true},
    {"hands", -3, false, false},       {"brush", 0, false, true},        {"pre-dip", 0, true, true},
    {"strip", 1, false, true},         {"wipe", 1, true, true},          {"cups-on", 2, false, true},
    {"cups-off", 7, false, true},      {"post-dip", 8, false, true},     {"weigh", 9, false, true},
    {"strain", 10, false, true},       {"disc", 11, false, true},        {"tub", 12, false, true},
    {"stir", 30, false, false},        {"pre-rinse", 31, false, false},  {"apart", 33, false, false},
    {"hot-wash", 35, true, false},     {"hot-rinse", 44, false, false},  {"acid-rinse", 47, false, false},
    {"hang", 50, false, false},        {"small-gear", 52, false, false}, {"jars-up", 54, false, false},
    {"bedding", 58, false, false},     {"hose", 62, false, false},       {"last-look", 66, false, false},
};

static int tick_one(struct making *m, struct instant at, const char *step, const char *cow, const char *state)
{
    WORD(step_word, "step=%s", step);
    WORD(cow_word, "cow=%s", cow == NULL ? "" : cow);
    WORD(state_word, "state=%s", state);
    return cow == NULL ? ACT(m, at, "tick", step_word, state_word)
                       : ACT(m, at, "tick", step_word, cow_word, state_word);
}

/* Places in `cows`: Tib, whose udder is doubtful, comes last. */
static const int milked_in_order[COWS] = {0, 3, 2, 1};

/* All ticks up to `until` minutes after the start; each cow's come `gap` minutes after those of the one
 * before. */
static int tick_chores(struct making *m, struct date day, int until, int gap)
{
    const struct lactation_of *l;
    for (size_t i = 0; i < sizeof chores / sizeof chores[0]; i++) {
        int place = 0;
        for (int n = 0; n < (chores[i].each ? COWS : 1); n++) {
            int c = milked_in_order[n];
            if (chores[i].each && day_in_milk(&cows[c], day, &l) < 0)
                continue;
            int minute = chores[i].minute + (chores[i].each ? gap * place++ : 0);
            const char *cow = chores[i].each ? cows[c].name : NULL;
            struct instant at = minute_of(day, MILK_START_MINUTE + minute);
            if (minute > until)
                continue;
            if (tick_one(m, at, chores[i].step, cow, chores[i].begun ? "begun" : "done") != 0)
                return -1;
            /* The hot wash is ended by hand; plain contact times end by themselves. */
            if (strcmp(chores[i].step, "hot-wash") == 0 && minute + 7 <= until &&
                tick_one(m, (struct instant){at.s + 420}, chores[i].step, cow, "done") != 0)
                return -1;
        }
    }
    return 0;
}

/* Jars for so many litres: half gallons, and a quart for the rest. Returns the half gallons. */
static int jars_for(double litres, char *text, size_t size)
{
    int halves = (int)(litres / 1.8927), quarts = litres - halves * 1.8927 > 0.9 ? 1 : 0;
    if (halves > 0 && quarts > 0)
        (void)snprintf(text, size, "jars=%dxhalf-gallon,%dxquart", halves, quarts);
    else
        (void)snprintf(text, size, "jars=%dx%s", halves > 0 ? halves : 1,
                       halves > 0 ? "half-gallon" : "quart");
    return halves;
}

static int milk_one(struct making *m, const struct demo_cow *cow, struct date day, int minute, double *kg)
{
    const struct lactation_of *l = NULL;
    int day_in = day_in_milk(cow, day, &l);
    const char *found = finding_of(cow, day);
    *kg = milk_kg(m, cow, l, day_in, day);
    WORD(name, "cow=%s", cow->name);
    WORD(mass, "mass=%.2fkg", *kg);
    WORD(strip, "strip=%s", found);
    WORD(disc, "disc=%s", strstr(found, "clots") != NULL ? "clots" : "clean");
    return ACT(m, minute_of(day, minute), "milk", name, mass, strip, disc);
}

/* Milk that was abnormal is free again some days after it looks clean; a treatment's hours run by themselves.
 */
static int lift_hold(struct making *m, struct date day)
{
    return day_is("2025-03-14", day) ? ACT(m, minute_of(day, 8 * 60), "hold", "cow=Tib", "lift=yes") : 0;
}

static bool may_keep(const struct demo_cow *cow, struct date day, int day_in)
{
    struct date found, free;
    if (day_in <= 5)
        return false;
    if (strcmp(cow->name, "Tib") != 0)
        return true;
    (void)date_parse("2025-03-09", &found, NULL);
    (void)date_parse("2025-03-14", &free, NULL);
    if (day.days >= found.days && day.days <= free.days)
        return false;
    (void)date_parse("2026-04-30", &found, NULL);
    return day.days < found.days;
}

static int past_morning(struct making *m, struct date day, bool chores_too)
{
    int minute = MILK_START_MINUTE;
    double kept_kg = 0, kg;
    const struct lactation_of *l;
    WORD(ice, "mass=%dkg", 9 + (int)(uniform(&m->chance) * 3));
    if (ACT(m, minute_of(day, minute - 38), "ice", ice) != 0 ||
        ACT(m, minute_of(day, minute), "milking", "state=start") != 0)
        return -1;
    for (int i = 0; i < COWS; i++) {
        int day_in = day_in_milk(&cows[i], day, &l);
        if (day_in < 1)
            continue;
        minute += 9;
        if (milk_one(m, &cows[i], day, minute, &kg) != 0)
            return -1;
        kept_kg += may_keep(&cows[i], day, day_in) ? kg : 0;
    }
    if (ACT(m, minute_of(day, minute + 1), "milking", "state=end") != 0)
        return -1;
    if (kept_kg > 1) {
        char jars[64];
        m->halves = jars_for(kept_kg / 1.0305, jars, sizeof jars);
        if (ACT(m, minute_of(day, minute + 4), "pour", jars, "temp=34.5C", "bath=1C") != 0 ||
            ACT(m, minute_of(day, minute + 30), "reading", "batch=A",
                chores_too ? "temp=11.5C" : "temp=12C") != 0 ||
            ACT(m, minute_of(day, minute + 62), "pull", "batch=A", "to=fridge") != 0)
            return -1;
        if (strchr(jars, ',') != NULL &&
            ACT(m, minute_of(day, minute + 62), "pull", "batch=B", "to=fridge") != 0)
            return -1;
    }
    if (chores_too && (tick_chores(m, day, 1000, 9) != 0 || (m->bench && wash_bench(m, day, true) != 0)))
        return -1;
    return ACT(m, minute_of(day, minute + 75), "milking", "state=done");
}

/* The morning of the demonstration, up to the hot wash. */
static int this_morning(struct making *m, struct date day)
{
    double kg;
    int start = MILK_START_MINUTE;
    if (ACT(m, minute_of(day, start - 38), "ice", "mass=10kg") != 0 ||
        ACT(m, minute_of(day, start), "milking", "state=start") != 0 ||
        milk_one(m, &cows[0], day, start + 8, &kg) != 0 ||
        ACT(m, minute_of(day, start + 10), "pour", "jars=4xhalf-gallon,1xquart", "from=Maud", "temp=95F",
            "bath=34F") != 0 ||
        milk_one(m, &cows[3], day, start + 16, &kg) != 0 ||
        ACT(m, minute_of(day, start + 18), "pour", "jars=3xhalf-gallon", "from=Sorrel", "temp=94F") != 0 ||
        milk_one(m, &cows[1], day, start + 24, &kg) != 0 ||
        ACT(m, minute_of(day, start + 25), "milking", "state=end") != 0 ||
        ACT(m, minute_of(day, start + 26), "reading", "batch=A", "temp=63F") != 0 ||
        ACT(m, minute_of(day, start - 20), "reading", "at_place=room", "temp=52F") != 0)
        return -1;
    return tick_chores(m, day, 28, 8) != 0 || wash_bench(m, day, false) != 0 ||
                   ACT(m, minute_of(day, start + 30), "sink", "temp=165F", "volume=4gal") != 0 ||
                   tick_one(m, minute_of(day, start + 27), "pre-rinse", NULL, "done") != 0 ||
                   tick_one(m, minute_of(day, start + 29), "apart", NULL, "done") != 0 ||
                   tick_one(m, minute_of(day, start + 30), "hot-wash", NULL, "begun") != 0
               ? -1
               : 0;
}

/* From the day on which the present bottle of bleach was begun on. */
static struct date first_bench_day(void)
{
    return instant_date(moment("2026-04-24"));
}

struct instant demo_now(void)
{
    return minute_of(instant_date(moment(today)), MILK_START_MINUTE + 31);
}

int demo_fill(struct dairy *d, uint64_t seed, struct fail *f)
{
    struct making m = {.dairy = d, .chance = {seed * 7919 + 17}, .fail = f};
    struct date first, last;
    (void)date_parse(first_day, &first, NULL);
    (void)date_parse(today, &last, NULL);
    if (begin_dairy(&m, minute_of(first, 5 * 60)) != 0 ||
        begin_people(&m, minute_of(first, 5 * 60 + 10)) != 0)
        return -1;
    for (struct date day = first; day.days < last.days; day.days++) {
        bool late = last.days - day.days <= DAYS_WITH_JARS;
        m.bench = day.days >= first_bench_day().days;
        m.older = last.days - day.days <= DAYS_WITH_JARS - 7;
        dairy_make_haste(d, !late);
        if (calvings_and_dryings(&m, day) != 0 ||
            past_morning(&m, day, last.days - day.days <= DAYS_WITH_CHORES) != 0 || lift_hold(&m, day) != 0 ||
            tell_story(&m, day) != 0 || tell_wash_story(&m, day) != 0 || (late ? clear_day(&m, day) : clear_week(&m, day)) != 0 ||
            (late && tell_shelf_story(&m, day) != 0))
            return -1;
    }
    return this_morning(&m, last);
}
