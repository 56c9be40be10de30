//! One film on one page: what was read, how sure it is, and against what it was held.

use super::cites::{Cites, LETTERS};
use super::{Composed, PatientLine, SheetFacts, film, rows};
use crate::document::{Block, Document, Notice, Pictures};
use figure::strip::legend_svg;

/// Name of the picture that explains the marks.
const KEY_PICTURE: &str = "key-to-the-marks.svg";

/// What stands on every paper.
pub const FOOT: &str = "Not a certified medical device. The clinician decides; local codes and licensed practice come first.";

/// Width of the text on a sheet.
const PAGE_MM: f64 = 180.0;
/// Width of the film where there is room.
const FILM_MM: f64 = 105.0;

/// The sheet of one film.
pub fn reading_sheet(facts: &SheetFacts<'_>) -> Composed {
    with_picture_width(facts, widths(facts)[0])
}

/// Widths of the film in millimetres, from the one wanted to the least at which its values can be read.
pub fn widths(facts: &SheetFacts<'_>) -> [f64; 3] {
    let least = film::least_width_mm(&facts.film);
    // A tall film would push the table off the page.
    let most = FILM_MM.min(1.25 * least).max(least);
    [most, 0.5 * (most + least), least]
}

/// The sheet with its film of this width in millimetres.
pub fn with_picture_width(facts: &SheetFacts<'_>, width_mm: f64) -> Composed {
    let knowledge = facts.knowledge;
    let film = &facts.film;
    let mut pictures = Pictures::new();
    let mut cites = Cites::default();
    let table: Vec<_> = film
        .sheet
        .readings
        .iter()
        .enumerate()
        .map(|(i, r)| {
            let compared = film::comparison(film, i);
            rows::row(knowledge, r, compared, rows::Room::SHEET, &mut cites)
        })
        .collect();
    let mut blocks = Vec::new();
    let aside = aside(facts);
    match film::picture(knowledge, film, 100.0, &mut pictures) {
        Some(picture) => blocks.push(Block::Columns {
            left: vec![picture],
            right: aside,
            left_percent: film::column_percent(width_mm, PAGE_MM),
        }),
        None => blocks.extend(aside),
    }
    if table.is_empty() {
        blocks.push(Block::Paragraph {
            text: "Nothing could be read from this film.".into(),
        });
    } else {
        blocks.push(Block::Readings {
            caption: format!(
                "Readings with their 95 % interval, yardsticks for {}",
                person_words(&facts.person)
            ),
            rows: table,
        });
        pictures.insert(KEY_PICTURE.into(), legend_svg(520.0).into_bytes());
        blocks.push(Block::Figure {
            picture: KEY_PICTURE.into(),
            alt: "Key to the marks: dot, inside; filled diamond, outside; half-filled diamond, the interval straddles a limit; split dot, sources differ; open ring, not judged or no yardstick.".into(),
            caption: String::new(),
            width_percent: 78.0,
        });
    }
    let refused = film::refused(knowledge, &film.sheet.refused);
    if !refused.is_empty() {
        blocks.push(Block::Notice {
            notice: Notice::Note,
            title: "Not read".into(),
            lines: refused,
        });
    }
    let mut small = vec![format!(
        "Shaded band: accepted by the yardsticks that decide; upright stroke: a printed limit; whisker: 95 % interval of the reading. {LETTERS}"
    )];
    small.extend(cites.lines(knowledge));
    blocks.push(Block::Small {
        text: small.join("\n"),
    });
    let document = Document {
        title: format!("Reading sheet: {}", film.title),
        language: "en".into(),
        practice: facts.practice.to_vec(),
        recipient: Vec::new(),
        date: facts.date.to_owned(),
        head: head(facts),
        blocks,
        foot: foot_line(&facts.patient),
        draft: false,
        compact: true,
    };
    Composed { document, pictures }
}

/// Beside the film: what one has to know before using a number.
fn aside(facts: &SheetFacts<'_>) -> Vec<Block> {
    let mut out: Vec<Block> = film::stance_caution(&facts.film).into_iter().collect();
    let mut notes = film::notes(facts.knowledge, &facts.film);
    if facts.person.age_years.is_none() {
        notes.insert(
            0,
            "Age not recorded: yardsticks that depend on it were left out.".into(),
        );
    }
    if !notes.is_empty() {
        out.push(Block::Notice {
            notice: Notice::Note,
            title: "To know".into(),
            lines: notes,
        });
    }
    out.push(Block::Notice {
        notice: Notice::Caution,
        title: "Use".into(),
        lines: vec![
            "Readings, not a diagnosis: the clinician decides, and a film never decides alone."
                .into(),
            "The error holds placing, scale, turn of the foot and floor; not another day, another film or another reader.".into(),
        ],
    });
    out
}

/// Patient, then film, as label and value.
fn head(facts: &SheetFacts<'_>) -> Vec<(String, String)> {
    let mut out = patient_line(&facts.patient);
    out.extend(film::facts(&facts.film));
    let reader = facts.reader.unwrap_or("not recorded");
    out.push(("Points by".into(), reader.into()));
    out
}

pub fn patient_line(patient: &PatientLine<'_>) -> Vec<(String, String)> {
    [
        ("Patient", patient.name),
        ("Born", patient.born),
        ("Chart", patient.chart),
    ]
    .into_iter()
    .map(|(label, value)| {
        let value = value.map(str::trim).filter(|v| !v.is_empty());
        (label.to_owned(), value.unwrap_or("not recorded").to_owned())
    })
    .collect()
}

/// On every page: whose paper it is, and the standing caution.
pub fn foot_line(patient: &PatientLine<'_>) -> String {
    let whose: Vec<&str> = [patient.name, patient.chart]
        .into_iter()
        .flatten()
        .map(str::trim)
        .filter(|v| !v.is_empty())
        .collect();
    if whose.is_empty() {
        FOOT.to_owned()
    } else {
        format!("{}. {FOOT}", whose.join(", "))
    }
}

fn person_words(person: &reading::Person) -> String {
    let sex = match person.sex {
        Some(terms::Sex::Female) => "female",
        Some(terms::Sex::Male) => "male",
        None => "sex not recorded",
    };
    match person.age_years {
        Some(age) => format!("{:.0} completed years, {sex}", age.floor()),
        None => format!("age not recorded, {sex}"),
    }
}
