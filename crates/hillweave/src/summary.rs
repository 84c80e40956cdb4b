//! The ten lines a person wants after a plan is made.

use spatial::plan::{LineOrderRow, OrderRow, Plan, Reach, SeasonRow};
use spatial::units::thousands;

use crate::screen::{Ink, Screen, counted};

/// The plan in words.
pub(crate) fn plan_summary(plan: &Plan, screen: &Screen) -> String {
    let mut lines = vec![format!(
        "{}: {:.1} ha of map inside the boundary",
        screen.ink(Ink::Strong, &plan.site),
        plan.totals.property_plan_ha.0
    )];
    if plan.reach == Reach::Zones {
        lines.extend([zoned(plan), merged(plan), steep(plan), cautions(plan), warnings(plan)]);
        return lines.join("\n") + "\n";
    }
    lines.extend([planted(plan), rest(plan), steep(plan)]);
    let widest = plan.orders.iter().map(|order| order.name.chars().count()).max().unwrap_or(0);
    lines.extend(plan.orders.iter().map(|line| order(line, widest)));
    lines.push(format!(
        "  total         {} plants in the ground, {} to order with losses",
        thousands(plan.totals.seedlings),
        thousands(plan.totals.order_qty)
    ));
    lines.extend(sure(plan));
    lines.push(hands(plan));
    lines.extend(winters(plan));
    lines.extend(spent(plan));
    lines.push(solved(plan));
    lines.extend([in_flower(plan), joined(plan), by_hand(plan)].into_iter().flatten());
    lines.push(cautions(plan));
    lines.push(warnings(plan));
    lines.join("\n") + "\n"
}

fn zoned(plan: &Plan) -> String {
    format!(
        "  zones         {:.1} ha of map in {}; {:.1} ha of stands kept, {:.1} ha kept clear",
        plan.totals.zones_plan_ha.0,
        counted(plan.zones.len(), "zone"),
        plan.totals.stands_plan_ha.0,
        plan.totals.keep_clear_plan_ha.0
    )
}

fn merged(plan: &Plan) -> String {
    let merging = &plan.merging;
    format!(
        "  merged        {} of one class made them; {:.0} % of their ground is of another class than most of its zone, and counts by its own",
        counted(merging.regions, "piece"),
        merging.moved_share * 100.0
    )
}

fn planted(plan: &Plan) -> String {
    let zones = plan.zones.iter().filter(|zone| zone.left_share < 1.0).count();
    format!(
        "  planted       {:.1} ha of map, {:.1} ha along the slope, in {} of {}",
        plan.totals.planted_plan_ha.0,
        plan.totals.planted_ground_ha.0,
        counted(plan.blocks.len(), "block"),
        counted(zones, "zone"),
    )
}

fn rest(plan: &Plan) -> String {
    format!(
        "  not planted   {:.1} ha of stands kept, {:.1} ha kept clear, {:.1} ha left to regenerate",
        plan.totals.stands_plan_ha.0,
        plan.totals.keep_clear_plan_ha.0,
        plan.totals.left_open_plan_ha.0
    )
}

fn steep(plan: &Plan) -> String {
    let group = |letter: &str| plan.totals.slope_group_plan_ha.get(letter).map_or(0.0, |ha| ha.0);
    format!(
        "  steep         {:.1} ha of zone ground is 26–35° (LUC group F), {:.1} ha steeper (G)",
        group("F"),
        group("G")
    )
}

fn order(order: &OrderRow, widest: usize) -> String {
    let kind = order.stock_kind.replace('_', " ");
    let supply = order.supply.map_or(String::new(), |supply| format!(" of {}", thousands(supply)));
    format!(
        "  to order      {:<widest$}  {}{supply}, {:.1} ha of map ({kind})",
        order.name,
        thousands(order.order_qty),
        order.plan_area_ha.0
    )
}

/// How surely orders live up to their numbers.
fn sure(plan: &Plan) -> Option<String> {
    let is_short = |order: &&LineOrderRow| order.order_qty < order.needed;
    let held = plan.line_orders.iter().filter(is_short);
    let held: Vec<String> =
        held.map(|order| format!("{} ({:.0} %)", order.order_id, order.chance * 100.0)).collect();
    let rest = plan.line_orders.iter().filter(|order| !is_short(order));
    let least = rest.map(|order| order.chance).fold(f64::INFINITY, f64::min);
    let trays: u64 = plan.line_orders.iter().map(|order| order.trays).sum();
    let deliveries: usize = plan.line_orders.iter().map(|order| order.deliveries.len()).sum();
    let sure = match (least.is_finite(), held.is_empty()) {
        (false, true) => return None,
        (true, true) => format!("{:.0} %", (least * 100.0).floor()),
        (true, false) => format!("{:.0} %, less for {}", (least * 100.0).floor(), few(&held)),
        (false, false) => few(&held),
    };
    let trays = if trays < plan.totals.order_qty {
        format!(" in {} trays,", thousands(trays))
    } else {
        String::new()
    };
    Some(format!(
        "  orders       {trays} {}; as many as are planted live with a chance of {sure}",
        counted(deliveries, "delivery")
    ))
}

/// A short list in full, of a long one how many.
fn few(held: &[String]) -> String {
    if held.len() > 3 {
        format!("{} that supplies or budgets hold back (plan.json names them)", held.len())
    } else {
        held.join(", ")
    }
}

/// How long planting takes.
fn hands(plan: &Plan) -> String {
    let days = |days: f64| thousands(days.ceil().max(0.0) as u64);
    let crews: Vec<String> =
        plan.seasons.iter().filter_map(|row| row.crew_days).map(|days| days.to_string()).collect();
    let crew = match crews.len() {
        0 => String::new(),
        1 => format!(", {} days for the crew", crews[0]),
        _ => format!(", {} days for the crew, winter by winter", crews.join(" + ")),
    };
    format!(
        "  planting      {} person-days{crew}; weather, carrying and waiting come on top",
        days(plan.totals.person_days)
    )
}

/// What is planted in each winter, where there are several.
fn winters(plan: &Plan) -> Vec<String> {
    if plan.seasons.len() < 2 {
        return Vec::new();
    }
    let one = |(at, row): (usize, &SeasonRow)| {
        let year = row.season.map_or_else(|| format!("season {}", at + 1), |year| year.to_string());
        let cost = match (row.budget_nzd, row.cost_nzd) {
            (Some(budget), cost) => format!(", {} of {}", dollars(cost), dollars(budget)),
            (None, cost) if cost > 0.0 => format!(", {}", dollars(cost)),
            _ => String::new(),
        };
        let plants = thousands(row.order_qty);
        format!(
            "  winter {year}   {plants} plants to order, {:.1} ha of map{cost}",
            row.plan_area_ha.0
        )
    };
    plan.seasons.iter().enumerate().map(one).collect()
}

/// What is spent, where a budget is set.
fn spent(plan: &Plan) -> Option<String> {
    let asked = plan.totals.budget_nzd.is_some()
        || (plan.seasons.len() == 1 && plan.seasons[0].budget_nzd.is_some());
    let budget = plan.totals.budget_nzd.or_else(|| plan.seasons.first()?.budget_nzd)?;
    asked.then(|| {
        let (cost, budget) = (dollars(plan.totals.cost_nzd), dollars(budget));
        format!("  budget        {cost} of {budget} for plants and planting")
    })
}

/// Weeks in flower, where a rule asks for them.
fn in_flower(plan: &Plan) -> Option<String> {
    let weeks = &plan.solution.in_flower;
    let mut runs: Vec<(u32, u32)> = Vec::new();
    for &week in weeks {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == week => *last = week,
            _ => runs.push((week, week)),
        }
    }
    // Weeks that go over the new year are told as one run.
    if let [first, .., last] = runs[..]
        && first.0 == 1
        && last.1 == LAST_WEEK
    {
        runs.pop();
        runs.remove(0);
        runs.push((last.0, first.1));
    }
    let run = |&(first, last): &(u32, u32)| {
        if first == last { first.to_string() } else { format!("{first} to {last}") }
    };
    let runs: Vec<String> = runs.iter().map(run).collect();
    (!weeks.is_empty()).then(|| {
        format!(
            "  in flower     {} of the year with enough ground: {}",
            counted(weeks.len(), "week"),
            runs.join(", ")
        )
    })
}

/// The last week of the year, counted from 1: it has one day.
const LAST_WEEK: u32 = 53;

/// What was given up for workable blocks.
fn joined(plan: &Plan) -> Option<String> {
    let joined = plan.solution.joined.as_ref()?;
    let share = if plan.solution.objective + joined.worth_lost > 0.0 {
        joined.worth_lost / (plan.solution.objective + joined.worth_lost)
    } else {
        0.0
    };
    Some(format!(
        "  joined        border between unlike lines from {} to {} m, for {:.2} % of all worth",
        thousands(joined.border_before_m.round() as u64),
        thousands(joined.border_after_m.round() as u64),
        share.max(0.0) * 100.0
    ))
}

/// Choices made by hand and what they cost together.
fn by_hand(plan: &Plan) -> Option<String> {
    let choices = plan.solution.by_hand.len();
    let cost = match plan.solution.by_hand_cost {
        Some(cost) => format!("together they cost {cost:.2} well-fitted hectares"),
        None => format!(
            "what they cost together is not known: {}",
            plan.solution.by_hand_cost_not_known
        ),
    };
    (choices > 0).then(|| format!("  by hand       {}; {cost}", counted(choices, "choice")))
}

/// Whole dollars.
fn dollars(amount: f64) -> String {
    format!("NZD {}", thousands(amount.max(0.0).round() as u64))
}

fn solved(plan: &Plan) -> String {
    let binding = match plan.solution.binding.len() {
        0 => "no limit binds".to_owned(),
        number => format!("{} (plan.json says what more would be worth)", counted_verb(number)),
    };
    format!(
        "  assignment    within {:.2} % of the best there can be; {binding}",
        plan.solution.gap * 100.0
    )
}

fn counted_verb(limits: usize) -> String {
    if limits == 1 { "1 limit binds".to_owned() } else { format!("{limits} limits bind") }
}

fn cautions(plan: &Plan) -> String {
    let abouts: Vec<&str> = plan.cautions.iter().map(|caution| caution.about.as_str()).collect();
    let list = if abouts.is_empty() { "none".to_owned() } else { abouts.join(", ") };
    format!("  cautions      {list}; local rules and licensed people decide")
}

fn warnings(plan: &Plan) -> String {
    match plan.warnings.len() {
        0 => "  warnings      none".to_owned(),
        number => format!("  warnings      {number}, listed in plan.json"),
    }
}

#[cfg(test)]
mod tests {
    use super::thousands;

    #[test]
    fn a_comma_at_each_thousand() {
        let cases = [(0, "0"), (999, "999"), (1_000, "1,000"), (1_234_567, "1,234,567")];
        for (number, text) in cases {
            assert_eq!(thousands(number), text);
        }
    }
}
