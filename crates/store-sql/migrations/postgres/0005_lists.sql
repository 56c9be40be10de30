-- The day's lists of a large practice: what each row of them needs stands beside it, kept by the file itself.

-- The day of review of a visit's last plan, and the day of the patient's next visit.
ALTER TABLE visit ADD COLUMN review_on TEXT COLLATE "C";
ALTER TABLE visit ADD COLUMN next_day TEXT COLLATE "C";
-- No finished points yet, or a placing in hand.
ALTER TABLE film ADD COLUMN waits BIGINT NOT NULL DEFAULT 1 CHECK (waits IN (0, 1));

CREATE INDEX visit_to_come_back ON visit (review_on) WHERE next_day IS NULL;
CREATE INDEX visit_before_the_next ON visit (next_day) WHERE next_day IS NOT NULL;
CREATE INDEX film_that_waits ON film (visit) WHERE waits = 1;

CREATE FUNCTION tell_visit_of_plan() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    UPDATE visit SET review_on = NEW.review_on WHERE id = NEW.visit;
    RETURN NULL;
END $$;
CREATE TRIGGER a_plan_names_the_day AFTER INSERT ON plan
    FOR EACH ROW EXECUTE FUNCTION tell_visit_of_plan();

CREATE FUNCTION tell_visits_of_next() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    UPDATE visit SET next_day = (SELECT later.day FROM visit AS later
        WHERE later.patient = visit.patient AND (later.day, later.seq) > (visit.day, visit.seq)
        ORDER BY later.day, later.seq LIMIT 1)
    WHERE patient = NEW.patient;
    RETURN NULL;
END $$;
CREATE TRIGGER a_visit_has_a_next AFTER INSERT ON visit
    FOR EACH ROW EXECUTE FUNCTION tell_visits_of_next();
CREATE TRIGGER a_visit_is_moved AFTER UPDATE OF day ON visit
    FOR EACH ROW EXECUTE FUNCTION tell_visits_of_next();

CREATE FUNCTION tell_film_of_points() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    UPDATE film SET waits = CASE
        WHEN EXISTS (SELECT 1 FROM points WHERE points.film = film.id AND finished = 0) THEN 1
        WHEN EXISTS (SELECT 1 FROM points WHERE points.film = film.id AND finished = 1) THEN 0
        ELSE 1 END
    WHERE id = NEW.film;
    RETURN NULL;
END $$;
CREATE TRIGGER points_begin AFTER INSERT ON points
    FOR EACH ROW EXECUTE FUNCTION tell_film_of_points();
CREATE TRIGGER points_finish AFTER UPDATE OF finished ON points
    FOR EACH ROW EXECUTE FUNCTION tell_film_of_points();

UPDATE tiebeam SET layout = 5;
