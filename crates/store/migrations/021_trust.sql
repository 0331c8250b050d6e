-- Each line of the journal is hashed over the one before: a line that is changed, taken out or put in shows. What a line holds is
-- hashed with a salt of its own, so that what was erased cannot be guessed back from its hash.
CREATE TABLE journal_chain (
    id        INTEGER PRIMARY KEY, -- the journal's line
    salt      TEXT,                -- none: what the line held was erased
    content   TEXT NOT NULL,       -- SHA-256 over salt, before and after
    line      TEXT NOT NULL,       -- SHA-256 over the hash of the line before, what the line says of itself, and content
    redaction INTEGER              -- the redaction that erased what it held
) STRICT;

CREATE TABLE redactions (          -- a customer who was erased
    id       INTEGER PRIMARY KEY,
    customer INTEGER NOT NULL,
    reason   TEXT NOT NULL,
    lines    TEXT NOT NULL,        -- JSON: the journal's lines whose contents were erased
    who      TEXT NOT NULL,
    at       INTEGER NOT NULL
) STRICT;

-- The time of a step over which the clock was set, or a timer ran longer than anybody works: shown, and not learned from.
ALTER TABLE steps ADD COLUMN doubtful INTEGER NOT NULL DEFAULT 0;
