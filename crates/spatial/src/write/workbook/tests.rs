//! The workbook without a reader of workbooks: sums, formulas and bytes. `tests/outside/workbook.py` reads it.

use proptest::prelude::*;

use super::sheet::{Cell, Heading, Sheet, Total, WHOLE, at};
use super::*;
use crate::plan::{DeliveryRow, LineOrderRow};
use crate::write::fixture::{self, card};

fn plan() -> Plan {
    let mut plan = fixture::plan();
    plan.cards = vec![card(1, "Z001-RIDGE", Some(2028)), card(2, "Z001-LOCAL", Some(2027))];
    plan.crew_people = Some(4);
    let delivery =
        |delivery_no, plants| DeliveryRow { of: 0, delivery_no, plants, trays: plants / 40 };
    plan.line_orders = vec![LineOrderRow {
        order_id: "RIDGE-2028".into(),
        stock_id: "RIDGE".into(),
        stock_name: "=mānuka, tall".into(),
        stock_kind: "cultivar".into(),
        season: Some(2028),
        seedlings: 1032,
        survival: 0.875,
        needed: 1200,
        spare: 0,
        lot: 0,
        tray: 38,
        held_back: 0,
        held_back_by: "",
        order_qty: 1238,
        trays: 31,
        chance: 0.9,
        deliveries: vec![delivery(1, 1000), delivery(2, 238)],
    }];
    plan
}

#[expect(clippy::unnecessary_wraps, reason = "the shape of a transform")]
fn as_they_are(_: &mut [(f64, f64)]) -> Result<(), Problem> {
    Ok(())
}

fn total(sheet: &Sheet, words: &str) -> Cell {
    let column = sheet.headings.iter().position(|heading| heading.words == words).unwrap();
    sheet.total(column as u16, sheet.headings[column].total)
}

#[test]
fn the_same_plan_is_the_same_bytes() {
    let bytes = schedule_xlsx(&plan(), &as_they_are).unwrap();
    assert!(bytes.starts_with(b"PK"));
    std::thread::sleep(std::time::Duration::from_millis(2100)); // a zip tells times in steps of two seconds
    assert!(bytes == schedule_xlsx(&plan(), &as_they_are).unwrap());
}

#[test]
fn a_whole_order_is_told_once_and_deliveries_add_up() {
    let sheet = nursery::sheet(&plan());
    assert_eq!(
        total(&sheet, "Plants in the delivery"),
        Cell::Reckoned("=SUM(G5:G6)".into(), Box::new(Cell::Whole(1238)))
    );
    assert_eq!(
        total(&sheet, "Whole order: plants into the ground"),
        Cell::Reckoned("=SUM(J5:J6)".into(), Box::new(Cell::Whole(1032)))
    );
    assert_eq!(sheet.rows[1][8..], [const { Cell::Empty }; 4]);
}

/// 1,032 plants at 250 a day and person are 4.128 days, of a crew of four 1.032: worked by hand.
#[test]
fn days_of_the_crew_run_on_within_a_winter() {
    let mut plan = plan();
    plan.cards.push(card(3, "Z001-RIDGE", Some(2028)));
    let days = [(1.032, 1.032, 1), (0.0, 0.0, 1), (1.032, 2.064, 2)];
    for (card, (days, by_the_end, begins)) in plan.cards.iter_mut().zip(days) {
        (card.crew_days, card.crew_days_by_the_end) = (Some(days), Some(by_the_end));
        card.begins_on_crew_day = Some(begins);
    }
    let sheet = crew_days::sheet(&plan);
    let winters: Vec<&Cell> = sheet.rows.iter().map(|row| &row[1]).collect();
    assert_eq!(winters, [&Cell::Whole(2027), &Cell::Whole(2028), &Cell::Whole(2028)]);
    let result = |row: usize, column: usize| match &sheet.rows[row][column] {
        Cell::Reckoned(_, result) => (**result).clone(),
        other => other.clone(),
    };
    assert_eq!(result(0, 10), Cell::Real(0.0), "nothing of that line is planted");
    assert_eq!(result(0, 13), Cell::Empty, "and so no plants a day");
    assert_eq!((result(1, 11), result(2, 11)), (Cell::Real(1.032), Cell::Real(2.064)));
    assert_eq!((result(1, 12), result(2, 12)), (Cell::Whole(1), Cell::Whole(2)));
    assert_eq!(result(1, 13), Cell::Real(1000.0));
    assert_eq!(
        sheet.rows[1][11].clone(),
        Cell::Reckoned("=IF(N($C$3)<=0,\"\",K6)".into(), Box::new(Cell::Real(1.032)))
    );
    assert_eq!(
        sheet.rows[2][11].clone(),
        Cell::Reckoned("=IF(N($C$3)<=0,\"\",L6+K7)".into(), Box::new(Cell::Real(2.064)))
    );
}

#[test]
fn a_crew_of_unknown_size_has_no_days() {
    let mut plan = plan();
    plan.crew_people = None;
    let sheet = crew_days::sheet(&plan);
    assert_eq!(sheet.figure, Some(("People in the crew", Cell::Empty)));
    let unknown =
        |cell: &Cell| matches!(cell, Cell::Reckoned(_, result) if **result == Cell::Empty);
    assert!(sheet.rows.iter().all(|row| row[10..].iter().all(unknown)));
}

#[test]
fn boxes_are_added_up_only_where_all_are_known() {
    let mut plan = plan();
    let sum = |plan: &Plan| {
        let sheet = zone_cards::sheet(plan, &as_they_are).unwrap();
        total(&sheet, "boxes (boxes)")
    };
    assert_eq!(sum(&plan), Cell::Reckoned("=SUM(L5:L6)".into(), Box::new(Cell::Whole(62))));
    plan.cards[1].boxes = None;
    assert_eq!(sum(&plan), Cell::Empty);
}

#[test]
fn no_rows_come_to_nothing() {
    let plan = fixture::plan();
    assert_eq!(total(&nursery::sheet(&plan), "Plants in the delivery"), Cell::Whole(0));
    assert!(schedule_xlsx(&plan, &as_they_are).is_ok());
}

#[test]
fn a_number_that_is_none_is_refused_by_name() {
    let mut plan = plan();
    plan.cards[0].spacing_m = f64::NAN;
    assert_eq!(schedule_xlsx(&plan, &as_they_are).unwrap_err().item, "spacing_m");
}

proptest! {
    /// Slow twin: one after the other.
    #[test]
    fn totals_are_the_sums_of_their_rows(counts in prop::collection::vec(prop::option::of(0_u64..1_000_000), 1..40)) {
        let rows = counts.iter().map(|count| vec![Cell::Empty, Cell::whole(*count)]).collect();
        let heading = |total| Heading::new("plants", 9.0, WHOLE, total);
        let sheet = Sheet {
            name: "Plants",
            note: String::new(),
            figure: None,
            headings: vec![heading(Total::No), heading(Total::Sum)],
            rows,
            asked: vec![],
        };
        let mut sum = 0;
        for count in counts.iter().flatten() {
            sum += count;
        }
        let formula = format!("=SUM(B5:{})", at(1, counts.len() - 1));
        prop_assert_eq!(sheet.total(1, Total::Sum), Cell::Reckoned(formula, Box::new(Cell::Whole(sum))));
        let all = counts.iter().all(Option::is_some);
        prop_assert_eq!(sheet.total(1, Total::SumOfAll) != Cell::Empty, all);
    }

    /// No name of a property or line stops the workbook.
    #[test]
    fn any_text_can_be_written(name in "\\PC*", control in "[\\x00-\\x1f&=]{0,6}") {
        let mut plan = plan();
        plan.site = format!("{control}{name}");
        plan.cards[0].stock_name = format!("{name}{control}");
        prop_assert!(schedule_xlsx(&plan, &as_they_are).is_ok());
    }
}
