//! What stands in the kept payloads of one chart, and what does not read back?

use crate::formats::{self, KeptPlan, PersonSheet};
use crate::taken::{SheetFacts, TakenReading, of_capture, of_film, standing};
use care::log::{Entry, Kind};
use exam::{Examination, Given, Leg};
use record::{
    Act, ActKind, CareId, CareRecord, Chart, Clinician, ClinicianId, DecisionRecord, ExamineOf,
    KeptError, PlanRecord, Subject, Visit, VisitId,
};
use stage::StageReport;
use std::collections::BTreeMap;
use terms::Side;
use time::OffsetDateTime;

/// A payload that did not read back; it stays in the record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unreadable {
    /// What it is of, in words without personal data.
    pub what: String,
    pub visit: Option<VisitId>,
    pub why: KeptError,
}

/// One chart with its payloads as types.
#[derive(Debug, Clone)]
pub struct Opened<'c> {
    pub chart: &'c Chart,
    /// Oldest first.
    pub visits: Vec<&'c Visit>,
    pub persons: BTreeMap<VisitId, PersonSheet>,
    pub feet: BTreeMap<(VisitId, Side), Examination>,
    pub legs: BTreeMap<(VisitId, Side), Leg>,
    pub plans: BTreeMap<VisitId, (&'c PlanRecord, KeptPlan)>,
    pub decisions: BTreeMap<(VisitId, Side), (&'c DecisionRecord, Option<StageReport>)>,
    /// Taken away or not, in the order of the chart.
    pub care: Vec<(&'c CareRecord, Option<Entry>)>,
    /// One for each placing on a film and for each capture with steps.
    pub sheets: Vec<SheetFacts<'c>>,
    pub unreadable: Vec<Unreadable>,
}

impl<'c> Opened<'c> {
    /// Visits in order and nothing read back: for who asks only who the person is and when they came.
    pub fn bare(chart: &'c Chart) -> Self {
        let mut visits: Vec<&Visit> = chart.visits.iter().collect();
        visits.sort_by_key(|v| (v.on, v.id));
        Opened {
            chart,
            visits,
            persons: BTreeMap::new(),
            feet: BTreeMap::new(),
            legs: BTreeMap::new(),
            plans: BTreeMap::new(),
            decisions: BTreeMap::new(),
            care: Vec::new(),
            sheets: Vec::new(),
            unreadable: Vec::new(),
        }
    }

    pub fn of(chart: &'c Chart) -> Self {
        let mut opened = Opened::bare(chart);
        opened.sheets = sheets(chart);
        for kept in &chart.exams {
            let (exam, visit) = (&kept.exam, kept.visit);
            let done = match kept.of {
                ExamineOf::Person => exam
                    .read(formats::PERSON.0, formats::PERSON.1)
                    .map(|sheet| drop(opened.persons.insert(visit, sheet))),
                ExamineOf::Foot(side) => exam
                    .read(formats::FOOT.0, formats::FOOT.1)
                    .map(|sheet| drop(opened.feet.insert((visit, side), sheet))),
                ExamineOf::Leg(side) => exam
                    .read(formats::LEG.0, formats::LEG.1)
                    .map(|sheet| drop(opened.legs.insert((visit, side), sheet))),
            };
            if let Err(why) = done {
                opened.lacks(
                    format!("examination, {}", kept.of.words()),
                    Some(visit),
                    why,
                );
            }
        }
        for record in &chart.plans {
            match record.plan.read(formats::PLAN.0, formats::PLAN.1) {
                Ok(plan) => drop(opened.plans.insert(record.visit, (record, plan))),
                Err(why) => opened.lacks("plan".into(), Some(record.visit), why),
            }
        }
        for record in &chart.decisions {
            let report = match record.report.read(formats::REPORT.0, formats::REPORT.1) {
                Ok(report) => Some(report),
                Err(why) => {
                    let what = format!("stage report, {} foot", record.side.word());
                    opened.lacks(what, Some(record.visit), why);
                    None
                }
            };
            let key = (record.visit, record.side);
            opened.decisions.insert(key, (record, report));
        }
        for record in &chart.care {
            let entry = match record
                .answers
                .read::<Given>(formats::GIVEN.0, formats::GIVEN.1)
            {
                Ok(answers) => entry(record, answers),
                Err(why) => {
                    opened.lacks("entry of care".into(), record.visit, why);
                    None
                }
            };
            opened.care.push((record, entry));
        }
        opened
    }

    fn lacks(&mut self, what: String, visit: Option<VisitId>, why: KeptError) {
        self.unreadable.push(Unreadable { what, visit, why });
    }

    pub fn readings(&self) -> impl Iterator<Item = &TakenReading<'c>> {
        self.sheets.iter().flat_map(|s| &s.readings)
    }

    pub fn visit(&self, id: VisitId) -> Option<&'c Visit> {
        self.chart.visit(id)
    }

    pub fn clinician(&self, id: ClinicianId) -> Option<&'c Clinician> {
        self.chart.clinicians.iter().find(|c| c.id == id)
    }

    pub fn given(&self, id: CareId) -> Option<&Entry> {
        let (_, entry) = self.care.iter().find(|(record, _)| record.id == id)?;
        entry.as_ref()
    }

    /// The act of a kind on a subject that happened at a time; who did it stands in the journal alone.
    pub fn act_at(&self, kind: ActKind, on: Subject, at: OffsetDateTime) -> Option<&'c Act> {
        self.chart
            .acts
            .iter()
            .rev()
            .find(|a| a.kind == kind && a.on == on && a.at == at)
    }

    /// When anything was last done to a subject.
    pub fn last_change(&self, on: Subject) -> Option<OffsetDateTime> {
        let acts = self.chart.acts.iter().filter(|a| a.on == on);
        acts.map(|a| a.at).max()
    }
}

fn entry(record: &CareRecord, answers: Given) -> Option<Entry> {
    Some(Entry {
        id: record.id.to_string(),
        about: record.about.map(|id| id.to_string()),
        kind: Kind::from_key(&record.kind)?,
        side: record.side,
        began: record.began_on,
        ended: record.ended_on,
        answers,
    })
}

fn sheets(chart: &Chart) -> Vec<SheetFacts<'_>> {
    let mut sheets = Vec::new();
    for film in &chart.films {
        let placings = chart.points.iter().filter(|p| p.film == film.id);
        let stands = standing(placings.clone()).map(|p| p.id);
        sheets.extend(placings.map(|p| of_film(film, p, stands == Some(p.id))));
    }
    for capture in &chart.captures {
        let steps = chart.steps.iter().filter(|s| s.capture == capture.id);
        if let Some(last) = steps.max_by_key(|s| s.revision) {
            sheets.push(of_capture(capture, last));
        }
    }
    sheets
}
