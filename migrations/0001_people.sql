-- Parties, the people who work there, and how they get in.
-- One text for SQLite and PostgreSQL: TEXT, BIGINT (also for yes and no, 1 and 0), DOUBLE PRECISION.
-- Times are milliseconds since 1970 UTC in columns ending in _ms.

CREATE TABLE party (
    id TEXT PRIMARY KEY,
    kind TEXT NOT NULL,
    name TEXT NOT NULL,
    address TEXT NOT NULL,
    licence TEXT NOT NULL,
    zone TEXT NOT NULL,
    paper TEXT NOT NULL,
    numbering TEXT NOT NULL,
    version BIGINT NOT NULL,
    -- Grows with every change that this party's first page could show: what a read model is cached by.
    changes BIGINT NOT NULL
);

CREATE TABLE account (
    id TEXT PRIMARY KEY,
    party_id TEXT REFERENCES party (id),
    role TEXT NOT NULL,
    login TEXT NOT NULL UNIQUE,
    name TEXT NOT NULL,
    licence TEXT NOT NULL,
    password TEXT NOT NULL,
    disabled BIGINT NOT NULL,
    version BIGINT NOT NULL
);
CREATE INDEX account_party ON account (party_id, name);

-- A one-time link. Only the hash of its secret is kept.
CREATE TABLE invite (
    secret_hash TEXT PRIMARY KEY,
    party_id TEXT REFERENCES party (id),
    role TEXT NOT NULL,
    name TEXT NOT NULL,
    made_ms BIGINT NOT NULL,
    ends_ms BIGINT NOT NULL,
    used_ms BIGINT
);
CREATE INDEX invite_open ON invite (used_ms, ends_ms);

-- A signed-in browser. Only the hash of its secret is kept.
CREATE TABLE session (
    secret_hash TEXT PRIMARY KEY,
    account_id TEXT NOT NULL REFERENCES account (id),
    began_ms BIGINT NOT NULL,
    seen_ms BIGINT NOT NULL,
    ends_ms BIGINT NOT NULL
);
CREATE INDEX session_account ON session (account_id);

-- Wrong passwords in a row for a login name, whether or not it exists.
CREATE TABLE sign_in_failure (
    login TEXT PRIMARY KEY,
    count BIGINT NOT NULL,
    closed_until_ms BIGINT NOT NULL
);

-- Each form carries a key; the second post of the same key gets the first one's outcome.
CREATE TABLE once (
    account_id TEXT NOT NULL,
    post_key TEXT NOT NULL,
    outcome TEXT NOT NULL,
    at_ms BIGINT NOT NULL,
    PRIMARY KEY (account_id, post_key)
);
