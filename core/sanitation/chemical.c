#include "core/sanitation/chemical.h"

#include <stddef.h>

#include "core/base/text.h"

/* What a chemical does to others in the same sink. Two of one group may follow each other. */
enum group {
    GROUP_HARMLESS,  /* nothing, water, or never in the sink */
    GROUP_DETERGENT, /* plain soap: harmless before or after anything but acid, which it spoils */
    GROUP_CHLORINE,
    GROUP_ACID,
    GROUP_QUAT,
    GROUP_PEROXIDE,
};

static const struct {
    const char *word, *name;
    enum group group;
} chemicals[CHEMICAL_COUNT] = {
    [CHEMICAL_NONE] = {"none", "nothing", GROUP_HARMLESS},
    [CHEMICAL_WATER] = {"water", "plain water", GROUP_HARMLESS},
    [CHEMICAL_DETERGENT] = {"detergent", "detergent", GROUP_DETERGENT},
    [CHEMICAL_CHLORINE] = {"chlorine", "chlorine", GROUP_CHLORINE},
    [CHEMICAL_ALKALINE_CHLORINE] = {"alkaline-chlorine", "chlorinated detergent", GROUP_CHLORINE},
    [CHEMICAL_ACID] = {"acid", "acid", GROUP_ACID},
    [CHEMICAL_IODINE] = {"iodine", "iodine", GROUP_ACID},
    [CHEMICAL_QUAT] = {"quat", "quaternary ammonium", GROUP_QUAT},
    [CHEMICAL_PEROXYACETIC] = {"peroxyacetic", "peroxyacetic acid", GROUP_PEROXIDE},
    [CHEMICAL_PEROXIDE] = {"peroxide", "peroxide", GROUP_PEROXIDE},
    [CHEMICAL_TEAT_DIP] = {"teat-dip", "teat dip", GROUP_HARMLESS},
};

const char *chemical_word(enum chemical chemical)
{
    return chemicals[chemical].word;
}

const char *chemical_name(enum chemical chemical)
{
    return chemicals[chemical].name;
}

bool chemical_find(const char *word, enum chemical *out)
{
    for (int i = 0; i < CHEMICAL_COUNT; i++)
        if (text_same(chemicals[i].word, word)) {
            *out = (enum chemical)i;
            return true;
        }
    return false;
}

bool chemical_must_not_meet(enum chemical a, enum chemical b)
{
    enum group first = chemicals[a].group, second = chemicals[b].group;
    return first != second && first != GROUP_HARMLESS && second != GROUP_HARMLESS;
}
