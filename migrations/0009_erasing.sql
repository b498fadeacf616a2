-- The entry out of which a free text is being erased: written and taken away again in one transaction, and
-- empty at any other time. An entry is written over only while it stands here.
CREATE TABLE erasing (
    event_id TEXT PRIMARY KEY
);
