/* Both the strip cup and the disc are a small vocabulary of findings: one table each, read and written by the
 * same functions. What findings mean: University of Georgia bulletin 1543, Fore-stripping; common practice,
 * no source, for dirt, hair, straw and butterfat. */
#include "core/herd/udder.h"

#include <stdio.h>
#include <string.h>

#include "core/base/text.h"

struct finding {
    unsigned bit;
    const char *word;
    const char *also; /* another spelling, or NULL */
    bool abnormal;    /* keeps the milk out */
    const char *means;
};

/* The most serious first: that is the order in which meanings are told. */
/* clang-format off */
static const struct finding strip_findings[] = {
    {STRIP_BLOOD, "blood", "bloody", true,
     "Blood: a burst vessel, common just after calving, or an injured or inflamed quarter."},
    {STRIP_CLOTS, "clots", "clot", true,
     "Clots: mastitis that can be seen; feel the quarter for heat and hardness."},
    {STRIP_WATERY, "watery", "water", true,
     "Watery: mastitis that can be seen, often a severe one; look at the whole cow and ask the veterinarian."},
    {STRIP_FLAKES, "flakes", "flake", true,
     "Flakes: mild mastitis; strip again and test the quarter."},
    {STRIP_OFF_COLOUR, "off-colour", "off-color", true,
     "Off-colour: colostrum, late milk or mastitis; test the quarter."},
    {STRIP_BLIND, "blind", "dry", false,
     "Blind: this quarter gives no milk."},
};

static const struct finding disc_findings[] = {
    {DISC_BLOOD, "blood", "bloody", true,
     "Blood: strip every quarter again and find the one it comes from."},
    {DISC_CLOTS, "clots", "clot", true,
     "Clots: at least one quarter was missed at stripping; check all quarters again."},
    {DISC_DIRT, "dirt", "dung", false,
     "Dirt: teats not clean and dry before the cups went on, or the cups fell off."},
    {DISC_HAIR, "hair", "hairs", false,
     "Hair: wipe better, clip udder and flank."},
    {DISC_STRAW, "straw", "chaff", false,
     "Straw: bedding on the udder, or dry feed stirred up at milking."},
    {DISC_FAT, "fat", "granules", false,
     "Grains of butterfat: milk churned by air leaks or a long drop, or strained cold."},
};
/* clang-format on */

enum {
    STRIP_FINDINGS = sizeof strip_findings / sizeof strip_findings[0],
    DISC_FINDINGS = sizeof disc_findings / sizeof disc_findings[0],
};

static const struct finding *finding_find(const struct finding *table, size_t n, const char *word)
{
    for (size_t i = 0; i < n; i++)
        if (text_same(word, table[i].word) || (table[i].also != NULL && text_same(word, table[i].also)))
            return &table[i];
    return NULL;
}

/* Takes the next word off *text, up to one of `separators`; skips empty ones. False at the end. A word longer
 * than the buffer is cut, and so will not be understood. */
static bool next_word(const char **text, const char *separators, char *word, size_t size)
{
    const char *p = *text + strspn(*text, separators);
    size_t length = strcspn(p, separators);
    if (length == 0)
        return false;
    (void)snprintf(word, size, "%.*s", (int)length, p);
    *text = p + length;
    return true;
}

/* Writes the words of the set bits, in the table's order, to the end of dst. */
static void append_findings(const struct finding *table, size_t n, unsigned bits, const char *joint,
                            char *dst, size_t size)
{
    const char *lead = "";
    for (size_t i = 0; i < n; i++) {
        if ((bits & table[i].bit) == 0)
            continue;
        (void)text_append(dst, size, "%s%s", lead, table[i].word);
        lead = joint;
    }
}

static void append_meanings(const struct finding *table, size_t n, unsigned bits, char *dst, size_t size)
{
    for (size_t i = 0; i < n; i++)
        if ((bits & table[i].bit) != 0)
            (void)text_append(dst, size, "%s%s", dst[0] == '\0' ? "" : " ", table[i].means);
}

static unsigned abnormal_bits(const struct finding *table, size_t n)
{
    unsigned bits = 0;
    for (size_t i = 0; i < n; i++)
        bits |= table[i].abnormal ? table[i].bit : 0;
    return bits;
}

/* ---- strip cup ---- */

static int strip_refused(const char *item, struct fail *f)
{
    return fail_input(
        f,
        "\"%.40s\" is not a strip finding; write clean, or LF:clots with LF, RF, LR or RR and flakes, "
        "clots, watery, blood, off-colour or blind.",
        item);
}

/* Reads "LF:clots+blood". */
static int strip_parse_item(const char *item, struct strip *out, struct fail *f)
{
    char code[8], word[24];
    enum quarter q;
    size_t length = strcspn(item, ":=");
    if (item[length] == '\0' || length >= sizeof code)
        return strip_refused(item, f);
    memcpy(code, item, length);
    code[length] = '\0';
    const char *rest = item + length + 1;
    if (!quarter_parse(code, &q) || *rest == '\0')
        return strip_refused(item, f);
    while (next_word(&rest, "+", word, sizeof word)) {
        const struct finding *finding = finding_find(strip_findings, STRIP_FINDINGS, word);
        if (finding == NULL && !text_same(word, "clean"))
            return strip_refused(item, f);
        if (finding != NULL)
            out->quarter[q] |= (unsigned char)finding->bit;
    }
    return 0;
}

int strip_parse(const char *text, struct strip *out, struct fail *f)
{
    char item[64];
    struct strip strip = {{0}};
    int items = 0;
    bool clean = false;
    for (const char *p = text; next_word(&p, " ,", item, sizeof item); items++) {
        if (text_same(item, "clean"))
            clean = true;
        else if (strip_parse_item(item, &strip, f) != 0)
            return -1;
    }
    if (items == 0 || (clean && items > 1))
        return strip_refused(text, f);
    *out = strip;
    return 0;
}

const char *strip_text(const struct strip *strip, char buf[STRIP_TEXT_MAX])
{
    buf[0] = '\0';
    for (int q = 0; q < QUARTERS; q++) {
        if (strip->quarter[q] == STRIP_CLEAN)
            continue;
        (void)text_append(buf, STRIP_TEXT_MAX, "%s%s:", buf[0] == '\0' ? "" : " ",
                          quarter_code((enum quarter)q));
        append_findings(strip_findings, STRIP_FINDINGS, strip->quarter[q], "+", buf, STRIP_TEXT_MAX);
    }
    if (buf[0] == '\0')
        (void)text_append(buf, STRIP_TEXT_MAX, "clean");
    return buf;
}

bool strip_abnormal(const struct strip *strip)
{
    unsigned seen = 0;
    for (int q = 0; q < QUARTERS; q++)
        seen |= strip->quarter[q];
    return (seen & abnormal_bits(strip_findings, STRIP_FINDINGS)) != 0;
}

const char *strip_meaning(unsigned findings, char *buf, size_t size)
{
    (void)snprintf(buf, size, "%s", findings == STRIP_CLEAN ? "Clean." : "");
    append_meanings(strip_findings, STRIP_FINDINGS, findings, buf, size);
    return buf;
}

/* ---- strainer disc ---- */

static int disc_refused(const char *item, struct fail *f)
{
    return fail_input(
        f, "\"%.40s\" is not a finding on the disc; write clean, or dirt, hair, straw, clots, blood, fat.",
        item);
}

int disc_parse(const char *text, unsigned *out, struct fail *f)
{
    char word[24];
    unsigned bits = 0;
    int words = 0;
    bool clean = false;
    for (const char *p = text; next_word(&p, " ,+", word, sizeof word); words++) {
        const struct finding *finding = finding_find(disc_findings, DISC_FINDINGS, word);
        if (finding != NULL)
            bits |= finding->bit;
        else if (text_same(word, "clean"))
            clean = true;
        else
            return disc_refused(word, f);
    }
    if (words == 0 || (clean && words > 1))
        return disc_refused(text, f);
    *out = bits;
    return 0;
}

const char *disc_text(unsigned findings, char buf[DISC_TEXT_MAX])
{
    buf[0] = '\0';
    append_findings(disc_findings, DISC_FINDINGS, findings, ",", buf, DISC_TEXT_MAX);
    if (buf[0] == '\0')
        (void)text_append(buf, DISC_TEXT_MAX, "clean");
    return buf;
}

void disc_read(unsigned findings, int cows, struct disc_reading *out)
{
    out->abnormal = (findings & abnormal_bits(disc_findings, DISC_FINDINGS)) != 0;
    out->ask_which_cow = out->abnormal && cows > 1;
    /* What to do comes first: it is what must not be cut off. */
    const char *decision =
        findings == DISC_CLEAN ? "Clean."
        : out->ask_which_cow
            ? "Which cow? Until that is known, keep none of the milk that went through this disc."
        : out->abnormal ? "Do not keep this milk."
                        : "";
    (void)snprintf(out->words, sizeof out->words, "%s", decision);
    append_meanings(disc_findings, DISC_FINDINGS, findings, out->words, sizeof out->words);
}
