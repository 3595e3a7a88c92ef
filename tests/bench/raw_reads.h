/* The reads that some work makes, noted by SQLite itself, and made again by plain SQLite: the same statements
 * with the same values over the same rows, prepared beforehand, every column of every row fetched. What the
 * work takes beyond that is the program's own. */
#ifndef TESTS_BENCH_RAW_READS_H
#define TESTS_BENCH_RAW_READS_H

#include <stddef.h>

struct raw_reads;

/* From here on every connection that is opened is watched. Call it before anything opens a file. */
void raw_reads_watch(void);

/* Notes what is read between begin and end. The result is the caller's to free. Stops the program when memory
 * or SQLite fails. */
void raw_reads_begin(void);
struct raw_reads *raw_reads_end(const char *path);
void raw_reads_free(struct raw_reads *r);

/* Makes the reads once, in one transaction as the program does. Returns the rows fetched. */
long raw_reads_run(struct raw_reads *r);
size_t raw_reads_statements(const struct raw_reads *r);

/* Microseconds of processor time of the process up to now; the median of some figures. */
double bench_now_us(void);
double bench_median(double *figure, size_t count);

#endif
