-- A job that was opened from a contract's plan: for which of its instruments, and what the plan said of it then. An instrument of a
-- contract is opened once: two taps, or two tablets, make one job.
CREATE TABLE contract_jobs (
    id       INTEGER PRIMARY KEY,
    contract INTEGER NOT NULL REFERENCES contracts (id),
    tag      TEXT NOT NULL,           -- the instrument's tag in the contract
    job      INTEGER NOT NULL UNIQUE REFERENCES jobs (id),
    level    TEXT NOT NULL,           -- the offer
    bench    TEXT NOT NULL,           -- the contract's bench
    price    TEXT NOT NULL,           -- what the contract's plan asks for it, tools to make apart
    tools    TEXT NOT NULL,           -- JSON: [[name, price]], tools to make for it that the contract pays once
    UNIQUE (contract, tag)
) STRICT;
