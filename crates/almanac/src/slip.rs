//! What slips when one task is late.

use crate::schedule::{ScheduleFault, forward, in_order};
use crate::{Month, Task};

/// A task that is later than it would have been.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Slipped {
    /// Which one.
    pub task: usize,
    /// When it would have begun.
    pub was: Month,
    /// When it begins now.
    pub now: Month,
}

impl Slipped {
    /// Months by which it is later.
    #[must_use]
    pub fn months(&self) -> i32 {
        self.now.since(self.was)
    }
}

/// Holds one task up by so many months and says what slips, the task itself among them, in the order of the tasks. A
/// task that misses its window by a month waits for the next year's.
///
/// # Errors
/// When tasks make no schedule.
pub fn slip(
    tasks: &[Task],
    start: Month,
    late: usize,
    months: u32,
) -> Result<Vec<Slipped>, ScheduleFault> {
    let order = in_order(tasks)?;
    let was = forward(tasks, &order, start, &[]);
    let now = forward(tasks, &order, start, &[(late, months)]);
    let pairs = was.into_iter().zip(now).enumerate();
    Ok(pairs
        .filter(|(_, (was, now))| was != now)
        .map(|(task, (was, now))| Slipped { task, was, now })
        .collect())
}
