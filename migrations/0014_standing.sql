-- A case can wait at two places at once: where more of its work is than its place says; empty where nowhere is.
ALTER TABLE case_file ADD COLUMN also TEXT NOT NULL DEFAULT '';

-- Which way of drawing made the columns that lists show; a start draws again what an earlier version drew.
ALTER TABLE case_file ADD COLUMN drawn BIGINT NOT NULL DEFAULT 0;

CREATE INDEX case_file_office_also ON case_file (office_id, closed, also, due, number);
CREATE INDEX case_file_lab_also ON case_file (lab_id, closed, also, due, number);
CREATE INDEX case_file_drawn ON case_file (drawn, number);
