//! The best hectare first: quick, within every limit, often good. Everything else must beat it.
//! What rows ask for it does not hear.

use super::model::Model;

/// Shares by column: columns in falling worth per hectare of their zone, each taking what its zone
/// and its rows still have, if that is a least share or more.
pub(super) fn greedy(model: &Model, worth_per_ha: impl Fn(usize) -> f64) -> Vec<f64> {
    let mut order: Vec<_> = (0..model.columns.len()).collect();
    order.sort_by(|&a, &b| worth_per_ha(b).total_cmp(&worth_per_ha(a)).then(a.cmp(&b)));
    let mut shares = vec![0.0; model.columns.len()];
    let mut open = vec![1.0_f64; model.zones.len()];
    let mut left: Vec<f64> = model.rows.iter().map(|row| row.most).collect();
    for index in order {
        let column = &model.columns[index];
        if column.value <= 0.0 && !model.full[column.zone] {
            continue;
        }
        let fit = column
            .uses()
            .filter(|(_, fraction)| *fraction > 0.0)
            .map(|(row, fraction)| left[row] / fraction)
            .fold(open[column.zone], f64::min);
        if fit <= 0.0 || fit < model.min_share {
            continue;
        }
        shares[index] = fit;
        open[column.zone] -= fit;
        for (row, fraction) in column.uses() {
            left[row] -= fit * fraction;
        }
    }
    shares
}
