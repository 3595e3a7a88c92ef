-- The records of a dairy, version 1. Later versions are upgrade-N.sql, applied in order to this one, for new files and
-- old files alike.
--
-- Facts are stored, never conclusions. Moments (_at) are UTC seconds since 1970, days (_on) are ISO text of the civil
-- calendar, quantities are whole numbers in the unit that the column names: grams, millilitres, thousandths of a
-- degree Celsius (_mc), seconds. NULL means "not known" unless the column says otherwise. Ids are never used twice.

CREATE TABLE dairy (                     -- one row: the dairy itself and its usual values
    id INTEGER PRIMARY KEY CHECK (id = 1),
    name TEXT NOT NULL,                  -- what the keeper calls it
    keeper TEXT NOT NULL DEFAULT '',     -- who milks when nobody else is named
    units TEXT NOT NULL CHECK (units IN ('us', 'metric')), -- what is shown, and what bare numbers mean
    limit_set TEXT NOT NULL,             -- id of a cooling rule in limits.csv, or 'own'
    own_limit TEXT,                      -- own rule in words: '45F/120/end; 50F/240/start; hold 40F'
    stalls INTEGER NOT NULL CHECK (stalls BETWEEN 1 AND 12), -- places in the barn, side by side
    tub_water_ml INTEGER NOT NULL,       -- water that the ice tub usually starts with
    tap_temp_mc INTEGER NOT NULL,        -- usual temperature of that water
    room_temp_mc INTEGER NOT NULL,       -- usual temperature of the milk house
    fridge_temp_mc INTEGER NOT NULL,     -- usual temperature of the refrigerator
    stir TEXT NOT NULL CHECK (stir IN ('no', 'water', 'both')), -- usual stirring of the tub
    table_s INTEGER NOT NULL,            -- usual time on the table between tub and refrigerator
    fresh_s INTEGER NOT NULL,            -- milk after calving is held this long (a habit, not a law) ...
    fresh_milkings INTEGER NOT NULL,     -- ... and so many milkings
    milking_time TEXT NOT NULL,          -- usual times of day, '06:10' or '06:10,17:30'
    made_at INTEGER NOT NULL             -- when this file was begun
) STRICT;

CREATE TABLE cow (                       -- every animal, also those that left
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    name TEXT NOT NULL CHECK (name <> ''), -- unique among animals that are here
    tag TEXT,                            -- ear tag or other mark
    breed TEXT,                          -- id in breeds.csv, or words
    sex TEXT NOT NULL DEFAULT 'female' CHECK (sex IN ('female', 'male')),
    born_on TEXT,                        -- ISO day
    stall INTEGER,                       -- where she stands to be milked, 1 is the first; NULL none
    dam_id INTEGER REFERENCES cow (id),  -- her mother, if she is in these records
    came TEXT NOT NULL DEFAULT 'here' CHECK (came IN ('here', 'born', 'bought')), -- 'here': before the records began
    came_on TEXT,                        -- ISO day
    calvings_before INTEGER NOT NULL DEFAULT 0, -- calvings before those in these records
    left_how TEXT CHECK (left_how IN ('sold', 'died', 'given', 'slaughtered')), -- NULL: still here
    left_on TEXT                         -- ISO day
) STRICT;

CREATE TABLE calving (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    cow_id INTEGER NOT NULL REFERENCES cow (id),
    at INTEGER NOT NULL,
    ease INTEGER CHECK (ease BETWEEN 1 AND 5) -- 1 no help .. 5 extreme
) STRICT;
CREATE INDEX calving_by_cow ON calving (cow_id, at);

CREATE TABLE calf (                      -- one row for each calf of a calving
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    calving_id INTEGER NOT NULL REFERENCES calving (id),
    sex TEXT CHECK (sex IN ('bull', 'heifer')),
    fate TEXT NOT NULL DEFAULT 'alive' CHECK (fate IN ('alive', 'born-dead', 'died-48h')),
    mass_g INTEGER CHECK (mass_g > 0),
    cow_id INTEGER REFERENCES cow (id)   -- the animal that it became in these records
) STRICT;
CREATE INDEX calf_by_calving ON calf (calving_id);

CREATE TABLE heat (                      -- a heat that was seen
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    cow_id INTEGER NOT NULL REFERENCES cow (id),
    at INTEGER NOT NULL,                 -- first seen
    signs TEXT                           -- 'standing, mucus'
) STRICT;
CREATE INDEX heat_by_cow ON heat (cow_id, at);

CREATE TABLE service (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    cow_id INTEGER NOT NULL REFERENCES cow (id),
    at INTEGER NOT NULL,                 -- or the beginning of a window
    until_on TEXT,                       -- last ISO day of a window; NULL: served on one day
    how TEXT NOT NULL CHECK (how IN ('ai', 'bull', 'field', 'unseen')), -- field: ran with a bull; unseen: before she came
    sire TEXT,                           -- name or code of the bull
    served_by TEXT                       -- who did it
) STRICT;
CREATE INDEX service_by_cow ON service (cow_id, at);

CREATE TABLE pregnancy_check (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    cow_id INTEGER NOT NULL REFERENCES cow (id),
    at INTEGER NOT NULL,
    method TEXT NOT NULL,                -- 'progesterone', 'ultrasound', 'palpation', 'pag'
    result TEXT NOT NULL CHECK (result IN ('open', 'in-calf', 'doubtful')),
    stage_days INTEGER CHECK (stage_days > 0), -- how far along she was judged to be
    twins INTEGER NOT NULL DEFAULT 0 CHECK (twins IN (0, 1))
) STRICT;
CREATE INDEX pregnancy_check_by_cow ON pregnancy_check (cow_id, at);

CREATE TABLE pregnancy_loss (            -- a pregnancy lost, when it was known
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    cow_id INTEGER NOT NULL REFERENCES cow (id),
    at INTEGER NOT NULL,
    why TEXT
) STRICT;
CREATE INDEX pregnancy_loss_by_cow ON pregnancy_loss (cow_id, at);

CREATE TABLE dry_off (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    cow_id INTEGER NOT NULL REFERENCES cow (id),
    at INTEGER NOT NULL
) STRICT;
CREATE INDEX dry_off_by_cow ON dry_off (cow_id, at);

CREATE TABLE milking (                   -- one run of the routine, from the first chore to clean floors
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    opened_at INTEGER NOT NULL,          -- the first thing done
    started_at INTEGER,                  -- the first cow: the cooling rules count from here
    ended_at INTEGER,                    -- the last cow off
    closed_at INTEGER,                   -- all done, or closed by the next one
    who TEXT
) STRICT;
CREATE INDEX milking_by_time ON milking (opened_at);

CREATE TABLE milk (                      -- one cow's milk of one milking
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    milking_id INTEGER REFERENCES milking (id), -- NULL: a weight brought in from older records
    cow_id INTEGER NOT NULL REFERENCES cow (id),
    at INTEGER NOT NULL,
    mass_g INTEGER CHECK (mass_g >= 0),  -- NULL: milked, not weighed
    strip TEXT,                          -- quarters as looked at, 'clean' or 'LF:clots RR:flakes'; NULL not looked
    disc TEXT                            -- strainer disc, 'clean', 'clots' ...; NULL not looked
) STRICT;
CREATE INDEX milk_by_cow ON milk (cow_id, at, mass_g);
CREATE INDEX milk_by_milking ON milk (milking_id);

CREATE TABLE hold (                      -- her milk is not to be kept
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    cow_id INTEGER NOT NULL REFERENCES cow (id),
    kind TEXT NOT NULL CHECK (kind IN ('treatment', 'dry-cow', 'abnormal', 'plain')),
    why TEXT NOT NULL,                   -- the product, or the reason in words
    from_at INTEGER NOT NULL,            -- first milking that it covers
    last_dose_at INTEGER,                -- treatments: the label's hours run from here
    doses_to_come INTEGER NOT NULL DEFAULT 0 CHECK (doses_to_come IN (0, 1)), -- 1: the course is not finished
    milk_s INTEGER CHECK (milk_s >= 0),  -- treatments: milk withheld so long after the last dose, as the label says
    meat_s INTEGER CHECK (meat_s >= 0),  -- treatments: meat likewise
    dry_s INTEGER CHECK (dry_s >= 0),    -- dry-cow products: least time dry after the dose
    fresh_s INTEGER CHECK (fresh_s >= 0), -- dry-cow products: and so long after calving
    fresh_milkings INTEGER CHECK (fresh_milkings >= 0), -- and so many milkings after calving
    until_at INTEGER,                    -- plain holds: until then; NULL: until it is lifted
    lifted_at INTEGER                    -- said by the keeper to be over
) STRICT;
CREATE INDEX hold_by_cow ON hold (cow_id, from_at);

CREATE TABLE jar_kind (                  -- kinds of jar of the dairy's own, beside those of jars.csv
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    name TEXT NOT NULL UNIQUE,
    volume_ml INTEGER NOT NULL CHECK (volume_ml > 0),
    height_um INTEGER NOT NULL CHECK (height_um > 0),     -- of the milk in it
    diameter_um INTEGER NOT NULL CHECK (diameter_um > 0), -- outside
    wall_um INTEGER NOT NULL CHECK (wall_um > 0),
    empty_g INTEGER NOT NULL CHECK (empty_g > 0),
    material TEXT NOT NULL CHECK (material IN ('glass', 'steel'))
) STRICT;

CREATE TABLE jar_stock (                 -- how many jars of a kind the dairy owns and has ready
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    kind TEXT NOT NULL UNIQUE,           -- id in jars.csv, or of an own kind
    on_hand INTEGER NOT NULL CHECK (on_hand >= 0)
) STRICT;

CREATE TABLE batch (                     -- jars of one kind poured at one time
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    code TEXT NOT NULL UNIQUE,           -- as written on the jars
    milking_id INTEGER NOT NULL REFERENCES milking (id),
    kind TEXT NOT NULL,                  -- of jar
    count INTEGER NOT NULL CHECK (count > 0),
    volume_ml INTEGER NOT NULL CHECK (volume_ml > 0), -- of milk in each jar
    poured_at INTEGER NOT NULL,
    temp_mc INTEGER NOT NULL,            -- of the milk when poured
    temp_read INTEGER NOT NULL DEFAULT 0 CHECK (temp_read IN (0, 1)), -- 1: by thermometer, 0: taken as usual
    held_why TEXT                        -- poured although a cow was on hold: the reason typed; NULL: no hold
) STRICT;
CREATE INDEX batch_by_milking ON batch (milking_id);
CREATE INDEX batch_by_time ON batch (poured_at);

CREATE TABLE batch_source (              -- whose milk a batch is
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    batch_id INTEGER NOT NULL REFERENCES batch (id),
    cow_id INTEGER NOT NULL REFERENCES cow (id),
    mass_g INTEGER                       -- of hers in it; NULL not told apart
) STRICT;
CREATE INDEX batch_source_by_batch ON batch_source (batch_id);
CREATE INDEX batch_source_by_cow ON batch_source (cow_id);

CREATE TABLE jar_move (                  -- jars of a batch going from place to place
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    batch_id INTEGER NOT NULL REFERENCES batch (id),
    at INTEGER NOT NULL,
    from_place TEXT NOT NULL,            -- 'tub', 'table', 'fridge', ...; 'pail' for the pour itself
    to_place TEXT NOT NULL,              -- 'gone' is not a place: 'given', 'dumped' and so on are
    count INTEGER NOT NULL CHECK (count > 0),
    why TEXT
) STRICT;
CREATE INDEX jar_move_by_batch ON jar_move (batch_id, at);

CREATE TABLE reading (                   -- a temperature that was read
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    at INTEGER NOT NULL,
    batch_id INTEGER REFERENCES batch (id), -- NULL: of a place
    place TEXT CHECK (place IN ('tub', 'fridge', 'room', 'sink')), -- NULL: of a batch
    temp_mc INTEGER NOT NULL,
    source TEXT NOT NULL CHECK (source IN ('hand', 'probe')),
    CHECK ((batch_id IS NULL) <> (place IS NULL))
) STRICT;
CREATE INDEX reading_by_batch ON reading (batch_id, at) WHERE batch_id IS NOT NULL;
CREATE INDEX reading_by_place ON reading (place, at) WHERE place IS NOT NULL;

CREATE TABLE tub_act (                   -- what was done to the ice tub
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    at INTEGER NOT NULL,
    kind TEXT NOT NULL CHECK (kind IN ('fill', 'ice', 'drain', 'stir')),
    mass_g INTEGER CHECK (mass_g >= 0),  -- of ice or water
    temp_mc INTEGER,                     -- of water filled in
    stir TEXT CHECK (stir IN ('no', 'water', 'both')), -- from now on
    CHECK ((kind = 'stir') = (stir IS NOT NULL))
) STRICT;
CREATE INDEX tub_act_by_time ON tub_act (at);

CREATE TABLE routine (                   -- the morning's steps; the latest row is in use, the others are history
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    from_at INTEGER NOT NULL,
    text TEXT NOT NULL                   -- as in a routine file
) STRICT;

CREATE TABLE tick (                      -- a step begun, done or skipped
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    milking_id INTEGER NOT NULL REFERENCES milking (id),
    step TEXT NOT NULL,                  -- its id in the routine; ticks of steps that are gone stay
    cow_id INTEGER REFERENCES cow (id),  -- for steps done for each cow
    kind TEXT NOT NULL CHECK (kind IN ('begun', 'done', 'skipped')),
    at INTEGER NOT NULL
) STRICT;
CREATE INDEX tick_by_milking ON tick (milking_id);

CREATE TABLE ration (                    -- what goes into whose stall
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    cow_id INTEGER NOT NULL REFERENCES cow (id),
    feed TEXT NOT NULL,
    mass_g INTEGER NOT NULL CHECK (mass_g >= 0), -- each milking
    from_at INTEGER NOT NULL,
    until_at INTEGER                     -- NULL: still given
) STRICT;
CREATE INDEX ration_by_cow ON ration (cow_id);

CREATE TABLE note (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    at INTEGER NOT NULL,
    cow_id INTEGER REFERENCES cow (id),  -- NULL: about the dairy
    text TEXT NOT NULL
) STRICT;
CREATE INDEX note_by_cow ON note (cow_id, at);

CREATE TABLE journal (                   -- every act, in the order in which it was entered
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    happened_at INTEGER NOT NULL,        -- when it happened, as said
    entered_at INTEGER NOT NULL,         -- when it was entered
    who TEXT NOT NULL,
    kind TEXT NOT NULL,                  -- of act, as in `springhouse record`
    what TEXT NOT NULL,                  -- in words
    cow_id INTEGER,                      -- whom it is about, if one
    undoes INTEGER REFERENCES journal (id), -- this act takes that entry back
    changes BLOB NOT NULL                -- rows before and after: a changeset of SQLite's session extension
) STRICT;
CREATE INDEX journal_by_undoes ON journal (undoes) WHERE undoes IS NOT NULL;
CREATE INDEX journal_by_cow ON journal (cow_id, happened_at) WHERE cow_id IS NOT NULL;
