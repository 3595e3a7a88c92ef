#include "tests/cooling/morning.h"

const struct jar_list *all_jars(void)
{
    static struct jar_list jars;
    struct fail f = {0};
    if (jars.count == 0 && jar_list_load(&jars, &f) != 0)
        ck_abort_msg("%s", f.text);
    return &jars;
}

const struct jar_kind *jar_named(const char *name)
{
    const struct jar_kind *kind = jar_find(all_jars(), name);
    if (kind == NULL)
        ck_abort_msg("no jar %s", name);
    return kind;
}

const struct limit_set *limit_named(const char *name)
{
    static struct limit_list limits;
    static struct limit_set own;
    struct fail f = {0};
    if (limits.count == 0 && limit_list_load(&limits, &f) != 0)
        ck_abort_msg("%s", f.text);
    const struct limit_set *set = limit_need(&limits, name, &own, &f);
    if (set == NULL)
        ck_abort_msg("%s", f.text);
    return set;
}

void morning_usual(struct morning *m, double ice_kg)
{
    morning_init(m, 0);
    m->tub.start_at = 0;
    m->tub.water_kg = 20;
    m->tub.water_c = 12;
    m->tub.ice_kg = ice_kg;
    m->room_c = 12;
    m->fridge_c = 3.5;
    m->milking_start_at = -30 * MINUTE;
    m->milking_end_at = 0;
    m->limit = limit_named("pmo");
    m->jars = all_jars();
}

struct batch_facts *add_batch(struct morning *m, const char *kind, int count, double minute)
{
    struct batch_facts *b = &m->batch[m->batches++];
    batch_init(b, jar_named(kind), count, minute * MINUTE, 35);
    return b;
}

void add_move(struct batch_facts *b, double minute, int count, enum place from, enum place to)
{
    b->move[b->moves++] = (struct jar_move){minute * MINUTE, count, from, to};
}

void add_reading(struct batch_facts *b, double minute, double temp_c)
{
    b->reading[b->readings++] = (struct milk_reading){.at = minute * MINUTE, .temp_c = temp_c};
}

void add_act(struct morning *m, double minute, enum tub_act_kind kind, double mass_kg, double temp_c)
{
    m->tub.act[m->tub.acts++] =
        (struct tub_act){.at = minute * MINUTE, .kind = kind, .mass_kg = mass_kg, .temp_c = temp_c};
}

void add_stir(struct morning *m, double minute, enum stir stir)
{
    m->tub.act[m->tub.acts++] = (struct tub_act){.at = minute * MINUTE, .kind = TUB_STIR, .stir = stir};
}

const struct forecast *forecast_at(struct morning *m, double minute)
{
    static struct forecast out;
    struct fail f = {0};
    m->now = minute * MINUTE;
    if (forecast_make(m, &out, &f) != 0)
        ck_abort_msg("%s", f.text);
    return &out;
}
