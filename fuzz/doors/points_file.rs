//! Any bytes: a set of points that comes back from its own text and is read without a number that is none,
//! or one sentence.
use knowledge::Knowledge;
use quantity::PixelScale;
use reading::{FilmFacts, PointSet, read_all};

pub fn comes_in(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    match PointSet::from_json(text) {
        Ok(points) => {
            let again =
                PointSet::from_json(&points.to_json()).expect("what was written can be read");
            assert_eq!(again, points);
            let scale = PixelScale {
                mm_per_px_x: 0.1,
                mm_per_px_y: 0.1,
                relative_standard_error: 0.01,
            };
            for scale in [None, Some(scale)] {
                let facts = FilmFacts {
                    scale,
                    ..FilmFacts::of_size(2400, 3000)
                };
                for reading in read_all(Knowledge::built_in(), &points, &facts).readings {
                    assert!(reading.estimate.value.is_finite());
                    assert!(reading.estimate.standard_error.is_finite());
                }
            }
        }
        Err(error) => {
            let sentence = error.to_string();
            assert!(!sentence.contains('\n'), "{sentence}");
        }
    }
}
