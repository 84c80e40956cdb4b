//! Rules and stock as forms: every key that the page may set, with its meaning, limits, default and present value.

use serde_json::{Value as Json, json};
use spatial::problem::Problem;
use spatial::site::{KEYS, Key, Kind, Presence};
use stock::{Factor, Stock, Supply};
use toml_edit::{DocumentMut, Item};

use crate::bench::Bench;
use crate::edit::{can_be_set, document};
use crate::scene::legend;

/// Tables whose keys the page offers, with a heading and the first stage that a change of them makes anew.
const SECTIONS: [(&str, &str, &str); 11] = [
    ("mosaic", "Which line where", "mosaic"),
    ("zones", "Planting zones", "zones"),
    ("density", "How many plants", "mosaic"),
    ("survival", "How many live", "mosaic"),
    ("order", "Ordering", "counts"),
    ("labour", "The crew", "mosaic"),
    ("eco_sourcing", "Where home seed may go", "mosaic"),
    ("cover", "Cover of steep ground", "cover"),
    ("seed", "Trees to sample", "trees"),
    ("layout", "Where plants stand", "counts"),
    ("ground", "How ground is reckoned", "ground"),
];

/// Keys of the site by table.
///
/// # Errors
/// When the site file is no TOML.
pub(crate) fn rules(bench: &Bench) -> Result<Json, Problem> {
    let site = document(&bench.files().site, "site.toml")?;
    let section = |(table, title, answers): (&str, &str, &str)| {
        let keys = KEYS.iter().filter(|key| key.parent() == table && can_be_set(key));
        let keys: Vec<Json> = keys.map(|key| told(key, answers, &site)).collect();
        json!({ "name": table, "title": title, "keys": keys })
    };
    Ok(json!({ "sections": SECTIONS.map(section) }))
}

fn told(key: &Key, answers: &str, site: &DocumentMut) -> Json {
    let (kind, choices) = match key.kind {
        Kind::Number(_) => ("number", None),
        Kind::Word(words) => ("choice", Some(words)),
        Kind::Words(words) => ("choices", Some(words)),
        Kind::Numbers(..) | Kind::Months => ("numbers", None),
        _ => ("text", None),
    };
    let limits = match &key.kind {
        Kind::Number(limits) | Kind::Numbers(_, limits, _) => Some(limits),
        _ => None,
    };
    let standard = match key.presence {
        Presence::Required => "must be given".to_owned(),
        Presence::Optional(words) => words.to_owned(),
        Presence::Assumed => String::new(),
        Presence::Default(value, source) | Presence::Rule(value, source) => {
            format!("{value} ({source})")
        }
    };
    let mut at: Option<&Item> = Some(site.as_item());
    for name in key.path.split('.') {
        at = at.and_then(|item| item.get(name));
    }
    json!({
        "path": key.path,
        "name": key.name().replace('_', " "),
        "kind": kind,
        "choices": choices,
        "least": limits.map(|limits| limits.least).filter(|least| *least > f64::MIN),
        "most": limits.map(|limits| limits.greatest).filter(|most| *most < f64::MAX),
        "unit": limits.map_or("", |limits| limits.unit),
        "standard": standard,
        "meaning": key.meaning,
        "value": at.and_then(as_json),
        "answers": answers,
    })
}

fn as_json(item: &Item) -> Option<Json> {
    let value = item.as_value()?;
    let one = |value: &toml_edit::Value| {
        value
            .as_str()
            .map(Json::from)
            .or_else(|| value.as_integer().map(Json::from))
            .or_else(|| value.as_float().map(Json::from))
    };
    match value.as_array() {
        Some(list) => list.iter().map(one).collect::<Option<Vec<_>>>().map(Json::from),
        None => one(value),
    }
}

/// Every line of the stock file with what it takes.
pub(crate) fn stock(bench: &Bench) -> Json {
    let now = bench.now();
    let library = bench.draft().map_or(&now.fitted.library, |draft| &draft.library);
    let legend = legend(now);
    let factor = |factor: Factor| json!({ "key": factor.key(), "title": factor.label(), "unit": factor.unit() });
    let line = |(at, stock): (usize, &Stock)| {
        let of = |factor: Factor| {
            let range = stock.tolerance.range(factor)?;
            let (lower, upper) = (range.lower(), range.upper());
            Some((
                factor.key(),
                json!({
                    "none_below": lower.map(|(none, _)| none),
                    "full_from": lower.map(|(_, full)| full),
                    "full_to": upper.map(|(full, _)| full),
                    "none_above": upper.map(|(_, none)| none),
                }),
            ))
        };
        let tolerance: serde_json::Map<String, Json> = Factor::NUMERIC
            .into_iter()
            .filter_map(of)
            .map(|(key, range)| (key.to_owned(), range))
            .collect();
        json!({
            "stock_id": stock.id,
            "name": stock.name,
            "kind": stock.kind.key(),
            "letter": spatial::plan::line_letter(at),
            "colour": legend.class(&stock.id).map(|class| class.colour.to_string()),
            "supply": stock.supply_total(),
            "supply_by_winter": matches!(stock.supply, Supply::Seasons(_)),
            "price_nzd": stock.price_nzd,
            "min_lot": stock.min_lot,
            "tolerance": tolerance,
        })
    };
    json!({
        "factors": Factor::NUMERIC.map(factor),
        "lines": library.stocks().iter().enumerate().map(line).collect::<Vec<_>>(),
    })
}
