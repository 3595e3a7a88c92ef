#include "src/command.h"

#include <stdio.h>

int say_fail(const struct fail *f)
{
    fprintf(stderr, "springhouse: %s\n", f->text);
    return fail_exit_status(f->code);
}
