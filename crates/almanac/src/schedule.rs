//! When each task can be done, and how late it may be.
//!
//! The critical path method (Kelley & Walker 1959, from memory) over months, with windows of the year: going
//! forward a task begins in the first month of its window after all that it waits for; going back it begins in
//! the last month of its window from which nothing that waits for it begins later than it may.

use crate::{Month, Task};

/// A task with its place in time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Placed {
    /// First month in which it can begin.
    pub earliest: Month,
    /// Last month in which it may begin so that everything that is due is in time.
    pub latest: Month,
    /// Whether it has no slack.
    pub critical: bool,
}

impl Placed {
    /// Months by which it may be late; below 0: something due is missed already.
    #[must_use]
    pub fn slack_months(&self) -> i32 {
        self.latest.since(self.earliest)
    }
}

/// All tasks placed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Schedule {
    /// Each task, in the order given.
    pub placed: Vec<Placed>,
    /// Tasks that each wait for the one before, up to the last to end among those that have no slack, or where all
    /// have some, the least of it: the path that decides whether all is done in time.
    pub critical_path: Vec<usize>,
}

/// Why tasks make no schedule.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ScheduleFault {
    /// A task waits for itself, by way of others or not.
    Circle(usize),
    /// A task waits for one that is not there.
    Missing(usize),
}

/// Places tasks. `start`: nothing begins before. A task that is not due and that nothing waits for may be as late as
/// the last month in which any task can begin at the earliest.
///
/// Cost: O(tasks + waits).
///
/// # Errors
/// When tasks wait for each other in a circle, or for one that is not there.
pub fn schedule(tasks: &[Task], start: Month) -> Result<Schedule, ScheduleFault> {
    let order = in_order(tasks)?;
    let earliest = forward(tasks, &order, start, &[]);
    let latest = backward(tasks, &order, &earliest);
    let placed: Vec<Placed> = earliest
        .iter()
        .zip(&latest)
        .map(|(earliest, latest)| Placed {
            earliest: *earliest,
            latest: *latest,
            critical: latest <= earliest,
        })
        .collect();
    let critical_path = path(tasks, &placed);
    Ok(Schedule { placed, critical_path })
}

/// Tasks so that each comes after all that it waits for; among those that could be next, the first given.
pub(crate) fn in_order(tasks: &[Task]) -> Result<Vec<usize>, ScheduleFault> {
    if let Some(at) =
        tasks.iter().position(|task| task.after.iter().any(|(before, _)| *before >= tasks.len()))
    {
        return Err(ScheduleFault::Missing(at));
    }
    let mut waits: Vec<usize> = tasks.iter().map(|task| task.after.len()).collect();
    let mut behind: Vec<Vec<usize>> = vec![Vec::new(); tasks.len()];
    for (at, task) in tasks.iter().enumerate() {
        task.after.iter().for_each(|(before, _)| behind[*before].push(at));
    }
    let mut ready: std::collections::BTreeSet<usize> =
        (0..tasks.len()).filter(|at| waits[*at] == 0).collect();
    let mut order = Vec::with_capacity(tasks.len());
    while let Some(at) = ready.pop_first() {
        order.push(at);
        for next in &behind[at] {
            waits[*next] -= 1;
            if waits[*next] == 0 {
                ready.insert(*next);
            }
        }
    }
    match waits.iter().position(|waits| *waits > 0) {
        Some(at) => Err(ScheduleFault::Circle(at)),
        None => Ok(order),
    }
}

/// Earliest begins; `late`: months by which single tasks are held up once they could begin.
pub(crate) fn forward(
    tasks: &[Task],
    order: &[usize],
    start: Month,
    late: &[(usize, u32)],
) -> Vec<Month> {
    let mut begins = vec![start; tasks.len()];
    for at in order {
        let task = &tasks[*at];
        let free = task.after.iter().map(|(before, lag)| {
            let before_begins = begins[*before];
            before_begins.plus(tasks[*before].then(*lag))
        });
        let ready = free.chain(task.not_before).fold(start, Month::max);
        let held = late.iter().filter(|(one, _)| one == at).map(|(_, months)| *months).sum::<u32>();
        let first = task.first_from(ready);
        begins[*at] = if held == 0 { first } else { task.first_from(first.plus(held as i32)) };
    }
    begins
}

fn backward(tasks: &[Task], order: &[usize], earliest: &[Month]) -> Vec<Month> {
    let Some(end) = earliest.iter().max().copied() else { return Vec::new() };
    let mut latest: Vec<Option<Month>> = tasks.iter().map(|task| task.due).collect();
    for at in order.iter().rev() {
        let task = &tasks[*at];
        // What is due is in time only in a month of its window; what is not hangs on the end of all.
        let own = task.last_to(latest[*at].unwrap_or(end));
        latest[*at] = Some(own);
        for (before, lag) in &task.after {
            let most = own.plus(-tasks[*before].then(*lag));
            latest[*before] = Some(latest[*before].map_or(most, |known| known.min(most)));
        }
    }
    latest.into_iter().map(|month| month.unwrap_or(end)).collect()
}

/// From the last task to end, of those without slack or with the least, back over what held each up.
fn path(tasks: &[Task], placed: &[Placed]) -> Vec<usize> {
    let least = placed.iter().map(Placed::slack_months).min().unwrap_or(0).max(0);
    let is_tight = |at: usize| placed[at].slack_months() <= least;
    let ends = |at: usize| placed[at].earliest.plus(tasks[at].then(0));
    let critical = (0..tasks.len()).filter(|at| is_tight(*at));
    let Some(mut at) = critical.max_by_key(|at| (ends(*at), std::cmp::Reverse(*at))) else {
        return Vec::new();
    };
    let mut path = vec![at];
    let free =
        |(before, lag): &(usize, u32)| placed[*before].earliest.plus(tasks[*before].then(*lag));
    while let Some((before, _)) = tasks[at]
        .after
        .iter()
        .filter(|(before, _)| is_tight(*before))
        .max_by_key(|one| (free(one), std::cmp::Reverse(one.0)))
    {
        at = *before;
        path.push(at);
    }
    path.reverse();
    path
}
