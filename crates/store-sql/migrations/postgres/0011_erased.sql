-- Who was erased, when, by whom and why; nothing of the person but the id that nobody else ever has.

CREATE TABLE tombstone (
    patient TEXT COLLATE "C" PRIMARY KEY,
    erased_at TEXT COLLATE "C" NOT NULL,
    erased_by TEXT COLLATE "C" NOT NULL REFERENCES clinician (id) DEFERRABLE,
    reason TEXT COLLATE "C" NOT NULL,
    row_count BIGINT NOT NULL CHECK (row_count > 0),
    file_count BIGINT NOT NULL CHECK (file_count >= 0)
);
CREATE TRIGGER tombstones_stay BEFORE UPDATE ON tombstone
    FOR EACH ROW EXECUTE FUNCTION refuse('a tombstone stays');
CREATE TRIGGER tombstones_are_kept BEFORE DELETE ON tombstone
    FOR EACH ROW EXECUTE FUNCTION refuse('a tombstone stays');
-- Whoever was erased does not come back by another hand.
CREATE FUNCTION keep_away() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF EXISTS (SELECT 1 FROM tombstone WHERE tombstone.patient = NEW.id) THEN
        RAISE EXCEPTION 'this patient was erased' USING ERRCODE = 'integrity_constraint_violation';
    END IF;
    RETURN NEW;
END $$;
CREATE TRIGGER the_erased_stay_away BEFORE INSERT ON patient
    FOR EACH ROW EXECUTE FUNCTION keep_away();

-- The lists of layout 5, for a copy of an earlier one: that step made the columns and did not fill them.
UPDATE visit SET
    review_on = (SELECT plan.review_on FROM plan WHERE plan.visit = visit.id
                 ORDER BY plan.revision DESC LIMIT 1),
    next_day = (SELECT later.day FROM visit AS later
                WHERE later.patient = visit.patient
                  AND (later.day, later.seq) > (visit.day, visit.seq)
                ORDER BY later.day, later.seq LIMIT 1);
UPDATE film SET waits = CASE
    WHEN EXISTS (SELECT 1 FROM points WHERE points.film = film.id AND finished = 0) THEN 1
    WHEN EXISTS (SELECT 1 FROM points WHERE points.film = film.id AND finished = 1) THEN 0
    ELSE 1 END;

UPDATE tiebeam SET layout = 11;
