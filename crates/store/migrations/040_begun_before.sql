-- A job of a contract whose instrument was begun by hand before it had the job: what it had taken by then, seconds. It counts in what the
-- job has taken; nobody knows in which steps, so that its steps' times teach nothing.
ALTER TABLE contract_jobs ADD COLUMN begun_before_s INTEGER;
