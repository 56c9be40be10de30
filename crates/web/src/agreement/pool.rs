//! Which readings may be held against each other, and which stay out?
//!
//! A pair needs the same film, measure, view, stance and method version. What does not pair is
//! counted and said, never dropped in silence.

use quantity::{Estimate, Unit};
use record::{ClinicianId, FilmId, PatientId, SheetRecord};
use serde::Deserialize;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use terms::{MeasureKey, Side, Stance, View};
use time::OffsetDateTime;

/// What must be the same before two readings are compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Kind {
    pub view: View,
    pub stance: Stance,
    pub method: u32,
    pub unit: Unit,
}

impl Kind {
    /// `lateral foot, taken standing, method version 1`
    pub fn words(&self) -> String {
        format!(
            "{}, {}, method version {}",
            self.view.words(),
            self.stance.words(),
            self.method
        )
    }

    /// For an address: `standing.1`, `not-standing.1`, `unknown.2`.
    pub fn key(&self) -> String {
        let stance = match self.stance {
            Stance::Standing => "standing",
            Stance::NotStanding => "not-standing",
            Stance::Unknown => "unknown",
        };
        format!("{stance}.{}", self.method)
    }
}

/// One reading of one finished placing.
#[derive(Debug, Clone, PartialEq)]
pub struct OneReading {
    pub measure: MeasureKey,
    pub kind: Kind,
    pub side: Option<Side>,
    pub estimate: Estimate,
    /// The part of the standard error that comes from placing points, floor points included.
    pub placing_error: Option<f64>,
}

/// One finished placing with what was read from it.
#[derive(Debug, Clone, PartialEq)]
pub struct Placing {
    pub reader: ClinicianId,
    pub reader_name: String,
    pub attempt: u32,
    pub at: OffsetDateTime,
    pub readings: Vec<OneReading>,
    /// Readings that another program wrote so that they cannot be compared.
    pub unreadable: usize,
}

impl Placing {
    pub fn reading(&self, measure: &MeasureKey) -> Option<&OneReading> {
        self.readings.iter().find(|r| r.measure == *measure)
    }
}

/// One film and its finished placings, in the order of the attempts.
#[derive(Debug, Clone, PartialEq)]
pub struct FilmPlacings {
    pub film: FilmId,
    pub patient: PatientId,
    /// As a list of films names it, without a person's name.
    pub words: String,
    pub placings: Vec<Placing>,
}

#[derive(Deserialize)]
struct Stored {
    measure: MeasureKey,
    view: View,
    #[serde(default)]
    side: Option<Side>,
    estimate: Estimate,
    method_version: u32,
    stance: Stance,
    #[serde(default)]
    error_parts: Option<StoredParts>,
}

#[derive(Deserialize)]
struct StoredParts {
    points: f64,
    #[serde(default)]
    floor: f64,
}

/// The finished placings of a film; those in hand do not count.
pub fn finished<'s>(placings: impl IntoIterator<Item = &'s SheetRecord>) -> Vec<Placing> {
    let mut found: Vec<Placing> = placings
        .into_iter()
        .filter(|p| p.finished)
        .map(placing)
        .collect();
    found.sort_by(|a, b| {
        (&a.reader_name, a.reader, a.attempt).cmp(&(&b.reader_name, b.reader, b.attempt))
    });
    found
}

fn placing(record: &SheetRecord) -> Placing {
    let list = record.sheet.body.get("readings").and_then(Value::as_array);
    let list = list.map(Vec::as_slice).unwrap_or_default();
    let readings: Vec<OneReading> = list
        .iter()
        .filter_map(|r| Stored::deserialize(r).ok())
        .map(of_stored)
        .collect();
    Placing {
        reader: record.reader,
        reader_name: record.reader_name.clone(),
        attempt: record.attempt,
        at: record.placed_at,
        unreadable: list.len() - readings.len(),
        readings,
    }
}

fn of_stored(r: Stored) -> OneReading {
    OneReading {
        measure: r.measure,
        kind: Kind {
            view: r.view,
            stance: r.stance,
            method: r.method_version,
            unit: r.estimate.unit,
        },
        side: r.side,
        estimate: r.estimate,
        placing_error: r.error_parts.map(|p| p.points.hypot(p.floor)),
    }
}

/// Which feet take part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Feet {
    Both,
    Only(Side),
}

impl Feet {
    pub fn from_key(key: &str) -> Option<Feet> {
        match key {
            "" | "both" => Some(Feet::Both),
            key => Side::BOTH
                .into_iter()
                .find(|s| s.word() == key)
                .map(Feet::Only),
        }
    }

    pub fn key(self) -> &'static str {
        match self {
            Feet::Both => "both",
            Feet::Only(side) => side.word(),
        }
    }

    fn take(self, side: Option<Side>) -> bool {
        match self {
            Feet::Both => true,
            Feet::Only(wanted) => side == Some(wanted),
        }
    }
}

/// Who read the columns of a table.
#[derive(Debug, Clone, PartialEq)]
pub enum Readers {
    /// First and second reading by one person.
    Same(String),
    /// The first reading of each of these people.
    Several(Vec<String>),
}

/// One film in a table: a value for each column.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    pub film: FilmId,
    pub patient: PatientId,
    pub words: String,
    pub side: Option<Side>,
    pub values: Vec<f64>,
}

/// Films that the same people read, one row each.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    pub readers: Readers,
    pub rows: Vec<Row>,
}

impl Table {
    pub fn values(&self) -> Vec<Vec<f64>> {
        self.rows.iter().map(|r| r.values.clone()).collect()
    }

    pub fn people(&self) -> usize {
        self.rows
            .iter()
            .map(|r| r.patient)
            .collect::<BTreeSet<_>>()
            .len()
    }

    pub fn feet(&self, side: Option<Side>) -> usize {
        self.rows.iter().filter(|r| r.side == side).count()
    }
}

/// What of one measure and kind can be compared, and what stayed out.
#[derive(Debug, Clone, PartialEq)]
pub struct Pool {
    /// One reader's repeats, one table for each reader who repeated.
    pub repeats: Vec<Table>,
    /// Two readers each; with three or more who share films, one more table for all of them.
    pub between: Vec<Table>,
    /// Each one sentence with its count.
    pub left_out: Vec<String>,
}

/// Measures with at least one film that two finished placings read, and on how many films.
pub fn measures(films: &[FilmPlacings]) -> BTreeMap<MeasureKey, usize> {
    let mut found = BTreeMap::new();
    for film in films {
        let mut of_film: BTreeMap<&MeasureKey, usize> = BTreeMap::new();
        for r in film.placings.iter().flat_map(|p| &p.readings) {
            *of_film.entry(&r.measure).or_default() += 1;
        }
        for (key, _) in of_film.into_iter().filter(|(_, n)| *n >= 2) {
            *found.entry(key.clone()).or_insert(0) += 1;
        }
    }
    found
}

/// The kinds in which a measure was read at least twice on a film; standing and the newest method first.
pub fn kinds(films: &[FilmPlacings], measure: &MeasureKey) -> Vec<(Kind, usize)> {
    let mut found: BTreeMap<Kind, usize> = BTreeMap::new();
    for film in films {
        let mut of_film: BTreeMap<Kind, usize> = BTreeMap::new();
        for r in film.placings.iter().filter_map(|p| p.reading(measure)) {
            *of_film.entry(r.kind).or_default() += 1;
        }
        for (kind, _) in of_film.into_iter().filter(|(_, n)| *n >= 2) {
            *found.entry(kind).or_default() += 1;
        }
    }
    let mut found: Vec<(Kind, usize)> = found.into_iter().collect();
    found.sort_by_key(|(k, _)| (k.stance, std::cmp::Reverse(k.method), k.view, k.unit));
    found
}

/// One film's readings of one kind, by reader in the order of the attempts.
struct Usable<'f> {
    film: &'f FilmPlacings,
    side: Option<Side>,
    by_reader: BTreeMap<ClinicianId, Vec<f64>>,
}

/// Puts the readings of one measure and kind into tables.
pub fn pool(films: &[FilmPlacings], measure: &MeasureKey, kind: Kind, feet: Feet) -> Pool {
    let (mut usable, mut names) = (Vec::new(), BTreeMap::new());
    let (mut other_kind, mut two_sides, mut other_foot, mut third) = (0, 0, 0, 0);
    for film in films {
        let read: Vec<(&Placing, &OneReading)> = film
            .placings
            .iter()
            .filter_map(|p| Some((p, p.reading(measure)?)))
            .collect();
        let of_kind: Vec<_> = read
            .iter()
            .filter(|(_, r)| r.kind == kind)
            .copied()
            .collect();
        if of_kind.len() < 2 {
            other_kind += usize::from(of_kind.len() == 1 && read.len() >= 2);
            continue;
        }
        let side = of_kind[0].1.side;
        if of_kind.iter().any(|(_, r)| r.side != side) {
            two_sides += 1;
            continue;
        }
        if !feet.take(side) {
            other_foot += 1;
            continue;
        }
        let mut by_reader: BTreeMap<ClinicianId, Vec<f64>> = BTreeMap::new();
        for (p, r) in of_kind {
            names.insert(p.reader, p.reader_name.clone());
            by_reader
                .entry(p.reader)
                .or_default()
                .push(r.estimate.value);
        }
        third += by_reader
            .values()
            .map(|v| v.len().saturating_sub(2))
            .sum::<usize>();
        usable.push(Usable {
            film,
            side,
            by_reader,
        });
    }
    let mut readers: Vec<(String, ClinicianId)> =
        names.into_iter().map(|(id, name)| (name, id)).collect();
    readers.sort();
    Pool {
        repeats: repeats(&usable, &readers),
        between: between(&usable, &readers),
        left_out: [
            (
                other_kind,
                "a second placing of another stance or method version: not paired",
            ),
            (
                two_sides,
                "placings that name different sides: not paired until the side is settled",
            ),
            (
                other_foot,
                "the other foot or a side not said: not chosen above",
            ),
            (
                third,
                "a third or later reading by the same person: the first two are compared",
            ),
        ]
        .into_iter()
        .filter(|(n, _)| *n > 0)
        .map(|(n, why)| format!("{n} × {why}."))
        .collect(),
    }
}

fn row(of: &Usable, values: Vec<f64>) -> Row {
    Row {
        film: of.film.film,
        patient: of.film.patient,
        words: of.film.words.clone(),
        side: of.side,
        values,
    }
}

fn repeats(usable: &[Usable], readers: &[(String, ClinicianId)]) -> Vec<Table> {
    readers
        .iter()
        .map(|(name, id)| Table {
            readers: Readers::Same(name.clone()),
            rows: usable
                .iter()
                .filter_map(|u| Some(row(u, u.by_reader.get(id)?.get(..2)?.to_vec())))
                .collect(),
        })
        .filter(|t| !t.rows.is_empty())
        .collect()
}

fn between(usable: &[Usable], readers: &[(String, ClinicianId)]) -> Vec<Table> {
    let mut groups: Vec<Vec<&(String, ClinicianId)>> = Vec::new();
    for (i, a) in readers.iter().enumerate() {
        groups.extend(readers[i + 1..].iter().map(|b| vec![a, b]));
    }
    if readers.len() > 2 {
        groups.push(readers.iter().collect());
    }
    let firsts = |u: &Usable, group: &[&(String, ClinicianId)]| -> Option<Vec<f64>> {
        group
            .iter()
            .map(|(_, id)| u.by_reader.get(id)?.first().copied())
            .collect()
    };
    groups
        .into_iter()
        .map(|group| Table {
            rows: usable
                .iter()
                .filter_map(|u| Some(row(u, firsts(u, &group)?)))
                .collect(),
            readers: Readers::Several(group.into_iter().map(|(name, _)| name.clone()).collect()),
        })
        .filter(|t| !t.rows.is_empty())
        .collect()
}
