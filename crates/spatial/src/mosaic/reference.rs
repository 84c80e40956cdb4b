//! The same programme on HiGHS, a solver of another make: the reference for tests.

use highs::{Col, HighsModelStatus, RowProblem, Sense};

use super::model::Model;
use super::{Assignment, MosaicError, Programme};

/// The best assignment by HiGHS, formulated straight from the programme with semi-continuous
/// shares. It names no limits that bind, and does not settle equals.
///
/// # Errors
/// As [`super::solve`], and [`MosaicError::Reference`] when HiGHS ends without an answer.
pub fn solve_with_highs(programme: &Programme) -> Result<Assignment, MosaicError> {
    programme.check()?;
    let (problem, columns) = formulate(programme);
    let mut solver = problem.try_optimise(Sense::Maximise).map_err(failed)?;
    solver.make_quiet();
    solver.try_set_option("threads", 1).map_err(failed)?;
    for (option, value) in [
        ("time_limit", programme.time_limit_s),
        ("mip_rel_gap", programme.gap),
        ("mip_feasibility_tolerance", 1e-9),
        ("primal_feasibility_tolerance", 1e-9),
    ] {
        solver.try_set_option(option, value).map_err(failed)?;
    }
    let solved = solver.try_solve().map_err(failed)?;
    let status = solved.status();
    if !matches!(
        status,
        HighsModelStatus::Optimal
            | HighsModelStatus::ModelEmpty
            | HighsModelStatus::ReachedTimeLimit
    ) {
        return Err(failed(status));
    }
    let proven = solved.double_info_value(c"mip_dual_bound").unwrap_or(f64::INFINITY);
    let is_linear = programme.min_share <= 0.0;
    let bound = if is_linear { solved.objective_value() } else { proven };
    let found = solved.get_solution();
    let share = |column: Col| found.columns().get(column.index()).copied().unwrap_or(0.0);
    let model = Model::new(programme);
    let mut shares: Vec<_> = model
        .columns
        .iter()
        .map(|column| columns[column.zone][column.line].map_or(0.0, share))
        .collect();
    model.tidy(&mut shares);
    let objective = model.value(&shares) * model.scale;
    let bound = bound.max(objective);
    Ok(Assignment {
        shares: model.table(&shares),
        objective,
        bound,
        gap: if bound > 0.0 { (bound - objective) / bound } else { 0.0 },
        stopped_early: status == HighsModelStatus::ReachedTimeLimit,
        binding: Vec::new(),
    })
}

fn failed(status: impl std::fmt::Debug) -> MosaicError {
    MosaicError::Reference { status: format!("{status:?}") }
}

/// Columns by zone and line; `None`: not allowed.
type Columns = Vec<Vec<Option<Col>>>;

fn formulate(programme: &Programme) -> (RowProblem, Columns) {
    let mut problem = RowProblem::default();
    let columns: Columns = programme
        .zones
        .iter()
        .map(|zone| {
            let share = |worth: f64, problem: &mut RowProblem| {
                if programme.min_share > 0.0 {
                    problem.add_semi_continuous_column(worth, programme.min_share..=1.0)
                } else {
                    problem.add_column(worth, 0.0..=1.0)
                }
            };
            let offers = zone.offers.iter();
            offers.map(|o| o.map(|o| share(zone.area_ha * o.worth_per_ha, &mut problem))).collect()
        })
        .collect();
    for row in &columns {
        let sum: Vec<_> = row.iter().flatten().map(|&column| (column, 1.0)).collect();
        problem.add_row(..=1.0, sum);
    }
    let cap = programme.line_cap * programme.area_ha();
    for (line, limit) in programme.lines.iter().enumerate() {
        let taken = programme.zones.iter().zip(&columns);
        let taken = taken.filter_map(|(zone, row)| Some((row[line]?, zone, zone.offers[line]?)));
        let hectares: Vec<_> =
            taken.clone().map(|(column, zone, _)| (column, zone.area_ha)).collect();
        problem.add_row(..=cap, hectares);
        if let Some(supply) = limit.supply {
            // thousands of plants, so that rows are of one size
            let plants = |zone: f64, per_ha: f64| zone * per_ha / 1_000.0;
            let plants: Vec<_> = taken
                .map(|(column, zone, offer)| (column, plants(zone.area_ha, offer.plants_per_ha)))
                .collect();
            problem.add_row(..=supply / 1_000.0, plants);
        }
    }
    (problem, columns)
}
