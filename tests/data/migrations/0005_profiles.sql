-- The office has chosen a profile; the lab has chosen none.
UPDATE party SET profile = 'us-fl' WHERE id = '9912f17c-d08c-487c-8ff3-0f301930363e';
