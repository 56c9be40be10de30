//! Health records of everybody as lines of FHIR R4, one kind of resource in a file; a long one in several.

use super::make::{About, Failed, Making, aside, left_out};
use crate::words;
use exchange_fhir::{Bulk, ResourceType};
use std::collections::BTreeMap;
use std::io::{self, Write};
use std::sync::{Arc, Mutex, PoisonError};

/// A file that is longer goes on in another.
const PART: usize = 16 * 1024 * 1024;
const DOING: &str = "writing the records of an export";

/// What is written and not kept yet.
#[derive(Clone, Default)]
struct Open(Arc<Mutex<BTreeMap<ResourceType, Vec<u8>>>>);

struct Into {
    kind: ResourceType,
    open: Open,
    wanted: bool,
}

impl Write for Into {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if self.wanted {
            let mut open = self.open.0.lock().unwrap_or_else(PoisonError::into_inner);
            open.entry(self.kind).or_default().extend_from_slice(bytes);
        }
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

impl Open {
    fn take(&self, from: usize) -> Vec<(ResourceType, Vec<u8>)> {
        let mut open = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let long: Vec<ResourceType> = open
            .iter()
            .filter(|(_, bytes)| bytes.len() >= from)
            .map(|(kind, _)| *kind)
            .collect();
        long.into_iter()
            .filter_map(|kind| open.remove_entry(&kind))
            .collect()
    }
}

pub async fn make(making: &Making) -> Result<About, Failed> {
    let state = &making.state;
    let (people, closed) = making.wanted.people(state).await?;
    let open = Open::default();
    let into = open.clone();
    let types = making.wanted.types.clone();
    let mut bulk = Bulk::new(move |kind: ResourceType| {
        Ok(Into {
            kind,
            open: into.clone(),
            wanted: types.is_empty() || types.iter().any(|t| t == kind.name()),
        })
    });
    let mut parts: BTreeMap<ResourceType, usize> = BTreeMap::new();
    let mut lines = 0;
    for (n, patient) in people.iter().enumerate() {
        making.is(n, people.len()).await;
        let chart = store::chart(&*state.store, patient.id).await?;
        making.takes_out(patient.id).await?;
        let (back, added) = aside(DOING, move || {
            let added = bulk.add(&chart);
            (bulk, added)
        })
        .await?;
        bulk = back;
        added.map_err(|_| Failed::Ours { doing: DOING })?;
        let from = if n + 1 == people.len() { 1 } else { PART };
        for (kind, bytes) in open.take(from) {
            lines += keep(making, &mut parts, kind, bytes).await?;
        }
    }
    let mut says = vec![format!(
        "{} of {}, with their names: hand them over in a way that suits them.",
        words::count(lines, "resource", "resources"),
        words::count(people.len(), "patient", "patients")
    )];
    says.extend(left_out(closed));
    Ok(About { says })
}

async fn keep(
    making: &Making,
    parts: &mut BTreeMap<ResourceType, usize>,
    kind: ResourceType,
    bytes: Vec<u8>,
) -> Result<usize, Failed> {
    let part = parts.entry(kind).or_default();
    *part += 1;
    let name = match part {
        1 => exchange_fhir::bulk::file_name(kind),
        n => format!("{}-{n}.ndjson", kind.name()),
    };
    let lines = bytes.iter().filter(|b| **b == b'\n').count();
    making.keep(&name, kind.name(), lines, bytes).await?;
    Ok(lines)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_long_enough_is_taken_and_the_rest_stays_open() {
        let open = Open::default();
        let write = |kind, bytes: &[u8], wanted| {
            let mut into = Into {
                kind,
                open: open.clone(),
                wanted,
            };
            into.write_all(bytes).unwrap();
        };
        write(ResourceType::Patient, b"one\n", true);
        write(ResourceType::Encounter, b"a longer one\n", true);
        write(ResourceType::Procedure, b"not asked for at all\n", false);
        assert_eq!(
            open.take(6),
            [(ResourceType::Encounter, b"a longer one\n".to_vec())]
        );
        assert_eq!(open.take(1), [(ResourceType::Patient, b"one\n".to_vec())]);
        assert_eq!(open.take(0), []);
    }
}
