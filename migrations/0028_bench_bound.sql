-- What only the holder of the record's key can write beside a device at the bench and a code. Those of before have none: a
-- device has to be allowed anew, a code to be set anew.
ALTER TABLE bench_device ADD COLUMN binding TEXT NOT NULL DEFAULT '';
ALTER TABLE bench_code ADD COLUMN binding TEXT NOT NULL DEFAULT '';
