-- Lists that a party has loaded: a lab's moulds, an office's shade guides. The newest version is in force.

CREATE TABLE party_list (
    id TEXT PRIMARY KEY,
    party_id TEXT NOT NULL REFERENCES party (id),
    kind TEXT NOT NULL,
    -- Of a guide; empty for the one mould list of a lab.
    name TEXT NOT NULL,
    -- Grows with every load: what a read model is cached by.
    version BIGINT NOT NULL,
    -- Entries of the version in force; 0 once the list is out of use.
    entries BIGINT NOT NULL,
    UNIQUE (party_id, kind, name)
);

-- Every version with its text as it was loaded; empty where the list was taken out of use.
CREATE TABLE party_list_version (
    list_id TEXT NOT NULL REFERENCES party_list (id),
    version BIGINT NOT NULL,
    text TEXT NOT NULL,
    entries BIGINT NOT NULL,
    account_id TEXT NOT NULL,
    account_name TEXT NOT NULL,
    at_ms BIGINT NOT NULL,
    PRIMARY KEY (list_id, version)
);
