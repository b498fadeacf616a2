-- The record goes on although the database lacked what its key had signed, or came from an earlier version: who
-- wanted it so, and why. Written once.
CREATE TABLE resumption (
    id TEXT PRIMARY KEY,
    -- `upgraded` or `restored`.
    why TEXT NOT NULL,
    -- How far the key had signed, a signed note; empty where nothing said so.
    signed TEXT NOT NULL,
    -- Where the record stood when it went on, a signed note; empty where it had not begun.
    found TEXT NOT NULL,
    -- The administrator; none for an upgrade, which is made on the machine itself.
    account_id TEXT REFERENCES account (id),
    name TEXT NOT NULL,
    reason TEXT NOT NULL,
    resumed_ms BIGINT NOT NULL
);
