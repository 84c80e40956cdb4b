//! Stock, written so that reading it back gives the same.

mod csv;
mod toml;

pub(crate) use csv::csv;
pub(crate) use toml::toml;

use crate::columns::{ENDS, season_path};
use crate::{DRAINAGE_CLASSES, Factor, LandformClass, Origin, Shape, Status, Stock, Supply};

/// A value, before the form gives it its shape.
#[derive(Debug, Clone, PartialEq)]
enum Entry {
    Text(String),
    Number(f64),
    Whole(u64),
    Shape(Shape),
}

/// A number as people write it, that reads back the same to the bit: no decimals where there are
/// none.
pub(crate) fn plain(number: f64) -> String {
    if number.abs() < 1e15 && number.fract().abs() <= 0.0 {
        format!("{number:.0}")
    } else {
        format!("{number:?}")
    }
}

/// Every key of a stock that is given, with its dotted path, in the order of the table of keys.
fn entries(stock: &Stock) -> Vec<(String, Entry)> {
    let mut entries = Vec::new();
    let mut add = |path: &str, entry: Option<Entry>| {
        entries.extend(entry.map(|entry| (path.to_owned(), entry)));
    };
    add("id", Some(Entry::Text(stock.id.clone())));
    add("name", Some(Entry::Text(stock.name.clone())));
    add("kind", Some(word(stock.kind.key())));
    let status = stock.status;
    add("status", (status != Status::Available).then(|| word(status.key())));
    let first = status.first_season().and_then(|year| u64::try_from(year).ok());
    add("first_season", first.map(Entry::Whole));
    match &stock.supply {
        Supply::Unlimited => {}
        Supply::Total(plants) => add("supply", Some(Entry::Whole(*plants))),
        Supply::Seasons(none) if none.is_empty() => add("supply", Some(Entry::Whole(0))),
        Supply::Seasons(seasons) => {
            for (year, plants) in seasons {
                add(&season_path(*year), Some(Entry::Whole(*plants)));
            }
        }
    }
    add("min_lot", stock.min_lot.map(|lot| Entry::Whole(lot.into())));
    add("price_nzd", stock.price_nzd.map(Entry::Number));
    add("lead_months", stock.lead_months.map(|months| Entry::Whole(months.into())));
    add("mature_height_m", stock.mature_height_m.map(Entry::Number));
    if let Some(nectar) = &stock.nectar {
        add("nectar.ratio_mean", Some(Entry::Number(nectar.ratio_mean.mg_per_mg())));
        add("nectar.ratio_sd", nectar.ratio_sd.map(Entry::Number));
        add("nectar.trees", nectar.trees.map(|trees| Entry::Whole(trees.into())));
    }
    if let Some(line) = &stock.flowering {
        add("flowering.begins", Some(Entry::Text(line.begins.to_string())));
        add("flowering.ends", Some(Entry::Text(line.ends.to_string())));
        add("flowering.elevation_m", Some(Entry::Number(line.elevation_m)));
        add("flowering.shift_days_per_100m", Some(Entry::Number(line.shift_days_per_100m)));
    }
    for landform in LandformClass::ALL {
        let alive = stock.survival.given(landform);
        add(&format!("survival.{}", landform.key()), alive.map(Entry::Number));
    }
    if let Some(origin) = &stock.origin {
        add_origin(origin, &mut add);
    }
    for factor in Factor::NUMERIC {
        let Some(range) = stock.tolerance.range(factor) else { continue };
        let (lower, upper) = (range.lower(), range.upper());
        let ends = [
            lower.map(|end| end.0),
            lower.map(|end| end.1),
            upper.map(|end| end.0),
            upper.map(|end| end.1),
        ];
        for (end, value) in ENDS.into_iter().zip(ends) {
            add(&format!("tolerance.{}.{end}", factor.key()), value.map(Entry::Number));
        }
    }
    for (class, membership) in
        DRAINAGE_CLASSES.into_iter().zip(stock.tolerance.drainage().into_iter().flatten())
    {
        let path = format!("tolerance.{}.{class}", Factor::Drainage.key());
        add(&path, Some(Entry::Number(membership)));
    }
    entries
}

fn add_origin(origin: &Origin, add: &mut impl FnMut(&str, Option<Entry>)) {
    if let Some(place) = &origin.place {
        let path = match place.shape {
            Shape::Point(_) => "origin.point",
            Shape::Polygon(_) => "origin.polygon",
        };
        add(path, Some(Entry::Shape(place.shape.clone())));
        add("origin.crs", Some(Entry::Text(place.crs.clone())));
    }
    add("origin.elevation_m", origin.elevation_m.map(Entry::Number));
    add("origin.mothers", origin.mothers.map(|trees| Entry::Whole(trees.into())));
    add("origin.seed_zone", origin.seed_zone.clone().map(Entry::Text));
    if let Some(taxon) = &origin.taxon {
        add("origin.taxon", Some(Entry::Text(taxon.name.clone())));
        add("origin.taxon_basis", Some(Entry::Text(taxon.basis.clone())));
    }
}

fn word(word: &str) -> Entry {
    Entry::Text(word.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_is_as_short_as_it_can_be_and_no_shorter() {
        for (number, text) in [
            (35.0, "35"),
            (0.85, "0.85"),
            (-4.5, "-4.5"),
            (1e300, "1e300"),
            (1e-9, "1e-9"),
            (0.1 + 0.2, "0.30000000000000004"),
        ] {
            assert_eq!(plain(number), text);
        }
    }
}
