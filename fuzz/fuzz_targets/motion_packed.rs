//! Frames packed in a ZIP: any bytes are frames or one sentence.
#![no_main]

use libfuzzer_sys::fuzz_target;
use motion::Frames;
use motion::frames::packed::Packed;

fuzz_target!(|bytes: &[u8]| {
    if let Ok(mut clip) = Packed::open(bytes.into()) {
        let _ = motion::frames::times(&clip);
        for frame in 0..clip.count().min(2) {
            let _ = clip.frame(frame);
        }
    }
});
