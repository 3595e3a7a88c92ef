/* What temperature probes say: any text, cut anywhere; and any series of readings. */
#include <math.h>
#include <string.h>

#include "core/cooling/probe.h"
#include "tests/fuzz/target.h"

int LLVMFuzzerInitialize(int *argc, char ***argv)
{
    (void)argc;
    (void)argv;
    fuzz_environment();
    return 0;
}

static void look(int result, double temp_c, const struct fail *f)
{
    if (result == 0)
        FUZZ_CHECK(isfinite(temp_c));
    else
        fuzz_check_clean("refusal", f->text, strlen(f->text));
}

static void read_texts(char *text)
{
    struct fail f = {0};
    double temp_c = NAN;
    (void)probe_kind_of_path(text);
    int result = probe_read_w1(text, &temp_c, &f);
    look(result, temp_c, &f);
    result = probe_read_millidegree(text, &temp_c, &f);
    look(result, temp_c, &f);
    char *rest = text, *raw = strsep(&rest, "|"), *offset = strsep(&rest, "|");
    result = probe_read_iio(raw, offset, rest, &temp_c, &f);
    look(result, temp_c, &f);
}

static void watch(const uint8_t *data, size_t size)
{
    struct probe_watch w;
    double at = 0;
    probe_watch_init(&w);
    for (size_t i = 0; i + 1 < size; i += 2) {
        double before = w.temp_c;
        at += data[i] % 60 - (data[i] == 255 ? 90 : 0); /* clocks are set back */
        enum probe_state state = data[i + 1] == 0 ? probe_miss(&w, at)
                                 : data[i + 1] == 1
                                     ? probe_take(&w, at, NAN, true)
                                     : probe_take(&w, at, data[i + 1] * 0.9375 - 60, data[i] & 1);
        FUZZ_CHECK(state == w.state && probe_state_word(state)[0] != '\0');
        /* Only a good reading is a new temperature. */
        FUZZ_CHECK(state == PROBE_GOOD || w.temp_c == before || isnan(before));
        FUZZ_CHECK(state != PROBE_GOOD || isfinite(w.temp_c));
    }
}

static void thin(const uint8_t *data, size_t size)
{
    static struct thin_reading reading[400];
    size_t count = 0, most = 2 + (size == 0 ? 0 : data[0] % 30u);
    double at = 0;
    for (size_t i = 0; i + 1 < size && count < 400; i += 2) {
        at += data[i];
        reading[count++] = (struct thin_reading){at, data[i + 1] * 0.25};
    }
    if (count < 2)
        return;
    struct thin_reading first = reading[0], last = reading[count - 1];
    size_t left = reading_thin(reading, count, most);
    FUZZ_CHECK(left <= most && left >= 2);
    FUZZ_CHECK(reading[0].at == first.at && reading[left - 1].at == last.at);
    for (size_t i = 1; i < left; i++)
        FUZZ_CHECK(reading[i].at >= reading[i - 1].at);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char text[600];
    read_texts(fuzz_text(text, sizeof text, data, size));
    watch(data, size);
    thin(data, size);
    return 0;
}
