//! Invented point sets with our readings, and invented tables with our agreement figures, as JSON for
//! the second implementation (`checks/reading/second.py`).
//!
//! `cargo run -p reading --example cases -- [SETS PER VIEW]`

use knowledge::Knowledge;
use reading::Reader;
use reading::agreement::{bland_altman, icc, lin_ccc, repeatability, sem};
use reading::figures::{Draws, invented_cases};
use serde_json::{Value, json};
use terms::View;

fn main() {
    let count = std::env::args()
        .nth(1)
        .and_then(|n| n.parse().ok())
        .unwrap_or(12);
    let mut cases = Vec::new();
    for view in View::ALL {
        let reader = Reader::new(Knowledge::built_in(), view);
        for (points, film) in invented_cases(view, count, 77) {
            let sheet = reader.read(&points, &film);
            cases.push(json!({ "points": points, "film": film, "readings": sheet.readings }));
        }
    }
    let mut draws = Draws::new(5);
    let invented = [(5, 2), (8, 3), (12, 4), (30, 2), (40, 5)];
    let tables: Vec<Value> = invented
        .into_iter()
        .map(|(n, k)| table(n, k, &mut draws))
        .chain([shrout_fleiss()])
        .filter_map(agreement)
        .collect();
    println!("{}", json!({ "cases": cases, "agreement": tables }));
}

/// Subjects with SD 5, readers with a bias of SD 1, errors of SD 2.
fn table(subjects: usize, readers: usize, draws: &mut Draws) -> Vec<Vec<f64>> {
    let bias: Vec<f64> = (0..readers).map(|_| draws.normal()).collect();
    (0..subjects)
        .map(|_| {
            let subject = 20.0 + 5.0 * draws.normal();
            bias.iter()
                .map(|b| subject + b + 2.0 * draws.normal())
                .collect()
        })
        .collect()
}

/// Six subjects, four judges: Psychol Bull 1979;86:420.
fn shrout_fleiss() -> Vec<Vec<f64>> {
    [
        [9, 2, 5, 8],
        [6, 1, 3, 2],
        [8, 4, 6, 8],
        [7, 1, 2, 6],
        [10, 5, 6, 9],
        [6, 2, 4, 7],
    ]
    .map(|row| row.map(f64::from).to_vec())
    .to_vec()
}

fn agreement(table: Vec<Vec<f64>>) -> Option<Value> {
    let first: Vec<f64> = table.iter().map(|r| r[0]).collect();
    let second: Vec<f64> = table.iter().map(|r| r[1]).collect();
    let icc = icc(&table).ok()?;
    Some(json!({
        "icc": icc,
        "sem": sem(&icc),
        "bland_altman": bland_altman(&first, &second).ok()?,
        "lin_ccc": lin_ccc(&first, &second).ok()?,
        "repeatability": repeatability(&first, &second).ok()?,
        "table": table,
    }))
}
