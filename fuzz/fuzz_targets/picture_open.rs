//! Any bytes: an upright picture within its limits that is read as a print or refused, or one sentence.
#![no_main]

use libfuzzer_sys::fuzz_target;
use picture::{Limits, open};
use print::{Scaling, Sheet, Wish, find, read};

fuzz_target!(|bytes: &[u8]| {
    let limits = Limits { max_pixels: 200_000, max_file_bytes: 1 << 20 };
    match open(bytes, &limits) {
        Ok(picture) => {
            let pixels = picture.width as usize * picture.height as usize;
            assert!(pixels as u64 <= limits.max_pixels);
            assert_eq!(picture.rgb.len(), 3 * pixels);
            if let Some(density) = picture.px_per_mm {
                assert!(density.is_finite() && density > 0.0);
            }
            let done = Sheet::of_picture(&picture, None, &Scaling::Unknown)
                .and_then(|sheet| find(&sheet, &Wish::default()).map(|steps| (sheet, steps)))
                .and_then(|(sheet, steps)| read(&sheet, &steps));
            if let Err(error) = done {
                assert!(!error.to_string().contains('\n'));
            }
        }
        Err(error) => {
            let sentence = error.to_string();
            assert!(sentence.len() < 400 && !sentence.contains('\n'));
        }
    }
});
