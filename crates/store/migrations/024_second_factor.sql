-- A second factor to sign in with (RFC 6238), for whoever wants one. The secret is sealed under the key beside the record; neither it
-- nor the recovery codes go into a backup or an export. Not journalled, but for whether a person has one.
ALTER TABLE people ADD COLUMN second_factor INTEGER NOT NULL DEFAULT 0;     -- 1: asked for at sign-in

CREATE TABLE second_factors (
    id        INTEGER PRIMARY KEY REFERENCES people (id) ON DELETE CASCADE, -- the person
    sealed    TEXT NOT NULL,
    confirmed INTEGER NOT NULL DEFAULT 0,                                   -- 1: a code of it was shown once
    last_step INTEGER NOT NULL DEFAULT 0                                    -- the newest time step whose code was taken: none is taken twice
) STRICT;

CREATE TABLE recovery_codes (                                               -- each lets in once, instead of a code
    id        INTEGER PRIMARY KEY,
    person    INTEGER NOT NULL REFERENCES people (id) ON DELETE CASCADE,
    salt      TEXT NOT NULL,
    code_hash TEXT NOT NULL                                                 -- SHA-256 of salt and code
) STRICT;
CREATE INDEX recovery_codes_person ON recovery_codes (person);
