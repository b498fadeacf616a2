-- A row that somebody has put in past the program opens nothing.

-- By which word somebody came in; none of the first administrator, and of those who came in before this was kept.
ALTER TABLE account ADD COLUMN admission_id TEXT;

-- What only the holder of the record's key can write beside a session, a one-time link, and a browser that is
-- known. Those of before have none, and end.
ALTER TABLE session ADD COLUMN binding TEXT NOT NULL DEFAULT '';
ALTER TABLE invite ADD COLUMN binding TEXT NOT NULL DEFAULT '';
ALTER TABLE known_browser ADD COLUMN binding TEXT NOT NULL DEFAULT '';
