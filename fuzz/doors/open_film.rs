//! Any bytes: a film within its limits, or one sentence.

use film::scale::{ScaleWish, choose};
use film::{Limits, open};

pub fn comes_in(bytes: &[u8]) {
    let limits = Limits {
        max_pixels: 200_000,
        max_file_bytes: 1 << 20,
        max_inflated_bytes: 1 << 20,
    };
    match open(bytes, &limits) {
        Ok(film) => {
            let pixels = film.width as usize * film.height as usize;
            assert_eq!(film.samples.len(), pixels);
            assert_eq!(film.display8(film.default_window()).len(), pixels);
            let answer = choose(&film.spacing, &ScaleWish::File { object: None });
            assert!(answer.pixel_aspect().is_finite() && answer.pixel_aspect() > 0.0);
            if let Some(scale) = answer.known() {
                assert!(scale.mm_per_px_x > 0.0 && scale.relative_standard_error.is_finite());
            }
        }
        Err(error) => {
            let sentence = error.to_string();
            assert!(sentence.len() < 400 && !sentence.contains('\n'));
        }
    }
}
