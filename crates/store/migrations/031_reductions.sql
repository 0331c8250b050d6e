-- What a shop takes off the amount that was agreed, and why: the customer is charged less, never more without a new agreement.
CREATE TABLE reductions (
    id     INTEGER PRIMARY KEY,
    job    INTEGER NOT NULL REFERENCES jobs (id),
    amount TEXT NOT NULL,              -- exact decimal, tax included: what is taken off
    reason TEXT NOT NULL,              -- the customer reads it on the invoice
    void   INTEGER NOT NULL DEFAULT 0, -- taken back, or entered by mistake
    who    TEXT NOT NULL,
    at     INTEGER NOT NULL
) STRICT;
CREATE INDEX reductions_job ON reductions (job);
