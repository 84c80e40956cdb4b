//! The plan on one page.

use std::collections::BTreeSet;

use super::cautions::brief;
use super::{Facts, Field, counted, table_of};
use crate::document::{Piece, Section};
use crate::form::Form;
use crate::gather::Dossier;
use crate::record::{Cell, Record};

/// Lines that stand on the first page, the largest, when there are more.
const LINES: usize = 6;
/// Orders too small that are named one by one.
const SHORT: usize = 3;

pub(super) fn summary(dossier: &Dossier) -> Section {
    let plan = &dossier.plan;
    let mut pieces = vec![Piece::Said(opening(dossier)), lines(plan), figures(dossier)];
    pieces.push(Piece::Mind(
        "This is a plan on paper, reckoned from maps. It does not say that ground is safe, that a rule is met or that \
         money will be made: local rules and licensed people decide, and the ground is walked first."
            .to_owned(),
    ));
    let looked = match super::basis::to_look_at(dossier).len() {
        0 => "nothing that the checks name".to_owned(),
        1 => "one thing, under What this rests on".to_owned(),
        count => format!("{count} things, under What this rests on"),
    };
    let mut items = vec![("To look at".to_owned(), looked)];
    items.extend(brief(dossier));
    pieces.push(Piece::List(items));
    Section { id: "summary", title: "In short", pieces }
}

/// What the plan does, in a few sentences.
fn opening(dossier: &Dossier) -> Vec<Cell> {
    let plan = &dossier.plan;
    let ha = |name: &str| plan.cell(&format!("/totals/{name}"), Form::Fixed(1));
    let count = |name: &str| plan.cell(&format!("/totals/{name}"), Form::Count);
    let mut said = vec![Cell::words("Of "), ha("property_plan_ha"), Cell::words(" ha of map, ")];
    if dossier.plants() {
        let zones: BTreeSet<&str> =
            plan.rows("/blocks").map(|row| plan.text(&format!("{row}/zone_id"))).collect();
        let winters = plan.rows("/seasons");
        let winters = winters.filter(|row| plan.number(&format!("{row}/seedlings")) > 0.0).count();
        said.extend([
            ha("planted_plan_ha"),
            Cell::words(" ha are planted with "),
            count("seedlings"),
            Cell::words(format!(
                " plants of {} in {} over {}; ",
                counted(planted(plan).count(), "line"),
                counted(zones.len(), "zone"),
                if winters == 1 { "one winter".to_owned() } else { counted(winters, "winter") }
            )),
        ]);
    } else {
        said.push(Cell::words("nothing is planted, and Zones says why; "));
    }
    said.extend([
        ha("stands_plan_ha"),
        Cell::words(" ha of native stands are kept, "),
        ha("keep_clear_plan_ha"),
        Cell::words(" ha are kept clear, and "),
        ha("left_plan_ha"),
        Cell::words(" ha are left. "),
    ]);
    if dossier.plants() {
        said.push(count("order_qty"));
        said.push(Cell::words(format!(" plants are ordered, so that {}.", chance_words(dossier))));
    }
    said
}

/// With what chance an order is enough, and which orders are too small for it.
fn chance_words(dossier: &Dossier) -> String {
    let plan = &dossier.plan;
    let asked = dossier.chance_asked().map_or_else(
        || "the chance that the site asks for".to_owned(),
        |chance| format!("a chance of {}", Form::Percent(0).words(&chance.into())),
    );
    let words = format!("with {asked} as many of each line live as are planted");
    let winters = plan.len("/seasons");
    let short = plan.rows("/line_orders").filter_map(|row| {
        let number = |name: &str| plan.number(&format!("{row}/{name}"));
        let words = |name: &str, form: Form| form.words(plan.at(&format!("{row}/{name}")));
        (number("order_qty") < number("needed")).then(|| {
            let winter = match winters {
                0 | 1 => String::new(),
                _ => format!(" in {}", words("season", Form::Year)),
            };
            let by = words("held_back_by", Form::Words);
            let by = if by.is_empty() { by } else { format!(", {by}") };
            let name = words("stock_name", Form::Text);
            format!("{name}{winter} ({}{by})", words("chance", Form::Percent(0)))
        })
    });
    let short: Vec<String> = short.collect();
    if short.is_empty() {
        return words;
    }
    let named = short[..short.len().min(SHORT)].join(", ");
    let more = match short.len().saturating_sub(SHORT) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    format!("{words}, but for these, whose chance is lower: {named}{more}")
}

fn lines(plan: &Record) -> Piece {
    let fields = [
        Field::new("Line", "name", Form::Text, 30.0),
        Field::new("Kind", "stock_kind", Form::Words, 16.0),
        Field::new("ha of map", "plan_area_ha", Form::Fixed(1), 14.0),
        Field::new("plants in the ground", "seedlings", Form::Count, 18.0),
        Field::new("plants ordered", "order_qty", Form::Count, 18.0),
    ];
    let all: Vec<String> = planted(plan).collect();
    let mut largest: Vec<usize> = (0..all.len()).collect();
    let area = |at: &usize| plan.number(&format!("{}/plan_area_ha", all[*at]));
    largest.sort_by(|one, other| area(other).total_cmp(&area(one)));
    // One more than is shown is shown too: a row that says so is no shorter.
    let shown = if all.len() > LINES + 1 { LINES } else { all.len() };
    largest.truncate(shown);
    largest.sort_unstable();
    let caption =
        if shown < all.len() { "What is planted: the largest lines" } else { "What is planted" };
    let rows = largest.into_iter().map(|at| all[at].clone());
    let mut lines = table_of(plan, caption, rows, &fields);
    if shown < all.len() {
        let more = format!("and {} more, under Order", all.len() - shown);
        lines.rows.push([&*more, "", "", "", ""].map(Cell::words).to_vec());
    }
    lines.rows.push(vec![
        Cell::words("all"),
        Cell::words(""),
        plan.cell("/totals/planted_plan_ha", Form::Fixed(1)),
        plan.cell("/totals/seedlings", Form::Count),
        plan.cell("/totals/order_qty", Form::Count),
    ]);
    Piece::Table(lines)
}

/// Pointers to the lines of which something is planted.
fn planted(plan: &Record) -> impl Iterator<Item = String> {
    plan.rows("/orders").filter(|row| plan.number(&format!("{row}/seedlings")) > 0.0)
}

fn figures(dossier: &Dossier) -> Piece {
    let plan = &dossier.plan;
    let mut facts = Facts::new();
    facts.add("planted", plan, "/totals/planted_ground_ha", Form::Fixed(1), "ha along the slope");
    // What nobody knows the pay of is not counted as work that is free.
    let (what, basis) = if has_no_pay(plan, "/defaults", "key") {
        ("plants alone", "NZ$, of priced lines, without tax: no pay of planters was given")
    } else {
        ("plants and planting", "NZ$, of priced lines, without tax")
    };
    facts.add(what, plan, "/totals/cost_nzd", Form::Dollars, basis);
    facts.add(
        "planting",
        plan,
        "/totals/person_days",
        Form::Count,
        "days of one person, without weather and carrying",
    );
    if let Some(of_site) = &dossier.of_site {
        if let Ok((cover, _)) = &of_site.cover {
            facts.add("may slip", cover, "/may_slip_plan_ha", Form::Fixed(1), "ha of map");
            facts.add(
                "of it below the target of cover",
                cover,
                "/below_plan_ha",
                Form::Fixed(1),
                "ha of map at the target year",
            );
        }
        if let Ok((season, _)) = &of_site.season {
            facts.add(
                "in flower while bees fly",
                season,
                "/flying_weeks",
                Form::Count,
                "weeks of a usual year",
            );
        }
        if let Ok((money, _)) = &of_site.money {
            let (what, basis) = if has_no_pay(money, "/warnings", "item") {
                (
                    "all costs but planting",
                    "NZ$ of today over the years reckoned: no pay of planters was given",
                )
            } else {
                ("all costs", "NZ$ of today over the years reckoned")
            };
            facts.add(what, money, "/cost_nzd", Form::Dollars, basis);
        }
        if let Ok((calendar, _)) = &of_site.calendar {
            facts.add("work begins", calendar, "/start", Form::Text, "year and month");
        }
    }
    facts.piece("Figures of the plan and its checks")
}

/// Whether a list of a record says that nobody knows what planters are paid.
fn has_no_pay(record: &Record, list: &str, name: &str) -> bool {
    record.rows(list).any(|row| record.text(&format!("{row}/{name}")) == "mosaic.planting_nzd")
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::*;
    use crate::sections::tests::dossier;

    /// A plan of so many lines over as many winters, of which only the first is planted in.
    fn plan(lines: usize, winters: usize) -> Value {
        let line = |at: usize| json!({"name": format!("Line {at}"), "stock_kind": "cultivar", "plan_area_ha": at, "seedlings": 100 + at, "order_qty": 200});
        let order = |at: usize| json!({"stock_name": format!("Line {at}"), "season": 2028, "needed": 200 + 3 * (at % 2), "order_qty": 200, "chance": 0.534, "held_back_by": "supply"});
        let winter =
            |at: usize| json!({"season": 2028 + at, "seedlings": if at == 0 { 100 } else { 0 }});
        json!({
            "totals": {"property_plan_ha": 20.0, "planted_plan_ha": 10.0, "seedlings": 1000, "order_qty": 1200},
            "zones": [{"zone_id": "Z001"}, {"zone_id": "Z002"}, {"zone_id": "Z003"}],
            "blocks": [{"zone_id": "Z002"}, {"zone_id": "Z002"}],
            "orders": (0..lines).map(line).collect::<Vec<_>>(),
            "line_orders": (0..lines).map(order).collect::<Vec<_>>(),
            "seasons": (0..winters).map(winter).collect::<Vec<_>>(),
            "defaults": [{"key": "order.confidence", "value": "0.9"}],
        })
    }

    fn words(said: &[Cell]) -> String {
        said.iter().map(|cell| cell.text.as_str()).collect()
    }

    #[test]
    fn the_opening_counts_what_is_planted_and_names_what_is_short() {
        let said = words(&opening(&dossier(plan(2, 3))));
        assert!(said.contains("of 2 lines in 1 zone over one winter;"), "{said}");
        assert!(said.contains("with a chance of 90 % as many of each line live"), "{said}");
        assert!(said.ends_with("lower: Line 1 in 2028 (53 %, supply)."), "{said}");
        let said = words(&opening(&dossier(plan(12, 1))));
        assert!(said.ends_with("Line 5 (53 %, supply) and 3 more."), "{said}");
        let said = words(&opening(&dossier(plan(1, 1))));
        assert!(said.ends_with("as many of each line live as are planted."), "{said}");
        let said = words(&opening(&dossier(json!({"zones": [{}]}))));
        assert!(said.contains("nothing is planted") && !said.contains("ordered"), "{said}");
    }

    #[test]
    fn of_many_lines_the_largest_are_told_and_the_rest_are_counted() {
        let Piece::Table(table) = lines(&dossier(plan(30, 1)).plan) else { panic!("no table") };
        let first: Vec<&str> = table.rows.iter().map(|row| row[0].text.as_str()).collect();
        assert_eq!(first.len(), LINES + 2);
        assert_eq!(first[0], "Line 24");
        assert_eq!(first[LINES..], ["and 24 more, under Order", "all"]);
        let Piece::Table(table) = lines(&dossier(plan(7, 1)).plan) else { panic!("no table") };
        assert_eq!(table.rows.len(), 8, "all seven");
    }

    #[test]
    fn costs_without_the_pay_of_planters_say_so() {
        let words = |defaults: Value| {
            let mut value = plan(1, 1);
            value["defaults"] = defaults;
            let Piece::Table(table) = figures(&dossier(value)) else { panic!("no table") };
            table.rows[1].iter().map(|cell| cell.text.as_str()).collect::<Vec<_>>().join("|")
        };
        assert!(words(json!([])).starts_with("plants and planting|"));
        let without = words(json!([{"key": "mosaic.planting_nzd", "value": "0"}]));
        assert!(
            without.starts_with("plants alone|") && without.contains("no pay of planters"),
            "{without}"
        );
    }
}
