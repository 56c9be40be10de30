//! Which resources does a chart become?

mod care;
mod decided;
mod documents;
mod findings;
mod people;
mod provenance;
mod readings;

use crate::codes::{HL7, coding};
use crate::types::{Coding, Meta, Reference, Resource, ResourceType};
use exchange::Opened;
use knowledge::{Knowledge, Person};
use record::{Chart, ClinicianId, VisitId};
use time::format_description::well_known::Rfc3339;
use time::{OffsetDateTime, UtcOffset};

/// What every maker of resources needs.
pub(crate) struct Making<'c> {
    pub opened: Opened<'c>,
    pub knowledge: &'static Knowledge,
    tags: Vec<Coding>,
}

impl<'c> Making<'c> {
    fn of(chart: &'c Chart, opened: Opened<'c>) -> Self {
        let demo = chart.practice.as_ref().is_some_and(|p| p.demo);
        let tag = || coding(format!("{HL7}v3-ActReason"), "HTEST", "test health data");
        Making {
            opened,
            knowledge: Knowledge::built_in(),
            tags: demo.then(tag).into_iter().collect(),
        }
    }

    fn chart(&self) -> &'c Chart {
        self.opened.chart
    }

    /// `None` where there is nothing to say.
    fn meta(&self, last: Option<OffsetDateTime>) -> Option<Meta> {
        let meta = Meta {
            last_updated: last.and_then(instant),
            tag: self.tags.clone(),
        };
        (meta != Meta::default()).then_some(meta)
    }

    fn subject(&self) -> Reference {
        Reference::to(ResourceType::Patient, self.chart().patient.id)
    }

    /// A visit that is not in the chart is told in words: a reference must resolve.
    fn encounter(&self, visit: VisitId) -> Reference {
        match self.opened.visit(visit) {
            Some(_) => Reference::to(ResourceType::Encounter, visit),
            None => Reference {
                reference: None,
                display: Some("a visit that is not in this chart".into()),
            },
        }
    }

    fn practitioner(&self, id: ClinicianId, name: Option<&str>) -> Reference {
        let known = self.opened.clinician(id);
        let name = known.map(|c| c.name.as_str()).or(name);
        let name = name.filter(|n| !n.trim().is_empty());
        let name = match id == ClinicianId::PROGRAM {
            true => Some(ClinicianId::PROGRAM_WORDS),
            false => name,
        };
        Reference {
            reference: known.map(|_| format!("Practitioner/{id}")),
            display: Some(name.unwrap_or("somebody who is not in this chart").into()),
        }
    }

    fn person_at(&self, visit: VisitId) -> Person {
        let patient = &self.chart().patient;
        Person {
            age_years: self
                .opened
                .visit(visit)
                .and_then(|v| patient.age_years_on(v.on)),
            sex: patient.sex,
        }
    }
}

/// A moment as the standard writes it, in universal time.
pub(crate) fn instant(at: OffsetDateTime) -> Option<String> {
    at.to_offset(UtcOffset::UTC).format(&Rfc3339).ok()
}

/// Everything of a chart, in one fixed order.
pub(crate) fn all(chart: &Chart) -> Vec<Resource> {
    let making = Making::of(chart, Opened::of(chart));
    let mut all = people::all(&making);
    all.extend(documents::all(&making));
    all.extend(findings::all(&making));
    all.extend(readings::all(&making));
    all.extend(decided::all(&making));
    all.extend(care::all(&making));
    let acts = provenance::all(&making, &all);
    all.extend(acts);
    all
}

/// Those of one type, in the same order, without making more than it takes.
pub(crate) fn of_type(chart: &Chart, kind: ResourceType) -> Vec<Resource> {
    use ResourceType::{DocumentReference, Encounter, Patient, Practitioner};
    let mut found = match kind {
        Patient | Practitioner | Encounter => people::all(&Making::of(chart, Opened::bare(chart))),
        DocumentReference => documents::all(&Making::of(chart, Opened::bare(chart))),
        _ => all(chart),
    };
    found.retain(|r| r.kind() == kind);
    found
}
