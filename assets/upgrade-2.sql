-- Version 2 of the records. The words of schema-1.sql about moments, days, quantities and NULL hold here too.

-- ---- the shelf: people, jars on their way, milk poured on, temperatures, tastings ----

CREATE TABLE person (                    -- somebody who takes milk
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    name TEXT NOT NULL CHECK (name <> ''), -- unique among those who still take milk
    contact TEXT,                        -- how to reach them: telephone, address ...
    contact2 TEXT,                       -- and how else
    share INTEGER NOT NULL DEFAULT 0 CHECK (share >= 0), -- jars due on each of their days; 0: none regularly
    share_kind TEXT,                     -- kind of jar; NULL any
    share_days TEXT NOT NULL DEFAULT 'daily', -- 'daily', or days of the week: 'mon,thu'
    left_on TEXT,                        -- ISO day; NULL: still takes milk
    note TEXT
) STRICT;

CREATE TABLE share_out (                 -- a person's part of a day that was shared out
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    at INTEGER NOT NULL,
    person_id INTEGER NOT NULL REFERENCES person (id),
    due INTEGER NOT NULL CHECK (due >= 0),     -- jars that were due
    granted INTEGER NOT NULL CHECK (granted >= 0) -- jars that were granted; what is missing stays owed
) STRICT;
CREATE INDEX share_out_by_person ON share_out (person_id, at);

ALTER TABLE jar_move ADD COLUMN person_id INTEGER REFERENCES person (id); -- who got them, or brought them back; NULL nobody
CREATE INDEX jar_move_person ON jar_move (at) WHERE person_id IS NOT NULL;

ALTER TABLE batch_source ADD COLUMN held INTEGER NOT NULL DEFAULT 0 CHECK (held IN (0, 1)); -- 1: she was known to be on hold when it was poured

ALTER TABLE dairy ADD COLUMN use_days INTEGER CHECK (use_days >= 0); -- own rule: milk is used within so many days; NULL none

CREATE TABLE pour_on (                   -- milk of one batch poured into jars of another: top-ups, other jars
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    at INTEGER NOT NULL,
    from_batch_id INTEGER NOT NULL REFERENCES batch (id),
    to_batch_id INTEGER NOT NULL REFERENCES batch (id),
    mass_g INTEGER CHECK (mass_g >= 0),  -- NULL not known
    CHECK (from_batch_id <> to_batch_id)
) STRICT;
CREATE INDEX pour_on_from ON pour_on (from_batch_id);
CREATE INDEX pour_on_to ON pour_on (to_batch_id);

CREATE TABLE batch_temp (                -- how a batch came down until its last jar left tub and table, thinned: as read, and between
    id INTEGER PRIMARY KEY AUTOINCREMENT, -- readings as the forecast of that morning had it; its warmest jars
    batch_id INTEGER NOT NULL REFERENCES batch (id),
    at INTEGER NOT NULL,
    temp_mc INTEGER NOT NULL
) STRICT;
CREATE INDEX batch_temp_by_batch ON batch_temp (batch_id, at);

CREATE TABLE empty_move (                -- jars without milk going from state to state
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    at INTEGER NOT NULL,
    kind TEXT NOT NULL,                  -- of jar
    from_state TEXT NOT NULL CHECK (from_state IN ('not ours', 'clean', 'out', 'dirty', 'broken')), -- 'not ours': bought, found
    to_state TEXT NOT NULL CHECK (to_state IN ('not ours', 'clean', 'out', 'dirty', 'broken')),
    person_id INTEGER REFERENCES person (id), -- who had them out; NULL: nobody is out
    count INTEGER NOT NULL CHECK (count > 0),
    tick_id INTEGER REFERENCES tick (id), -- the chore with which they were washed; NULL: told by itself
    why TEXT,
    CHECK (from_state <> to_state),
    CHECK ((person_id IS NULL) = (from_state <> 'out' AND to_state <> 'out'))
) STRICT;
CREATE INDEX empty_move_by_tick ON empty_move (tick_id) WHERE tick_id IS NOT NULL;
CREATE INDEX empty_move_by_person ON empty_move (person_id, at) WHERE person_id IS NOT NULL;

CREATE TABLE tasting (                   -- a jar that was tasted
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    at INTEGER NOT NULL,
    batch_id INTEGER NOT NULL REFERENCES batch (id),
    flavour TEXT NOT NULL,               -- 'good', or a flavour of flavours.csv
    score INTEGER CHECK (score BETWEEN 1 AND 5), -- 1 bad .. 5 very good; NULL not given
    turned INTEGER NOT NULL CHECK (turned IN (0, 1)), -- 1: its life was over
    one_jar INTEGER CHECK (one_jar IN (0, 1)), -- 1: other jars of the batch taste right, 0: they taste the same; NULL not tried
    note TEXT
) STRICT;
CREATE INDEX tasting_by_batch ON tasting (batch_id, at);
CREATE INDEX tasting_by_time ON tasting (at);

CREATE TABLE outage (                    -- the power was out
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    from_at INTEGER NOT NULL,
    to_at INTEGER CHECK (to_at > from_at), -- NULL: it still is
    temp_mc INTEGER                      -- read in a jar when it came back; NULL not read
) STRICT;
CREATE INDEX outage_by_time ON outage (from_at);

CREATE TABLE loss (                      -- milk lost before it came into jars
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    at INTEGER NOT NULL,
    cow_id INTEGER REFERENCES cow (id),  -- whose; NULL of several
    mass_g INTEGER NOT NULL CHECK (mass_g > 0),
    why TEXT NOT NULL                    -- a cause: 'spilled', 'held' ..., and more words
) STRICT;
CREATE INDEX loss_by_time ON loss (at);

-- What the rows above and jar_move add up to, so that the shelf opens without adding up ten years. Kept by the store with
-- every act and every undo, no part of the journal; `verify` compares them with the moves.

CREATE TABLE tally_place (               -- jars of a batch standing together
    id INTEGER PRIMARY KEY,
    batch_id INTEGER NOT NULL,
    kind TEXT NOT NULL,                  -- of jar
    place TEXT NOT NULL,                 -- as in jar_move
    person_id INTEGER NOT NULL,          -- who has them; 0 nobody
    count INTEGER NOT NULL,              -- 1 or more between acts
    UNIQUE (batch_id, place, person_id)
) STRICT;
CREATE INDEX tally_place_home ON tally_place (batch_id) WHERE place IN ('tub', 'table', 'fridge', 'freezer');
CREATE INDEX tally_place_person ON tally_place (person_id) WHERE person_id <> 0;

CREATE TABLE tally_pool (                -- jars of a kind in a state: clean, out, dirty, broken; those with milk at home stand above
    id INTEGER PRIMARY KEY,
    kind TEXT NOT NULL,
    state TEXT NOT NULL,
    person_id INTEGER NOT NULL,          -- who has them; 0 nobody
    count INTEGER NOT NULL,              -- may be below 0: jars were never counted
    UNIQUE (kind, state, person_id)
) STRICT;

INSERT INTO tally_place (batch_id, kind, place, person_id, count)
    SELECT batch_id, kind, place, 0, sum(n) FROM
        (SELECT batch_id, to_place AS place, count AS n FROM jar_move UNION ALL SELECT batch_id, from_place, -count FROM jar_move)
        JOIN batch ON batch.id = batch_id WHERE place <> 'pail' GROUP BY batch_id, place HAVING sum(n) <> 0;
INSERT INTO tally_pool (kind, state, person_id, count) SELECT kind, 'clean', 0, on_hand FROM jar_stock;

-- ---- the herd ----

ALTER TABLE cow ADD COLUMN came_from TEXT;     -- whom she was bought from
ALTER TABLE cow ADD COLUMN quarantine_on TEXT; -- ISO day: the last on which she is kept apart; NULL never was
ALTER TABLE cow ADD COLUMN left_to TEXT;       -- whom she went to, or of what she died

ALTER TABLE calving ADD COLUMN day_only INTEGER NOT NULL DEFAULT 0 CHECK (day_only IN (0, 1)); -- 1: the hour is not known, `at` is noon

ALTER TABLE milk ADD COLUMN milkings INTEGER NOT NULL DEFAULT 1 CHECK (milkings > 0); -- a weight brought in may stand for all milkings of its day

CREATE INDEX calf_by_cow ON calf (cow_id) WHERE cow_id IS NOT NULL;

CREATE TABLE treatment (                 -- a course of a drug, as the records need it; its doses are in `dose`
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    cow_id INTEGER NOT NULL REFERENCES cow (id),
    dry_cow INTEGER NOT NULL DEFAULT 0 CHECK (dry_cow IN (0, 1)), -- 1: a product for the dry udder
    condition TEXT,                      -- what she is treated for
    product TEXT NOT NULL CHECK (product <> ''), -- the drug as it stands on the label
    active TEXT,                         -- its active ingredient
    dose TEXT,                           -- amount each time, in the label's words
    route TEXT,                          -- in the muscle, under the skin, into the quarter ...
    course TEXT,                         -- how often and for how long
    quarter TEXT CHECK (quarter IN ('LF', 'RF', 'LR', 'RR')), -- NULL: not into one quarter
    prescribed_by TEXT,                  -- veterinarian; NULL: bought over the counter
    maker TEXT,                          -- maker or dispenser, and lot
    extra_label INTEGER NOT NULL DEFAULT 0 CHECK (extra_label IN (0, 1)), -- 1: used otherwise than the label says
    doses_to_come INTEGER NOT NULL DEFAULT 0 CHECK (doses_to_come IN (0, 1)), -- 1: the course is not finished
    milk_s INTEGER CHECK (milk_s >= 0),  -- milk withheld so long after the last dose, as the label says; 0 is a number
    meat_s INTEGER CHECK (meat_s >= 0),  -- meat likewise
    dry_s INTEGER CHECK (dry_s >= 0),    -- dry-cow product: least time dry after the last dose
    fresh_s INTEGER CHECK (fresh_s >= 0), -- dry-cow product: and so long after calving
    fresh_milkings INTEGER CHECK (fresh_milkings >= 0) -- dry-cow product: and so many milkings after calving; NULL: none named
) STRICT;
CREATE INDEX treatment_by_cow ON treatment (cow_id);

CREATE TABLE dose (                      -- one dose that was given
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    treatment_id INTEGER NOT NULL REFERENCES treatment (id),
    at INTEGER NOT NULL,
    given_by TEXT
) STRICT;
CREATE INDEX dose_by_treatment ON dose (treatment_id, at);

CREATE TABLE udder_test (                -- what the paddle, a cell count or a culture said of a quarter or of the udder
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    cow_id INTEGER NOT NULL REFERENCES cow (id),
    at INTEGER NOT NULL,                 -- when the sample was taken
    quarter TEXT CHECK (quarter IN ('LF', 'RF', 'LR', 'RR')), -- NULL: milk of all quarters together
    cmt TEXT CHECK (cmt IN ('N', 'T', '1', '2', '3')), -- paddle test: a score is kept as a score
    cells_per_ml INTEGER CHECK (cells_per_ml > 0),
    culture TEXT,                        -- what the laboratory grew, in its words
    CHECK (cmt IS NOT NULL OR cells_per_ml IS NOT NULL OR culture IS NOT NULL)
) STRICT;
CREATE INDEX udder_test_by_cow ON udder_test (cow_id, at);

CREATE TABLE milk_test (                 -- what is in her milk
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    cow_id INTEGER NOT NULL REFERENCES cow (id),
    at INTEGER NOT NULL,
    fat_mpct INTEGER CHECK (fat_mpct BETWEEN 0 AND 100000), -- thousandths of a percent
    protein_mpct INTEGER CHECK (protein_mpct BETWEEN 0 AND 100000)
) STRICT;
CREATE INDEX milk_test_by_cow ON milk_test (cow_id, at);

CREATE TABLE weighing (                  -- her weight, or the measures that it is worked out from
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    cow_id INTEGER NOT NULL REFERENCES cow (id),
    at INTEGER NOT NULL,
    mass_g INTEGER CHECK (mass_g > 0),   -- on a scale
    girth_mm INTEGER CHECK (girth_mm > 0), -- around the heart, by tape
    length_mm INTEGER CHECK (length_mm > 0), -- point of shoulder to pin bone
    height_mm INTEGER CHECK (height_mm > 0), -- at the withers
    CHECK (mass_g IS NOT NULL OR girth_mm IS NOT NULL OR height_mm IS NOT NULL)
) STRICT;
CREATE INDEX weighing_by_cow ON weighing (cow_id, at);

CREATE TABLE condition_score (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    cow_id INTEGER NOT NULL REFERENCES cow (id),
    at INTEGER NOT NULL,
    score_hundredths INTEGER NOT NULL CHECK (score_hundredths BETWEEN 100 AND 500) -- 1 emaciated .. 5 obese
) STRICT;
CREATE INDEX condition_score_by_cow ON condition_score (cow_id, at);

CREATE TABLE health_test (               -- a test for a disease, due or done
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    cow_id INTEGER NOT NULL REFERENCES cow (id),
    name TEXT NOT NULL CHECK (name <> ''), -- 'tuberculosis', 'brucellosis' ...
    due_on TEXT,                         -- ISO day; NULL: done without having been due
    at INTEGER,                          -- when the result was read; NULL: still due
    result TEXT CHECK (result IN ('clear', 'reactor', 'doubtful')),
    holds_milk INTEGER NOT NULL DEFAULT 0 CHECK (holds_milk IN (0, 1)), -- 1: her milk is not kept before it is clear
    tested_by TEXT,
    CHECK ((at IS NULL) = (result IS NULL) AND (at IS NOT NULL OR due_on IS NOT NULL))
) STRICT;
CREATE INDEX health_test_by_cow ON health_test (cow_id);
