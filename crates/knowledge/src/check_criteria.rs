//! Criteria and red flags held against the rest: do their keys resolve, and does memory alone decide anything?

use crate::check::{Seen, no_more_than_sources, not_empty, read_all, sources_exist};
use crate::criterion::{Criterion, CriterionEntry, CriterionKind};
use crate::fault::Fault;
use crate::flag::RedFlag;
use crate::folder::Knowledge;
use crate::parse::Entry;
use std::collections::{BTreeMap, BTreeSet};

pub(crate) fn criteria(entries: Vec<Entry>, k: &mut Knowledge, faults: &mut Vec<Fault>) {
    let mut seen = Seen::default();
    let mut read = Vec::new();
    for (entry, c) in read_all::<CriterionEntry>(entries, faults) {
        not_empty(
            &entry,
            &[("key", &c.key), ("words", &c.words), ("level", &c.level)],
            faults,
        );
        sources_exist(&entry, &c.sources, k, faults);
        no_more_than_sources(
            &entry,
            c.provenance,
            &c.sources.iter().collect::<Vec<_>>(),
            k,
            faults,
        );
        match c.checked() {
            Ok(criterion) => {
                if seen.new_key(&entry, &criterion.key, faults) {
                    read.push((entry, criterion));
                }
            }
            Err((field, found, expected)) => {
                faults.push(entry.fault(&[field], found, expected, "correct the criterion"));
            }
        }
    }
    let by_key: BTreeMap<&str, &Criterion> =
        read.iter().map(|(_, c)| (c.key.as_str(), c)).collect();
    for (entry, criterion) in &read {
        parts_exist(entry, criterion, &by_key, k, faults);
        if reaches_itself(criterion, &by_key) {
            faults.push(entry.fault(
                &["kind"],
                format!("the criterion {:?} made of itself", criterion.key),
                "parts that do not lead back to it",
                "break the circle",
            ));
        } else if criterion.decides {
            never_memory_alone(entry, criterion, &by_key, k, faults);
        }
    }
    k.criteria = read.into_iter().map(|(_, criterion)| criterion).collect();
}

fn parts_exist(
    entry: &Entry,
    criterion: &Criterion,
    by_key: &BTreeMap<&str, &Criterion>,
    k: &Knowledge,
    faults: &mut Vec<Fault>,
) {
    match &criterion.kind {
        CriterionKind::Reading { measure, .. } if k.measure(measure).is_none() => {
            faults.push(entry.fault(
                &["measure"],
                format!("the measure {:?}", measure.as_str()),
                "a key of the measures folder",
                "correct the key",
            ))
        }
        CriterionKind::Composite { all, any, none } => {
            for (field, keys) in [("all", all), ("any", any), ("none", none)] {
                for (i, key) in keys.iter().enumerate() {
                    if !by_key.contains_key(key.as_str()) {
                        faults.push(entry.fault(
                            &[field, &i.to_string()],
                            format!("the criterion {key:?}"),
                            "the key of another criterion",
                            "correct the key",
                        ));
                    }
                }
            }
        }
        _ => {}
    }
}

/// The criteria named in `all`, `any` and `none`.
fn parts<'c>(criterion: &'c Criterion) -> Box<dyn Iterator<Item = &'c String> + 'c> {
    match &criterion.kind {
        CriterionKind::Composite { all, any, none } => Box::new(all.iter().chain(any).chain(none)),
        _ => Box::new(std::iter::empty()),
    }
}

fn reaches_itself(criterion: &Criterion, by_key: &BTreeMap<&str, &Criterion>) -> bool {
    let mut waiting: Vec<&str> = parts(criterion).map(String::as_str).collect();
    let mut visited = BTreeSet::new();
    while let Some(key) = waiting.pop() {
        if key == criterion.key {
            return true;
        }
        if visited.insert(key) {
            waiting.extend(
                by_key
                    .get(key)
                    .into_iter()
                    .flat_map(|c| parts(c))
                    .map(String::as_str),
            );
        }
    }
    false
}

/// A deciding criterion is not unconfirmed, does not rest on a reading whose construction is, and each
/// part that could make it true by itself may decide.
fn never_memory_alone(
    entry: &Entry,
    criterion: &Criterion,
    by_key: &BTreeMap<&str, &Criterion>,
    k: &Knowledge,
    faults: &mut Vec<Fault>,
) {
    let mut fault = |path: &[&str], found: String| {
        faults.push(entry.fault(
            path,
            found,
            "decides = false until somebody has read it",
            "set it to false or name what was read",
        ));
    };
    if !criterion.provenance.may_decide_alone() {
        fault(
            &["decides"],
            "decides = true on an unconfirmed criterion".into(),
        );
    }
    let known = |key: &String| by_key.get(key.as_str()).copied();
    match &criterion.kind {
        CriterionKind::Finding { .. } => {}
        CriterionKind::Reading { measure, .. } => {
            if k.measure(measure)
                .is_some_and(|m| !m.provenance.may_decide_alone())
            {
                fault(
                    &["decides"],
                    format!(
                        "decides = true on the reading {:?}, whose construction is unconfirmed",
                        measure.as_str()
                    ),
                );
            }
        }
        CriterionKind::Composite { all, any, .. } => {
            for (i, part) in any.iter().enumerate() {
                if known(part).is_some_and(|c| !c.decides) {
                    fault(
                        &["any", &i.to_string()],
                        format!("decides = true with {part:?} in any, which may not decide"),
                    );
                }
            }
            let all_memory = !all.is_empty()
                && all
                    .iter()
                    .all(|part| known(part).is_some_and(|c| !c.provenance.may_decide_alone()));
            if all_memory && any.is_empty() {
                fault(
                    &["all"],
                    "decides = true with nothing but unconfirmed parts".into(),
                );
            }
        }
    }
}

pub(crate) fn flags(entries: Vec<Entry>, k: &mut Knowledge, faults: &mut Vec<Fault>) {
    let mut seen = Seen::default();
    for (entry, flag) in read_all::<RedFlag>(entries, faults) {
        not_empty(
            &entry,
            &[
                ("key", &flag.key),
                ("words", &flag.words),
                ("action", &flag.action),
            ],
            faults,
        );
        if flag.clues.is_empty() {
            faults.push(entry.fault(
                &["clues"],
                "no clue",
                "at least one clue",
                "say what makes one think of it",
            ));
        }
        sources_exist(&entry, &flag.sources, k, faults);
        no_more_than_sources(
            &entry,
            flag.provenance,
            &flag.sources.iter().collect::<Vec<_>>(),
            k,
            faults,
        );
        if seen.new_key(&entry, &flag.key, faults) {
            k.flags.push(flag);
        }
    }
    k.flags.sort_by_key(|f| f.urgency);
}
