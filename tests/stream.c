#include "tests/stream.h"

#include <math.h>

uint64_t stream_next(struct stream *s)
{
    uint64_t z = (s->state += UINT64_C(0x9E3779B97F4A7C15));
    z = (z ^ (z >> 30)) * UINT64_C(0xBF58476D1CE4E5B9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94D049BB133111EB);
    return z ^ (z >> 31);
}

double stream_uniform(struct stream *s, double low, double high)
{
    return low + (high - low) * (double)(stream_next(s) >> 11) * 0x1p-53;
}

double stream_normal(struct stream *s)
{
    double u = stream_uniform(s, 1e-300, 1), v = stream_uniform(s, 0, 1);
    return sqrt(-2 * log(u)) * cos(2 * 3.14159265358979323846 * v);
}

int stream_below(struct stream *s, int n)
{
    return (int)(stream_next(s) % (uint64_t)n);
}
