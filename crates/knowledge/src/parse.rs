//! From the text of one file to its entries, each still knowing the line of every field.
//!
//! An entry is one `[[source]]`, `[[landmark]]`, … table. A `[[set]]` gives its fields to each of its `rows`,
//! which are of its topic's first table unless it says `of = "…"`; a row's own field wins. Entries are read one by one, so that a broken one does
//! not hide the faults of its neighbours.

use crate::fault::Fault;
use serde::de::DeserializeOwned;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// One table of a file, with the spans of its fields.
#[derive(Debug, Clone)]
pub(crate) struct Entry<'t> {
    file: &'t str,
    text: &'t str,
    /// Which of its topic's tables it is.
    pub(crate) name: &'static str,
    table: Spanned<DeValue<'t>>,
}

/// The tables that the files of a topic hold.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Tables {
    pub names: &'static [&'static str],
    /// Rows may be gathered in `[[set]]` tables, whose rows are of the first table or of the one named `of`.
    pub with_sets: bool,
}

impl Tables {
    fn expected(self) -> String {
        let mut all: Vec<String> = self.names.iter().map(|n| format!("[[{n}]]")).collect();
        if self.with_sets {
            all.push("[[set]]".to_owned());
        }
        match all.split_last() {
            Some((last, [])) => format!("{last} only"),
            Some((last, rest)) => format!("{} or {last} only", rest.join(", ")),
            None => "nothing".to_owned(),
        }
    }
}

/// Reads a topic's entries of a file, in the order of the file; with sets, also the rows of its `[[set]]`
/// tables.
///
/// `None` if the file is no TOML at all: then nothing that it holds can be found, and only its own
/// faults are worth telling.
pub(crate) fn entries<'t>(
    file: &'t str,
    text: &'t str,
    tables: Tables,
    faults: &mut Vec<Fault>,
) -> Option<Vec<Entry<'t>>> {
    let (document, errors) = DeTable::parse_recoverable(text);
    if !errors.is_empty() {
        faults.extend(errors.iter().map(|e| from_toml(file, text, None, e)));
        return None;
    }
    let mut out = Vec::new();
    for (key, value) in document.into_inner() {
        let at = key.span();
        let found = key.get_ref().as_ref();
        let own = tables.names.iter().copied().find(|n| *n == found);
        let set = tables
            .names
            .first()
            .copied()
            .filter(|_| tables.with_sets && found == "set");
        let (Some(name), DeValue::Array(rows)) = (own.or(set), value.into_inner()) else {
            faults.push(wrong_table(file, text, at, found, tables));
            continue;
        };
        for table in rows {
            let entry = Entry {
                file,
                text,
                name,
                table,
            };
            if own.is_some() {
                out.push(entry)
            } else {
                rows_of_set(entry, tables, &mut out, faults)
            }
        }
    }
    Some(out)
}

fn rows_of_set<'t>(
    set: Entry<'t>,
    tables: Tables,
    out: &mut Vec<Entry<'t>>,
    faults: &mut Vec<Fault>,
) {
    let Some(fields) = set.table.get_ref().as_table() else {
        return;
    };
    let of = fields.get("of").map(|v| v.get_ref().as_str().unwrap_or(""));
    let Some(name) = tables
        .names
        .iter()
        .copied()
        .find(|n| of.is_none_or(|of| of == *n))
    else {
        faults.push(set.fault(
            &["of"],
            format!("a set of {:?}", of.unwrap_or_default()),
            format!("one of {}", tables.names.join(", ")),
            "correct the word",
        ));
        return;
    };
    let Some(rows) = fields.get("rows").and_then(|v| v.get_ref().as_array()) else {
        faults.push(set.fault(
            &[],
            "a set without rows",
            "rows = [ { … }, … ]",
            "add the rows or remove the set",
        ));
        return;
    };
    for row in rows.iter() {
        let Some(own) = row.get_ref().as_table() else {
            let line = set.line_of(row.span());
            faults.push(Fault {
                file: set.file.into(),
                line: Some(line),
                found: format!("a row that is a {}", row.get_ref().type_str()),
                expected: "a table { key = …, … }".into(),
                hint: "write the row in braces".into(),
            });
            continue;
        };
        let mut merged = own.clone();
        for (key, value) in fields.iter() {
            let for_the_set = key.get_ref() == "rows" || key.get_ref() == "of";
            if !for_the_set && !own.contains_key(key.get_ref().as_ref()) {
                merged.insert(key.clone(), value.clone());
            }
        }
        let table = Spanned::new(row.span(), DeValue::Table(merged));
        out.push(Entry {
            file: set.file,
            text: set.text,
            name,
            table,
        });
    }
}

fn wrong_table(file: &str, text: &str, at: Range<usize>, found: &str, tables: Tables) -> Fault {
    Fault {
        file: file.into(),
        line: Some(line_at(text, at.start)),
        found: format!("{found:?} at the top of the file"),
        expected: tables.expected(),
        hint: "rename it or move it to the folder it belongs to".into(),
    }
}

impl Entry<'_> {
    /// Reads the entry as a `T`.
    pub(crate) fn read<T: DeserializeOwned>(&self) -> Result<T, Fault> {
        T::deserialize(toml::de::ValueDeserializer::from(self.table.clone()))
            .map_err(|e| from_toml(self.file, self.text, Some(self.table.span()), &e))
    }

    /// A fault at the field reached by `path` (field names and list positions), or as near as it exists.
    pub(crate) fn fault(
        &self,
        path: &[&str],
        found: impl Into<String>,
        expected: impl Into<String>,
        hint: impl Into<String>,
    ) -> Fault {
        Fault {
            file: self.file.into(),
            line: Some(self.line_of(self.span(path))),
            found: found.into(),
            expected: expected.into(),
            hint: hint.into(),
        }
    }

    /// `file, line n` of the entry, to point at from another fault.
    pub(crate) fn place(&self) -> String {
        format!("{}, line {}", self.file, self.line_of(self.table.span()))
    }

    /// A text field, for telling where a list's member stands.
    fn span(&self, path: &[&str]) -> Range<usize> {
        let mut here = &self.table;
        let mut span = here.span();
        for step in path {
            let next = match here.get_ref() {
                DeValue::Table(table) => table.get(*step),
                DeValue::Array(list) => step.parse::<usize>().ok().and_then(|i| list.get(i)),
                _ => None,
            };
            let Some(next) = next else { break };
            here = next;
            span = here.span();
        }
        span
    }

    fn line_of(&self, span: Range<usize>) -> usize {
        line_at(self.text, span.start)
    }
}

/// Line of a byte position, counted from 1.
fn line_at(text: &str, at: usize) -> usize {
    1 + text.bytes().take(at).filter(|b| *b == b'\n').count()
}

/// Turns what the TOML reader says into our sentence.
fn from_toml(
    file: &str,
    text: &str,
    entry: Option<Range<usize>>,
    error: &toml::de::Error,
) -> Fault {
    let span = error
        .span()
        .filter(|s| entry.is_none() || !s.is_empty())
        .or(entry);
    let message = error.message().trim();
    let (found, expected, hint) = if let Some(field) = quoted_after(message, "missing field ") {
        (
            format!("no `{field}`"),
            format!("the field `{field}`"),
            "add it".to_string(),
        )
    } else if let Some(field) = quoted_after(message, "unknown field ") {
        let known = message.split_once(", expected ").map_or("", |(_, e)| e);
        (
            format!("the unknown field `{field}`"),
            if known.is_empty() {
                "a known field".to_string()
            } else {
                known.to_string()
            },
            "correct its name or remove it".to_string(),
        )
    } else if let Some((found, expected)) = message.split_once(", expected ") {
        let found = found
            .trim_start_matches("invalid type: ")
            .trim_start_matches("invalid value: ");
        (
            found.to_string(),
            plain_type(expected).to_string(),
            "correct the value".to_string(),
        )
    } else if let Some((_, why)) = message.split_once("a key is ") {
        let found = message
            .split("; ")
            .next()
            .unwrap_or(message)
            .trim_start_matches("found ");
        (
            found.to_string(),
            format!("a key of {why}"),
            "rename it".to_string(),
        )
    } else if message.starts_with("a point: ") || message.starts_with("a line: ") {
        (
            "something else".to_string(),
            message.to_string(),
            "correct the construction".to_string(),
        )
    } else {
        (
            format!("{message:?}"),
            "a well-formed TOML file".to_string(),
            "correct the line".to_string(),
        )
    };
    Fault {
        file: file.into(),
        line: span.map(|s| line_at(text, s.start)),
        found,
        expected,
        hint,
    }
}

/// The reader's type names in plain words.
fn plain_type(expected: &str) -> &str {
    match expected {
        "f64" => "a number",
        "u32" | "i64" | "usize" => "a whole number",
        "a string" => "a text in quotes",
        "a boolean" => "true or false",
        "a sequence" => "a list [ … ]",
        other => other,
    }
}

fn quoted_after<'m>(message: &'m str, start: &str) -> Option<&'m str> {
    message
        .strip_prefix(start)?
        .strip_prefix('`')?
        .split('`')
        .next()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_takes_the_fields_of_its_set_and_its_own_win() {
        let text = "[[set]]\nn = 90\nsex = \"both\"\nrows = [\n  { key = \"a\" },\n  { key = \"b\", n = 3 },\n]\n";
        let mut faults = Vec::new();
        let yardsticks = Tables {
            names: &["yardstick"],
            with_sets: true,
        };
        let rows = entries("y.toml", text, yardsticks, &mut faults).unwrap();
        assert!(faults.is_empty(), "{faults:?}");
        let read: Vec<toml::Table> = rows.iter().map(|r| r.read().unwrap()).collect();
        assert_eq!(read[0]["n"].as_integer(), Some(90));
        assert_eq!(read[1]["n"].as_integer(), Some(3));
        assert_eq!(read[1]["sex"].as_str(), Some("both"));
        assert_eq!(rows[1].fault(&["n"], "", "", "").line, Some(6));
        assert_eq!(
            rows[0].fault(&["n"], "", "", "").line,
            Some(2),
            "the line of the set's own field"
        );
    }

    #[test]
    fn broken_toml_gives_the_line() {
        let mut faults = Vec::new();
        assert!(
            entries(
                "s.toml",
                "[[source]]\nkey = \"a\"\nkey = \n",
                Tables {
                    names: &["source"],
                    with_sets: false
                },
                &mut faults
            )
            .is_none()
        );
        assert_eq!(faults[0].line, Some(3), "{faults:?}");
    }
}
