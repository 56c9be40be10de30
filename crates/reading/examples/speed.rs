//! How long do readings take? JSON on standard output for `checks/reading/speed.py`.
//!
//! `cargo run -p reading --example speed -- [SETS]`
//!
//! For each view: microseconds for one whole sheet (words and drawings included), and seconds for SETS
//! point sets (100,000 unless asked otherwise), values with error alone. 5,000 distinct invented sets
//! are gone through again and again; one thread. The fastest run is given beside the median: of 25 runs
//! of 500 sheets, and of five runs of SETS point sets.

use knowledge::Knowledge;
use reading::Reader;
use reading::figures::invented_cases;
use serde_json::json;
use std::hint::black_box;
use std::time::Instant;
use terms::View;

const DISTINCT: usize = 5_000;
const SHEETS: usize = 500;

fn main() {
    let sets: usize = std::env::args()
        .nth(1)
        .and_then(|n| n.parse().ok())
        .unwrap_or(100_000);
    let mut rows = Vec::new();
    for view in View::ALL {
        let reader = Reader::new(Knowledge::built_in(), view);
        let cases = invented_cases(view, DISTINCT, 99);
        let sheet_s = timed(25, || {
            for (points, film) in cases.iter().take(SHEETS) {
                black_box(reader.read(black_box(points), film));
            }
        });
        let sets_s = timed(5, || {
            for (points, film) in cases.iter().cycle().take(sets) {
                black_box(reader.estimates(black_box(points), film));
            }
        });
        rows.push(json!({
            "view": view,
            "measures": reader.measures().count(),
            "sheet_us": { "best": sheet_s.0 / SHEETS as f64 * 1e6, "median": sheet_s.1 / SHEETS as f64 * 1e6 },
            "sets": sets,
            "sets_s": { "best": sets_s.0, "median": sets_s.1 },
            "set_us": { "best": sets_s.0 / sets as f64 * 1e6, "median": sets_s.1 / sets as f64 * 1e6 },
        }));
    }
    println!("{:#}", json!(rows));
}

/// Best and median of an odd number of runs, in seconds.
fn timed(runs: usize, mut run: impl FnMut()) -> (f64, f64) {
    let mut times: Vec<f64> = (0..runs)
        .map(|_| {
            let start = Instant::now();
            run();
            start.elapsed().as_secs_f64()
        })
        .collect();
    times.sort_by(f64::total_cmp);
    (times[0], times[runs / 2])
}
