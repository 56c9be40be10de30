//! Any bytes: a set of points that comes back from its own text, or an error.
#![no_main]

use libfuzzer_sys::fuzz_target;
use reading::PointSet;

fuzz_target!(|bytes: &[u8]| {
    let Ok(points) = serde_json::from_slice::<PointSet>(bytes) else { return };
    let text = serde_json::to_string(&points).expect("a set of points can be written");
    serde_json::from_str::<PointSet>(&text).expect("and read again");
});
