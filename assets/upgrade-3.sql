-- Version 3 of the records. The words of schema-1.sql about moments, days, quantities and NULL hold here too.

-- ---- the year: colostrum, the need for milk, things that come round again, feed in store ----

CREATE TABLE colostrum (                 -- what a calf drank in its first day
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    calf_id INTEGER NOT NULL REFERENCES calf (id),
    at INTEGER NOT NULL,
    volume_ml INTEGER CHECK (volume_ml > 0) -- NULL: it sucked, nobody measured
) STRICT;
CREATE INDEX colostrum_by_calf ON colostrum (calf_id, at);

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

CREATE TABLE feed_analysis (             -- what is in a feed of the dairy's own; the latest of a name is in use
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    feed TEXT NOT NULL CHECK (feed <> ''),
    at INTEGER NOT NULL,
    forage INTEGER NOT NULL CHECK (forage IN (0, 1)),
    dm_mpct INTEGER NOT NULL,            -- dry matter, thousandths of a percent of what is weighed
    cp_mpct INTEGER NOT NULL,            -- crude protein, thousandths of a percent of the dry matter
    nel_kcal_per_kg INTEGER NOT NULL     -- net energy for lactation, per kg of dry matter
) STRICT;
