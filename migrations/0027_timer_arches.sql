-- The arches that a timer was started for: `upper`, `lower` or `both`. Those of before go into whichever entry comes first.
ALTER TABLE bench_timer ADD COLUMN arches TEXT NOT NULL DEFAULT 'both';
