-- The shop's record. Times are Unix seconds (UTC); dates are ISO 8601 days; money is an exact decimal as text;
-- what a pure crate defines (a dent, a quote) is kept as that crate's JSON.

CREATE TABLE author (            -- who writes the transaction that is open; read by the journal's triggers
    id  INTEGER PRIMARY KEY CHECK (id = 1),
    who TEXT NOT NULL,
    at  INTEGER NOT NULL
) STRICT;
INSERT INTO author VALUES (1, 'set-up', 0);

CREATE TABLE journal (           -- append only
    id     INTEGER PRIMARY KEY AUTOINCREMENT,
    at     INTEGER NOT NULL,
    who    TEXT NOT NULL,
    act    TEXT NOT NULL CHECK (act IN ('insert', 'update', 'delete')),
    record TEXT NOT NULL,        -- table
    row    INTEGER NOT NULL,     -- its id
    before TEXT,                 -- JSON
    after  TEXT                  -- JSON
) STRICT;
CREATE INDEX journal_row ON journal (record, row);
CREATE TRIGGER journal_is_append_only_u BEFORE UPDATE ON journal BEGIN SELECT RAISE(ABORT, 'the journal is append-only'); END;
CREATE TRIGGER journal_is_append_only_d BEFORE DELETE ON journal BEGIN SELECT RAISE(ABORT, 'the journal is append-only'); END;

CREATE TABLE settings (
    id    INTEGER PRIMARY KEY,
    key   TEXT NOT NULL UNIQUE,
    value TEXT NOT NULL
) STRICT;

CREATE TABLE people (
    id            INTEGER PRIMARY KEY,
    login         TEXT NOT NULL UNIQUE COLLATE NOCASE,
    name          TEXT NOT NULL,
    role          TEXT NOT NULL CHECK (role IN ('owner', 'technician', 'apprentice', 'counter')),
    password_hash TEXT NOT NULL,
    active        INTEGER NOT NULL DEFAULT 1
) STRICT;

CREATE TABLE sessions (          -- the token itself is never stored
    id         INTEGER PRIMARY KEY,
    token_hash TEXT NOT NULL UNIQUE,
    csrf       TEXT NOT NULL,
    person     INTEGER NOT NULL REFERENCES people (id) ON DELETE CASCADE,
    made_at    INTEGER NOT NULL,
    ends_at    INTEGER NOT NULL
) STRICT;

CREATE TABLE customers (
    id    INTEGER PRIMARY KEY,
    name  TEXT NOT NULL,
    phone TEXT NOT NULL DEFAULT '',
    email TEXT NOT NULL DEFAULT '',
    note  TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX customers_name ON customers (name COLLATE NOCASE);

CREATE TABLE instruments (
    id       INTEGER PRIMARY KEY,
    customer INTEGER NOT NULL REFERENCES customers (id),
    kind     TEXT NOT NULL,
    maker    TEXT NOT NULL DEFAULT '',
    model    TEXT NOT NULL DEFAULT '',
    serial   TEXT NOT NULL DEFAULT '',
    tag      TEXT NOT NULL UNIQUE,
    value    TEXT                         -- sound, in the shop's currency
) STRICT;
CREATE INDEX instruments_customer ON instruments (customer);
CREATE INDEX instruments_serial ON instruments (serial);

CREATE TABLE jobs (
    id          INTEGER PRIMARY KEY,
    instrument  INTEGER NOT NULL REFERENCES instruments (id),
    title       TEXT NOT NULL,
    words       TEXT NOT NULL DEFAULT '', -- what the customer said
    state       TEXT NOT NULL CHECK (state IN ('received', 'surveyed', 'quoted', 'approved', 'on_bench', 'proving', 'ready', 'handed_back', 'declined')),
    due         TEXT,
    bench       INTEGER REFERENCES people (id),
    received_at INTEGER NOT NULL,
    closed_at   INTEGER
) STRICT;
CREATE INDEX jobs_state_due ON jobs (state, due);
CREATE INDEX jobs_instrument ON jobs (instrument);

CREATE TABLE surveys (           -- all of a survey but its dents
    id      INTEGER PRIMARY KEY,
    job     INTEGER NOT NULL UNIQUE REFERENCES jobs (id),
    body    TEXT NOT NULL,
    version INTEGER NOT NULL
) STRICT;

CREATE TABLE dents (
    id      INTEGER PRIMARY KEY,
    job     INTEGER NOT NULL REFERENCES jobs (id),
    name    TEXT NOT NULL,       -- the dent's name in the survey
    body    TEXT NOT NULL,
    version INTEGER NOT NULL,
    made_as TEXT,                -- the tablet's own mark of a new dent, so that sending it twice makes one dent
    UNIQUE (job, name),
    UNIQUE (job, made_as)
) STRICT;

CREATE TABLE overrules (
    id        INTEGER PRIMARY KEY,
    job       INTEGER NOT NULL REFERENCES jobs (id),
    body      TEXT NOT NULL,
    why       TEXT NOT NULL,
    who       TEXT NOT NULL,
    at        INTEGER NOT NULL,
    withdrawn INTEGER NOT NULL DEFAULT 0
) STRICT;
CREATE INDEX overrules_job ON overrules (job);

CREATE TABLE quotes (
    id          INTEGER PRIMARY KEY,
    job         INTEGER NOT NULL REFERENCES jobs (id),
    token       TEXT NOT NULL UNIQUE,
    body        TEXT NOT NULL,
    made_at     INTEGER NOT NULL,
    valid_until TEXT,
    chosen      TEXT,            -- the offer that was taken
    signed_by   TEXT,
    signature   TEXT,            -- strokes as SVG path data
    signed_at   INTEGER
) STRICT;
CREATE INDEX quotes_job ON quotes (job);

CREATE TABLE steps (             -- the bench's record of a plan's step
    id         INTEGER PRIMARY KEY,
    job        INTEGER NOT NULL REFERENCES jobs (id),
    key        TEXT NOT NULL,    -- names the step whatever its place in the order
    kind       TEXT NOT NULL,
    what       TEXT NOT NULL,
    likely_s   INTEGER NOT NULL, -- what the plan said
    state      TEXT NOT NULL CHECK (state IN ('to_do', 'running', 'done', 'skipped')),
    started_at INTEGER,          -- while running
    spent_s    INTEGER NOT NULL DEFAULT 0,
    person     INTEGER REFERENCES people (id),
    note       TEXT NOT NULL DEFAULT '',
    done_at    INTEGER,
    UNIQUE (job, key)
) STRICT;
CREATE INDEX steps_history ON steps (kind, person, state);

CREATE TABLE proofs (
    id     INTEGER PRIMARY KEY,
    job    INTEGER NOT NULL REFERENCES jobs (id),
    key    TEXT NOT NULL,
    what   TEXT NOT NULL,
    wanted TEXT NOT NULL DEFAULT '',
    figure TEXT NOT NULL DEFAULT '',
    passed INTEGER,              -- 1 pass, 0 fail, NULL not yet
    reason TEXT NOT NULL DEFAULT '',
    who    TEXT NOT NULL DEFAULT '',
    at     INTEGER,
    UNIQUE (job, key)
) STRICT;

CREATE TABLE photos (
    id    INTEGER PRIMARY KEY,
    job   INTEGER NOT NULL REFERENCES jobs (id),
    dent  TEXT,                  -- the dent's name, where it shows one
    step  TEXT,                  -- the step's key, where it was taken at one
    hash  TEXT NOT NULL,         -- SHA-256 of the file beside the database
    media TEXT NOT NULL,
    bytes INTEGER NOT NULL,
    note  TEXT NOT NULL DEFAULT '',
    at    INTEGER NOT NULL
) STRICT;
CREATE INDEX photos_job ON photos (job);

CREATE TABLE drafts (            -- what a tablet has typed and not yet saved
    id     INTEGER PRIMARY KEY,
    person INTEGER NOT NULL REFERENCES people (id) ON DELETE CASCADE,
    place  TEXT NOT NULL,
    body   TEXT NOT NULL,
    at     INTEGER NOT NULL,
    UNIQUE (person, place)
) STRICT;
