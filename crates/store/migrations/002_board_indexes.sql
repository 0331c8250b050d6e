-- The board reads the first hundred jobs in order of their due day out of tens of thousands: it walks an index and stops.
CREATE INDEX jobs_open ON jobs (due IS NULL, due, id) WHERE state NOT IN ('handed_back', 'declined');
CREATE INDEX jobs_state_order ON jobs (state, due IS NULL, due, id);
DROP INDEX jobs_state_due;
-- The history reads the newest steps that were timed.
CREATE INDEX steps_timed ON steps (done_at, id) WHERE state = 'done' AND spent_s > 0;
