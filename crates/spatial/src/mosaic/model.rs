//! The programme in solver's terms: columns with a value, rows that they use up.

use std::ops::Range;

use super::decisions::SHORT;
use super::{Given, Limit};

/// Relative preference for earlier lines, then earlier zones, among equals. Far above the
/// solver's tolerance and far below what matters in the field.
pub(super) const PREFERENCE: f64 = 1e-6;

/// A share below this is none.
pub(super) const DUST: f64 = 1e-9;

/// How far rows may be overdrawn, relative to their limit.
pub(super) const ROW_TOLERANCE: f64 = 1e-9;

/// A share of one zone that one line may take in one season.
#[derive(Debug, Clone)]
pub(super) struct Column {
    pub(super) zone: usize,
    pub(super) line: usize,
    pub(super) season: usize,
    /// What share 1 is worth more than leaving the zone, where the best column has 1.
    pub(super) value: f64,
    /// `value`, a trifle less for later lines, zones and seasons, so that equals have one answer.
    pub(super) preferred: f64,
    /// Rows and the fraction of each that share 1 uses up; less than 0 where it adds to what a
    /// row asks for.
    pub(super) uses: Box<[(usize, f64)]>,
}

impl Column {
    /// Rows and the fraction of each that share 1 uses up.
    pub(super) fn uses(&self) -> impl Iterator<Item = (usize, f64)> + '_ {
        self.uses.iter().copied()
    }

    /// What its share of the rows costs at these prices.
    pub(super) fn cost(&self, prices: &[f64]) -> f64 {
        self.uses().map(|(row, fraction)| fraction * prices[row]).sum()
    }
}

/// A limit that could bind; columns use fractions of it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Row {
    pub(super) limit: Limit,
    /// The whole of it, in plants, hectares or money.
    pub(super) amount: f64,
    /// What use may sum to at most: 1 of a limit, −1 of what is asked for.
    pub(super) most: f64,
}

impl Row {
    /// Whether it asks for use instead of limiting it.
    pub(super) fn asks(&self) -> bool {
        self.most < 0.0
    }
}

/// What a zone would choose at given prices.
#[derive(Debug, Clone, Copy)]
pub(super) struct Best {
    /// The column; `None`: the ground is left.
    pub(super) column: Option<usize>,
    /// What it pays after its share of the rows.
    pub(super) pays: f64,
    /// How much more than the second best choice, leaving included.
    pub(super) regret: f64,
}

/// Columns that can be worth anything, zone by zone, and rows that can bind.
#[derive(Debug, Clone)]
pub(super) struct Model {
    pub(super) columns: Vec<Column>,
    pub(super) rows: Vec<Row>,
    /// Columns of each zone.
    pub(super) zones: Vec<Range<usize>>,
    /// Whether a zone must be planted whole.
    pub(super) full: Vec<bool>,
    pub(super) min_share: f64,
    /// Worth of value 1.
    pub(super) scale: f64,
    /// Worth when every zone is left.
    pub(super) left_worth: f64,
    /// Whether it can be seen without solving that nothing keeps every row.
    pub(super) impossible: bool,
}

impl Model {
    /// Value of shares by column.
    pub(super) fn value(&self, shares: &[f64]) -> f64 {
        self.columns.iter().zip(shares).map(|(column, share)| column.value * share).sum()
    }

    /// Fraction of each row that shares by column use up.
    pub(super) fn used(&self, shares: &[f64]) -> Vec<f64> {
        let mut used = vec![0.0; self.rows.len()];
        for (column, share) in self.columns.iter().zip(shares) {
            for (row, fraction) in column.uses() {
                used[row] += fraction * share;
            }
        }
        used
    }

    /// What each row has to spare under shares by column.
    pub(super) fn spare(&self, shares: &[f64]) -> Vec<f64> {
        let used = self.used(shares);
        self.rows.iter().zip(used).map(|(row, used)| row.most - used).collect()
    }

    /// Whether shares that overdraw no zone and no limit also keep what rows ask for, and plant
    /// whole what must be planted.
    pub(super) fn keeps_what_is_asked(&self, shares: &[f64]) -> bool {
        let asked = self.rows.iter().zip(self.spare(shares));
        let mut zones = self.zones.iter().zip(&self.full);
        asked.filter(|(row, _)| row.asks()).all(|(_, spare)| spare >= -SHORT)
            && zones.all(|(zone, full)| {
                !full || shares[zone.clone()].iter().sum::<f64>() >= 1.0 - SHORT
            })
    }

    /// A value that no assignment exceeds, from any prices of rows, 0 or more (weak duality):
    /// every zone sells its ground to the line that pays best after buying what it uses up, and
    /// the limits themselves are sold whole.
    pub(super) fn bound(&self, prices: &[f64]) -> f64 {
        let ground = |(zone, full): (&Range<usize>, &bool)| {
            let pays = |column: &Column| column.value - column.cost(prices);
            let least = if *full && !zone.is_empty() { f64::NEG_INFINITY } else { 0.0 };
            self.columns[zone.clone()].iter().map(pays).fold(least, f64::max)
        };
        let sold: f64 = self.rows.iter().zip(prices).map(|(row, price)| row.most * price).sum();
        self.zones.iter().zip(&self.full).map(ground).sum::<f64>() + sold
    }

    /// What a zone would choose at these prices, the first among equals.
    pub(super) fn best(&self, zone: usize, prices: &[f64]) -> Best {
        let least = if self.full[zone] { f64::NEG_INFINITY } else { 0.0 };
        let mut best = Best { column: None, pays: least, regret: 0.0 };
        let mut second = f64::NEG_INFINITY;
        for index in self.zones[zone].clone() {
            let column = &self.columns[index];
            let pays = column.preferred - column.cost(prices);
            if pays > best.pays {
                second = best.pays;
                best = Best { column: Some(index), pays, ..best };
            } else {
                second = second.max(pays);
            }
        }
        if best.column.is_none() && self.full[zone] {
            return Best { column: None, pays: 0.0, regret: f64::INFINITY };
        }
        Best { regret: best.pays - second, ..best }
    }

    /// The `count` columns of a zone that pay best at these prices, in order.
    pub(super) fn likeliest(&self, zone: usize, prices: &[f64], count: usize) -> Vec<usize> {
        let pays = |column: &usize| {
            let column = &self.columns[*column];
            column.preferred - column.cost(prices)
        };
        let mut columns: Vec<_> = self.zones[zone].clone().map(|at| (pays(&at), at)).collect();
        columns.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        let mut columns: Vec<_> = columns.into_iter().take(count).map(|(_, at)| at).collect();
        columns.sort_unstable();
        columns
    }

    /// The `count` zones whose choice at these prices is least clear, in order, and shares by
    /// column that give the other zones their choice. Where those choices would overdraw a limit,
    /// further zones are unclear.
    pub(super) fn unclear(&self, prices: &[f64], count: usize) -> (Vec<usize>, Vec<f64>) {
        let choices: Vec<_> = (0..self.zones.len()).map(|zone| self.best(zone, prices)).collect();
        let mut unclear: Vec<_> = (0..self.zones.len()).collect();
        unclear.sort_by(|&a, &b| choices[a].regret.total_cmp(&choices[b].regret).then(a.cmp(&b)));
        let clear = unclear.split_off(count.min(unclear.len()));
        let mut shares = vec![0.0; self.columns.len()];
        for column in clear.iter().filter_map(|&zone| choices[zone].column) {
            shares[column] = 1.0;
        }
        let mut spare = self.spare(&shares);
        for &zone in &clear {
            let Some(column) = choices[zone].column else { continue };
            let overdraws = |(row, fraction): (usize, f64)| fraction > 0.0 && spare[row] < 0.0;
            if self.columns[column].uses().any(overdraws) {
                shares[column] = 0.0;
                unclear.push(zone);
                for (row, fraction) in self.columns[column].uses() {
                    spare[row] += fraction;
                }
            }
        }
        unclear.sort_unstable();
        (unclear, shares)
    }

    /// Shares by zone from shares by column.
    pub(super) fn given(&self, shares: &[f64]) -> Vec<Vec<Given>> {
        let of_zone = |zone: &Range<usize>| {
            let taken = zone.clone().filter(|&column| shares[column] > 0.0);
            let one = |column: usize| {
                let Column { line, season, .. } = self.columns[column];
                Given { line, season, share: shares[column] }
            };
            taken.map(one).collect()
        };
        self.zones.iter().map(of_zone).collect()
    }
}
