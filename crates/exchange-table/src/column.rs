//! What is a column, and what stands in a cell?

use serde::Serialize;

/// The type of a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Kind {
    Text,
    /// 64 bits.
    Whole,
    /// IEEE double.
    Number,
    Truth,
}

impl Kind {
    pub fn word(self) -> &'static str {
        match self {
            Kind::Text => "text",
            Kind::Whole => "whole",
            Kind::Number => "number",
            Kind::Truth => "truth",
        }
    }
}

/// What stands in one row of one column.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    Missing,
    Text(String),
    Whole(i64),
    Number(f64),
    Truth(bool),
}

impl Cell {
    pub fn text(text: impl Into<String>) -> Cell {
        Cell::Text(text.into())
    }

    /// A number that is none is missing.
    pub fn number(value: Option<f64>) -> Cell {
        value
            .filter(|v| v.is_finite())
            .map_or(Cell::Missing, |v| Cell::Number(v + 0.0))
    }

    pub fn whole(value: Option<i64>) -> Cell {
        value.map_or(Cell::Missing, Cell::Whole)
    }

    pub fn word(value: Option<&str>) -> Cell {
        value.map_or(Cell::Missing, Cell::text)
    }

    /// Keys in a row, parted by blanks; none is missing.
    pub fn words<'w>(words: impl IntoIterator<Item = &'w str>) -> Cell {
        let all: Vec<&str> = words.into_iter().collect();
        match all.is_empty() {
            true => Cell::Missing,
            false => Cell::Text(all.join(" ")),
        }
    }

    /// `None`: missing, which fits every column.
    pub fn kind(&self) -> Option<Kind> {
        match self {
            Cell::Missing => None,
            Cell::Text(_) => Some(Kind::Text),
            Cell::Whole(_) => Some(Kind::Whole),
            Cell::Number(_) => Some(Kind::Number),
            Cell::Truth(_) => Some(Kind::Truth),
        }
    }
}

/// One column as the dictionary tells it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Column {
    pub name: String,
    #[serde(rename = "type")]
    pub kind: Kind,
    /// Blank where there is none.
    pub unit: String,
    pub meaning: String,
    /// Where the question or the measure comes from: keys of the sources file, or `record`.
    pub source: String,
    /// What the answers stand for: `key = words; …`. Blank where the value speaks for itself.
    pub coding: String,
}

impl Column {
    pub fn new(name: impl Into<String>, kind: Kind, meaning: impl Into<String>) -> Self {
        Column {
            name: name.into(),
            kind,
            unit: String::new(),
            meaning: meaning.into(),
            source: "record".into(),
            coding: String::new(),
        }
    }

    pub fn unit(mut self, unit: &str) -> Self {
        self.unit = unit.into();
        self
    }

    pub fn source(mut self, source: impl Into<String>) -> Self {
        self.source = source.into();
        self
    }

    pub fn coding(mut self, coding: impl Into<String>) -> Self {
        self.coding = coding.into();
        self
    }
}

type Fill<R> = Box<dyn Fn(&R) -> Cell>;

/// A column and how it is filled from a row's facts.
pub struct Field<R> {
    pub column: Column,
    fill: Fill<R>,
}

impl<R> Field<R> {
    pub fn new(column: Column, fill: impl Fn(&R) -> Cell + 'static) -> Self {
        Field {
            column,
            fill: Box::new(fill),
        }
    }

    pub fn cell(&self, row: &R) -> Cell {
        (self.fill)(row)
    }
}

/// Rows under columns.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    pub name: &'static str,
    pub columns: Vec<Column>,
    pub rows: Vec<Vec<Cell>>,
}

impl Table {
    pub fn place(&self, name: &str) -> Option<usize> {
        self.columns.iter().position(|c| c.name == name)
    }
}
