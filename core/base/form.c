#include "core/base/form.h"

#include <assert.h>
#include <stdio.h>
#include <string.h>

#include "core/base/text.h"

void form_init(struct form *form, const struct field *fields, size_t count, enum unit_system units,
               struct instant now)
{
    assert(count <= FORM_FIELDS_MAX);
    memset(form, 0, sizeof *form);
    form->fields = fields;
    form->count = count;
    form->units = units;
    form->now = now;
}

static const struct field *field_find(const struct form *form, const char *key, size_t *index)
{
    for (size_t i = 0; i < form->count; i++)
        if (strcmp(form->fields[i].key, key) == 0) {
            *index = i;
            return &form->fields[i];
        }
    return NULL;
}

/* Nearest by letters in common at the beginning; good enough to mend a slip of the fingers. */
static const char *nearest_key(const struct form *form, const char *key)
{
    const char *best = NULL;
    size_t best_same = 0;
    for (size_t i = 0; i < form->count; i++) {
        size_t same = 0;
        while (key[same] != '\0' && key[same] == form->fields[i].key[same])
            same++;
        if (same > best_same) {
            best_same = same;
            best = form->fields[i].key;
        }
    }
    return best;
}

static int unknown_key(const struct form *form, const char *key, struct fail *f)
{
    char known[FAIL_TEXT_MAX] = "";
    const char *near = nearest_key(form, key);
    if (near != NULL)
        return fail_input(f, "There is no \"%.40s\" here; did you mean %s=?", key, near);
    for (size_t i = 0; i < form->count; i++)
        text_append(known, sizeof known, "%s%s", i == 0 ? "" : ", ", form->fields[i].key);
    return fail_input(f, "There is no \"%.40s\" here; it takes %s.", key, known);
}

bool field_choice(const struct field *field, int n, char *buf, size_t size)
{
    const char *list = field->choices;
    for (int i = 0; list_next(&list, '|', buf, size); i++)
        if (i == n)
            return true;
    return false;
}

static int set_choice(const struct field *field, struct value *v, struct fail *f)
{
    char word[64], all[200] = "";
    for (int i = 0; field_choice(field, i, word, sizeof word); i++) {
        if (text_same(word, v->text)) {
            v->choice = i;
            return 0;
        }
        text_append(all, sizeof all, "%s%s", i == 0 ? "" : ", ", word);
    }
    return fail_input(f, "%s: \"%.40s\" is not one of %s.", field->key, v->text, all);
}

static int set_value(const struct form *form, const struct field *field, struct value *v, const char *text,
                     struct fail *f)
{
    const char *bare = NULL;
    if (field->type == FIELD_FILE) {
        if (strlen(text) >= sizeof v->text)
            return fail_input(f, "%s: that file name is too long.", field->key);
        (void)snprintf(v->text, sizeof v->text, "%s", text);
        return 0;
    }
    if (strlen(text) >= sizeof v->text)
        return fail_input(f, "%s: that is too long; at most %d characters.", field->key, FORM_TEXT_MAX - 1);
    text_clean(v->text, sizeof v->text, text);
    if (v->text[0] == '\0') {
        if ((field->flags & FIELD_AGAIN) != 0)
            return 0;
        return fail_input(f, "%s: nothing was given; %s.", field->key, field->help);
    }
    switch (field->type) {
    case FIELD_TEXT:
    case FIELD_NAME:
    case FIELD_FILE: return 0;
    case FIELD_QUANTITY:
        if ((field->flags & FIELD_UNIT_NEEDED) == 0)
            bare = quantity_unit(field->dim, form->units);
        return quantity_parse(v->text, field->dim, bare, &v->number, f);
    case FIELD_CHOICE: return set_choice(field, v, f);
    case FIELD_DATE: return date_parse(v->text, &v->on, f);
    case FIELD_MOMENT: return instant_parse(v->text, form->now, &v->at, f);
    }
    return -1;
}

int form_set(struct form *form, const char *key, const char *text, struct fail *f)
{
    size_t index = 0;
    struct value v = {0};
    const struct field *field = field_find(form, key, &index);
    if (field == NULL)
        return unknown_key(form, key, f);
    if (set_value(form, field, &v, text, f) != 0)
        return -1;
    v.given = true;
    form->value[index] = v;
    return 0;
}

int form_set_pair(struct form *form, const char *pair, struct fail *f)
{
    char key[32];
    const char *equals = strchr(pair, '=');
    if (equals == NULL || equals == pair || (size_t)(equals - pair) >= sizeof key)
        return fail_input(f, "\"%.40s\" is not understood; write KEY=VALUE, as mass=48.5lb.", pair);
    memcpy(key, pair, (size_t)(equals - pair));
    key[equals - pair] = '\0';
    return form_set(form, key, equals + 1, f);
}

int form_check(const struct form *form, struct fail *f)
{
    for (size_t i = 0; i < form->count; i++)
        if ((form->fields[i].flags & FIELD_REQUIRED) != 0 && !form->value[i].given)
            return fail_input(f, "%s= is missing: %s.", form->fields[i].key, form->fields[i].help);
    return 0;
}

const struct value *form_get(const struct form *form, const char *key)
{
    size_t index = 0;
    const struct field *field = field_find(form, key, &index);
    assert(field != NULL);
    return field != NULL && form->value[index].given ? &form->value[index] : NULL;
}

double form_number(const struct form *form, const char *key, double fallback)
{
    const struct value *v = form_get(form, key);
    return v == NULL ? fallback : v->number;
}

const char *form_text(const struct form *form, const char *key, const char *fallback)
{
    const struct value *v = form_get(form, key);
    return v == NULL ? fallback : v->text;
}

int form_choice(const struct form *form, const char *key, int fallback)
{
    const struct value *v = form_get(form, key);
    return v == NULL ? fallback : v->choice;
}

bool form_choice_word(const struct form *form, const char *key, char *buf, size_t size)
{
    size_t index = 0;
    const struct value *v = form_get(form, key);
    const struct field *field = field_find(form, key, &index);
    return field != NULL && v != NULL && field_choice(field, v->choice, buf, size);
}

struct instant form_moment(const struct form *form, const char *key, struct instant fallback)
{
    const struct value *v = form_get(form, key);
    return v == NULL ? fallback : v->at;
}

struct date form_date(const struct form *form, const char *key, struct date fallback)
{
    const struct value *v = form_get(form, key);
    return v == NULL ? fallback : v->on;
}

bool list_next(const char **list, char separator, char *buf, size_t size)
{
    const char *p = *list;
    if (*p == '\0')
        return false;
    const char *end = strchr(p, separator);
    size_t length = end == NULL ? strlen(p) : (size_t)(end - p);
    char item[FORM_TEXT_MAX];
    *list = end == NULL ? p + length : end + 1;
    if (length >= sizeof item)
        length = sizeof item - 1;
    memcpy(item, p, length);
    item[length] = '\0';
    (void)text_trim(buf, size, item);
    return true;
}
