//! Any bytes: a recording that is read without a number that is none, or one sentence.
#![no_main]

use libfuzzer_sys::fuzz_target;
use print::{Pitch, PressureUnit, Sheet, Wish, find, read, recording};

fuzz_target!(|bytes: &[u8]| {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    let pitch = Pitch::new(5.0, 8.0, 0.01).expect("a pitch");
    let done = recording(text, PressureUnit::NewtonPerSquareCentimetre, Some(50.0))
        .and_then(|r| {
            assert!(r.frames_kpa.iter().all(|f| f.len() == r.columns * r.rows));
            Sheet::of_pressure(r, pitch)
        })
        .and_then(|sheet| {
            let steps = find(&sheet, &Wish::default())?;
            let again = print::Steps::from_json(&steps.to_json()).expect("what was written can be read");
            assert_eq!(again, steps);
            read(&sheet, &steps)
        });
    match done {
        Ok(readings) => {
            for reading in readings.feet.iter().flat_map(|f| &f.readings) {
                assert!(reading.estimate.value.is_finite() && reading.estimate.standard_error.is_finite());
            }
        }
        Err(error) => {
            let sentence = error.to_string();
            assert!(sentence.len() < 400 && !sentence.contains('\n'), "{sentence}");
        }
    }
});
