-- It is empty but within one transaction.
INSERT INTO erasing (event_id) VALUES ('sample-event');
DELETE FROM erasing WHERE event_id = 'sample-event';
