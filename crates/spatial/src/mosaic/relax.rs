//! The programme without least shares: a linear programme.

use std::time::Duration;

use microlp::{ComparisonOp, OptimizationDirection, Problem, SolveOptions, Variable};

use super::Clock;
use super::decisions::SHORT;
use super::guess::Guess;
use super::model::Model;
use super::prices::prices;

/// Columns below which the whole linear programme is solved at once.
const SMALL: usize = 1_500;
/// Attempts to solve a large one through the zones whose choice is not clear.
const ATTEMPTS: usize = 5;
/// Columns that stay open in a zone whose choice is not clear, in the first attempt.
const LIKELY: usize = 5;

/// Shares by column that are optimal without least shares, or nearly so, and prices that prove it.
pub(super) struct Relaxation {
    pub(super) shares: Vec<f64>,
    /// Whether nothing is better; else it is near enough to what was asked for.
    pub(super) optimal: bool,
    /// By row, the whole row sold: they prove what is optimal, and are near those that would prove the
    /// rest; `None`: none were found.
    pub(super) prices: Option<Vec<f64>>,
}

/// What relaxing came to.
pub(super) enum Relaxed {
    Found(Relaxation),
    /// No shares keep every row.
    Impossible,
    /// The solver gave none, in time or at all.
    NotFound,
}

/// The relaxation, or of a large programme one that is nearly optimal: worth `enough` where that can
/// be had in little time.
pub(super) fn relax(model: &Model, guess: &Guess, enough: f64, clock: &Clock) -> Relaxed {
    if model.columns.len() > SMALL
        && let Some(found) = through_unclear_zones(model, guess, enough, clock)
    {
        return Relaxed::Found(found);
    }
    relax_whole(model, clock)
}

/// The relaxation, by one linear programme.
pub(super) fn relax_whole(model: &Model, clock: &Clock) -> Relaxed {
    let zones: Vec<_> = (0..model.zones.len()).collect();
    let columns: Vec<_> = (0..model.columns.len()).collect();
    match restricted(model, &columns, vec![0.0; model.columns.len()], clock.left()) {
        Ok(shares) => {
            let prices = prices(model, &zones, &shares, clock);
            Relaxed::Found(Relaxation { shares, prices, optimal: true })
        }
        Err(Unsolved::Impossible) => Relaxed::Impossible,
        Err(Unsolved::NotFound) => Relaxed::NotFound,
    }
}

/// Why a linear programme gave no shares.
enum Unsolved {
    Impossible,
    NotFound,
}

/// Guessed prices make the choice of most zones clear, and in the others the choice of all but a few
/// lines. Those are solved exactly; when the prices that come of it leave every zone content, all is
/// proven, else they are the next guess. Ends with what is worth `enough`, else with the best.
pub(super) fn through_unclear_zones(
    model: &Model,
    guess: &Guess,
    enough: f64,
    clock: &Clock,
) -> Option<Relaxation> {
    let every: Vec<_> = (0..model.zones.len()).collect();
    let mut guessed = guess.prices.clone();
    let mut count = (model.zones.len() / 8).max(2 * model.rows.len()).min(model.zones.len());
    let mut likely = LIKELY;
    let (mut best, mut near): (Option<Relaxation>, Option<Vec<f64>>) = (None, None);
    for _ in 0..ATTEMPTS {
        if clock.left().is_zero() {
            break;
        }
        let (unclear, clear) = model.unclear(&guessed, count);
        let columns: Vec<_> =
            unclear.iter().flat_map(|&zone| model.likeliest(zone, &guessed, likely)).collect();
        if let Ok(shares) = restricted(model, &columns, clear, clock.left()) {
            if let Some(prices) = prices(model, &every, &shares, clock) {
                return Some(Relaxation { shares, prices: Some(prices), optimal: true });
            }
            let value = model.value(&shares);
            let better = best.as_ref().is_none_or(|best| value > model.value(&best.shares));
            if better {
                best = Some(Relaxation { shares: shares.clone(), prices: None, optimal: false });
            }
            if let Some(better) = prices(model, &unclear, &shares, clock) {
                guessed.clone_from(&better);
                near = Some(better);
            }
            if value >= enough {
                break;
            }
        }
        if count >= model.zones.len() {
            likely *= 2;
        }
        count = (2 * count).min(model.zones.len());
    }
    best.map(|best| Relaxation { prices: near, ..best })
}

/// Shares that are optimal for some columns, in order, while the others keep theirs; impossible
/// when those others already overdraw a limit.
fn restricted(
    model: &Model,
    columns: &[usize],
    mut shares: Vec<f64>,
    time: Duration,
) -> Result<Vec<f64>, Unsolved> {
    let left = model.spare(&shares);
    if model.rows.iter().zip(&left).any(|(row, left)| !row.asks() && *left < 0.0) {
        return Err(Unsolved::Impossible);
    }
    let mut problem = Problem::new(OptimizationDirection::Maximize);
    let variables: Vec<_> = columns
        .iter()
        .map(|&column| problem.add_var(model.columns[column].preferred, (0.0, f64::INFINITY)))
        .collect();
    add_zones(&mut problem, model, columns, &variables);
    if !add_rows(&mut problem, model, columns, &variables, &left) {
        return Err(Unsolved::Impossible);
    }
    let mut options = SolveOptions::default();
    options.time_limit = Some(time);
    options.tolerances.feasibility = 1e-9;
    let outcome = problem.solve_with(options).map_err(|error| match error {
        microlp::Error::Infeasible => Unsolved::Impossible,
        _ => Unsolved::NotFound,
    })?;
    let solution = outcome.into_solution().ok().ok_or(Unsolved::NotFound)?;
    for (&column, &variable) in columns.iter().zip(&variables) {
        shares[column] = solution.var_value(variable).clamp(0.0, 1.0);
    }
    Ok(shares)
}

/// Adds each zone's ground, over columns in the order of zones and their variables.
pub(super) fn add_zones(
    problem: &mut Problem,
    model: &Model,
    columns: &[usize],
    variables: &[Variable],
) {
    let pairs: Vec<_> = columns.iter().copied().zip(variables.iter().copied()).collect();
    let zone_of = |pair: &(usize, Variable)| model.columns[pair.0].zone;
    for zone in pairs.chunk_by(|a, b| zone_of(a) == zone_of(b)) {
        let sum: Vec<_> = zone.iter().map(|&(_, variable)| (variable, 1.0)).collect();
        if model.full[zone_of(&zone[0])] {
            problem.add_constraint(sum, ComparisonOp::Eq, 1.0);
        } else {
            problem.add_constraint(sum, ComparisonOp::Le, 1.0);
        }
    }
}

/// Adds each row over the given columns, whose variables stand in the same order, with what is
/// left of it; false when a row asks for what none of these columns can give.
pub(super) fn add_rows(
    problem: &mut Problem,
    model: &Model,
    columns: &[usize],
    variables: &[Variable],
    left: &[f64],
) -> bool {
    let mut terms: Vec<Vec<(Variable, f64)>> = vec![Vec::new(); model.rows.len()];
    for (&column, &variable) in columns.iter().zip(variables) {
        for (row, fraction) in model.columns[column].uses() {
            terms[row].push((variable, fraction));
        }
    }
    for (terms, &left) in terms.into_iter().zip(left) {
        if !terms.is_empty() {
            problem.add_constraint(terms, ComparisonOp::Le, left);
        } else if left < -SHORT {
            return false;
        }
    }
    true
}
