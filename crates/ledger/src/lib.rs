//! Cash over years, discounted. It reads and writes nothing and knows nothing of plants.
//!
//! Money is New Zealand dollars (NZ$) as `f64` where it is estimated. Cash comes at the end of a year; year 0
//! is not discounted. A present value is arithmetic on figures that somebody gave, never a promise.
//!
//! Source of the formulas: any textbook of investment appraisal (from memory); what each is held against
//! stands beside its test.

mod annuity;
mod carbon;
mod flows;
mod irr;
mod npv;
mod range;
mod rate;
mod sensitivity;

pub use annuity::{annuity_factor, equal_yearly};
pub use carbon::{CarbonTable, TableFault};
pub use flows::Flows;
pub use irr::{Irr, internal_rates};
pub use npv::npv;
pub use range::Range;
pub use rate::Rate;
pub use sensitivity::{Driver, Swing, break_even, one_at_a_time};
