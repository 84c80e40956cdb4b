//! Choices made by hand: an entry `[[zone]]` in the file of choices, named by a point in the zone.

use geo::{Contains, InteriorPoint, MultiPolygon, Point};
use spatial::problem::Problem;
use toml_edit::{Array, ArrayOfTables, DocumentMut, Item, Table, Value};

use super::keys::{put, put_in};
use super::{document, refused};
use crate::change::{Choice, Part};
use crate::files::{CHOICES, Files, Places};
use crate::plan_now::PlanNow;

/// Above the first choice of a new file.
const HEAD: &str = "# Choices made by hand: the line of a zone fixed, lines forbidden, densities set. A zone is named by a\n\
                    # point in it, easting and northing.\n";

/// Keys that choose something.
const CHOOSING: [&str; 3] = ["line", "forbid", "density_sph"];

/// Changes what is chosen for a zone; the change in words. Of several entries in it the first is changed, which is the one
/// that is heard where they do not agree.
pub(super) fn set(
    files: &mut Files,
    places: &Places,
    now: &PlanNow,
    choice: &Choice,
) -> Result<String, Problem> {
    let zone = choice.zone.as_str();
    let Some(shape) = now.zone_shape(zone) else {
        return Err(refused(
            "zone",
            format!("`{zone}`"),
            "a zone of the present plan",
            "reload the page",
        ));
    };
    let mut choices = document(files.choices.as_deref().unwrap_or(HEAD), CHOICES)?;
    let of_zone = |table: &Table| at_of(table).is_some_and(|at| shape.contains(&at));
    let at = entries(&mut choices)?.iter().position(of_zone);
    let mut table = match at.and_then(|at| entries(&mut choices).ok()?.get(at).cloned()) {
        Some(table) => table,
        None => beginning(shape)?,
    };
    fill(&mut table, choice);
    let words = words(zone, &table);
    let chooses = CHOOSING.iter().any(|key| table.contains_key(key));
    let notes = matches!(&choice.note, Part::Anew(note) if !note.trim().is_empty());
    if notes && !chooses {
        return Err(refused(
            "note",
            "a note for a zone of which nothing is chosen",
            "a note on a choice",
            "fix a line, forbid one or set a density first",
        ));
    }
    match at {
        Some(at) if chooses => {
            if let Some(there) = entries(&mut choices)?.get_mut(at) {
                *there = table;
            }
        }
        Some(at) => take_out(&mut choices, at)?,
        None if chooses => add(&mut choices, table)?,
        None => return Ok(words),
    }
    files.choices = Some(choices.to_string());
    name_file(files, places)?;
    Ok(words)
}

/// An entry that chooses nothing yet.
fn beginning(shape: &MultiPolygon<f64>) -> Result<Table, Problem> {
    let at = point_in(shape).ok_or_else(|| {
        refused("zone", "no point inside it", "a zone with area", "reload the page")
    })?;
    let mut table = Table::new();
    table.insert("at", Item::Value([at.x(), at.y()].into_iter().collect::<Array>().into()));
    Ok(table)
}

/// Adds an entry. What stood in a file without entries stays above the first.
fn add(choices: &mut DocumentMut, mut table: Table) -> Result<(), Problem> {
    let head = choices.trailing().as_str().unwrap_or_default().to_owned();
    let tables = entries(choices)?;
    let is_first = tables.is_empty();
    if is_first && !head.is_empty() {
        table.decor_mut().set_prefix(format!("{head}\n"));
    }
    tables.push(table);
    if is_first {
        choices.set_trailing("");
    }
    Ok(())
}

/// Takes an entry out. Comments above it stay, above what comes next.
fn take_out(choices: &mut DocumentMut, at: usize) -> Result<(), Problem> {
    let above = |table: &Table| {
        table.decor().prefix().and_then(|prefix| prefix.as_str()).unwrap_or_default().to_owned()
    };
    let tables = entries(choices)?;
    let comments = tables.get(at).map(above).unwrap_or_default();
    tables.remove(at);
    if !comments.contains('#') {
        return Ok(());
    }
    if let Some(next) = tables.get_mut(at) {
        let both = format!("{}{}", comments.trim_end_matches('\n'), above(next));
        next.decor_mut().set_prefix(both);
    } else {
        let last = choices.trailing().as_str().unwrap_or_default().to_owned();
        choices.set_trailing(format!("{comments}{last}"));
    }
    Ok(())
}

/// What a zone's entry says.
fn words(zone: &str, table: &Table) -> String {
    let text = |key: &str| table.get(key).and_then(Item::as_str);
    let line = text("line").map(|line| format!("{line} fixed"));
    let forbid = table.get("forbid").and_then(Item::as_array).map(|lines| {
        let lines: Vec<&str> = lines.iter().filter_map(Value::as_str).collect();
        format!("{} forbidden", lines.join(", "))
    });
    let density = table.get("density_sph").and_then(Item::as_value);
    let density = density.map(|sph| format!("{} plants a hectare", sph.to_string().trim()));
    let parts: Vec<String> = [line, forbid, density].into_iter().flatten().collect();
    if parts.is_empty() {
        format!("{zone}: nothing chosen by hand")
    } else {
        format!("{zone}: {}", parts.join("; "))
    }
}

/// The entries of a file of choices.
fn entries(choices: &mut DocumentMut) -> Result<&mut ArrayOfTables, Problem> {
    let zones = choices.entry("zone").or_insert_with(|| Item::ArrayOfTables(ArrayOfTables::new()));
    zones.as_array_of_tables_mut().ok_or_else(|| {
        refused("zone", "a value", "one [[zone]] table for each choice", "mend the file of choices")
    })
}

fn at_of(table: &Table) -> Option<Point<f64>> {
    let at = table.get("at")?.as_array()?;
    let number = |at: &Value| at.as_float().or_else(|| at.as_integer().map(|whole| whole as f64));
    Some(Point::new(number(at.get(0)?)?, number(at.get(1)?)?))
}

/// Puts what is named of a choice into an entry. A list without lines and a note without words are none.
fn fill(table: &mut Table, choice: &Choice) {
    let lines = |lines: &Vec<String>| -> Option<Value> {
        let lines: Array = lines.iter().map(String::as_str).collect();
        (!lines.is_empty()).then(|| lines.into())
    };
    let words =
        |words: &String| Some(words.trim()).filter(|words| !words.is_empty()).map(Value::from);
    put_part(table, "line", &choice.line, words);
    put_part(table, "forbid", &choice.forbid, lines);
    put_part(table, "density_sph", &choice.density_sph, |sph| Some(Value::from(*sph)));
    put_part(table, "note", &choice.note, words);
}

fn put_part<T>(table: &mut Table, key: &str, part: &Part<T>, value: impl Fn(&T) -> Option<Value>) {
    let value = match part {
        Part::AsItIs => return,
        Part::Gone => None,
        Part::Anew(part) => value(part),
    };
    match value {
        Some(value) => put_in(table, key, value),
        None => drop(table.remove(key)),
    }
}

/// A point in it, to a decimetre where that is still inside.
fn point_in(shape: &MultiPolygon<f64>) -> Option<Point<f64>> {
    let exact = shape.interior_point()?;
    let rounded = Point::new((exact.x() * 10.0).round() / 10.0, (exact.y() * 10.0).round() / 10.0);
    Some(if shape.contains(&rounded) { rounded } else { exact })
}

/// Names the file of choices in the site where it is not named.
fn name_file(files: &mut Files, places: &Places) -> Result<(), Problem> {
    let mut site = document(&files.site, "site.toml")?;
    let is_named = site.get("mosaic").and_then(|mosaic| mosaic.get("overrides")).is_some();
    if !is_named {
        let name = places.choices.file_name().map_or(CHOICES.into(), |name| name.to_string_lossy());
        put(&mut site, "mosaic.overrides", name.into_owned().into())?;
        files.site = site.to_string();
    }
    Ok(())
}
