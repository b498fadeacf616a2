-- Invented rows, as the program wrote them when this migration was the newest: what later ones must carry along.
INSERT INTO resumption (id, why, signed, found, account_id, name, reason, resumed_ms) VALUES ('5e0a3f8c-6f5e-4a0e-9f0d-2f6c1f0a7b11', 'upgraded', '', '', NULL, '', '', 1795978761737);
INSERT INTO resumption (id, why, signed, found, account_id, name, reason, resumed_ms) VALUES ('9b1c2d3e-1111-4a0e-9f0d-2f6c1f0a7b12', 'restored', 'a signed note', 'another note', NULL, 'Ada Root', 'The disk failed; this is the copy of Sunday.', 1795988761737);
