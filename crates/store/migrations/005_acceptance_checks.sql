-- One word for what is checked when the work is done. Triggers are laid anew on every opening.
DROP TRIGGER IF EXISTS journal_proofs_insert;
DROP TRIGGER IF EXISTS journal_proofs_update;
DROP TRIGGER IF EXISTS journal_proofs_delete;
DROP TRIGGER IF EXISTS journal_steps_update;
DROP TRIGGER IF EXISTS journal_photos_update;
ALTER TABLE proofs RENAME TO acceptance_checks;
UPDATE steps SET kind = 'acceptance_check' WHERE kind = 'prove';
UPDATE steps SET key = 'acceptance_check' || substr(key, 6) WHERE key LIKE 'prove:%';
UPDATE photos SET step = 'acceptance_check' || substr(step, 6) WHERE step LIKE 'prove:%';
-- The checks' steps are named by what they check.
UPDATE steps SET key = 'acceptance_check:bores' WHERE key LIKE 'acceptance_check:Prove the bores%';
UPDATE steps SET key = 'acceptance_check:tight' WHERE key LIKE 'acceptance_check:Prove tightness%';
UPDATE steps SET key = 'acceptance_check:whole' WHERE key LIKE 'acceptance_check:Prove the whole%';
UPDATE steps SET key = kind WHERE kind IN ('clean', 'strip', 'assemble', 'finish') AND key LIKE kind || ':% %';
