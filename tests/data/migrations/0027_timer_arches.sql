-- Invented rows: a cure of the lower alone.
INSERT INTO bench_timer (id, case_number, lab_id, step, kind, arches, seconds, began_ms, by_name, stopped_ms) VALUES ('0c0f2b6e-7c4f-4e0b-8a9f-1d2e3f4a5b03', 'C3333333F', 'c5f3becd-33fe-45d6-81d7-a1d10111df71', 'cured', 'cure', 'lower', 32460, 1794978971737, 'Tom Ash', 0);
