//! What the rules of a plan ask of its stock and nobody knows.

use stock::{Library, Status, Stock};

use super::Seasons;
use crate::problem::Problem;
use crate::site::{Site, nearest};

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

/// A density for a line that the stock file does not have.
///
/// # Errors
/// When a rule of `[density]` names such a line.
pub fn no_such_line(site: &Site, library: &Library) -> Result<(), Problem> {
    let ids = || library.stocks().iter().map(|stock| stock.id.as_str());
    let named = site.density.rules.iter().filter_map(|rule| rule.line.as_deref());
    let Some(name) = named.into_iter().find(|name| !ids().any(|id| id == *name)) else {
        return Ok(());
    };
    let listed: Vec<&str> = ids().collect();
    let remedy = nearest(name, ids())
        .map_or("take the rule out".to_owned(), |near| format!("did you mean \"{near}\"?"));
    Err(Problem::error("density.rule.line")
        .file(&site.file)
        .found(format!("\"{name}\""))
        .expected(format!("a stock of {}: one of {}", site.stock.display(), listed.join(", ")))
        .remedy(remedy))
}

/// What is not known of the stock and would be asked for: prices, nectar, flowering, winters; plants
/// of other winters than those of the plan; keys that change nothing. Each warning names the lines
/// or keys, and says how they are taken.
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
    let outside = real.iter().filter_map(|stock| outside(site, &seasons, stock));
    warnings.into_iter().flatten().chain(outside).chain(unheard(site)).collect()
}

/// Plants of winters that the plan does not go to.
fn outside(site: &Site, seasons: &Seasons, stock: &Stock) -> Option<Problem> {
    let plants = seasons.plants_outside(stock);
    let comes_in = seasons.supply(stock) != Some(0);
    (plants > 0 && comes_in).then(|| {
        let own: Vec<String> = (0..seasons.count).map(|season| seasons.words(season)).collect();
        Problem::warning("supply")
            .file(&site.stock)
            .found(format!("{plants} plants of {} come in winters outside the plan", stock.name))
            .expected(format!("plants of its own winters alone: {}", own.join(", ")))
            .remedy("set mosaic.first_season or mosaic.seasons to plan with them, or leave them for later")
    })
}

/// Keys that change nothing as the others are.
fn unheard(site: &Site) -> impl Iterator<Item = Problem> {
    let rules = &site.mosaic;
    let is_given = |key: &str| !site.defaults.iter().any(|taken| taken.key == key);
    let aim = rules.aim;
    let flower = rules.weeks_in_flower.is_none() && is_given("mosaic.flower_least_ha");
    let no_weight = aim.fit <= 0.0 && aim.nectar <= 0.0 && aim.area <= 0.0;
    let flower = flower.then(|| {
        Problem::warning("mosaic.flower_least_ha")
            .found("hectares that must be in flower, and no weeks in which they must")
            .expected("mosaic.weeks_in_flower beside it")
            .remedy("set mosaic.weeks_in_flower; until then nothing is asked of flowering")
    });
    let no_weight = no_weight.then(|| {
        Problem::warning("mosaic.weight_fit")
            .found("neither fit nor nectar nor area counts for anything")
            .expected("one of mosaic.weight_fit, weight_nectar and weight_area above 0")
            .remedy("give one of them a weight; until then nothing is planted but what is fixed by hand")
    });
    [flower, no_weight].into_iter().flatten().map(|problem| problem.file(&site.file))
}
