-- What holds for one job beside the shop's prices: whether it goes before others, what is taken off and why. A row a job.
CREATE TABLE job_terms (
    id       INTEGER PRIMARY KEY,
    job      INTEGER NOT NULL UNIQUE REFERENCES jobs (id),
    rush     INTEGER NOT NULL DEFAULT 0 CHECK (rush IN (0, 1)),
    discount TEXT NOT NULL DEFAULT '', -- a part ("10 %") or an amount ("25.00"), as typed; empty: none of its own
    reason   TEXT NOT NULL DEFAULT '', -- the customer reads it
    version  INTEGER NOT NULL DEFAULT 1
) STRICT;
-- What holds for all jobs of a customer: a school contract, a tax certificate. A row a customer.
CREATE TABLE customer_terms (
    id       INTEGER PRIMARY KEY,
    customer INTEGER NOT NULL UNIQUE REFERENCES customers (id),
    discount TEXT NOT NULL DEFAULT '',
    reason   TEXT NOT NULL DEFAULT '',
    exempt   TEXT NOT NULL DEFAULT '', -- why no tax is paid: the number of a certificate; empty: tax is paid
    version  INTEGER NOT NULL DEFAULT 1
) STRICT;
