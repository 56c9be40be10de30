//! All readings of one leg.

use super::angle::{HeelAngle, heel_angle};
use super::gap::{HIDDEN_SHARE, hidden_beside};
use super::rises::{LEAST_RISE_LEG, LEAST_RISE_MM, Rule, Span, spans};
use super::series::{LegSeries, Scale, Series};
use super::tempo::{beat_lost, tempo};
use super::turn::{OneTurn, Turn, turn};
use crate::steps::Point;
use quantity::{Estimate, Unit};
use serde::Serialize;
use terms::Side;

/// A frame's part of the curves; what was not seen stays missing.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Instant {
    pub time_s: f64,
    pub angle: Option<HeelAngle>,
    /// Of the heel's lower point over where it stands, in the unit of the readings.
    pub height: Option<f64>,
}

/// Frames for a strip of pictures: standing, half way up, top, half way down, standing.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Strip {
    pub rise: usize,
    pub frames: Vec<usize>,
}

/// One rise of the heel.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Rise {
    /// From 1, in the order of the clip.
    pub number: usize,
    pub start_frame: usize,
    pub top_frame: usize,
    /// `None` where the clip ends before the heel came down by half.
    pub end_frame: Option<usize>,
    pub top_s: f64,
    pub height: Estimate,
    pub standing: Option<Estimate>,
    pub top: Option<Estimate>,
    /// Top less standing; minus is inward.
    pub change: Option<Estimate>,
    /// Whether it counts by the rule; `None` where the rule cannot be judged.
    pub counts: Option<bool>,
    /// Whether its top is off the beat after the one before; `None` without a beat and for the first.
    pub off_beat: Option<bool>,
    /// Frames of it without a height.
    pub frames_missing: usize,
    /// Its top, or the standing before it, lies beside frames in which the heel was not seen: it may be higher.
    pub not_seen_whole: bool,
}

/// What a reader of the numbers should know.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case", tag = "note")]
pub enum Note {
    NoKnownLength,
    CameraUnknown {
        frames: usize,
    },
    NoRise,
    PointLost {
        point: Point,
        frames: usize,
    },
    CountIsALeast {
        gap_s: f64,
    },
    /// Rises whose top or standing was not seen.
    HeightIsALeast {
        rises: Vec<usize>,
    },
    RuleNotJudged,
    LastRiseCut,
}

impl Note {
    pub fn words(&self) -> String {
        match self {
            Note::NoKnownLength => {
                "no known length in the picture: heights are in distances of the leg's two points".into()
            }
            Note::CameraUnknown { frames } => format!(
                "in {frames} frames the background did not tell how the camera moved: heights take it as still"
            ),
            Note::NoRise => "the heel does not leave the ground in this clip".into(),
            Note::PointLost { point, frames } => {
                format!("the {} was not seen in {frames} frames", point.words())
            }
            Note::CountIsALeast { gap_s } => format!(
                "the heel was not seen for {gap_s:.1} seconds: there may be more rises than were counted"
            ),
            Note::HeightIsALeast { rises } => {
                let numbers: Vec<String> = rises.iter().map(usize::to_string).collect();
                format!(
                    "the heel was not seen at the top or the foot of {} {}: the height is at least what is told, and no angle at the top is",
                    if rises.len() == 1 { "rise" } else { "rises" },
                    numbers.join(", ")
                )
            }
            Note::RuleNotJudged => {
                "whether every rise counts is not judged: no length is known for a rule in millimetres, or a height was not seen whole".into()
            }
            Note::LastRiseCut => "the clip ends before the last rise came down".into(),
        }
    }
}

/// The readings of a leg.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LegReadings {
    pub side: Side,
    pub curve: Vec<Instant>,
    pub rises: Vec<Rise>,
    /// Rises that count by the rule; `None` where it cannot be judged, and where the heel was not seen in half of
    /// the frames.
    pub count: Option<usize>,
    /// The first of two rises in a row that are off the beat, by its number: where the endurance form would prompt.
    pub beat_lost: Option<usize>,
    pub best_height: Option<Estimate>,
    pub mean_height: Option<Estimate>,
    /// Sum of the heights of all rises.
    pub travel: Option<Estimate>,
    /// Loss of height with each rise, % of the height of the fitted first; from three rises on.
    pub decay: Option<Estimate>,
    /// Rises a minute, from the median time between tops; from two rises on.
    pub tempo_per_min: Option<f64>,
    /// Standard deviation of the times between tops, % of their mean; from three rises on.
    pub tempo_spread: Option<f64>,
    /// Heel against leg while standing, with all that is uncertain.
    pub standing: Option<Estimate>,
    pub turn: Option<Turn>,
    pub best: Option<Strip>,
    pub worst: Option<Strip>,
    pub notes: Vec<Note>,
}

impl LegReadings {
    /// There may be more rises than were counted: the count is held against nothing.
    pub fn count_is_a_least(&self) -> bool {
        self.notes
            .iter()
            .any(|n| matches!(n, Note::CountIsALeast { .. }))
    }
}

/// Frames within this share of a rise's height belong to its top: the heel lingers there, one frame errs.
const TOP_SHARE: f64 = 0.93;
/// Frames up to this share of a rise's height belong to standing.
const STANDING_SHARE: f64 = 0.08;
/// Longest part of standing taken into an angle, seconds.
const STANDING_S: f64 = 1.0;
/// Standard error of a height, part of it, from a camera that looks down a little: the heel goes some 3 mm forward
/// with each 10 mm up, and 4° of looking down turn that into height (common practice for the 4°).
const LOOKING_DOWN: f64 = 0.02;
/// A gap without the heel longer than this may hide a rise: half the time of a rise at 30 a minute.
const GAP_S: f64 = 1.0;

pub(crate) fn read_leg(series: &Series, leg: &LegSeries, rule: Rule) -> LegReadings {
    let count = series.times_s.len();
    let angles: Vec<Option<HeelAngle>> = (0..count).map(|f| heel_angle(leg, f)).collect();
    let worth = Worth::of(series, &angles);
    let raw: Vec<Option<f64>> = (0..count)
        .map(|f| Some(leg.at(Point::HeelLower, f)?.y * worth?.per_unit))
        .collect();
    let least = match series.scale {
        Scale::Millimetres { .. } => LEAST_RISE_MM,
        Scale::Unknown => LEAST_RISE_LEG,
    };
    let found = spans(&raw, least);
    let ground = ground(&raw, &found);
    let heights: Vec<Option<f64>> = raw.iter().map(|h| Some((*h)? - ground?)).collect();
    let view = View {
        series,
        leg,
        angles: &angles,
        heights: &heights,
        worth,
    };
    let mut notes = Vec::new();
    let mut rises: Vec<Rise> = found
        .iter()
        .enumerate()
        .map(|(i, span)| view.rise(i, span, &found))
        .collect();
    judge(&mut rises, rule, series.scale, &mut notes);
    let turns: Vec<OneTurn> = found
        .iter()
        .enumerate()
        .filter_map(|(i, span)| view.one_turn(i, span, &found))
        .collect();
    notes.extend(view.notes(&rises));
    let (decay, mean_height, travel) = view.heights_together(&rises);
    let (tempo_per_min, tempo_spread) = tempo(&rises);
    let beat_lost = beat_lost(&mut rises, series.beat_per_min);
    let by_height = |a: &&Rise, b: &&Rise| a.height.value.total_cmp(&b.height.value);
    let whole = seen_whole(&rises);
    let best = whole.iter().copied().max_by(by_height);
    let worst = (whole.len() > 1)
        .then(|| whole.iter().copied().min_by(by_height))
        .flatten();
    LegReadings {
        side: leg.side,
        curve: (0..count)
            .map(|f| Instant {
                time_s: series.times_s[f],
                angle: angles[f],
                height: heights[f],
            })
            .collect(),
        count: rises
            .iter()
            .map(|r| r.counts)
            .collect::<Option<Vec<bool>>>()
            .map(|c| c.into_iter().filter(|c| *c).count())
            .filter(|_| 2 * heights.iter().flatten().count() >= count),
        beat_lost,
        best_height: best.map(|r| r.height),
        mean_height,
        travel,
        decay,
        tempo_per_min,
        tempo_spread,
        standing: view.standing(&found),
        turn: turn(&turns, series.setup.yaw_sd_deg, series.setup.placing_sd_px),
        best: best.map(|r| view.strip(r)),
        worst: worst.map(|r| view.strip(r)),
        rises,
        notes,
    }
}

/// What a unit of the plane is worth in the unit of the readings.
#[derive(Debug, Clone, Copy)]
struct Worth {
    per_unit: f64,
    relative_error: f64,
    unit: Unit,
}

impl Worth {
    /// `None` where no length is known and the leg was never seen whole.
    fn of(series: &Series, angles: &[Option<HeelAngle>]) -> Option<Self> {
        match series.scale {
            Scale::Millimetres {
                per_unit,
                relative_error,
            } => Some(Self {
                per_unit,
                relative_error,
                unit: Unit::Millimetre,
            }),
            Scale::Unknown => {
                let leg = median(angles.iter().flatten().map(|a| a.leg_length).collect())?;
                Some(Self {
                    per_unit: 1.0 / leg,
                    relative_error: series.setup.placing_sd_px * std::f64::consts::SQRT_2 / leg,
                    unit: Unit::Ratio,
                })
            }
        }
    }
}

/// Height of the standing heel: the median of the low points before the rises, without rises that of all frames.
fn ground(raw: &[Option<f64>], found: &[Span]) -> Option<f64> {
    let low = found.iter().filter_map(|s| Some(raw[s.top]? - s.height));
    median(low.collect()).or_else(|| median(raw.iter().flatten().copied().collect()))
}

pub(crate) fn median(mut values: Vec<f64>) -> Option<f64> {
    if values.is_empty() {
        return None;
    }
    values.sort_by(f64::total_cmp);
    let middle = values.len() / 2;
    Some(if values.len() % 2 == 1 {
        values[middle]
    } else {
        0.5 * (values[middle - 1] + values[middle])
    })
}

/// Rises that were seen from foot to top; where none was, all.
fn seen_whole(rises: &[Rise]) -> Vec<&Rise> {
    let whole: Vec<&Rise> = rises.iter().filter(|r| !r.not_seen_whole).collect();
    if whole.is_empty() {
        rises.iter().collect()
    } else {
        whole
    }
}

fn judge(rises: &mut [Rise], rule: Rule, scale: Scale, notes: &mut Vec<Note>) {
    let first = rises
        .iter()
        .take(3)
        .map(|r| r.height.value)
        .fold(0.0, f64::max);
    for rise in rises.iter_mut() {
        // A height that was not seen whole can reach a limit and cannot fail it.
        let reaches =
            |least: f64| Some(rise.height.value >= least).filter(|r| *r || !rise.not_seen_whole);
        rise.counts = match rule {
            Rule::AnyRise => Some(true),
            Rule::ShareOfFirst { share } => reaches(share * first),
            Rule::Height { mm } => match scale {
                Scale::Millimetres { .. } => reaches(mm),
                Scale::Unknown => None,
            },
        };
    }
    if rises.iter().any(|r| r.counts.is_none()) {
        notes.push(Note::RuleNotJudged);
    }
}

struct View<'a> {
    series: &'a Series,
    leg: &'a LegSeries,
    angles: &'a [Option<HeelAngle>],
    heights: &'a [Option<f64>],
    worth: Option<Worth>,
}

/// The mean of some frames' angles; the error of following is not made smaller by their number, since what a
/// window takes for the point is the same in all of them.
struct MeanAngle {
    deg: f64,
    sd_deg: f64,
    heel_over_leg: f64,
    heel_length: f64,
}

impl View<'_> {
    fn mean_angle(&self, frames: impl Iterator<Item = usize>) -> Option<MeanAngle> {
        let seen: Vec<HeelAngle> = frames.filter_map(|f| self.angles[f]).collect();
        let n = seen.len() as f64;
        let mean = |value: fn(&HeelAngle) -> f64| seen.iter().map(value).sum::<f64>() / n;
        (!seen.is_empty()).then(|| MeanAngle {
            deg: mean(|a| a.deg),
            sd_deg: mean(|a| a.sd_deg * a.sd_deg).sqrt(),
            heel_over_leg: mean(|a| a.heel_over_leg),
            heel_length: mean(|a| a.heel_length),
        })
    }

    /// Standing before a rise: from the end of the rise before, or the clip's beginning, to its start.
    fn before(&self, i: usize, span: &Span, all: &[Span]) -> Option<MeanAngle> {
        let from = match i.checked_sub(1).map(|k| all[k]) {
            Some(last) => last.end.unwrap_or(last.top),
            None => 0,
        };
        let base = self.heights[span.start]?;
        let most = base + STANDING_SHARE * span.height;
        let until = self.series.times_s[span.start];
        self.mean_angle((from..=span.start).filter(|f| {
            self.heights[*f].is_some_and(|h| h <= most)
                && until - self.series.times_s[*f] <= STANDING_S
        }))
    }

    /// `None` where the top may have been hidden.
    fn at_top(&self, span: &Span) -> Option<MeanAngle> {
        if self.hidden_at(span.top) > HIDDEN_SHARE * span.height {
            return None;
        }
        let base = self.heights[span.start]?;
        let least = base + TOP_SHARE * span.height;
        let high = |f: usize| self.heights[f].is_some_and(|h| h >= least);
        let from = (span.start..=span.top)
            .rev()
            .take_while(|f| high(*f))
            .last();
        let until = (span.top..self.heights.len())
            .take_while(|f| high(*f))
            .last();
        self.mean_angle(from.unwrap_or(span.top)..=until.unwrap_or(span.top))
    }

    /// In the unit of the readings.
    fn hidden_at(&self, frame: usize) -> f64 {
        hidden_beside(self.heights, &self.series.times_s, frame)
    }

    fn one_turn(&self, i: usize, span: &Span, all: &[Span]) -> Option<OneTurn> {
        let (standing, top) = (self.before(i, span, all)?, self.at_top(span)?);
        Some(OneTurn {
            change_deg: top.deg - standing.deg,
            sd_deg: top.sd_deg.hypot(standing.sd_deg),
            top_deg: top.deg,
            shortened: top.heel_over_leg / standing.heel_over_leg,
            heel_length: standing.heel_length,
        })
    }

    /// Following and the scale; standing heights of one heel differ by what the camera could not be corrected; what
    /// a gap beside the top or the foot may hide.
    fn height(&self, span: &Span) -> Estimate {
        let (per_unit, relative, unit) = self.worth.map_or((1.0, 0.0, Unit::Ratio), |w| {
            (w.per_unit, w.relative_error, w.unit)
        });
        let sd = |f: usize| {
            self.leg
                .at(Point::HeelLower, f)
                .map_or(0.0, |s| s.sd_y * per_unit)
        };
        let steady = std::f64::consts::SQRT_2 * self.series.steady_sd * per_unit;
        let error = [
            sd(span.start),
            sd(span.top),
            steady,
            relative * span.height,
            LOOKING_DOWN * span.height,
            self.hidden_at(span.start) + self.hidden_at(span.top),
        ];
        let square: f64 = error.iter().map(|e| e * e).sum();
        Estimate::new(span.height, square.sqrt(), unit)
    }

    fn rise(&self, i: usize, span: &Span, all: &[Span]) -> Rise {
        let estimate = |m: &MeanAngle| Estimate::new(m.deg, m.sd_deg, Unit::Degree);
        let (standing, top) = (self.before(i, span, all), self.at_top(span));
        let last = span.end.unwrap_or(self.heights.len() - 1);
        Rise {
            number: i + 1,
            start_frame: span.start,
            top_frame: span.top,
            end_frame: span.end,
            top_s: self.series.times_s[span.top],
            height: self.height(span),
            standing: standing.as_ref().map(estimate),
            top: top.as_ref().map(estimate),
            change: match (&standing, &top) {
                (Some(s), Some(t)) => Some(Estimate::new(
                    t.deg - s.deg,
                    t.sd_deg.hypot(s.sd_deg),
                    Unit::Degree,
                )),
                _ => None,
            },
            counts: None,
            off_beat: None,
            frames_missing: self.heights[span.start..=last]
                .iter()
                .filter(|h| h.is_none())
                .count(),
            not_seen_whole: self.hidden_at(span.start) + self.hidden_at(span.top)
                > HIDDEN_SHARE * span.height,
        }
    }

    /// # Uncertainty
    /// Placing both lines' points; following; a camera askew between a leaning shank and an upright heel.
    fn standing(&self, found: &[Span]) -> Option<Estimate> {
        let setup = &self.series.setup;
        let angles: Vec<f64> = match found.first() {
            Some(_) => found
                .iter()
                .enumerate()
                .filter_map(|(i, s)| self.before(i, s, found))
                .map(|m| m.deg)
                .collect(),
            None => self.angles.iter().flatten().map(|a| a.deg).collect(),
        };
        let n = angles.len() as f64;
        let value = (!angles.is_empty()).then(|| angles.iter().sum::<f64>() / n)?;
        let seen: Vec<&HeelAngle> = self.angles.iter().flatten().collect();
        let heel = median(seen.iter().map(|a| a.heel_length).collect())?;
        let leg = median(seen.iter().map(|a| a.leg_length).collect())?;
        let followed = median(seen.iter().map(|a| a.sd_deg).collect())?;
        let placed = std::f64::consts::SQRT_2 * setup.placing_sd_px;
        let error = [
            (placed / heel).to_degrees(),
            (placed / leg).to_degrees(),
            followed,
            (setup.lean_difference_deg.to_radians().tan() * setup.yaw_sd_deg.to_radians().sin())
                .to_degrees(),
        ];
        let square: f64 = error.iter().map(|e| e * e).sum();
        Some(Estimate::new(value, square.sqrt(), Unit::Degree))
    }

    fn strip(&self, rise: &Rise) -> Strip {
        let last = rise.end_frame.unwrap_or(self.heights.len() - 1);
        let half = self.heights[rise.start_frame].unwrap_or(0.0) + 0.5 * rise.height.value;
        let over = |f: &usize| self.heights[*f].is_some_and(|h| h >= half);
        let up = (rise.start_frame..rise.top_frame).find(over);
        let down = (rise.top_frame..=last).rev().find(over);
        let mut frames = vec![rise.start_frame];
        frames.extend(up);
        frames.push(rise.top_frame);
        frames.extend(down.filter(|f| *f > rise.top_frame));
        frames.extend(rise.end_frame);
        frames.dedup();
        Strip {
            rise: rise.number,
            frames,
        }
    }

    fn notes(&self, rises: &[Rise]) -> Vec<Note> {
        let mut notes = Vec::new();
        if rises.is_empty() {
            notes.push(Note::NoRise);
        }
        for point in Point::ALL {
            let series = &self.leg.points[point as usize];
            let frames = series.iter().filter(|s| s.is_none()).count();
            if frames > 0 {
                notes.push(Note::PointLost { point, frames });
            }
        }
        let times = &self.series.times_s;
        let mut last = times.first().copied().unwrap_or(0.0);
        let mut gap: f64 = 0.0;
        for (time, height) in times.iter().zip(self.heights) {
            if height.is_some() {
                gap = gap.max(time - last);
                last = *time;
            }
        }
        gap = gap.max(times.last().copied().unwrap_or(last) - last);
        if gap > GAP_S {
            notes.push(Note::CountIsALeast { gap_s: gap });
        }
        let partly: Vec<usize> = rises
            .iter()
            .filter(|r| r.not_seen_whole)
            .map(|r| r.number)
            .collect();
        if !partly.is_empty() {
            notes.push(Note::HeightIsALeast { rises: partly });
        }
        if rises.last().is_some_and(|r| r.end_frame.is_none()) {
            notes.push(Note::LastRiseCut);
        }
        notes
    }

    /// Loss of height, mean height and their sum.
    fn heights_together(
        &self,
        rises: &[Rise],
    ) -> (Option<Estimate>, Option<Estimate>, Option<Estimate>) {
        if rises.is_empty() {
            return (None, None, None);
        }
        let whole = seen_whole(rises);
        let sum: f64 = rises.iter().map(|r| r.height.value).sum();
        let n = whole.len() as f64;
        let h: Vec<(f64, f64)> = whole
            .iter()
            .map(|r| (r.number as f64, r.height.value))
            .collect();
        let mean = h.iter().map(|(_, v)| v).sum::<f64>() / n;
        let unit = rises[0].height.unit;
        let relative = self
            .worth
            .map_or(0.0, |w| w.relative_error)
            .hypot(LOOKING_DOWN);
        // The scale and the camera err alike in all of them, following does not.
        let own = |of: &mut dyn Iterator<Item = &Rise>| -> f64 {
            of.map(|r| r.height.standard_error.powi(2) - (relative * r.height.value).powi(2))
                .sum::<f64>()
                .max(0.0)
        };
        let sum_error = (own(&mut rises.iter()) + (relative * sum).powi(2)).sqrt();
        let mean_own = own(&mut whole.iter().copied());
        let mean_error = (mean_own / (n * n) + (relative * mean).powi(2)).sqrt();
        let decay = (whole.len() >= 3).then(|| {
            let middle = h.iter().map(|(i, _)| i).sum::<f64>() / n;
            let sxx: f64 = h.iter().map(|(i, _)| (i - middle).powi(2)).sum();
            let sxy: f64 = h.iter().map(|(i, v)| (i - middle) * (v - mean)).sum();
            let slope = sxy / sxx;
            let first = mean - slope * (middle - 1.0);
            let left: f64 = h
                .iter()
                .map(|(i, v)| (v - first - slope * (i - 1.0)).powi(2))
                .sum();
            let error = (left / (n - 2.0) / sxx).sqrt();
            Estimate::new(
                -100.0 * slope / first,
                (100.0 * error / first).abs(),
                Unit::Percent,
            )
        });
        (
            decay.filter(|d| d.value.is_finite()),
            Some(Estimate::new(mean, mean_error, unit)),
            Some(Estimate::new(sum, sum_error, unit)),
        )
    }
}
