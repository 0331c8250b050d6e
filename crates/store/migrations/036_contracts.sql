-- A contract: a customer with many instruments, a budget and a deadline. Its texts are kept by content, so that each plan can be read
-- with what it was made from.
CREATE TABLE contracts (
    id          INTEGER PRIMARY KEY,
    customer    INTEGER NOT NULL REFERENCES customers (id),
    head        TEXT NOT NULL,              -- hash: budget, days, benches (TOML)
    instruments TEXT NOT NULL,              -- hash: the table of instruments (CSV)
    dents       TEXT NOT NULL,              -- hash: the table of their dents
    done        TEXT NOT NULL,              -- hash: the table of what is done or begun
    made_at     INTEGER NOT NULL,
    version     INTEGER NOT NULL DEFAULT 1
) STRICT;
CREATE INDEX contracts_customer ON contracts (customer);

CREATE TABLE contract_plans (               -- each plan is kept: the next is told as a difference from it
    id        INTEGER PRIMARY KEY,
    contract  INTEGER NOT NULL REFERENCES contracts (id),
    made_from TEXT NOT NULL,                -- JSON: hashes of the texts, of the rack and the shop's files, the day
    plan      TEXT NOT NULL,                -- hash: the contract with its plan (JSON)
    problem   TEXT NOT NULL,                -- hash: the bare problem with its answer (JSON)
    who       TEXT NOT NULL,
    at        INTEGER NOT NULL
) STRICT;
CREATE INDEX contract_plans_contract ON contract_plans (contract);
