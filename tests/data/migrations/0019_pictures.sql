-- Invented rows: a picture on a server, and one whose bytes are still to go.
INSERT INTO picture (case_number, hash, bytes) VALUES ('C3333333F', 'b5bb9d8014a0f9b1d61e21e796d78dccdf1352f23cd32812f4850b878ae4944c', 'Zm9vCg==');
INSERT INTO picture_going (case_number, hash) VALUES ('C3333333F', 'b5bb9d8014a0f9b1d61e21e796d78dccdf1352f23cd32812f4850b878ae4944c');
