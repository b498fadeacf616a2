-- Invented rows: a timer that runs, and one that was stopped.
INSERT INTO bench_timer (id, case_number, lab_id, step, kind, seconds, began_ms, by_name, stopped_ms) VALUES ('0c0f2b6e-7c4f-4e0b-8a9f-1d2e3f4a5b01', 'C3333333F', 'c5f3becd-33fe-45d6-81d7-a1d10111df71', 'cured', 'cure', 32400, 1794978971737, 'Tom Ash', 0);
INSERT INTO bench_timer (id, case_number, lab_id, step, kind, seconds, began_ms, by_name, stopped_ms) VALUES ('0c0f2b6e-7c4f-4e0b-8a9f-1d2e3f4a5b02', 'C3333333F', 'c5f3becd-33fe-45d6-81d7-a1d10111df71', 'flasked', 'mix', 45, 1794978900000, 'Tom Ash', 1794978946000);
INSERT INTO casts_kept (case_number, lab_id, until) VALUES ('C3333333F', 'c5f3becd-33fe-45d6-81d7-a1d10111df71', '2027-06-30');
