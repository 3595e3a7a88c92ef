/* Slips of the fingers, act by act: each gets its one line, and the board stays what it was. Where the limits are follows
 * from what can be (a hand's width of a cow's height, hours that a label can name); they are common practice, no source. */
#include <stdio.h>
#include <string.h>

#include "tests/day/rig.h"
#include "tests/scratch.h"
#include "tests/support.h"

#define NOW "2026-05-03T12:00"

struct slip {
    const char *act, *words, *line;
};

/* Cows of every kind, a course that runs, a batch of four jars of which one is out and one became cheese. */
static struct dairy *farm(void)
{
    struct dairy *d = rig_small("t.db", "2026-04-20T20:00");
    rig_do(d, "2026-04-20T20:01", "cow", "name=Rufus  sex=male  born=2026-01-31");
    rig_do(d, "2026-04-20T20:02", "cow", "name=Wren  breed=Guernsey  calvings=1  stall=3  tag=W7");
    rig_do(d, "2026-04-20T20:03", "person", "name=Hilda  contact=555 0134");
    rig_do(d, "2026-04-20T20:03", "person", "name=Otto");
    rig_do(d, "2026-04-25T07:00", "treat", "cow=Tib  product=udder tube  milk_hours=96h  meat_days=10d  more=yes");
    rig_do(d, "2026-04-26T07:00", "treat", "cow=Tib  product=foot salve  milk_hours=0h  meat_days=0d  more=yes");
    rig_do(d, "2026-05-03T05:40", "milking", "state=start");
    rig_do(d, "2026-05-03T06:20", "milk", "cow=Maud  mass=36lb");
    rig_do(d, "2026-05-03T06:25", "pour", "jars=4xhalf-gallon  from=Maud");
    rig_do(d, "2026-05-03T07:00", "pull", "batch=A  to=fridge");
    rig_do(d, "2026-05-03T07:10", "milking", "state=end");
    rig_do(d, "2026-05-03T07:11", "milking", "state=done");
    rig_do(d, "2026-05-03T08:00", "jar", "batch=A  to=Hilda");
    rig_do(d, "2026-05-03T08:10", "jar", "batch=A  to=cheese");
    return d;
}

/* All that differ are told before it stops. */
static void refused_unchanged(struct dairy *d, const struct slip *slips, size_t count)
{
    int wrong = 0;
    char *before = rig_board_json(d, rig_at(NOW));
    for (size_t i = 0; i < count; i++) {
        struct act_done done = {0};
        struct fail f = {0};
        bool taken = rig_try(d, NOW, slips[i].act, slips[i].words, &done, &f);
        if (!taken && strstr(f.text, slips[i].line) != NULL && strpbrk(f.text, "\n\033") == NULL)
            continue;
        wrong++;
        (void)fprintf(stderr, "%s %s: %s \"%s\"\n", slips[i].act, slips[i].words, taken ? "taken" : "refused",
                      taken ? done.what : f.text);
    }
    ck_assert_int_eq(wrong, 0);
    char *after = rig_board_json(d, rig_at(NOW));
    ck_assert_str_eq(before, after);
    free(before);
    free(after);
}

#define ALL(slips) slips, sizeof slips / sizeof slips[0]

START_TEST(of_cows_and_their_calves)
{
    static const struct slip slips[] = {
        {"cow", "name=Maud  dam=Maud", "Maud cannot be her own mother."},
        {"cow", "name=Maud  dam=Nobody", "There is no cow \"Nobody\""},
        {"cow", "name=Maud  quarantine=soon", "soon"},
        {"cow", "name=Maud  quarantine=400d", "quarantine: at most a year, as 30d."},
        {"cow", "name=Maud  calvings=31", "calvings: at most 30."},
        {"cow", "name=Maud  stall=0", "There are stalls 1 to 3."},
        {"cow", "name=Maud  left_on=2026-05-01", "left= is missing"},
        {"cow", "name=Nobody  left=sold", "There is no cow \"Nobody\""},
        {"cow", "name=Nobody  rename=Fay", "There is no cow \"Nobody\""},
        {"cow", "name=Fay  born=2024-01-01  served=2023-01-01", "served: that is before she was born."},
        {"cow", "name=Fay  dried=2026-06-01", "dried: that day is still to come."},
        {"calving", "cow=Wren  calf=heifer  colostrum=0.01qt", "one feed is between a cup and 10 quarts"},
        {"calving", "cow=Wren  calf=heifer  colostrum=3qt  fed=11:00", "fed: that is before it was born."},
        {"calving", "cow=Wren  calf=heifer  colostrum=3qt  fed=2026-05-03T12:30", "still to come"},
        {"calving", "cow=Wren  calf=dead  colostrum=3qt", "say which calf drank it"},
        {"calving", "cow=Wren  fed=12:00", "say which calf drank it"},
        {"calving", "cow=Wren  calf=heifer 1lb", "a calf weighs between"},
        {"calving", "cow=Wren  ease=0", "ease: 1"},
        {"calving", "cow=Nobody", "There is no cow"},
        {"colostrum", "cow=Maud  amount=20qt", "amount: one feed is between a cup and 10 quarts."},
        {"colostrum", "cow=Maud  amount=0.01qt", "amount: one feed is between a cup and 10 quarts."},
        {"colostrum", "cow=Maud  sex=bull", "Maud has no bull of the last three days"},
        {"colostrum", "cow=Nobody", "There is no cow"},
        {"heat", "cow=Maud  signs=dancing", "dancing"},
        {"heat", "cow=Nobody", "There is no cow"},
        {"service", "cow=Nobody", "There is no cow"},
        {"service", "cow=Maud  by=ai  until=2026-05-01", "until= goes with by=field or by=unseen."},
        {"service", "cow=Maud  by=unseen", "until= is missing: the last day with the bull."},
        {"service", "cow=Maud  by=field  until=2026-04-01", "until: that is before the first day."},
        {"sire", "name=Rowan  days=-11", "between -10 and 10"},
        {"check", "cow=Nobody  method=pag  result=open", "There is no cow"},
        {"check", "cow=Maud  method=ultrasound  result=open  calf=bull", "seen by ultrasound alone, in a cow that is in calf"},
        {"check", "cow=Maud  method=pag  result=open  days=0", "days: between 1 and 300."},
        {"check", "cow=Maud  method=pag  result=open  days=301", "days: between 1 and 300."},
        {"dry", "cow=Nobody", "There is no cow"},
        {"lost", "cow=Nobody", "There is no cow"},
        {"calf", "dam=Nobody  name=Fern", "There is no cow"},
        {"calf", "dam=Maud  name=Fern", "There is no calf of Maud without a name"},
        {"tested", "cow=Maud  test=tuberculosis", "Give result=, or due="},
        {"tested", "cow=Maud  test=tuberculosis  due=2026-05-01", "due: that day is over."},
        {"tested", "cow=Nobody  test=tuberculosis  result=clear", "There is no cow"},
    };
    struct dairy *d = farm();
    refused_unchanged(d, ALL(slips));
    dairy_close(d);
}
END_TEST

START_TEST(of_treatments_and_holds)
{
    static const struct slip slips[] = {
        {"treat", "cow=Nobody  product=tube", "There is no cow"},
        {"treat", "cow=Maud  product=tube  milk_hours=many", "many"},
        {"treat", "cow=Maud  product=tube  meat_days=many", "many"},
        {"treat", "cow=Maud  product=tube  meat_days=400d", "meat_days: \"400d\" is more than a year"},
        {"treat", "cow=Maud  product=tube  dry=yes  milk_hours=96h", "names the least days dry"},
        {"treat", "cow=Maud  product=tube  dry_days=42d", "go with dry=yes."},
        {"treat", "cow=Maud  product=tube  fresh_hours=96h", "go with dry=yes."},
        {"treat", "cow=Maud  product=tube  fresh_milkings=4", "go with dry=yes."},
        {"treat", "cow=Maud  product=tube  dry=yes  fresh_milkings=61", "fresh_milkings: at most 60."},
        {"treat", "cow=Maud  product=tube  dry=yes  dry_days=long", "long"},
        {"treat", "cow=Maud  product=tube  dry=yes  fresh_hours=long", "long"},
        {"treat", "cow=Tib  product=Udder Tube", "A course of udder tube is running for Tib"},
        {"dose", "cow=Nobody  more=no", "There is no cow"},
        {"dose", "cow=Maud  more=no", "Maud: no course is running"},
        {"dose", "cow=Tib  more=no", "Which? Say product=, one of foot salve, udder tube."},
        {"dose", "cow=Tib  product=drench  more=no", "Tib: no course is running"},
        {"label", "cow=Nobody  meat_days=1d", "There is no cow"},
        {"label", "cow=Maud  meat_days=1d", "Maud: no such treatment is recorded"},
        {"label", "cow=Tib  meat_days=1d", "Which? Say product="},
        {"label", "cow=Tib  begun=2026-04-24  meat_days=1d", "Tib: no such treatment is recorded"},
        {"label", "cow=Tib  product=udder tube  milk_hours=much", "much"},
        {"label", "cow=Tib  product=udder tube  dry_days=42d", "go with dry=yes."},
        {"hold", "cow=Maud  hours=9000h  why=tube", "hours: that is more than a year"},
        {"hold", "cow=Nobody  hours=9h  why=tube", "There is no cow"},
        {"milk", "cow=Rufus  mass=20lb", "Rufus is a bull."},
        {"milking", "state=end  at=2026-05-03T04:00", "No milking is open"},
    };
    struct dairy *d = farm();
    refused_unchanged(d, ALL(slips));
    dairy_close(d);
}
END_TEST

START_TEST(of_udders_weights_and_figures)
{
    static const struct slip slips[] = {
        {"disc", "found=clean", "No milking is open then."},
        {"disc", "found=confetti", "confetti"},
        {"quarter", "cow=Maud", "Give at least one quarter"},
        {"quarter", "cow=Maud  LF=9", "9"},
        {"quarter", "cow=Nobody  LF=1", "There is no cow"},
        {"cells", "cow=Maud  count=0", "cells: between 1 and 100 million per mL"},
        {"cells", "cow=Maud  count=200000000", "cells: between 1 and 100 million per mL"},
        {"cells", "cow=Nobody  count=5", "There is no cow"},
        {"culture", "cow=Nobody  found=no growth", "There is no cow"},
        {"test", "cow=Nobody  fat=4%", "There is no cow"},
        {"test", "cow=Maud", "Give fat=, protein= or cells=."},
        {"test", "cow=Maud  fat=16%", "No milk has more than 15 % fat or 10 % protein."},
        {"test", "cow=Maud  protein=11%", "No milk has more than 15 % fat or 10 % protein."},
        {"weigh", "cow=Maud", "Give girth= by tape, or mass= on a scale, or height=."},
        {"weigh", "cow=Maud  mass=400kg  length=60in", "length= goes with girth=."},
        {"weigh", "cow=Maud  mass=2000kg", "between 10 and 1500 kg"},
        {"weigh", "cow=Maud  mass=1kg", "between 10 and 1500 kg"},
        {"weigh", "cow=Maud  height=3m", "between 0.4 and 2 m"},
        {"weigh", "cow=Maud  height=0.1m", "between 0.4 and 2 m"},
        {"weigh", "cow=Maud  girth=9m", "girth"},
        {"weigh", "cow=Nobody  mass=400kg", "There is no cow"},
        {"calfmilk", "cow=Maud  share=101%", "cannot be meant: a percentage"},
        {"calfmilk", "cow=Nobody  share=10%", "There is no cow"},
        {"need", "week=5000gal", "No house dairy uses that much in a week."},
        {"need", "week=8gal  room=5000gal", "No house dairy uses that much in a week."},
        {"need", "week=8gal  room=2gal", "room: that is less than what is needed."},
        {"repeat", "name=hoof trim", "every= is missing"},
        {"repeat", "name=hoof trim  end=yes", "Nothing of that name comes round."},
        {"repeat", "name=hoof trim  every=1h", "every: between 1d and 3660d."},
        {"repeat", "name=hoof trim  every=4000d", "every: between 1d and 3660d."},
        {"repeat", "name=hoof trim  every=30d  cow=Nobody", "There is no cow"},
        {"did", "name=hoof trim", "Nothing called \"hoof trim\" comes round; add it with repeat."},
        {"did", "name=hoof trim  cow=Maud", "Nothing called \"hoof trim\" comes round for Maud; add it with repeat."},
        {"stock", "feed=oats  mass=0lb", "mass: that is no weight of feed."},
        {"stock", "feed=oats  mass=900000lb", "cannot be meant: a weight"},
        {"stock", "feed=oats  mass=50lb  cost=2000000", "cost: 0 or more"},
        {"stock", "feed=oats  mass=50lb  cost=18  how=counted", "cost: goes with what came, not with a count."},
        {"ration", "cow=Nobody  feed=oats  mass=4lb", "There is no cow"},
    };
    struct dairy *d = farm();
    refused_unchanged(d, ALL(slips));
    dairy_close(d);
}
END_TEST

START_TEST(a_cow_that_leaves_may_be_called_by_her_tag)
{
    struct dairy *d = farm();
    rig_do(d, NOW, "cow", "name=W7  rename=Fern");
    ck_assert_str_eq(rig_board(d, NOW)->stall[2].name, "Fern");
    rig_do(d, NOW, "cow", "name=W7  left=sold  to=a neighbour");
    ck_assert(rig_board(d, NOW)->stall[2].empty);
    rig_refused(d, NOW, "milk", "cow=Fern  mass=20lb", "There is no cow \"Fern\" here");
    dairy_close(d);
}
END_TEST

START_TEST(of_jars_and_people)
{
    static const struct slip slips[] = {
        {"jar", "batch=A  count=0  to=Hilda", "count: one jar or more."},
        {"jar", "batch=A  to=Nobody", "\"Nobody\" is nobody who takes milk here; there are Hilda, Otto."},
        {"jar", "batch=A  from=Hilda  to=Otto", "From one person to another: first back to the fridge"},
        {"jar", "batch=A  from=Nobody  to=fridge", "\"Nobody\" is nobody who takes milk here"},
        {"jar", "batch=A  count=2  from=Hilda  to=fridge", "Hilda has 1 of batch"},
        {"jar", "batch=A  from=cheese  to=fridge", "Cheese can be thrown away, fed, or eaten (drunk)."},
        {"jar", "batch=A  from=cheese  to=Otto", "Cheese can be thrown away, fed, or eaten (drunk)."},
        {"jar", "batch=A  from=cheese  to=cheese", "Cheese can be thrown away, fed, or eaten (drunk)."},
        {"jar", "batch=A  count=2  from=cheese  to=pigs", "1 was made into cheese, not 2."},
        {"jar", "batch=A  to=dump", "why= is missing: spilled"},
        {"jar", "batch=A  count=40  to=Hilda", "batch"},
        {"clear", "before=2026-05-03  to=dump", "why= is missing: why they were thrown away"},
        {"clear", "before=2026-04-01  to=drunk", "No jar that was poured before"},
        {"washed", "count=4", "kind= is missing: so many of which jars?"},
        {"washed", "kind=half-gallon  count=2", "There are 1 half-gallon to be washed"},
        {"washed", "kind=barrel", "barrel"},
        {"broken", "kind=half-gallon  count=0", "count: between 1 and 999."},
        {"broken", "kind=half-gallon  count=1000", "count: between 1 and 999."},
        {"broken", "kind=barrel", "barrel"},
        {"broken", "count=1", "Say what broke"},
        {"broken", "batch=A  kind=half-gallon", "Say what broke"},
        {"broken", "kind=half-gallon  person=Nobody", "nobody who takes milk"},
        {"broken", "batch=A  person=Nobody", "nobody who takes milk"},
        {"person", "name=Calf", "is where jars go; give the person another name."},
        {"person", "name=Fridge", "is where jars go; give the person another name."},
        {"person", "name=Hilda  rename=Otto", "There is a Otto already"},
        {"person", "name=Hilda  share=1000", "share: at most 999 jars."},
        {"person", "name=Hilda  kind=barrel", "barrel"},
        {"person", "name=Hilda  left=2026-06-01", "left: that day is still to come."},
        {"person", "name=Hilda  days=someday", "someday"},
        {"person", "name=Nobody  left=2026-05-01", "\"Nobody\" is nobody who takes milk here"},
        {"person", "name=Nobody  rename=Fay", "\"Nobody\" is nobody who takes milk here"},
        {"jarback", "person=Nobody", "\"Nobody\" is nobody who takes milk here"},
        {"jarback", "person=Hilda  kind=barrel", "barrel"},
        {"jarback", "person=Otto", "Otto has no jars out, by these records."},
        {"jarback", "person=Otto  kind=quart", "Otto has no quart out, by these records."},
        {"jarback", "person=Otto  count=2", "kind= is missing: Otto has no jars out"},
        {"jarback", "person=Hilda  count=1000", "Hilda has no jars out"},
        {"jars", "kind=quart  count=10000", "count: at most 9999 jars."},
        {"jarkind", "name=half-gallon  volume=1L  height=7in  diameter=4in", "There is a jar called half-gallon already."},
        {"jarkind", "name=a-name-that-is-longer-than-any-jar-needs  volume=1L  height=7in  diameter=4in", "one short word"},
    };
    struct dairy *d = farm();
    refused_unchanged(d, ALL(slips));
    dairy_close(d);
}
END_TEST

START_TEST(of_the_dairy_its_steps_parts_and_samples)
{
    static const struct slip slips[] = {
        {"dairy", "tub=0gal", "tub: the tub needs some water, as 5gal."},
        {"dairy", "use=61", "use: at most 60 days after milking."},
        {"dairy", "stalls=13", "stalls: between 1 and 12."},
        {"dairy", "times=06:10,07:10,08:10,09:10,10:10", "Name one to four milking times"},
        {"dairy", "times=6:99", "is not a list of times"},
        {"step", "id=nothing  remove=yes", "There is no step \"nothing\"."},
        {"step", "id=hot-rinse  after=hot-rinse", "A step cannot come after itself."},
        {"step", "id=hot-rinse  waits=rinse:1min:2min:3min", "too many times"},
        {"step", "id=hot-rinse  waits=dry:1min", "waits: dry takes no such time."},
        {"step", "id=hot-rinse  waits=jars-up:1min", "waits: jars-up takes no such time."},
        {"step", "id=hot-rinse  waits=sanitised:1h:2h", "waits: sanitised takes no such time."},
        {"step", "id=hot-rinse  waits=sanitised:long", "long"},
        {"step", "id=hot-rinse  waits=rinse:1min:long", "long"},
        {"step", "id=hot-rinse  waits=:1min", "waits"},
        {"step", "id=hot-rinse  waits=a,b,c,d,e,f,g,h,i,j", "waits"},
        {"step", "id=hot-rinse  caution=dragons", "caution: there is no \"dragons\""},
        {"step", "id=hot-rinse  caution=scald,scald,scald,scald,scald,scald,scald,scald", "caution: at most"},
        {"step", "id=hot-rinse  chemical=soda pop", "chemical: \"soda pop\" is not one of none"},
        {"step", "id=strip  floor=120F", "start= is missing"},
        {"step", "id=strip  start=165F", "floor= is missing"},
        {"part", "name=gaskets  days=0", "a life of 0 is none"},
        {"part", "name=gaskets  days=200000", "days: a life of 200000 cannot be meant."},
        {"part", "name=gaskets  milkings=200000", "milkings: a life of 200000 cannot be meant."},
        {"part", "name=sprocket", "how long does it last?"},
        {"part", "name=sprocket  days=10  fitted=2026-06-01", "fitted: that day is still to come."},
        {"part", "name=sprocket  lead=7", "lead: goes with stock="},
        {"part", "name=a part whose name is so long that nobody would ever write it on a shelf  days=9", "name: too long"},
        {"machine", "vacuum=12inHg  open=60%", "open: goes with rate="},
        {"sample", "of=water  cow=Maud", "Water comes from no cow"},
        {"sample", "of=water  batch=A", "Water comes from no cow"},
        {"sample", "hours=0h", "how long does the laboratory allow"},
        {"sample", "cow=Nobody", "There is no cow"},
        {"sample", "batch=Q", "Q"},
        {"lab", "plate=4200", "There is no sample yet"},
        {"lab", "sample=S9  plate=4200", "There is no sample S9"},
        {"lab", "drawn=08:00  plate=4200", "sample= is missing"},
        {"lab", "sample=S9  drawn=2026-05-03T12:30  plate=4200", "still to come"},
        {"lab", "sample=S9  drawn=08:00  sent=07:00", "Sample S9 cannot be sent before it was drawn."},
        {"lab", "sample=S9  drawn=08:00  arrived=07:00", "Sample S9 cannot be there before it was drawn."},
        {"lab", "sample=S9  drawn=08:00  sent=09:00  arrived=08:30", "Sample S9 cannot be there before it was sent."},
        {"lab", "sample=S9  drawn=08:00  arrived=2026-05-03T13:00", "still to come"},
        {"lab", "sample=S9  drawn=08:00  water=3  plate=4", "Sample S9 is of water; it has no"},
        {"lab", "sample=S9  drawn=08:00  plate=2000000000", "plate: 2e+09 cannot be meant."},
        {"taste", "batch=A  flavour=sour  score=6", "score"},
        {"outage", "from=2026-05-03T12:30", "still to come"},
    };
    struct dairy *d = farm();
    refused_unchanged(d, ALL(slips));
    dairy_close(d);
}
END_TEST

Suite *slips_suite(void)
{
    Suite *s = suite_create("slips");
    TCase *t = tcase_create("slips");
    tcase_add_checked_fixture(t, scratch_open, scratch_close);
    tcase_add_test(t, of_cows_and_their_calves);
    tcase_add_test(t, of_treatments_and_holds);
    tcase_add_test(t, of_udders_weights_and_figures);
    tcase_add_test(t, a_cow_that_leaves_may_be_called_by_her_tag);
    tcase_add_test(t, of_jars_and_people);
    tcase_add_test(t, of_the_dairy_its_steps_parts_and_samples);
    suite_add_tcase(s, t);
    return s;
}
