-- The files that an export made; they go after a while.

CREATE TABLE export_file (
    seq INTEGER PRIMARY KEY,
    job TEXT NOT NULL REFERENCES job (id),
    name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 200),
    holds TEXT NOT NULL,
    lines INTEGER NOT NULL CHECK (lines >= 0),
    bytes INTEGER NOT NULL CHECK (bytes >= 0),
    content TEXT NOT NULL CHECK (length(content) = 64),
    UNIQUE (job, name)
) STRICT;
CREATE TRIGGER export_files_stay BEFORE UPDATE ON export_file
BEGIN SELECT RAISE(ABORT, 'a file of an export never changes'); END;

PRAGMA user_version = 12;
