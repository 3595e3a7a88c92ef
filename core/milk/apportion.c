#include "core/milk/apportion.h"

#include <assert.h>
#include <stdbool.h>

/* Who is served before whom: larger remainder, then larger tie, then earlier. */
static bool goes_before(const int64_t remainder[], const int64_t tie[], size_t a, size_t b)
{
    if (remainder[a] != remainder[b])
        return remainder[a] > remainder[b];
    if (tie != NULL && tie[a] != tie[b])
        return tie[a] > tie[b];
    return a < b;
}

int64_t apportion(int64_t total, const int64_t weight[], const int64_t tie[], size_t n, int64_t part[])
{
    int64_t remainder[APPORTION_MAX], sum = 0, left = total;
    assert(n <= APPORTION_MAX);
    for (size_t i = 0; i < n; i++) {
        sum += weight[i];
        part[i] = 0;
    }
    if (sum == 0)
        return 0;
    for (size_t i = 0; i < n; i++) {
        part[i] = total * weight[i] / sum;
        remainder[i] = total * weight[i] % sum;
        left -= part[i];
    }
    while (left > 0) {
        size_t next = 0;
        for (size_t i = 1; i < n; i++)
            if (goes_before(remainder, tie, i, next))
                next = i;
        part[next]++;
        remainder[next] = -1; /* served */
        left--;
    }
    return total;
}
