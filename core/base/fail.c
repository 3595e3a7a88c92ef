#include "core/base/fail.h"

#include <stdarg.h>
#include <stdio.h>

#include "core/base/text.h"

void fail_say(struct fail *f, enum fail_code code, const char *format, ...)
{
    if (f == NULL)
        return;
    char raw[FAIL_TEXT_MAX * 2];
    va_list args;
    va_start(args, format);
    (void)vsnprintf(raw, sizeof raw, format, args);
    va_end(args);
    f->code = code;
    text_clean(f->text, sizeof f->text, raw);
}

void fail_say_memory(struct fail *f)
{
    fail_say(f, FAIL_MEMORY, "This computer has no memory left for that; nothing was changed.");
}

int fail_exit_status(enum fail_code code)
{
    if (code == FAIL_NONE)
        return 0;
    return code == FAIL_INPUT ? 2 : 1;
}
