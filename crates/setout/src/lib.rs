//! Where each plant of a block stands.
//!
//! ```text
//! heights, plants a m², outline ─► Face ─┬─► contour rows ─┐
//!                                        ├─► lattice       ├─► positions ─► lines interleaved
//!                                        └─► scatter       ┘
//! ```
//! A block asks for a number of plants; it gets exactly so many, unless they would stand closer than
//! they may, and that is told. Distances are along straight lines in space, on the ground's surface at
//! both ends. No input, no output; the same question has the same answer on any machine and thread.

mod apart;
mod face;
mod guides;
mod interleave;
mod lattice;
mod outline;
mod reach;
mod rows;
mod scatter;
mod setting;
mod walk;

pub use face::Face;
pub use interleave::interleave;
pub use outline::Outline;
pub use setting::{Manner, Position, Setting, SettingOut, set_out};
