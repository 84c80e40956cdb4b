//! Cultivars and seed lines: what each tolerates, how many there are, how well each fits a place.
//!
//! Pure: parses text, opens no files. The flow is
//! ```text
//! stock.toml text ─► Library ─► Stock × Conditions ─► Fit (0–1, limiting factor) ─► FitOrder (S1, S2, S3, N)
//! ```
#![forbid(unsafe_code)]

mod conditions;
mod factor;
mod fault;
mod fit;
mod library;
mod order;
mod read;
mod tolerance;
mod trapezoid;

pub use conditions::Conditions;
pub use factor::{DRAINAGE_CLASSES, Factor};
pub use fault::StockFault;
pub use fit::{Fit, Limit, Side};
pub use library::{Library, STARTER, Stock, StockKind};
pub use order::{FitEdges, FitEdgesError, FitOrder};
pub use tolerance::{Tolerance, ToleranceError};
pub use trapezoid::{Trapezoid, TrapezoidError};
