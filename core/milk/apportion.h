/* Sharing whole things out in proportion: grams of a jar among cows, jars of a short day among people.
 *
 * The method of largest remainders (Hamilton's): everybody gets the whole part of total x weight / sum, and
 * what is left goes one by one to the largest remainders. Nobody is more than one away from the exact part,
 * and nothing is lost. Known oddity: with one thing more to share, somebody may get one fewer. */
#ifndef CORE_MILK_APPORTION_H
#define CORE_MILK_APPORTION_H

#include <stddef.h>
#include <stdint.h>

enum { APPORTION_MAX = 64 };

/* Shares `total` (0 .. 2e9) by weight[] (each 0 .. 2e9, not all 0 unless total is 0) into part[], n at most
 * APPORTION_MAX. Equal remainders: the larger tie[] first (NULL: none), then the earlier in the list. Returns
 * the sum shared out: total, or 0 when there is no weight. */
int64_t apportion(int64_t total, const int64_t weight[], const int64_t tie[], size_t n, int64_t part[]);

#endif
