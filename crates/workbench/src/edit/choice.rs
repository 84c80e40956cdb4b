//! Choices made by hand: an entry `[[zone]]` in the file of choices, named by a point in the zone.

use geo::{Contains, InteriorPoint, MultiPolygon, Point};
use spatial::problem::Problem;
use toml_edit::{Array, ArrayOfTables, DocumentMut, Item, Table, Value};

use super::keys::{put, put_in};
use super::{document, refused};
use crate::change::Choice;
use crate::files::{CHOICES, Files, Places};
use crate::plan_now::PlanNow;

/// Above the first choice of a new file.
const HEAD: &str = "# Choices made by hand: the line of a zone fixed, lines forbidden, densities set. A zone is named by a\n\
                    # point in it, easting and northing.\n";

/// Sets what is chosen for a zone; the change in words.
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
    let head = choices.trailing().as_str().unwrap_or_default().to_owned();
    let tables = entries(&mut choices)?;
    let of_zone = |table: &Table| at_of(table).is_some_and(|at| shape.contains(&at));
    let chooses = choice.chooses();
    // Later entries for the same zone would be held against the first: one entry says it all.
    let places_of: Vec<usize> =
        tables.iter().enumerate().filter(|(_, table)| of_zone(table)).map(|(at, _)| at).collect();
    for extra in places_of.iter().skip(1).rev() {
        tables.remove(*extra);
    }
    match places_of.first() {
        Some(at) if chooses => {
            if let Some(table) = tables.get_mut(*at) {
                fill(table, choice);
            }
        }
        Some(at) => {
            tables.remove(*at);
        }
        None if chooses => {
            let mut table = Table::new();
            let at = point_in(shape).ok_or_else(|| {
                refused("zone", "no point inside it", "a zone with area", "reload the page")
            })?;
            table.insert("at", Item::Value([at.x(), at.y()].into_iter().collect::<Array>().into()));
            fill(&mut table, choice);
            if tables.is_empty() && !head.is_empty() {
                // What stood in a file without entries stays above the first.
                table.decor_mut().set_prefix(format!("{head}\n"));
            }
            tables.push(table);
        }
        None => {}
    }
    if places_of.is_empty() && chooses && entries(&mut choices)?.len() == 1 {
        choices.set_trailing("");
    }
    files.choices = Some(choices.to_string());
    name_file(files, places)?;
    Ok(words(choice))
}

fn words(Choice { zone, line, forbid, density_sph, .. }: &Choice) -> String {
    let line = line.as_ref().map(|line| format!("{line} fixed"));
    let forbid = (!forbid.is_empty()).then(|| format!("{} forbidden", forbid.join(", ")));
    let density = density_sph.map(|sph| format!("{sph} plants a hectare"));
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

fn fill(table: &mut Table, choice: &Choice) {
    let forbid = choice.forbid.iter().map(String::as_str);
    let forbid: Option<Array> = (!choice.forbid.is_empty()).then(|| forbid.collect());
    let note = Some(choice.note.trim()).filter(|note| !note.is_empty());
    let keys: [(&str, Option<Value>); 4] = [
        ("line", choice.line.as_deref().map(Value::from)),
        ("forbid", forbid.map(Value::from)),
        ("density_sph", choice.density_sph.map(Value::from)),
        ("note", note.map(Value::from)),
    ];
    for (key, value) in keys {
        match value {
            Some(value) => put_in(table, key, value),
            None => drop(table.remove(key)),
        }
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
        put(&mut site, "mosaic.overrides", name.into_owned().into());
        files.site = site.to_string();
    }
    Ok(())
}
