//! Planting day by day: blocks in the order of their cards, winter after winter.
//!
//! Days are those of `[labour]`: plants a person sets in a day, by slope. Weather, carrying, and waiting for plants
//! come on top.

use std::collections::BTreeMap;

use super::sheet::{Cell, FIGURE, HUNDREDTHS, Heading, NUMBER, Sheet, TENTHS, Total, WHOLE, at};
use crate::plan::{BlockRow, CardRow, Plan};

/// Columns that formulas speak of, counted from 0.
const PLANTS: u16 = 7;
const PERSON_DAYS: u16 = 9;
const CREW_DAYS: u16 = 10;
const BY_THE_END: u16 = 11;

/// The sheet.
pub(super) fn sheet(plan: &Plan) -> Sheet {
    let blocks: BTreeMap<&str, &BlockRow> =
        plan.blocks.iter().map(|block| (block.block_id.as_str(), block)).collect();
    let mut cards: Vec<&CardRow> = plan.cards.iter().collect();
    cards.sort_by_key(|card| card.season); // stable: by card within a winter
    let mut rows = Vec::new();
    let mut before: Option<Option<i32>> = None;
    for (place, card) in cards.iter().enumerate() {
        let Some(block) = blocks.get(card.block_id.as_str()) else { continue };
        let begins = before != Some(card.season);
        before = Some(card.season);
        rows.push(row(card, block, (place, begins)));
    }
    Sheet {
        name: "Planting by crew-day",
        note: "Winter after winter, by card. Days are of planting alone: weather, carrying and waiting come on top. Steep \
               ground is planted as slowly as it is safe to."
            .into(),
        figure: Some(("People in the crew", Cell::whole(plan.crew_people.map(u64::from)))),
        headings: headings(),
        rows,
        asked: Vec::new(),
    }
}

fn headings() -> Vec<Heading> {
    let heading = Heading::new;
    vec![
        heading("Card (number)", 8.0, NUMBER, Total::No),
        heading("Winter (year)", 9.0, NUMBER, Total::No),
        heading("Zone", 8.0, "@", Total::No),
        heading("Block", 22.0, "@", Total::No),
        heading("Letter", 7.0, "@", Total::No),
        heading("Name of the line", 26.0, "@", Total::No),
        heading("Area along the slope (ha)", 11.0, HUNDREDTHS, Total::Sum),
        heading("Plants into the ground", 11.0, WHOLE, Total::Sum),
        heading("Spacing (m)", 9.0, HUNDREDTHS, Total::No),
        heading("Days of one person", 10.0, TENTHS, Total::Sum),
        heading("Days of the crew", 10.0, TENTHS, Total::SumByFigure),
        heading(
            "Days of the crew by the end of it, from the winter's first",
            14.0,
            TENTHS,
            Total::No,
        ),
        heading("Begins on crew-day (number)", 11.0, NUMBER, Total::No),
        heading("Plants a crew-day", 11.0, WHOLE, Total::No),
    ]
}

fn row(card: &CardRow, block: &BlockRow, (place, begins): (usize, bool)) -> Vec<Cell> {
    let known = |formula: String| format!("=IF(N({FIGURE})<=0,\"\",{formula})");
    let here = |column: u16| at(column, place);
    let reckoned = |formula: String, cell: Cell| Cell::Reckoned(known(formula), Box::new(cell));
    let before = if begins {
        String::new()
    } else {
        format!("{}+", at(BY_THE_END, place.saturating_sub(1)))
    };
    let crew = card.crew_days;
    let plants_a_day = crew.filter(|crew| *crew > 0.0).map(|crew| block.seedlings as f64 / crew);
    vec![
        Cell::Whole(card.card_no as u64),
        Cell::year(card.season),
        Cell::text(&card.zone_id),
        Cell::text(&card.block_id),
        Cell::text(&card.letter),
        Cell::text(&card.stock_name),
        Cell::Real(block.ground_area_ha.0),
        Cell::Whole(block.seedlings),
        Cell::Real(card.spacing_m),
        Cell::Real(block.person_days),
        reckoned(format!("{}/{FIGURE}", here(PERSON_DAYS)), Cell::real(crew)),
        reckoned(format!("{before}{}", here(CREW_DAYS)), Cell::real(card.crew_days_by_the_end)),
        reckoned(
            format!("INT(ROUND({}-{},6))+1", here(BY_THE_END), here(CREW_DAYS)),
            Cell::whole(card.begins_on_crew_day),
        ),
        reckoned(
            format!("IF({0}=0,\"\",{1}/{0})", here(CREW_DAYS), here(PLANTS)),
            Cell::real(plants_a_day),
        ),
    ]
}
