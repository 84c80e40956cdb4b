//! A task: how long it takes, when in the year it can be done, what it waits for.

use crate::Month;

/// Months of the year in which a task can begin.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Window {
    /// First month, 1 to 12.
    pub from: u8,
    /// Last month, 1 to 12; before `from`, the window goes over the new year.
    pub to: u8,
}

impl Window {
    /// Whether a month of the year lies in it.
    #[must_use]
    pub fn holds(self, month: u8) -> bool {
        if self.from <= self.to {
            (self.from..=self.to).contains(&month)
        } else {
            month >= self.from || month <= self.to
        }
    }

    /// The first month from here on that lies in it: at most 11 later.
    #[must_use]
    pub fn next(self, month: Month) -> Month {
        (0..12).map(|later| month.plus(later)).find(|one| self.holds(one.month)).unwrap_or(month)
    }

    /// The last month up to here that lies in it: at most 11 earlier.
    #[must_use]
    pub fn last(self, month: Month) -> Month {
        (0..12).map(|before| month.plus(-before)).find(|one| self.holds(one.month)).unwrap_or(month)
    }
}

/// Something to be done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Task {
    /// Its name, once in a schedule.
    pub id: String,
    /// When in the year it can begin; `None`: at any time. A task that misses its window waits for the next year's.
    pub window: Option<Window>,
    /// Not before this month, whatever it waits for.
    pub not_before: Option<Month>,
    /// Begun by this month at the latest: slack is counted from here; `None`: what waits for it says so.
    pub due: Option<Month>,
    /// Months that it takes up, 1 or more.
    pub months: u32,
    /// What must be done before: places of other tasks, and months between the end of each and its begin; 0: it
    /// begins the month after.
    pub after: Vec<(usize, u32)>,
}

impl Task {
    /// The first month from here on in which it can begin, its window alone regarded.
    #[must_use]
    pub fn first_from(&self, month: Month) -> Month {
        self.window.map_or(month, |window| window.next(month))
    }

    /// The last month up to here in which it can begin, its window alone regarded.
    #[must_use]
    pub fn last_to(&self, month: Month) -> Month {
        self.window.map_or(month, |window| window.last(month))
    }

    /// Months from its begin to the earliest begin of what waits for it.
    #[must_use]
    pub fn then(&self, lag: u32) -> i32 {
        i32::try_from(self.months.max(1).saturating_add(lag)).unwrap_or(i32::MAX)
    }
}
