-- Who was erased, when, by whom and why; nothing of the person but the id that nobody else ever has.

CREATE TABLE tombstone (
    patient TEXT PRIMARY KEY,
    erased_at TEXT NOT NULL,
    erased_by TEXT NOT NULL REFERENCES clinician (id),
    reason TEXT NOT NULL,
    row_count INTEGER NOT NULL CHECK (row_count > 0),
    file_count INTEGER NOT NULL CHECK (file_count >= 0)
) STRICT;
CREATE TRIGGER tombstones_stay BEFORE UPDATE ON tombstone
BEGIN SELECT RAISE(ABORT, 'a tombstone stays'); END;
CREATE TRIGGER tombstones_are_kept BEFORE DELETE ON tombstone
BEGIN SELECT RAISE(ABORT, 'a tombstone stays'); END;
-- Whoever was erased does not come back by another hand.
CREATE TRIGGER the_erased_stay_away BEFORE INSERT ON patient
WHEN EXISTS (SELECT 1 FROM tombstone WHERE tombstone.patient = NEW.id)
BEGIN SELECT RAISE(ABORT, 'this patient was erased'); END;

PRAGMA user_version = 11;
