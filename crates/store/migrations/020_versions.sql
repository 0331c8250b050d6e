-- Two tablets on one form: each form carries the version that it was made from, and a save on an older one is told what the
-- other saved. A job's version is that of its head and of what came with it; its state has rules of its own.
ALTER TABLE customers   ADD COLUMN version INTEGER NOT NULL DEFAULT 1;
ALTER TABLE instruments ADD COLUMN version INTEGER NOT NULL DEFAULT 1;
ALTER TABLE jobs        ADD COLUMN version INTEGER NOT NULL DEFAULT 1;
ALTER TABLE people      ADD COLUMN version INTEGER NOT NULL DEFAULT 1;
ALTER TABLE settings    ADD COLUMN version INTEGER NOT NULL DEFAULT 1;

CREATE TABLE dent_saves (        -- not journalled: the dents themselves are
    id      INTEGER PRIMARY KEY,
    job     INTEGER NOT NULL REFERENCES jobs (id),
    made_as TEXT NOT NULL,       -- the tablet's mark of one save: sent again after a lost answer it is answered as the first time
    name    TEXT NOT NULL,       -- the dent
    version INTEGER NOT NULL,    -- which this save made; 0: it took the dent out
    answer  TEXT NOT NULL,       -- JSON, as it was given
    at      INTEGER NOT NULL,
    UNIQUE (job, made_as)
) STRICT;
CREATE INDEX dent_saves_at ON dent_saves (at);
