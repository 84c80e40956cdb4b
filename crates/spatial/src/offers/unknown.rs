//! What the rules of a plan ask of its stock and nobody knows.

use stock::{Library, Status, Stock};

use super::Seasons;
use crate::problem::Problem;
use crate::site::Site;

/// Several winters without a year: no order could be placed.
///
/// # Errors
/// When the site asks for more than one winter, and neither it nor its stock names the first.
pub fn no_winter(site: &Site, library: &Library) -> Result<(), Problem> {
    let seasons = Seasons::of(site, library);
    if seasons.first.is_some() || seasons.count == 1 {
        return Ok(());
    }
    Err(Problem::error("mosaic.seasons")
        .file(&site.file)
        .found(format!("{} winters, and the year of the first is named nowhere", seasons.count))
        .expected("the year of the first winter")
        .remedy("set mosaic.first_season, such as 2027"))
}

/// What is not known of the stock and would be asked for: prices, nectar, flowering, winters. Each
/// warning names the lines, and says how they are taken.
#[must_use]
pub fn unknown(site: &Site, library: &Library) -> Vec<Problem> {
    let rules = &site.mosaic;
    let seasons = Seasons::of(site, library);
    let real: Vec<&Stock> =
        library.stocks().iter().filter(|stock| stock.status != Status::Idea).collect();
    let money = [
        (rules.budget_nzd.is_some(), "mosaic.budget_nzd"),
        (rules.season_budget_nzd.is_some(), "mosaic.season_budget_nzd"),
        (rules.aim.cost > 0.0, "mosaic.weight_cost"),
    ];
    let money: Vec<&str> = money.iter().filter(|(is, _)| *is).map(|(_, key)| *key).collect();
    let is_raised = |stock: &Stock| matches!(stock.status, Status::BeingRaised { .. });
    let warn = |is_asked: bool, lacks: &dyn Fn(&Stock) -> bool, what: [&str; 4]| {
        let names: Vec<&str> =
            real.iter().filter(|stock| lacks(stock)).map(|stock| stock.name.as_str()).collect();
        let [item, found, expected, remedy] = what;
        (is_asked && !names.is_empty()).then(|| {
            let found = format!("{found} {}", names.join(", "));
            let problem = Problem::warning(item).file(&site.stock).found(found);
            problem.expected(expected).remedy(remedy)
        })
    };
    let all_money = format!("a price for every line, because of {}", money.join(" and "));
    let warnings = [
        warn(
            !money.is_empty(),
            &|stock| stock.price_nzd.is_none(),
            [
                "price_nzd",
                "no price for",
                &all_money,
                "give the prices; until then these plants cost nothing and are taken first",
            ],
        ),
        warn(
            rules.aim.nectar > 0.0,
            &|stock| stock.nectar.is_none(),
            [
                "nectar",
                "no nectar known of",
                "the ratio of DHA to sugars, because of mosaic.weight_nectar",
                "give it; until then their nectar counts for nothing",
            ],
        ),
        warn(
            rules.weeks_in_flower.is_some(),
            &|stock| stock.flowering.is_none(),
            [
                "flowering",
                "no flowering known of",
                "first and last day of flowering, because of mosaic.weeks_in_flower",
                "give them; until then these lines flower in no week",
            ],
        ),
        warn(
            seasons.first.is_none(),
            &is_raised,
            [
                "status",
                "no winter of planting is named, and being raised are",
                "the year of the first winter",
                "set mosaic.first_season; until then none of them is planted",
            ],
        ),
        warn(
            seasons.first.is_some(),
            &|stock| seasons.supply(stock) == Some(0) && stock.supply.total() != Some(0),
            [
                "supply",
                "in the winters of the plan there are no plants of",
                "plants in at least one of them",
                "set mosaic.first_season or mosaic.seasons so that they come in, or plan without",
            ],
        ),
    ];
    warnings.into_iter().flatten().collect()
}
