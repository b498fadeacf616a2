-- Pictures and scans whose bytes are laid before their entry is made: one that no entry names goes at the next start.
CREATE TABLE picture_coming (
    case_number TEXT NOT NULL REFERENCES case_file (number),
    hash TEXT NOT NULL,
    PRIMARY KEY (case_number, hash)
);
