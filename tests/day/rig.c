#include "tests/day/rig.h"

#include <jansson.h>

#include "src/show.h"
#include "tests/scratch.h"
#include "tests/support.h"

struct instant rig_at(const char *text)
{
    struct instant t = {0};
    struct fail f = {0};
    ck_assert_msg(instant_parse(text, t, &t, &f) == 0, "%s", f.text);
    return t;
}

struct dairy *rig_open(const char *name)
{
    struct dairy *d = NULL;
    struct fail f = {0};
    ck_assert_msg(dairy_open(scratch_path(name), DAIRY_CREATE, &d, &f) == 0, "%s", f.text);
    return d;
}

struct dairy *rig_small(const char *name, const char *at)
{
    struct dairy *d = rig_open(name);
    rig_do(d, at, "dairy", "name=Test  keeper=Ann  units=us  stalls=3  tub=4gal  tap=55F  room=60F  fridge=38F");
    rig_do(d, at, "cow", "name=Maud  breed=Jersey  stall=1  calved=2026-01-31  calvings=2");
    rig_do(d, at, "cow", "name=Tib  breed=Ayrshire  stall=2  calved=2025-12-01  calvings=1");
    rig_do(d, at, "jars", "kind=half-gallon  count=12");
    return d;
}

static int do_act(struct dairy *d, const char *at, const char *act, const char *words, struct act_done *done, struct fail *f)
{
    struct form form;
    const struct act_kind *kind = act_find(act);
    ck_assert_msg(kind != NULL, "there is no act %s", act);
    act_form(d, kind, rig_at(at), &form);
    while (*words != '\0') {
        char word[512];
        const char *end = strstr(words, "  ");
        size_t length = end == NULL ? strlen(words) : (size_t)(end - words);
        memcpy(word, words, length);
        word[length] = '\0';
        if (form_set_pair(&form, word, f) != 0)
            return -1;
        words += length;
        while (*words == ' ')
            words++;
    }
    return dairy_record(d, kind, &form, rig_at(at), done, f);
}

bool rig_try(struct dairy *d, const char *at, const char *act, const char *words, struct act_done *done,
             struct fail *f)
{
    return do_act(d, at, act, words, done, f) == 0;
}

int64_t rig_do(struct dairy *d, const char *at, const char *act, const char *words)
{
    struct act_done done = {0};
    struct fail f = {0};
    ck_assert_msg(do_act(d, at, act, words, &done, &f) == 0, "%s %s: %s", act, words, f.text);
    return done.entry;
}

void rig_refused(struct dairy *d, const char *at, const char *act, const char *words, const char *line)
{
    struct act_done done = {0};
    struct fail f = {0};
    ck_assert_msg(do_act(d, at, act, words, &done, &f) == -1, "%s %s was taken: %s", act, words, done.what);
    ck_assert_msg(strstr(f.text, line) != NULL, "%s %s: \"%s\"", act, words, f.text);
    ck_assert_msg(strpbrk(f.text, "\n\033") == NULL, "%s", f.text);
}

const struct board *rig_board(struct dairy *d, const char *at)
{
    static struct board *b;
    struct fail f = {0};
    if (b == NULL)
        b = calloc(1, sizeof *b);
    ck_assert_msg(dairy_board(d, rig_at(at), b, &f) == 0, "%s", f.text);
    return b;
}

char *rig_board_json(struct dairy *d, struct instant now)
{
    struct board *b = calloc(1, sizeof *b);
    struct fail f = {0};
    ck_assert_msg(dairy_board(d, now, b, &f) == 0, "%s", f.text);
    json_t *object = json_board(b);
    char *text = json_dumps(object, JSON_INDENT(1) | JSON_REAL_PRECISION(12));
    json_decref(object);
    free(b);
    return text;
}
