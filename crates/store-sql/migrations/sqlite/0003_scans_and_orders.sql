-- Foot scans, and orders of devices shaped on them.
--
-- Nothing in the three tables of orders ever changes: a save, an undo and a sending each add a row.

CREATE TABLE scan (
    seq INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    patient TEXT NOT NULL,
    visit TEXT NOT NULL,
    side TEXT CHECK (side IN ('left', 'right')),
    load TEXT CHECK (load IN ('none', 'partial', 'full')),
    unit TEXT,
    taken_on TEXT,
    file_name TEXT NOT NULL,
    content TEXT NOT NULL CHECK (length(content) = 64),
    media_type TEXT NOT NULL,
    note TEXT NOT NULL,
    UNIQUE (id, patient),
    -- A scan belongs to the patient of its visit.
    FOREIGN KEY (visit, patient) REFERENCES visit (id, patient)
) STRICT;
CREATE INDEX scan_by_patient ON scan (patient);
CREATE INDEX scan_by_visit ON scan (visit);

-- What stays with an order from its first save.
CREATE TABLE device_order (
    seq INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    patient TEXT NOT NULL,
    visit TEXT NOT NULL,
    side TEXT NOT NULL CHECK (side IN ('left', 'right')),
    code TEXT NOT NULL UNIQUE,
    UNIQUE (id, patient),
    FOREIGN KEY (visit, patient) REFERENCES visit (id, patient)
) STRICT;
CREATE INDEX device_order_by_patient ON device_order (patient);
CREATE INDEX device_order_by_visit ON device_order (visit);

CREATE TABLE order_revision (
    order_id TEXT NOT NULL,
    -- The order's own, here again so that its scan can be held to it.
    patient TEXT NOT NULL,
    revision INTEGER NOT NULL CHECK (revision > 0),
    -- The revision whose content this is: its own, or an earlier one after an undo.
    content_of INTEGER NOT NULL CHECK (content_of BETWEEN 1 AND revision),
    scan TEXT,
    measures TEXT CHECK (json_valid(measures)),
    points TEXT CHECK (json_valid(points)),
    prescription TEXT NOT NULL CHECK (json_valid(prescription)),
    saved_at TEXT NOT NULL,
    saved_by TEXT NOT NULL,
    PRIMARY KEY (order_id, revision),
    -- Shaped on a scan or on measurements, never on both or on nothing.
    CHECK ((scan IS NULL) <> (measures IS NULL)),
    FOREIGN KEY (order_id, patient) REFERENCES device_order (id, patient),
    -- The scan is of the same patient.
    FOREIGN KEY (scan, patient) REFERENCES scan (id, patient)
) STRICT;
CREATE INDEX order_revision_by_scan ON order_revision (scan) WHERE scan IS NOT NULL;

CREATE TABLE order_sent (
    order_id TEXT PRIMARY KEY,
    revision INTEGER NOT NULL,
    sent_at TEXT NOT NULL,
    sent_by TEXT NOT NULL,
    sheet TEXT NOT NULL CHECK (length(sheet) = 64),
    solids TEXT NOT NULL CHECK (length(solids) = 64),
    FOREIGN KEY (order_id, revision) REFERENCES order_revision (order_id, revision)
) STRICT;

CREATE TRIGGER scan_content_stays
BEFORE UPDATE OF id, patient, visit, file_name, content, media_type ON scan
BEGIN SELECT RAISE(ABORT, 'the scan itself never changes'); END;
CREATE TRIGGER scans_are_kept BEFORE DELETE ON scan
BEGIN SELECT RAISE(ABORT, 'a scan is never deleted'); END;

CREATE TRIGGER orders_stay BEFORE UPDATE ON device_order
BEGIN SELECT RAISE(ABORT, 'patient, visit, side and code of an order never change'); END;
CREATE TRIGGER orders_are_kept BEFORE DELETE ON device_order
BEGIN SELECT RAISE(ABORT, 'an order is never deleted'); END;

CREATE TRIGGER order_revisions_stay BEFORE UPDATE ON order_revision
BEGIN SELECT RAISE(ABORT, 'a revision never changes'); END;
CREATE TRIGGER order_revisions_are_kept BEFORE DELETE ON order_revision
BEGIN SELECT RAISE(ABORT, 'a revision never changes'); END;
-- Undo walks from revision to revision; a gap would stop it.
CREATE TRIGGER order_revisions_count_on BEFORE INSERT ON order_revision
WHEN NEW.revision <> 1 + (SELECT coalesce(max(revision), 0) FROM order_revision
                          WHERE order_id = NEW.order_id)
BEGIN SELECT RAISE(ABORT, 'revisions count on by one'); END;
CREATE TRIGGER sent_orders_stay BEFORE INSERT ON order_revision
WHEN EXISTS (SELECT 1 FROM order_sent WHERE order_id = NEW.order_id)
BEGIN SELECT RAISE(ABORT, 'a sent order never changes'); END;

CREATE TRIGGER orders_are_sent_once BEFORE INSERT ON order_sent
WHEN EXISTS (SELECT 1 FROM order_sent WHERE order_id = NEW.order_id)
BEGIN SELECT RAISE(ABORT, 'an order is sent once'); END;
CREATE TRIGGER the_last_revision_is_sent BEFORE INSERT ON order_sent
WHEN NEW.revision IS NOT (SELECT max(revision) FROM order_revision WHERE order_id = NEW.order_id)
BEGIN SELECT RAISE(ABORT, 'the last revision is sent'); END;
CREATE TRIGGER what_was_sent_stays BEFORE UPDATE ON order_sent
BEGIN SELECT RAISE(ABORT, 'a sent order never changes'); END;
CREATE TRIGGER what_was_sent_is_kept BEFORE DELETE ON order_sent
BEGIN SELECT RAISE(ABORT, 'a sent order never changes'); END;

PRAGMA user_version = 3;
