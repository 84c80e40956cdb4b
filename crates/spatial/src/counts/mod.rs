//! Counts: whole plants, and whole orders, whose totals agree at every level.

mod apportion;
mod blocks;
mod left_out;
mod order;

pub use apportion::largest_remainder;
pub use blocks::{BlockCount, count_blocks};
pub use left_out::leave_out;
pub use order::{order_quantity, trim_to_supply};
