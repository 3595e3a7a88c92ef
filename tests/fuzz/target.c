#include "tests/fuzz/target.h"

#include <ftw.h>
#include <locale.h>
#include <string.h>
#include <unistd.h>

#include "core/base/text.h"

static char folder[64];

char *fuzz_text(char *dst, size_t size, const uint8_t *data, size_t length)
{
    size_t n = length < size - 1 ? length : size - 1;
    memcpy(dst, data, n);
    dst[n] = '\0';
    return dst;
}

void fuzz_environment(void)
{
    (void)setenv("TZ", "America/New_York", 1);
    (void)setenv("LC_ALL", "C.UTF-8", 1);
    (void)setenv("TERM", "xterm-256color", 1);
    (void)unsetenv("NO_COLOR");
    (void)setlocale(LC_CTYPE, "");
}

static int remove_one(const char *path, const struct stat *st, int type, struct FTW *walk)
{
    (void)st;
    (void)type;
    (void)walk;
    return remove(path);
}

static void folder_remove(void)
{
    (void)nftw(folder, remove_one, 8, FTW_DEPTH | FTW_PHYS);
}

void fuzz_folder(void)
{
    snprintf(folder, sizeof folder, "%s/springhouse-fuzz-XXXXXX",
             access("/dev/shm", W_OK) == 0 ? "/dev/shm" : "/tmp");
    FUZZ_CHECK(mkdtemp(folder) != NULL);
    (void)atexit(folder_remove);
}

const char *fuzz_path(const char *name)
{
    static char path[160];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    return path;
}

/* Written here from the Unicode character database's names, not asked of the code under test. */
static int is_unsafe(uint32_t c)
{
    return c < 0x20 || (c >= 0x7F && c < 0xA0) || /* controls */
           (c >= 0x200B && c <= 0x200F) ||        /* zero width, marks of direction */
           (c >= 0x202A && c <= 0x202E) ||        /* embeddings and overrides of direction */
           (c >= 0x2060 && c <= 0x206F) ||        /* isolates, invisible operators */
           c == 0x2028 || c == 0x2029 || c == 0xFEFF || (c >= 0xE0000 && c <= 0xE007F);
}

void fuzz_check_clean(const char *where, const char *text, size_t size)
{
    for (size_t i = 0; i < size;) {
        int length = 1;
        uint32_t c = text[i] == '\0' ? 0 : text_decode(text + i, &length);
        int malformed = c == 0xFFFD && length == 1;
        if (c != '\n' && (is_unsafe(c) || malformed)) {
            fprintf(stderr, "%s: U+%04X at byte %zu: %.60s\n", where, (unsigned)c, i,
                    text + (i > 20 ? i - 20 : 0));
            abort();
        }
        i += (size_t)length;
    }
}
