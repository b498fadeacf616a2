-- Where a case stands at the bench of its lab, drawn from its events and the revision in force: the pan as the lab writes
-- it and as it is looked for, the account of the technician, how many steps are open and which is the next. A start draws
-- what stood here before.
ALTER TABLE case_file ADD COLUMN pan TEXT NOT NULL DEFAULT '';
ALTER TABLE case_file ADD COLUMN pan_key TEXT NOT NULL DEFAULT '';
ALTER TABLE case_file ADD COLUMN technician TEXT NOT NULL DEFAULT '';
ALTER TABLE case_file ADD COLUMN bench_open BIGINT NOT NULL DEFAULT 0;
ALTER TABLE case_file ADD COLUMN bench_next TEXT NOT NULL DEFAULT '';

CREATE INDEX case_file_pan ON case_file (lab_id, closed, pan_key);
-- The lists of a lab, narrowed down to a technician out of the index alone.
DROP INDEX case_file_lab_turn;
DROP INDEX case_file_lab_house;
CREATE INDEX case_file_lab_turn ON case_file (lab_id, closed, lab_turn, lab_day, number, stage, technician);
CREATE INDEX case_file_lab_house ON case_file (lab_id, office_id, closed, lab_turn, lab_day, number, stage, technician);

-- What was used last is looked for in the newest entries of the bench.
CREATE INDEX event_kind ON event (kind, at_ms);
