-- By what a step is timed: its method or opening, the standard that it was planned by, and how that standard was set then (JSON); empty: kept
-- by a program that did not learn. A finished job's steps teach the next quotes.
ALTER TABLE steps ADD COLUMN timed_by TEXT NOT NULL DEFAULT '';
