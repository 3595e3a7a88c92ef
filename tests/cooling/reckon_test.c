/* The topics chill, bath, jar and ice as they are typed: names of arguments and results, units, refusals. */
#include "src/reckon.h"

#include "core/base/quantity.h"
#include "tests/support.h"

/* Works "topic key=value ..." out; -1 with the reason in *f. */
static int reckon(const char *line, struct working *w, struct fail *f)
{
    char copy[600], *words[20];
    size_t count = 0;
    (void)snprintf(copy, sizeof copy, "%s", line);
    for (char *p = copy; *p != '\0';) {
        words[count++] = p;
        p += strcspn(p, " ");
        if (*p == ' ')
            *p++ = '\0';
    }
    const struct reckon_topic *topic = reckon_find(words[0]);
    if (topic == NULL)
        ck_abort_msg("no topic %s", words[0]);
    struct instant now = {0};
    return reckon_run(topic, words + 1, count - 1, UNITS_US, now, w, f);
}

static double result(const struct working *w, const char *name, int row)
{
    const struct figure *fig = working_find(w, name, row);
    if (fig == NULL)
        ck_abort_msg("no result %s", name);
    return fig->kind == FIGURE_NONE ? (double)NAN : fig->number;
}

static void need(const char *line, struct working *w)
{
    struct fail f = {0};
    ck_assert_msg(reckon(line, w, &f) == 0, "%s: %s", line, f.text);
}

START_TEST(figures_come_out_as_in_the_books)
{
    static const struct {
        const char *line, *name;
        double value, relative;
    } rows[] = {
        /* Lebl, Notes on Diffy Qs, sect. 1.3. */
        {"chill milk=89C bath=22C read=1:85C until=60C", "k_per_min", 0.0615578929994, 1e-11},
        {"chill milk=89C bath=22C read=1:85C until=60C", "time_min", 9.212570997, 1e-9},
        /* OpenStax Calculus 2, ex. 4.13, in F, bare numbers being F and minutes. */
        {"chill milk=200 bath=75 read=1:190 until=150", "time_min", 6.126358441, 1e-9},
        {"chill milk=210F bath=20F read=2h:170F until=30F", "time_min", 60 * 24.91183383, 1e-9},
        {"chill milk=165F bath=70F read=10min:155F after=20min", "temp_f", 146.0526316, 1e-9},
        /* OpenStax College Algebra 2e, sect. 6.7. */
        {"chill milk=165F bath=35F read=10:150F until=70F", "time_min", 107.0278578, 1e-9},
        {"chill milk=35C bath=1C k=0.065 until=45F", "time_min", 26.12667, 1e-6},
        /* Ten litres of water at 15 C: 1.88248 kg of ice (4186 J/kgK, 333.55 kJ/kg). */
        {"ice volume=0L water=10L water_temp=15C", "ice_kg", 1.88248, 1e-5},
        {"ice volume=0L water=10kg water_temp=59F", "ice_kg", 1.88248, 1e-5},
        {"ice volume=1L from=35C to=40F", "heat_kj", 122.4269, 5e-3},
        {"ice volume=1L from=35C to=40F room_heat=334kJ", "ice_kg", 0.36704 + 334 / 333.55, 3e-3},
    };
    struct working w;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        need(rows[i].line, &w);
        ck_near(result(&w, rows[i].name, -1), rows[i].value, rows[i].relative);
    }
}
END_TEST

START_TEST(several_readings_give_an_interval)
{
    struct working w;
    need("chill milk=35C bath=1C read=10:18.7C,20:10.4C,30:5.9C until=45F", &w);
    double k = result(&w, "k_per_min", -1);
    ck_assert(k > 0.06 && k < 0.07);
    ck_assert(result(&w, "k_low_per_min", -1) < k && result(&w, "k_high_per_min", -1) > k);
    need("chill milk=35C bath=1C read=10:18.7C", &w);
    ck_assert(working_find(&w, "k_low_per_min", -1) == NULL);
}
END_TEST

START_TEST(a_target_out_of_reach_is_an_answer)
{
    struct working w;
    need("chill milk=95F bath=50F k=0.05 until=45F after=10min", &w);
    ck_assert(isnan(result(&w, "time_min", -1)));
    ck_assert_msg(strstr(w.why, "never gets down") != NULL, "%s", w.why);
    ck_assert(result(&w, "temp_c", -1) > 10);
    need("bath pours=0:1gal:95F:0.06 water=10L water_temp=60F", &w);
    ck_assert(isnan(result(&w, "to_45f_min", 0)) && w.why[0] != '\0');
    need("bath pours=0:1gal:95F:0.06 ice=20lb pull=10min", &w);
    ck_assert_msg(strstr(w.why, "no refrigerator is given") != NULL, "%s", w.why);
    need("bath pours=0:1gal:95F:0.06 ice=20lb pull=10min fridge=41F fridge_k=0.004", &w);
    ck_assert_msg(strstr(w.why, "not colder") != NULL, "%s", w.why);
    need("bath pours=0:1gal:95F:0.06,0:1gal:43F:0.06 ice=40lb limit=45F/120/end", &w);
    ck_assert(result(&w, "to_45f_min", 1) == 0 && result(&w, "earliest_pull_min", 1) == 0);
    ck_assert(isnan(result(&w, "ice_gone_min", -1)) && strstr(w.why, "some is left") != NULL);
}
END_TEST

START_TEST(a_jar_says_its_rate_and_its_law)
{
    struct working w;
    need("jar jar=half-gallon stir=water milk=35C bath=1C", &w);
    /* The same correlations worked out by hand: 9.72 W/K and 0.073 per min; resistances in series. */
    ck_near(result(&w, "ua_w_per_k", -1), 9.72, 0.02);
    ck_near(result(&w, "k_per_min", -1), 0.073, 0.02);
    ck_near(1 / result(&w, "ua_w_per_k", -1),
            result(&w, "inside_k_per_w", -1) + result(&w, "wall_k_per_w", -1) +
                result(&w, "outside_k_per_w", -1),
            1e-9);
    ck_assert(result(&w, "biot", -1) > 0.1);
    need("chill jar=half-gallon stir=no milk=35C bath=1C until=45F", &w);
    ck_near(result(&w, "time_min", -1), 40.1, 0.06);
    ck_assert_str_eq(working_find(&w, "law", -1)->text, "power");
    need("chill jar=Half-Gallon stir=both milk=35C bath=1C until=45F", &w);
    ck_near(result(&w, "time_min", -1), 19.8, 0.02);
    ck_assert_str_eq(working_find(&w, "law", -1)->text, "exponential");
}
END_TEST

START_TEST(a_bath_gives_every_pour_its_row)
{
    struct working w;
    need("bath pours=0:1gal:95F:0.06,15:1gal:95F:0.06 ice=14lb water=5gal water_temp=50F room=60F "
         "room_ua=3W/K pull=45min "
         "fridge=38F fridge_k=0.0045 limit=pmo milking_end=20min",
         &w);
    static const char *const names[] = {"at_pull_c",   "to_50f_min",        "to_45f_min", "to_40f_min",
                                        "in_hand_min", "earliest_pull_min", "limit_ok"};
    for (int row = 0; row < 2; row++)
        for (size_t i = 0; i < sizeof names / sizeof names[0]; i++)
            (void)result(&w, names[i], row);
    (void)result(&w, "ice_gone_min", -1);
    ck_assert_str_eq(w.rows, "batches");
    ck_near(result(&w, "in_hand_min", 0), 140 - result(&w, "to_45f_min", 0), 1e-9);
    ck_assert(result(&w, "earliest_pull_min", 0) < result(&w, "to_45f_min", 0));
    ck_assert(result(&w, "limit_ok", 0) == 1);
    /* A rule of one's own, and water by weight: 5 gal weigh 18.927 kg here. */
    need("bath pours=0:1gal:95F:0.06 ice=14lb water=18.927059kg water_temp=50F limit=40F/60/end", &w);
    double by_weight = result(&w, "to_45f_min", 0);
    need("bath pours=0:1gal:95F:0.06 ice=14lb water=5gal water_temp=50F limit=40F/60/end", &w);
    ck_near(result(&w, "to_45f_min", 0), by_weight, 1e-6);
}
END_TEST

START_TEST(the_output_alone_is_enough_to_recompute)
{
    struct working w;
    need("ice volume=4gal from=95F to=40F water=4gal water_temp=55F glass=16lb", &w);
    double volume = 0, from = 0, to = 0, milk = 0, water = 0, water_c = 0, glass = 0, glass_c = 0,
           water_heat = 0, lf = 0;
    const struct {
        const char *name;
        double *value;
    } take[] = {{"volume_l", &volume},
                {"from_c", &from},
                {"to_c", &to},
                {"milk_kj_per_lk", &milk},
                {"water_l", &water},
                {"water_c", &water_c},
                {"glass_kg", &glass},
                {"glass_kj_per_kgk", &glass_c},
                {"water_kj_per_kgk", &water_heat},
                {"melting_kj_per_kg", &lf}};
    for (size_t i = 0; i < w.given_count; i++)
        for (size_t t = 0; t < sizeof take / sizeof take[0]; t++)
            if (strcmp(w.given[i].name, take[t].name) == 0)
                *take[t].value = w.given[i].number;
    double heat = volume * milk * (from - to) + glass * glass_c * (from - to) + water * water_heat * water_c;
    ck_near(result(&w, "heat_kj", -1), heat, 1e-12);
    ck_near(result(&w, "ice_kg", -1), heat / lf, 1e-12);
    ck_near(result(&w, "ice_lb", -1), heat / lf / 0.45359237, 1e-12);
}
END_TEST

START_TEST(blends_and_power_cuts_have_topics_too)
{
    struct working w;
    /* V52: 10 gal at 38 F and 3 gal at 95 F: 51.15 F; at most 0.2667 of the cold volume. */
    need("blend cold=10gal cold_temp=38F warm=3gal warm_temp=95F limit=pmo", &w);
    ck_near(temp_f_from_c(result(&w, "blend_c", -1)), 51.15384615, 1e-9);
    ck_assert(result(&w, "limit_ok", -1) == 0);
    ck_near(result(&w, "warm_most_l", -1), 10 * 3.785411784 * 0.2666666667, 1e-8);
    need("blend cold=10gal cold_temp=38F warm=3gal warm_temp=45F", &w);
    ck_assert(isnan(result(&w, "warm_most_l", -1)) && w.why[0] != '\0');
    need("outage off=10h room=75F", &w);
    ck_assert_str_eq(working_find(&w, "verdict", -1)->text, "discard");
    need("outage off=30min room=60F start=35F", &w);
    ck_assert_str_eq(working_find(&w, "verdict", -1)->text, "keep");
}
END_TEST

START_TEST(what_is_wrong_is_said_in_a_line)
{
    static const struct {
        const char *line, *says;
        enum fail_code code;
    } bad[] = {
        {"chill milk=40F bath=70F k=0.05", "no warmer than the bath", FAIL_REFUSED},
        {"chill milk=95F bath=95F k=0.05", "no warmer than the bath", FAIL_REFUSED},
        {"chill milk=95F bath=34F read=10:97F", "above the temperature at which", FAIL_REFUSED},
        {"chill milk=95F bath=34F read=10:70F,10:71F", "two readings at minute 10", FAIL_REFUSED},
        {"chill milk=95F bath=34F read=10:30F", "below the bath", FAIL_REFUSED},
        {"chill milk=95F bath=34F read=10-70F", "MIN:TEMP", FAIL_INPUT},
        {"chill milk=95F bath=34F read=10:70F:3", "MIN:TEMP", FAIL_INPUT},
        {"chill milk=95F bath=34F read=ten:70F", "length of time", FAIL_INPUT},
        {"chill milk=95F bath=34F", "in one way", FAIL_INPUT},
        {"chill milk=95F bath=34F k=0.05 jar=quart", "in one way", FAIL_INPUT},
        {"chill milk=95F bath=34F k=0", "never cools", FAIL_REFUSED},
        {"chill milk=95F bath=34F k=-1", "less than nothing", FAIL_INPUT},
        {"chill milk=95F bath=34F jar=barrel", "no jar \"barrel\"", FAIL_INPUT},
        {"chill milk=95F bath=34F jar=quart stir=wildly", "not one of no, water, both", FAIL_INPUT},
        {"chill bath=34F k=1", "milk= is missing", FAIL_INPUT},
        {"bath pours=0:1gal:95F:0.06", "empty", FAIL_REFUSED},
        {"bath pours=0:1gal:95F ice=5lb", "MIN:VOLUME:TEMP:K", FAIL_INPUT},
        {"bath pours=0:-1gal:95F:0.06 ice=5lb", "less than nothing", FAIL_INPUT},
        {"bath pours=0:0gal:95F:0.06 ice=5lb", "above zero", FAIL_REFUSED},
        {"bath pours=0:1gal:40F:0.06 water=5gal water_temp=50F", "colder than the tub", FAIL_REFUSED},
        {"bath pours=0:1gal:95F:0.06 ice=5lb ice_temp=40F", "Ice at 4.4", FAIL_REFUSED},
        {"bath pours=0:1gal:95F:0.06 water=5gal", "water= needs water_temp=", FAIL_INPUT},
        {"bath pours=0:1gal:95F:0.06 ice=5lb room_ua=3W/K", "room_ua= needs room=", FAIL_INPUT},
        {"bath pours=0:1gal:95F:0.06 ice=5lb fridge=38F", "fridge= needs fridge_k=", FAIL_INPUT},
        {"bath pours=20:1gal:95F:0.06 ice=5lb pull=10min", "before the pour", FAIL_REFUSED},
        {"bath pours=0:1gal:95F:0.06 ice=5lb limit=mars", "no limit \"mars\"", FAIL_INPUT},
        {"jar jar=quart milk=34F bath=50F", "no warmer than the bath", FAIL_REFUSED},
        {"ice volume=4gal from=40F to=50F", "no warmer", FAIL_REFUSED},
        {"ice volume=4gal ice_temp=34F", "Ice at 1.1", FAIL_REFUSED},
        {"ice volume=-4gal", "less than nothing", FAIL_INPUT},
        {"ice volume=4gal water=4gal", "needs water_temp=", FAIL_INPUT},
        {"ice volume=4gal to=32F", "near 0", FAIL_REFUSED},
        {"blend cold=10gal cold_temp=38F warm=3gal limit=texas", "no rule for blends", FAIL_REFUSED},
        {"blend cold=0gal cold_temp=38F warm=0gal", "no milk", FAIL_REFUSED},
        {"outage off=4h room=70F end=80F", "warm as the room", FAIL_REFUSED},
    };
    struct working w;
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        struct fail f = {0};
        ck_assert_msg(reckon(bad[i].line, &w, &f) == -1, "\"%s\" was taken", bad[i].line);
        ck_assert_msg(strstr(f.text, bad[i].says) != NULL, "%s: %s", bad[i].line, f.text);
        ck_assert_msg(f.code == bad[i].code, "%s: code %d", bad[i].line, (int)f.code);
        ck_assert(strpbrk(f.text, "\n\r") == NULL);
    }
}
END_TEST

START_TEST(every_example_works_and_every_source_is_known)
{
    static const char *const topics[] = {"chill", "bath", "jar", "ice", "blend", "outage"};
    for (size_t i = 0; i < sizeof topics / sizeof topics[0]; i++) {
        const struct reckon_topic *t = reckon_find(topics[i]);
        char line[600];
        struct working w;
        (void)snprintf(line, sizeof line, "%s %s", t->name, t->example);
        need(line, &w);
        ck_assert_msg(w.source_count > 0 && w.given_count > 0 && w.result_count > 0 && w.step_count > 0, "%s",
                      t->name);
        ck_assert(w.row_now == -1);
    }
}
END_TEST

Suite *reckon_suite(void)
{
    Suite *s = suite_create("reckon");
    TCase *t = tcase_create("reckon");
    tcase_add_test(t, figures_come_out_as_in_the_books);
    tcase_add_test(t, several_readings_give_an_interval);
    tcase_add_test(t, a_target_out_of_reach_is_an_answer);
    tcase_add_test(t, a_jar_says_its_rate_and_its_law);
    tcase_add_test(t, a_bath_gives_every_pour_its_row);
    tcase_add_test(t, the_output_alone_is_enough_to_recompute);
    tcase_add_test(t, blends_and_power_cuts_have_topics_too);
    tcase_add_test(t, what_is_wrong_is_said_in_a_line);
    tcase_add_test(t, every_example_works_and_every_source_is_known);
    suite_add_tcase(s, t);
    return s;
}
