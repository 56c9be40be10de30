//! How does a text of pressures become grids?
//!
//! Rows of numbers, parted by tab, semicolon, comma or blanks; a comma is a decimal sign where it is not what parts
//! the cells. A blank line, or one that begins with the word `frame` or `time`, begins the next grid of a series.

use crate::PrintError;
use crate::error::quote;
use crate::sheet::MOST_CELLS;

/// What a cell's number means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PressureUnit {
    Kilopascal,
    /// 1 N/cm² is 10 kPa.
    NewtonPerSquareCentimetre,
}

/// Grids of one size.
#[derive(Debug, Clone, PartialEq)]
pub struct Recording {
    pub columns: usize,
    pub rows: usize,
    /// One grid for each moment, rows from the top.
    pub frames_kpa: Vec<Vec<f32>>,
    pub rate_hz: Option<f64>,
}

/// Whoever sends more than this is no foot: a megapascal is ten times the highest peak under a foot.
const MOST_KPA: f64 = 100_000.0;

/// # Errors
/// Text in a cell, rows or grids that differ in size, nothing at all, too much: each with line and column.
pub fn recording(
    text: &str,
    unit: PressureUnit,
    rate_hz: Option<f64>,
) -> Result<Recording, PrintError> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let separator = separator_of(text);
    let factor = match unit {
        PressureUnit::Kilopascal => 1.0,
        PressureUnit::NewtonPerSquareCentimetre => 10.0,
    };
    let rate_hz = rate_hz.filter(|r| r.is_finite() && *r > 0.0);
    let mut frames: Vec<Vec<f32>> = Vec::new();
    let mut size: Option<(usize, usize)> = None;
    let mut grid: Vec<f32> = Vec::new();
    let (mut columns, mut rows, mut total) = (0_usize, 0_usize, 0_u64);
    let mut close = |grid: &mut Vec<f32>, columns: usize, rows: &mut usize, line: usize| {
        if *rows == 0 {
            return Ok(());
        }
        let this = (columns, *rows);
        if *size.get_or_insert(this) != this {
            let (c, r) = size.unwrap_or(this);
            return Err(PrintError::GridsDiffer {
                line,
                column: 1,
                what: format!("found a grid of {columns} × {rows} cells after one of {c} × {r}"),
            });
        }
        frames.push(std::mem::take(grid));
        *rows = 0;
        Ok(())
    };
    let mut line = 0;
    for raw in text.lines() {
        line += 1;
        let trimmed = raw.trim();
        let lower: String = trimmed
            .chars()
            .take(5)
            .flat_map(char::to_lowercase)
            .collect();
        if trimmed.is_empty() || lower.starts_with("frame") || lower.starts_with("time") {
            close(&mut grid, columns, &mut rows, line)?;
            continue;
        }
        let cells = cells_of(trimmed, separator);
        for (k, cell) in cells.iter().enumerate() {
            let value = number(cell, separator).map(|v| v * factor);
            let value = value.filter(|v| (0.0..=MOST_KPA).contains(v));
            grid.push(value.ok_or_else(|| PrintError::Cell {
                line,
                column: k + 1,
                found: quote(cell),
            })? as f32);
        }
        if rows == 0 {
            columns = cells.len();
        } else if cells.len() != columns {
            return Err(PrintError::Ragged {
                line,
                column: cells.len(),
                found: cells.len(),
                expected: columns,
            });
        }
        rows += 1;
        total += cells.len() as u64;
        if total > MOST_CELLS {
            return Err(PrintError::TooLarge {
                found: total,
                limit: MOST_CELLS,
            });
        }
    }
    close(&mut grid, columns, &mut rows, line)?;
    let (columns, rows) = size.ok_or(PrintError::EmptyGrid)?;
    Ok(Recording {
        columns,
        rows,
        frames_kpa: frames,
        rate_hz,
    })
}

/// By the first line of numbers: tab before semicolon before comma before blanks.
fn separator_of(text: &str) -> char {
    let first = text.lines().map(str::trim).find(|l| {
        let word = l.chars().next().is_some_and(char::is_alphabetic);
        !l.is_empty() && !word
    });
    let first = first.unwrap_or_default();
    // With blanks between the cells a comma belongs to the number: '1,5 2,5'.
    let blanks = first.split_whitespace().count();
    let commas = first.matches(',').count();
    if first.contains('\t') {
        '\t'
    } else if first.contains(';') {
        ';'
    } else if commas > 0 && (blanks <= 1 || first.contains(", ") || commas > blanks) {
        ','
    } else {
        ' '
    }
}

fn cells_of(line: &str, separator: char) -> Vec<&str> {
    if separator == ' ' {
        return line.split_whitespace().collect();
    }
    // One separator at the end closes the row and opens no cell.
    let line = line.strip_suffix(separator).unwrap_or(line);
    line.split(separator).map(str::trim).collect()
}

/// A plain decimal number; words that Rust would take for numbers (`inf`, `nan`) are text here.
fn number(cell: &str, separator: char) -> Option<f64> {
    let cell = cell.trim_matches('"');
    let plain = |c: char| c.is_ascii_digit() || "+-.,eE".contains(c);
    if cell.is_empty() || !cell.chars().all(plain) {
        return None;
    }
    if cell.contains(',') {
        if separator == ',' {
            return None;
        }
        return cell.replacen(',', ".", 1).parse().ok();
    }
    cell.parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<Recording, PrintError> {
        recording(text, PressureUnit::Kilopascal, None)
    }

    fn only(text: &str) -> Vec<f32> {
        let r = read(text).unwrap_or_else(|e| panic!("{text:?}: {e}"));
        assert_eq!(
            (r.columns, r.rows, r.frames_kpa.len()),
            (2, 2, 1),
            "{text:?}"
        );
        r.frames_kpa[0].clone()
    }

    #[test]
    fn every_way_to_part_cells_gives_the_same_grid() {
        let wanted = [1.5, 2.0, 3.0, 40.0];
        for text in [
            "1.5,2\n3,40\n",
            "1.5, 2\n3, 40",
            "1,5;2\n3;40\n",
            "1,5\t2\r\n3\t40\r\n",
            "1.5 2\n3  40",
            "1,5 2,0\n3,0 40,0",
            "\u{feff}1.5;2;\n3;40;\n",
            "\"1.5\";\"2\"\n\"3\";\"4e1\"",
        ] {
            assert_eq!(only(text), wanted, "{text:?}");
        }
    }

    #[test]
    fn blank_lines_and_headers_part_a_series_and_newtons_are_ten_kilopascal() {
        let text = "Frame 1\n0;1\n2;3\n\nframe 2\n4;5\n6;7\n\n\ntime 0.04\n8;9\n1;1\n";
        let r = recording(text, PressureUnit::NewtonPerSquareCentimetre, Some(50.0)).unwrap();
        assert_eq!((r.columns, r.rows, r.frames_kpa.len()), (2, 2, 3));
        assert_eq!(r.frames_kpa[1], [40.0, 50.0, 60.0, 70.0]);
        assert_eq!(r.rate_hz, Some(50.0));
    }

    #[test]
    fn hostile_text_is_one_sentence_with_line_and_column() {
        for (text, line, column) in [
            ("1;2\n3;x", 2, 2),
            ("1;2\n3;", 2, 1),
            ("1;2\n3;4;5", 2, 3),
            ("1;-2\n3;4", 1, 2),
            ("1;nan\n3;4", 1, 2),
            ("1;inf\n3;4", 1, 2),
            ("1;1e999\n3;4", 1, 2),
            ("1,2,3\n1,\"2,5\",3", 2, 4),
            ("1;2\n3;4\n\n1;2;3\n4;5;6", 5, 1),
            ("heel;toe\n1;2", 1, 1),
        ] {
            let told = read(text).unwrap_err().to_string();
            let wanted = format!("line {line}, column {column}:");
            assert!(told.starts_with(&wanted), "{text:?}: {told}");
            assert!(!told.contains('\n'));
        }
        for text in ["", "\n\n", "frame 1\n\nframe 2"] {
            assert_eq!(read(text), Err(PrintError::EmptyGrid), "{text:?}");
        }
    }
}
