-- Work passed on to a laboratory that has accounts here: by the entry that says so, with the case and that house. What it
-- tells follows from the entries of the case.
CREATE TABLE passed_work (
    event_id TEXT NOT NULL PRIMARY KEY,
    case_number TEXT NOT NULL REFERENCES case_file (number),
    party_id TEXT NOT NULL REFERENCES party (id),
    is_open BIGINT NOT NULL
);

CREATE INDEX passed_work_by_party ON passed_work (party_id, is_open, event_id);
