//! The blanking order: plants that fill the gaps of what is to be planted again.

use std::collections::BTreeMap;

use serde::Serialize;
use stock::Library;
use tally::{Decision, OrderRules, RoundedOrder, blanking_plants};

use super::{SurveyRow, SurveyRules};
use crate::problem::Problem;
use crate::write::disarmed;

/// Plants to order for one line in one zone.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BlankingRow {
    /// Its zone.
    pub zone_id: String,
    /// Its stock.
    pub stock_id: String,
    /// Name of the stock.
    pub stock_name: String,
    /// Plants that must live to be back at the target.
    pub missing: u64,
    /// Share alive of those counted, which the order reckons with.
    pub alive_share: f64,
    /// Plants of which so many live, with the chance asked for.
    pub needed: u64,
    /// Added as spares.
    pub spare: u64,
    /// Added to reach the smallest lot of the line.
    pub lot: u64,
    /// Added to fill the last tray.
    pub tray: u64,
    /// Plants to order.
    pub order_qty: u64,
}

/// The order, and the rows for which none can be made because too few live.
pub(super) fn orders<'r>(
    rows: &'r [SurveyRow],
    library: &Library,
    rules: &SurveyRules,
) -> (Vec<BlankingRow>, Vec<&'r SurveyRow>) {
    let (mut orders, mut hopeless) = (Vec::new(), Vec::new());
    for row in rows.iter().filter(|row| row.decision == Decision::Replant) {
        let missing = row.target.saturating_sub(row.alive_estimate.unwrap_or(0));
        let needed = blanking_plants(missing, row.alive, row.counted, rules.order_confidence);
        match (needed, row.alive_share) {
            (Some(needed), Some(share)) => orders.push(order(row, missing, share, needed)),
            _ => hopeless.push(row),
        }
    }
    round(&mut orders, library, rules);
    (orders, hopeless)
}

fn order(row: &SurveyRow, missing: u64, alive_share: f64, needed: u64) -> BlankingRow {
    BlankingRow {
        zone_id: row.zone_id.clone(),
        stock_id: row.stock_id.clone(),
        stock_name: row.stock_name.clone(),
        missing,
        alive_share,
        needed,
        spare: 0,
        lot: 0,
        tray: 0,
        order_qty: needed,
    }
}

/// Each row in whole trays; what a line lacks to its smallest lot goes to its largest row.
fn round(orders: &mut [BlankingRow], library: &Library, rules: &SurveyRules) {
    let plain = OrderRules { spare: rules.spare, lot: 0, tray: rules.tray };
    let mut lines: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (at, row) in orders.iter_mut().enumerate() {
        row.take(plain.rounded(row.needed));
        lines.entry(row.stock_id.clone()).or_default().push(at);
    }
    for (id, own) in lines {
        let lot = library.find(&id).and_then(|(_, stock)| stock.min_lot).map_or(0, u64::from);
        let total = own.iter().fold(0_u64, |sum, at| sum.saturating_add(orders[*at].order_qty));
        // The first of equals: later places lose.
        let largest = own.into_iter().max_by_key(|at| (orders[*at].needed, usize::MAX - at));
        if let Some(at) = largest.filter(|_| total < lot) {
            let others = total - orders[at].order_qty;
            let whole = OrderRules { lot: lot - others, ..plain };
            orders[at].take(whole.rounded(orders[at].needed));
        }
    }
}

impl BlankingRow {
    fn take(&mut self, order: RoundedOrder) {
        (self.spare, self.lot, self.tray) = (order.spare, order.lot, order.tray);
        self.order_qty = order.plants();
    }
}

/// Columns of the file.
const COLUMNS: [&str; 10] = [
    "zone_id",
    "stock_id",
    "stock_name",
    "missing",
    "alive_share",
    "needed",
    "spare",
    "lot",
    "tray",
    "order_qty",
];

/// The order as UTF-8 CSV after RFC 4180 (with plain line feeds), a header line, no totals row; texts that a
/// spreadsheet would run as a formula are disarmed.
///
/// # Errors
/// When a row cannot be written, which is a fault of ours.
pub fn blanking_csv(orders: &[BlankingRow]) -> Result<String, Problem> {
    let trouble = |found: String| {
        let problem = Problem::error("blanking order").found(found);
        let problem = problem.expected("rows that CSV can hold");
        problem.remedy("this is a fault of the program: please report it with the counts")
    };
    let mut table = csv::Writer::from_writer(Vec::new());
    table.write_record(COLUMNS).map_err(|error| trouble(error.to_string()))?;
    for row in orders {
        let counts = [row.needed, row.spare, row.lot, row.tray, row.order_qty];
        let names = [&row.zone_id, &row.stock_id, &row.stock_name];
        let cells = names.into_iter().map(|name| disarmed(name.clone()));
        let cells = cells.chain([row.missing.to_string(), row.alive_share.to_string()]);
        let cells = cells.chain(counts.map(|count| count.to_string()));
        table.write_record(cells).map_err(|error| trouble(error.to_string()))?;
    }
    let bytes = table.into_inner().map_err(|error| trouble(error.to_string()))?;
    String::from_utf8(bytes).map_err(|error| trouble(error.to_string()))
}

#[cfg(test)]
mod tests {
    use std::num::NonZeroU64;

    use super::super::{fixture, rows};
    use super::*;

    fn orders_of(text: &str, rules: &SurveyRules) -> (Vec<BlankingRow>, usize) {
        let text = format!("plot_id,zone_id,stock_id,counted,alive\n{text}");
        let counts = fixture::counts(&text).unwrap();
        let rows = rows::rows(&fixture::plan(), &counts, rules);
        let (orders, hopeless) = orders(&rows, &fixture::library(), rules);
        (orders, hopeless.len())
    }

    /// One order of 320 + 240 missing in the line with a lot of 500, one of the line without.
    const POOR: &str = "A,Z001,amber,100,68\nB,Z002,amber,100,60\nC,Z001,tops,200,100\n";

    #[test]
    fn what_is_to_be_planted_again_is_ordered_with_its_losses() {
        let (orders, hopeless) = orders_of(POOR, &SurveyRules::default());
        assert_eq!((orders.len(), hopeless), (3, 0));
        for row in &orders {
            assert_eq!(row.needed, tally::plants_for(row.missing, row.alive_share, 0.9).unwrap());
            assert_eq!(row.order_qty, row.needed + row.spare + row.lot + row.tray);
        }
        assert_eq!(orders.iter().map(|row| row.missing).collect::<Vec<_>>(), [320, 200, 240]);
        assert!(orders.iter().all(|row| row.lot == 0), "the lot is reached: {orders:?}");
    }

    #[test]
    fn the_stocked_and_the_doubtful_are_not_ordered() {
        let text = "A,Z001,amber,400,380\nB,Z002,amber,10,8\nC,Z001,tops,3,2\n";
        assert_eq!(orders_of(text, &SurveyRules::default()), (vec![], 0));
    }

    #[test]
    fn a_small_line_is_brought_to_its_lot_at_its_largest_row() {
        let rules = SurveyRules {
            tray: NonZeroU64::new(45).unwrap(),
            spare: 0.05,
            ..SurveyRules::default()
        };
        let text = "A,Z001,amber,1000,770\nB,Z002,amber,1000,760\n";
        let (orders, _) = orders_of(text, &rules);
        assert_eq!(orders.iter().map(|row| row.missing).collect::<Vec<_>>(), [230, 144]);
        let text = "B,Z002,amber,1000,760\n";
        let (few, _) = orders_of(text, &rules);
        assert!(few[0].lot > 0 && few[0].order_qty == 540, "500 in trays of 45: {few:?}");
        let total: u64 = orders.iter().map(|row| row.order_qty).sum();
        assert!(
            total >= 500 && orders.iter().all(|row| row.order_qty.is_multiple_of(45)),
            "{orders:?}"
        );
        assert!(orders.iter().all(|row| row.spare == u64::div_ceil(row.needed, 20)), "{orders:?}");
    }

    #[test]
    fn where_none_lives_no_number_is_made_up() {
        let (orders, hopeless) = orders_of("A,Z001,amber,60,0\n", &SurveyRules::default());
        assert_eq!((orders.len(), hopeless), (0, 1));
    }

    #[test]
    fn the_file_has_a_row_for_each_order_and_no_formula() {
        let (mut orders, _) = orders_of(POOR, &SurveyRules::default());
        orders[0].stock_name = "=1+1, \"quoted\"".into();
        let text = blanking_csv(&orders).unwrap();
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        assert_eq!(reader.headers().unwrap(), &COLUMNS[..]);
        let read: Vec<_> = reader.records().map(Result::unwrap).collect();
        assert_eq!((read.len(), &read[0][2]), (3, "'=1+1, \"quoted\""));
        assert_eq!(read[1][9].parse::<u64>().unwrap(), orders[1].order_qty);
        assert_eq!(blanking_csv(&[]).unwrap().lines().count(), 1);
    }
}
