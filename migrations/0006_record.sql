-- The record: one leaf for everything signed and everything that happened, in the order it was written.

-- One row, number 1: how many leaves there are, and what their tree comes to. Whoever writes anything
-- writes this row first, so that one writes after another.
CREATE TABLE record_head (
    id BIGINT PRIMARY KEY,
    size BIGINT NOT NULL,
    -- The roots of the complete subtrees of the whole tree, left to right, as hex.
    peaks TEXT NOT NULL,
    -- The signed note of size and root; empty before the first leaf.
    checkpoint TEXT NOT NULL
);
INSERT INTO record_head (id, size, peaks, checkpoint) VALUES (1, 0, '', '');

CREATE TABLE leaf (
    -- 0, 1, 2, ... without a gap: drawn from the head in the same transaction.
    number BIGINT PRIMARY KEY,
    kind TEXT NOT NULL,
    -- What it is about: the key of its row.
    about TEXT NOT NULL,
    case_number TEXT NOT NULL,
    -- The bytes that are hashed: canonical JSON (RFC 8785), every free text only as a salted commitment.
    body TEXT NOT NULL,
    -- RFC 9162 leaf hash of the body, as hex.
    hash TEXT NOT NULL
);
CREATE UNIQUE INDEX leaf_about ON leaf (kind, about);
CREATE INDEX leaf_case ON leaf (case_number, number);

-- What opens the commitments of one leaf: JSON of path to salt. Without its salt a text can no longer be
-- guessed from the leaf.
CREATE TABLE leaf_salt (
    leaf BIGINT PRIMARY KEY REFERENCES leaf (number),
    salts TEXT NOT NULL
);

-- Every 256th level of the tree's complete subtrees: level 1 covers 256 leaves, level 2 65,536.
CREATE TABLE tree_node (
    level BIGINT NOT NULL,
    place BIGINT NOT NULL,
    hash TEXT NOT NULL,
    PRIMARY KEY (level, place)
);
