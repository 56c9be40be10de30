-- Drafts count their saves and can be taken away; lists find letters and films without reading what
-- is large.

-- What a letter is set from may hold the pictures of films.
CREATE TABLE letter_body (
    letter TEXT COLLATE "C" PRIMARY KEY REFERENCES letter (id) DEFERRABLE,
    facts TEXT COLLATE "C" NOT NULL CHECK (json_valid(facts))
);
INSERT INTO letter_body (letter, facts) SELECT id, facts FROM letter;
ALTER TABLE letter DROP COLUMN facts;

ALTER TABLE letter ADD COLUMN revision BIGINT NOT NULL DEFAULT 1 CHECK (revision > 0);
ALTER TABLE letter ADD COLUMN taken_away_at TEXT COLLATE "C";
-- Taken away wholly or not at all, and never once signed.
ALTER TABLE letter ADD COLUMN taken_away_by TEXT COLLATE "C" REFERENCES clinician (id) DEFERRABLE
    CHECK ((taken_away_at IS NULL) = (taken_away_by IS NULL)
       AND (taken_away_at IS NULL OR signed_at IS NULL));
CREATE INDEX letter_by_signature ON letter (signed_at, seq);

CREATE FUNCTION keep_signed_letter_bodies() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF (SELECT signed_at FROM letter WHERE id = OLD.letter) IS NOT NULL THEN
        RAISE EXCEPTION 'a signed letter never changes' USING ERRCODE = 'integrity_constraint_violation';
    END IF;
    RETURN NEW;
END $$;
CREATE TRIGGER signed_letter_bodies_stay BEFORE UPDATE ON letter_body
    FOR EACH ROW EXECUTE FUNCTION keep_signed_letter_bodies();
CREATE TRIGGER letter_bodies_are_kept BEFORE DELETE ON letter_body
    FOR EACH ROW EXECUTE FUNCTION refuse('a letter is never deleted');
CREATE TRIGGER letter_body_is_not_emptied BEFORE TRUNCATE ON letter_body
    FOR EACH STATEMENT EXECUTE FUNCTION refuse('a letter is never deleted');

CREATE INDEX finished_points_by_film ON points (film) WHERE finished = 1;
CREATE INDEX points_in_hand_by_film ON points (film) WHERE finished = 0;

UPDATE tiebeam SET layout = 2;
