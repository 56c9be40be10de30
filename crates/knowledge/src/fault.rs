//! What is wrong with a knowledge file, and where: one sentence per fault.

use std::fmt;

/// One fault of a knowledge folder.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Fault {
    /// The file, relative to the knowledge folder (`yardsticks/lateral.toml`).
    pub file: String,
    /// Line in that file, counted from 1; `None` where the fault is the file itself.
    pub line: Option<usize>,
    pub found: String,
    pub expected: String,
    /// What the person can do about it.
    pub hint: String,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.file)?;
        if let Some(line) = self.line {
            write!(f, ", line {line}")?;
        }
        write!(
            f,
            ": found {}, expected {}; {}",
            self.found, self.expected, self.hint
        )
    }
}

impl std::error::Error for Fault {}
