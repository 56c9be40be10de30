-- The day's lists of a large practice: what each row of them needs stands beside it, kept by the file itself.

-- The day of review of a visit's last plan, and the day of the patient's next visit.
ALTER TABLE visit ADD COLUMN review_on TEXT;
ALTER TABLE visit ADD COLUMN next_day TEXT;
-- No finished points yet, or a placing in hand.
ALTER TABLE film ADD COLUMN waits INTEGER NOT NULL DEFAULT 1 CHECK (waits IN (0, 1));

UPDATE visit SET
    review_on = (SELECT plan.review_on FROM plan WHERE plan.visit = visit.id
                 ORDER BY plan.revision DESC LIMIT 1),
    next_day = (SELECT later.day FROM visit AS later
                WHERE later.patient = visit.patient
                  AND (later.day, later.seq) > (visit.day, visit.seq)
                ORDER BY later.day, later.seq LIMIT 1);
UPDATE film SET waits =
    NOT EXISTS (SELECT 1 FROM points WHERE points.film = film.id AND finished = 1)
    OR EXISTS (SELECT 1 FROM points WHERE points.film = film.id AND finished = 0);

CREATE INDEX visit_to_come_back ON visit (review_on) WHERE next_day IS NULL;
CREATE INDEX visit_before_the_next ON visit (next_day) WHERE next_day IS NOT NULL;
CREATE INDEX film_that_waits ON film (visit) WHERE waits = 1;

CREATE TRIGGER a_plan_names_the_day AFTER INSERT ON plan
BEGIN UPDATE visit SET review_on = NEW.review_on WHERE id = NEW.visit; END;
CREATE TRIGGER a_visit_has_a_next AFTER INSERT ON visit
BEGIN
    UPDATE visit SET next_day = (SELECT later.day FROM visit AS later
        WHERE later.patient = visit.patient AND (later.day, later.seq) > (visit.day, visit.seq)
        ORDER BY later.day, later.seq LIMIT 1)
    WHERE patient = NEW.patient;
END;
CREATE TRIGGER a_visit_is_moved AFTER UPDATE OF day ON visit
BEGIN
    UPDATE visit SET next_day = (SELECT later.day FROM visit AS later
        WHERE later.patient = visit.patient AND (later.day, later.seq) > (visit.day, visit.seq)
        ORDER BY later.day, later.seq LIMIT 1)
    WHERE patient = NEW.patient;
END;
CREATE TRIGGER points_begin AFTER INSERT ON points
BEGIN
    UPDATE film SET waits =
        NOT EXISTS (SELECT 1 FROM points WHERE points.film = film.id AND finished = 1)
        OR EXISTS (SELECT 1 FROM points WHERE points.film = film.id AND finished = 0)
    WHERE id = NEW.film;
END;
CREATE TRIGGER points_finish AFTER UPDATE OF finished ON points
BEGIN
    UPDATE film SET waits =
        NOT EXISTS (SELECT 1 FROM points WHERE points.film = film.id AND finished = 1)
        OR EXISTS (SELECT 1 FROM points WHERE points.film = film.id AND finished = 0)
    WHERE id = NEW.film;
END;

PRAGMA user_version = 5;
