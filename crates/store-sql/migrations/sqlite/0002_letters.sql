-- Drafts count their saves and can be taken away; lists find letters and films without reading what
-- is large.

-- What a letter is set from may hold the pictures of films.
CREATE TABLE letter_body (
    letter TEXT PRIMARY KEY REFERENCES letter (id),
    facts TEXT NOT NULL CHECK (json_valid(facts))
) STRICT;
INSERT INTO letter_body (letter, facts) SELECT id, facts FROM letter;
ALTER TABLE letter DROP COLUMN facts;

ALTER TABLE letter ADD COLUMN revision INTEGER NOT NULL DEFAULT 1 CHECK (revision > 0);
ALTER TABLE letter ADD COLUMN taken_away_at TEXT;
-- Taken away wholly or not at all, and never once signed.
ALTER TABLE letter ADD COLUMN taken_away_by TEXT REFERENCES clinician (id)
    CHECK ((taken_away_at IS NULL) = (taken_away_by IS NULL)
       AND (taken_away_at IS NULL OR signed_at IS NULL));
CREATE INDEX letter_by_signature ON letter (signed_at, seq);

CREATE TRIGGER signed_letter_bodies_stay BEFORE UPDATE ON letter_body
WHEN (SELECT signed_at FROM letter WHERE id = OLD.letter) IS NOT NULL
BEGIN SELECT RAISE(ABORT, 'a signed letter never changes'); END;
CREATE TRIGGER letter_bodies_are_kept BEFORE DELETE ON letter_body
BEGIN SELECT RAISE(ABORT, 'a letter is never deleted'); END;

CREATE INDEX finished_points_by_film ON points (film) WHERE finished = 1;
CREATE INDEX points_in_hand_by_film ON points (film) WHERE finished = 0;

PRAGMA user_version = 2;
