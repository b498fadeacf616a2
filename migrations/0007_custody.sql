-- When this browser last proved by password who sits at it; 0 is never. Handing over and receiving ask for
-- the password again where that is too long ago.
ALTER TABLE session ADD COLUMN proved_ms BIGINT NOT NULL DEFAULT 0;

-- The earliest day on which something lent is due back; empty where nothing is.
ALTER TABLE case_file ADD COLUMN lent_due TEXT NOT NULL DEFAULT '';
