-- What was agreed, by content: a price, a tool or a survey that changes later changes nothing that a customer said yes to.

CREATE TABLE contents (          -- surveys, racks, shops, plans and papers as they were, each once; never changed
    id    INTEGER PRIMARY KEY,
    hash  TEXT NOT NULL UNIQUE,  -- SHA-256 of the body as it was, unpacked
    media TEXT NOT NULL,
    packed INTEGER NOT NULL,     -- 1: the body is deflated (RFC 1951)
    body  BLOB NOT NULL
) STRICT;
CREATE TRIGGER contents_stay_u BEFORE UPDATE ON contents BEGIN SELECT RAISE(ABORT, 'what was agreed is not changed'); END;
CREATE TRIGGER contents_stay_d BEFORE DELETE ON contents BEGIN SELECT RAISE(ABORT, 'what was agreed is not deleted'); END;

CREATE TABLE agreements (
    id        INTEGER PRIMARY KEY,
    job       INTEGER NOT NULL REFERENCES jobs (id),
    quote     INTEGER NOT NULL UNIQUE REFERENCES quotes (id),
    kind      TEXT NOT NULL CHECK (kind IN ('offer', 'supplement')),
    level     TEXT NOT NULL,
    total     TEXT NOT NULL,     -- its own amount, exact decimal: of a supplement what it adds
    made_from TEXT NOT NULL,     -- JSON: the contents that it was made from
    plan      TEXT NOT NULL REFERENCES contents (hash),
    paper     TEXT REFERENCES contents (hash),
    how       TEXT NOT NULL CHECK (how IN ('signed', 'telephone', 'counter')),
    said_by   TEXT NOT NULL,     -- the customer's name as signed or told
    taken_by  TEXT NOT NULL,     -- who took a yes by word of mouth; empty where it was signed
    at        INTEGER NOT NULL
) STRICT;
CREATE INDEX agreements_job ON agreements (job);

ALTER TABLE quotes ADD COLUMN made_from TEXT;                                  -- JSON, as above; none: given before this was kept
ALTER TABLE quotes ADD COLUMN adds_to INTEGER REFERENCES agreements (id);      -- a supplement to what was agreed
ALTER TABLE jobs ADD COLUMN level TEXT NOT NULL DEFAULT 'good';                -- the offer that the shop looks at until one is agreed
