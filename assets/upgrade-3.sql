-- Version 3 of the records. The words of schema-1.sql about moments, days, quantities and NULL hold here too.

-- ---- the year: colostrum, the need for milk, things that come round again, feed in store ----

CREATE TABLE colostrum (                 -- what a calf drank in its first day
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    calf_id INTEGER NOT NULL REFERENCES calf (id),
    at INTEGER NOT NULL,
    volume_ml INTEGER CHECK (volume_ml > 0) -- NULL: it sucked, nobody measured
) STRICT;
CREATE INDEX colostrum_by_calf ON colostrum (calf_id, at);

ALTER TABLE pregnancy_check ADD COLUMN calf_sex TEXT CHECK (calf_sex IN ('heifer', 'bull')); -- as ultrasound showed it; NULL nobody looked

CREATE TABLE sire (                      -- what is known of a bull
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    name TEXT NOT NULL CHECK (name <> ''), -- as in service.sire
    carried_tenths INTEGER NOT NULL      -- his calves are carried so many tenths of a day longer than is usual
) STRICT;

CREATE TABLE milk_need (                 -- milk wanted in a week; the latest row is in use, the others are history
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    from_at INTEGER NOT NULL,
    week_ml INTEGER NOT NULL CHECK (week_ml >= 0), -- by the household itself, shares not counted
    room_ml INTEGER CHECK (room_ml >= 0) -- the most that can be used in a week; NULL: no limit
) STRICT;

CREATE TABLE calf_milk (                 -- part of a cow's milk that her calf drinks, from a day on
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    cow_id INTEGER NOT NULL REFERENCES cow (id),
    from_at INTEGER NOT NULL,
    share_pct INTEGER NOT NULL CHECK (share_pct BETWEEN 0 AND 100)
) STRICT;
CREATE INDEX calf_milk_by_cow ON calf_milk (cow_id, from_at);

CREATE TABLE repeat (                    -- something that comes round again: a vaccination, a test, hooves
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    name TEXT NOT NULL CHECK (name <> ''), -- unique for the same animal while it goes on
    cow_id INTEGER REFERENCES cow (id),  -- NULL: of the dairy as a whole
    every_days INTEGER NOT NULL CHECK (every_days > 0),
    first_on TEXT NOT NULL,              -- ISO day: the first time that it is due
    note TEXT,                           -- what to do or whom to call
    ended_on TEXT                        -- ISO day; NULL: it goes on
) STRICT;

CREATE TABLE repeat_done (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    repeat_id INTEGER NOT NULL REFERENCES repeat (id),
    at INTEGER NOT NULL
) STRICT;
CREATE INDEX repeat_done_by_repeat ON repeat_done (repeat_id, at);

CREATE TABLE feed_stock (                -- feed that came, or was counted
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    feed TEXT NOT NULL CHECK (feed <> ''),
    at INTEGER NOT NULL,
    kind TEXT NOT NULL CHECK (kind IN ('counted', 'came')),
    mass_g INTEGER NOT NULL CHECK (mass_g >= 0), -- counted: all there is; came: so much more
    cost_cents INTEGER CHECK (cost_cents >= 0) -- of what came; NULL not said
) STRICT;
CREATE INDEX feed_stock_by_feed ON feed_stock (feed, at);

CREATE TABLE free_feed (                 -- forage that stands before her day and night: she eats what she can still hold
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    cow_id INTEGER NOT NULL REFERENCES cow (id),
    feed TEXT NOT NULL CHECK (feed <> ''),
    from_at INTEGER NOT NULL,
    until_at INTEGER                     -- NULL: still does
) STRICT;
CREATE INDEX free_feed_by_cow ON free_feed (cow_id);

CREATE TABLE feed_analysis (             -- what is in a feed of the dairy's own; the latest of a name is in use
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    feed TEXT NOT NULL CHECK (feed <> ''),
    at INTEGER NOT NULL,
    forage INTEGER NOT NULL CHECK (forage IN (0, 1)),
    dm_mpct INTEGER NOT NULL,            -- dry matter, thousandths of a percent of what is weighed
    cp_mpct INTEGER NOT NULL,            -- crude protein, thousandths of a percent of the dry matter
    nel_kcal_per_kg INTEGER NOT NULL     -- net energy for lactation, per kg of dry matter
) STRICT;

-- ---- the wash bench: sanitiser, sink, parts, machine, laboratory ----

CREATE TABLE wash_rule (                 -- what the bench goes by; the latest row is in use, the others are history
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    from_at INTEGER NOT NULL,
    contact_set TEXT NOT NULL,           -- how strong, how warm, how long: id of a set in contact-rules.csv
    lab_set TEXT NOT NULL,               -- which standard the laboratory's figures are held against: a set of standards.csv
    water_set TEXT NOT NULL,             -- and those of the water
    heater_mc INTEGER                    -- the hottest water there is
) STRICT;

CREATE TABLE bottle (                    -- a bottle of sanitiser, as its label has it
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    opened_at INTEGER NOT NULL,
    chemical TEXT NOT NULL CHECK (chemical IN ('chlorine', 'iodine', 'quat', 'peroxyacetic', 'peroxide')),
    strength_mpct INTEGER CHECK (strength_mpct > 0), -- chlorine: thousandths of a percent; NULL for the others
    basis TEXT NOT NULL DEFAULT 'simple' CHECK (basis IN ('simple', 'trade')), -- what its percent means; see bleach.h
    label_dose_ul INTEGER CHECK (label_dose_ul > 0),   -- others: the label's recipe, so many microlitres
    label_volume_ml INTEGER CHECK (label_volume_ml > 0), -- to so much water
    label_mppm INTEGER CHECK (label_mppm > 0), -- gives so many thousandths of a ppm
    CHECK ((chemical = 'chlorine') = (strength_mpct IS NOT NULL))
) STRICT;
CREATE INDEX bottle_by_chemical ON bottle (chemical, opened_at);

CREATE TABLE mix (                       -- a sanitiser mixed
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    at INTEGER NOT NULL,
    bottle_id INTEGER NOT NULL REFERENCES bottle (id),
    volume_ml INTEGER NOT NULL CHECK (volume_ml > 0),
    counted TEXT NOT NULL CHECK (counted IN ('final', 'water')), -- volume of the solution, or of the water before the dose
    target_mppm INTEGER NOT NULL CHECK (target_mppm > 0),
    dose_ul INTEGER NOT NULL CHECK (dose_ul > 0) -- of the product, that went in
) STRICT;
CREATE INDEX mix_by_time ON mix (at);

CREATE TABLE strip (                     -- a test strip dipped into a mix
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    at INTEGER NOT NULL,
    mix_id INTEGER NOT NULL REFERENCES mix (id),
    mppm INTEGER NOT NULL CHECK (mppm >= 0), -- what it showed, thousandths of a ppm
    top_mppm INTEGER NOT NULL CHECK (top_mppm > 0), -- the last colour of its scale
    ph_milli INTEGER CHECK (ph_milli BETWEEN 0 AND 14000),
    temp_mc INTEGER                      -- of the water
) STRICT;
CREATE INDEX strip_by_mix ON strip (mix_id, at);

CREATE TABLE sink_fill (                 -- hot wash water into the sink; later temperatures are readings of place 'sink'
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    at INTEGER NOT NULL,
    temp_mc INTEGER NOT NULL,
    volume_ml INTEGER CHECK (volume_ml > 0)
) STRICT;
CREATE INDEX sink_fill_by_time ON sink_fill (at);

CREATE TABLE part_fit (                  -- a part fitted, or a job of the machine done
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    at INTEGER NOT NULL,
    part TEXT NOT NULL,                  -- id in parts.csv, or the keeper's own word
    milkings INTEGER CHECK (milkings > 0), -- its life in cows milked with it; NULL not counted so
    days INTEGER CHECK (days > 0),       -- its life by the calendar; NULL none
    note TEXT
) STRICT;
CREATE INDEX part_fit_by_part ON part_fit (part, at);

CREATE TABLE part_stock (                -- parts counted on the shelf
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    at INTEGER NOT NULL,
    part TEXT NOT NULL,
    on_hand INTEGER NOT NULL CHECK (on_hand >= 0),
    lead_days INTEGER CHECK (lead_days >= 0) -- from order to shelf; NULL not known
) STRICT;
CREATE INDEX part_stock_by_part ON part_stock (part, at);

CREATE TABLE machine_check (             -- vacuum and pulsation as they were measured
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    at INTEGER NOT NULL,
    vacuum_pa INTEGER CHECK (vacuum_pa > 0), -- below the air outside
    rate_milli INTEGER CHECK (rate_milli > 0), -- thousandths of a pulsation a minute
    open_mpct INTEGER CHECK (open_mpct BETWEEN 1 AND 99999), -- share of a pulsation with the liner open, thousandths of a percent
    note TEXT,
    CHECK (vacuum_pa IS NOT NULL OR rate_milli IS NOT NULL)
) STRICT;
CREATE INDEX machine_check_by_time ON machine_check (at);

CREATE TABLE lab_sample (                -- milk or water for a laboratory
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    drawn_at INTEGER NOT NULL,
    name TEXT NOT NULL CHECK (name <> ''), -- as written on it
    of TEXT NOT NULL CHECK (of IN ('milk', 'water')),
    cow_id INTEGER REFERENCES cow (id),  -- of one cow's milk; NULL of all, or water
    batch_id INTEGER REFERENCES batch (id), -- from jars of it
    laboratory TEXT,
    drawn_mc INTEGER,                    -- its temperature when drawn
    hours_s INTEGER CHECK (hours_s > 0), -- the laboratory allows so long from drawing
    sent_at INTEGER,
    arrived_at INTEGER,
    arrived_mc INTEGER                   -- its temperature on arrival
) STRICT;
CREATE UNIQUE INDEX lab_sample_by_name ON lab_sample (name);
CREATE INDEX lab_sample_by_time ON lab_sample (drawn_at);

CREATE TABLE lab_result (                -- a figure of the laboratory
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    sample_id INTEGER NOT NULL REFERENCES lab_sample (id),
    at INTEGER NOT NULL,                 -- when it came
    measure TEXT NOT NULL CHECK (measure IN ('plate', 'coliform', 'cells', 'water')),
    value_milli INTEGER NOT NULL CHECK (value_milli >= 0) -- thousandths per mL; of water, thousandths in 100 mL
) STRICT;
CREATE UNIQUE INDEX lab_result_of_sample ON lab_result (sample_id, measure);

-- ---- thermometers that the computer reads by itself; what they show goes into `reading`, source 'probe' ----

CREATE TABLE probe (                     -- what a probe hangs in, from a moment on
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    path TEXT NOT NULL CHECK (path <> ''), -- file in which the kernel shows its temperature
    place TEXT CHECK (place IN ('tub', 'fridge', 'room')), -- NULL: a jar of a batch
    batch_id INTEGER REFERENCES batch (id),
    from_at INTEGER NOT NULL,
    until_at INTEGER,                    -- NULL: it still hangs there
    CHECK ((batch_id IS NULL) <> (place IS NULL))
) STRICT;
CREATE INDEX probe_in_use ON probe (path) WHERE until_at IS NULL;
-- What was thrown away lately is looked for by its time, among years of jars that were drunk.
CREATE INDEX jar_move_thrown ON jar_move (at) WHERE to_place IN ('dumped', 'lost');
-- When a weekly chore was done last, without passing every tick of years.
CREATE INDEX tick_done ON tick (step, at) WHERE kind = 'done';

-- ---- how the tub stood as a rule, kept with each milking: a habit that changes later changes no earlier morning ----

ALTER TABLE milking ADD COLUMN stir TEXT CHECK (stir IN ('no', 'water', 'both')); -- NULL: not known, as the dairy's now
ALTER TABLE milking ADD COLUMN tub_water_ml INTEGER; -- water before any ice
ALTER TABLE milking ADD COLUMN tap_temp_mc INTEGER; -- its temperature
-- What was usual earlier is not on record; what is usual at the upgrade is the best that is known.
UPDATE milking SET stir = (SELECT stir FROM dairy), tub_water_ml = (SELECT tub_water_ml FROM dairy), tap_temp_mc = (SELECT tap_temp_mc FROM dairy);
