-- The profile of local law that each party has chosen; the key of one of the installation's profiles.
ALTER TABLE party ADD COLUMN profile TEXT NOT NULL DEFAULT 'common';
