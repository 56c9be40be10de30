//! What readings of prints are worth on invented prints of known truth that are not laboratory prints: even and uneven
//! light, a shadow, prints that touch. Prints lines `FIGURE {json}`.
//!
//!     cargo run -p print --example print_figures [-- PRINTS]

use phantom::print::{
    LightSpec, PaperSpec, PrintOutline, PrintSheet, PrintSpec, PrintTruth, Shadow, sheet,
    side_by_side,
};
use picture::{Picture, Turned};
use print::{
    FootReadings, Index, Medium, PrintError, PrintReadings, Scaling, Sheet, Wish, find, read,
};
use serde_json::{Value, json};
use terms::Side;

const PRINTS: u64 = 48;

fn main() {
    let asked = std::env::args().nth(1).and_then(|n| n.parse().ok());
    let prints = asked.unwrap_or(PRINTS);
    lights(prints);
    touching(prints / 4);
}

fn figure(name: &str, value: f64, unit: &str, goal: &str, holds: bool, more: &Value) {
    println!(
        "FIGURE {}",
        json!({ "name": name, "value": value, "unit": unit, "goal": goal, "holds": holds, "more": more })
    );
}

fn readings(made: &PrintSheet, medium: Medium) -> Result<PrintReadings, PrintError> {
    let picture = Picture {
        width: made.width as u32,
        height: made.height as u32,
        rgb: made.rgb(),
        turned: Turned::No,
        px_per_mm: Some(1.0 / made.mm_per_cell),
    };
    let sheet = Sheet::of_picture(&picture, Some(medium), &Scaling::FileDensity)?;
    let steps = find(&sheet, &Wish::default())?;
    read(&sheet, &steps)
}

fn true_values(t: &PrintTruth) -> [(Index, f64); 10] {
    [
        (Index::ArchIndex, t.arch_index),
        (Index::ChippauxSmirak, t.chippaux_smirak),
        (Index::StaheliIndex, t.staheli_index),
        (Index::ClarkeAngle, t.clarke_angle_deg),
        (Index::TruncatedLength, t.truncated_length),
        (Index::FootLength, t.foot_length),
        (Index::BallWidth, t.ball_width),
        (Index::HeelWidth, t.heel_width),
        (Index::MidfootWidth, t.midfoot_width),
        (Index::ContactArea, t.area / 100.0),
    ]
}

/// Misses of one set of prints.
#[derive(Default)]
struct Told {
    read: usize,
    refused: Vec<String>,
    wrong_side: usize,
    arch: Vec<f64>,
    others: Vec<f64>,
    held: usize,
    all: usize,
    worst: Option<(f64, u64, Index)>,
}

impl Told {
    fn take(&mut self, seed: u64, foot: &FootReadings, spec: &PrintSpec) {
        self.read += 1;
        self.wrong_side += usize::from(foot.side != spec.side);
        for (index, wanted) in true_values(&PrintOutline::new(spec).truth()) {
            self.all += 1;
            let Some(reading) = foot.of(index) else {
                continue;
            };
            let (low, high) = reading.estimate.interval_95();
            self.held += usize::from((low..=high).contains(&wanted));
            let miss = 100.0 * (reading.estimate.value / wanted - 1.0).abs();
            match index {
                Index::ArchIndex => self.arch.push(miss),
                _ => self.others.push(miss),
            }
            if self.worst.is_none_or(|(w, _, _)| miss > w) {
                self.worst = Some((miss, seed, index));
            }
        }
    }

    fn tell(&self, what: &str, feet: usize, goal_percent: f64, goal_share: f64) {
        let most = |v: &[f64]| v.iter().copied().fold(0.0, f64::max);
        let more = json!({
            "feet": feet,
            "read": self.read,
            "refused": self.refused,
            "wrong_side": self.wrong_side,
            "largest_of_the_others_percent": most(&self.others),
            "worst": self.worst.map(|(w, seed, index)| format!("{} of print {seed}: {w:.3} %", index.words())),
        });
        let all_read = self.read == feet && self.wrong_side == 0;
        let arch = most(&self.arch);
        figure(
            &format!("prints, {what}: largest miss of the arch index"),
            arch,
            "percent of truth",
            &format!("all read, sides right, < {goal_percent} %"),
            all_read && arch < goal_percent,
            &more,
        );
        let share = 100.0 * self.held as f64 / self.all.max(1) as f64;
        figure(
            &format!("prints, {what}: truths within the stated 95 % interval"),
            share,
            "percent",
            &format!(">= {goal_share} %"),
            share >= goal_share,
            &json!({ "held": self.held, "of": self.all }),
        );
    }
}

/// A sheet of `seed`'s print at some turn, and its spec.
fn lying(seed: u64, paper: &PaperSpec) -> (PrintSpec, PrintSheet) {
    let spec = PrintSpec::random(seed);
    let turn = (seed as f64 * 37.0) % 360.0;
    let (s, c) = turn.to_radians().sin_cos();
    let heel = [150.0 - 95.0 * s, 150.0 + 95.0 * c];
    (spec, sheet(&[(spec, heel, turn)], paper))
}

fn lights(prints: u64) {
    let ink = PaperSpec {
        width_mm: 300.0,
        height_mm: 300.0,
        ..PaperSpec::default()
    };
    let wet = PaperSpec {
        ground: 230.0,
        print: 180.0,
        ..ink.clone()
    };
    let shaded = |seed: u64, soft_mm: f64| {
        let lamp = LightSpec::random(seed);
        LightSpec {
            ratio: 1.0 + 0.3 * (lamp.ratio - 1.0),
            shadow: Some(Shadow {
                through: [110.0 + 10.0 * (seed % 9) as f64, 150.0],
                dark_deg: 41.0 * seed as f64,
                soft_mm,
                keeps: 0.6,
            }),
            ..lamp
        }
    };
    let lamp = |seed: u64| LightSpec {
        ratio: 2.0,
        ..LightSpec::random(seed)
    };
    type Lit<'a> = &'a dyn Fn(u64) -> LightSpec;
    let cases: [(&str, &PaperSpec, Medium, f64, Lit); 8] = [
        ("ink, even light", &ink, Medium::Ink, 0.0, &|_| {
            LightSpec::EVEN
        }),
        ("ink, lamp 2:1", &ink, Medium::Ink, 0.0, &lamp),
        ("ink, lamp 2:1, grain", &ink, Medium::Ink, 6.0, &lamp),
        (
            "ink, shadow's edge of 15 mm",
            &ink,
            Medium::Ink,
            3.0,
            &|s| shaded(s, 15.0),
        ),
        ("wet, even light", &wet, Medium::Wet, 3.0, &|_| {
            LightSpec::EVEN
        }),
        ("wet, lamp 2:1", &wet, Medium::Wet, 3.0, &lamp),
        (
            "wet, shadow's edge of 40 mm",
            &wet,
            Medium::Wet,
            3.0,
            &|s| shaded(s, 40.0),
        ),
        (
            "wet, shadow's edge of 25 mm",
            &wet,
            Medium::Wet,
            3.0,
            &|s| shaded(s, 25.0),
        ),
    ];
    for (what, paper, medium, grain, light) in cases {
        let mut told = Told::default();
        for seed in 0..prints {
            let (spec, mut made) = lying(seed, paper);
            let light = light(seed);
            if light != LightSpec::EVEN {
                made = made.lit(&light);
            }
            if grain > 0.0 {
                made = made.grained(grain, seed);
            }
            match readings(&made, medium) {
                Ok(r) if r.feet.len() == 1 => told.take(seed, &r.feet[0], &spec),
                Ok(r) => told
                    .refused
                    .push(format!("print {seed}: {} feet", r.feet.len())),
                Err(e) => told.refused.push(format!("print {seed}: {e}")),
            }
        }
        let goal = if what == "ink, even light" { 0.5 } else { 1.0 };
        told.tell(what, prints as usize, goal, 90.0);
    }
}

fn touching(pairs: u64) {
    let paper = PaperSpec {
        width_mm: 300.0,
        height_mm: 300.0,
        noise: 4.0,
        ..PaperSpec::default()
    };
    for overlap in [0.0, 2.0, 4.0, 6.0, 8.0] {
        let mut told = Told::default();
        for seed in 0..pairs {
            let turned = [0.0, 4.0, -3.0, 8.0][seed as usize % 4];
            let ahead = [0.0, 12.0, -20.0][seed as usize % 3];
            let feet = [Side::Left, Side::Right].map(|side| PrintSpec {
                side,
                ..PrintSpec::random(seed)
            });
            let made = side_by_side(&feet, overlap, turned, ahead, &paper);
            match readings(&made, Medium::Ink) {
                Ok(r) if r.feet.len() == 2 => {
                    for (foot, spec) in r.feet.iter().zip(&feet) {
                        told.take(seed, foot, spec);
                    }
                }
                Ok(r) => told
                    .refused
                    .push(format!("pair {seed}: {} feet", r.feet.len())),
                Err(e) => told.refused.push(format!("pair {seed}: {e}")),
            }
        }
        let what = format!("feet over each other by {overlap} mm");
        told.tell(&what, 2 * pairs as usize, 3.0, 90.0);
    }
}
