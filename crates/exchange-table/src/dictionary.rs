//! What does each column mean?
//!
//! Written from the same columns that the files are written from.

use crate::column::Column;
use crate::csv::{line, quoted};
use serde_json::{Value, json};
use std::io::{self, Write};

/// One line for each column of each table.
///
/// # Errors
/// A writer that takes no more.
pub fn csv(out: &mut impl Write, tables: &[(&str, &[Column])]) -> io::Result<()> {
    let head = [
        "table", "name", "type", "unit", "meaning", "source", "coding",
    ];
    line(out, head.into_iter().map(quoted))?;
    for (table, columns) in tables {
        for c in *columns {
            let cells = [
                table,
                c.name.as_str(),
                c.kind.word(),
                &c.unit,
                &c.meaning,
                &c.source,
                &c.coding,
            ];
            // A blank stays blank: it says that there is none.
            line(
                out,
                cells.into_iter().map(|t| {
                    if t.is_empty() {
                        String::new()
                    } else {
                        quoted(t)
                    }
                }),
            )?;
        }
    }
    Ok(())
}

pub fn json(tables: &[(&str, &[Column])]) -> Value {
    let all: serde_json::Map<String, Value> = tables
        .iter()
        .map(|(table, columns)| ((*table).to_owned(), json!(columns)))
        .collect();
    json!({
        "missing": "null: nobody looked, or nobody wrote it down; never zero and never 'no'",
        "tables": all,
    })
}
