//! What differs: between trees, stands and years.
//!
//! ```text
//! records ─► Records ─► reml ─► Components ─► values ─► TreeValue (shrunken, with its error)
//!           (sums by    (how much of the
//!            tree and    spread lies where)
//!            year)
//! ```
//! A record is one sample of one tree in one flowering season:
//!
//! value = mean + stand + tree (of its stand) + year + error,
//!
//! all but the mean random, normal and independent. What a tree does in one year and not in another is
//! counted as error. The model is the usual one of mixed models with crossed and nested effects; it is
//! fitted by restricted maximum likelihood (Patterson & Thompson 1971, Biometrika 58:545), and trees are
//! valued by best linear unbiased prediction (Henderson 1975, Biometrics 31:423); sources from memory.

mod correlation;
mod equations;
mod records;
mod reml;
mod simplex;
mod values;

pub use correlation::{Correlation, correlation};
pub use records::{Record, Records, RecordsError};
pub use reml::{ComponentErrors, Components, Fitted, reml};
pub use values::{TreeValue, Values, chance_of_none, values};
