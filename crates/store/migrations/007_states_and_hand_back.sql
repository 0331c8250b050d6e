-- What was let go: by whom, why, and what it was that was not met. Kept for good: the hand-back page and the invoice say it.
CREATE TABLE let_go (
    id     INTEGER PRIMARY KEY,
    job    INTEGER NOT NULL REFERENCES jobs (id),
    at_act TEXT NOT NULL,        -- the act that went through all the same, as the states name it
    what   TEXT NOT NULL,        -- JSON: a list of lines
    name   TEXT NOT NULL,        -- who let it go, as they said it
    reason TEXT NOT NULL,
    who    TEXT NOT NULL,        -- who was signed in
    at     INTEGER NOT NULL,
    stands INTEGER NOT NULL DEFAULT 1 -- 0: the job was opened again since, and what was let go is asked anew
) STRICT;
CREATE INDEX let_go_job ON let_go (job);

-- A quote that was given over one that was out can be taken back: the one before it is out again.
ALTER TABLE quotes ADD COLUMN withdrawn INTEGER NOT NULL DEFAULT 0;

-- A check's figure as a number, and between what it must lie.
ALTER TABLE acceptance_checks ADD COLUMN measured_mm REAL;
ALTER TABLE acceptance_checks ADD COLUMN least_mm REAL;
ALTER TABLE acceptance_checks ADD COLUMN most_mm REAL;
ALTER TABLE acceptance_checks ADD COLUMN let_go_by TEXT NOT NULL DEFAULT '';

-- Why a step's time was set by hand.
ALTER TABLE steps ADD COLUMN time_note TEXT NOT NULL DEFAULT '';
CREATE INDEX steps_running ON steps (person) WHERE started_at IS NOT NULL;

-- A photo that was taken out can come back; its file stays.
ALTER TABLE photos ADD COLUMN removed INTEGER NOT NULL DEFAULT 0;

-- The owner's own number on the instrument.
ALTER TABLE instruments ADD COLUMN asset TEXT NOT NULL DEFAULT '';

CREATE TABLE accessories (       -- what came with the instrument
    id   INTEGER PRIMARY KEY,
    job  INTEGER NOT NULL REFERENCES jobs (id),
    name TEXT NOT NULL,
    back INTEGER NOT NULL DEFAULT 0
) STRICT;
CREATE INDEX accessories_job ON accessories (job);

CREATE TABLE payments (          -- money that came in; amounts are exact decimals
    id     INTEGER PRIMARY KEY,
    job    INTEGER NOT NULL REFERENCES jobs (id),
    amount TEXT NOT NULL,
    how    TEXT NOT NULL CHECK (how IN ('cash', 'card', 'check', 'transfer', 'other')),
    note   TEXT NOT NULL DEFAULT '',
    void   INTEGER NOT NULL DEFAULT 0, -- entered by mistake
    who    TEXT NOT NULL,
    at     INTEGER NOT NULL
) STRICT;
CREATE INDEX payments_job ON payments (job);

CREATE TABLE hand_backs (        -- who fetched the instrument
    id           INTEGER PRIMARY KEY,
    job          INTEGER NOT NULL REFERENCES jobs (id),
    collected_by TEXT NOT NULL,
    note         TEXT NOT NULL DEFAULT '',
    who          TEXT NOT NULL,
    at           INTEGER NOT NULL
) STRICT;
CREATE INDEX hand_backs_job ON hand_backs (job);
