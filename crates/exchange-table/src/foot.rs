//! What is known of one foot at one visit?
//!
//! Owned, so that a column's way to fill itself is a plain function of it. Readings in hand are not in it, nor words
//! that somebody typed.

use crate::key::StudyKey;
use care::Ladder;
use exam::{Examination, Leg, Sheet};
use exchange::{Opened, PersonSheet};
use record::Visit;
use stage::StageReport;
use std::collections::BTreeMap;
use terms::{Joint, Sex, Side};

/// One measure's value that stands for this foot at this visit.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured {
    pub value: f64,
    pub standard_error: f64,
    pub unit: quantity::Unit,
    pub method_version: u32,
    /// A name that is no name; `None` for captures, which carry no reader.
    pub reader: Option<String>,
}

/// Everything a row is made from.
#[derive(Debug, Clone)]
pub struct FootVisit {
    pub person: String,
    pub sex: Option<Sex>,
    /// Completed years, 90 for all who are older.
    pub age_years: Option<i64>,
    pub side: Side,
    pub year: i64,
    pub day_offset: i64,
    pub visit_number: i64,
    pub sheet: PersonSheet,
    pub exam: Examination,
    pub other_exam: Examination,
    pub leg: Leg,
    pub measured: BTreeMap<String, Measured>,
    pub wear: BTreeMap<Joint, u8>,
    pub decided: Option<String>,
    pub overruled: Option<bool>,
    pub report: Option<StageReport>,
    pub rungs: Vec<String>,
    pub worn: Vec<String>,
}

/// Ages above stand together: so few people are that old that the age would name them.
pub const OLDEST: i64 = 90;

pub fn age_on(opened: &Opened<'_>, visit: &Visit) -> Option<i64> {
    let years = opened.chart.patient.age_years_on(visit.on)?;
    Some((years.floor() as i64).min(OLDEST))
}

/// One for each foot at each visit, oldest visit first.
pub fn feet(opened: &Opened<'_>, key: &StudyKey) -> Vec<FootVisit> {
    let Some(first) = opened.visits.first().map(|v| v.on) else {
        return Vec::new();
    };
    let mut all = Vec::new();
    for (number, visit) in opened.visits.iter().enumerate() {
        for side in Side::BOTH {
            let exam = |side| {
                opened
                    .feet
                    .get(&(visit.id, side))
                    .cloned()
                    .unwrap_or_default()
            };
            let decision = opened.decisions.get(&(visit.id, side));
            let chosen = decision.and_then(|(d, _)| d.chosen.as_deref());
            let report = decision.and_then(|(_, report)| report.clone());
            all.push(FootVisit {
                person: person(opened, key),
                sex: opened.chart.patient.sex,
                age_years: age_on(opened, visit),
                side,
                year: i64::from(visit.on.year()),
                day_offset: (visit.on - first).whole_days(),
                visit_number: number as i64 + 1,
                sheet: opened.persons.get(&visit.id).cloned().unwrap_or_default(),
                exam: exam(side),
                other_exam: exam(side.other()),
                leg: opened
                    .legs
                    .get(&(visit.id, side))
                    .cloned()
                    .unwrap_or_default(),
                measured: measured(opened, key, visit, side),
                wear: wear(opened, visit, side),
                decided: chosen.map(|c| stage_key(report.as_ref(), c)),
                overruled: chosen
                    .and(decision)
                    .map(|(d, _)| d.overruled_reason.is_some()),
                report,
                rungs: rungs(opened, visit, side),
                worn: worn(opened, visit, side),
            });
        }
    }
    all
}

pub fn person(opened: &Opened<'_>, key: &StudyKey) -> String {
    key.pseudonym(&["person", &opened.chart.patient.id.to_string()], 32)
}

pub fn reader(key: &StudyKey, id: record::ClinicianId) -> String {
    key.pseudonym(&["reader", &id.to_string()], 16)
}

/// Of finished sheets that stand for their film or capture, the one read last.
fn measured(
    opened: &Opened<'_>,
    key: &StudyKey,
    visit: &Visit,
    side: Side,
) -> BTreeMap<String, Measured> {
    let mut found: Vec<_> = opened
        .readings()
        .filter(|r| {
            let origin = &r.origin;
            r.stands && origin.finished() && origin.visit() == visit.id && r.side == Some(side)
        })
        .collect();
    found.sort_by_key(|r| r.origin.read_at());
    found
        .into_iter()
        .map(|r| {
            let value = Measured {
                value: r.estimate.value,
                standard_error: r.estimate.standard_error,
                unit: r.estimate.unit,
                method_version: r.method_version,
                reader: r.origin.reader().map(|id| reader(key, id)),
            };
            (r.measure.clone(), value)
        })
        .collect()
}

/// The highest grade of each joint on the visit's films of the foot.
fn wear(opened: &Opened<'_>, visit: &Visit, side: Side) -> BTreeMap<Joint, u8> {
    let mut highest = BTreeMap::new();
    for wear in &opened.chart.wear {
        let films = opened.chart.films.iter();
        let mut of_foot = films.filter(|f| f.visit == visit.id && f.side == Some(side));
        if of_foot.any(|f| f.id == wear.film) {
            for (joint, grade) in &wear.grades {
                let kept = highest.entry(*joint).or_insert(0);
                *kept = (*kept).max(grade.get());
            }
        }
    }
    highest
}

/// A stage that some scheme knows; what else was written down may be anything, and stays out.
fn stage_key(report: Option<&StageReport>, chosen: &str) -> String {
    let known = report.is_some_and(|r| {
        let classes = r.consensus.as_ref().and_then(|c| c.string.as_deref());
        r.schemes().iter().any(|s| s.candidate(chosen).is_some()) || classes == Some(chosen)
    });
    let letters = chosen
        .bytes()
        .all(|b| matches!(b, b'1' | b'2' | b'A'..=b'E'));
    match known || (letters && chosen.len() <= 8 && !chosen.is_empty()) {
        true => chosen.to_owned(),
        false => "other".into(),
    }
}

/// Keys of the ladder; a rung that it does not have is `other`.
fn rungs(opened: &Opened<'_>, visit: &Visit, side: Side) -> Vec<String> {
    let Some((_, plan)) = opened.plans.get(&visit.id) else {
        return Vec::new();
    };
    let of_foot = plan.rungs().filter(|(on, _)| on.is_none_or(|s| s == side));
    let known = |key: &str| match Ladder::built_in().rung(key) {
        Some(rung) => rung.key.clone(),
        None => "other".to_owned(),
    };
    of_foot.map(|(_, key)| known(key)).collect()
}

/// What was on the foot that day, by the log of care.
fn worn(opened: &Opened<'_>, visit: &Visit, side: Side) -> Vec<String> {
    let mut all: Vec<String> = opened
        .care
        .iter()
        .filter(|(record, _)| record.side == Some(side) && record.runs_on(visit.on))
        .filter_map(|(_, entry)| entry.as_ref())
        .filter(|entry| entry.kind.is_worn())
        .map(|entry| entry.rung().unwrap_or(entry.kind.key()).to_owned())
        .collect();
    all.sort();
    all.dedup();
    all
}

/// The answer to a question of any sheet of the foot or the person.
pub fn answer<'f>(foot: &'f FootVisit, sheet: Sheet, key: &str) -> Option<&'f exam::Answer> {
    match sheet {
        Sheet::Foot => foot.exam.get(key),
        Sheet::Person => foot.sheet.story.get(key),
        Sheet::Flags => foot.sheet.flags.get(key),
        Sheet::Leg => foot.leg.get(key),
        Sheet::Given => None,
    }
}
