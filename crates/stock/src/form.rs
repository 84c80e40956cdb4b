//! The two forms of a stock file.

use std::path::Path;

/// How a stock file is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StockForm {
    /// One `[[stock]]` a line, with tables.
    Toml,
    /// One row a line, for spreadsheets.
    Csv,
}

impl StockForm {
    /// Both.
    pub const ALL: [Self; 2] = [Self::Toml, Self::Csv];

    /// The ending of its files, without a dot.
    #[must_use]
    pub fn ending(self) -> &'static str {
        match self {
            Self::Toml => "toml",
            Self::Csv => "csv",
        }
    }

    /// The form that a file's ending names, in large letters or small; `None` when it names neither.
    ///
    /// ```
    /// use stock::StockForm;
    /// assert_eq!(StockForm::of("lines.CSV".as_ref()), Some(StockForm::Csv));
    /// assert_eq!(StockForm::of("lines.xlsx".as_ref()), None);
    /// ```
    #[must_use]
    pub fn of(file: &Path) -> Option<Self> {
        let ending = file.extension()?;
        Self::ALL.into_iter().find(|form| ending.eq_ignore_ascii_case(form.ending()))
    }
}
