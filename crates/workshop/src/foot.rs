//! How does what came in become a foot?
//!
//! A scan's bytes and the answers given with it make the same foot every time; so do measurements.

use mesh::Mesh;
use mesh::simplify::{Target, simplify};
use serde::Serialize;
pub use surface::built::Measures;
use surface::{Alignment, Asked as Wanted, Foot, Hand, Prepared, Report, Sole, Unit};
use terms::{Load, Side, sentence};

/// What no file says.
#[derive(Debug, Clone, PartialEq)]
pub struct Asked {
    /// As `surface` names it; `None`: found from the size.
    pub unit: Option<String>,
    pub side: Option<Side>,
    pub load: Load,
    pub age_years: Option<f64>,
}

/// Units that may be said: the key that is kept, and words.
pub fn units() -> Vec<(&'static str, &'static str)> {
    Unit::ALL.iter().map(|u| (u.key(), u.plural())).collect()
}

pub const MEASURES_FORMAT: &str = "tiebeam-foot-measures";
pub const MEASURES_VERSION: u32 = 1;

/// A foot ready for the bench.
pub struct OpenFoot {
    pub foot: Foot,
    /// What was found and mended, one sentence each.
    pub found: Vec<String>,
    /// How a scan lies in the foot frame, and what was mended; `None` for a built sole.
    pub scanned: Option<Scanned>,
    /// The skin with few triangles, to be looked at.
    pub glass: Mesh,
    /// Outer border in the plan, foot frame.
    pub outline: Vec<[f64; 2]>,
    hand: Hand,
}

/// How a scan became the foot.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Scanned {
    pub report: Report,
    pub alignment: Alignment,
}

/// Fast to draw, and no facet shows through the glass.
const GLASS_TRIANGLES: usize = 9_000;
/// Where there is no skin, the sole is shown on this grid, mm.
const SHEET_STEP: f64 = 3.0;

impl OpenFoot {
    fn of(foot: Foot, found: Vec<String>, scanned: Option<Scanned>) -> OpenFoot {
        let glass = match &foot.skin {
            Some(skin) if skin.triangles.len() > GLASS_TRIANGLES => {
                let target = Target {
                    triangles: Some(GLASS_TRIANGLES),
                    deviation: None,
                };
                simplify(skin, &target).mesh
            }
            Some(skin) => skin.clone(),
            None => sheet_of(&foot.sole.resampled(SHEET_STEP)),
        };
        OpenFoot {
            outline: outline_of(&foot.sole),
            hand: Hand::on(&foot),
            glass,
            found,
            scanned,
            foot,
        }
    }

    /// Where a point comes to lie that the hand puts there: on the skin.
    pub fn placed(&self, at: [f64; 3]) -> [f64; 3] {
        self.hand.placed(&self.foot, at).at
    }
}

/// How far the kept skin may lie from the mended one: less than any process holds.
const WORKING_DEVIATION_MM: f64 = 0.03;

/// # Errors
/// A file that is no foot scan, in one sentence.
pub fn of_scan(bytes: &[u8], asked: &Asked) -> Result<OpenFoot, String> {
    of_scan_told(bytes, asked, &mut |_, _| {})
}

/// [`of_scan`], telling how far it is (0 to 1) and what comes next.
///
/// # Errors
/// As [`of_scan`].
pub fn of_scan_told(
    bytes: &[u8],
    asked: &Asked,
    progress: surface::prepare::Progress<'_>,
) -> Result<OpenFoot, String> {
    let file = mesh::read(bytes).map_err(|e| e.to_string())?;
    let wanted = Wanted {
        load: asked.load,
        side: asked.side,
        unit: asked.unit.as_deref().and_then(Unit::from_key),
        age_years: asked.age_years,
        working_deviation_mm: Some(WORKING_DEVIATION_MM),
    };
    let made = surface::prepare(file, &wanted, progress).map_err(|e| e.to_string())?;
    let found = found(&made);
    let Prepared {
        foot,
        report,
        alignment,
    } = made;
    Ok(OpenFoot::of(
        foot,
        found,
        Some(Scanned { report, alignment }),
    ))
}

/// What was found and mended, one sentence each: what the foot is first, then what was done to it.
fn found(made: &Prepared) -> Vec<String> {
    let mm = |v: f64| format!("{} mm", quantity::written_short(v, 2));
    let report = &made.report;
    let mut out = vec![sentence(&format!(
        "{} foot, {} long, {}",
        made.foot.side.word(),
        format_args!(
            "{} mm",
            quantity::written_short(made.foot.points.foot_length_mm(), 1)
        ),
        side_told(made)
    ))];
    out.push(sentence(&report.unit.words));
    out.push(sentence(&format!(
        "set on {}; {} of {} triangles kept",
        made.alignment.ground.words(),
        report.triangles,
        report.triangles_in_file
    )));
    out.extend(report.mends.iter().map(|m| sentence(&m.words)));
    if let Some(s) = &report.smoothed {
        out.push(format!(
            "Smoothed: roughness from {} to {}; skin moved by {} usually, {} at most.",
            mm(s.roughness_before_mm),
            mm(s.roughness_after_mm),
            mm(s.moved_typical_mm),
            mm(s.moved_most_mm)
        ));
    }
    if let Some(by) = report.simplified_by_mm {
        out.push(format!(
            "Simplified; the kept skin lies within {} of the mended one.",
            mm(by)
        ));
    }
    if !report.openings.is_empty() {
        let widths: Vec<String> = report.openings.iter().map(|o| mm(o.across_mm)).collect();
        out.push(format!(
            "Left open, the leg's end included: {} across.",
            widths.join(", ")
        ));
    }
    if !report.guessed.is_empty() {
        let names: Vec<&str> = report.guessed.iter().map(|p| p.words()).collect();
        out.push(format!(
            "Guessed, since no skin was scanned there: {}; look at them.",
            names.join(", ")
        ));
    }
    out.extend(report.notes.iter().map(|n| sentence(n)));
    out
}

/// The witness that speaks the loudest.
fn side_told(made: &Prepared) -> String {
    let witness = made
        .alignment
        .side_witnesses
        .iter()
        .max_by(|a, b| a.weight.total_cmp(&b.weight));
    witness.map_or_else(
        || "the side as it was said".to_owned(),
        |w| format!("the side told by {}", w.what),
    )
}

/// # Errors
/// Measurements that belong to no foot, in one sentence.
pub fn of_measures(side: Side, measures: &Measures) -> Result<OpenFoot, String> {
    let foot = surface::built::built(measures, side).map_err(|e| e.to_string())?;
    let from = if measures.print.is_empty() {
        "Built from measurements, not scanned: between them the sole is drawn as feet usually are."
    } else {
        "Built from measurements and a print's outline, not scanned."
    };
    Ok(OpenFoot::of(foot, vec![from.to_owned()], None))
}

/// The sole as triangles.
fn sheet_of(sole: &Sole) -> Mesh {
    let [nx, ny] = sole.size;
    let mut numbers = vec![None; nx * ny];
    let mut sheet = Mesh::default();
    for j in 0..ny {
        for i in 0..nx {
            if let Some(z) = sole.value(i, j) {
                numbers[j * nx + i] = Some(sheet.vertices.len() as u32);
                let x = sole.origin[0] + i as f64 * sole.step;
                let y = sole.origin[1] + j as f64 * sole.step;
                sheet.vertices.push([x, y, z]);
            }
        }
    }
    for j in 1..ny {
        for i in 1..nx {
            let at = |i: usize, j: usize| numbers[j * nx + i];
            let (a, b, c, d) = (at(i - 1, j - 1), at(i, j - 1), at(i, j), at(i - 1, j));
            // Turned so that they face the ground.
            for corners in [[a, c, b], [a, d, c]] {
                if let [Some(p), Some(q), Some(r)] = corners {
                    sheet.triangles.push([p, q, r]);
                }
            }
        }
    }
    sheet
}

/// Border of the sole, once around: the lowest and highest y over each x.
fn outline_of(sole: &Sole) -> Vec<[f64; 2]> {
    let every = ((1.5 / sole.step).round() as usize).max(1);
    let (mut low, mut high) = (Vec::new(), Vec::new());
    for i in (0..sole.size[0]).step_by(every) {
        let mut rows = (0..sole.size[1]).filter(|&j| sole.value(i, j).is_some());
        let x = sole.origin[0] + i as f64 * sole.step;
        let y = |j: usize| sole.origin[1] + j as f64 * sole.step;
        if let Some(first) = rows.next() {
            low.push([x, y(first)]);
            high.push([x, y(rows.next_back().unwrap_or(first))]);
        }
    }
    high.reverse();
    low.extend(high);
    low
}
