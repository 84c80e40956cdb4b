//! Shares from a solver made to keep every rule, to the last digit that matters.

use super::model::{DUST, Model, ROW_TOLERANCE};

/// How far below the least share a solver's tolerance may leave a share that is meant.
const NEAR_LEAST: f64 = 1e-5;

impl Model {
    /// Removes dust, lifts shares just below the least, and takes back whatever overdraws a zone
    /// or a limit. The result keeps every limit, to `ROW_TOLERANCE`; what rows ask for, and zones
    /// that must be planted, are left as they are.
    pub(super) fn tidy(&self, shares: &mut [f64]) {
        for share in shares.iter_mut() {
            *share = self.snap(*share);
        }
        for zone in &self.zones {
            let members: Vec<_> = zone.clone().collect();
            let over = members.iter().map(|&column| shares[column]).sum::<f64>() - 1.0;
            if over > 0.0 {
                self.take_back(shares, &members, over, |_| 1.0);
            }
        }
        for row in (0..self.rows.len()).filter(|&row| !self.rows[row].asks()) {
            let over = self.used(shares)[row] - self.rows[row].most;
            if over > ROW_TOLERANCE {
                let fraction = |column: usize| {
                    self.columns[column].uses().find(|(r, _)| *r == row).map_or(0.0, |(_, f)| f)
                };
                let members: Vec<_> =
                    (0..self.columns.len()).filter(|&column| fraction(column) > 0.0).collect();
                self.take_back(shares, &members, over, fraction);
            }
        }
    }

    fn snap(&self, share: f64) -> f64 {
        if !(share >= DUST && share >= self.min_share - NEAR_LEAST) {
            0.0
        } else if share > 1.0 - DUST {
            1.0
        } else {
            share.max(self.min_share)
        }
    }

    /// Lowers members' shares until `over` is gone, each share by what it holds above the least,
    /// the largest first; what still remains costs whole shares, the least worth first.
    fn take_back(
        &self,
        shares: &mut [f64],
        members: &[usize],
        mut over: f64,
        weight: impl Fn(usize) -> f64,
    ) {
        let mut order = members.to_vec();
        order.sort_by(|&a, &b| shares[b].total_cmp(&shares[a]).then(a.cmp(&b)));
        for &column in &order {
            let spare = (shares[column] - self.min_share).max(0.0);
            let cut = spare.min((over / weight(column)).max(0.0));
            if cut > 0.0 {
                shares[column] = (shares[column] - cut).max(self.min_share);
                over -= cut * weight(column);
            }
        }
        let worth = |column: usize, shares: &[f64]| self.columns[column].value * shares[column];
        order.sort_by(|&a, &b| worth(a, shares).total_cmp(&worth(b, shares)).then(a.cmp(&b)));
        for &column in &order {
            if over > ROW_TOLERANCE && shares[column] > 0.0 {
                over -= shares[column] * weight(column);
                shares[column] = 0.0;
            }
        }
    }
}
