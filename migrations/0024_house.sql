-- The address under which a calendar program reads the days of a house, one of an account. Only the hash of its secret
-- is kept, and it opens nothing without what only the holder of the record's key can write beside it.
CREATE TABLE calendar_feed (
    account_id TEXT NOT NULL PRIMARY KEY REFERENCES account (id),
    secret_hash TEXT NOT NULL UNIQUE,
    made_ms BIGINT NOT NULL,
    binding TEXT NOT NULL
);

-- Until when each house keeps the papers of a closed case, as it is drawn from the signed texts and the entries: an
-- empty text where no profile names a time. Whether the office keeps them longer stands in the last column.
CREATE TABLE papers_kept (
    case_number TEXT NOT NULL PRIMARY KEY REFERENCES case_file (number),
    office_id TEXT NOT NULL REFERENCES party (id),
    lab_id TEXT NOT NULL REFERENCES party (id),
    office_until TEXT NOT NULL,
    lab_until TEXT NOT NULL,
    longer BIGINT NOT NULL
);
CREATE INDEX papers_kept_office ON papers_kept (office_id, office_until, case_number);
CREATE INDEX papers_kept_lab ON papers_kept (lab_id, lab_until, case_number);
