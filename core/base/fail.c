#include "core/base/fail.h"

#include <stdarg.h>
#include <stdio.h>

#include "core/base/text.h"

int fail_set(struct fail *f, enum fail_code code, const char *format, ...)
{
    if (f == NULL)
        return -1;
    char raw[FAIL_TEXT_MAX * 2];
    va_list args;
    va_start(args, format);
    (void)vsnprintf(raw, sizeof raw, format, args);
    va_end(args);
    f->code = code;
    text_clean(f->text, sizeof f->text, raw);
    return -1;
}

int fail_memory(struct fail *f)
{
    return fail_set(f, FAIL_MEMORY, "This computer has no memory left for that; nothing was changed.");
}

int fail_exit_status(enum fail_code code)
{
    if (code == FAIL_NONE)
        return 0;
    return code == FAIL_INPUT ? 2 : 1;
}
