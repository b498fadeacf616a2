-- In which cases something happened within a time is read from the index alone: an entry has some hundred times its bytes.
DROP INDEX event_time;
CREATE INDEX event_time ON event (at_ms, case_number);
