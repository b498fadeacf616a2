-- Patients by pseudonym, cases, drafts and signed revisions.

CREATE TABLE patient (
    code TEXT PRIMARY KEY,
    office_id TEXT NOT NULL REFERENCES party (id),
    -- JSON of what the form holds; never a name or a birth date.
    facts TEXT NOT NULL,
    made_ms BIGINT NOT NULL,
    version BIGINT NOT NULL
);
CREATE INDEX patient_office ON patient (office_id, made_ms);

-- A case ("case" itself is a word of SQL).
CREATE TABLE case_file (
    number TEXT PRIMARY KEY,
    office_id TEXT NOT NULL REFERENCES party (id),
    lab_id TEXT NOT NULL REFERENCES party (id),
    patient_code TEXT NOT NULL REFERENCES patient (code),
    arches TEXT NOT NULL,
    opened_ms BIGINT NOT NULL,
    closed BIGINT NOT NULL,
    -- Drawn from the events and the revision in force, for the first page.
    place TEXT NOT NULL,
    held TEXT NOT NULL,
    waiting_for TEXT NOT NULL,
    due TEXT NOT NULL,
    summary TEXT NOT NULL,
    revision BIGINT NOT NULL,
    acknowledged BIGINT NOT NULL,
    changed_ms BIGINT NOT NULL,
    version BIGINT NOT NULL
);
CREATE INDEX case_file_office ON case_file (office_id, closed, place, due, number);
CREATE INDEX case_file_lab ON case_file (lab_id, closed, place, due, number);
CREATE INDEX case_file_patient ON case_file (patient_code);

-- The draft of the next revision: form key to text, as typed, right or wrong.
CREATE TABLE draft (
    case_number TEXT PRIMARY KEY REFERENCES case_file (number),
    based_on BIGINT NOT NULL,
    -- Tells this draft from one that was signed or given up before it.
    began_ms BIGINT NOT NULL,
    fields TEXT NOT NULL,
    version BIGINT NOT NULL,
    changed_ms BIGINT NOT NULL,
    changed_by TEXT NOT NULL
);

-- Every change of a draft's field, so that two people's texts can be told apart and neither is lost.
CREATE TABLE draft_edit (
    case_number TEXT NOT NULL REFERENCES case_file (number),
    version BIGINT NOT NULL,
    field TEXT NOT NULL,
    text TEXT NOT NULL,
    account_id TEXT NOT NULL,
    account_name TEXT NOT NULL,
    at_ms BIGINT NOT NULL,
    -- 1: written while somebody else wrote the same field; kept here, shown, and not in the draft.
    aside BIGINT NOT NULL,
    PRIMARY KEY (case_number, version, field)
);
CREATE INDEX draft_edit_aside ON draft_edit (case_number, aside);
CREATE INDEX draft_edit_field ON draft_edit (case_number, field, version);

CREATE TABLE revision (
    case_number TEXT NOT NULL REFERENCES case_file (number),
    number BIGINT NOT NULL,
    -- Canonical JSON (RFC 8785): the text that was shown, hashed and signed.
    document TEXT NOT NULL,
    hash TEXT NOT NULL,
    signer_account TEXT NOT NULL,
    signer_name TEXT NOT NULL,
    signer_licence TEXT NOT NULL,
    meaning TEXT NOT NULL,
    signed_ms BIGINT NOT NULL,
    offset_min BIGINT NOT NULL,
    PRIMARY KEY (case_number, number)
);

CREATE TABLE acknowledgement (
    case_number TEXT NOT NULL,
    revision BIGINT NOT NULL,
    account_id TEXT NOT NULL,
    name TEXT NOT NULL,
    at_ms BIGINT NOT NULL,
    offset_min BIGINT NOT NULL,
    PRIMARY KEY (case_number, revision),
    FOREIGN KEY (case_number, revision) REFERENCES revision (case_number, number)
);
