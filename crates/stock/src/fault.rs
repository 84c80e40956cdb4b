//! What is wrong with a stock file, said so that the reader can mend it.

use thiserror::Error;

/// One thing wrong in a stock file.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Error)]
#[error("line {line}, column {column}: {item}: found {found}; expected {expected}; {remedy}")]
pub struct StockFault {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// What it is about, such as ``stock `amber`, tolerance.slope_deg.full_to``.
    pub item: String,
    /// What was found.
    pub found: String,
    /// What was expected.
    pub expected: String,
    /// What to do about it.
    pub remedy: String,
}
