-- Standard jobs that the customer asked for when the instrument was taken in: JSON, their keys in the shop's list. The survey takes them over
-- when it is begun.
ALTER TABLE jobs ADD COLUMN asked TEXT NOT NULL DEFAULT '[]';
