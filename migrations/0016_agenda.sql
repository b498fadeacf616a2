-- What the agenda of either side shows of a case, drawn from its events and the revision in force: in which of its
-- lists the case stands, by which day it is ordered, how many things there are and what is made of them. A start draws
-- what stood here before.
ALTER TABLE case_file ADD COLUMN office_turn TEXT NOT NULL DEFAULT 'others';
ALTER TABLE case_file ADD COLUMN office_day TEXT NOT NULL DEFAULT '9999-12-31';
ALTER TABLE case_file ADD COLUMN lab_turn TEXT NOT NULL DEFAULT 'others';
ALTER TABLE case_file ADD COLUMN lab_day TEXT NOT NULL DEFAULT '9999-12-31';
ALTER TABLE case_file ADD COLUMN things BIGINT NOT NULL DEFAULT 0;
ALTER TABLE case_file ADD COLUMN work TEXT NOT NULL DEFAULT '';
-- The one stage of its work, to be asked for; empty where there is none, or more than one.
ALTER TABLE case_file ADD COLUMN stage TEXT NOT NULL DEFAULT '';
-- Seals of what is on the way.
ALTER TABLE case_file ADD COLUMN seals TEXT NOT NULL DEFAULT '';
-- In small letters and without dashes, what the case is found by.
ALTER TABLE case_file ADD COLUMN words TEXT NOT NULL DEFAULT '';

DROP INDEX case_file_office;
DROP INDEX case_file_lab;
DROP INDEX case_file_office_also;
DROP INDEX case_file_lab_also;
CREATE INDEX case_file_office_turn ON case_file (office_id, closed, office_turn, office_day, number, stage);
CREATE INDEX case_file_lab_turn ON case_file (lab_id, closed, lab_turn, lab_day, number, stage);
CREATE INDEX case_file_office_house ON case_file (office_id, lab_id, closed, office_turn, office_day, number, stage);
CREATE INDEX case_file_lab_house ON case_file (lab_id, office_id, closed, lab_turn, lab_day, number, stage);
CREATE INDEX case_file_office_words ON case_file (office_id, closed, words);
CREATE INDEX case_file_lab_words ON case_file (lab_id, closed, words);
