//! Cultivars and seed lines: what each tolerates, how many there are, how well each fits a place.
//!
//! Pure: parses text, opens no files. The flow is
//! ```text
//! stock.toml text ┐
//!                 ├─► Library ─► Stock × Conditions ─► Fit (0–1, limiting factor) ─► FitOrder (S1, S2, S3, N)
//! stock.csv text  ┘   (and back)
//! ```
#![forbid(unsafe_code)]

mod caution;
mod columns;
mod conditions;
mod factor;
mod fault;
mod fit;
mod flowering;
mod form;
mod keys;
mod keys_page;
mod letter;
mod library;
pub mod nectar;
mod order;
mod origin;
mod read;
mod status;
mod strip;
mod strip_fit;
mod supply;
mod survival;
mod table;
mod tolerance;
mod trapezoid;
mod wkt;
mod write;
mod year_day;

pub use caution::StockCaution;
pub use conditions::Conditions;
pub use factor::{DRAINAGE_CLASSES, Factor};
pub use fault::StockFault;
pub use fit::{Fit, Limit, Side};
pub use flowering::Flowering;
pub use form::StockForm;
pub use keys::{STOCK_KEYS, StockKey, ValueKind};
pub use keys_page::stock_keys_markdown;
pub use letter::is_no_letter;
pub use library::{Library, STARTER, Stock, StockKind};
pub use nectar::Nectar;
pub use order::{FitEdges, FitEdgesError, FitOrder};
pub use origin::{Origin, Place, Shape, Taxon};
pub use status::Status;
pub use strip::Strip;
pub use strip_fit::StripFit;
pub use supply::Supply;
pub use survival::{LandformClass, Survival};
pub use table::table_rows;
pub use tolerance::{Tolerance, ToleranceError};
pub use trapezoid::{Trapezoid, TrapezoidError};
pub use year_day::YearDay;
