-- Answers to the questions of the second laboratory since it has entered something last, drawn from the events. A start
-- draws what was drawn before.
ALTER TABLE passed_work ADD COLUMN new_answers BIGINT NOT NULL DEFAULT 0;
