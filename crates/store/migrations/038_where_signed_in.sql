-- From which address a session was opened, for the list of where one is signed in. Sessions are in no backup and no export.
ALTER TABLE sessions ADD COLUMN address TEXT NOT NULL DEFAULT '';
