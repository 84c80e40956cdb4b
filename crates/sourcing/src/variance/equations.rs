//! The mixed-model equations, trees and stands taken out one by one.
//!
//! With each effect written as θ times a variable of the error's variance, the matrix of the equations is
//! an arrow: trees touch only their stand, the years and the mean; stands only the years and the mean. So
//! it is factored in one pass over trees, those of a stand that were sampled alike at once, and a small dense
//! matrix of years and mean is left.

use super::records::{Group, Records};

/// Standard deviation of each effect over that of the error.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Theta {
    pub(super) tree: f64,
    pub(super) stand: f64,
    pub(super) year: f64,
}

/// The factored equations: years, mean and right-hand side in this order.
pub(super) struct Factored {
    /// Lower triangle by rows, of size `years + 2`; the last row is the right-hand side, its last entry the
    /// root of the sum of squares that is left.
    dense: Vec<Vec<f64>>,
    stands: Vec<Pivot>,
    theta: Theta,
    log_determinant: f64,
}

/// A row that was taken out: its pivot, and what it has in the columns of years, mean and right-hand side.
struct Pivot {
    diagonal: f64,
    row: Vec<f64>,
}

/// Row of any tree of a group: pivot, entry of its stand; the others go into `row`, the right-hand side being
/// left to the caller.
fn tree_row(group: &Group, theta: Theta, row: &mut [f64]) -> (f64, f64) {
    let last = row.len();
    row.fill(0.0);
    for (year, count) in &group.cells {
        row[*year] = theta.tree * theta.year * count;
    }
    row[last - 2] = theta.tree * group.count;
    (theta.tree * theta.tree * group.count + 1.0, theta.tree * theta.stand * group.count)
}

impl Factored {
    /// Factors the equations. Cost: O(groups × years²), a group being trees of a stand that were sampled alike.
    pub(super) fn new(records: &Records, theta: Theta) -> Self {
        let size = records.years.len() + 2;
        let (mean, right) = (size - 2, size - 1);
        let mut dense = vec![vec![0.0; size]; size];
        let (mut all, mut sum) = (0.0, 0.0);
        for (year, of) in records.years.iter().enumerate() {
            dense[year][year] = theta.year * theta.year * of.count + 1.0;
            dense[mean][year] = theta.year * of.count;
            dense[right][year] = theta.year * of.sum;
            all += of.count;
            sum += of.sum;
        }
        dense[mean][mean] = all;
        dense[right][mean] = sum;
        dense[right][right] = records.squares;
        let mut log_determinant = 0.0;
        let mut row = vec![0.0; size];
        let mut stands = Vec::with_capacity(records.stands.len());
        for of_stand in &records.stands {
            let mut stand = Pivot { diagonal: 1.0, row: vec![0.0; size] };
            for group in &records.groups[of_stand.groups.clone()] {
                for (year, count) in &group.cells {
                    stand.row[*year] += theta.stand * theta.year * count * group.trees;
                }
                stand.diagonal += theta.stand * theta.stand * group.count * group.trees;
                stand.row[mean] += theta.stand * group.count * group.trees;
                stand.row[right] += theta.stand * group.sum;
                if theta.tree > 0.0 {
                    let (pivot, of_stand) = tree_row(group, theta, &mut row);
                    stand.diagonal -= of_stand * of_stand / pivot * group.trees;
                    for (entry, own) in stand.row[..right].iter_mut().zip(&row) {
                        *entry -= of_stand * own / pivot * group.trees;
                    }
                    stand.row[right] -= of_stand * theta.tree * group.sum / pivot;
                    take_out(&mut dense[..right], &row[..right], pivot / group.trees);
                    for (entry, own) in dense[right][..right].iter_mut().zip(&row) {
                        *entry -= own * theta.tree * group.sum / pivot;
                    }
                    dense[right][right] -= theta.tree * theta.tree * group.squares / pivot;
                    log_determinant += pivot.ln() * group.trees;
                }
            }
            take_out(&mut dense, &stand.row, stand.diagonal);
            log_determinant += stand.diagonal.ln();
            stands.push(stand);
        }
        factor(&mut dense);
        log_determinant +=
            dense[..mean].iter().enumerate().map(|(at, row)| 2.0 * row[at].ln()).sum::<f64>();
        Self { dense, stands, theta, log_determinant }
    }

    /// Logarithm of the determinant of the random part.
    pub(super) fn log_determinant(&self) -> f64 {
        self.log_determinant
    }

    /// The pivot of the mean, whose square over the error's variance is the mean's precision.
    pub(super) fn mean_pivot(&self) -> f64 {
        let at = self.dense.len() - 2;
        self.dense[at][at]
    }

    /// Sum of squares that is left.
    pub(super) fn left(&self) -> f64 {
        let at = self.dense.len() - 1;
        self.dense[at][at] * self.dense[at][at]
    }

    /// Effects: mean, years, stands, trees (in the order of `records.trees`), on the scale of the records.
    pub(super) fn solve(&self, records: &Records) -> Effects {
        let size = self.dense.len();
        let (mean, right) = (size - 2, size - 1);
        let mut solution = vec![0.0; size];
        for at in (0..=mean).rev() {
            let known: f64 = (at + 1..=mean).map(|on| self.dense[on][at] * solution[on]).sum();
            solution[at] = (self.dense[right][at] - known) / self.dense[at][at];
        }
        let known = |row: &[f64]| (0..=mean).map(|at| row[at] * solution[at]).sum::<f64>();
        let mut row = vec![0.0; size];
        let (mut stands, mut trees) = (Vec::new(), Vec::new());
        for (stand, of_stand) in self.stands.iter().zip(&records.stands) {
            let value = (stand.row[right] - known(&stand.row)) / stand.diagonal;
            for tree in &records.trees[of_stand.trees.clone()] {
                let (pivot, on_stand) = tree_row(&records.groups[tree.group], self.theta, &mut row);
                let own = self.theta.tree * tree.of.sum;
                let own = (own - on_stand * value - known(&row)) / pivot;
                trees.push(own * self.theta.tree);
            }
            stands.push(value * self.theta.stand);
        }
        let years = solution[..mean].iter().map(|year| year * self.theta.year).collect();
        Effects { mean: solution[mean], years, stands, trees }
    }

    /// Variance of the error of (mean +) stand + tree, and of the tree alone, over the error's variance;
    /// for each group: its trees are known equally well. Cost: O(groups × years²).
    pub(super) fn prediction_variances(&self, records: &Records) -> Vec<[f64; 2]> {
        let mut row = vec![0.0; self.dense.len()];
        let mut variances = Vec::with_capacity(records.groups.len());
        for (stand, of_stand) in self.stands.iter().zip(&records.stands) {
            for group in &records.groups[of_stand.groups.clone()] {
                let (pivot, on_stand) = tree_row(group, self.theta, &mut row);
                let of =
                    |wanted: [f64; 3]| self.variance_of(wanted, (pivot, on_stand, &row), stand);
                variances.push([
                    of([self.theta.tree, self.theta.stand, 1.0]),
                    of([self.theta.tree, 0.0, 0.0]),
                ]);
            }
        }
        variances
    }

    /// Variance of so much of a tree, its stand and the mean together: k′ C⁻¹ k by solving with the factor.
    fn variance_of(
        &self,
        [on_tree, on_stand, on_mean]: [f64; 3],
        (pivot, of_stand, row): (f64, f64, &[f64]),
        stand: &Pivot,
    ) -> f64 {
        let mut rest = vec![0.0; self.dense.len() - 1];
        if let Some(mean) = rest.last_mut() {
            *mean = on_mean;
        }
        let mut total = on_tree * on_tree / pivot;
        for (entry, own) in rest.iter_mut().zip(row) {
            *entry -= own * on_tree / pivot;
        }
        let on = on_stand - of_stand * on_tree / pivot;
        total += on * on / stand.diagonal;
        for (entry, own) in rest.iter_mut().zip(&stand.row) {
            *entry -= own * on / stand.diagonal;
        }
        for at in 0..rest.len() {
            let known: f64 = (0..at).map(|on| self.dense[at][on] * rest[on]).sum();
            rest[at] = (rest[at] - known) / self.dense[at][at];
            total += rest[at] * rest[at];
        }
        total
    }
}

impl Factored {
    /// One draw of what the records leave open of years, mean and stands together, for an error of variance
    /// 1, as `normal` has it; `take` is told of each group the shift that its trees share and the deviation
    /// that is left to each tree alone.
    pub(super) fn draw_shared(
        &self,
        records: &Records,
        normal: &mut dyn FnMut() -> f64,
        take: &mut dyn FnMut(usize, f64, f64),
    ) {
        let size = self.dense.len();
        let mean = size - 2;
        let mut shift = vec![0.0; size];
        for at in (0..=mean).rev() {
            let known: f64 = (at + 1..=mean).map(|on| self.dense[on][at] * shift[on]).sum();
            shift[at] = (normal() - known) / self.dense[at][at];
        }
        let mut row = vec![0.0; size];
        for (stand, of_stand) in self.stands.iter().zip(&records.stands) {
            let known: f64 = (0..=mean).map(|at| stand.row[at] * shift[at]).sum();
            let own = (normal() - known / stand.diagonal.sqrt()) / stand.diagonal.sqrt();
            for group in of_stand.groups.clone() {
                let (pivot, on_stand) = tree_row(&records.groups[group], self.theta, &mut row);
                let known: f64 = (0..=mean).map(|at| row[at] * shift[at]).sum();
                let of_tree = -(on_stand * own + known) / pivot;
                let shared = shift[mean] + self.theta.stand * own + self.theta.tree * of_tree;
                take(group, shared, self.theta.tree / pivot.sqrt());
            }
        }
    }
}

/// Effects on the scale of the records.
pub(super) struct Effects {
    pub(super) mean: f64,
    pub(super) years: Vec<f64>,
    pub(super) stands: Vec<f64>,
    pub(super) trees: Vec<f64>,
}

/// Takes a row out of those that are left; entries of 0 cost nothing.
fn take_out(dense: &mut [Vec<f64>], row: &[f64], pivot: f64) {
    for (at, own) in row.iter().enumerate().filter(|(_, own)| **own != 0.0) {
        let share = own / pivot;
        for (entry, other) in dense[at][..=at].iter_mut().zip(row) {
            *entry -= share * other;
        }
    }
}

/// Cholesky's factor in place, lower triangle. What rounding has made negative becomes 0.
fn factor(dense: &mut [Vec<f64>]) {
    for at in 0..dense.len() {
        let (above, from) = dense.split_at_mut(at);
        let row = &mut from[0];
        for (on, other) in above.iter().enumerate() {
            let known: f64 = row[..on].iter().zip(other).map(|(a, b)| a * b).sum();
            row[on] = (row[on] - known) / other[on];
        }
        let known: f64 = row[..at].iter().map(|entry| entry * entry).sum();
        row[at] = (row[at] - known).max(0.0).sqrt();
    }
}
