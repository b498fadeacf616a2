-- Sets of usual values, of offices and of laboratories: every version with its text; empty where the set was ended.
-- The highest version is in force. Rows are written once.

CREATE TABLE usual_set (
    id TEXT NOT NULL,
    version BIGINT NOT NULL,
    party_id TEXT NOT NULL REFERENCES party (id),
    text TEXT NOT NULL,
    account_id TEXT NOT NULL,
    account_name TEXT NOT NULL,
    at_ms BIGINT NOT NULL,
    PRIMARY KEY (id, version)
);

CREATE INDEX usual_set_of_party ON usual_set (party_id, id, version);
