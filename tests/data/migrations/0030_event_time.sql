-- An index alone: no row is written otherwise since, and those that are there are found by it.
SELECT case_number FROM event WHERE at_ms >= 1793328961737 AND at_ms < 1793328961738;
