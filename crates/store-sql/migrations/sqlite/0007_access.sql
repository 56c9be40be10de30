-- Who signs in, what was seen and done, whose record is closed, what a lab and a reader may see.

CREATE TABLE account (
    id TEXT PRIMARY KEY,
    -- Folded: capitals and accents aside, no two accounts share a sign-in name.
    login TEXT NOT NULL UNIQUE,
    person TEXT NOT NULL REFERENCES clinician (id),
    revision INTEGER NOT NULL CHECK (revision > 0),
    body TEXT NOT NULL CHECK (json_valid(body))
) STRICT;

CREATE TABLE session (
    token TEXT PRIMARY KEY CHECK (length(token) = 64),
    account TEXT NOT NULL REFERENCES account (id),
    begun_at TEXT NOT NULL,
    seen_at TEXT NOT NULL,
    ended_at TEXT
) STRICT;
CREATE INDEX session_by_account ON session (account);

-- Each entry holds the hash of the one before.
CREATE TABLE trail (
    number INTEGER PRIMARY KEY,
    at TEXT NOT NULL,
    account TEXT,
    person TEXT,
    kind TEXT NOT NULL,
    patient TEXT,
    detail TEXT NOT NULL,
    hash TEXT NOT NULL CHECK (length(hash) = 64)
) STRICT;
CREATE INDEX trail_by_patient ON trail (patient, number) WHERE patient IS NOT NULL;
CREATE TRIGGER trail_stays BEFORE UPDATE ON trail
BEGIN SELECT RAISE(ABORT, 'the trail is only added to'); END;
CREATE TRIGGER trail_is_kept BEFORE DELETE ON trail
BEGIN SELECT RAISE(ABORT, 'the trail is only added to'); END;
CREATE TRIGGER trail_counts_on BEFORE INSERT ON trail
WHEN NEW.number <> 1 + (SELECT coalesce(max(number), 0) FROM trail)
BEGIN SELECT RAISE(ABORT, 'the trail counts on by one'); END;

CREATE TABLE closure (
    patient TEXT PRIMARY KEY REFERENCES patient (id),
    open_to TEXT NOT NULL CHECK (json_valid(open_to))
) STRICT;

CREATE TABLE opening (
    seq INTEGER PRIMARY KEY,
    patient TEXT NOT NULL REFERENCES patient (id),
    opened_by TEXT NOT NULL,
    opened_at TEXT NOT NULL,
    open_until TEXT NOT NULL,
    reason TEXT NOT NULL
) STRICT;
CREATE INDEX opening_by_patient ON opening (patient, opened_by);

CREATE TABLE order_release (
    seq INTEGER PRIMARY KEY,
    order_id TEXT NOT NULL REFERENCES device_order (id),
    account TEXT NOT NULL REFERENCES account (id),
    with_name INTEGER NOT NULL CHECK (with_name IN (0, 1)),
    released_at TEXT NOT NULL,
    act TEXT NOT NULL,
    UNIQUE (order_id, account)
) STRICT;
CREATE INDEX order_release_by_account ON order_release (account);

CREATE TABLE reading_asked (
    seq INTEGER PRIMARY KEY,
    film TEXT NOT NULL REFERENCES film (id),
    account TEXT NOT NULL REFERENCES account (id),
    asked_at TEXT NOT NULL,
    UNIQUE (film, account)
) STRICT;
CREATE INDEX reading_asked_by_account ON reading_asked (account);

PRAGMA user_version = 7;
