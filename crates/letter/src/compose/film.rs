//! A film on paper: its facts, its picture with words, and what was refused or must be known.

use super::{Film, rows, words};
use crate::document::{Block, Notice, Pictures};
use knowledge::Knowledge;
use reading::{Comparison, Reading, Refusal, Refused};
use terms::{LandmarkKey, Stance};

/// Label and value: view, side, standing or not, day, scale.
pub fn facts(film: &Film<'_>) -> Vec<(String, String)> {
    let side = film.side.or(film.sheet.side);
    let mut out = vec![
        ("View".to_owned(), film.sheet.view.words().to_owned()),
        (
            "Side".to_owned(),
            side.map_or("not recorded", |s| s.word()).to_owned(),
        ),
        ("Stance".to_owned(), film.sheet.stance.words().to_owned()),
    ];
    if let Some(day) = film.taken_on {
        out.push(("Film of".to_owned(), day.to_owned()));
    }
    let scale = film.scale.unwrap_or("not recorded");
    out.push(("Scale".to_owned(), scale.to_owned()));
    out
}

pub fn comparison<'f>(film: &'f Film<'_>, at: usize) -> Option<&'f Comparison> {
    // A list of another length belongs to another sheet; better none than a wrong one.
    (film.comparisons.len() == film.sheet.readings.len())
        .then(|| film.comparisons.get(at))
        .flatten()
}

/// The picture of the film, with the readings as its words; it goes to the paper's pictures.
pub fn picture(
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
        alt: alt(knowledge, film),
        caption: format!(
            "{}, {}. Points and lines as placed.",
            words::capital(film.title),
            film.sheet.stance.words()
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
pub fn alt(knowledge: &Knowledge, film: &Film<'_>) -> String {
    let readings: Vec<String> = film
        .sheet
        .readings
        .iter()
        .map(|r| format!("{} {}", rows::name(knowledge, r), rows::value(r)))
        .collect();
    let side = film.side.or(film.sheet.side);
    let side = side.map_or("side not recorded".to_owned(), |s| {
        format!("{} side", s.word())
    });
    let said = if readings.is_empty() {
        "nothing could be read from it".to_owned()
    } else {
        format!("with points and lines drawn on it: {}", readings.join("; "))
    };
    format!(
        "Film, {}, {side}, {}, {said}.",
        film.sheet.view.words(),
        film.sheet.stance.words()
    )
}

/// The caution about how the film was taken, where there is one.
pub fn stance_caution(film: &Film<'_>) -> Option<Block> {
    let (title, line) = match film.sheet.stance {
        Stance::Standing => return None,
        Stance::NotStanding => (
            "Not taken standing",
            "Yardsticks are for standing feet. These readings settle no stage and are not to be compared with those of a standing film.",
        ),
        Stance::Unknown => (
            "Not known whether taken standing",
            "Yardsticks are for standing feet. Until somebody says how the film was taken, these readings settle no stage.",
        ),
    };
    Some(Block::Notice {
        notice: Notice::Caution,
        title: title.into(),
        lines: vec![line.into()],
    })
}

/// Measures that could not be read, those with the same reason together.
pub fn refused(knowledge: &Knowledge, refused: &[Refused]) -> Vec<String> {
    let mut by_reason: Vec<(String, Vec<String>)> = Vec::new();
    for r in refused {
        let name = knowledge
            .measure(&r.measure)
            .map_or_else(|| r.measure.to_string(), |m| words::small(&m.name));
        let reason = reason(knowledge, r);
        match by_reason.iter_mut().find(|(known, _)| *known == reason) {
            Some((_, names)) => names.push(name),
            None => by_reason.push((reason, vec![name])),
        }
    }
    by_reason
        .into_iter()
        .map(|(reason, names)| format!("{}: {reason}", words::capital(&terms::listed(&names))))
        .collect()
}

/// The reason in the words of the film desk, points by their names.
fn reason(knowledge: &Knowledge, refused: &Refused) -> String {
    let named = |keys: &[LandmarkKey]| {
        let names: Vec<String> = keys
            .iter()
            .map(|k| {
                knowledge
                    .landmark(k)
                    .map_or_else(|| k.to_string(), |l| words::small(&l.name))
            })
            .collect();
        terms::listed(&names)
    };
    match &refused.why {
        Refusal::MissingPoints { points } => format!("not placed: {}.", named(points)),
        Refusal::OutsideFilm { point, .. } => format!(
            "{} lies outside the film.",
            named(std::slice::from_ref(point))
        ),
        Refusal::SameSpot { first, second } => format!(
            "{} lie on the same spot.",
            named(&[first.clone(), second.clone()])
        ),
        Refusal::NoScale { reason } => {
            words::sentence(&format!("no scale for millimetres: {reason}"))
        }
        Refusal::NoFloorLevel => "the level of the floor was not placed.".into(),
        _ => words::sentence(
            refused
                .sentence
                .strip_prefix("not read: ")
                .unwrap_or(&refused.sentence),
        ),
    }
}

/// Warnings of the sheet and notes of its readings, those that several readings share once.
pub fn notes(knowledge: &Knowledge, film: &Film<'_>) -> Vec<String> {
    let mut out: Vec<String> = film
        .sheet
        .warnings
        .iter()
        .map(|w| words::sentence(&words::capital(&w.sentence)))
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
        let note = words::sentence(&words::capital(note));
        if of.len() == film.sheet.readings.len() {
            out.push(note);
        } else {
            let names: Vec<String> = of.iter().map(|r| short_name(knowledge, r)).collect();
            out.push(format!("{}: {note}", terms::listed(&names)));
        }
    }
    let mut compared: Vec<&String> = film.comparisons.iter().flat_map(|c| &c.notes).collect();
    compared.dedup();
    for note in compared {
        // What the caution above already says is not said twice.
        if !note.contains("not taken standing") && !out.contains(note) {
            out.push(note.clone());
        }
    }
    out
}

fn short_name(knowledge: &Knowledge, reading: &Reading) -> String {
    knowledge
        .measure(&reading.measure)
        .map_or_else(|| reading.measure.to_string(), |m| m.short.clone())
}
