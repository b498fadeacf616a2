-- How a house is reached at once; printed on every sheet that is signed from now on.
ALTER TABLE party ADD COLUMN telephone TEXT NOT NULL DEFAULT '';
