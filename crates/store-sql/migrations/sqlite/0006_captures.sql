-- Prints, pressures, photographs, clips and marker files, and what was done to them.
--
-- The file never changes; a save and an undo of the steps each add a row.

CREATE TABLE capture (
    seq INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    patient TEXT NOT NULL,
    visit TEXT NOT NULL,
    kind TEXT NOT NULL CHECK (kind IN
        ('print', 'pressure', 'from-behind', 'from-side', 'heel-rise', 'markers')),
    doing TEXT CHECK (doing IN ('standing', 'walking', 'one-leg', 'both-legs')),
    side TEXT CHECK (side IN ('left', 'right')),
    taken_on TEXT,
    file_name TEXT NOT NULL,
    content TEXT NOT NULL CHECK (length(content) = 64),
    media_type TEXT NOT NULL,
    note TEXT NOT NULL,
    -- A capture belongs to the patient of its visit.
    FOREIGN KEY (visit, patient) REFERENCES visit (id, patient)
) STRICT;
CREATE INDEX capture_by_patient ON capture (patient);
CREATE INDEX capture_by_visit ON capture (visit);

CREATE TABLE capture_steps (
    capture TEXT NOT NULL REFERENCES capture (id),
    revision INTEGER NOT NULL CHECK (revision > 0),
    -- The revision whose content this is: its own, or an earlier one after an undo.
    content_of INTEGER NOT NULL CHECK (content_of BETWEEN 1 AND revision),
    steps TEXT NOT NULL CHECK (json_valid(steps)),
    readings TEXT NOT NULL CHECK (json_valid(readings)),
    saved_at TEXT NOT NULL,
    saved_by TEXT NOT NULL,
    PRIMARY KEY (capture, revision)
) STRICT;

CREATE TRIGGER capture_content_stays
BEFORE UPDATE OF id, patient, visit, kind, file_name, content, media_type ON capture
BEGIN SELECT RAISE(ABORT, 'the capture itself never changes'); END;
CREATE TRIGGER captures_are_kept BEFORE DELETE ON capture
BEGIN SELECT RAISE(ABORT, 'a capture is never deleted'); END;

CREATE TRIGGER steps_stay BEFORE UPDATE ON capture_steps
BEGIN SELECT RAISE(ABORT, 'a revision never changes'); END;
CREATE TRIGGER steps_are_kept BEFORE DELETE ON capture_steps
BEGIN SELECT RAISE(ABORT, 'a revision never changes'); END;
-- Undo walks from revision to revision; a gap would stop it.
CREATE TRIGGER steps_count_on BEFORE INSERT ON capture_steps
WHEN NEW.revision <> 1 + (SELECT coalesce(max(revision), 0) FROM capture_steps
                          WHERE capture = NEW.capture)
BEGIN SELECT RAISE(ABORT, 'revisions count on by one'); END;

PRAGMA user_version = 6;
