//! A film on paper: its facts, its picture with words, and what was refused or must be known.

use super::{Film, rows, words};
use crate::document::{Block, Notice, Pictures};
use crate::words::{Words, say};
use knowledge::Knowledge;
use reading::{Comparison, Reading, Refusal, Refused};
use terms::{LandmarkKey, Stance};

/// Label and value: view, side, standing or not, day, scale.
pub fn facts(w: &Words, film: &Film<'_>) -> Vec<(String, String)> {
    let side = film.side.or(film.sheet.side);
    let not_recorded = || say!(w, "not-recorded");
    let mut out = vec![
        (say!(w, "label-view"), words::view(w, film.sheet.view)),
        (
            say!(w, "label-side"),
            side.map_or_else(not_recorded, |s| words::side(w, s)),
        ),
        (say!(w, "label-stance"), words::stance(w, film.sheet.stance)),
    ];
    if let Some(day) = film.taken_on {
        out.push((say!(w, "label-film-of"), w.day(day)));
    }
    let scale = film.scale.map_or_else(not_recorded, |s| w.said(s));
    out.push((say!(w, "label-scale"), scale));
    out
}

/// What a film is called, with its first letter large.
pub fn title(w: &Words, film: &Film<'_>) -> String {
    words::capital(&w.said(film.title))
}

pub fn comparison<'f>(film: &'f Film<'_>, at: usize) -> Option<&'f Comparison> {
    // A list of another length belongs to another sheet; better none than a wrong one.
    (film.comparisons.len() == film.sheet.readings.len())
        .then(|| film.comparisons.get(at))
        .flatten()
}

/// The picture of the film, with the readings as its words; it goes to the paper's pictures.
pub fn picture(
    w: &Words,
    knowledge: &Knowledge,
    film: &Film<'_>,
    width_percent: f64,
    pictures: &mut Pictures,
) -> Option<Block> {
    let picture = film.picture?;
    let mut name = picture.name.to_owned();
    if pictures.contains_key(&name) {
        name = format!("{}-{name}", pictures.len());
    }
    pictures.insert(name.clone(), picture.bytes.to_vec());
    Some(Block::Figure {
        picture: name,
        alt: alt(w, knowledge, film),
        caption: say!(
            w,
            "film-caption",
            film = title(w, film),
            stance = words::stance(w, film.sheet.stance)
        ),
        width_percent,
    })
}

/// The least width on paper, in millimetres, at which the values on the picture can be read.
pub fn least_width_mm(film: &Film<'_>) -> f64 {
    let (w, h) = film
        .picture
        .and_then(|p| png_size(p.bytes))
        .unwrap_or((5.0, 4.0));
    figure::paper::least_width_mm(w, h)
}

/// Width and height from the head of a PNG file.
fn png_size(bytes: &[u8]) -> Option<(f64, f64)> {
    let number = |at: usize| {
        let four: [u8; 4] = bytes.get(at..at + 4)?.try_into().ok()?;
        Some(f64::from(u32::from_be_bytes(four)))
    };
    (bytes.get(12..16)? == b"IHDR")
        .then(|| Some((number(16)?, number(20)?)))
        .flatten()
}

/// The share of a page's width, in percent, that a column of this width takes beside another.
pub fn column_percent(width_mm: f64, page_mm: f64) -> f64 {
    // The gap between the columns, as the template sets it.
    const GAP_MM: f64 = 5.0;
    (100.0 * width_mm / (page_mm - GAP_MM))
        .clamp(20.0, 80.0)
        .round()
}

/// What a person who cannot see the picture has to know of it.
pub fn alt(w: &Words, knowledge: &Knowledge, film: &Film<'_>) -> String {
    let readings: Vec<String> = film
        .sheet
        .readings
        .iter()
        .map(|r| format!("{} {}", rows::name(w, knowledge, r), rows::value(w, r)))
        .collect();
    let side = film.side.or(film.sheet.side);
    let side = side.map_or_else(
        || say!(w, "film-side-not-recorded"),
        |s| say!(w, "film-side", side = s.word()),
    );
    let said = if readings.is_empty() {
        say!(w, "film-alt-nothing")
    } else {
        say!(w, "film-alt-readings", readings = readings.join("; "))
    };
    say!(
        w,
        "film-alt",
        view = words::view(w, film.sheet.view),
        side = side,
        stance = words::stance(w, film.sheet.stance),
        said = said
    )
}

/// The caution about how the film was taken, where there is one.
pub fn stance_caution(w: &Words, film: &Film<'_>) -> Option<Block> {
    let (title, line) = match film.sheet.stance {
        Stance::Standing => return None,
        Stance::NotStanding => ("caution-not-standing-title", "caution-not-standing"),
        Stance::Unknown => ("caution-stance-unknown-title", "caution-stance-unknown"),
    };
    Some(Block::Notice {
        notice: Notice::Caution,
        title: say!(w, title),
        lines: vec![say!(w, line)],
    })
}

/// Measures that could not be read, those with the same reason together.
pub fn refused(w: &Words, knowledge: &Knowledge, refused: &[Refused]) -> Vec<String> {
    let mut by_reason: Vec<(String, Vec<String>)> = Vec::new();
    for r in refused {
        let name = knowledge.measure(&r.measure).map_or_else(
            || r.measure.to_string(),
            |m| words::small(&words::measure(w, m)),
        );
        let reason = reason(w, knowledge, r);
        match by_reason.iter_mut().find(|(known, _)| *known == reason) {
            Some((_, names)) => names.push(name),
            None => by_reason.push((reason, vec![name])),
        }
    }
    by_reason
        .into_iter()
        .map(|(reason, names)| {
            say!(
                w,
                "labelled",
                label = words::capital(&w.listed(&names)),
                value = reason
            )
        })
        .collect()
}

/// The reason in the words of the film desk, points by their names.
fn reason(w: &Words, knowledge: &Knowledge, refused: &Refused) -> String {
    let named = |keys: &[LandmarkKey]| {
        let names: Vec<String> = keys
            .iter()
            .map(|k| {
                knowledge.landmark(k).map_or_else(
                    || k.to_string(),
                    |l| words::small(&w.known(&format!("landmark-{k}"), &l.name)),
                )
            })
            .collect();
        w.listed(&names)
    };
    match &refused.why {
        Refusal::MissingPoints { points } => say!(w, "refused-not-placed", points = named(points)),
        Refusal::OutsideFilm { point, .. } => say!(
            w,
            "refused-outside",
            points = named(std::slice::from_ref(point))
        ),
        Refusal::SameSpot { first, second } => say!(
            w,
            "refused-same-spot",
            points = named(&[first.clone(), second.clone()])
        ),
        Refusal::NoScale { reason } => {
            words::sentence(&say!(w, "refused-no-scale", why = w.said(reason)))
        }
        Refusal::NoFloorLevel => say!(w, "refused-no-floor"),
        _ => words::sentence(
            &w.said(
                refused
                    .sentence
                    .strip_prefix("not read: ")
                    .unwrap_or(&refused.sentence),
            ),
        ),
    }
}

/// Warnings of the sheet and notes of its readings, those that several readings share once.
pub fn notes(w: &Words, knowledge: &Knowledge, film: &Film<'_>) -> Vec<String> {
    let mut out: Vec<String> = film
        .sheet
        .warnings
        .iter()
        .map(|warning| words::sentence(&words::capital(&w.said(&warning.sentence))))
        .collect();
    let mut shared: Vec<(&str, Vec<&Reading>)> = Vec::new();
    for reading in &film.sheet.readings {
        for note in &reading.notes {
            match shared.iter_mut().find(|(known, _)| known == note) {
                Some((_, of)) => of.push(reading),
                None => shared.push((note, vec![reading])),
            }
        }
    }
    for (note, of) in shared {
        let note = words::sentence(&words::capital(&w.said(note)));
        if of.len() == film.sheet.readings.len() {
            out.push(note);
        } else {
            let names: Vec<String> = of.iter().map(|r| short_name(w, knowledge, r)).collect();
            out.push(say!(w, "labelled", label = w.listed(&names), value = note));
        }
    }
    let mut compared: Vec<&String> = film.comparisons.iter().flat_map(|c| &c.notes).collect();
    compared.dedup();
    for note in compared {
        // What the caution above already says is not said twice.
        let told = w.said(note);
        if !note.contains("not taken standing") && !out.contains(&told) {
            out.push(told);
        }
    }
    out
}

fn short_name(w: &Words, knowledge: &Knowledge, reading: &Reading) -> String {
    knowledge.measure(&reading.measure).map_or_else(
        || reading.measure.to_string(),
        |m| words::measure_short(w, m),
    )
}
