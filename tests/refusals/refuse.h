/* What the code under test asks of others - SQLite, the disk, memory - is refused in process, once at every place that asks.
 *
 * A place is the chain of calls that leads to the demand: the same row read for the board and for a cow's page is two places,
 * since two callers must give the failure on. In a trial the first demand from a place that has not had its turn is refused,
 * and no other; a trial in which nothing was refused is the call as it would have been. So
 *
 *     do { refuse_begin(frame); result = call(); } while (refuse_end());
 *
 * makes the call fail at each of its places in turn and ends with the real one. The demands are caught by the linker
 * (--wrap), so the program has no hooks for this. (After SQLite's own tests of memory and of the disk: sqlite.org, "How
 * SQLite Is Tested", sections 3.1 and 3.2; there each n-th demand, here each place, which loops do not multiply.) */
#ifndef TESTS_REFUSALS_REFUSE_H
#define TESTS_REFUSALS_REFUSE_H

#include <stdbool.h>

/* Begins one. `frame` is __builtin_frame_address(0) of the function that calls the code under test: how one came there is no
 * part of a place. */
void refuse_begin(const void *frame);

/* Ends a trial; true when something was refused in it. */
bool refuse_end(void);

/* True within a trial. */
bool refuse_is_on(void);

/* What was refused in the trial that ended last, and where: "sqlite3_step 0x12345 0x...", addresses within the program, as
 * addr2line takes them. */
const char *refuse_where(void);

/* True when it was the end of a transaction, or the closing of what was only read: the call may go on without. */
bool refuse_was_of_an_ending(void);

/* How many places have had their turn, in all tests of this run. */
long refuse_places(void);

#endif
