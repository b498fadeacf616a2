-- A timer of a step at the bench, from its start until the step is entered: what it came to goes into that entry, and the
-- row goes. Not in the record: it is of no weight before.
CREATE TABLE bench_timer (
    id TEXT PRIMARY KEY,
    case_number TEXT NOT NULL REFERENCES case_file (number),
    lab_id TEXT NOT NULL REFERENCES party (id),
    step TEXT NOT NULL,
    -- `mix`, `set`, `pot` or `cure`.
    kind TEXT NOT NULL,
    -- As the maker's sheet says and somebody typed it.
    seconds BIGINT NOT NULL,
    began_ms BIGINT NOT NULL,
    by_name TEXT NOT NULL,
    -- 0 while it runs.
    stopped_ms BIGINT NOT NULL DEFAULT 0
);
CREATE INDEX bench_timer_case ON bench_timer (case_number, began_ms);
CREATE INDEX bench_timer_lab ON bench_timer (lab_id, stopped_ms, began_ms);

-- Until when the lab keeps matrix and casts of a case, drawn from its events; no row where nothing is said, or where
-- nothing of them is there any more.
CREATE TABLE casts_kept (
    case_number TEXT PRIMARY KEY REFERENCES case_file (number),
    lab_id TEXT NOT NULL REFERENCES party (id),
    until TEXT NOT NULL
);
CREATE INDEX casts_kept_lab ON casts_kept (lab_id, until);
