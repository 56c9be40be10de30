//! Is this a foot, and if so, which way round?
//!
//! Every way to set the body down is tried with either end as the heel and either side as the inner one. Each is
//! held against what feet measure; the best one wins, and what speaks for its ends and its side is kept as
//! witnesses. One surprise: nothing here asks for a unit, all is beside foot length.
//!
//! # Sources
//! Breadth of ball and heel and length to the ball beside foot length: ANSUR II 2012 (means and deviations
//! computed from the public data). Places of the outline's outermost points, the arch and the longest toe:
//! 60 invented feet (computed), with wider margins because real feet vary more.

use crate::frame::{Binned, Frame, Settled, rough, settle};
use crate::look::Look;
use crate::sample::{Sample, V};
use rayon::prelude::*;
use serde::{Deserialize, Serialize};

/// One thing by which ends or side were told.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Witness {
    pub what: String,
    /// What was measured, beside foot length.
    pub found: f64,
    /// What a foot of this side would show.
    pub expected: f64,
    /// How much it speaks for the answer; negative where it speaks against it.
    pub weight: f64,
}

/// What is measured on a body that may be a foot. Beside foot length, all of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Trait {
    HeelBreadth,
    BallBreadth,
    InnerBall,
    OuterBall,
    Thickness,
    Arch,
    ToeTip,
    Flat,
    Fill,
    Parts,
    Leg,
}

impl Trait {
    const ALL: [Trait; 11] = [
        Trait::HeelBreadth,
        Trait::BallBreadth,
        Trait::InnerBall,
        Trait::OuterBall,
        Trait::Thickness,
        Trait::Arch,
        Trait::ToeTip,
        Trait::Flat,
        Trait::Fill,
        Trait::Parts,
        Trait::Leg,
    ];

    pub fn words(self) -> &'static str {
        match self {
            Trait::HeelBreadth => "the breadth of the heel",
            Trait::BallBreadth => "the breadth of the ball",
            Trait::InnerBall => "the place of the inner ball",
            Trait::OuterBall => "the place of the outer ball",
            Trait::Thickness => "how much higher the rear is than the toes",
            Trait::Arch => "how much higher the inner arch is than the outer border",
            Trait::ToeTip => "how far inward the longest toe lies",
            Trait::Flat => "the share of the outline near the ground",
            Trait::Fill => "the share of its box that the outline fills",
            Trait::Parts => "the number of parts that the forefoot is divided into behind the toes",
            Trait::Leg => "the place of the leg",
        }
    }

    /// Expected value and how far feet may be from it.
    fn expected(self) -> (f64, f64) {
        match self {
            Trait::HeelBreadth => (0.269, 0.035),
            Trait::BallBreadth => (0.376, 0.04),
            Trait::InnerBall => (0.733, 0.03),
            Trait::OuterBall => (0.653, 0.03),
            Trait::Thickness => (0.15, 0.08),
            Trait::Arch => (0.06, 0.05),
            Trait::ToeTip => (0.05, 0.035),
            Trait::Flat => (0.80, 0.12),
            Trait::Fill => (0.80, 0.05),
            Trait::Parts => (1.0, 0.4),
            Trait::Leg => (0.22, 0.08),
        }
    }

    pub fn mean(self) -> f64 {
        self.expected().0
    }

    /// More than expected is no fault.
    fn only_less_counts(self) -> bool {
        matches!(self, Trait::Thickness | Trait::Flat)
    }
}

/// No single trait may speak against a foot more than this.
const MOST_AGAINST: f64 = 6.0;

/// One way of reading a body as a foot.
#[derive(Debug, Clone)]
pub(crate) struct Reading {
    pub settled: Settled,
    pub look: Look,
    pub traits: Vec<(Trait, f64)>,
    /// Logarithm of how likely the traits are in a foot; 0 is the mean foot.
    pub score: f64,
}

impl Reading {
    pub fn value(&self, wanted: Trait) -> Option<f64> {
        self.traits
            .iter()
            .find(|(t, _)| *t == wanted)
            .map(|(_, v)| *v)
    }

    /// Expected deviations between a trait and the mean foot.
    pub fn strangeness(&self, wanted: Trait) -> f64 {
        self.value(wanted).map_or(0.0, |v| off(wanted, v))
    }
}

fn off(t: Trait, value: f64) -> f64 {
    let (mean, spread) = t.expected();
    let z = (value - mean) / spread;
    if t.only_less_counts() { z.min(0.0) } else { z }
}

fn against(t: Trait, value: f64) -> f64 {
    (0.5 * off(t, value).powi(2)).min(MOST_AGAINST)
}

/// All ways of reading the body, the best first.
pub(crate) fn readings(sample: &Sample, looks: &[Look]) -> Vec<Reading> {
    let skin: Vec<V> = sample.skin().copied().collect();
    let ways: Vec<(Look, Frame)> = looks
        .par_iter()
        .flat_map_iter(|look| {
            let start = rough(&skin, look.up);
            let ends = [start, start.end_for_end()];
            ends.into_iter()
                .flat_map(|frame| [frame, frame.other_side()])
                .map(|frame| (*look, frame))
        })
        .collect();
    let mut all: Vec<Reading> = ways
        .par_iter()
        .filter_map(|(look, frame)| reading(&skin, *frame, *look))
        .collect();
    all.sort_by(|a, b| b.score.total_cmp(&a.score));
    all
}

/// `None` where the body has no heel and ball in this frame.
fn reading(skin: &[V], frame: Frame, look: Look) -> Option<Reading> {
    let settled = settle(skin, frame, &Binned(80), 3)?;
    let local: Vec<V> = skin.iter().map(|p| settled.frame.local(p)).collect();
    let mut traits = Vec::with_capacity(Trait::ALL.len());
    for t in Trait::ALL {
        traits.extend(measured(t, &settled, &local, &look).map(|v| (t, v)));
    }
    let score = -traits.iter().map(|(t, v)| against(*t, *v)).sum::<f64>();
    Some(Reading {
        settled,
        look,
        traits,
        score,
    })
}

fn measured(t: Trait, s: &Settled, local: &[V], look: &Look) -> Option<f64> {
    let l = s.length;
    Some(match t {
        Trait::HeelBreadth => s.heel_breadth / l,
        Trait::BallBreadth => (s.inner_ball.y - s.outer_ball.y) / l,
        Trait::InnerBall => s.inner_ball.x / l,
        Trait::OuterBall => s.outer_ball.x / l,
        Trait::Thickness => {
            let mean = |from: f64, to: f64| {
                let (sum, count) = s
                    .outline
                    .between(from * l, to * l)
                    .fold((0.0, 0usize), |(sum, n), (_, s)| (sum + s.highest, n + 1));
                sum / count.max(1) as f64
            };
            (mean(0.1, 0.4) - mean(0.75, 0.95)) / l
        }
        Trait::Arch => arch(s, local)? / l,
        Trait::ToeTip => {
            let tip = local
                .iter()
                .filter(|p| p.z < 0.25 * l)
                .max_by(|a, b| a.x.total_cmp(&b.x))?;
            tip.y / l
        }
        Trait::Flat => look.flat,
        Trait::Fill => look.fill,
        Trait::Parts => parts(s, local) as f64,
        Trait::Leg => {
            let above: Vec<f64> = local
                .iter()
                .filter(|p| p.z > 0.32 * l)
                .map(|p| p.x)
                .collect();
            if above.len() * 30 < local.len() {
                return None;
            }
            above.iter().sum::<f64>() / above.len() as f64 / l
        }
    })
}

/// Mean of the lowest skin in the middle of the foot, inner part less outer part.
fn arch(s: &Settled, local: &[V]) -> Option<f64> {
    let l = s.length;
    let count = s.outline.stations.len();
    let mut lowest = vec![[f64::INFINITY; 2]; count];
    for p in local.iter().filter(|p| (0.35 * l..0.6 * l).contains(&p.x)) {
        let i = ((p.x / s.outline.step) as usize).min(count - 1);
        let station = &s.outline.stations[i];
        if !station.is_there() {
            continue;
        }
        let share = (p.y - station.low_y) / station.breadth().max(f64::MIN_POSITIVE);
        for (side, range) in [(0, 0.60..0.88), (1, 0.12..0.40)] {
            if range.contains(&share) {
                lowest[i][side] = lowest[i][side].min(p.z);
            }
        }
    }
    let both: Vec<f64> = lowest
        .iter()
        .filter(|l| l.iter().all(|z| z.is_finite()))
        .map(|l| l[0] - l[1])
        .collect();
    (!both.is_empty()).then(|| both.iter().sum::<f64>() / both.len() as f64)
}

/// Into how many parts the outline is divided just behind where toes part.
fn parts(s: &Settled, local: &[V]) -> usize {
    let l = s.length;
    let gap = 0.025 * l;
    let mut most = 1;
    for place in [0.62, 0.68, 0.74] {
        let mut ys: Vec<f64> = local
            .iter()
            .filter(|p| (p.x - place * l).abs() < 0.012 * l && p.z < 0.25 * l)
            .map(|p| p.y)
            .collect();
        ys.sort_by(f64::total_cmp);
        let parts = 1 + ys.windows(2).filter(|w| w[1] - w[0] > gap).count();
        most = most.max(parts);
    }
    most
}

/// What tells the best reading from the best one of another kind.
pub(crate) fn witnesses(best: &Reading, other: &Reading) -> Vec<Witness> {
    best.traits
        .iter()
        .filter_map(|(t, found)| {
            let elsewhere = other.value(*t)?;
            let weight = against(*t, elsewhere) - against(*t, *found);
            (weight.abs() > 0.05).then(|| Witness {
                what: t.words().into(),
                found: *found,
                expected: t.expected().0,
                weight,
            })
        })
        .collect()
}
