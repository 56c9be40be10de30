//! Which parameters may a search have?
//!
//! One table: the query is read by it, resources are indexed by it, and the server's own statement is written from it.

use crate::query::dates::{Span, span};
use crate::types::{CodeableConcept, Coding, Period, Reference, Resource, ResourceType};
use ResourceType as T;

/// How the values of a parameter are compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ParamKind {
    Token,
    Date,
    Reference,
    String,
}

impl ParamKind {
    /// As the server's statement names it.
    pub fn key(self) -> &'static str {
        match self {
            ParamKind::Token => "token",
            ParamKind::Date => "date",
            ParamKind::Reference => "reference",
            ParamKind::String => "string",
        }
    }
}

/// One parameter of a type.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Param {
    pub name: &'static str,
    pub kind: ParamKind,
    pub words: &'static str,
    /// What a reference may point to; `_include` follows it.
    pub target: &'static [ResourceType],
}

const fn token(name: &'static str, words: &'static str) -> Param {
    Param {
        name,
        kind: ParamKind::Token,
        words,
        target: &[],
    }
}

const fn date(name: &'static str, words: &'static str) -> Param {
    Param {
        name,
        kind: ParamKind::Date,
        words,
        target: &[],
    }
}

const fn string(name: &'static str, words: &'static str) -> Param {
    Param {
        name,
        kind: ParamKind::String,
        words,
        target: &[],
    }
}

const fn reference(
    name: &'static str,
    target: &'static [ResourceType],
    words: &'static str,
) -> Param {
    Param {
        name,
        kind: ParamKind::Reference,
        words,
        target,
    }
}

/// Of every type.
pub const COMMON: &[Param] = &[
    token("_id", "The id of the resource"),
    date("_lastUpdated", "When the record behind it was last saved"),
];

const PATIENT: Param = reference("patient", &[T::Patient], "Whose it is");
const SUBJECT: Param = reference("subject", &[T::Patient], "Whose it is");
const ENCOUNTER: Param = reference("encounter", &[T::Encounter], "At which visit");
const STATUS: Param = token("status", "The status of the resource");
const CODE: Param = token("code", "What it is of");
const CATEGORY: Param = token("category", "Its kind");
const IDENTIFIER: Param = token("identifier", "A business identifier");

/// Of one type, without the common ones.
pub fn params(kind: ResourceType) -> &'static [Param] {
    match kind {
        T::Patient => {
            const {
                &[
                    IDENTIFIER,
                    string("name", "Given or family name"),
                    string("family", "Family name"),
                    string("given", "Given name"),
                    date("birthdate", "Date of birth"),
                    token("gender", "Sex as it is recorded"),
                ]
            }
        }
        T::Practitioner => const { &[string("name", "The name")] },
        T::Encounter => {
            const {
                &[
                    PATIENT,
                    SUBJECT,
                    date("date", "The day of the visit"),
                    STATUS,
                ]
            }
        }
        T::Observation => {
            const {
                &[
                    PATIENT,
                    SUBJECT,
                    ENCOUNTER,
                    date("date", "When it was taken or looked at"),
                    CODE,
                    CATEGORY,
                    STATUS,
                    reference("performer", &[T::Practitioner], "Who read or examined"),
                    reference(
                        "derived-from",
                        &[T::DocumentReference],
                        "The film, print or clip",
                    ),
                    reference("has-member", &[T::Observation], "The answers of a sheet"),
                ]
            }
        }
        T::DiagnosticReport => {
            const {
                &[
                    PATIENT,
                    SUBJECT,
                    ENCOUNTER,
                    date("date", "When the film was taken"),
                    CODE,
                    CATEGORY,
                    STATUS,
                    reference("performer", &[T::Practitioner], "Who read"),
                    reference("result", &[T::Observation], "Its readings"),
                ]
            }
        }
        T::Condition => {
            const {
                &[
                    PATIENT,
                    SUBJECT,
                    ENCOUNTER,
                    CODE,
                    CATEGORY,
                    token("stage", "The stage decided on"),
                    token(
                        "clinical-status",
                        "Whether it is the last decision on this foot",
                    ),
                    date("recorded-date", "When it was decided"),
                ]
            }
        }
        T::Procedure => {
            const {
                &[
                    PATIENT,
                    SUBJECT,
                    ENCOUNTER,
                    date("date", "When it was given or worn"),
                    CODE,
                    STATUS,
                ]
            }
        }
        T::DeviceRequest => {
            const {
                &[
                    PATIENT,
                    SUBJECT,
                    ENCOUNTER,
                    CODE,
                    STATUS,
                    IDENTIFIER,
                    date("authored-on", "When it was sent, or saved while a draft"),
                ]
            }
        }
        T::CarePlan => {
            const {
                &[
                    PATIENT,
                    SUBJECT,
                    ENCOUNTER,
                    date("date", "From the day of its visit on"),
                    STATUS,
                ]
            }
        }
        T::DocumentReference => {
            const {
                &[
                    PATIENT,
                    SUBJECT,
                    ENCOUNTER,
                    date("date", "When it was taken in or signed"),
                    token("type", "Film, kind of letter, …"),
                    CATEGORY,
                    STATUS,
                    IDENTIFIER,
                ]
            }
        }
        T::Provenance => {
            const {
                &[
                    reference(
                        "target",
                        &[
                            T::Patient,
                            T::Encounter,
                            T::Observation,
                            T::DiagnosticReport,
                            T::Condition,
                            T::Procedure,
                            T::DeviceRequest,
                            T::CarePlan,
                            T::DocumentReference,
                        ],
                        "What was made or changed",
                    ),
                    reference(
                        "patient",
                        &[T::Patient],
                        "The target, where it is a patient",
                    ),
                    reference("agent", &[T::Practitioner], "Who did it"),
                    date("recorded", "When"),
                ]
            }
        }
    }
}

/// The parameter of this name for a type.
pub fn param(kind: ResourceType, name: &str) -> Option<&'static Param> {
    COMMON.iter().chain(params(kind)).find(|p| p.name == name)
}

/// A value by which a resource is found.
#[derive(Debug, Clone, PartialEq)]
pub enum Indexed {
    /// System (empty where there is none) and code.
    Token(String, String),
    Date(Span),
    /// `TYPE/ID`.
    Reference(String),
    Text(String),
}

fn tokens<'c>(concepts: impl IntoIterator<Item = &'c CodeableConcept>) -> Vec<Indexed> {
    let codings = concepts.into_iter().flat_map(|c| &c.coding);
    codings.map(token_of).collect()
}

fn token_of(c: &Coding) -> Indexed {
    Indexed::Token(c.system.clone(), c.code.clone())
}

fn plain(code: &str) -> Vec<Indexed> {
    vec![Indexed::Token(String::new(), code.to_owned())]
}

fn day(text: Option<&String>) -> Vec<Indexed> {
    let span = text.and_then(|t| span(t));
    span.map(Indexed::Date).into_iter().collect()
}

/// From the start of the first day to the end of the last; open where an end is missing.
fn period(p: &Period) -> Vec<Indexed> {
    let start = p.start.as_deref().and_then(span);
    let end = p.end.as_deref().and_then(span);
    match (start, end) {
        (None, None) => Vec::new(),
        (start, end) => vec![Indexed::Date(Span {
            from: start.map_or(i128::MIN, |s| s.from),
            until: end.map_or(i128::MAX, |e| e.until),
        })],
    }
}

fn refs<'r>(references: impl IntoIterator<Item = &'r Reference>) -> Vec<Indexed> {
    let all = references.into_iter();
    all.filter_map(|r| r.reference.clone().map(Indexed::Reference))
        .collect()
}

/// The values of a resource for a parameter; none where the resource has none.
pub fn values(resource: &Resource, name: &str) -> Vec<Indexed> {
    match name {
        "_id" => return plain(resource.id()),
        "_lastUpdated" => return day(resource.meta().and_then(|m| m.last_updated.as_ref())),
        _ => {}
    }
    match resource {
        Resource::Patient(p) => match name {
            "identifier" => {
                let all = p.identifier.iter();
                all.map(|i| Indexed::Token(i.system.clone(), i.value.clone()))
                    .collect()
            }
            "name" | "family" | "given" => {
                let mut texts = Vec::new();
                for n in &p.name {
                    if name != "given" {
                        texts.extend(n.family.clone());
                    }
                    if name != "family" {
                        texts.extend(n.given.iter().cloned());
                    }
                }
                texts.into_iter().map(Indexed::Text).collect()
            }
            "birthdate" => day(p.birth_date.as_ref()),
            "gender" => p.gender.map(plain).unwrap_or_default(),
            _ => Vec::new(),
        },
        Resource::Practitioner(p) => match name {
            "name" => p
                .name
                .iter()
                .filter_map(|n| n.text.clone())
                .map(Indexed::Text)
                .collect(),
            _ => Vec::new(),
        },
        Resource::Encounter(e) => match name {
            "patient" | "subject" => refs([&e.subject]),
            "date" => period(&e.period),
            "status" => plain(e.status),
            _ => Vec::new(),
        },
        Resource::Observation(o) => match name {
            "patient" | "subject" => refs([&o.subject]),
            "encounter" => refs([&o.encounter]),
            "date" => day(o.effective_date_time.as_ref()),
            "code" => tokens([&o.code]),
            "category" => tokens(&o.category),
            "status" => plain(o.status),
            "performer" => refs(&o.performer),
            "derived-from" => refs(&o.derived_from),
            "has-member" => refs(&o.has_member),
            _ => Vec::new(),
        },
        Resource::DiagnosticReport(d) => match name {
            "patient" | "subject" => refs([&d.subject]),
            "encounter" => refs([&d.encounter]),
            "date" => day(d.effective_date_time.as_ref()),
            "code" => tokens([&d.code]),
            "category" => tokens(&d.category),
            "status" => plain(d.status),
            "performer" => refs(&d.performer),
            "result" => refs(&d.result),
            _ => Vec::new(),
        },
        Resource::Condition(c) => match name {
            "patient" | "subject" => refs([&c.subject]),
            "encounter" => refs([&c.encounter]),
            "code" => tokens([&c.code]),
            "category" => tokens(&c.category),
            "stage" => tokens(c.stage.iter().map(|s| &s.summary)),
            "clinical-status" => tokens([&c.clinical_status]),
            "recorded-date" => day(Some(&c.recorded_date)),
            _ => Vec::new(),
        },
        Resource::Procedure(p) => match name {
            "patient" | "subject" => refs([&p.subject]),
            "encounter" => refs(&p.encounter),
            "date" => match &p.performed_period {
                Some(over) => period(over),
                None => day(p.performed_date_time.as_ref()),
            },
            "code" => tokens([&p.code]),
            "status" => plain(p.status),
            _ => Vec::new(),
        },
        Resource::DeviceRequest(d) => match name {
            "patient" | "subject" => refs([&d.subject]),
            "encounter" => refs([&d.encounter]),
            "code" => tokens([&d.code_codeable_concept]),
            "status" => plain(d.status),
            "identifier" => {
                let all = d.identifier.iter();
                all.map(|i| Indexed::Token(i.system.clone(), i.value.clone()))
                    .collect()
            }
            "authored-on" => day(d.authored_on.as_ref()),
            _ => Vec::new(),
        },
        Resource::CarePlan(c) => match name {
            "patient" | "subject" => refs([&c.subject]),
            "encounter" => refs([&c.encounter]),
            "date" => c.period.as_ref().map(period).unwrap_or_default(),
            "status" => plain(c.status),
            _ => Vec::new(),
        },
        Resource::DocumentReference(d) => match name {
            "patient" | "subject" => refs([&d.subject]),
            "encounter" => refs(&d.context.encounter),
            "date" => day(d.date.as_ref()),
            "type" => tokens([&d.kind]),
            "category" => tokens(&d.category),
            "status" => plain(d.status),
            "identifier" => {
                let all = d.identifier.iter();
                all.map(|i| Indexed::Token(i.system.clone(), i.value.clone()))
                    .collect()
            }
            _ => Vec::new(),
        },
        Resource::Provenance(p) => match name {
            "target" => refs(&p.target),
            "patient" => refs(&p.target)
                .into_iter()
                .filter(|r| matches!(r, Indexed::Reference(to) if to.starts_with("Patient/")))
                .collect(),
            "agent" => refs(p.agent.iter().map(|a| &a.who)),
            "recorded" => day(Some(&p.recorded)),
            _ => Vec::new(),
        },
    }
}
