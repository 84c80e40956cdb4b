//! The stock that can be planted.

use std::fmt;

use serde::Serialize;

use crate::{Conditions, Fit, StockFault, Tolerance, read};

/// A commented stock file to start from; every line in it is invented.
pub const STARTER: &str = include_str!("starter.toml");

/// What a stock is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum StockKind {
    /// A named, selected line that is bought.
    Cultivar,
    /// Seedlings grown from seed of known local mother trees.
    SeedLine,
}

impl StockKind {
    /// Every kind.
    pub const ALL: [Self; 2] = [Self::Cultivar, Self::SeedLine];

    /// As it is written in files: `cultivar` or `seed_line`.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Cultivar => "cultivar",
            Self::SeedLine => "seed_line",
        }
    }

    /// In words: `cultivar` or `seed line`.
    #[must_use]
    pub fn label(self) -> &'static str {
        match self {
            Self::Cultivar => "cultivar",
            Self::SeedLine => "seed line",
        }
    }
}

impl fmt::Display for StockKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.label())
    }
}

/// Something that can be planted.
#[derive(Debug, Clone, PartialEq)]
pub struct Stock {
    /// Short name for files and columns: `[a-z][a-z0-9_]*`, at most 24 characters.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// Cultivar or seed line.
    pub kind: StockKind,
    /// Plants that can be had; `None`: not limited.
    pub supply: Option<u64>,
    /// Price of one plant, New Zealand dollars; `None`: not known.
    pub price_nzd: Option<f64>,
    /// What it takes.
    pub tolerance: Tolerance,
}

impl Stock {
    /// How well a place fits it; see [`Tolerance::fit`].
    #[must_use]
    pub fn fit(&self, here: &Conditions) -> Fit {
        self.tolerance.fit(here)
    }
}

/// All stock of a site, in the order of its file. Every id is unique; one that was read is never
/// empty.
#[derive(Debug, Clone, PartialEq)]
pub struct Library {
    stocks: Vec<Stock>,
}

impl Library {
    /// No stock at all, for work that stops before stock is asked for.
    #[must_use]
    pub fn none() -> Self {
        Self { stocks: Vec::new() }
    }

    /// Reads a stock file's text.
    ///
    /// ```
    /// let library = stock::Library::parse(stock::STARTER).map_err(|faults| faults[0].clone())?;
    /// assert_eq!(library.stocks().len(), 5);
    /// # Ok::<(), stock::StockFault>(())
    /// ```
    ///
    /// # Errors
    /// Every fault found, in the order of the text; a fault in the TOML itself hides those after it.
    pub fn parse(text: &str) -> Result<Self, Vec<StockFault>> {
        read::library(text).map(|stocks| Self { stocks })
    }

    /// The stock, in the order of the file.
    #[must_use]
    pub fn stocks(&self) -> &[Stock] {
        &self.stocks
    }

    /// Its place in the file and the stock with an id.
    #[must_use]
    pub fn find(&self, id: &str) -> Option<(usize, &Stock)> {
        self.stocks.iter().enumerate().find(|(_, stock)| stock.id == id)
    }
}
