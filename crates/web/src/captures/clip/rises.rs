//! Rises as the page tells them: how many by which rule, how high, and whether the heel turns inward.

use crate::captures::measures::{Part, row};
use crate::error::sentence;
use crate::words;
use figure::{CurveModel, curve_svg};
use knowledge::{Knowledge, yardstick::Person};
use motion::RiseReadings;
use motion::rise::turn::LEAST_TURN_DEG;
use motion::rise::{Between, LegReadings, Rise};
use quantity::{Estimate, Unit};
use record::Doing;

pub struct LegPart {
    /// One, in the form that every page of readings shows.
    pub parts: Vec<Part>,
    pub curves: Vec<String>,
    pub rises: Vec<RiseRow>,
    pub strips: Vec<StripShown>,
}

pub struct RiseRow {
    pub number: usize,
    pub at: String,
    pub height: String,
    pub standing: String,
    pub top: String,
    pub change: String,
    pub counts: &'static str,
}

/// Frames of one rise, side by side.
pub struct StripShown {
    pub head: String,
    /// Frame, and what is seen in it.
    pub frames: Vec<(usize, String)>,
}

const CURVE: (f64, f64) = (640.0, 170.0);
const MOMENTS: [&str; 5] = [
    "standing",
    "half way up",
    "top",
    "half way down",
    "down again",
];

fn or_dash(estimate: Option<Estimate>) -> String {
    estimate.map_or_else(|| "–".to_owned(), |e| e.to_string())
}

pub fn legs(
    knowledge: &Knowledge,
    person: &Person,
    readings: &RiseReadings,
    doing: Option<Doing>,
) -> Vec<LegPart> {
    readings
        .legs
        .iter()
        .map(|leg| LegPart {
            parts: vec![part(knowledge, person, readings, leg, doing)],
            curves: curves(readings.height_unit, leg),
            rises: leg.rises.iter().map(rise_row).collect(),
            strips: strips(leg),
        })
        .collect()
}

fn part(
    knowledge: &Knowledge,
    person: &Person,
    readings: &RiseReadings,
    leg: &LegReadings,
    doing: Option<Doing>,
) -> Part {
    let mut rows = Vec::new();
    let of = |name: &str, item: Option<&str>, estimate, notes: &[&str]| {
        row(knowledge, person, name, item, estimate, notes)
    };
    let rule = format!("By this rule: {}.", readings.rule);
    if let Some(count) = leg.count {
        let item = match doing {
            Some(Doing::OneLeg) => Some("heel_rise_count"),
            Some(Doing::BothLegs) => Some("heel_rise_double_count"),
            _ => None,
        };
        let least = leg.count_is_a_least();
        let exact = Estimate::new(count as f64, 0.0, Unit::Count);
        let mut counted = of("Rises that count", item.filter(|_| !least), exact, &[&rule]);
        counted.value = match least {
            true => format!("at least {count}"),
            false => count.to_string(),
        };
        counted.interval.clear();
        if item.is_none() {
            counted.notes.push(
                "Norms differ between one leg and both; say below how the rises were done."
                    .to_owned(),
            );
        }
        rows.push(counted);
    }
    let in_mm = readings.height_unit == Unit::Millimetre;
    let item = |key: &'static str| {
        in_mm
            .then_some(key)
            .filter(|_| doing == Some(Doing::OneLeg))
    };
    let unit = match in_mm {
        true => &[][..],
        false => &["In distances of the leg's two points: no length is known in the picture."][..],
    };
    for (name, item, estimate, notes) in [
        (
            "Height of the best rise",
            item("heel_rise_height_mm"),
            leg.best_height,
            unit,
        ),
        ("Mean height", None, leg.mean_height, unit),
        (
            "Travel of the heel over all rises",
            item("heel_rise_travel_mm"),
            leg.travel,
            unit,
        ),
        (
            "Loss of height with each rise",
            None,
            leg.decay,
            &["Of the height of the first, from a line through all."][..],
        ),
        (
            "Heel against the leg, standing",
            None,
            leg.standing,
            &["Outward is plus. Published standing angles are against the upright."][..],
        ),
        (
            "Change of the heel at the top",
            None,
            leg.turn.as_ref().map(|t| t.change),
            &["Minus is inward. That skin slides over bone is not in the error."][..],
        ),
    ] {
        rows.extend(estimate.map(|e| of(name, item, e, notes)));
    }
    Part {
        head: format!("{} foot", words::side_head(leg.side)),
        rows,
        said: said(leg),
        doubts: leg.notes.iter().map(|n| sentence(&n.words())).collect(),
    }
}

fn said(leg: &LegReadings) -> Vec<String> {
    let mut said = Vec::new();
    if let Some(turn) = &leg.turn {
        said.push(format!(
            "{}. Probability that it turns inward by more than {LEAST_TURN_DEG}°: {} (over {} rises).",
            sentence(turn.verdict.words()).trim_end_matches('.'),
            probability(turn.probability),
            turn.rises
        ));
    }
    if let Some(tempo) = leg.tempo_per_min {
        let spread = leg.tempo_spread.map(|s| {
            format!(
                "; times between tops spread by {} %",
                quantity::written(s, 0)
            )
        });
        said.push(format!(
            "{} rises a minute{}.",
            quantity::written(tempo, 0),
            spread.unwrap_or_default()
        ));
    }
    if let Some(rise) = leg.beat_lost {
        said.push(format!("The beat is lost from rise {rise} on."));
    }
    said
}

fn probability(p: f64) -> String {
    match p {
        p if p > 0.99 => "over 0.99".to_owned(),
        p if p < 0.01 => "under 0.01".to_owned(),
        p => quantity::written(p, 2),
    }
}

fn rise_row(rise: &Rise) -> RiseRow {
    RiseRow {
        number: rise.number,
        at: format!("{} s", quantity::written(rise.top_s, 1)),
        height: match rise.not_seen_whole {
            true => format!("at least {}", rise.height),
            false => rise.height.to_string(),
        },
        standing: or_dash(rise.standing),
        top: or_dash(rise.top),
        change: or_dash(rise.change),
        counts: match rise.counts {
            Some(true) => "yes",
            Some(false) => "no",
            None => "not judged",
        },
    }
}

fn curves(height_unit: Unit, leg: &LegReadings) -> Vec<String> {
    let tops: Vec<(f64, String)> = leg
        .rises
        .iter()
        .map(|r| (r.top_s, r.number.to_string()))
        .collect();
    let curve = |title: &str, unit, upward, values| {
        curve_svg(&CurveModel {
            title: title.to_owned(),
            unit,
            upward,
            values,
            tops: tops.clone(),
            size: CURVE,
        })
    };
    let angle = leg.curve.iter();
    let angles = angle.map(|i| (i.time_s, i.angle.map(|a| a.deg))).collect();
    let heights = leg.curve.iter().map(|i| (i.time_s, i.height)).collect();
    vec![
        curve("Heel against the leg", "°", "outward up", angles),
        curve("Height of the heel", height_unit.suffix(), "", heights),
    ]
}

fn strips(leg: &LegReadings) -> Vec<StripShown> {
    let strip = |head: &str, strip: &Option<motion::rise::Strip>| {
        let strip = strip.as_ref()?;
        let time = |frame: usize| leg.curve.get(frame).map_or(0.0, |i| i.time_s);
        Some(StripShown {
            head: format!("{head}: rise {}", strip.rise),
            frames: strip
                .frames
                .iter()
                .enumerate()
                .map(|(n, frame)| {
                    let moment = MOMENTS.get(n).copied().unwrap_or("later");
                    let second = quantity::written(time(*frame), 1);
                    (*frame, format!("{moment}, {second} s"))
                })
                .collect(),
        })
    };
    let worst = if leg.worst == leg.best {
        &None
    } else {
        &leg.worst
    };
    [strip("Highest", &leg.best), strip("Lowest", worst)]
        .into_iter()
        .flatten()
        .collect()
}

/// Left against right, a sentence each.
pub fn between(between: &Between) -> Vec<String> {
    let mut said = Vec::new();
    if let Some(count) = between.count {
        said.push(match count {
            0 => "As many rises on the left as on the right.".to_owned(),
            n if n > 0 => format!("{n} more rises on the left than on the right."),
            n => format!("{} more rises on the right than on the left.", -n),
        });
    }
    for (what, estimate) in [
        ("mean height", between.mean_height),
        ("heel against the leg, standing", between.standing),
        ("change of the heel at the top", between.change),
    ] {
        said.extend(estimate.map(|e| format!("Left less right, {what}: {e}.")));
    }
    said
}
