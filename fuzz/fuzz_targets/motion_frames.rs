//! Any bytes as grey frames of a converter, as a file of times, and as steps of a clip.
#![no_main]

use libfuzzer_sys::fuzz_target;
use motion::frames::folder::times_of;
use motion::frames::raw::{Head, Raw};
use motion::frames::{Frames, times};
use std::io::Cursor;

fuzz_target!(|bytes: &[u8]| {
    let _ = Head::read(bytes);
    let headed = [&b"tiebeam-grey 64 64 30\n"[..], bytes].concat();
    for file in [bytes, &headed] {
        if let Ok(mut frames) = Raw::open(Cursor::new(file)) {
            let _ = times(&frames);
            for frame in 0..frames.count().min(4) {
                let _ = frames.frame(frame);
            }
        }
    }
    if let Ok(text) = std::str::from_utf8(bytes) {
        let _ = times_of(text, 3);
        if let Ok(steps) = serde_json::from_str::<motion::Steps>(text) {
            let _ = motion::read(&steps);
        }
    }
});
