//! How does a row become a record?
//!
//! A cell that does not read back is damage and is told as such, with its table and column and
//! without its content.

use crate::db::Row;
use crate::fault::{Fault, damaged};
use serde::de::DeserializeOwned;
use std::str::FromStr;
use time::format_description::{BorrowedFormatItem, well_known::Rfc3339};
use time::{Date, OffsetDateTime, UtcOffset, macros::format_description};

const DAY: &[BorrowedFormatItem<'static>] = format_description!("[year]-[month]-[day]");

pub struct Cells<'r> {
    pub table: &'static str,
    pub row: &'r Row,
}

impl Cells<'_> {
    pub fn wrong(&self, column: &str) -> Fault {
        damaged(
            "the record file",
            format!("{}.{column} does not read back", self.table),
        )
        .into()
    }

    pub fn text(&self, column: &str) -> Result<String, Fault> {
        self.text_if_any(column)?.ok_or_else(|| self.wrong(column))
    }

    pub fn text_if_any(&self, column: &str) -> Result<Option<String>, Fault> {
        self.row.text(column).map_err(|_| self.wrong(column))
    }

    pub fn number<N: TryFrom<i64>>(&self, column: &str) -> Result<N, Fault> {
        let number = self.row.number(column).map_err(|_| self.wrong(column))?;
        N::try_from(number.ok_or_else(|| self.wrong(column))?).map_err(|_| self.wrong(column))
    }

    pub fn number_if_any<N: TryFrom<i64>>(&self, column: &str) -> Result<Option<N>, Fault> {
        let number = self.row.number(column).map_err(|_| self.wrong(column))?;
        number
            .map(|n| N::try_from(n).map_err(|_| self.wrong(column)))
            .transpose()
    }

    pub fn flag(&self, column: &str) -> Result<bool, Fault> {
        Ok(self.number::<i64>(column)? != 0)
    }

    pub fn parsed<T: FromStr>(&self, column: &str) -> Result<T, Fault> {
        self.text(column)?.parse().map_err(|_| self.wrong(column))
    }

    pub fn parsed_if_any<T: FromStr>(&self, column: &str) -> Result<Option<T>, Fault> {
        self.text_if_any(column)?
            .map(|t| t.parse().map_err(|_| self.wrong(column)))
            .transpose()
    }

    /// A word of ours, read with the type's own `from_key`.
    pub fn word<T>(&self, column: &str, from: impl Fn(&str) -> Option<T>) -> Result<T, Fault> {
        from(&self.text(column)?).ok_or_else(|| self.wrong(column))
    }

    pub fn word_if_any<T>(
        &self,
        column: &str,
        from: impl Fn(&str) -> Option<T>,
    ) -> Result<Option<T>, Fault> {
        self.text_if_any(column)?
            .map(|t| from(&t).ok_or_else(|| self.wrong(column)))
            .transpose()
    }

    pub fn json<T: DeserializeOwned>(&self, column: &str) -> Result<T, Fault> {
        serde_json::from_str(&self.text(column)?).map_err(|_| self.wrong(column))
    }

    pub fn json_if_any<T: DeserializeOwned>(&self, column: &str) -> Result<Option<T>, Fault> {
        self.text_if_any(column)?
            .map(|t| serde_json::from_str(&t).map_err(|_| self.wrong(column)))
            .transpose()
    }

    pub fn day(&self, column: &str) -> Result<Date, Fault> {
        Date::parse(&self.text(column)?, DAY).map_err(|_| self.wrong(column))
    }

    pub fn day_if_any(&self, column: &str) -> Result<Option<Date>, Fault> {
        self.text_if_any(column)?
            .map(|t| Date::parse(&t, DAY).map_err(|_| self.wrong(column)))
            .transpose()
    }

    pub fn moment(&self, column: &str) -> Result<OffsetDateTime, Fault> {
        OffsetDateTime::parse(&self.text(column)?, &Rfc3339).map_err(|_| self.wrong(column))
    }

    pub fn moment_if_any(&self, column: &str) -> Result<Option<OffsetDateTime>, Fault> {
        self.text_if_any(column)?
            .map(|t| OffsetDateTime::parse(&t, &Rfc3339).map_err(|_| self.wrong(column)))
            .transpose()
    }
}

/// Sorts as text in the order of the calendar.
pub fn day_text(day: Date) -> Result<String, Fault> {
    if !(0..=9999).contains(&day.year()) {
        return Err(out_of_range("a day"));
    }
    day.format(DAY).map_err(|_| out_of_range("a day"))
}

pub fn day_text_if_any(day: Option<Date>) -> Result<Option<String>, Fault> {
    day.map(day_text).transpose()
}

pub fn moment_text(at: OffsetDateTime) -> Result<String, Fault> {
    at.to_offset(UtcOffset::UTC)
        .format(&Rfc3339)
        .map_err(|_| out_of_range("a moment"))
}

fn out_of_range(field: &'static str) -> Fault {
    record::BadRecord::new(
        field,
        "a year that has no four digits",
        "a year from 0 to 9999",
    )
    .into()
}

pub fn json_text<T: serde::Serialize>(value: &T) -> Result<String, Fault> {
    serde_json::to_string(value).map_err(|_| {
        record::BadRecord::new("a payload", "a value without a JSON form", "plain JSON").into()
    })
}

pub fn json_text_if_any<T: serde::Serialize>(value: &Option<T>) -> Result<Option<String>, Fault> {
    value.as_ref().map(json_text).transpose()
}

/// A fieldless enum of ours as the word it has in JSON.
pub fn word_of<T: serde::Serialize>(value: &T) -> Result<String, Fault> {
    match serde_json::to_value(value) {
        Ok(serde_json::Value::String(word)) => Ok(word),
        _ => {
            Err(record::BadRecord::new("a word", "another value", "one of the known words").into())
        }
    }
}

/// The reverse of [`word_of`].
pub fn from_word<T: DeserializeOwned>(word: &str) -> Option<T> {
    serde_json::from_value(serde_json::Value::String(word.to_owned())).ok()
}
