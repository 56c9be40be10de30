-- Keys by which other programs come in, and passkeys by which people do.

CREATE TABLE machine_key (
    seq INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    label TEXT NOT NULL,
    -- Folded: capitals and accents aside, no two keys share a label.
    find_by TEXT NOT NULL UNIQUE,
    -- SHA-256 of the token; the token itself is kept nowhere.
    token TEXT NOT NULL UNIQUE CHECK (length(token) = 64),
    read_records INTEGER NOT NULL CHECK (read_records IN (0, 1)),
    send_films INTEGER NOT NULL CHECK (send_films IN (0, 1)),
    read_films INTEGER NOT NULL CHECK (read_films IN (0, 1)),
    -- Why it is given closed records as well.
    closed_too TEXT,
    made_at TEXT NOT NULL,
    made_by TEXT NOT NULL,
    last_used TEXT,
    taken_back TEXT
) STRICT;
CREATE TRIGGER keys_stay BEFORE UPDATE OF id, label, find_by, token, read_records, send_films,
    read_films, closed_too, made_at, made_by ON machine_key
BEGIN SELECT RAISE(ABORT, 'what a key is never changes'); END;
CREATE TRIGGER keys_are_kept BEFORE DELETE ON machine_key
BEGIN SELECT RAISE(ABORT, 'a key is taken back and never deleted'); END;
CREATE TRIGGER keys_stay_taken_back BEFORE UPDATE OF taken_back ON machine_key
WHEN OLD.taken_back IS NOT NULL AND NEW.taken_back IS NOT OLD.taken_back
BEGIN SELECT RAISE(ABORT, 'a key that was taken back stays so'); END;

CREATE TABLE passkey (
    seq INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    account TEXT NOT NULL REFERENCES account (id),
    label TEXT NOT NULL,
    credential TEXT NOT NULL CHECK (json_valid(credential)),
    made_at TEXT NOT NULL,
    used_at TEXT,
    taken_back TEXT
) STRICT;
CREATE INDEX passkey_by_account ON passkey (account);
CREATE TRIGGER passkeys_are_kept BEFORE DELETE ON passkey
BEGIN SELECT RAISE(ABORT, 'a passkey is taken back and never deleted'); END;
CREATE TRIGGER passkeys_stay_taken_back BEFORE UPDATE OF taken_back ON passkey
WHEN OLD.taken_back IS NOT NULL AND NEW.taken_back IS NOT OLD.taken_back
BEGIN SELECT RAISE(ABORT, 'a passkey that was taken back stays so'); END;

PRAGMA user_version = 10;
