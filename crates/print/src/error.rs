//! Why a print was not read: what was found, what was expected, what to do.

/// Every message is one sentence for the person at the desk and names nothing about the patient.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum PrintError {
    #[error(
        "no foot was found ({found}); expected the whole print of one or two bare feet, dark on paper or bright on a scanner; take it again, or name the kind of print by hand"
    )]
    NoFoot { found: String },
    #[error(
        "{found} feet were found; expected one or two of one person; cut the picture so that only they are on it"
    )]
    TooManyFeet { found: usize },
    #[error(
        "two prints touch and could not be parted surely; expected a gap between them; set a line between them by hand, or take the print again with the feet apart"
    )]
    FeetTouch,
    #[error(
        "the dividing line does not leave one foot on either side ({found}); expected a line between two prints that touch; set it again"
    )]
    BadDivide { found: String },
    #[error(
        "the print runs over the edge of the sheet; expected a whole foot with a margin all round; take it again with the whole foot on it"
    )]
    HalfFoot,
    #[error("the grid is empty; expected rows of numbers; export it again")]
    EmptyGrid,
    #[error(
        "line {line}, column {column}: found {found}; expected a number of at least 0; correct the cell or export the grid again"
    )]
    Cell {
        line: usize,
        column: usize,
        found: String,
    },
    #[error(
        "line {line}, column {column}: the row ends there, found {found} cells and expected {expected} as in the rows before; export the grid again"
    )]
    Ragged {
        line: usize,
        column: usize,
        found: usize,
        expected: usize,
    },
    #[error(
        "line {line}, column {column}: {what}; expected every grid of the series to have the same size; export the series again"
    )]
    GridsDiffer {
        line: usize,
        column: usize,
        what: String,
    },
    #[error(
        "the sheet is the same all over ({value}); expected a print that stands out from its ground; take it again with more contrast"
    )]
    AllEqual { value: String },
    #[error(
        "a value of the sheet is not a finite number; expected numbers only; export it again without gaps"
    )]
    NotANumber,
    #[error(
        "the sheet has {columns} columns and {rows} rows; expected at least {least} each way; choose another file or export it at full size"
    )]
    TooSmall {
        columns: usize,
        rows: usize,
        least: usize,
    },
    #[error(
        "the grid has {found} cells and at most {limit} are taken; cut it to the foot or export fewer frames"
    )]
    TooLarge { found: u64, limit: u64 },
    #[error(transparent)]
    Picture(#[from] picture::PictureError),
    #[error(
        "the grid is not text ({found}); expected rows of numbers in a text file (CSV or TSV); export it as text"
    )]
    NotText { found: String },
    #[error("{what} cannot give a scale ({found}); expected {expected}; set it again")]
    BadScale {
        what: &'static str,
        found: String,
        expected: &'static str,
    },
    #[error("the steps cannot be used ({found}); expected {expected}; find them anew")]
    BadSteps {
        found: String,
        expected: &'static str,
    },
}

/// Foreign text for a message: one line, short, printable.
pub(crate) fn quote(text: &str) -> String {
    let clean: String = text.chars().filter(|c| !c.is_control()).take(41).collect();
    let short: String = clean.chars().take(40).collect();
    let more = if clean.chars().count() > 40 {
        "…"
    } else {
        ""
    };
    format!("'{}{more}'", short.trim())
}
