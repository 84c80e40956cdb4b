//! The programme in solver's terms: columns with a value, rows that they use up.

use std::ops::Range;

use super::{LimitKind, Programme};

/// Relative preference for earlier lines, then earlier zones, among equals. Far above the
/// solver's tolerance and far below what matters in the field.
pub(super) const PREFERENCE: f64 = 1e-6;

/// A share below this is none.
pub(super) const DUST: f64 = 1e-9;

/// How far rows may be overdrawn, relative to their limit.
pub(super) const ROW_TOLERANCE: f64 = 1e-9;

/// A share of one zone that one line may take.
#[derive(Debug, Clone, Copy)]
pub(super) struct Column {
    pub(super) zone: usize,
    pub(super) line: usize,
    /// Value of share 1, where the best column has 1.
    pub(super) value: f64,
    /// `value`, a trifle less for later lines and zones, so that equals have one answer.
    pub(super) preferred: f64,
    /// Rows and the fraction of each that share 1 uses up.
    uses: [Option<(usize, f64)>; 2],
}

impl Column {
    /// Rows and the fraction of each that share 1 uses up.
    pub(super) fn uses(&self) -> impl Iterator<Item = (usize, f64)> + use<> {
        self.uses.into_iter().flatten()
    }

    /// What its share of the rows costs at these prices.
    pub(super) fn cost(&self, prices: &[f64]) -> f64 {
        self.uses().map(|(row, fraction)| fraction * prices[row]).sum()
    }
}

/// A limit that could bind; columns use fractions of it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Row {
    pub(super) line: usize,
    pub(super) limit: LimitKind,
    /// The whole of it, in plants or hectares.
    pub(super) amount: f64,
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
    pub(super) lines: usize,
    pub(super) min_share: f64,
    /// Worth of value 1.
    pub(super) scale: f64,
}

impl Model {
    /// A programme that has been checked. Left out are columns worth nothing, columns whose least
    /// share alone would break a limit, and rows that no assignment can overdraw.
    pub(super) fn new(programme: &Programme) -> Self {
        let lines = programme.lines.len();
        let cap_ha = programme.line_cap * programme.area_ha();
        let supply = |line: usize| programme.lines[line].supply.unwrap_or(f64::INFINITY);
        let mut needs = vec![[0.0, 0.0]; lines];
        let mut drafts = Vec::new();
        for (zone, offers) in programme.zones.iter().enumerate() {
            for (line, offer) in offers.offers.iter().enumerate() {
                let Some(offer) = offer else { continue };
                let worth = offers.area_ha * offer.worth_per_ha;
                let plants = offers.area_ha * offer.plants_per_ha;
                let least = programme.min_share.max(DUST);
                let fits = |need: f64, limit: f64| need * least <= limit;
                if worth > 0.0 && fits(plants, supply(line)) && fits(offers.area_ha, cap_ha) {
                    needs[line][0] += plants;
                    needs[line][1] += offers.area_ha;
                    drafts.push((zone, line, worth, [plants, offers.area_ha]));
                }
            }
        }
        let (rows, row_of) = rows(&needs, |line| [supply(line), cap_ha]);
        let zone_count = programme.zones.len() as f64;
        let scale = drafts.iter().map(|draft| draft.2).fold(0.0, f64::max).max(f64::MIN_POSITIVE);
        let columns: Vec<_> = drafts
            .into_iter()
            .map(|(zone, line, worth, need)| {
                let value = worth / scale;
                let place = place(line as f64 / lines as f64, zone as f64 / zone_count);
                let uses = [0, 1].map(|kind| {
                    row_of[line][kind].map(|row: usize| (row, need[kind] / rows[row].amount))
                });
                let preferred = value * (1.0 - PREFERENCE * place);
                Column { zone, line, value, preferred, uses }
            })
            .collect();
        let zones = zone_ranges(&columns, programme.zones.len());
        Self { columns, rows, zones, lines, min_share: programme.min_share, scale }
    }

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

    /// A value that no assignment exceeds, from any prices of rows, 0 or more (weak duality):
    /// every zone sells its ground to the line that pays best after buying what it uses up, and
    /// the limits themselves are sold whole.
    pub(super) fn bound(&self, prices: &[f64]) -> f64 {
        let ground: f64 = self
            .zones
            .iter()
            .map(|zone| {
                let pays = |column: &Column| column.value - column.cost(prices);
                self.columns[zone.clone()].iter().map(pays).fold(0.0, f64::max)
            })
            .sum();
        ground + prices.iter().sum::<f64>()
    }

    /// What a zone would choose at these prices, the first among equals.
    pub(super) fn best(&self, zone: usize, prices: &[f64]) -> Best {
        let mut best = Best { column: None, pays: 0.0, regret: 0.0 };
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
        Best { regret: best.pays - second, ..best }
    }

    /// The `count` zones whose choice at these prices is least clear, in order, and shares by
    /// column that give the other zones their choice.
    pub(super) fn by_regret(&self, prices: &[f64], count: usize) -> (Vec<usize>, Vec<f64>) {
        let choices: Vec<_> = (0..self.zones.len()).map(|zone| self.best(zone, prices)).collect();
        let mut order: Vec<_> = (0..self.zones.len()).collect();
        order.sort_by(|&a, &b| choices[a].regret.total_cmp(&choices[b].regret).then(a.cmp(&b)));
        let clear = order.split_off(count.min(order.len()));
        let mut shares = vec![0.0; self.columns.len()];
        for column in clear.into_iter().filter_map(|zone| choices[zone].column) {
            shares[column] = 1.0;
        }
        order.sort_unstable();
        (order, shares)
    }

    /// Shares by zone and line from shares by column.
    pub(super) fn table(&self, shares: &[f64]) -> Vec<Vec<f64>> {
        let mut table = vec![vec![0.0; self.lines]; self.zones.len()];
        for (column, &share) in self.columns.iter().zip(shares) {
            table[column.zone][column.line] = share;
        }
        table
    }
}

/// How late a column comes, 0 to 1, from how late its line and its zone come, each 0 to 1. Rises
/// with both; the product lets earlier zones take earlier lines when lines are worth the same.
fn place(line: f64, zone: f64) -> f64 {
    0.5 * line * (1.0 - 0.5 * zone) + 0.5 * zone
}

/// Rows that can be overdrawn, and each line's supply and cap row among them.
fn rows(
    needs: &[[f64; 2]],
    limits: impl Fn(usize) -> [f64; 2],
) -> (Vec<Row>, Vec<[Option<usize>; 2]>) {
    let mut rows = Vec::new();
    let mut row_of = vec![[None; 2]; needs.len()];
    for (line, need) in needs.iter().enumerate() {
        for (kind, limit) in [LimitKind::Supply, LimitKind::Cap].into_iter().enumerate() {
            let amount = limits(line)[kind];
            if need[kind] > amount {
                row_of[line][kind] = Some(rows.len());
                rows.push(Row { line, limit, amount });
            }
        }
    }
    (rows, row_of)
}

fn zone_ranges(columns: &[Column], zones: usize) -> Vec<Range<usize>> {
    (0..zones)
        .map(|zone| {
            let start = columns.partition_point(|column| column.zone < zone);
            start..columns.partition_point(|column| column.zone <= zone)
        })
        .collect()
}
