-- The first layout of the record file.
--
-- Days are text like 2026-11-24, moments are text in UTC like 2026-11-24T09:00:00Z, ids are text
-- like 0193a1b2-.... 'seq' keeps the order in which things came in. Payloads of other parts are
-- JSON with the name and version of their format. What must never change is guarded by triggers,
-- so that not even a wrong statement can change it.

CREATE TABLE practice (
    one INTEGER PRIMARY KEY CHECK (one = 1),
    name TEXT NOT NULL,
    address TEXT NOT NULL CHECK (json_valid(address)),
    telephone TEXT,
    demo INTEGER NOT NULL CHECK (demo IN (0, 1))
) STRICT;

CREATE TABLE clinician (
    id TEXT PRIMARY KEY,
    name TEXT NOT NULL,
    qualification TEXT NOT NULL,
    active INTEGER NOT NULL CHECK (active IN (0, 1))
) STRICT;

CREATE TABLE patient (
    id TEXT PRIMARY KEY,
    chart_number TEXT NOT NULL UNIQUE,
    given_name TEXT NOT NULL,
    family_name TEXT NOT NULL,
    born_on TEXT,
    sex TEXT CHECK (sex IN ('female', 'male')),
    note TEXT NOT NULL,
    -- Names, chart number and birth date in plain small letters, for searching and sorting.
    find_by TEXT NOT NULL
) STRICT;
CREATE INDEX patient_by_name ON patient (find_by);

CREATE TABLE visit (
    seq INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    patient TEXT NOT NULL REFERENCES patient (id),
    day TEXT NOT NULL,
    reason TEXT NOT NULL,
    state TEXT NOT NULL CHECK (state IN ('open', 'closed')),
    UNIQUE (id, patient)
) STRICT;
CREATE INDEX visit_by_patient ON visit (patient, day);
CREATE INDEX visit_by_day ON visit (day);

CREATE TABLE film (
    seq INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    patient TEXT NOT NULL,
    visit TEXT NOT NULL,
    view TEXT,
    side TEXT CHECK (side IN ('left', 'right')),
    stance TEXT NOT NULL,
    taken_on TEXT,
    file_name TEXT NOT NULL,
    content TEXT NOT NULL CHECK (length(content) = 64),
    media_type TEXT NOT NULL,
    width_px INTEGER NOT NULL CHECK (width_px > 0),
    height_px INTEGER NOT NULL CHECK (height_px > 0),
    scale_wish TEXT CHECK (json_valid(scale_wish)),
    scale_answer TEXT CHECK (json_valid(scale_answer)),
    quarter_turns INTEGER NOT NULL CHECK (quarter_turns BETWEEN 0 AND 3),
    mirrored INTEGER NOT NULL CHECK (mirrored IN (0, 1)),
    note TEXT NOT NULL,
    -- A film belongs to the patient of its visit.
    FOREIGN KEY (visit, patient) REFERENCES visit (id, patient)
) STRICT;
CREATE INDEX film_by_patient ON film (patient);
CREATE INDEX film_by_visit ON film (visit);
CREATE INDEX film_by_content ON film (content);

CREATE TABLE points (
    seq INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    film TEXT NOT NULL REFERENCES film (id),
    reader TEXT NOT NULL REFERENCES clinician (id),
    reader_name TEXT NOT NULL,
    attempt INTEGER NOT NULL CHECK (attempt > 0),
    placed_at TEXT NOT NULL,
    finished INTEGER NOT NULL CHECK (finished IN (0, 1)),
    points TEXT NOT NULL CHECK (json_valid(points)),
    sheet TEXT NOT NULL CHECK (json_valid(sheet)),
    UNIQUE (film, reader, attempt)
) STRICT;

CREATE TABLE wear (
    film TEXT NOT NULL REFERENCES film (id),
    revision INTEGER NOT NULL CHECK (revision > 0),
    grades TEXT NOT NULL CHECK (json_valid(grades)),
    saved_at TEXT NOT NULL,
    saved_by TEXT NOT NULL,
    PRIMARY KEY (film, revision)
) STRICT;

CREATE TABLE exam (
    visit TEXT NOT NULL REFERENCES visit (id),
    subject TEXT NOT NULL CHECK (subject IN ('left', 'right', 'person')),
    revision INTEGER NOT NULL CHECK (revision > 0),
    -- The revision whose content this is: its own, or an earlier one after an undo.
    content_of INTEGER NOT NULL CHECK (content_of BETWEEN 1 AND revision),
    exam TEXT NOT NULL CHECK (json_valid(exam)),
    saved_at TEXT NOT NULL,
    saved_by TEXT NOT NULL,
    PRIMARY KEY (visit, subject, revision)
) STRICT;

CREATE TABLE decision (
    visit TEXT NOT NULL REFERENCES visit (id),
    side TEXT NOT NULL CHECK (side IN ('left', 'right')),
    revision INTEGER NOT NULL CHECK (revision > 0),
    report TEXT NOT NULL CHECK (json_valid(report)),
    chosen TEXT,
    overruled_reason TEXT,
    saved_at TEXT NOT NULL,
    saved_by TEXT NOT NULL,
    PRIMARY KEY (visit, side, revision)
) STRICT;

CREATE TABLE plan (
    visit TEXT NOT NULL REFERENCES visit (id),
    revision INTEGER NOT NULL CHECK (revision > 0),
    plan TEXT NOT NULL CHECK (json_valid(plan)),
    review_on TEXT,
    saved_at TEXT NOT NULL,
    saved_by TEXT NOT NULL,
    PRIMARY KEY (visit, revision)
) STRICT;

CREATE TABLE letter (
    seq INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    visit TEXT NOT NULL REFERENCES visit (id),
    kind TEXT NOT NULL,
    title TEXT NOT NULL,
    facts TEXT NOT NULL CHECK (json_valid(facts)),
    addendum_to TEXT REFERENCES letter (id),
    drafted_at TEXT NOT NULL,
    signed_at TEXT,
    signed_by TEXT REFERENCES clinician (id),
    pdf TEXT CHECK (length(pdf) = 64),
    seal TEXT CHECK (length(seal) = 64),
    -- Signed wholly or not at all.
    CHECK ((signed_at IS NULL) = (signed_by IS NULL)
       AND (signed_at IS NULL) = (pdf IS NULL)
       AND (signed_at IS NULL) = (seal IS NULL))
) STRICT;
CREATE INDEX letter_by_visit ON letter (visit);

CREATE TABLE journal (
    number INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    at TEXT NOT NULL,
    by TEXT NOT NULL,
    kind TEXT NOT NULL,
    subject TEXT NOT NULL,
    subject_id TEXT NOT NULL,
    summary TEXT NOT NULL
) STRICT;
CREATE INDEX journal_by_subject ON journal (subject, subject_id);

CREATE TRIGGER journal_stays BEFORE UPDATE ON journal
BEGIN SELECT RAISE(ABORT, 'the journal is only added to'); END;
CREATE TRIGGER journal_is_kept BEFORE DELETE ON journal
BEGIN SELECT RAISE(ABORT, 'the journal is only added to'); END;

CREATE TRIGGER exam_stays BEFORE UPDATE ON exam
BEGIN SELECT RAISE(ABORT, 'a revision never changes'); END;
CREATE TRIGGER exam_is_kept BEFORE DELETE ON exam
BEGIN SELECT RAISE(ABORT, 'a revision never changes'); END;
CREATE TRIGGER decision_stays BEFORE UPDATE ON decision
BEGIN SELECT RAISE(ABORT, 'a revision never changes'); END;
CREATE TRIGGER decision_is_kept BEFORE DELETE ON decision
BEGIN SELECT RAISE(ABORT, 'a revision never changes'); END;
CREATE TRIGGER plan_stays BEFORE UPDATE ON plan
BEGIN SELECT RAISE(ABORT, 'a revision never changes'); END;
CREATE TRIGGER plan_is_kept BEFORE DELETE ON plan
BEGIN SELECT RAISE(ABORT, 'a revision never changes'); END;
CREATE TRIGGER wear_stays BEFORE UPDATE ON wear
BEGIN SELECT RAISE(ABORT, 'a revision never changes'); END;
CREATE TRIGGER wear_is_kept BEFORE DELETE ON wear
BEGIN SELECT RAISE(ABORT, 'a revision never changes'); END;

CREATE TRIGGER finished_points_stay BEFORE UPDATE ON points WHEN OLD.finished = 1
BEGIN SELECT RAISE(ABORT, 'a finished placing never changes'); END;
CREATE TRIGGER points_are_kept BEFORE DELETE ON points
BEGIN SELECT RAISE(ABORT, 'a placing is never deleted'); END;

CREATE TRIGGER signed_letters_stay BEFORE UPDATE ON letter WHEN OLD.signed_at IS NOT NULL
BEGIN SELECT RAISE(ABORT, 'a signed letter never changes'); END;
CREATE TRIGGER letters_are_kept BEFORE DELETE ON letter
BEGIN SELECT RAISE(ABORT, 'a letter is never deleted'); END;

CREATE TRIGGER film_content_stays
BEFORE UPDATE OF id, patient, visit, file_name, content, media_type, width_px, height_px ON film
BEGIN SELECT RAISE(ABORT, 'the film itself never changes'); END;
CREATE TRIGGER films_are_kept BEFORE DELETE ON film
BEGIN SELECT RAISE(ABORT, 'a film is never deleted'); END;

PRAGMA user_version = 1;
