-- Who comes in, from where, and who let them.

-- Where a session was begun, and in which browser, as it calls itself.
ALTER TABLE session ADD COLUMN address TEXT NOT NULL DEFAULT '';
ALTER TABLE session ADD COLUMN browser TEXT NOT NULL DEFAULT '';

-- A browser in which somebody has signed in before: strangers at the door do not keep it outside. Only the hash of
-- its secret is kept.
CREATE TABLE known_browser (
    secret_hash TEXT NOT NULL,
    account_id TEXT NOT NULL REFERENCES account (id),
    ends_ms BIGINT NOT NULL,
    PRIMARY KEY (secret_hash, account_id)
);
CREATE INDEX known_browser_account ON known_browser (account_id);
CREATE INDEX known_browser_end ON known_browser (ends_ms);

-- `login` names what wrong passwords are counted of: a name from one address, an address, a name from anywhere, a
-- browser, or somebody who is signed in. They are counted from here on.
ALTER TABLE sign_in_failure ADD COLUMN since_ms BIGINT NOT NULL DEFAULT 0;
CREATE INDEX sign_in_failure_since ON sign_in_failure (since_ms);

-- Somebody was let in, or made a way in for: written once, and in the record.
CREATE TABLE admission (
    id TEXT PRIMARY KEY,
    -- `invited`, `new_password` or `revoked`.
    what TEXT NOT NULL,
    -- Empty where it is about an administrator.
    party_id TEXT NOT NULL,
    role TEXT NOT NULL,
    name TEXT NOT NULL,
    -- Whose password is made anew; none of somebody who is invited.
    account_id TEXT REFERENCES account (id),
    -- Which link is void from now on.
    link_id TEXT REFERENCES admission (id),
    by_account TEXT NOT NULL REFERENCES account (id),
    by_name TEXT NOT NULL,
    at_ms BIGINT NOT NULL
);
CREATE INDEX admission_party ON admission (party_id, at_ms);

-- Until when somebody has read who was let in.
CREATE TABLE admission_seen (
    account_id TEXT PRIMARY KEY REFERENCES account (id),
    at_ms BIGINT NOT NULL
);

-- Which admission a link belongs to, and whose password it makes anew.
ALTER TABLE invite ADD COLUMN admission_id TEXT;
ALTER TABLE invite ADD COLUMN account_id TEXT;
CREATE INDEX invite_account ON invite (account_id);
