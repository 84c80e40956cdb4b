//! `[stock.origin]`.

use toml_edit::{Item, Value};

use super::faults::Faults;
use super::section::Section;
use crate::{Origin, Place, Shape, Taxon};

/// Reads where seed comes from; what is faulty is reported and left out.
pub(super) fn origin(section: &Section<'_>, faults: &mut Faults<'_>) -> Origin {
    section.refuse_unlisted(faults);
    if section.is_empty() {
        let remedy = "say where the seed comes from, or take `origin` out";
        section.wrong("", "an empty table", "at least one key", remedy, faults);
    }
    let shape = shape(section, faults);
    let has_shape = section.has("point") || section.has("polygon");
    let crs = beside("crs", has_shape, "`point` or `polygon`", section, faults);
    let basis = beside("taxon_basis", section.has("taxon"), "`taxon`", section, faults);
    let name = section.line("taxon", faults);
    let taxon = name
        .zip(basis)
        .map(|(name, basis)| Taxon { name: name.to_owned(), basis: basis.to_owned() });
    Origin {
        place: shape.zip(crs).map(|(shape, crs)| Place { crs: crs.to_owned(), shape }),
        elevation_m: section.amount("elevation_m", faults),
        mothers: section.whole("mothers", faults),
        seed_zone: section.line("seed_zone", faults).map(str::to_owned),
        taxon,
    }
}

/// A text that belongs with another key: required when that is there, refused when it is not.
fn beside<'t>(
    key: &str,
    has_other: bool,
    other: &str,
    section: &Section<'t>,
    faults: &mut Faults<'_>,
) -> Option<&'t str> {
    if has_other {
        section.require(key, faults);
    } else if section.has(key) {
        let remedy = format!("add {other}, or take `{key}` out");
        let expected = format!("`{key}` beside {other}");
        section.wrong(key, format!("`{key}` alone"), expected, remedy, faults);
    }
    section.line(key, faults)
}

fn shape(section: &Section<'_>, faults: &mut Faults<'_>) -> Option<Shape> {
    if section.has("point") && section.has("polygon") {
        let remedy = "take one of the two out";
        section.wrong("polygon", "both a point and a polygon", "one of the two", remedy, faults);
        return None;
    }
    let (key, shape) = match (section.item_at("point"), section.item_at("polygon")) {
        (Some(point), _) => ("point", point.as_value().and_then(position).map(Shape::Point)),
        (None, Some(polygon)) => ("polygon", rings(polygon).map(Shape::Polygon)),
        (None, None) => return None,
    };
    let shape = shape.filter(Shape::is_sound);
    if shape.is_none() {
        let found = section.item_at(key).and_then(Item::span).map(|span| faults.quote(span));
        let remedy = match key {
            "point" => "write two numbers in square brackets",
            _ => {
                "close each ring with its first position again; a ring takes four positions or more"
            }
        };
        let found = found.unwrap_or_else(|| "something else".to_owned());
        section.wrong(key, found, section.expected(key), remedy, faults);
    }
    shape
}

/// Two numbers.
fn position(value: &Value) -> Option<[f64; 2]> {
    let pair = value.as_array().filter(|pair| pair.len() == 2)?;
    let number = |at: usize| {
        let value = pair.get(at)?;
        value.as_float().or_else(|| value.as_integer().map(|whole| whole as f64))
    };
    Some([number(0)?, number(1)?])
}

/// Rings of positions.
fn rings(item: &Item) -> Option<Vec<Vec<[f64; 2]>>> {
    let ring = |ring: &Value| ring.as_array()?.iter().map(position).collect::<Option<_>>();
    item.as_array()?.iter().map(ring).collect()
}
