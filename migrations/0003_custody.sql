-- Items, handoffs and the events that are the only truth about both.

CREATE TABLE item (
    tag TEXT PRIMARY KEY,
    case_number TEXT NOT NULL REFERENCES case_file (number),
    position BIGINT NOT NULL,
    -- JSON of the item: kind, arch, note, pieces.
    body TEXT NOT NULL,
    UNIQUE (case_number, position)
);

CREATE TABLE event (
    case_number TEXT NOT NULL REFERENCES case_file (number),
    position BIGINT NOT NULL,
    id TEXT NOT NULL UNIQUE,
    at_ms BIGINT NOT NULL,
    kind TEXT NOT NULL,
    -- Canonical JSON (RFC 8785) of the event, written once.
    body TEXT NOT NULL,
    PRIMARY KEY (case_number, position)
);

-- Which case a handoff belongs to, and where it stands; everything else about it is in its events.
CREATE TABLE handoff (
    id TEXT PRIMARY KEY,
    case_number TEXT NOT NULL REFERENCES case_file (number),
    from_party TEXT NOT NULL REFERENCES party (id),
    to_party TEXT NOT NULL REFERENCES party (id),
    state TEXT NOT NULL,
    version BIGINT NOT NULL
);
CREATE INDEX handoff_case ON handoff (case_number);
