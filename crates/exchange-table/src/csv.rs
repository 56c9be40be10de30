//! How is a table written as text?
//!
//! RFC 4180: commas, lines ended by CR LF, quotes around what needs them. A missing cell is empty; an empty text, which
//! no column has, would stand as two quotes. Numbers are the shortest text that reads back as the same double.

use crate::column::{Cell, Column};
use std::io::{self, Write};

/// # Errors
/// A writer that takes no more.
pub fn write(out: &mut impl Write, columns: &[Column], rows: &[Vec<Cell>]) -> io::Result<()> {
    line(out, columns.iter().map(|c| quoted(&c.name)))?;
    for row in rows {
        line(out, row.iter().map(cell))?;
    }
    Ok(())
}

/// # Errors
/// A writer that takes no more.
pub fn line(out: &mut impl Write, cells: impl Iterator<Item = String>) -> io::Result<()> {
    let cells: Vec<String> = cells.collect();
    out.write_all(cells.join(",").as_bytes())?;
    out.write_all(b"\r\n")
}

fn cell(cell: &Cell) -> String {
    match cell {
        Cell::Missing => String::new(),
        Cell::Text(text) => quoted(text),
        Cell::Whole(n) => n.to_string(),
        Cell::Number(x) => x.to_string(),
        Cell::Truth(t) => t.to_string(),
    }
}

pub fn quoted(text: &str) -> String {
    let needs = text.is_empty() || text.contains([',', '"', '\r', '\n']);
    match needs {
        true => format!("\"{}\"", text.replace('"', "\"\"")),
        false => text.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::column::Kind;

    #[test]
    fn quotes_commas_and_line_ends_are_quoted_and_a_missing_cell_is_empty() {
        let columns = [
            Column::new("a", Kind::Text, ""),
            Column::new("b", Kind::Number, ""),
        ];
        let rows = vec![
            vec![Cell::text("x,\"y\"\r\n"), Cell::Number(-0.1)],
            vec![Cell::Missing, Cell::Missing],
            vec![Cell::text(""), Cell::Number(1e-7)],
        ];
        let mut out = Vec::new();
        write(&mut out, &columns, &rows).unwrap();
        let text = String::from_utf8(out).unwrap();
        assert_eq!(
            text,
            "a,b\r\n\"x,\"\"y\"\"\r\n\",-0.1\r\n,\r\n\"\",0.0000001\r\n"
        );
    }
}
