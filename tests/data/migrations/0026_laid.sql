-- Invented rows: a scan that was being added.
INSERT INTO picture_coming (case_number, hash) VALUES ('C3333333F', '7d865e959b2466918c9863afca942d0fb89d7c9ac0c99bafc3749504ded97730');
