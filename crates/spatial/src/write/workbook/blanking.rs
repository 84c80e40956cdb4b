//! A form to fill in after survivors were counted: how many plants bring each block back to what was planted.

use super::sheet::{Cell, Heading, NUMBER, PERCENT, Sheet, Total, WHOLE, at};
use crate::plan::{CardRow, Plan};

/// Columns that formulas speak of, counted from 0.
const PLANTED: u16 = 5;
const COUNTED: u16 = 6;
const ALIVE: u16 = 7;
const SHARE: u16 = 8;

/// The sheet.
pub(super) fn sheet(plan: &Plan) -> Sheet {
    Sheet {
        name: "Blanking",
        note: "Write in what was counted and what of it lives. The plants to replace bring a block back to what was \
               planted, if what was counted is like the rest and all of them live: `hillweave survival` says how sure \
               that is, and what to order."
            .into(),
        figure: None,
        headings: headings(),
        rows: plan.cards.iter().enumerate().map(|(place, card)| row(card, place)).collect(),
        asked: vec![(COUNTED, None), (ALIVE, Some(COUNTED))],
    }
}

fn headings() -> Vec<Heading> {
    let heading = Heading::new;
    vec![
        heading("Block", 22.0, "@", Total::No),
        heading("Zone", 8.0, "@", Total::No),
        heading("Line", 16.0, "@", Total::No),
        heading("Name of the line", 26.0, "@", Total::No),
        heading("Winter (year)", 9.0, NUMBER, Total::No),
        heading("Planted (plants)", 11.0, WHOLE, Total::Sum),
        heading("Counted (plants)", 11.0, WHOLE, Total::Sum),
        heading("Of them alive (plants)", 11.0, WHOLE, Total::Sum),
        heading("Share alive", 9.0, PERCENT, Total::No),
        heading("To replace (plants)", 11.0, WHOLE, Total::Sum),
    ]
}

fn row(card: &CardRow, place: usize) -> Vec<Cell> {
    let here = |column: u16| at(column, place);
    let share = format!(
        "=IF(AND(ISNUMBER({counted}),ISNUMBER({alive}),{counted}>0),{alive}/{counted},\"\")",
        counted = here(COUNTED),
        alive = here(ALIVE),
    );
    let replace = format!(
        "=IF(ISNUMBER({share}),MAX(0,ROUNDUP(ROUND({planted}*(1-{share}),6),0)),\"\")",
        share = here(SHARE),
        planted = here(PLANTED),
    );
    vec![
        Cell::text(&card.block_id),
        Cell::text(&card.zone_id),
        Cell::text(&card.stock_id),
        Cell::text(&card.stock_name),
        Cell::year(card.season),
        Cell::Whole(card.seedlings),
        Cell::Asked,
        Cell::Asked,
        Cell::Reckoned(share, Box::new(Cell::Empty)),
        Cell::Reckoned(replace, Box::new(Cell::Empty)),
    ]
}
