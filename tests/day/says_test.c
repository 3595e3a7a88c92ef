/* What acts answer: the same act on both sides of what it tells apart. Quantities are those that were typed, or follow from
 * them as said beside; the words are this program's own. */
#include <stdio.h>
#include <string.h>

#include "core/base/file.h"
#include "core/day/cow_page.h"
#include "tests/day/rig.h"
#include "tests/scratch.h"
#include "tests/support.h"

#define NOW "2026-05-03T12:00"

struct answer {
    const char *act, *words, *part; /* part: "-" and words that must not be said */
};

/* Does them in turn; all that differ are told before it stops. */
static void answers(struct dairy *d, const struct answer *list, size_t count)
{
    int wrong = 0;
    for (size_t i = 0; i < count; i++) {
        struct act_done done = {0};
        struct fail f = {0};
        bool taken = rig_try(d, NOW, list[i].act, list[i].words, &done, &f), not = list[i].part[0] == '-';
        if (taken && (strstr(done.what, list[i].part + not) != NULL) != not)
            continue;
        wrong++;
        (void)fprintf(stderr, "%s %s: %s \"%s\", not \"%s\"\n", list[i].act, list[i].words, taken ? "taken" : "refused",
                      taken ? done.what : f.text, list[i].part);
    }
    ck_assert_int_eq(wrong, 0);
}

#define ALL(list) list, sizeof list / sizeof list[0]

static struct dairy *farm(void)
{
    struct dairy *d = rig_small("t.db", "2026-04-20T20:00");
    rig_do(d, "2026-04-20T20:01", "cow", "name=Rufus  sex=male  born=2025-01-31");
    rig_do(d, "2026-04-20T20:02", "cow", "name=Wren  breed=Guernsey  calvings=1  stall=3  tag=W7");
    rig_do(d, "2026-04-20T20:03", "person", "name=Hilda  contact=555 0134");
    rig_do(d, "2026-04-20T20:03", "person", "name=Otto");
    return d;
}

START_TEST(of_calvings_and_calves)
{
    static const struct answer list[] = {
        {"cow", "name=Una  breed=Jersey  born=2020-01-01  calvings=3", "Una is here"},
        {"cow", "name=Vera  breed=Jersey  born=2020-01-01  calvings=3", "Vera is here"},
        {"cow", "name=Xena  breed=Jersey  born=2020-01-01  calvings=3", "Xena is here"},
        {"calving", "cow=Wren  at=11:00  ease=1  calf=heifer 70lb  name=Fern  fed=11:40", "heifer 70 lb Fern, sucked"},
        {"calving", "cow=Una  at=11:00  calf=bull  colostrum=3qt  fed=11:40", "bull, drank 0.75 gal"},
        {"calving", "cow=Vera  at=2026-05-02  calf=dead", "calf, born dead"},
        {"calving", "cow=Xena  at=2026-04-20", "-milk fever"}, /* the watch is 72 h */
        {"colostrum", "cow=Wren", "Wren's heifer sucked"},
        {"colostrum", "cow=Una  sex=bull  amount=2qt", "Una's bull drank 0.5 gal of colostrum"},
        {"calf", "dam=Una  name=Ash  tag=A1  breed=Jersey", "Una's bull is Ash"},
        {"tested", "cow=Wren  test=tuberculosis  result=doubtful", "her milk is not kept until it is clear"},
        {"tested", "cow=Rufus  test=tuberculosis  result=doubtful", "-her milk"},
        {"tested", "cow=Wren  test=tuberculosis  result=clear  by=Dr. Lee", "-her milk"},
        {"tested", "cow=Wren  test=brucellosis  due=2026-06-01", "due 1 Jun"},
    };
    struct dairy *d = farm();
    answers(d, ALL(list));
    dairy_close(d);
}
END_TEST

START_TEST(of_heats_services_and_checks)
{
    static const struct answer list[] = {
        {"heat", "cow=Tib  signs=standing", "best served"},
        {"heat", "cow=Tib  signs=standing  at=2026-04-12", "-best served"},
        {"heat", "cow=Wren  signs=blood", "-best served"},
        {"heat", "cow=Maud", "Maud in heat"},
        {"service", "cow=Tib  at=2026-04-12T09:00  by=field  until=2026-04-30", "Tib served, field"},
        {"service", "cow=Wren  at=2025-06-01T09:00", "-watch for heat"},
        {"service", "cow=Maud  by=bull  sire=Rowan  who=Ann", "Maud served, bull, Rowan"},
        {"sire", "name=Rowan  days=-1.5", "calves of Rowan are carried 1.5 days less than usual"},
        {"sire", "name=rowan  days=2", "carried 2.0 days longer than usual"},
        {"check", "cow=Tib  method=palpation  result=doubtful  days=20", "Tib checked by palpation: doubtful"},
        {"check", "cow=Tib  method=ultrasound  result=in-calf  twins=yes  calf=bull", "Tib checked by ultrasound: in-calf"},
        {"lost", "cow=Tib  why=found at the fence", "Tib lost her calf"},
        {"dry", "cow=Tib", "Tib dried off"},
    };
    struct dairy *d = farm();
    answers(d, ALL(list));
    dairy_close(d);
}
END_TEST

START_TEST(of_cows_that_come_and_go)
{
    static const struct answer list[] = {
        {"cow", "name=Una  calved=2025-06-01  dried=2026-04-10  breed=Jersey", "dried off 2026-04-10"},
        {"cow", "name=Vera  came=bought  came_on=2026-05-01  from=Hill Farm  quarantine=30d  tests=tuberculosis, brucellosis",
         "tests due: tuberculosis, brucellosis"},
        {"cow", "name=Vera  quarantine=2026-05-20", "Vera: changed"},
        {"cow", "name=Vera  quarantine=", "Vera: changed"},
        {"cow", "name=Xena  quarantine=20d  tests=johne", "tests due: johne"},
        {"cow", "name=Una  dam=Maud", "Una: changed"},
        {"cow", "name=Una  dam=", "Una: changed"},
        {"cow", "name=Wren  stall=", "Wren: changed"},
        {"cow", "name=Wren  stall=3", "Wren: changed"},
        {"treat", "cow=Tib  product=udder tube  milk_hours=96h  meat_days=10d", "her milk is not to be kept: udder tube"},
        {"treat", "cow=Rufus  product=drench  meat_days=10d", "-milk is"},
        {"treat", "cow=Maud  product=salve  milk_hours=0h  why=a scratch", "kept after Sun 3 May 12:00"},
        {"cow", "name=Tib  left=slaughtered", "SAY SO: meat is withheld until"},
        {"cow", "name=Maud  left=given  to=Hill Farm", "SAY SO: a withholding of meat is not known"},
        {"cow", "name=Una  left=died  to=bloat", "-SAY SO"},
        {"cow", "name=Xena  left=sold", "Xena left: sold; SAY SO: her milk is not to be kept"},
    };
    struct dairy *d = farm();
    answers(d, ALL(list));
    dairy_close(d);
}
END_TEST

START_TEST(of_treatments)
{
    static const struct answer list[] = {
        {"treat", "cow=Tib  product=tube  milk_hours=96h  at=2026-04-21T07:00", "not to be kept"},
        {"treat", "cow=Tib  product=tube  milk_hours=72h  at=2026-04-25T07:00", "not to be kept"},
        {"label", "cow=Tib  begun=2026-04-21  meat_days=3d", "record of tube completed"},
        {"label", "cow=Tib  meat_days=4d  more=yes", "record of tube completed"},
        {"dose", "cow=Tib  more=yes  by=Ann", "another dose of tube; her milk is not to be kept"},
        {"dose", "cow=Tib  product=TUBE  more=no", "another dose of tube, the last"},
        {"treat", "cow=Maud  product=dry tube  dry=yes  dry_days=42d  fresh_hours=96h  fresh_milkings=8", "not to be kept"},
        {"hold", "cow=Wren  why=waits for the vet", "until lifted"},
        {"hold", "cow=Wren  lift=yes  why=seen", "Wren"},
    };
    struct dairy *d = farm();
    answers(d, ALL(list));
    dairy_close(d);
}
END_TEST

START_TEST(of_udders_bodies_and_figures)
{
    static const struct answer list[] = {
        {"test", "cow=Maud  protein=3.6%", "Maud: protein 3.60 %"},
        {"test", "cow=Maud  fat=4.8%  protein=3.6%", "fat 4.80 %, protein 3.60 %"},
        {"test", "cow=Maud  cells=180", "in thousands? write them out"},
        {"cells", "cow=Maud  count=180000  quarter=LF", "LF 180000 cells per mL"},
        {"culture", "cow=Maud  found=no growth", "Maud, culture: no growth"},
        {"culture", "cow=Maud  quarter=RR  found=staph", "Maud RR, culture: staph"},
        {"quarter", "cow=Maud  LF=1  RR=N", "RR"},
        {"weigh", "cow=Maud  mass=900lb", "900 lb"},
        {"weigh", "cow=Maud  height=50in", "50 in high"},
        {"weigh", "cow=Maud  girth=66in  length=56in  height=50in", "50 in high"},
        {"calfmilk", "cow=Maud  share=40%", "a calf drinks 40 % of Maud's milk"},
        {"calfmilk", "cow=Maud  share=0%", "no calf drinks of Maud's milk"},
        {"need", "week=8gal", "-can use"},
        {"need", "week=8gal  room=30gal", "can use"},
        {"repeat", "name=hoof trim  cow=Maud  every=180d", "Maud, hoof trim: every 180 days, first 3 May 2026"},
        {"repeat", "name=water test  every=365d", "water test: every 365 days"},
        {"repeat", "name=water test  first=2026-06-01", "every 365 days, first 1 Jun 2026"},
        {"did", "name=hoof trim  cow=Maud", "Maud, hoof trim done, next 30 Oct 2026"}, /* 3 May and 180 days */
        {"did", "name=water test", "water test done, next 3 May 2027"},
        {"repeat", "name=water test  end=yes", "water test comes round no more"},
        {"stock", "feed=oats  mass=50lb  cost=18.50", "50 lb of oats came for 18.50"},
        {"stock", "feed=oats  mass=0lb  how=counted", "counted"},
    };
    struct dairy *d = farm();
    answers(d, ALL(list));
    dairy_close(d);
}
END_TEST

START_TEST(of_jars_and_people)
{
    static const struct answer list[] = {
        {"milk", "cow=Maud  mass=36lb  at=06:20", "Maud"},
        {"pour", "jars=8xhalf-gallon  from=Maud  at=06:25", "half-gallon"},
        {"pull", "batch=A  to=fridge  at=07:00", "8 jars to the refrigerator"},
        {"jar", "batch=A  count=3  to=Hilda", "Hilda"},
        {"jar", "batch=A  to=cheese", "cheese"},
        {"jar", "batch=A  from=cheese  to=pigs", "pigs"},
        {"jar", "batch=A  from=Hilda  to=drunk", "drunk"},
        {"jar", "batch=A  to=dump  why=spilled", "A"},
        {"broken", "batch=A  person=Hilda", "1 jar broken at Hilda's"},
        {"broken", "batch=A  count=2", "2 jars broken"},
        {"jarback", "person=Hilda  count=3  kind=half-gallon", "Hilda brought 3 half-gallon back, 2 more than were out"},
        {"jarback", "person=Otto  count=1  kind=quart", "Otto brought 1 quart back, 1 more than were out"},
        {"broken", "kind=quart  was=dirty", "1 quart broken"},
        {"broken", "kind=half-gallon  person=Otto", "1 half-gallon broken"},
        {"washed", "kind=half-gallon  count=1", "washed: 1 half-gallon"},
        {"jars", "kind=half-gallon  count=14", "14 half-gallon jars on hand"},
        {"person", "name=Hilda  share=2  days=mon,thu", "Hilda: 2 jars mon,thu"},
        {"person", "name=Hilda  share=1  kind=quart  days=daily", "Hilda: 1 quart daily"},
        {"person", "name=Hilda  share=0", "-jar"},
        {"person", "name=Otto  left=2026-05-01", "Otto takes no more milk"},
        {"person", "name=Otto  share=1", "Otto takes milk: 1 jar daily"},
        {"share", "jars=1  method=proportion", "1 jars shared out: "},
    };
    struct dairy *d = farm();
    answers(d, ALL(list));
    rig_refused(d, NOW, "washed", "kind=wide-mouth", "wide-mouth");
    dairy_close(d);
}
END_TEST

START_TEST(of_steps_parts_and_samples)
{
    static const struct answer list[] = {
        {"step", "id=hot-wash  start=  ", "hot-wash"},
        {"step", "id=hot-wash  start=165F  floor=120F", "hot-wash"},
        {"step", "id=hot-wash  floor=118F", "hot-wash"},
        {"step", "id=hot-wash  start=160F  time=9min", "hot-wash"},
        {"step", "id=dance  say=Dance round the tub  phase=floors", "dance"},
        {"step", "id=dance  time=2min  chemical=water  caution=wet-floor", "dance"},
        {"step", "id=dance  chemical=  ", "dance"},
        {"step", "id=dance  waits=strip:60s  each=cow  how=With both feet.", "dance"},
        {"step", "id=dance  waits=", "dance"},
        {"step", "id=dance  after=strip", "dance"},
        {"step", "id=dance  remove=yes", "step dance taken out"},
        {"part", "name=sprocket  days=10", "sprocket: fitted 3 May, for 10 days"},
        {"part", "name=sprocket  milkings=100", "for 100 milkings or 10 days"},
        {"part", "name=sprocket  stock=3  lead=7", "sprocket: 3 on the shelf"},
        {"part", "name=sprocket  stock=2", "sprocket: 2 on the shelf"},
        {"machine", "rate=60/min  open=90%", "massage under 150 ms"},
        {"sample", "cow=Maud", "sample S1 drawn, milk of Maud"},
        {"sample", "of=water  hours=30h", "sample S2 drawn, water; at the laboratory by Mon 4 May 18:00"},
        {"lab", "sample=S9  drawn=08:00  sent=09:00  arrived=11:00", "sample S9 sent arrived"},
        {"lab", "sample=S8  drawn=08:00", "sample S8"},
        {"lab", "sample=W1  drawn=08:00  water=0", "sample W1"},
    };
    struct dairy *d = farm();
    answers(d, ALL(list));
    rig_refused(d, NOW, "lab", "sample=S8  drawn=08:00", "Sample S8 is in the records already; leave drawn= out.");
    rig_refused(d, NOW, "lab", "sample=S8", "Give sent=, arrived=, temp= or a figure");
    dairy_close(d);
}
END_TEST

START_TEST(of_a_routine_from_a_file)
{
    struct dairy *d = farm();
    struct fail f = {0};
    struct act_done done = {0};
    char words[300];
    const char *path = scratch_path("routine.txt");
    ck_assert_msg(file_replace(path, "dance\n", 6, &f) == 0, "%s", f.text);
    (void)snprintf(words, sizeof words, "file=%s", path);
    char *before = rig_board_json(d, rig_at(NOW));
    ck_assert(!rig_try(d, NOW, "routine", words, &done, &f));
    ck_assert(f.text[0] != '\0');
    char *after = rig_board_json(d, rig_at(NOW));
    ck_assert_str_eq(before, after);
    free(before);
    free(after);
    dairy_close(d);
}
END_TEST

Suite *says_suite(void)
{
    Suite *s = suite_create("says");
    TCase *t = tcase_create("says");
    tcase_add_checked_fixture(t, scratch_open, scratch_close);
    tcase_add_test(t, of_calvings_and_calves);
    tcase_add_test(t, of_heats_services_and_checks);
    tcase_add_test(t, of_cows_that_come_and_go);
    tcase_add_test(t, of_treatments);
    tcase_add_test(t, of_udders_bodies_and_figures);
    tcase_add_test(t, of_jars_and_people);
    tcase_add_test(t, of_steps_parts_and_samples);
    tcase_add_test(t, of_a_routine_from_a_file);
    suite_add_tcase(s, t);
    return s;
}
