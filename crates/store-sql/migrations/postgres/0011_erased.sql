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

UPDATE tiebeam SET layout = 11;
