//! How far do found points lie from the true ones, over many invented scans? What is refused?
//!
//!     cargo run -p surface --example landmark_figures
//!
//! Lines `FIGURE {json}`, after a line for each scan. The twenty named scans of the phantom, and two of each of
//! twelve more feet: adults and children, arches from sound to fallen, both sides, both loads, 30,000 to a
//! million triangles, all units. All feet are invented; the truth is the phantom's own.

use phantom::child::foot_length_mm;
use phantom::scan::{
    Ground, Holes, Place, Refusal, Scan, ScanSpec, Unit as FileUnit, make, presets, refused,
};
use phantom::skin::{Build, Load as SkinLoad, Mark, SkinSpec, build_skin};
use phantom::{Age, FootSpec, Pose};
use rayon::prelude::*;
use serde_json::{Value, json};
use std::error::Error;
use surface::{Asked, Load, Point, Prepared, SurfaceError, Unit, prepare_mesh};
use terms::{Sex, Side};

const MARKS: [(Point, Mark); 5] = [
    (Point::FirstHead, Mark::FirstHead),
    (Point::FifthHead, Mark::FifthHead),
    (Point::HeelCentre, Mark::HeelCentre),
    (Point::Navicular, Mark::Navicular),
    (Point::ToeTip, Mark::ToeTip),
];
const MEDIAN_MM: f64 = 3.0;
const P95_MM: f64 = 6.0;

fn figure(name: &str, value: impl Into<Value>, unit: &str, goal: &str, holds: bool, more: Value) {
    let value: Value = value.into();
    println!(
        "FIGURE {}",
        json!({ "name": name, "value": value, "unit": unit, "goal": goal, "holds": holds, "more": more })
    );
}

/// Twelve more feet, each scanned twice: as it is, and as its mirror image, which is a foot of the other side.
fn more() -> Vec<ScanSpec> {
    const TRIANGLES: [usize; 8] = [
        30_000, 60_000, 120_000, 250_000, 400_000, 45_000, 80_000, 1_000_000,
    ];
    const UNITS: [FileUnit; 4] = [
        FileUnit::Millimetre,
        FileUnit::Metre,
        FileUnit::Inch,
        FileUnit::Centimetre,
    ];
    const YEARS: [f64; 4] = [6.0, 8.0, 11.0, 14.0];
    let mut all = Vec::new();
    for n in 0..12usize {
        let sex = if n % 2 == 0 { Sex::Female } else { Sex::Male };
        let years = (n % 3 == 2).then(|| YEARS[n / 3]);
        let length = years.map_or(228.0 + 6.0 * n as f64, |y| foot_length_mm(y, sex));
        let seed = 200 + n as u64;
        let foot = FootSpec {
            side: if n % 4 < 2 { Side::Right } else { Side::Left },
            foot_length_mm: length,
            age: years.map_or(Age::Adult, |years| Age::Child { years }),
            pose: Pose::arch_collapse(n as f64 / 11.0),
            seed,
        };
        let skin = SkinSpec {
            build: years.map_or_else(
                || Build::of_adult(seed, sex, length),
                |y| Build::of_child(seed, y),
            ),
            load: if n % 3 == 1 {
                SkinLoad::Standing
            } else {
                SkinLoad::Hanging
            },
            cut_height_mm: 0.45 * length,
            foot,
        };
        for second in [false, true] {
            let k = 2 * n + usize::from(second);
            let turn = |by: usize| ((k * by * 37 + 11 * by) % 360) as f64;
            let holes = |place, count, diameter_mm| Holes {
                place,
                count,
                diameter_mm,
            };
            let who = years.map_or_else(|| "adult".to_owned(), |y| format!("child of {y}"));
            all.push(ScanSpec {
                name: format!(
                    "{who}, {length:.0} mm, arch fallen by {:.2}, {}",
                    n as f64 / 11.0,
                    if second { "mirrored" } else { "as it is" }
                ),
                skin: skin.clone(),
                triangles: TRIANGLES[k % 8],
                seed: 900 + k as u64,
                noise_mm: [0.0, 0.1, 0.2, 0.3, 0.4][k % 5],
                unit: UNITS[(k / 2) % 4],
                turn_deg: [turn(5), turn(7), turn(11)],
                shift_mm: [turn(3), -turn(2), 40.0],
                mirrored: second,
                holes: if k % 3 == 1 {
                    vec![
                        holes(Place::BetweenToes, 3, 7.0),
                        holes(Place::Anywhere, 4, 6.0),
                    ]
                } else {
                    vec![]
                },
                spikes: if k % 4 == 1 { 25 } else { 0 },
                strays: if k % 5 == 2 { 6 } else { 0 },
                doubled: if k % 6 == 3 { 4 } else { 0 },
                flipped: if k % 6 == 3 { 4 } else { 0 },
                ground: match k % 8 {
                    2 => Ground::Plate { below_mm: 0.3 },
                    5 => Ground::FoamBox {
                        depth_mm: 0.1 * length,
                    },
                    _ => Ground::Nothing,
                },
                ..ScanSpec::default()
            });
        }
    }
    all
}

/// Everything that one scan told.
struct Told {
    spec: ScanSpec,
    triangles: usize,
    side: bool,
    unit: bool,
    /// Of each mark: millimetres, and whether it counts.
    off: [(f64, bool); 5],
    /// To the one true toe tip, also where another toe is as long.
    tip: f64,
    refused: Option<String>,
}

fn unit_of(unit: FileUnit) -> Unit {
    match unit {
        FileUnit::Millimetre => Unit::Millimetre,
        FileUnit::Centimetre => Unit::Centimetre,
        FileUnit::Metre => Unit::Metre,
        FileUnit::Inch => Unit::Inch,
    }
}

/// The tip of another toe that reaches as far forward as the longest, to within what turning the long axis by
/// two degrees changes between neighbouring toes (15 mm apart): 0.5 mm. Either is then the longest. In the world.
fn other_tip(scan: &Scan) -> Option<[f64; 3]> {
    let skin = build_skin(&scan.spec.skin).ok()?;
    let frame = skin.marks.frame;
    let tip = frame.local(skin.marks.at(Mark::ToeTip));
    let another =
        |at: [f64; 3]| (at[1] - tip[1]).abs() > 8.0 && tip[0] - at[0] < 0.5 && at[2] < 60.0;
    (skin
        .mesh
        .vertices
        .iter()
        .copied()
        .filter(|v| another(frame.local(*v))))
    .max_by(|a, b| frame.local(*a)[0].total_cmp(&frame.local(*b)[0]))
}

fn distance(a: [f64; 3], b: [f64; 3]) -> f64 {
    (0..3).map(|k| (a[k] - b[k]).powi(2)).sum::<f64>().sqrt()
}

fn told(spec: ScanSpec) -> Result<Told, String> {
    let scan = make(&spec).map_err(|e| e.to_string())?;
    let truth = scan
        .truth
        .as_ref()
        .ok_or("found no truth in a scan of a foot")?;
    let load = match spec.skin.load {
        SkinLoad::Standing => Load::Full,
        SkinLoad::Hanging => Load::None,
    };
    let found = prepare_mesh(scan.mesh.clone(), None, &Asked::load(load), &mut |_, _| {});
    let mut told = Told {
        triangles: scan.mesh.triangles.len(),
        side: false,
        unit: false,
        off: [(f64::NAN, false); 5],
        tip: f64::NAN,
        refused: None,
        spec,
    };
    let found: Prepared = match found {
        Ok(found) => found,
        Err(e) => {
            told.refused = Some(e.to_string());
            return Ok(told);
        }
    };
    told.side = found.foot.side == truth.shown_side;
    told.unit = found.report.unit.unit == unit_of(told.spec.unit);
    let world_from_file = truth.file_from_world.inverse();
    let foam = matches!(told.spec.ground, Ground::FoamBox { .. });
    for (off, (point, mark)) in told.off.iter_mut().zip(MARKS) {
        let at =
            world_from_file.point(found.alignment.file_point(found.foot.points.mark(point).at));
        let mut wanted = world_from_file.point(truth.marks[&mark]);
        // On glass the skin was pressed up to the glass: its truth is there.
        wanted[1] = wanted[1].max(told.spec.plate_cut_mm);
        let mut by = distance(at, wanted);
        if point == Point::ToeTip {
            told.tip = by;
            by = other_tip(&scan).map_or(by, |other| by.min(distance(at, other)));
        }
        // Foam shows a toe's underside and an upright wall: how high its tip is, it does not show.
        let scanned = !found.report.guessed.contains(&point);
        let seen = scanned && (point != Point::ToeTip || !foam);
        *off = (by, seen);
    }
    Ok(told)
}

fn share(sorted: &[f64], share: f64) -> f64 {
    let n = ((sorted.len() as f64 * share).ceil() as usize).clamp(1, sorted.len().max(1));
    sorted.get(n - 1).copied().unwrap_or(f64::NAN)
}

fn rounded(mm: f64) -> f64 {
    (mm * 100.0).round() / 100.0
}

fn main() -> Result<(), Box<dyn Error>> {
    let specs: Vec<ScanSpec> = presets().into_iter().chain(more()).collect();
    // The two scans of a foot one after the other, so that its skin is built once.
    let all: Vec<Told> = specs
        .par_chunks(2)
        .flat_map_iter(|two| two.iter().map(|spec| told(spec.clone())))
        .collect::<Result<_, _>>()?;
    for t in &all {
        let off: Vec<String> = t
            .off
            .iter()
            .map(|(mm, seen)| {
                if *seen {
                    format!("{mm:5.1}")
                } else {
                    format!("({mm:.1})")
                }
            })
            .collect();
        let ok = |right: bool| if right { "right" } else { "WRONG" };
        match &t.refused {
            Some(e) => println!("{:52} refused: {e}", t.spec.name),
            None => println!(
                "{:52} side {} unit {} {}  {} triangles",
                t.spec.name,
                ok(t.side),
                ok(t.unit),
                off.join(" "),
                t.triangles
            ),
        }
    }
    let n = all.len();
    let of = format!("of {n} scans");
    let count = |test: &dyn Fn(&Told) -> bool| all.iter().filter(|t| test(t)).count();
    let taken = count(&|t| t.refused.is_none());
    figure(
        "scans of a foot that became a foot",
        taken,
        &of,
        "all",
        taken == n,
        json!({}),
    );
    let sides = count(&|t| t.side);
    figure("side told right", sides, &of, "all", sides == n, json!({}));
    let units = count(&|t| t.unit);
    figure("unit found", units, &of, "all", units == n, json!({}));
    let mut every = Vec::new();
    for (i, (point, _)) in MARKS.iter().enumerate() {
        let mut off: Vec<f64> = all
            .iter()
            .filter(|t| t.refused.is_none() && t.off[i].1)
            .map(|t| t.off[i].0)
            .collect();
        every.extend(&off);
        off.sort_by(f64::total_cmp);
        distribution(point.words(), &off);
    }
    every.sort_by(f64::total_cmp);
    distribution("all points", &every);
    let mut tips: Vec<f64> = all
        .iter()
        .filter(|t| t.refused.is_none() && t.off[4].1)
        .map(|t| t.tip)
        .collect();
    let equal = all
        .iter()
        .filter(|t| t.off[4].1 && t.tip > t.off[4].0 + 1e-9)
        .count();
    tips.sort_by(f64::total_cmp);
    figure(
        "scans in which two toes are equally long to 0.5 mm and the other one's tip was taken",
        equal,
        &of,
        "told, no goal",
        true,
        json!({ "tip_p95_mm_if_only_one_counts": rounded(share(&tips, 0.95)), "tip_median_mm": rounded(share(&tips, 0.5)) }),
    );
    covered(&all);
    refusals()?;
    Ok(())
}

fn distribution(words: &str, sorted: &[f64]) {
    let (median, high) = (share(sorted, 0.5), share(sorted, 0.95));
    let more = json!({ "scans": sorted.len(), "most_mm": rounded(share(sorted, 1.0)) });
    figure(
        &format!("{words}: distance from the truth, median"),
        rounded(median),
        "mm",
        "<= 3",
        median <= MEDIAN_MM,
        more.clone(),
    );
    figure(
        &format!("{words}: distance from the truth, 95th percentile"),
        rounded(high),
        "mm",
        "<= 6",
        high <= P95_MM,
        more,
    );
}

/// What the scans had, so that the figures above say something about it.
fn covered(all: &[Told]) {
    let count = |test: &dyn Fn(&ScanSpec) -> bool| all.iter().filter(|t| test(&t.spec)).count();
    let triangles =
        |f: fn(usize, usize) -> usize| all.iter().map(|t| t.triangles).reduce(f).unwrap_or(0);
    let more = json!({
        "noise": count(&|s| s.noise_mm > 0.0),
        "holes": count(&|s| !s.holes.is_empty()),
        "spikes": count(&|s| s.spikes > 0),
        "strays": count(&|s| s.strays > 0),
        "doubled_or_flipped": count(&|s| s.doubled + s.flipped > 0),
        "foam_box": count(&|s| matches!(s.ground, Ground::FoamBox { .. })),
        "floor_plate": count(&|s| matches!(s.ground, Ground::Plate { .. })),
        "glass_cut": count(&|s| s.plate_cut_mm > 0.0),
        "not_millimetres": count(&|s| s.unit != FileUnit::Millimetre),
        "turned": count(&|s| s.turn_deg != [0.0; 3]),
        "children": count(&|s| s.skin.foot.age != Age::Adult),
        "standing": count(&|s| s.skin.load == SkinLoad::Standing),
        "left": count(&|s| s.skin.foot.side == Side::Left),
        "fewest_triangles": triangles(usize::min),
        "most_triangles": triangles(usize::max),
    });
    let holds = all.len() >= 40
        && more
            .as_object()
            .is_some_and(|m| m.values().all(|v| v.as_u64() > Some(0)));
    figure(
        "scans of feet, and what they cover",
        all.len(),
        "scans",
        ">= 40, each kind at least once",
        holds,
        more,
    );
}

fn refusals() -> Result<(), Box<dyn Error>> {
    let list = refused();
    let rows: Vec<(String, bool, String)> = list
        .par_iter()
        .map(|(spec, reason)| {
            let scan = make(spec).map_err(|e| e.to_string())?;
            let asked = Asked {
                side: Some(spec.skin.foot.side),
                ..Asked::load(Load::None)
            };
            Ok(
                match prepare_mesh(scan.mesh, None, &asked, &mut |_, _| {}) {
                    Ok(_) => (spec.name.clone(), false, "taken for a foot".to_owned()),
                    Err(e) => (spec.name.clone(), is_for(&e, *reason), e.to_string()),
                },
            )
        })
        .collect::<Result<_, String>>()?;
    for (name, right, said) in &rows {
        println!(
            "{name:52} {}: {said}",
            if *right { "refused" } else { "WRONG" }
        );
    }
    let right = rows.iter().filter(|r| r.1).count();
    let more = json!({ "files": rows.iter().map(|r| r.0.as_str()).collect::<Vec<_>>() });
    figure(
        "files that are no whole foot, refused for their own reason",
        right,
        &format!("of {} files", rows.len()),
        "all",
        right == rows.len(),
        more,
    );
    Ok(())
}

fn is_for(error: &SurfaceError, reason: Refusal) -> bool {
    match reason {
        Refusal::NoSole => matches!(error, SurfaceError::NoSole),
        Refusal::CutThroughArch => matches!(error, SurfaceError::CutThrough { .. }),
        Refusal::BothFeet => matches!(error, SurfaceError::MoreThanOne { found: 2 }),
        Refusal::NotAFoot => matches!(
            error,
            SurfaceError::NotAFoot { .. } | SurfaceError::NoHeelAndBall
        ),
        Refusal::WrongSide => matches!(error, SurfaceError::WrongSide { .. }),
        Refusal::NoUnitFits => matches!(error, SurfaceError::NoUnitFits { .. }),
        Refusal::TooFewTriangles => matches!(error, SurfaceError::TooFewTriangles { .. }),
    }
}
