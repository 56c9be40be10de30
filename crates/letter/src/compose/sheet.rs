//! One film on one page: what was read, how sure it is, and against what it was held.

use super::cites::Cites;
use super::{Composed, PatientLine, SheetFacts, film, rows, words};
use crate::document::{Block, Document, Notice, Pictures};
use crate::words::{Words, say};
use figure::strip::legend_svg_in;

/// Name of the picture that explains the marks.
const KEY_PICTURE: &str = "key-to-the-marks.svg";

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
    let (w, knowledge) = (facts.words, facts.knowledge);
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
            rows::row(w, knowledge, r, compared, rows::Room::SHEET, &mut cites)
        })
        .collect();
    let mut blocks = Vec::new();
    let aside = aside(facts);
    match film::picture(w, knowledge, film, 100.0, &mut pictures) {
        Some(picture) => blocks.push(Block::Columns {
            left: vec![picture],
            right: aside,
            left_percent: film::column_percent(width_mm, PAGE_MM),
        }),
        None => blocks.extend(aside),
    }
    if table.is_empty() {
        blocks.push(Block::Paragraph {
            text: say!(w, "film-nothing-read"),
        });
    } else {
        blocks.push(Block::Readings {
            caption: say!(
                w,
                "sheet-readings-caption",
                person = person_words(w, &facts.person)
            ),
            rows: table,
        });
        let key = say!(w, "sheet-key-alt");
        let marks = [
            "place-inside",
            "place-outside",
            "place-straddles",
            "place-sources-differ",
            "sheet-key-none",
        ]
        .map(|place| say!(w, place));
        let legend = legend_svg_in(520.0, &key, marks.each_ref().map(String::as_str));
        pictures.insert(KEY_PICTURE.into(), legend.into_bytes());
        blocks.push(Block::Figure {
            picture: KEY_PICTURE.into(),
            alt: key,
            caption: String::new(),
            width_percent: 78.0,
        });
    }
    let refused = film::refused(w, knowledge, &film.sheet.refused);
    if !refused.is_empty() {
        blocks.push(Block::Notice {
            notice: Notice::Note,
            title: say!(w, "not-read-title"),
            lines: refused,
        });
    }
    let mut small = vec![say!(w, "sheet-key")];
    small.extend(cites.lines(w, knowledge));
    blocks.push(Block::Small {
        text: small.join("\n"),
    });
    let document = Document {
        title: say!(w, "title-sheet", film = w.said(film.title)),
        language: w.tag().into(),
        practice: facts.practice.to_vec(),
        recipient: Vec::new(),
        date: w.day(facts.date),
        head: head(facts),
        blocks,
        foot: foot_line(w, &facts.patient),
        draft: false,
        compact: true,
    };
    Composed { document, pictures }
}

/// Beside the film: what one has to know before using a number.
fn aside(facts: &SheetFacts<'_>) -> Vec<Block> {
    let w = facts.words;
    let mut out: Vec<Block> = film::stance_caution(w, &facts.film).into_iter().collect();
    let mut notes = film::notes(w, facts.knowledge, &facts.film);
    if facts.person.age_years.is_none() {
        notes.insert(0, say!(w, "sheet-no-age"));
    }
    if !notes.is_empty() {
        out.push(Block::Notice {
            notice: Notice::Note,
            title: say!(w, "to-know"),
            lines: notes,
        });
    }
    out.push(Block::Notice {
        notice: Notice::Caution,
        title: say!(w, "sheet-use-title"),
        lines: vec![say!(w, "sheet-use-readings"), say!(w, "sheet-use-error")],
    });
    out
}

/// Patient, then film, as label and value.
fn head(facts: &SheetFacts<'_>) -> Vec<(String, String)> {
    let w = facts.words;
    let mut out = patient_line(w, &facts.patient);
    out.extend(film::facts(w, &facts.film));
    let reader = words::or_not_recorded(w, facts.reader);
    out.push((say!(w, "label-points-by"), reader));
    out
}

pub fn patient_line(w: &Words, patient: &PatientLine<'_>) -> Vec<(String, String)> {
    let born = patient.born.map(|b| w.day(b));
    [
        ("label-patient", patient.name),
        ("label-born", born.as_deref()),
        ("label-chart", patient.chart),
    ]
    .into_iter()
    .map(|(label, value)| (say!(w, label), words::or_not_recorded(w, value)))
    .collect()
}

/// On every page: whose paper it is, and the standing caution.
pub fn foot_line(w: &Words, patient: &PatientLine<'_>) -> String {
    let whose: Vec<&str> = [patient.name, patient.chart]
        .into_iter()
        .flatten()
        .map(str::trim)
        .filter(|v| !v.is_empty())
        .collect();
    let foot = say!(w, "page-foot");
    if whose.is_empty() {
        foot
    } else {
        format!("{}. {foot}", whose.join(", "))
    }
}

fn person_words(w: &Words, person: &reading::Person) -> String {
    let sex = match person.sex {
        Some(terms::Sex::Female) => "female",
        Some(terms::Sex::Male) => "male",
        None => "unknown",
    };
    match person.age_years {
        Some(age) => say!(w, "person-with-age", age = age.floor(), sex = sex),
        None => say!(w, "person-without-age", sex = sex),
    }
}
