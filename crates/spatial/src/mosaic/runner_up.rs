//! The line that would take a zone if the chosen one were not there.

use super::model::Model;
use super::{Given, Programme, RunnerUp};

/// By zone: the best line that takes no share of it, at the given prices of rows.
pub(super) fn runners_up(
    model: &Model,
    programme: &Programme,
    given: &[Vec<Given>],
    prices: &[f64],
) -> Vec<Option<RunnerUp>> {
    (0..model.zones.len())
        .map(|zone| runner_up(model, programme, zone, &given[zone], prices))
        .collect()
}

fn runner_up(
    model: &Model,
    programme: &Programme,
    zone: usize,
    given: &[Given],
    prices: &[f64],
) -> Option<RunnerUp> {
    let columns = || model.columns[model.zones[zone].clone()].iter();
    let pays = |column: &super::model::Column| column.value - column.cost(prices);
    let is_given = |line: usize| given.iter().any(|part| part.line == line);
    let chosen = columns().filter(|column| is_given(column.line)).map(pays);
    let chosen = chosen.fold(f64::NEG_INFINITY, f64::max);
    let chosen = if chosen.is_finite() { chosen } else { 0.0 };
    let others = columns().filter(|column| !is_given(column.line));
    let best = others.max_by(|a, b| pays(a).total_cmp(&pays(b)).then(b.line.cmp(&a.line)))?;
    let less = (chosen - pays(best)).max(0.0) * model.scale;
    Some(RunnerUp { line: best.line, less_per_ha: less / programme.zones[zone].area_ha })
}
