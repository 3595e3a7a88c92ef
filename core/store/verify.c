/* What must always be true of the records, beyond what the schema itself enforces. Each check is a query that
 * lists what is wrong; no rows, no findings. */
#include <stdio.h>

#include "core/base/text.h"
#include "core/store/inside.h"

static const char file_check[] =
    "SELECT 'file: ' || integrity_check FROM pragma_integrity_check WHERE integrity_check <> 'ok'";

static const char *const checks[] = {
    /* SQLite's own */
    "SELECT 'reference: ' || \"table\" || ' ' || rowid || ' points to a missing ' || parent FROM "
    "pragma_foreign_key_check",
    /* ours */
    "SELECT 'batch ' || code || ' has no source' FROM batch WHERE id NOT IN (SELECT batch_id FROM "
    "batch_source) AND id NOT IN (SELECT to_batch_id FROM pour_on)",
    "SELECT 'batch ' || b.code || ': ' || sum(m.count) || ' jars left the pail, ' || b.count || ' were "
    "poured'"
    " FROM batch b JOIN jar_move m ON m.batch_id = b.id AND m.from_place = 'pail' GROUP BY b.id HAVING "
    "sum(m.count) <> b.count",
    "SELECT 'batch ' || b.code || ': more jars left ' || m.from_place || ' than came there' FROM batch b "
    "JOIN jar_move m"
    " ON m.batch_id = b.id WHERE m.from_place <> 'pail' GROUP BY b.id, m.from_place HAVING sum(m.count) > "
    "(SELECT"
    " ifnull(sum(n.count), 0) FROM jar_move n WHERE n.batch_id = b.id AND n.to_place = m.from_place)",
    "SELECT 'batch ' || ifnull((SELECT code FROM batch WHERE id = batch_id), batch_id) || ': its jars add up "
    "to ' || sum(n) ||"
    " ' at ' || place || ', the tally says ' || sum(told) FROM (SELECT batch_id, to_place AS place, count AS "
    "n, 0 AS told FROM"
    " jar_move UNION ALL SELECT batch_id, from_place, -count, 0 FROM jar_move WHERE from_place <> 'pail' "
    "UNION ALL SELECT"
    " batch_id, place, 0, count FROM tally_place) GROUP BY batch_id, place HAVING sum(n) <> sum(told)",
    "SELECT 'milk is poured on from batch ' || from_batch_id || ' that was never emptied' FROM pour_on WHERE "
    "NOT EXISTS"
    " (SELECT 1 FROM jar_move m WHERE m.batch_id = from_batch_id AND m.to_place = 'poured')",
    "SELECT 'a jar of batch ' || batch_id || ' was given to nobody' FROM jar_move WHERE (to_place = 'given' "
    "OR from_place ="
    " 'given') AND person_id IS NULL",
    "SELECT 'milking ' || id || ' ended before it started' FROM milking WHERE ended_at < started_at",
    "SELECT 'stall ' || stall || ' has two cows' FROM cow WHERE left_how IS NULL AND stall IS NOT NULL GROUP "
    "BY stall"
    " HAVING count(*) > 1",
    "SELECT 'two animals here are called ' || min(name) FROM cow WHERE left_how IS NULL GROUP BY lower(name) "
    "HAVING count(*) > 1",
    "SELECT 'journal ' || id || ' takes back an entry that is not before it' FROM journal WHERE undoes >= id",
    "SELECT 'a strip was dipped before its mix was made' FROM strip JOIN mix ON mix.id = mix_id WHERE strip.at < mix.at",
    "SELECT 'sample ' || name || ' was sent or arrived before it was drawn' FROM lab_sample WHERE sent_at < drawn_at OR "
    "arrived_at < drawn_at",
    "SELECT 'hold ' || id || ' ends before it begins' FROM hold WHERE until_at < from_at",
};

static int run_check(struct store *s, const char *check, store_finding_fn each, void *context,
                     size_t *findings, struct fail *f)
{
    sqlite3_stmt *statement = store_statement(s, check, f);
    if (statement == NULL)
        return -1;
    int rc;
    while ((rc = sqlite3_step(statement)) == SQLITE_ROW) {
        char line[400];
        const char *text = (const char *)sqlite3_column_text(statement, 0);
        text_clean(line, sizeof line, text == NULL ? "" : text);
        each(context, line);
        ++*findings;
    }
    (void)sqlite3_reset(statement);
    return rc == SQLITE_DONE ? 0 : store_fail(s, rc, f);
}

int store_verify_facts(struct store *s, store_finding_fn each, void *context, size_t *findings,
                       struct fail *f)
{
    *findings = 0;
    for (size_t i = 0; i < sizeof checks / sizeof checks[0]; i++)
        if (run_check(s, checks[i], each, context, findings, f) != 0)
            return -1;
    return 0;
}

int store_verify(struct store *s, store_finding_fn each, void *context, size_t *findings, struct fail *f)
{
    size_t damage = 0;
    if (run_check(s, file_check, each, context, &damage, f) != 0 ||
        store_verify_facts(s, each, context, findings, f) != 0)
        return -1;
    *findings += damage;
    return 0;
}
