-- Which question a side of an open case is to answer first, drawn from its events: `waits:` or `open:` and the moment at
-- which it was asked; empty where nothing is asked. A start draws what was drawn before.
ALTER TABLE case_file ADD COLUMN office_asked TEXT NOT NULL DEFAULT '';
ALTER TABLE case_file ADD COLUMN lab_asked TEXT NOT NULL DEFAULT '';
