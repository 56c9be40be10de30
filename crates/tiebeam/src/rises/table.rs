//! Heel rises as a table for the eye.

use super::ReadRises;
use super::show::{Held, NO_DOING, held};
use crate::yards;
use knowledge::{Knowledge, Person};
use motion::rise::{Between, LegReadings, Note, Rise, Turn};
use quantity::{Estimate, Unit, written, written_short};

pub fn table(knowledge: &Knowledge, read: &ReadRises, person: &Person) -> String {
    let readings = &read.readings;
    let doing = read
        .doing
        .map_or(String::new(), |d| format!(", {}", d.words()));
    let mut text = format!("{}{doing}; counted: {}", read.name, readings.rule);
    if let Some(beat) = read.beat_per_min {
        text += &format!(", to a beat of {} a minute", written_short(beat, 1));
    }
    text.push('\n');
    for note in &read.notes {
        text += &format!("  note: {note}\n");
    }
    for note in &readings.notes {
        text += &format!("  note: {}\n", note.words());
    }
    if read.doing.is_none() {
        text += &format!("  note: {NO_DOING}\n");
    }
    for leg in &readings.legs {
        let held = held(knowledge, leg, read.doing, person);
        text += &leg_table(leg, &held, readings.height_unit);
    }
    if let Some(between) = &readings.between {
        text += &between_table(between);
    }
    text +=
        "± is half of the 95 % interval. Angles are as seen from behind: + is outward (valgus).";
    if read.doing.is_some() {
        text += &format!(
            " Sources count by rules of their own, so that counts differ several times over. Yardsticks: {}.",
            yards::LETTERS
        );
    }
    text + " Findings, no diagnosis: the clinician decides.\n"
}

fn or_blank(estimate: Option<Estimate>) -> String {
    estimate.map_or("–".to_owned(), |e| e.to_string())
}

/// Heights without a known length say what they are counted in.
fn height(estimate: Estimate) -> String {
    match estimate.unit {
        Unit::Ratio => format!("{estimate} leg"),
        _ => estimate.to_string(),
    }
}

fn leg_table(leg: &LegReadings, held: &[Held], unit: Unit) -> String {
    let mut text = format!("{} leg\n", leg.side.word());
    if !leg.rises.is_empty() {
        text += &format!(
            "  {:>4} {:>7}  {:>19}  {:>15}  {:>15}  {:>15}  {:<6} {}\n",
            "rise", "top at", "height", "standing", "top", "change", "counts", "beat"
        );
    }
    for rise in &leg.rises {
        text += &rise_line(rise);
    }
    let mut line = |name: &str, value: String| text += &format!("  {name:<26} {value}\n");
    line(
        "counted",
        match (leg.count, leg.count_is_a_least()) {
            (Some(n), false) => n.to_string(),
            (Some(n), true) => format!("at least {n}"),
            (None, _) => "not known".to_owned(),
        },
    );
    let heights = [
        ("height of the best", leg.best_height),
        ("mean height", leg.mean_height),
        ("travel of all", leg.travel),
    ];
    for (name, value) in heights {
        if let Some(value) = value {
            line(name, height(value));
        }
    }
    if unit == Unit::Ratio && leg.best_height.is_some() {
        line("", "'leg': distance of the leg's two points".to_owned());
    }
    if let Some(decay) = leg.decay {
        line("lost with each rise", decay.to_string());
    }
    if let Some(tempo) = leg.tempo_per_min {
        let spread = leg
            .tempo_spread
            .map_or(String::new(), |s| format!(", spread {} %", written(s, 0)));
        line("tempo", format!("{} a minute{spread}", written(tempo, 1)));
    }
    if let Some(lost) = leg.beat_lost {
        line("beat", format!("lost from rise {lost} on"));
    }
    line("heel angle standing", or_blank(leg.standing));
    match &leg.turn {
        Some(turn) => turn_lines(turn, &mut line),
        None => line("turn at the top", "not known".to_owned()),
    }
    for note in &leg.notes {
        text += &format!("  note: {}\n", note.words());
    }
    if leg
        .notes
        .iter()
        .any(|n| matches!(n, Note::PointLost { .. }))
    {
        text += "  look: a point that was hidden does not always come back in its place: look at its curve before an angle is used\n";
    }
    for h in held {
        let least = h.estimate.unit == Unit::Count && leg.count_is_a_least();
        let place = match least {
            true => "not judged: there may be more".to_owned(),
            false => yards::place(Some(&h.comparison)),
        };
        text += &format!("  {}: {place}\n", h.name);
        for row in yards::lines(&h.comparison) {
            text += &format!("      {row}\n");
        }
    }
    text
}

fn turn_lines(turn: &Turn, line: &mut impl FnMut(&str, String)) {
    line(
        "turn at the top",
        format!(
            "{} over {} rises, of which a camera askew {}",
            turn.change,
            turn.rises,
            // Half an interval, as every ± here.
            format_args!("±{}°", written(quantity::Z_975 * turn.of_camera_deg, 1)),
        ),
    );
    line(
        "",
        format!(
            "{} (probability that it turns inward {} %)",
            turn.verdict.words(),
            written(100.0 * turn.probability, 0)
        ),
    );
}

fn rise_line(rise: &Rise) -> String {
    let yes_no = |b: Option<bool>, yes: &'static str, no: &'static str| match b {
        Some(true) => yes,
        Some(false) => no,
        None => "–",
    };
    let line = format!(
        "  {:>4} {:>5} s  {:>19}  {:>15}  {:>15}  {:>15}  {:<6} {}",
        rise.number,
        written(rise.top_s, 2),
        height(rise.height),
        or_blank(rise.standing),
        or_blank(rise.top),
        or_blank(rise.change),
        yes_no(rise.counts, "yes", "no"),
        yes_no(rise.off_beat, "off", "kept"),
    );
    line.trim_end().to_owned() + "\n"
}

fn between_table(between: &Between) -> String {
    let mut text = String::from("left less right\n");
    let mut line = |name: &str, value: Option<String>| {
        if let Some(value) = value {
            text += &format!("  {name:<26} {value}\n");
        }
    };
    let plus = |n: i64| match n {
        n if n < 0 => format!("−{}", n.unsigned_abs()),
        n => n.to_string(),
    };
    line("rises that count", between.count.map(plus));
    let share = between.mean_height_share.map_or(String::new(), |s| {
        format!(" (left is {} % of right)", written(100.0 * s, 0))
    });
    line(
        "mean height",
        between.mean_height.map(|e| height(e) + &share),
    );
    line(
        "heel angle standing",
        between.standing.map(|e| e.to_string()),
    );
    line("turn at the top", between.change.map(|e| e.to_string()));
    text
}
