-- Pictures of cases on a server, in base64, by the SHA-256 of their bytes. Beside a file they lie in a folder of its own, and
-- this table is empty.
CREATE TABLE picture (
    case_number TEXT NOT NULL REFERENCES case_file (number),
    hash TEXT NOT NULL,
    bytes TEXT NOT NULL,
    PRIMARY KEY (case_number, hash)
);

-- Pictures that are erased from their entries, and whose bytes are still to go.
CREATE TABLE picture_going (
    case_number TEXT NOT NULL REFERENCES case_file (number),
    hash TEXT NOT NULL,
    PRIMARY KEY (case_number, hash)
);
