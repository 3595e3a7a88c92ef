#include "core/breeding/check.h"

#include "core/base/text.h"

/* clang-format off */
static const struct check_facts methods[CHECK_METHODS] = {
    /*                       word        from  to  after    sees   sees none stage  source
     *                                              calving calf   wrongly   sd                        */
    [CHECK_PROGESTERONE] = {"progesterone", 19, 24,  0,     0.97,  0.20,     0,     "check-progesterone"},
    [CHECK_ULTRASOUND]   = {"ultrasound",   28,  0,  0,     0.97,  0.03,     3,     "check-early"},
    [CHECK_PALPATION]    = {"palpation",    35,  0,  0,     0.95,  0.03,     7,     "check-early"},
    [CHECK_PAG]          = {"pag",          28,  0, 60,     0.98,  0.05,     0,     "check-pag"},
};
/* clang-format on */

const struct check_facts *check_method_facts(enum check_method method)
{
    return &methods[method];
}

int check_method_parse(const char *word, enum check_method *out, struct fail *f)
{
    for (int i = 0; i < CHECK_METHODS; i++)
        if (text_same(word, methods[i].word)) {
            *out = (enum check_method)i;
            return 0;
        }
    return fail_input(
        f, "\"%.30s\" is not a way of checking; write progesterone, ultrasound, palpation or pag.", word);
}

bool check_sees(const struct check *c, struct date conceived_on)
{
    int32_t age = date_diff(conceived_on, c->on);
    const struct check_facts *m = &methods[c->method];
    return age >= m->from_days && (m->to_days == 0 || age <= m->to_days);
}
