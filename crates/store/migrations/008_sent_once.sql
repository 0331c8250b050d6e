-- What a tablet sends again after a lost answer is kept once: the mark that it made for a photo, and for what was done to a step.
ALTER TABLE photos ADD COLUMN made_as TEXT;
CREATE UNIQUE INDEX photos_made_as ON photos (job, made_as) WHERE made_as IS NOT NULL;

CREATE TABLE step_acts (         -- not journalled: the steps themselves are
    id      INTEGER PRIMARY KEY,
    job     INTEGER NOT NULL REFERENCES jobs (id),
    made_as TEXT NOT NULL,
    at      INTEGER NOT NULL,
    UNIQUE (job, made_as)
) STRICT;

CREATE TABLE conditions_out (    -- conditions of the metal that were taken out of a survey and can be put back
    id   INTEGER PRIMARY KEY,
    job  INTEGER NOT NULL REFERENCES jobs (id),
    body TEXT NOT NULL,          -- JSON
    at   INTEGER NOT NULL
) STRICT;
CREATE INDEX conditions_out_job ON conditions_out (job);
