-- Invented rows: work passed on, two of whose questions were answered since its laboratory entered something last.
UPDATE passed_work SET new_answers = 2 WHERE event_id = '5d0c4a52-0f0e-4a57-9a51-0c9d1f1b7e21';
