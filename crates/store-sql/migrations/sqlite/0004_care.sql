-- What was given or done, and what the foot wore on a film.
--
-- An entry of care never changes: a save, an undo and a taking away each add a revision. The head keeps
-- what lists ask for, written in the same act as the revision it is of.

ALTER TABLE film ADD COLUMN worn TEXT CHECK (worn IN ('bare', 'shoe', 'device'));

CREATE TABLE care (
    seq INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    patient TEXT NOT NULL REFERENCES patient (id),
    visit TEXT,
    about TEXT,
    kind TEXT NOT NULL,
    revision INTEGER NOT NULL CHECK (revision > 0),
    began_on TEXT NOT NULL,
    ended_on TEXT,
    review_on TEXT,
    taken_away INTEGER NOT NULL CHECK (taken_away IN (0, 1)),
    UNIQUE (id, patient),
    FOREIGN KEY (visit, patient) REFERENCES visit (id, patient),
    -- A check is about an entry of the same patient.
    FOREIGN KEY (about, patient) REFERENCES care (id, patient)
) STRICT;
CREATE INDEX care_by_patient ON care (patient);
CREATE INDEX care_by_about ON care (about) WHERE about IS NOT NULL;
CREATE INDEX care_by_visit ON care (visit) WHERE visit IS NOT NULL;
CREATE INDEX care_by_review ON care (review_on) WHERE review_on IS NOT NULL AND taken_away = 0;

CREATE TABLE care_revision (
    care TEXT NOT NULL REFERENCES care (id),
    revision INTEGER NOT NULL CHECK (revision > 0),
    content_of INTEGER NOT NULL CHECK (content_of BETWEEN 1 AND revision),
    side TEXT CHECK (side IN ('left', 'right')),
    began_on TEXT NOT NULL,
    ended_on TEXT CHECK (ended_on >= began_on),
    review_on TEXT,
    answers TEXT NOT NULL CHECK (json_valid(answers)),
    taken_away INTEGER NOT NULL CHECK (taken_away IN (0, 1)),
    saved_at TEXT NOT NULL,
    saved_by TEXT NOT NULL,
    PRIMARY KEY (care, revision)
) STRICT;

CREATE TRIGGER care_stays BEFORE UPDATE OF id, patient, visit, about, kind ON care
BEGIN SELECT RAISE(ABORT, 'patient, visit, kind and what it is about never change'); END;
CREATE TRIGGER care_is_kept BEFORE DELETE ON care
BEGIN SELECT RAISE(ABORT, 'an entry of care is never deleted'); END;
CREATE TRIGGER care_revisions_stay BEFORE UPDATE ON care_revision
BEGIN SELECT RAISE(ABORT, 'a revision never changes'); END;
CREATE TRIGGER care_revisions_are_kept BEFORE DELETE ON care_revision
BEGIN SELECT RAISE(ABORT, 'a revision never changes'); END;
CREATE TRIGGER care_revisions_count_on BEFORE INSERT ON care_revision
WHEN NEW.revision <> 1 + (SELECT coalesce(max(revision), 0) FROM care_revision
                          WHERE care = NEW.care)
BEGIN SELECT RAISE(ABORT, 'revisions count on by one'); END;

-- A leg measured for a brace is examined too: the table again with two more subjects.
CREATE TABLE exam_wider (
    visit TEXT NOT NULL REFERENCES visit (id),
    subject TEXT NOT NULL CHECK (subject IN ('left', 'right', 'person', 'left-leg', 'right-leg')),
    revision INTEGER NOT NULL CHECK (revision > 0),
    -- The revision whose content this is: its own, or an earlier one after an undo.
    content_of INTEGER NOT NULL CHECK (content_of BETWEEN 1 AND revision),
    exam TEXT NOT NULL CHECK (json_valid(exam)),
    saved_at TEXT NOT NULL,
    saved_by TEXT NOT NULL,
    PRIMARY KEY (visit, subject, revision)
) STRICT;
INSERT INTO exam_wider (visit, subject, revision, content_of, exam, saved_at, saved_by)
    SELECT visit, subject, revision, content_of, exam, saved_at, saved_by FROM exam;
DROP TRIGGER exam_stays;
DROP TRIGGER exam_is_kept;
DROP TABLE exam;
ALTER TABLE exam_wider RENAME TO exam;
CREATE TRIGGER exam_stays BEFORE UPDATE ON exam
BEGIN SELECT RAISE(ABORT, 'a revision never changes'); END;
CREATE TRIGGER exam_is_kept BEFORE DELETE ON exam
BEGIN SELECT RAISE(ABORT, 'a revision never changes'); END;

PRAGMA user_version = 4;
