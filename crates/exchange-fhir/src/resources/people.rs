//! The patient, the people of the practice and the visits.

use super::Making;
use crate::codes::{HL7, coding, own_system, text};
use crate::types::{
    Encounter, HumanName, Identifier, Patient, Period, Practitioner, Qualification, Resource,
};
use record::{Subject, VisitState};
use terms::Sex;

pub(super) fn all(m: &Making<'_>) -> Vec<Resource> {
    let mut all = vec![patient(m).into()];
    all.extend(m.chart().clinicians.iter().map(|c| {
        let qualification = c.qualification.trim();
        let practitioner = Practitioner {
            id: c.id.to_string(),
            meta: m.meta(None),
            active: c.active,
            name: vec![HumanName {
                text: Some(c.name.clone()),
                ..HumanName::default()
            }],
            qualification: (!qualification.is_empty())
                .then(|| Qualification {
                    code: text(qualification),
                })
                .into_iter()
                .collect(),
        };
        Resource::from(practitioner)
    }));
    all.extend(encounters(m));
    all
}

fn patient(m: &Making<'_>) -> Patient {
    let p = &m.chart().patient;
    let named = |name: &str| (!name.trim().is_empty()).then(|| name.to_owned());
    Patient {
        id: p.id.to_string(),
        meta: m.meta(m.opened.last_change(Subject::Patient(p.id))),
        identifier: vec![Identifier {
            system: own_system("chart-number"),
            value: p.chart_number.clone(),
        }],
        name: Some(HumanName {
            text: None,
            family: named(&p.family_name),
            given: named(&p.given_name).into_iter().collect(),
        })
        .filter(|name| *name != HumanName::default())
        .into_iter()
        .collect(),
        // Not given is not 'unknown': that would be an answer.
        gender: p.sex.map(|sex| match sex {
            Sex::Female => "female",
            Sex::Male => "male",
        }),
        birth_date: p.born_on.map(|d| d.to_string()),
    }
}

fn encounters(m: &Making<'_>) -> impl Iterator<Item = Resource> {
    m.opened.visits.iter().map(|v| {
        let day = v.on.to_string();
        let encounter = Encounter {
            id: v.id.to_string(),
            meta: m.meta(m.opened.last_change(Subject::Visit(v.id))),
            status: match v.state {
                VisitState::Open => "in-progress",
                VisitState::Closed => "finished",
            },
            class: coding(format!("{HL7}v3-ActCode"), "AMB", "ambulatory"),
            subject: m.subject(),
            period: Period {
                start: Some(day.clone()),
                end: (v.state == VisitState::Closed).then_some(day),
            },
            reason_code: (!v.reason.trim().is_empty())
                .then(|| text(v.reason.trim()))
                .into_iter()
                .collect(),
        };
        Resource::from(encounter)
    })
}
