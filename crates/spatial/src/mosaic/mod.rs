//! The mosaic: which stock goes on which zone, in what share, for the greatest worth.
//!
//! ```text
//! Programme ─► Model ─► relaxation ─► prices (proof) ─► repair of least shares ─► Assignment
//!                  └──► greedy (floor) ─────────────────────────┘
//! ```
//! Without least shares the programme is linear. Its optimum splits few zones, about one for each
//! limit that binds, and row prices prove how good any assignment can be (weak duality), whatever
//! tolerance the solver worked with. Zones that break a least share are then settled together
//! with the zones whose choice is least sure, by a small mixed-integer programme; more are freed
//! until the gap to the proven bound is small enough.
//!
//! Sources: Dantzig 1963, Linear Programming and Extensions (duality, transportation problem);
//! Beale & Tomlin 1970 (semi-continuous variables); relax-and-fix heuristics are common practice,
//! no source. All from memory.
//!
//! Same programme, same shares: nothing here depends on threads or on hash order. Equals are
//! settled for the earlier line, then the earlier zone, at a cost of at most one millionth.
//! Only a search that runs into its time limit may end elsewhere on another machine.

mod assignment;
mod greedy;
mod guess;
mod model;
mod prices;
mod programme;
mod relax;
mod repair;
mod search;
mod tidy;

#[cfg(feature = "highs")]
mod reference;
#[cfg(test)]
mod tests;

use std::time::{Duration, Instant};

pub use self::assignment::{Assignment, Binding, LimitKind};
pub use self::programme::{LineLimit, MosaicError, Offer, Programme, ZoneOffers};
#[cfg(feature = "highs")]
pub use self::reference::solve_with_highs;

use self::model::Model;
use self::search::Search;

/// The name of the solver, for reports.
pub const SOLVER: &str = "microlp, relax and repair";

/// The best assignment found, with a proven bound. There always is one: ground can be left.
///
/// # Cost
/// Dominated by the relaxation, a linear programme of zones × lines columns.
///
/// # Errors
/// [`MosaicError`] when a number is NaN, negative or out of range, or a zone's offers are not one
/// for each line.
pub fn solve(programme: &Programme) -> Result<Assignment, MosaicError> {
    programme.check()?;
    let model = Model::new(programme);
    let clock = Clock::new(programme.time_limit_s);
    let area = |column: usize| programme.zones[model.columns[column].zone].area_ha;
    let floor = greedy::greedy(&model, |column| model.columns[column].preferred / area(column));
    let mut search = Search::new(&model, floor, programme.gap);
    search.run(&clock);
    Ok(search.assignment())
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
