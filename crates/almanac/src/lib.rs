//! Work over the months of years. It reads and writes nothing and knows nothing of plants.
//!
//! ```text
//! tasks (window of the year, length, what they wait for) ─► schedule: earliest, latest, slack, critical path
//!                                                                │
//!                                          slip: one task late ──┴─► RFC 5545 text
//! ```
//! Time is counted in whole months: a task takes up its first and its last month.

mod hemisphere;
mod icalendar;
mod month;
mod schedule;
mod slip;
mod task;

pub use hemisphere::Hemisphere;
pub use icalendar::{Date, Event, calendar_text};
pub use month::{Month, MonthFault};
pub use schedule::{Placed, Schedule, ScheduleFault, schedule};
pub use slip::{Slipped, slip};
pub use task::{Task, Window};
