-- What waits to be done behind the pages. Moments are microseconds since 1970 in UTC.

CREATE TABLE job (
    seq INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    kind TEXT NOT NULL,
    key TEXT NOT NULL,
    payload TEXT NOT NULL CHECK (json_valid(payload)),
    asked_at INTEGER NOT NULL,
    state TEXT NOT NULL CHECK (state IN ('waiting', 'in-hand', 'done', 'given-up')),
    -- When it is due, when its lease runs out, or when it ended.
    moment INTEGER NOT NULL,
    tries INTEGER NOT NULL CHECK (tries BETWEEN 0 AND most_tries),
    most_tries INTEGER NOT NULL CHECK (most_tries > 0),
    taker TEXT,
    progress_done INTEGER,
    progress_of INTEGER,
    why TEXT,
    UNIQUE (kind, key),
    CHECK ((state = 'in-hand') = (taker IS NOT NULL)),
    CHECK ((progress_done IS NULL) = (progress_of IS NULL))
) STRICT;
CREATE INDEX job_to_take ON job (moment, seq) WHERE state IN ('waiting', 'in-hand');

PRAGMA user_version = 8;
