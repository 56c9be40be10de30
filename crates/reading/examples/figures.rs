//! Coverage of the stated 95 % interval and the curve of a turned foot, as JSON on standard output.
//!
//! `cargo run -p reading --example figures -- [DRAWS] [TRUTH.json …]`
//!
//! Without files the invented points of all four views are used. A truth file holds `points` (a points
//! file), `film` and, by measure, `truth`.

use knowledge::Knowledge;
use reading::Reader;
use reading::figures::{TruthFile, coverage, invented_film, invented_points, yaw_curve};
use serde_json::json;
use std::process::ExitCode;
use terms::View;

const SEED: u64 = 20_240_601;
/// The goal of every measure, in percent.
const GOAL: [f64; 2] = [93.0, 97.0];

fn main() -> ExitCode {
    let mut draws = 2000;
    let mut truths = Vec::new();
    for argument in std::env::args().skip(1) {
        if let Ok(n) = argument.parse() {
            draws = n;
            continue;
        }
        match read_truth(&argument) {
            Ok(truth) => truths.push(truth),
            Err(fault) => {
                eprintln!("{argument}: {fault}; expected a truth file with points, film and truth");
                return ExitCode::from(2);
            }
        }
    }
    if truths.is_empty() {
        truths.extend(View::ALL.map(|view| TruthFile {
            points: invented_points(view),
            film: invented_film(),
            truth: Default::default(),
        }));
    }
    let mut rows = Vec::new();
    for truth in &truths {
        let reader = Reader::new(Knowledge::built_in(), truth.points.view);
        rows.extend(coverage(&reader, truth, draws, SEED));
    }
    let least = rows.iter().map(|r| r.percent).fold(100.0, f64::min);
    let most = rows.iter().map(|r| r.percent).fold(0.0, f64::max);
    let holds = !rows.is_empty() && least >= GOAL[0] && most <= GOAL[1];
    let lateral = Reader::new(Knowledge::built_in(), View::Lateral);
    let curve = yaw_curve(
        &lateral,
        &invented_points(View::Lateral),
        &invented_film(),
        &[0.0, 5.0, 10.0, 15.0, 20.0, 25.0, 30.0],
    );
    let out = json!({
        "coverage": {
            "draws": draws, "seed": SEED, "goal_percent": GOAL,
            "least_percent": least, "most_percent": most, "holds": holds, "rows": rows,
        },
        "turned_foot": curve,
    });
    println!("{out:#}");
    if holds {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    }
}

fn read_truth(path: &str) -> Result<TruthFile, String> {
    let text = std::fs::read_to_string(path).map_err(|e| e.to_string())?;
    serde_json::from_str(&text).map_err(|e| e.to_string())
}
