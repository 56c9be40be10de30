-- Films that came in without a person at the page: what each says of itself, and what became of it.

CREATE TABLE arrival (
    seq INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    instance TEXT NOT NULL CHECK (length(instance) BETWEEN 1 AND 64),
    content TEXT NOT NULL CHECK (length(content) = 64),
    came_at TEXT NOT NULL,
    way TEXT NOT NULL CHECK (way IN ('network', 'folder', 'web')),
    title TEXT,
    file_name TEXT NOT NULL,
    says TEXT NOT NULL CHECK (json_valid(says)),
    other_bytes INTEGER NOT NULL CHECK (other_bytes IN (0, 1)),
    state TEXT NOT NULL CHECK (state IN ('waiting', 'taken', 'put-away')),
    film TEXT REFERENCES film (id),
    reason TEXT,
    ended_at TEXT,
    ended_by TEXT,
    -- The same film sent twice waits once.
    UNIQUE (instance, content),
    CHECK ((way = 'network') = (title IS NOT NULL)),
    CHECK ((state = 'taken') = (film IS NOT NULL)),
    CHECK ((state = 'put-away') = (reason IS NOT NULL)),
    CHECK ((state = 'waiting') = (ended_at IS NULL) AND (ended_at IS NULL) = (ended_by IS NULL))
) STRICT;
CREATE INDEX arrival_by_state ON arrival (state, seq);
CREATE INDEX arrival_by_film ON arrival (film) WHERE film IS NOT NULL;

CREATE TRIGGER arrival_itself_stays
BEFORE UPDATE OF id, instance, content, came_at, way, title, file_name, says, other_bytes ON arrival
BEGIN SELECT RAISE(ABORT, 'what came in never changes'); END;
CREATE TRIGGER taken_arrivals_stay BEFORE UPDATE ON arrival WHEN OLD.state = 'taken'
BEGIN SELECT RAISE(ABORT, 'a film that was taken stays taken'); END;
CREATE TRIGGER arrivals_are_kept BEFORE DELETE ON arrival
BEGIN SELECT RAISE(ABORT, 'what came in is never deleted'); END;

PRAGMA user_version = 9;
