-- Witnesses of the record: what each side has last seen of it, and what came up when it no longer fitted.

-- The newest checkpoint that somebody of this party was shown, compared with the one before.
CREATE TABLE witness (
    party_id TEXT PRIMARY KEY REFERENCES party (id),
    size BIGINT NOT NULL,
    -- The signed note.
    checkpoint TEXT NOT NULL,
    seen_ms BIGINT NOT NULL
);

-- A key of a browser of this party, with the newest checkpoint that it has cosigned. The secret half never
-- leaves the browser.
CREATE TABLE witness_key (
    -- name+id+base64 (C2SP signed-note).
    key TEXT PRIMARY KEY,
    party_id TEXT NOT NULL REFERENCES party (id),
    -- Who was signed in when it was first used.
    account_id TEXT NOT NULL REFERENCES account (id),
    account_name TEXT NOT NULL,
    first_ms BIGINT NOT NULL,
    size BIGINT NOT NULL,
    checkpoint TEXT NOT NULL,
    -- The key's own signature line below that note.
    line TEXT NOT NULL,
    cosigned_ms BIGINT NOT NULL
);
CREATE INDEX witness_key_party ON witness_key (party_id, size);

-- A checkpoint that somebody keeps and that the record no longer contains. Written once.
CREATE TABLE alarm (
    id TEXT PRIMARY KEY,
    why TEXT NOT NULL,
    -- What was kept, and what stands there instead: signed notes, empty where there is none.
    kept TEXT NOT NULL,
    found TEXT NOT NULL,
    party_id TEXT REFERENCES party (id),
    -- Whose browser has found it; none where the program itself has.
    account_id TEXT REFERENCES account (id),
    account_name TEXT NOT NULL,
    raised_ms BIGINT NOT NULL
);

-- Alarms that nobody has settled yet, in the order in which they came up.
CREATE TABLE open_alarm (
    raised_ms BIGINT NOT NULL,
    alarm_id TEXT NOT NULL REFERENCES alarm (id),
    PRIMARY KEY (raised_ms, alarm_id)
);

-- An administrator's word on an alarm. Written once.
CREATE TABLE settlement (
    alarm_id TEXT PRIMARY KEY REFERENCES alarm (id),
    account_id TEXT NOT NULL REFERENCES account (id),
    name TEXT NOT NULL,
    sentence TEXT NOT NULL,
    settled_ms BIGINT NOT NULL
);
CREATE INDEX settlement_time ON settlement (settled_ms);

-- Whether two parties share a case at all.
CREATE INDEX case_file_parties ON case_file (office_id, lab_id);
