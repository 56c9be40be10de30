//! Which readings of a patient are on record, and how was each come by?
//!
//! A stored sheet is read leniently: a reading that an older program wrote in another way is left out of the
//! lines, never guessed at. It stays in the record.

use crate::agreement::pool::{self, Placing};
use crate::desk::cache::{ANSWER_FORMAT, SCALE_VERSION};
use change::{Reader, Scale, Seen, Taken, Worn};
use film::ScaleAnswer;
use knowledge::{Knowledge, Measure};
use record::{FilmRecord, SheetRecord, Visit};
use terms::MeasureKey;
use time::Date;

/// A patient's readings of finished placings.
#[derive(Debug, Clone, Default)]
pub struct Readings {
    /// Of each reader the last placing of each film.
    pub last: Vec<Seen>,
    /// Of all placings: for a rate every reading counts.
    pub all: Vec<Seen>,
    /// Readings without a side, or kept in a way that this program does not read.
    pub left_out: usize,
}

impl Readings {
    /// Of a patient's films, with the sheets of all of them.
    pub fn of(films: &[FilmRecord], visits: &[Visit], sheets: &[SheetRecord]) -> Self {
        let mut readings = Readings::default();
        for film in films {
            readings.add(film, visits, sheets.iter().filter(|s| s.film == film.id));
        }
        readings
    }

    /// Takes in what was read on one film; nothing where its day is not known.
    fn add<'s>(
        &mut self,
        film: &FilmRecord,
        visits: &[Visit],
        placings: impl Iterator<Item = &'s SheetRecord>,
    ) {
        let visit_day = visits.iter().find(|v| v.id == film.visit).map(|v| v.on);
        let Some(day) = film.taken_on.or(visit_day) else {
            return;
        };
        let finished = pool::finished(placings);
        for placing in &finished {
            let last = finished
                .iter()
                .filter(|p| p.reader == placing.reader)
                .all(|p| p.attempt <= placing.attempt);
            let (seen, left_out) = of_placing(film, day, placing);
            self.left_out += left_out;
            if last {
                self.last.extend(seen.iter().cloned());
            }
            self.all.extend(seen);
        }
    }

    /// Measures that occur: what was read on several days stands first, then the most important.
    pub fn measures<'k>(&self, knowledge: &'k Knowledge) -> Vec<&'k Measure> {
        let mut keys: Vec<&MeasureKey> = self.last.iter().map(|s| &s.measure).collect();
        keys.sort();
        keys.dedup();
        let mut found: Vec<&Measure> = keys
            .into_iter()
            .filter_map(|k| knowledge.measure(k))
            .collect();
        let again = |m: &Measure| {
            let days = self
                .last
                .iter()
                .filter(|s| s.measure == m.key)
                .map(|s| s.day);
            days.clone().min() != days.max()
        };
        found.sort_by_key(|m| (!again(m), std::cmp::Reverse(m.importance)));
        found
    }
}

fn of_placing(film: &FilmRecord, day: Date, placing: &Placing) -> (Vec<Seen>, usize) {
    let scale = scale_of(film);
    let mut left_out = placing.unreadable;
    let seen = placing
        .readings
        .iter()
        .filter_map(|r| {
            let Some(side) = r.side.or(film.side) else {
                left_out += 1;
                return None;
            };
            Some(Seen {
                day,
                measure: r.measure.clone(),
                side,
                estimate: r.estimate,
                taken: Taken {
                    view: Some(r.kind.view),
                    stance: r.kind.stance,
                    method_version: r.kind.method,
                    scale: scale.clone(),
                    reader: Some(Reader {
                        key: placing.reader.to_string(),
                        name: placing.reader_name.clone(),
                    }),
                    worn: worn_of(film.worn),
                },
            })
        })
        .collect();
    (seen, left_out)
}

pub fn worn_of(worn: Option<terms::Worn>) -> Worn {
    match worn {
        Some(terms::Worn::Bare) => Worn::Bare,
        Some(terms::Worn::Shoe) => Worn::InShoe,
        Some(terms::Worn::Device) => Worn::InDevice,
        None => Worn::NotSaid,
    }
}

/// How millimetres were got, as far as it matters for comparing: the kind, not the number.
fn scale_of(film: &FilmRecord) -> Option<Scale> {
    let answer: ScaleAnswer = film
        .scale_answer
        .as_ref()?
        .read(ANSWER_FORMAT, SCALE_VERSION)
        .ok()?;
    let ScaleAnswer::Known { source, .. } = answer else {
        return None;
    };
    let key = serde_json::to_value(source).ok()?;
    let key = key.as_str()?.to_owned();
    Some(Scale {
        words: key.replace(['-', '_'], " "),
        key,
    })
}
