-- Invented rows, as the program wrote them when this migration was the newest: what later ones must carry along.
INSERT INTO witness (party_id, size, checkpoint, seen_ms) VALUES ('c5f3becd-33fe-45d6-81d7-a1d10111df71', 412, 'vestibule.local/record/sample
412
fyAhGOx7t9mU8fOtE12ZX2Op9EILk9XFCFKS0tIhxhM=

— vestibule.local/record/sample bYlOZTZaPXFpzxL00Rv3YqZ8FGa8ay9WUYZjYhr29CIO4W3Msoy8cvja42lB9bgH4AGtynNvx4i1OQMWvPSfstSpEgI=
', 1793009461737);
INSERT INTO witness_key (key, party_id, account_id, account_name, first_ms, size, checkpoint, line, cosigned_ms) VALUES ('vestibule.local/record/sample/lab-c5f3becd33fe+ffe3e68d+BAECAwQ=', 'c5f3becd-33fe-45d6-81d7-a1d10111df71', 'f8c0733f-8706-4781-9ae7-9fc07f647c94', 'Bruno Kiesel', 1793009461737, 412, 'a signed note', 'a line', 1793009461737);
INSERT INTO alarm (id, why, kept, found, party_id, account_id, account_name, raised_ms) VALUES ('sample-alarm', 'shrunk', 'a signed note', '', 'c5f3becd-33fe-45d6-81d7-a1d10111df71', NULL, '', 1793009461737);
INSERT INTO alarm (id, why, kept, found, party_id, account_id, account_name, raised_ms) VALUES ('sample-settled', 'rewritten', 'a signed note', 'another', NULL, 'f8c0733f-8706-4781-9ae7-9fc07f647c94', 'Bruno Kiesel', 1793009461738);
INSERT INTO open_alarm (raised_ms, alarm_id) VALUES (1793009461737, 'sample-alarm');
INSERT INTO settlement (alarm_id, account_id, name, sentence, settled_ms) VALUES ('sample-settled', 'cc9cc909-02a9-4055-ae0a-1db3e63218d9', 'Installation administrator', 'restored a copy', 1793009461739);
