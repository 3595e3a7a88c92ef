#include "core/cooling/tonight.h"

#include <math.h>

#include <stdio.h>

#include "core/base/quantity.h"
#include "core/cooling/matter.h"
#include "core/milk/jars.h"

#define CHILLED_C     4.0       /* water after a night in a refrigerator */
#define ADVISED_SHARE (7.0 / 6) /* a sixth more than just enough: common practice, no source */
#define TUB_W_PER_M2K 7.0       /* still air, thin walls, open top: common practice, no source */

double tub_room_w_per_k(double water_l)
{
    /* A tub as high as it is wide has 5.54 V^(2/3) of surface. */
    return TUB_W_PER_M2K * 5.54 * pow(fmax(water_l, 0) / 1000, 2.0 / 3);
}

double ice_for_heat(double heat_kj, double ice_c)
{
    return 1000 * heat_kj / (ICE_MELTING_J_PER_KG - ICE_HEAT_J_PER_KGK * ice_c);
}

static int check_ice(const struct ice_facts *x, struct fail *f)
{
    if (!(x->milk_l >= 0) || !(x->glass_kg >= 0) || !(x->water_l >= 0) || !(x->room_kj >= 0))
        return fail_refused(f, "Milk, glass, water and the room's heat cannot be less than nothing.");
    if (!(x->ice_c <= 0))
        return fail_refused(f, "Ice at %.1f °C is water; ice is at 0 °C or colder.", x->ice_c);
    if (!(x->to_c > 0))
        return fail_refused(
            f, "Ice brings milk near 0 °C but not to it; ask for a little above, such as 4.4 °C.");
    if (!(x->from_c > x->to_c))
        return fail_refused(f, "Milk at %.1f °C is no warmer than the %.1f °C it is to reach.", x->from_c,
                            x->to_c);
    if (!(x->water_c >= 0))
        return fail_refused(f, "Water at %.1f °C is ice already.", x->water_c);
    return 0;
}

static void show_ice(const struct ice_facts *x, const struct ice_need *n, struct working *w)
{
    double melting_kj = ICE_MELTING_J_PER_KG / 1000,
           per_kg = melting_kj - ICE_HEAT_J_PER_KGK * x->ice_c / 1000;
    double milk_kj_per_l_k = milk_j_per_l_k(x->fat_pct) / 1000;
    working_given(w, "volume_l", x->milk_l, ORIGIN_GIVEN);
    working_given(w, "from_c", x->from_c, ORIGIN_GIVEN);
    working_given(w, "to_c", x->to_c, ORIGIN_GIVEN);
    working_given(w, "water_l", x->water_l, ORIGIN_GIVEN);
    working_given(w, "water_c", x->water_c, ORIGIN_GIVEN);
    working_given(w, "glass_kg", x->glass_kg, ORIGIN_GIVEN);
    working_given(w, "room_heat_kj", x->room_kj, ORIGIN_GIVEN);
    working_given(w, "ice_c", x->ice_c, ORIGIN_GIVEN);
    working_given(w, "milk_kj_per_lk", milk_kj_per_l_k, ORIGIN_CONSTANT);
    working_given(w, "glass_kj_per_kgk", GLASS_HEAT_J_PER_KGK / 1000, ORIGIN_CONSTANT);
    working_given(w, "water_kj_per_kgk", WATER_HEAT_J_PER_KGK / 1000, ORIGIN_CONSTANT);
    working_given(w, "ice_kj_per_kgk", ICE_HEAT_J_PER_KGK / 1000, ORIGIN_CONSTANT);
    working_given(w, "melting_kj_per_kg", melting_kj, ORIGIN_CONSTANT);
    working_step(w, "milk: %.3f L x %.4f kJ/LK x %.2f K = %.1f kJ", x->milk_l, milk_kj_per_l_k,
                 x->from_c - x->to_c, n->milk_kj);
    working_step(w, "glass: %.3f kg x 0.84 kJ/kgK x %.2f K = %.1f kJ", x->glass_kg, x->from_c - x->to_c,
                 n->glass_kj);
    working_step(w, "water: %.3f L x 4.186 kJ/LK x %.2f K = %.1f kJ, which is %.2f kg of ice", x->water_l,
                 x->water_c, n->water_kj, n->water_ice_kg);
    working_step(w, "ice: %.1f kJ / %.2f kJ/kg = %.3f kg", n->heat_kj, per_kg, n->ice_kg);
    working_result(w, "heat_kj", n->heat_kj);
    working_result(w, "ice_kg", n->ice_kg);
    working_result(w, "ice_lb", n->ice_kg / KG_PER_LB);
    working_result(w, "milk_kj", n->milk_kj);
    working_result(w, "glass_kj", n->glass_kj);
    working_result(w, "water_kj", n->water_kj);
    working_result(w, "room_kj", n->room_kj);
    working_result(w, "milk_ice_kg", n->milk_ice_kg);
    working_result(w, "water_ice_kg", n->water_ice_kg);
    working_source(w, "choi-okos");
    working_source(w, "guelph-density");
    working_source(w, "ice-heat");
    working_caution(w, "Melting of the milk's fat adds 2 to 3 %; take a little more ice than just enough.");
    if (n->water_ice_kg > n->milk_ice_kg)
        working_caution(w, "The water needs more ice than the milk: chill it beforehand, or use less of it.");
}

int ice_needed(const struct ice_facts *facts, struct ice_need *out, struct working *w, struct fail *f)
{
    if (check_ice(facts, f) != 0)
        return -1;
    double fall = facts->from_c - facts->to_c;
    out->milk_kj = facts->milk_l * milk_j_per_l_k(facts->fat_pct) * fall / 1000;
    out->glass_kj = facts->glass_kg * GLASS_HEAT_J_PER_KGK * fall / 1000;
    out->water_kj = facts->water_l * WATER_HEAT_J_PER_KGK * facts->water_c / 1000;
    out->room_kj = facts->room_kj;
    out->heat_kj = out->milk_kj + out->glass_kj + out->water_kj + out->room_kj;
    out->milk_ice_kg = ice_for_heat(out->milk_kj + out->glass_kj, facts->ice_c);
    out->water_ice_kg = ice_for_heat(out->water_kj, facts->ice_c);
    out->ice_kg = ice_for_heat(out->heat_kj, facts->ice_c);
    if (w != NULL)
        show_ice(facts, out, w);
    return 0;
}

/* --- jars --- */

static double time_to_target_min(const struct tonight_facts *facts, const struct jar_kind *kind)
{
    struct cooling_law law;
    jar_law(kind, kind->volume_l, facts->fat_pct, IN_WATER_STILL, facts->milk_c, 0, &law);
    return law_time(&law, facts->milk_c, 0, facts->target_c) / 60;
}

void tonight_jar_order(const struct tonight_facts *facts, size_t order[TONIGHT_KINDS_MAX])
{
    bool late[TONIGHT_KINDS_MAX] = {false};
    for (size_t i = 0; i < facts->jar_kinds; i++) {
        late[i] = facts->jar_kinds > 1 && time_to_target_min(facts, facts->jars[i].kind) > 60 * facts->hours;
        size_t at = i;
        for (; at > 0; at--) {
            size_t other = order[at - 1];
            if (late[other] != late[i] ? late[i]
                                       : facts->jars[other].kind->volume_l >= facts->jars[i].kind->volume_l)
                break;
            order[at] = other;
        }
        order[at] = i;
    }
}

static int choose_jars(const struct tonight_facts *facts, struct tonight_plan *out, struct fail *f)
{
    size_t order[TONIGHT_KINDS_MAX] = {0};
    int clean[JARS_KINDS_MAX] = {0};
    struct jars_kinds kinds = {.count = facts->jar_kinds};
    struct jars_choice choice;
    tonight_jar_order(facts, order);
    for (size_t i = 0; i < kinds.count; i++) {
        const struct jars_on_hand *hand = &facts->jars[order[i]];
        (void)snprintf(kinds.kind[i].name, sizeof kinds.kind[i].name, "%s", hand->kind->name);
        kinds.kind[i].volume_l = hand->kind->volume_l;
        clean[i] = hand->count;
    }
    if (jars_choose(facts->milk_l, &kinds, clean, &choice, NULL, f) != 0)
        return -1;
    out->jar_volume_l = jars_volume_l(choice.n, &kinds);
    out->short_l = choice.short_l;
    for (size_t i = 0; i < kinds.count; i++) {
        const struct jar_kind *kind = facts->jars[order[i]].kind;
        out->jars[order[i]] = choice.n[i];
        out->jar_count += choice.n[i];
        out->glass_kg += choice.n[i] * kind->empty_kg;
        if (choice.n[i] > 0)
            out->slowest_min = fmax(out->slowest_min, time_to_target_min(facts, kind));
    }
    return 0;
}

/* --- the plan --- */

static int check_tonight(const struct tonight_facts *facts, struct fail *f)
{
    if (!(facts->hours >= 0))
        return fail_refused(f, "The jars cannot stand in the tub for less than no time.");
    if (facts->jar_kinds > TONIGHT_KINDS_MAX)
        return fail_refused(f, "At most %d kinds of jar are taken.", TONIGHT_KINDS_MAX);
    for (size_t i = 0; i < facts->jar_kinds; i++)
        if (facts->jars[i].count < 0)
            return fail_refused(f, "There cannot be fewer than no jars of a kind.");
    return 0;
}

static void show_plan(const struct tonight_facts *facts, const struct tonight_plan *out, struct working *w)
{
    working_given(w, "room_c", facts->room_c, ORIGIN_GIVEN);
    working_given(w, "hours_h", facts->hours, ORIGIN_GIVEN);
    for (size_t i = 0; i < facts->jar_kinds; i++) {
        working_row(w, "jars", (int)i);
        working_result_text(w, "kind", facts->jars[i].kind->name);
        working_result_whole(w, "take", out->jars[i]);
    }
    working_row(w, NULL, -1);
    working_result_whole(w, "jar_count", out->jar_count);
    working_result(w, "jar_volume_l", out->jar_volume_l);
    working_result(w, "short_l", out->short_l);
    working_result(w, "slowest_min", out->slowest_min);
    working_result(w, "ice_advised_kg", out->ice_advised_kg);
    working_result(w, "ice_chilled_kg", out->ice_chilled_kg);
    working_result(w, "ice_saved_kg", out->ice_saved_kg);
    working_step(w, "the same with water chilled overnight: %.2f kg, %.2f kg less", out->ice_chilled_kg,
                 out->ice_saved_kg);
    working_source(w, "practice");
}

int tonight_plan(const struct tonight_facts *facts, struct tonight_plan *out, struct working *w,
                 struct fail *f)
{
    struct ice_need need, chilled;
    if (check_tonight(facts, f) != 0)
        return -1;
    *out = (struct tonight_plan){0};
    double room_w_per_k = isnan(facts->room_w_per_k) ? tub_room_w_per_k(facts->water_l) : facts->room_w_per_k;
    struct ice_facts ice = {.milk_l = facts->milk_l,
                            .from_c = facts->milk_c,
                            .to_c = facts->target_c,
                            .fat_pct = facts->fat_pct,
                            .water_l = facts->water_l,
                            .water_c = facts->water_c,
                            .room_kj = fmax(0, room_w_per_k * facts->room_c * facts->hours * 3.6),
                            .ice_c = isnan(facts->ice_c) ? 0 : facts->ice_c};
    if (check_ice(&ice, f) != 0)
        return -1;
    if (choose_jars(facts, out, f) != 0)
        return -1;
    ice.glass_kg = out->glass_kg;
    struct ice_facts cold = ice;
    cold.water_c = fmin(ice.water_c, isnan(facts->chilled_c) ? CHILLED_C : facts->chilled_c);
    if (ice_needed(&ice, &need, w, f) != 0 || ice_needed(&cold, &chilled, NULL, f) != 0)
        return -1;
    out->milk_kj = need.milk_kj;
    out->glass_kj = need.glass_kj;
    out->water_kj = need.water_kj;
    out->room_kj = need.room_kj;
    out->heat_kj = need.heat_kj;
    out->milk_ice_kg = need.milk_ice_kg;
    out->water_ice_kg = need.water_ice_kg;
    out->ice_kg = need.ice_kg;
    out->ice_advised_kg = need.ice_kg * ADVISED_SHARE;
    out->ice_chilled_kg = chilled.ice_kg;
    out->ice_saved_kg = need.ice_kg - chilled.ice_kg;
    if (w != NULL)
        show_plan(facts, out, w);
    return 0;
}
