-- A clock that was wrong once has dated entries into the future. An administrator's word lets the record go on: up to
-- which moment it counts, in milliseconds since 1970; 0 where the word is about something else.
ALTER TABLE resumption ADD COLUMN ahead_ms BIGINT NOT NULL DEFAULT 0;

-- Of a text of a draft that was written over, only what tells whether a page still shows it: salt and SHA-256. The text
-- itself goes.
ALTER TABLE draft_edit ADD COLUMN overwritten TEXT NOT NULL DEFAULT '';

-- Of when the newest entries are.
CREATE INDEX event_time ON event (at_ms);
CREATE INDEX revision_time ON revision (signed_ms);
