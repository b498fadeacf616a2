-- Invented rows, as the program wrote them when this migration was the newest: a case in which either side is asked.
UPDATE case_file SET office_asked = 'waits:1794978981737', lab_asked = 'open:1794978991737' WHERE number = 'C3333333F';
