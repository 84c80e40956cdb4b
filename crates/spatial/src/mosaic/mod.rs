//! The mosaic: which stock goes on which zone, in what share, for the greatest worth.
//!
//! ```text
//! Programme ─► decisions ─► Model ─► relaxation ─► prices (proof) ─► repair of least shares ─► Assignment
//!                  ▲          └──► greedy (floor) ─────────────────────────┘
//!                  └──── smallest lots and weeks in flower that the answer breaks
//! ```
//! Without least shares the programme is linear. Its optimum splits few zones, about one for each
//! limit that binds, and row prices prove how good any assignment can be (weak duality), whatever
//! tolerance the solver worked with. Zones that break a least share are then settled together
//! with the zones whose choice is least sure, by a small mixed-integer programme; more are freed
//! until the gap to the proven bound is small enough. Rules that are all or nothing, smallest lots
//! and weeks in flower, are decided by branch and bound around that (Land & Doig 1960).
//!
//! Sources: Dantzig 1963, Linear Programming and Extensions (duality, transportation problem);
//! Beale & Tomlin 1970 (semi-continuous variables); relax-and-fix heuristics are common practice,
//! no source. All from memory.
//!
//! Same programme, same shares: nothing here depends on threads or on hash order. Equals are
//! settled for the earlier line, then the earlier zone, at a cost of at most one millionth.
//! Only a search that runs into its time limit may end elsewhere on another machine.

mod assignment;
mod branch;
mod build;
mod check;
mod decisions;
mod greedy;
mod guess;
mod hindrance;
mod join;
mod model;
mod prices;
mod programme;
mod relax;
mod repair;
mod runner_up;
mod sample;
mod search;
mod tidy;
mod weeks;

#[cfg(test)]
mod tests;

use std::time::{Duration, Instant};

pub use self::assignment::{Assignment, Binding, Given, Limit, RunnerUp, Stop};
pub use self::check::MosaicError;
pub use self::hindrance::Hindrance;
pub use self::join::{Border, Joined, Moved, join};
pub use self::programme::{InFlower, LineLimit, Offer, Programme, ZoneOffers};
pub use self::weeks::Weeks;

use self::branch::{Branches, Unsolved};

/// The name of the solver, for reports.
pub const SOLVER: &str = "microlp, relax, repair and branch";

/// The best assignment found, with a proven bound.
///
/// # Cost
/// Dominated by the relaxation, a linear programme of zones × lines × seasons columns, once for
/// each decision on a lot or a week that has to be looked at.
///
/// # Errors
/// [`MosaicError`] when a number is NaN, negative or out of range, when a list is not one for each
/// line or season, and when no assignment keeps every rule. There always is one where nothing must
/// be planted and no weeks in flower are asked for: ground can be left.
pub fn solve(programme: &Programme) -> Result<Assignment, MosaicError> {
    programme.check()?;
    let clock = Clock::new(programme.time_limit_s);
    Branches::new(programme, &clock).run().map_err(|unsolved| match unsolved {
        Unsolved::Impossible { why } => hindrance::impossible(programme, why),
        Unsolved::NotFound(Stop::Time) => {
            MosaicError::OutOfTime { seconds: programme.time_limit_s }
        }
        Unsolved::NotFound(Stop::Effort) => MosaicError::GaveUp { nodes: branch::NODES },
    })
}

/// Time since the beginning, against a limit.
struct Clock {
    start: Instant,
    limit: Duration,
}

impl Clock {
    fn new(limit_s: f64) -> Self {
        let limit = Duration::try_from_secs_f64(limit_s).unwrap_or(Duration::MAX);
        Self { start: Instant::now(), limit }
    }

    fn left(&self) -> Duration {
        self.limit.saturating_sub(self.start.elapsed())
    }
}
