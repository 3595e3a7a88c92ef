#include "core/sanitation/caution.h"

#include "core/base/text.h"

/* clang-format off */
static const struct caution cautions[CAUTION_COUNT] = {
    [CAUTION_NO_MIX_ACID] = {"no-mix-acid",
        "Never let chlorine and acid meet, vinegar and milkstone remover too: the gas can kill.", "bleach-hazards"},
    [CAUTION_NO_MIX_AMMONIA] = {"no-mix-ammonia",
        "Never let chlorine meet ammonia, urine or ammonium salts: it gives a choking gas.", "bleach-hazards"},
    [CAUTION_NO_MIX_OTHER] = {"no-mix-other",
        "Never mix a sanitiser with peroxide or with any other cleaner.", "poison-centre"},
    [CAUTION_RINSE_BETWEEN] = {"rinse-between",
        "Plain water through gear and sink between chlorine and acid, whichever came first.", "bleach-hazards"},
    [CAUTION_SHARP_SMELL] = {"sharp-smell",
        "A sharp smell: leave at once and stay out until the air is quite clear.", "bleach-hazards"},
    [CAUTION_ACID_INTO_WATER] = {"acid-into-water",
        "Acid into water, never water into acid.", "acid-into-water"},
    [CAUTION_WATER_FIRST] = {"water-first",
        "Water into the sink first, then the chemical.", "practice"},
    [CAUTION_GLOVES] = {"gloves",
        "Gloves, goggles and an open door.", "osha-cleaning"},
    [CAUTION_STORE_APART] = {"store-apart",
        "Keep acid and chlorine on different shelves, each in its own labelled bottle.", "practice"},
    [CAUTION_LABEL_RULES] = {"label-rules",
        "The label on the bottle beats every figure here.", "practice"},
    [CAUTION_PAID_HELP] = {"paid-help",
        "Paid help must be told about the chemicals and see their data sheets.", "osha-hazcom"},
    [CAUTION_SCALD] = {"scald",
        "Water hot enough to wash with scalds: gloves and a brush, never a hand to test it.", "scald-times"},
    [CAUTION_COLD_HANDS] = {"cold-hands",
        "Cold hands do not feel that water scalds.", "keeper-accounts"},
    [CAUTION_WET_FLOOR] = {"wet-floor",
        "Wet floor: plugs, cords and the pump's switch out of reach of the water, hands dry.", "practice"},
    [CAUTION_NO_RINSE_LIMIT] = {"no-rinse-limit",
        "At most 200 ppm chlorine where nothing is rinsed afterwards; then drain it well.", "cfr-9-590-552"},
    [CAUTION_STRIP_TRUTH] = {"strip-truth",
        "A strip reads spent chlorine too: above pH 8 a good strip means little.", "hocl-ph"},
    [CAUTION_NO_DECAY_DOSE] = {"no-decay-dose",
        "Bleach weakens, nobody can say how fast: test with a strip, never dose from a guess.", "bleach-age"},
    [CAUTION_NO_NEAT_BLEACH] = {"no-neat-bleach",
        "Bleach straight from the bottle eats stainless steel.", "bleach-hazards"},
    [CAUTION_FRESH_MIX] = {"fresh-mix",
        "Mix it fresh for every milking.", "practice"},
    [CAUTION_TOUCHED_AGAIN] = {"touched-again",
        "Touched after sanitising: wash and sanitise it again.", "ny-2-17"},
    [CAUTION_VACUUM_OFF] = {"vacuum-off",
        "Vacuum off first, then the cups: pulling them off hurts the teat.", "milking-practice"},
    [CAUTION_PREP_LAG] = {"prep-lag",
        "Cups on 60 to 90 seconds after the first touch, never past 2 minutes.", "prep-lag"},
    [CAUTION_DRY_HANDS] = {"dry-hands",
        "Hands washed and dry: milking with wet hands is forbidden in many places.", "wi-65-18"},
    [CAUTION_ONE_TOWEL] = {"one-towel",
        "One clean towel for one cow.", "udder-prep"},
    [CAUTION_DISC_ONCE] = {"disc-once",
        "A disc serves once.", "wi-65-12"},
    [CAUTION_DISC_CLOTS] = {"disc-clots",
        "Clots or blood: that milk stays out. A clean disc alone does not clear her.", "clot-scoring"},
    [CAUTION_SPILLED] = {"spilled",
        "Milk that leaked, spilled or had a foot in it is thrown away.", "wi-65-18"},
    [CAUTION_CUPS_FELL] = {"cups-fell",
        "Cups that touched the floor: clean and sanitise them before the next cow.", "wi-65-18"},
    [CAUTION_BUCKET_FULL] = {"bucket-full",
        "Never let the bucket fill up into the vacuum line.", "portable-milker"},
    [CAUTION_BRUSH_APART] = {"brush-apart",
        "The floor brush never touches milk gear.", "practice"},
    [CAUTION_HOSE_JARS] = {"hose-jars",
        "No hosing while clean jars or gear stand on the floor or within the splash.", "ny-2-41"},
    [CAUTION_LAST_COW] = {"last-cow",
        "A treated or doubtful cow comes last, and her milk stays apart.", "milking-order"},
    [CAUTION_NOT_SAFETY] = {"not-safety",
        "Keeping well is not safety: raw milk can carry disease whatever its temperature or count.", "practice"},
    [CAUTION_LOCAL_LAW] = {"local-law",
        "Local law decides; a rule from elsewhere is only a guide.", "practice"},
    [CAUTION_VET_DECIDES] = {"vet-decides",
        "The drug's label and the veterinarian decide how long milk is withheld.", "practice"},
};
/* clang-format on */

static const struct {
    enum caution_id list[CHEMICAL_CAUTIONS_MAX];
    size_t count;
} of_chemical[CHEMICAL_COUNT] = {
    [CHEMICAL_CHLORINE] = {{CAUTION_NO_MIX_ACID, CAUTION_NO_MIX_AMMONIA, CAUTION_NO_MIX_OTHER,
                            CAUTION_SHARP_SMELL, CAUTION_WATER_FIRST, CAUTION_GLOVES},
                           6},
    [CHEMICAL_ALKALINE_CHLORINE] = {{CAUTION_NO_MIX_ACID, CAUTION_NO_MIX_AMMONIA, CAUTION_NO_MIX_OTHER,
                                     CAUTION_SHARP_SMELL, CAUTION_WATER_FIRST, CAUTION_GLOVES},
                                    6},
    [CHEMICAL_ACID] = {{CAUTION_NO_MIX_ACID, CAUTION_RINSE_BETWEEN, CAUTION_SHARP_SMELL,
                        CAUTION_ACID_INTO_WATER, CAUTION_GLOVES},
                       5},
    [CHEMICAL_IODINE] = {{CAUTION_NO_MIX_ACID, CAUTION_NO_MIX_OTHER, CAUTION_LABEL_RULES, CAUTION_GLOVES}, 4},
    [CHEMICAL_QUAT] = {{CAUTION_NO_MIX_OTHER, CAUTION_LABEL_RULES, CAUTION_GLOVES}, 3},
    [CHEMICAL_PEROXYACETIC] = {{CAUTION_NO_MIX_ACID, CAUTION_NO_MIX_OTHER, CAUTION_LABEL_RULES,
                                CAUTION_GLOVES},
                               4},
    [CHEMICAL_PEROXIDE] = {{CAUTION_NO_MIX_OTHER, CAUTION_LABEL_RULES, CAUTION_GLOVES}, 3},
    [CHEMICAL_DETERGENT] = {{CAUTION_LABEL_RULES, CAUTION_GLOVES}, 2},
    [CHEMICAL_TEAT_DIP] = {{CAUTION_LABEL_RULES}, 1},
};

const struct caution *caution_get(enum caution_id id)
{
    return &cautions[id];
}

const char *caution_text(enum caution_id id)
{
    return cautions[id].text;
}

bool caution_find(const char *word, enum caution_id *out)
{
    for (int i = 0; i < CAUTION_COUNT; i++)
        if (text_same(cautions[i].word, word)) {
            *out = (enum caution_id)i;
            return true;
        }
    return false;
}

size_t caution_of_chemical(enum chemical chemical, enum caution_id out[CHEMICAL_CAUTIONS_MAX])
{
    for (size_t i = 0; i < of_chemical[chemical].count; i++)
        out[i] = of_chemical[chemical].list[i];
    return of_chemical[chemical].count;
}

void caution_add(struct working *w, enum caution_id id)
{
    working_caution(w, cautions[id].text);
    working_source(w, cautions[id].source);
}
