//! The plan on one page.

use super::{Facts, Field, table_of};
use crate::document::{Piece, Section};
use crate::form::Form;
use crate::gather::Dossier;
use crate::record::{Cell, Record};

/// Cautions that stand on the first page.
const TOLD: usize = 4;

pub(super) fn summary(dossier: &Dossier) -> Section {
    let plan = &dossier.plan;
    let mut pieces = vec![Piece::Text(opening(plan)), lines(plan), figures(dossier)];
    pieces.push(Piece::Mind(
        "This is a plan on paper, reckoned from maps. It does not say that ground is safe, that a rule is met or that \
         money will be made: local rules and licensed people decide, and the ground is walked first."
            .to_owned(),
    ));
    let looked: usize = dossier.records().map(|record| record.len("/warnings")).sum();
    let mut items = vec![(
        "To look at".to_owned(),
        match looked {
            0 => "nothing that the checks name".to_owned(),
            1 => "one thing, under What this rests on".to_owned(),
            count => format!("{count} things, under What this rests on"),
        },
    )];
    items.extend(super::cautions::in_brief(plan).into_iter().take(TOLD));
    pieces.push(Piece::List(items));
    Section { id: "summary", title: "In short", pieces }
}

/// What the plan does, in a few sentences.
fn opening(plan: &Record) -> String {
    let ha = |pointer: &str| Form::Fixed(1).words(plan.at(pointer));
    let count = |pointer: &str| Form::Count.words(plan.at(pointer));
    let winters = plan.len("/seasons");
    let winters = if winters == 1 { "one winter".to_owned() } else { format!("{winters} winters") };
    format!(
        "Of {} ha of map, {} ha are planted with {} plants of {} lines in {} zones over {winters}; {} ha of native stands \
         are kept, {} ha are kept clear, and {} ha are left. {} plants are ordered, so that as many live as are planted.",
        ha("/totals/property_plan_ha"),
        ha("/totals/planted_plan_ha"),
        count("/totals/seedlings"),
        planted(plan).count(),
        plan.len("/zones"),
        ha("/totals/stands_plan_ha"),
        ha("/totals/keep_clear_plan_ha"),
        ha("/totals/left_plan_ha"),
        count("/totals/order_qty"),
    )
}

fn lines(plan: &Record) -> Piece {
    let fields = [
        Field::new("Line", "name", Form::Text, 30.0),
        Field::new("Kind", "stock_kind", Form::Words, 16.0),
        Field::new("ha of map", "plan_area_ha", Form::Fixed(1), 14.0),
        Field::new("plants in the ground", "seedlings", Form::Count, 18.0),
        Field::new("plants ordered", "order_qty", Form::Count, 18.0),
    ];
    let mut lines = table_of(plan, "What is planted", planted(plan), &fields);
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
    facts.add(
        "plants and planting",
        plan,
        "/totals/cost_nzd",
        Form::Dollars,
        "NZ$, of priced lines, without tax",
    );
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
            facts.add(
                "all costs",
                money,
                "/cost_nzd",
                Form::Dollars,
                "NZ$ of today over the years reckoned",
            );
        }
        if let Ok((calendar, _)) = &of_site.calendar {
            facts.add("work begins", calendar, "/start", Form::Text, "year and month");
        }
    }
    facts.piece("Figures of the plan and its checks")
}
