//! The usual placing errors: which way they lie, and whether what they give is what readers were found to do.

use knowledge::{Knowledge, Raters, YardstickKind};
use reading::figures::{invented_film, invented_points};
use reading::{FilmFacts, Reader};
use terms::{LandmarkKey, View};

fn straight_film() -> FilmFacts {
    FilmFacts {
        yaw_sd_deg: 0.0,
        ..invented_film()
    }
}

/// Hastings and others 2011 (abstract read): root-mean-square SD within readers on 15 deformed neuropathic
/// feet. A reader of whom nothing is known must not be thought worse than that; a fifth of it would be better
/// than any reader was found to be.
#[test]
fn placing_alone_gives_errors_as_readers_repeating_a_film_had() {
    let knowledge = Knowledge::built_in();
    let mut held = 0;
    for view in View::ALL {
        let sheet = Reader::new(knowledge, view).read(&invented_points(view), &straight_film());
        for reading in &sheet.readings {
            for yardstick in knowledge.yardsticks(&reading.measure) {
                let YardstickKind::ReadingError {
                    sd,
                    raters: Raters::Within,
                } = yardstick.kind
                else {
                    continue;
                };
                let ours = reading.error_parts.points;
                assert!(
                    (sd / 5.0..=sd).contains(&ours),
                    "{}: {ours:.2} from placing, {sd} published by {}",
                    reading.measure.as_str(),
                    yardstick.source.as_str()
                );
                held += 1;
            }
        }
    }
    assert!(held >= 3, "only {held} measures have a published error");
}

#[test]
fn a_point_on_a_border_slides_along_it_and_hardly_leaves_it() {
    let knowledge = Knowledge::built_in();
    let mut seen = 0;
    for view in View::ALL {
        let (set, film) = (invented_points(view), straight_film());
        let scale = film.scale.expect("a scale");
        let placing = Reader::new(knowledge, view).placing_covariances_px2(&set, &film);
        for landmark in knowledge.landmarks(view) {
            let Some(border) = &landmark.border else {
                continue;
            };
            let at = |key: &LandmarkKey| {
                let p = set.points[key];
                [p.x_px * scale.mm_per_px_x, p.y_px * scale.mm_per_px_y]
            };
            let (from, to) = (at(&landmark.key), at(&border.towards));
            let way = [to[0] - from[0], to[1] - from[1]];
            let length = way[0].hypot(way[1]);
            let u = [way[0] / length, way[1] / length];
            let mm = [[scale.mm_per_px_x, 0.0], [0.0, scale.mm_per_px_y]];
            let covariance = placing[&landmark.key].through(mm);
            let along = covariance.variance_along(u).sqrt();
            let across = covariance.variance_along([-u[1], u[0]]).sqrt();
            assert!((along - border.along_mm).abs() < 1e-9, "{along}");
            assert!((across - landmark.usual_error_mm).abs() < 1e-9, "{across}");
            seen += 1;
        }
    }
    assert!(seen > 0);
}

#[test]
fn a_border_that_runs_nowhere_gives_the_larger_error_in_every_direction() {
    let knowledge = Knowledge::built_in();
    let view = View::AnkleFront;
    let landmark = knowledge
        .landmarks(view)
        .into_iter()
        .find(|l| l.border.is_some())
        .expect("a landmark on a border");
    let border = landmark.border.as_ref().expect("its border");
    let (mut set, film) = (invented_points(view), straight_film());
    set.points.remove(&border.towards);
    let scale = film.scale.expect("a scale");
    let covariance =
        Reader::new(knowledge, view).placing_covariances_px2(&set, &film)[&landmark.key];
    let sd = [
        covariance.xx.sqrt() * scale.mm_per_px_x,
        covariance.yy.sqrt() * scale.mm_per_px_y,
    ];
    assert!(
        sd.iter().all(|sd| (sd - border.along_mm).abs() < 1e-9),
        "{sd:?}"
    );
}
