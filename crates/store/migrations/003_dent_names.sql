-- A dent's name is given once in a job: photos, ticks and journal lines speak of a dent by its name, so the name of a dent
-- that was taken out is not given to another. Kept apart from the survey, so that counting on does not journal a survey.
CREATE TABLE dent_names (
    id   INTEGER PRIMARY KEY REFERENCES jobs (id), -- the job
    last INTEGER NOT NULL                          -- the highest number that a dent of the job ever had
) STRICT;

INSERT INTO dent_names (id, last)
SELECT job, max(number) FROM (
    SELECT job, CAST(substr(name, 2) AS INTEGER) AS number FROM dents WHERE name GLOB 'd[0-9]*' AND length(name) < 12
    UNION ALL
    SELECT json_extract(after, '$.job'), CAST(substr(json_extract(after, '$.name'), 2) AS INTEGER) FROM journal
    WHERE record = 'dents' AND act = 'insert' AND json_extract(after, '$.name') GLOB 'd[0-9]*' AND length(json_extract(after, '$.name')) < 12
)
WHERE job IN (SELECT id FROM jobs) GROUP BY job;

CREATE TRIGGER dent_named AFTER INSERT ON dents WHEN NEW.name GLOB 'd[0-9]*' AND length(NEW.name) < 12 BEGIN
    INSERT INTO dent_names (id, last) VALUES (NEW.job, CAST(substr(NEW.name, 2) AS INTEGER))
    ON CONFLICT (id) DO UPDATE SET last = max(last, excluded.last);
END;
