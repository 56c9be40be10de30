//! The figures that rest on the phantom and on invented points: accuracy against known truth, coverage of
//! the stated interval, and what a turned foot does. Prints lines `FIGURE {json}`.

use film::{Limits, ScaleWish};
use knowledge::Knowledge;
use phantom::expose::dicom::Paper;
use phantom::expose::{Exposure, PhantomFilm, expose};
use phantom::{Age, FootSpec, Pose};
use reading::figures::{TruthFile, coverage, invented_film, invented_points, yaw_curve};
use reading::{FilmFacts, PointSet, Reader};
use serde_json::{Value, json};
use std::error::Error;
use terms::{Side, Stance, View};
use time::macros::datetime;

/// Seed of every draw, so that the figures come out the same again.
const SEED: u64 = 20_261_125;
const DRAWS: usize = 2_000;

fn main() -> Result<(), Box<dyn Error>> {
    let wanted: Vec<String> = std::env::args().skip(1).collect();
    let all = wanted.is_empty();
    if all || wanted.iter().any(|w| w == "accuracy") {
        accuracy()?;
    }
    if all || wanted.iter().any(|w| w == "coverage") {
        coverage_rows()?;
    }
    if all || wanted.iter().any(|w| w == "turned") {
        turned()?;
    }
    Ok(())
}

fn figure(name: &str, value: f64, unit: &str, goal: &str, holds: bool, more: Value) {
    println!(
        "FIGURE {}",
        json!({ "name": name, "value": value, "unit": unit, "goal": goal, "holds": holds, "more": more })
    );
}

/// Feet that the figures rest on: plain, half collapsed, far collapsed, left, longer, a child.
fn feet() -> Vec<(&'static str, FootSpec)> {
    let adult = |side, collapse, length| FootSpec {
        side,
        foot_length_mm: length,
        age: Age::Adult,
        pose: Pose::arch_collapse(collapse),
        seed: 7,
    };
    vec![
        ("plain right", adult(Side::Right, 0.0, 255.0)),
        ("half collapsed right", adult(Side::Right, 0.5, 255.0)),
        ("collapsed right", adult(Side::Right, 1.0, 268.0)),
        ("half collapsed left", adult(Side::Left, 0.6, 240.0)),
        (
            "child of 10, flat",
            FootSpec {
                side: Side::Right,
                foot_length_mm: 215.0,
                age: Age::Child { years: 10.0 },
                pose: Pose::arch_collapse(0.4),
                seed: 3,
            },
        ),
    ]
}

/// A film without a foot's rotation, as DICOM and read back, with facts that switch no error on but the points'.
fn straight(
    spec: &FootSpec,
    view: View,
    rotation: f64,
) -> Result<(PhantomFilm, PointSet, FilmFacts), Box<dyn Error>> {
    let film = expose(
        &phantom::build(spec)?,
        &Exposure {
            foot_rotation_deg: rotation,
            ..Exposure::usual(view)
        },
    )?;
    let bytes = film.dicom(&Paper::invented(datetime!(2026-01-01 12:00), 1))?;
    let opened = film::open(&bytes, &Limits::default())?;
    let scale = film::scale::choose(&opened.spacing, &ScaleWish::File { object: None });
    let facts = FilmFacts {
        pixel_aspect: Some(scale.pixel_aspect()),
        scale: scale.known(),
        stance: Stance::Standing,
        yaw_sd_deg: 0.0,
        ..FilmFacts::of_size(opened.width, opened.height)
    };
    let set = PointSet::at_places(view, Some(spec.side), &film.landmarks_px);
    Ok((film, set, facts))
}

/// Perfect points, no rotation: reading minus the truth worked out independently on the same film.
fn accuracy() -> Result<(), Box<dyn Error>> {
    let knowledge = Knowledge::built_in();
    let mut worst: std::collections::BTreeMap<String, (f64, f64, usize)> = Default::default();
    for (name, spec) in feet() {
        for view in View::ALL {
            let (film, set, facts) = straight(&spec, view, 0.0)?;
            let Some(truth) = &film.truth else { continue };
            let sheet = reading::read_all(knowledge, &set, &facts);
            let space = |key: &str| {
                truth
                    .in_space
                    .iter()
                    .find(|v| v.key == key)
                    .map(|v| v.true_value)
            };
            for r in &sheet.readings {
                let key = r.measure.as_str();
                let Some(on_film) = truth.on_film.iter().find(|v| v.key == key) else {
                    continue;
                };
                let entry = worst.entry(key.to_owned()).or_default();
                entry.0 = entry.0.max((r.estimate.value - on_film.true_value).abs());
                entry.1 = entry
                    .1
                    .max(space(key).map_or(0.0, |s| (r.estimate.value - s).abs()));
                entry.2 += 1;
            }
            if sheet.readings.is_empty() {
                eprintln!("{name}, {}: nothing read", view.key());
            }
        }
    }
    let mut largest: f64 = 0.0;
    for (key, (on_film, in_space, films)) in &worst {
        let unit = knowledge.measures_unit(key);
        let goal = if unit == "deg" {
            "< 0.1° from the truth on the film"
        } else {
            "< 0.1 of its unit from the truth on the film"
        };
        largest = largest.max(*on_film);
        figure(
            &format!("accuracy {key}"),
            *on_film,
            unit,
            goal,
            *on_film < 0.1,
            json!({ "films": films, "largest_distance_from_the_truth_in_space": in_space }),
        );
    }
    figure(
        "accuracy, worst of all measures",
        largest,
        "unit of the measure",
        "< 0.1",
        largest < 0.1 && worst.len() >= 27,
        json!({ "measures": worst.len() }),
    );
    Ok(())
}

trait MeasureUnit {
    fn measures_unit(&self, key: &str) -> &'static str;
}

impl MeasureUnit for Knowledge {
    fn measures_unit(&self, key: &str) -> &'static str {
        terms::MeasureKey::new(key)
            .ok()
            .and_then(|k| self.measure(&k))
            .map_or("", |m| m.unit.key())
    }
}

/// Share of 2,000 jittered placings whose stated 95 % interval holds the truth, on a phantom film of each
/// view and on invented points.
fn coverage_rows() -> Result<(), Box<dyn Error>> {
    let spec = FootSpec {
        side: Side::Left,
        foot_length_mm: 250.0,
        age: Age::Adult,
        pose: Pose::arch_collapse(0.5),
        seed: 5,
    };
    let (mut least, mut most) = (100.0f64, 0.0f64);
    for view in View::ALL {
        let reader = Reader::new(Knowledge::built_in(), view);
        let (film, points, facts) = straight(&spec, view, 0.0)?;
        let facts = FilmFacts {
            yaw_sd_deg: reading::points::USUAL_YAW_SD_DEG,
            ..facts
        };
        let truth = film
            .truth
            .iter()
            .flat_map(|t| &t.on_film)
            .filter_map(|v| Some((terms::MeasureKey::new(&v.key).ok()?, v.true_value)))
            .collect();
        let cases = [
            (
                "phantom film",
                TruthFile {
                    points,
                    film: facts,
                    truth,
                },
            ),
            (
                "invented points",
                TruthFile {
                    points: invented_points(view),
                    film: invented_film(),
                    truth: Default::default(),
                },
            ),
        ];
        for (name, case) in cases {
            for row in coverage(&reader, &case, DRAWS, SEED) {
                least = least.min(row.percent);
                most = most.max(row.percent);
                let holds = (93.0..=97.0).contains(&row.percent);
                figure(
                    &format!("coverage {} ({name})", row.measure),
                    row.percent,
                    "%",
                    "93 to 97 %",
                    holds,
                    serde_json::to_value(&row)?,
                );
            }
        }
    }
    figure(
        "coverage, lowest of all",
        least,
        "%",
        "93 to 97 %",
        least >= 93.0,
        json!({ "draws": DRAWS, "seed": SEED }),
    );
    figure(
        "coverage, highest of all",
        most,
        "%",
        "93 to 97 %",
        most <= 97.0,
        json!({ "draws": DRAWS, "seed": SEED }),
    );
    Ok(())
}

/// What a foot turned on the detector does: the model's curve beside films of the phantom turned for real.
fn turned() -> Result<(), Box<dyn Error>> {
    let knowledge = Knowledge::built_in();
    let yaws = [0.0, 5.0, 10.0, 15.0, 20.0, 25.0];
    let spec = FootSpec {
        side: Side::Right,
        foot_length_mm: 255.0,
        age: Age::Adult,
        pose: Pose::arch_collapse(0.3),
        seed: 7,
    };
    let reader = Reader::new(knowledge, View::Lateral);
    let (_, straight_points, facts) = straight(&spec, View::Lateral, 0.0)?;
    let curve = yaw_curve(&reader, &straight_points, &facts, &yaws);
    for key in ["calc_pitch", "meary_lat", "nav_height"] {
        let mut rows = Vec::new();
        for yaw in yaws {
            let (_, points, facts) = straight(&spec, View::Lateral, yaw)?;
            let sheet = reader.read(&points, &facts);
            let film = terms::MeasureKey::new(key)
                .ok()
                .and_then(|k| sheet.reading(&k).map(|r| r.estimate.value));
            let model = curve
                .iter()
                .find(|p| p.measure.as_str() == key && p.yaw_deg == yaw)
                .map(serde_json::to_value)
                .transpose()?;
            rows.push(json!({ "yaw_deg": yaw, "phantom_film": film, "model": model }));
        }
        let first = rows
            .first()
            .and_then(|r| r["phantom_film"].as_f64())
            .unwrap_or(f64::NAN);
        let last = rows
            .last()
            .and_then(|r| r["phantom_film"].as_f64())
            .unwrap_or(f64::NAN);
        figure(
            &format!("turned by 25°: change of {key} on the phantom's film"),
            last - first,
            knowledge.measures_unit(key),
            "printed, no goal",
            (last - first).is_finite(),
            json!({ "curve": rows }),
        );
    }
    Ok(())
}
