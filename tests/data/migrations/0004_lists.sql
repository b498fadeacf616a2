-- A lab's mould list of two versions, an office's guide, and one taken out of use.
INSERT INTO party_list (id, party_id, kind, name, version, entries) VALUES ('0a7e0f66-9a0c-4f0e-8d8a-5b1f6e2c7a10', 'c5f3becd-33fe-45d6-81d7-a1d10111df71', 'moulds', '', 2, 2);
INSERT INTO party_list_version (list_id, version, text, entries, account_id, account_name, at_ms) VALUES ('0a7e0f66-9a0c-4f0e-8d8a-5b1f6e2c7a10', 1, 'code,arch,region,width,width_basis,length,form,cusp_angle,stock
Otter 7,upper,front,51,curve,10.5,ovoid,,3
', 1, 'f8c0733f-8706-4781-9ae7-9fc07f647c94', 'Bruno Kiesel', 1792000000000);
INSERT INTO party_list_version (list_id, version, text, entries, account_id, account_name, at_ms) VALUES ('0a7e0f66-9a0c-4f0e-8d8a-5b1f6e2c7a10', 2, 'code;arch;region;width;width_basis;length;form;cusp_angle;stock
Otter 7;upper;front;51,2;curve;10,5;ovoid;;0
Otter P2;lower;back;33,5;caliper;;;20;4
', 2, '742c63e4-8dd0-4bce-bbe9-7fd7cac55f95', 'Vera Lohm', 1792100000000);
INSERT INTO party_list (id, party_id, kind, name, version, entries) VALUES ('6f0d9f0e-50b5-4f43-9c07-2f3fd7d3d9b1', '9912f17c-d08c-487c-8ff3-0f301930363e', 'tooth_guide', 'Hillside', 1, 2);
INSERT INTO party_list_version (list_id, version, text, entries, account_id, account_name, at_ms) VALUES ('6f0d9f0e-50b5-4f43-9c07-2f3fd7d3d9b1', 1, 'tab,L,a,b
birch 4,71.5,1.2,18
"birch 5, warm",69.8,1.6,19.4
', 2, 'b1425f8f-bfa4-411e-841c-1e4e6d825018', 'Jonas Feld', 1792000000500);
INSERT INTO party_list (id, party_id, kind, name, version, entries) VALUES ('a4b1fd3a-7f5a-49a1-9a55-0d2f6c1f8e77', '9912f17c-d08c-487c-8ff3-0f301930363e', 'base_guide', 'Hillside', 2, 0);
INSERT INTO party_list_version (list_id, version, text, entries, account_id, account_name, at_ms) VALUES ('a4b1fd3a-7f5a-49a1-9a55-0d2f6c1f8e77', 1, 'tab,L,a,b
heather 2,54.6,22.3,11.4
', 1, '8018de84-8117-429f-99ce-887800aa3d71', 'Ilse Marder', 1792000000600);
INSERT INTO party_list_version (list_id, version, text, entries, account_id, account_name, at_ms) VALUES ('a4b1fd3a-7f5a-49a1-9a55-0d2f6c1f8e77', 2, '', 0, '8018de84-8117-429f-99ce-887800aa3d71', 'Ilse Marder', 1792200000000);
