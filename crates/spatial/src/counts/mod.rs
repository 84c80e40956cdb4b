//! Counts: whole plants, and whole orders, whose totals agree at every level, and what they cannot keep.

mod apportion;
mod blocks;
mod broken;
mod left_out;
mod order;
mod ordering;

pub use apportion::largest_remainder;
pub use blocks::{BlockCount, count_blocks};
pub(crate) use blocks::{LAST_DIGIT, ordered, spent, worked};
pub use broken::{BrokenRule, broken_rules};
pub use left_out::leave_out;
pub use order::order_quantity;
pub use ordering::{Holding, LineOrder, order_lines};
