-- Invented rows: work passed on to a laboratory with accounts here, open and over.
INSERT INTO passed_work (event_id, case_number, party_id, is_open) VALUES ('5d0c4a52-0f0e-4a57-9a51-0c9d1f1b7e21', 'C3333333F', 'c5f3becd-33fe-45d6-81d7-a1d10111df71', 1);
INSERT INTO passed_work (event_id, case_number, party_id, is_open) VALUES ('b1e9a7c3-6a35-4d2e-8c44-2f7f5f0a9d10', 'C54FB5V87', 'c5f3becd-33fe-45d6-81d7-a1d10111df71', 0);
