-- Which photos the customer sees on their page: those that somebody who gives quotes chose.
ALTER TABLE photos ADD COLUMN for_customer INTEGER NOT NULL DEFAULT 0;
-- When and how the link of a quote was sent last, as whoever sent it says.
ALTER TABLE quotes ADD COLUMN sent_at INTEGER;
ALTER TABLE quotes ADD COLUMN sent_how TEXT NOT NULL DEFAULT '';
