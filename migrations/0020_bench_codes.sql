-- A short code of a person, for entries at the bench, and the devices on which it is taken. Not in the record: whoever
-- comes in by a code signs nothing, and each entry that is made by one says so itself.

-- A device that a manager of the lab has allowed. Only the hash of its secret is kept; a row is never deleted.
CREATE TABLE bench_device (
    id TEXT PRIMARY KEY,
    secret_hash TEXT NOT NULL UNIQUE,
    party_id TEXT NOT NULL REFERENCES party (id),
    name TEXT NOT NULL,
    by_name TEXT NOT NULL,
    allowed_ms BIGINT NOT NULL,
    -- 0 is never.
    used_ms BIGINT NOT NULL DEFAULT 0,
    -- 0 where it is still allowed.
    taken_back_ms BIGINT NOT NULL DEFAULT 0
);
CREATE INDEX bench_device_party ON bench_device (party_id, allowed_ms);

-- Hashed as passwords are.
CREATE TABLE bench_code (
    account_id TEXT PRIMARY KEY REFERENCES account (id),
    hash TEXT NOT NULL,
    set_ms BIGINT NOT NULL
);

-- Wrong codes in a row of one person on one device, until the password is typed there.
CREATE TABLE bench_code_wrong (
    account_id TEXT NOT NULL REFERENCES account (id),
    device_id TEXT NOT NULL REFERENCES bench_device (id),
    count BIGINT NOT NULL,
    PRIMARY KEY (account_id, device_id)
);

-- The device, of a session that was begun by a code.
ALTER TABLE session ADD COLUMN device_id TEXT NOT NULL DEFAULT '';
CREATE INDEX session_device ON session (device_id);
