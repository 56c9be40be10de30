//! How do many charts become one line for each resource?
//!
//! One file for each type, newline-delimited JSON, written as the charts come: no more than one chart is in memory.
//! A manifest says what was written, in the form of the bulk data guide.

use crate::resources;
use crate::types::ResourceType;
use record::Chart;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};
use std::io::{self, Write};

/// The writers of one export; a type's file is opened with its first resource.
pub struct Bulk<W, F> {
    open: F,
    files: BTreeMap<ResourceType, (W, u64)>,
    /// People of the practice stand in every chart and are written once.
    written: BTreeSet<String>,
}

/// What was written.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Manifest {
    pub transaction_time: String,
    pub request: String,
    pub requires_access_token: bool,
    pub output: Vec<Output>,
    pub error: Vec<Output>,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Output {
    #[serde(rename = "type")]
    pub kind: &'static str,
    pub url: String,
    pub count: u64,
}

/// The name of a type's file.
pub fn file_name(kind: ResourceType) -> String {
    format!("{}.ndjson", kind.name())
}

impl<W: Write, F: FnMut(ResourceType) -> io::Result<W>> Bulk<W, F> {
    pub fn new(open: F) -> Self {
        Bulk {
            open,
            files: BTreeMap::new(),
            written: BTreeSet::new(),
        }
    }

    /// Writes everything of a chart.
    ///
    /// # Errors
    /// A file that does not open or does not take more.
    pub fn add(&mut self, chart: &Chart) -> io::Result<()> {
        for resource in resources::all(chart) {
            let kind = resource.kind();
            if kind == ResourceType::Practitioner && !self.written.insert(resource.id().to_owned())
            {
                continue;
            }
            let (file, count) = match self.files.entry(kind) {
                std::collections::btree_map::Entry::Occupied(there) => there.into_mut(),
                std::collections::btree_map::Entry::Vacant(free) => {
                    free.insert(((self.open)(kind)?, 0))
                }
            };
            serde_json::to_writer(&mut *file, &resource)?;
            file.write_all(b"\n")?;
            *count += 1;
        }
        Ok(())
    }

    /// Ends the files and says what was written. `at` is the moment as the standard writes it, `folder` the address
    /// of the files without a slash at its end.
    ///
    /// # Errors
    /// A file that does not take its last bytes.
    pub fn finish(mut self, at: &str, request: &str, folder: &str) -> io::Result<Manifest> {
        let mut output = Vec::new();
        for (kind, (file, count)) in &mut self.files {
            file.flush()?;
            output.push(Output {
                kind: kind.name(),
                url: format!("{folder}/{}", file_name(*kind)),
                count: *count,
            });
        }
        Ok(Manifest {
            transaction_time: at.to_owned(),
            request: request.to_owned(),
            requires_access_token: true,
            output,
            error: Vec::new(),
        })
    }
}
