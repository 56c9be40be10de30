//! Which files make a study, and what must be known before it is handed on?
//!
//! `cohort.csv`, `readings.csv`, the same as Parquet by year of visit, the dictionary in two forms, and a manifest with
//! the hash of each file and a note on small groups.

use crate::cohort;
use crate::column::{Cell, Column, Table};
use crate::csv;
use crate::dictionary;
use crate::foot::{FootVisit, feet};
use crate::key::StudyKey;
use crate::parquet;
use crate::readings::{self, ReadingRow};
use exchange::Opened;
use knowledge::Knowledge;
use record::{Chart, ContentHash};
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};
use std::io::{self, Write};

/// A group of fewer people can name one of them.
pub const SMALLEST_GROUP: usize = 5;

#[derive(Debug, thiserror::Error)]
pub enum TableError {
    #[error("a file of the study was not written: {0}")]
    File(#[from] io::Error),
    #[error("a Parquet file of the study was not written: {0}")]
    Parquet(#[from] ::parquet::errors::ParquetError),
    #[error("the study's manifest was not written: {0}")]
    Json(#[from] serde_json::Error),
}

/// One file of a study.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Written {
    pub path: String,
    pub rows: usize,
    pub sha256: String,
}

/// Groups by sex, decade of age and year of visit, and how many are small.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SmallCells {
    pub grouped_by: &'static [&'static str],
    pub smallest: usize,
    pub groups: usize,
    pub small_groups: usize,
    pub people_in_small_groups: usize,
    pub note: String,
}

/// Sex, decade of age and year of visit.
type Group = (Option<terms::Sex>, Option<i64>, i64);

/// Charts gathered under one key.
pub struct Study {
    key: StudyKey,
    people: usize,
    feet: Vec<FootVisit>,
    readings: Vec<ReadingRow>,
    left_out: usize,
}

impl Study {
    pub fn new(key: StudyKey) -> Self {
        Study {
            key,
            people: 0,
            feet: Vec::new(),
            readings: Vec::new(),
            left_out: 0,
        }
    }

    /// Takes in what a chart says of its feet; names and words stay behind.
    pub fn add(&mut self, chart: &Chart) {
        let opened = Opened::of(chart);
        self.people += 1;
        self.left_out += opened.unreadable.len();
        self.left_out += opened.sheets.iter().map(|s| s.unreadable).sum::<usize>();
        self.feet.extend(feet(&opened, &self.key));
        self.readings.extend(readings::rows(&opened, &self.key));
    }

    /// Both tables, in an order that says nothing of the practice.
    pub fn tables(&self) -> [Table; 2] {
        let fields = cohort::fields(Knowledge::built_in());
        let mut all: Vec<&FootVisit> = self.feet.iter().collect();
        all.sort_by(|a, b| {
            (&a.person, a.visit_number, a.side).cmp(&(&b.person, b.visit_number, b.side))
        });
        let cohort = Table {
            name: "cohort",
            rows: all
                .iter()
                .map(|foot| fields.iter().map(|f| f.cell(foot)).collect())
                .collect(),
            columns: fields.into_iter().map(|f| f.column).collect(),
        };
        let fields = readings::fields();
        let mut all: Vec<&ReadingRow> = self.readings.iter().collect();
        all.sort_by(|a, b| {
            let of = |r: &ReadingRow| {
                (
                    r.person.clone(),
                    r.visit_number,
                    r.picture.clone(),
                    r.reader.clone(),
                    r.attempt,
                    r.measure.clone(),
                    r.side,
                )
            };
            of(a).cmp(&of(b))
        });
        let readings = Table {
            name: "readings",
            rows: all
                .iter()
                .map(|row| fields.iter().map(|f| f.cell(row)).collect())
                .collect(),
            columns: fields.into_iter().map(|f| f.column).collect(),
        };
        [cohort, readings]
    }

    pub fn small_cells(&self) -> SmallCells {
        let mut groups: BTreeMap<Group, BTreeSet<&str>> = BTreeMap::new();
        for f in &self.feet {
            let group = (f.sex, f.age_years.map(|a| a / 10), f.year);
            groups.entry(group).or_default().insert(&f.person);
        }
        let small: Vec<_> = groups
            .values()
            .filter(|g| g.len() < SMALLEST_GROUP)
            .collect();
        let people: BTreeSet<&&str> = small.iter().flat_map(|g| g.iter()).collect();
        SmallCells {
            grouped_by: &["sex", "decade of age", "visit_year"],
            smallest: SMALLEST_GROUP,
            groups: groups.len(),
            small_groups: small.len(),
            people_in_small_groups: people.len(),
            note: format!(
                "{} of {} people stand in groups of fewer than {SMALLEST_GROUP} by sex, decade of age and year: someone who knows them may recognise them. Merge years or ages, or leave them out, before the study leaves the practice; local rules on data come first.",
                people.len(),
                self.people
            ),
        }
    }

    /// Writes all files through `open`, which is given each path below the study's folder.
    ///
    /// # Errors
    /// The first file that could not be written.
    pub fn write<W: Write>(
        &self,
        mut open: impl FnMut(&str) -> io::Result<W>,
    ) -> Result<Vec<Written>, TableError> {
        let tables = self.tables();
        let mut written = Vec::new();
        let mut put = |path: String, rows: usize, bytes: &[u8]| -> Result<(), TableError> {
            let mut file = open(&path)?;
            file.write_all(bytes)?;
            file.flush()?;
            written.push(Written {
                path,
                rows,
                sha256: ContentHash::of(bytes).to_string(),
            });
            Ok(())
        };
        for table in &tables {
            let mut text = Vec::new();
            csv::write(&mut text, &table.columns, &table.rows)?;
            put(format!("{}.csv", table.name), table.rows.len(), &text)?;
            for (year, rows) in by_year(table) {
                let places: Vec<usize> = (0..table.columns.len())
                    .filter(|at| table.columns[*at].name != "visit_year")
                    .collect();
                let columns: Vec<&Column> = places.iter().map(|at| &table.columns[*at]).collect();
                let mut bytes = Vec::new();
                parquet::write(&mut bytes, table.name, &columns, &places, &rows)?;
                let path = format!("{}/visit_year={year}/part-0.parquet", table.name);
                put(path, rows.len(), &bytes)?;
            }
        }
        let named: Vec<(&str, &[Column])> = tables
            .iter()
            .map(|t| (t.name, t.columns.as_slice()))
            .collect();
        let lines = named.iter().map(|(_, columns)| columns.len()).sum();
        let mut text = Vec::new();
        dictionary::csv(&mut text, &named)?;
        put("dictionary.csv".into(), lines, &text)?;
        let text = serde_json::to_vec_pretty(&dictionary::json(&named))?;
        put("dictionary.json".into(), lines, &text)?;
        let manifest = serde_json::json!({
            "people": self.people,
            "left_out": {
                "count": self.left_out,
                "note": "sheets or readings kept in a way that this program does not read",
            },
            "small_cells": self.small_cells(),
            "files": written,
        });
        let text = serde_json::to_vec_pretty(&manifest)?;
        let mut file = open("manifest.json")?;
        file.write_all(&text)?;
        file.flush()?;
        Ok(written)
    }
}

fn by_year(table: &Table) -> BTreeMap<i64, Vec<&[Cell]>> {
    let place = table.place("visit_year");
    let mut years: BTreeMap<i64, Vec<&[Cell]>> = BTreeMap::new();
    for row in &table.rows {
        if let Some(Cell::Whole(year)) = place.and_then(|at| row.get(at)) {
            years.entry(*year).or_default().push(row);
        }
    }
    years
}
