//! Which columns has a row of one reading?

use crate::column::{Cell, Column, Field, Kind};
use crate::foot::{person, reader};
use crate::key::StudyKey;
use exchange::measures::measure;
use exchange::{Opened, Origin};
use knowledge::Knowledge;
use terms::{Side, Stance, Worn};

/// One reading, owned.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadingRow {
    pub person: String,
    pub year: i64,
    pub visit_number: i64,
    pub day_offset: i64,
    pub taken_day_offset: Option<i64>,
    pub side: Option<Side>,
    pub picture: String,
    pub made_on: &'static str,
    pub view: Option<&'static str>,
    pub stance: Option<&'static str>,
    pub worn: Option<&'static str>,
    pub doing: Option<&'static str>,
    pub reader: Option<String>,
    pub attempt: Option<i64>,
    pub finished: bool,
    pub stands: bool,
    pub measure: String,
    pub value: f64,
    pub standard_error: f64,
    pub unit: &'static str,
    pub method_version: i64,
    pub parts: [Option<f64>; 4],
}

/// Parts of the error, as a film's reading keeps them.
const PARTS: [&str; 4] = ["points", "scale", "rotation", "floor"];

/// Every reading of a visit that is in the chart; of a measure that this program does not know, none.
pub fn rows(opened: &Opened<'_>, key: &StudyKey) -> Vec<ReadingRow> {
    let Some(first) = opened.visits.first().map(|v| v.on) else {
        return Vec::new();
    };
    let mut all = Vec::new();
    for r in opened.readings() {
        let origin = &r.origin;
        let place = opened.visits.iter().position(|v| v.id == origin.visit());
        let known = measure(Knowledge::built_in(), &r.measure);
        let (Some(place), Some(known)) = (place, known) else {
            continue;
        };
        let day = opened.visits[place].on;
        let (picture, view, worn, doing, attempt) = match origin {
            Origin::Film(film, points) => (
                film.id.to_string(),
                film.view.map(|v| v.key()),
                film.worn.map(Worn::key),
                None,
                Some(i64::from(points.attempt)),
            ),
            Origin::Capture(capture, _) => (
                capture.id.to_string(),
                None,
                None,
                capture.doing.map(|d| d.key()),
                None,
            ),
        };
        let part = |cause: &str| {
            let found = r.error_parts.iter().find(|(c, _)| c == cause);
            found.map(|(_, part)| *part)
        };
        all.push(ReadingRow {
            person: person(opened, key),
            year: i64::from(day.year()),
            visit_number: place as i64 + 1,
            day_offset: (day - first).whole_days(),
            taken_day_offset: origin.taken_on().map(|d| (d - first).whole_days()),
            side: r.side,
            picture: key.pseudonym(&["picture", &picture], 16),
            made_on: origin.what(),
            view,
            stance: r.stance.map(|s| match s {
                Stance::Standing => "standing",
                Stance::NotStanding => "not-standing",
                Stance::Unknown => "unknown",
            }),
            worn,
            doing,
            reader: origin.reader().map(|id| reader(key, id)),
            attempt,
            finished: origin.finished(),
            stands: r.stands,
            measure: known.key,
            value: r.estimate.value,
            standard_error: r.estimate.standard_error,
            unit: r.estimate.unit.key(),
            method_version: i64::from(r.method_version),
            parts: PARTS.map(part),
        });
    }
    all
}

/// All columns with how they are filled.
pub fn fields() -> Vec<Field<ReadingRow>> {
    let (text, whole, number, truth) = (Kind::Text, Kind::Whole, Kind::Number, Kind::Truth);
    let column = |name: &str, kind, meaning: &str| Column::new(name, kind, meaning);
    let field = |c: Column, fill: fn(&ReadingRow) -> Cell| Field::new(c, fill);
    let mut all: Vec<Field<ReadingRow>> = vec![
        field(column("person", text, "The person under the study's key; the same in both tables."), |r| Cell::text(r.person.as_str())),
        field(column("visit_year", whole, "Year of the visit; in Parquet it stands in the folder's name."), |r| Cell::Whole(r.year)),
        field(column("visit_number", whole, "1 for the person's first visit."), |r| Cell::Whole(r.visit_number)),
        field(column("day_offset", whole, "Days of the visit since the person's first visit.").unit("days"), |r| Cell::Whole(r.day_offset)),
        field(column("taken_day_offset", whole, "Days on which the picture was taken since the person's first visit; below zero for one brought along.").unit("days"), |r| Cell::whole(r.taken_day_offset)),
        field(column("side", text, "Which foot; missing where nobody said.").coding("left; right"), |r| Cell::word(r.side.map(Side::word))),
        field(column("picture", text, "The film or capture under the study's key: readings of one picture share it."), |r| Cell::text(r.picture.as_str())),
        field(
            column("made_on", text, "What it was read on.").coding("film; print = print of the foot; pressure = pressure under the foot; from-behind, from-side = photograph; heel-rise = clip; markers = marker file"),
            |r| Cell::text(r.made_on),
        ),
        field(column("view", text, "View of the film.").coding("lateral; dorsoplantar; hindfoot-alignment; ankle-front"), |r| Cell::word(r.view)),
        field(column("stance", text, "Whether the film was taken standing.").coding("standing; not-standing; unknown"), |r| Cell::word(r.stance)),
        field(column("film_worn", text, "What the foot wore on the film; missing where nobody said.").coding("bare; shoe; device"), |r| Cell::word(r.worn)),
        field(column("doing", text, "What the person did while it was captured.").coding("standing; walking; one-leg; both-legs"), |r| Cell::word(r.doing)),
        field(column("reader", text, "The reader under the study's key; captures carry none."), |r| Cell::word(r.reader.as_deref())),
        field(column("attempt", whole, "1 for this reader's first placing on this film."), |r| Cell::whole(r.attempt)),
        field(column("finished", truth, "False while the placing was in hand."), |r| Cell::Truth(r.finished)),
        field(column("stands", truth, "Of the last finished placing of its film: the one that the visit goes by."), |r| Cell::Truth(r.stands)),
        field(column("measure", text, "Key of the measure; its meaning stands at the column m_… of the cohort."), |r| Cell::text(r.measure.as_str())),
        field(column("value", number, "The reading, in the unit beside it."), |r| Cell::number(Some(r.value))),
        field(column("standard_error", number, "One standard deviation of the reading's error, in the unit beside it."), |r| Cell::number(Some(r.standard_error))),
        field(column("unit", text, "Unit of value and errors.").coding("deg; mm; %; ratio; points; count; cm2; kPa"), |r| Cell::text(r.unit)),
        field(column("method_version", whole, "Version of the construction."), |r| Cell::Whole(r.method_version)),
    ];
    for (at, part) in PARTS.into_iter().enumerate() {
        all.push(Field::new(
            column(
                &format!("error_{part}"),
                number,
                &format!("Part of the standard error from {part}, in the unit beside it."),
            ),
            move |r: &ReadingRow| Cell::number(r.parts[at]),
        ));
    }
    all
}
