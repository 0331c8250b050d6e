-- Money that came in for a contract itself: for the tools that its instruments share. What came in stays in the books when the contract is
-- erased with its customer.
CREATE TABLE contract_payments (
    id       INTEGER PRIMARY KEY,
    customer INTEGER NOT NULL REFERENCES customers (id),
    contract INTEGER REFERENCES contracts (id),
    amount   TEXT NOT NULL,                 -- exact decimal
    how      TEXT NOT NULL CHECK (how IN ('cash', 'card', 'check', 'transfer', 'other')),
    note     TEXT NOT NULL DEFAULT '',
    void     INTEGER NOT NULL DEFAULT 0,    -- entered by mistake
    who      TEXT NOT NULL,
    at       INTEGER NOT NULL
) STRICT;
CREATE INDEX contract_payments_contract ON contract_payments (contract);
CREATE INDEX contract_payments_customer ON contract_payments (customer);
