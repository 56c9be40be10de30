//! What was read of a print: a table for the eye, JSON with everything, a drawing.

use super::ReadPrint;
use crate::yards;
use anyhow::Result;
use figure::of_print::{PrintWish, over_print};
use figure::of_reading::{not_judged_because, place_of};
use knowledge::{Knowledge, Person};
use print::{
    FootReadings, Index, IndexReading, METHOD_VERSION, Medium, Scale, Seen, WORK_FORMAT,
    WORK_VERSION,
};
use reading::Comparison;
use record::Doing;
use serde_json::{Value, json};

const NO_DOING: &str = "not said whether it was taken standing or walking: norms differ between the two and none is chosen; say --doing";

/// Standing and walking each have items of their own; without knowing which, none is chosen.
fn item(index: Index, doing: Option<Doing>) -> Option<&'static str> {
    index.item(doing? == Doing::Walking)
}

fn held(
    knowledge: &Knowledge,
    reading: &IndexReading,
    doing: Option<Doing>,
    person: &Person,
) -> Option<Comparison> {
    let item = item(reading.index, doing)?;
    yards::against(knowledge, item, reading.estimate, person)
}

/// The readings of a print for the eye.
pub fn table(knowledge: &Knowledge, read: &ReadPrint, person: &Person) -> String {
    let doing = read.doing.map_or("", |d| match d {
        Doing::Walking => ", walking",
        _ => ", standing",
    });
    let mut text = format!(
        "{}: {}{}, {}{doing}\n",
        read.name,
        read.sheet.medium.words(),
        if read.sheet.medium_told {
            ""
        } else {
            " (a guess)"
        },
        scale_words(read),
    );
    if read.doing.is_none() {
        text += &format!("  note: {NO_DOING}\n");
    }
    for (steps, foot) in read.work.steps.feet.iter().zip(&read.readings.feet) {
        let told = match steps.side.is_by_hand() {
            true => "as said".to_owned(),
            false => format!("by its shape, {:.0} %", 100.0 * steps.side.is.confidence),
        };
        text += &format!("{} foot ({told})\n", foot.side.word());
        text += &foot_table(knowledge, foot, read.doing, person);
    }
    if let Some(split) = &read.readings.split {
        text += &format!(
            "load: left {:.1} %, right {:.1} % (how far this errs is not known)\n",
            split.left.value, split.right.value
        );
    }
    text + &format!(
        "± is half of the 95 % interval; yardsticks: {}. Findings, no diagnosis: the clinician decides.\n",
        yards::LETTERS
    )
}

fn foot_table(
    knowledge: &Knowledge,
    foot: &FootReadings,
    doing: Option<Doing>,
    person: &Person,
) -> String {
    let mut text = String::new();
    for r in &foot.readings {
        let comparison = held(knowledge, r, doing, person);
        let line = format!(
            "  {:<34} {:>20}  {}",
            r.index.words(),
            r.estimate.to_string(),
            yards::place(comparison.as_ref())
        );
        text += line.trim_end();
        text.push('\n');
        for line in comparison.iter().flat_map(yards::lines) {
            text += &format!("      {line}\n");
        }
    }
    for m in &foot.missing {
        text += &format!("  {:<34} not read: {}\n", m.index.words(), m.why);
    }
    for r in foot.pressure.iter().flat_map(|p| &p.regions) {
        text += &format!(
            "  {:<34} {:>20}  peak {}\n",
            format!("load, {}", r.region.words()),
            r.load_share.to_string(),
            r.peak
        );
    }
    for d in &foot.doubts {
        text += &format!("  look: {}\n", d.words());
    }
    text
}

fn scale_words(read: &ReadPrint) -> String {
    match &read.sheet.scale {
        Scale::Unknown => "scale not known".to_owned(),
        Scale::Even(p) if p.x_mm == p.y_mm => format!("{:.3} mm a cell", p.x_mm),
        Scale::Even(p) => format!("{:.3} × {:.3} mm a cell", p.x_mm, p.y_mm),
        Scale::Tilted { paper_mm, .. } => format!(
            "scale by a sheet of {:.0} × {:.0} mm",
            paper_mm[0], paper_mm[1]
        ),
    }
}

/// Everything that is needed to make the readings again, and what they lie against.
pub fn json(knowledge: &Knowledge, read: &ReadPrint, person: &Person) -> Value {
    let feet: Vec<Value> = read
        .work
        .steps
        .feet
        .iter()
        .zip(&read.readings.feet)
        .map(|(steps, foot)| {
            let readings: Vec<Value> = foot
                .readings
                .iter()
                .map(|r| reading_json(knowledge, r, read.doing, person))
                .collect();
            let missing: Vec<Value> = foot
                .missing
                .iter()
                .map(|m| json!({ "measure": m.index.key(), "name": m.index.words(), "why": m.why }))
                .collect();
            json!({
                "side": foot.side,
                "side_by": steps.side.by,
                "side_confidence": steps.side.is.confidence,
                "readings": readings,
                "missing": missing,
                "doubts": foot.doubts.iter().map(|d| d.words()).collect::<Vec<_>>(),
                "pressure": foot.pressure,
            })
        })
        .collect();
    let seen = match read.work.steps.seen.is {
        Seen::FromAbove => "from-above",
        Seen::FromBelow => "from-below",
    };
    json!({
        "format": "tiebeam-print-report",
        "version": 1,
        "print": read.name,
        "medium": read.sheet.medium,
        "medium_told": read.sheet.medium_told,
        "seen": seen,
        "doing": read.doing.map(Doing::key),
        "notes": read.doing.is_none().then_some(NO_DOING).into_iter().collect::<Vec<_>>(),
        "feet": feet,
        "split": read.readings.split,
        "steps": { "format": WORK_FORMAT, "version": WORK_VERSION, "body": read.work },
    })
}

fn reading_json(
    knowledge: &Knowledge,
    r: &IndexReading,
    doing: Option<Doing>,
    person: &Person,
) -> Value {
    let (low, high) = r.estimate.interval_95();
    let comparison = held(knowledge, r, doing, person);
    let c = comparison.as_ref();
    json!({
        "measure": r.index.key(),
        "name": r.index.words(),
        "value": r.estimate.value,
        "standard_error": r.estimate.standard_error,
        "interval_95": [low, high],
        "unit": r.estimate.unit,
        "error_parts": r.error_parts,
        "method_version": METHOD_VERSION,
        "item": item(r.index, doing),
        "place": c.map(|c| place_of(c).word()),
        "not_judged_because": c.and_then(not_judged_because).map(|(_, why)| why),
        "yardsticks": c.map(yards::json).unwrap_or_default(),
        "notes": c.map(|c| c.notes.clone()).unwrap_or_default(),
    })
}

/// The sheet as it was worked on, with outline, axis, toe line and the arch index over it.
pub fn drawing(read: &ReadPrint) -> Result<String> {
    let (width, height) = (read.sheet.width() as f64, read.sheet.height() as f64);
    let name = |index: Index| index.words().to_owned();
    let model = over_print(
        &read.work.steps,
        &read.readings,
        &PrintWish {
            title: "What was found on the print".to_owned(),
            size: (width, height),
            pen: height.max(width) / 800.0,
            shown: Some(Index::ArchIndex),
            name: &name,
        },
    );
    Ok(figure::annotated_film_svg(&picture_png(read)?, &model))
}

/// Greys as they are; of pressures the highest white, each sensor a square.
fn picture_png(read: &ReadPrint) -> Result<Vec<u8>> {
    let (w, h, values) = read.sheet.worked();
    let (white, side) = match read.sheet.medium {
        Medium::Pressure => {
            let most = values.iter().copied().fold(0.0_f32, f32::max).max(1e-6);
            (most, (900 / w.max(h).max(1)).clamp(1, 24))
        }
        _ => (255.0, 1),
    };
    let mut grey = Vec::with_capacity(w * h * side * side);
    for row in values.chunks_exact(w.max(1)) {
        let line: Vec<u8> = row
            .iter()
            .flat_map(|v| std::iter::repeat_n((255.0 * (v / white).clamp(0.0, 1.0)) as u8, side))
            .collect();
        for _ in 0..side {
            grey.extend_from_slice(&line);
        }
    }
    let size = |cells: usize| u32::try_from(cells * side).unwrap_or(u32::MAX);
    Ok(film::encode_png8(&grey, size(w), size(h))?)
}
