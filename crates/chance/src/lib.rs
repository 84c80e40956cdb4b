//! How far a plan may be off.
//!
//! ```text
//! scene (zones, lines, blocks) ─┐
//! spreads ──────────────────────┼─► draw 1, 2, … each from its own seed ─► outcomes ─► intervals
//! seed ─────────────────────────┘     survival, terrain, supply, winters, bloom, nectar
//! ```
//! Draw number `k` is seeded by the seed and `k` alone, so the outcomes are the same on any number of threads.
//! An interval says what the spreads put in; what nobody put in, such as a storm, is not in it.
#![forbid(unsafe_code)]

mod choose;
mod draw;
mod interval;
mod scene;
mod spreads;

pub use choose::choose;
pub use draw::{LineOutcome, NEVER, Outcome, draws};
pub use interval::{Interval, interval};
pub use scene::{Block, Line, Offer, Risk, Scene, Zone};
pub use spreads::Spreads;
