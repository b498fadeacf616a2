-- Invented rows, as the program wrote them when this migration was the newest: what later ones must carry along.
INSERT INTO resumption (id, why, signed, found, account_id, name, reason, resumed_ms, ahead_ms) VALUES ('1c2d3e4f-2222-4a0e-9f0d-2f6c1f0a7b13', 'clock', '', 'a note', NULL, 'Ada Root', 'The clock was a year ahead on Monday.', 1795998761737, 1827534761737);
