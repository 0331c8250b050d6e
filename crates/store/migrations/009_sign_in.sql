-- Who signs in: failures by name (hashed, whether or not anybody has that name), tablets that a person has signed in on before,
-- when a session was last used, and what happened at the door.
CREATE TABLE sign_in_failures (
    id        INTEGER PRIMARY KEY,
    name_hash TEXT NOT NULL UNIQUE,
    failures  INTEGER NOT NULL,
    last_at   INTEGER NOT NULL
) STRICT;

CREATE TABLE known_tablets (     -- the token itself is never stored
    id         INTEGER PRIMARY KEY,
    token_hash TEXT NOT NULL UNIQUE,
    person     INTEGER NOT NULL REFERENCES people (id) ON DELETE CASCADE,
    made_at    INTEGER NOT NULL,
    seen_at    INTEGER NOT NULL
) STRICT;

ALTER TABLE sessions ADD COLUMN seen_at INTEGER NOT NULL DEFAULT 0;
UPDATE sessions SET seen_at = made_at;

CREATE TABLE security_log (
    id      INTEGER PRIMARY KEY,
    at      INTEGER NOT NULL,
    what    TEXT NOT NULL,       -- signed_in, refused, held_back, signed_out, password_set
    login   TEXT NOT NULL,
    address TEXT NOT NULL,
    count   INTEGER NOT NULL DEFAULT 1
) STRICT;
CREATE TRIGGER security_log_no_update BEFORE UPDATE ON security_log BEGIN SELECT RAISE(ABORT, 'the security log is append-only'); END;
CREATE TRIGGER security_log_no_delete BEFORE DELETE ON security_log BEGIN SELECT RAISE(ABORT, 'the security log is append-only'); END;
