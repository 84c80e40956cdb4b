//! The stock that can be planted.

use std::fmt;

use serde::Serialize;

use crate::nectar::Nectar;
use crate::{
    Conditions, Fit, Flowering, Origin, Status, StockFault, StockForm, Supply, Survival, Tolerance,
    read, write,
};

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

    /// Months from an order to plants that can go into the ground, when the stock does not say.
    ///
    /// Sources: 9 to 12 months from sowing to planting (community nursery guides); two years or more
    /// for seedlings raised from seed of a stated place (Department of Conservation, eco-sourcing
    /// pages).
    #[must_use]
    pub fn usual_lead_months(self) -> u32 {
        match self {
            Self::Cultivar => 12,
            Self::SeedLine => 24,
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
    /// Whether it can be had.
    pub status: Status,
    /// Plants that can be had.
    pub supply: Supply,
    /// Fewest plants that can be ordered; `None`: any number.
    pub min_lot: Option<u32>,
    /// Price of one plant, New Zealand dollars; `None`: not known.
    pub price_nzd: Option<f64>,
    /// Months from an order to plants that can go into the ground; `None`: as usual for its kind.
    pub lead_months: Option<u32>,
    /// Height that it reaches on this kind of ground, metres; `None`: not known.
    pub mature_height_m: Option<f64>,
    /// What its nectar holds; `None`: not known.
    pub nectar: Option<Nectar>,
    /// When it flowers; `None`: not known.
    pub flowering: Option<Flowering>,
    /// How many live, by landform.
    pub survival: Survival,
    /// Where its seed comes from; `None`: not known.
    pub origin: Option<Origin>,
    /// What it takes.
    pub tolerance: Tolerance,
}

impl Stock {
    /// A stock of which nothing is known but what it is: available, not limited, takes everything.
    #[must_use]
    pub fn named(id: &str, name: &str, kind: StockKind) -> Self {
        Self {
            id: id.to_owned(),
            name: name.to_owned(),
            kind,
            status: Status::default(),
            supply: Supply::default(),
            min_lot: None,
            price_nzd: None,
            lead_months: None,
            mature_height_m: None,
            nectar: None,
            flowering: None,
            survival: Survival::default(),
            origin: None,
            tolerance: Tolerance::unlimited(),
        }
    }

    /// Months from an order to plants that can go into the ground, as usual for its kind when it
    /// does not say.
    #[must_use]
    pub fn lead_months(&self) -> u32 {
        self.lead_months.unwrap_or(self.kind.usual_lead_months())
    }

    /// Plants that can be had over all seasons; `None`: not limited. None of an idea.
    #[must_use]
    pub fn supply_total(&self) -> Option<u64> {
        if self.status == Status::Idea { Some(0) } else { self.supply.total() }
    }

    /// Plants that can be had in one planting season; `None`: not limited. None of an idea, none of
    /// what is being raised before its first season.
    #[must_use]
    pub fn supply_in(&self, season: i32) -> Option<u64> {
        match self.status {
            Status::Idea => Some(0),
            Status::BeingRaised { from } if season < from => Some(0),
            _ => self.supply.in_season(season),
        }
    }

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

    /// Reads a stock file's text in its CSV form: a first row with the names of the columns, then a row
    /// for each stock. Empty cells are keys left out. Commas, semicolons or tabs may separate; a byte
    /// order mark is passed over.
    ///
    /// # Errors
    /// Every fault found; `column` counts columns of the table.
    pub fn parse_csv(text: &str) -> Result<Self, Vec<StockFault>> {
        read::library_of_csv(text).map(|stocks| Self { stocks })
    }

    /// Reads a stock file's text in one of its forms.
    ///
    /// # Errors
    /// Every fault found.
    pub fn read(form: StockForm, text: &str) -> Result<Self, Vec<StockFault>> {
        match form {
            StockForm::Toml => Self::parse(text),
            StockForm::Csv => Self::parse_csv(text),
        }
    }

    /// A library of stocks made by a program, held to the rules of the file.
    ///
    /// # Errors
    /// Every fault of the TOML that [`Library::write`] makes of them.
    pub fn new(stocks: Vec<Stock>) -> Result<Self, Vec<StockFault>> {
        Self::parse(&Self { stocks }.write(StockForm::Toml))
    }

    /// The text of a stock file that reads back as this library; defaults that were left out stay out.
    ///
    /// ```
    /// use stock::{Library, StockForm};
    /// let library = Library::parse(stock::STARTER).map_err(|faults| faults[0].clone())?;
    /// let csv = library.write(StockForm::Csv);
    /// assert_eq!(Library::read(StockForm::Csv, &csv).map_err(|faults| faults[0].clone())?, library);
    /// # Ok::<(), stock::StockFault>(())
    /// ```
    #[must_use]
    pub fn write(&self, form: StockForm) -> String {
        match form {
            StockForm::Toml => write::toml(&self.stocks),
            StockForm::Csv => write::csv(&self.stocks),
        }
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
