//! What the readings of heel-rise clips are worth on invented clips of known truth. Prints lines `FIGURE {json}`.
//!
//! Clips are drawn by lot: adults and children, either side, stickers or a pen's crosses, unsteady hands, noise,
//! blur, swelling light, uneven frame times, a point hidden for a while in every fourth, a camera askew by a
//! standard error of 2°. In every fourth the marks are off by a pixel.
//!
//! `cargo run -p motion --example motion_figures [-- CLIPS [FIRST SEED]]`

#[path = "shared/mod.rs"]
mod shared;

use motion::rise::{LegReadings, Verdict, read};
use motion::steps::{How, Point, Steps};
use phantom::clip::{Clip, ClipSpec, LegTruth};
use quantity::Z_975;
use rand::rngs::StdRng;
use rand::{Rng, SeedableRng};
use rayon::prelude::*;
use serde_json::{Value, json};

const CLIPS: u64 = 200;
/// What the clips' cameras are askew by, and what the readings are told.
const YAW_SD_DEG: f64 = 2.0;
/// A turn is clear where it lies this many stated standard errors from the limit.
const CLEAR: f64 = 4.0;

struct Outcome {
    seed: u64,
    exact: bool,
    hidden: bool,
    stickers: bool,
    seen_squares: Vec<f64>,
    front_squares: Vec<f64>,
    place_squares: Vec<f64>,
    place_covered: (usize, usize),
    lost: (usize, usize),
    count: (usize, usize),
    turn: Option<(f64, f64, f64, Verdict)>,
    /// Of rises that were seen from foot to top.
    heights: Vec<(f64, f64)>,
    not_seen_whole: usize,
}

fn main() {
    let number = |at: usize| std::env::args().nth(at).and_then(|w| w.parse().ok());
    let (clips, first) = (number(1).unwrap_or(CLIPS), number(2).unwrap_or(0));
    let outcomes: Vec<Outcome> = (first..first + clips)
        .into_par_iter()
        .map(outcome)
        .collect();
    let more = json!({ "clips": clips, "drawn_by_lot_from": format!("seeds {first} and up") });
    angles(&outcomes, &more);
    rises(&outcomes, &more);
    turns(&outcomes, &more);
    places(&outcomes, &more);
}

fn figure(name: &str, value: f64, unit: &str, goal: &str, holds: bool, more: &Value) {
    println!(
        "FIGURE {}",
        json!({ "name": name, "value": value, "unit": unit, "goal": goal, "holds": holds, "more": more })
    );
}

fn outcome(seed: u64) -> Outcome {
    let spec = ClipSpec::random(seed);
    let exact = seed % 4 != 3;
    let (hidden, stickers) = (spec.hidden.is_some(), spec.stickers);
    let clip = Clip::new(spec);
    let mut lot = StdRng::seed_from_u64(seed ^ 0xFACE);
    let off: Vec<(f64, f64)> = (0..4)
        .map(|_| {
            let mut one = || (0..12).map(|_| lot.random::<f64>()).sum::<f64>() - 6.0;
            (one(), one())
        })
        .collect();
    let marks = shared::marks(&clip, 0, if exact { &[] } else { &off });
    let mut steps = shared::steps(&clip, marks);
    steps.setup.yaw_sd_deg = YAW_SD_DEG;
    steps.setup.placing_sd_px = 1.0;
    let readings = read(&steps).expect("readings of a followed clip");
    let (leg, truth) = (&readings.legs[0], &clip.truth().legs[0]);
    let mut out = Outcome {
        seed,
        exact,
        hidden,
        stickers,
        seen_squares: Vec::new(),
        front_squares: Vec::new(),
        place_squares: Vec::new(),
        place_covered: (0, 0),
        lost: (0, 0),
        count: (leg.count.unwrap_or(usize::MAX), truth.rises.len()),
        turn: None,
        heights: Vec::new(),
        not_seen_whole: leg.rises.iter().filter(|r| r.not_seen_whole).count(),
    };
    if exact {
        compare(&mut out, &steps, leg, truth);
    }
    let true_turn =
        truth.rises.iter().map(|r| r.change_deg).sum::<f64>() / truth.rises.len() as f64;
    out.turn = leg.turn.map(|t| {
        (
            true_turn,
            t.change.value,
            t.change.standard_error,
            t.verdict,
        )
    });
    if leg.rises.len() == truth.rises.len() {
        out.heights = leg
            .rises
            .iter()
            .zip(&truth.rises)
            .filter(|(r, _)| !r.not_seen_whole)
            .map(|(r, t)| {
                (
                    100.0 * (r.height.value / t.height_mm - 1.0),
                    (r.height.value - t.height_mm).abs() / r.height.standard_error,
                )
            })
            .collect();
    }
    out
}

fn compare(out: &mut Outcome, steps: &Steps, leg: &LegReadings, truth: &LegTruth) {
    for (i, instant) in leg.curve.iter().enumerate() {
        if let Some(a) = instant.angle {
            out.seen_squares.push((a.deg - truth.seen_deg[i]).powi(2));
            out.front_squares.push((a.deg - truth.front_deg[i]).powi(2));
        }
        for (k, point) in Point::ALL.into_iter().enumerate() {
            out.lost.1 += 1;
            match steps.track.place(leg.side, point, i) {
                Some(p) if p.how == How::Followed => {
                    let (x, y) = truth.spots[i][k];
                    out.place_squares
                        .push((p.x - x).powi(2) + (p.y - y).powi(2));
                    if i > 0 {
                        out.place_covered.1 += 2;
                        out.place_covered.0 += usize::from((p.x - x).abs() <= Z_975 * p.sd_x)
                            + usize::from((p.y - y).abs() <= Z_975 * p.sd_y);
                    }
                }
                _ => out.lost.0 += 1,
            }
        }
    }
}

fn rms(squares: &[f64]) -> f64 {
    (squares.iter().sum::<f64>() / squares.len().max(1) as f64).sqrt()
}

fn angles(outcomes: &[Outcome], more: &Value) {
    let all = |pick: fn(&Outcome) -> &Vec<f64>| -> Vec<f64> {
        outcomes.iter().flat_map(|o| pick(o).clone()).collect()
    };
    let seen = all(|o| &o.seen_squares);
    let mut by_clip: Vec<(f64, u64)> = outcomes
        .iter()
        .filter(|o| o.exact)
        .map(|o| (rms(&o.seen_squares), o.seed))
        .collect();
    by_clip.sort_by(|a, b| b.0.total_cmp(&a.0));
    let value = rms(&seen);
    figure(
        "heel angle in every frame against what the camera shows, root mean square",
        value,
        "deg",
        "< 0.5",
        value < 0.5,
        &json!({ "frames": seen.len(), "clips": by_clip.len(), "worst_clips": &by_clip[..by_clip.len().min(5)], "marks": "exact" }),
    );
    let front = rms(&all(|o| &o.front_squares));
    figure(
        "heel angle in every frame against the plane across the foot, root mean square, camera askew by 2°",
        front,
        "deg",
        "told: a camera askew sees a pitched heel lean",
        true,
        more,
    );
}

fn rises(outcomes: &[Outcome], more: &Value) {
    let right = outcomes.iter().filter(|o| o.count.0 == o.count.1).count();
    let wrong: Vec<Value> = outcomes
        .iter()
        .filter(|o| o.count.0 != o.count.1)
        .map(|o| json!([o.seed, o.count.0, o.count.1, o.hidden]))
        .collect();
    figure(
        "clips whose rises are counted exactly",
        100.0 * right as f64 / outcomes.len() as f64,
        "% of clips",
        "100",
        right == outcomes.len(),
        &json!({ "clips": outcomes.len(), "wrong": wrong }),
    );
    let heights: Vec<(f64, f64)> = outcomes.iter().flat_map(|o| o.heights.clone()).collect();
    let squares: Vec<f64> = heights.iter().map(|h| h.0 * h.0).collect();
    let value = rms(&squares);
    let partly: usize = outcomes.iter().map(|o| o.not_seen_whole).sum();
    figure(
        "height of a rise against the truth, root mean square",
        value,
        "% of the height",
        "< 3",
        value < 3.0,
        &json!({ "rises": heights.len(), "said_not_seen_whole_and_left_out": partly }),
    );
    let inside = heights.iter().filter(|h| h.1 <= Z_975).count();
    let share = 100.0 * inside as f64 / heights.len().max(1) as f64;
    figure(
        "heights whose interval of 95 % holds the truth",
        share,
        "% of rises",
        ">= 90",
        share >= 90.0,
        more,
    );
}

fn turns(outcomes: &[Outcome], more: &Value) {
    let turns: Vec<(u64, (f64, f64, f64, Verdict))> = outcomes
        .iter()
        .filter_map(|o| Some((o.seed, o.turn?)))
        .collect();
    let limit = -motion::rise::turn::LEAST_TURN_DEG;
    let clear: Vec<_> = turns
        .iter()
        .filter(|(_, (truth, _, se, _))| (truth - limit).abs() >= CLEAR * se)
        .collect();
    let expected = |truth: f64| {
        if truth < limit {
            Verdict::Inverts
        } else {
            Verdict::DoesNot
        }
    };
    let right = clear
        .iter()
        .filter(|(_, (truth, _, _, v))| *v == expected(*truth))
        .count();
    let told: Vec<Value> = clear
        .iter()
        .filter(|(_, (truth, _, _, v))| *v != expected(*truth))
        .map(|(seed, (truth, value, se, v))| json!([seed, truth, value, se, v]))
        .collect();
    figure(
        "clips whose turn is clear and whose verdict is right",
        100.0 * right as f64 / clear.len().max(1) as f64,
        "% of clips",
        "100",
        right == clear.len(),
        &json!({ "clear_clips": clear.len(), "clear_is": "4 stated standard errors from the limit of 2° inward", "others": told }),
    );
    let wrong = turns
        .iter()
        .filter(|(_, (truth, _, _, v))| *v != Verdict::CannotTell && *v != expected(*truth))
        .count();
    let cannot = turns
        .iter()
        .filter(|(_, t)| t.3 == Verdict::CannotTell)
        .count();
    figure(
        "verdicts that are wrong, of all clips",
        100.0 * wrong as f64 / turns.len().max(1) as f64,
        "% of clips",
        "< 5",
        wrong * 20 < turns.len(),
        &json!({ "clips": turns.len(), "cannot_tell": cannot }),
    );
    let inside = turns
        .iter()
        .filter(|(_, (truth, value, se, _))| (truth - value).abs() <= Z_975 * se)
        .count();
    let share = 100.0 * inside as f64 / turns.len().max(1) as f64;
    figure(
        "turns whose interval of 95 % holds the truth",
        share,
        "% of clips",
        ">= 90",
        share >= 90.0,
        more,
    );
}

fn places(outcomes: &[Outcome], more: &Value) {
    for (words, stickers) in [("stickers", true), ("a pen's crosses", false)] {
        let squares: Vec<f64> = outcomes
            .iter()
            .filter(|o| o.stickers == stickers)
            .flat_map(|o| o.place_squares.clone())
            .collect();
        let value = rms(&squares);
        figure(
            &format!("place of a followed point against the truth, {words}, root mean square"),
            value,
            "pixels",
            "< 0.3",
            value < 0.3,
            &json!({ "places": squares.len() }),
        );
    }
    let (inside, of) = outcomes.iter().fold((0, 0), |s, o| {
        (s.0 + o.place_covered.0, s.1 + o.place_covered.1)
    });
    let share = 100.0 * inside as f64 / (of as f64).max(1.0);
    figure(
        "places within 1.96 of their stated standard errors",
        share,
        "% of places",
        ">= 85",
        share >= 85.0,
        more,
    );
    let (lost, of) = outcomes
        .iter()
        .filter(|o| !o.hidden)
        .fold((0, 0), |s, o| (s.0 + o.lost.0, s.1 + o.lost.1));
    let share = 100.0 * lost as f64 / (of as f64).max(1.0);
    figure(
        "places lost in clips where nothing hides a point",
        share,
        "% of places",
        "< 1",
        share < 1.0,
        more,
    );
}
