-- A customer's link opens a quote to whoever holds it: the record keeps its hash, and the link itself only sealed under a key that
-- lies beside the record and goes into no backup. Links that stand here in plain are hashed and sealed when the record is opened
-- (store/src/links.rs); that is no change of what the shop knows, so the journal does not tell it.
DROP TRIGGER IF EXISTS journal_quotes_update;
ALTER TABLE quotes RENAME COLUMN token TO link_hash;                        -- SHA-256 of the link's secret part
ALTER TABLE quotes ADD COLUMN link_sealed TEXT;                             -- the secret part, sealed; none: only whoever was sent it has it
ALTER TABLE quotes ADD COLUMN link_revoked INTEGER NOT NULL DEFAULT 0;
ALTER TABLE quotes ADD COLUMN links_made INTEGER NOT NULL DEFAULT 1;        -- how often a new link was made for it, and the first

-- How an answer came: what can be shown where somebody says later that it was not theirs.
ALTER TABLE quotes ADD COLUMN answered_from  TEXT NOT NULL DEFAULT '';      -- network address
ALTER TABLE quotes ADD COLUMN answered_with  TEXT NOT NULL DEFAULT '';      -- what the browser calls itself, shortened
ALTER TABLE quotes ADD COLUMN answered_under TEXT NOT NULL DEFAULT '';      -- who was signed in on that browser, or took it by word of mouth
ALTER TABLE quotes ADD COLUMN answered_text  TEXT;                          -- SHA-256 of all that was answered (store/src/evidence.rs)
ALTER TABLE quotes ADD COLUMN answered_paper TEXT;                          -- SHA-256 of the paper as signed: stays when the paper is erased
