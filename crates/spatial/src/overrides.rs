//! Choices made by hand: a file that fixes or forbids lines and sets densities, zone by zone. A zone
//! is named by a point in it, so that choices outlive a change of the rules that draw zones.

use std::path::Path;

use geo::{Contains, Point};
use stock::Library;
use toml_edit::{Item, TableLike};

use crate::problem::Problem;
use crate::site::{Places, TextFile, nearest, read_toml};
use crate::units::StemsPerHectare;
use crate::zones::Zones;

const FILE: TextFile = TextFile {
    item: "overrides file",
    form: "TOML",
    instead: "name a TOML file in mosaic.overrides",
    missing: "check the name in mosaic.overrides, or take the key out",
};

const KEYS: [&str; 5] = ["at", "line", "forbid", "density_sph", "note"];
/// Densities that can be meant, plants a hectare.
const DENSITIES: std::ops::RangeInclusive<f64> = 1.0..=100_000.0;

/// A choice made by hand for one zone.
#[derive(Debug, Clone, PartialEq)]
pub struct Override {
    /// A point in the zone, in the plan's coordinate system.
    pub at: [f64; 2],
    /// The line that takes all of it, by its place in the library.
    pub line: Option<usize>,
    /// Lines that may not stand there.
    pub forbid: Vec<usize>,
    /// Plants a hectare, on the site's basis.
    pub density: Option<StemsPerHectare>,
    /// Why, in the words of whoever made it.
    pub note: String,
    /// Where it stands in the file.
    line_in_file: usize,
}

/// Choices with the zones that they are about.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Overrides {
    /// Position of the zone, and the choice, in the order of the file.
    pub placed: Vec<(usize, Override)>,
}

/// Reads the file of choices.
///
/// # Errors
/// Every entry that is not what it must be, with its line.
pub fn read(file: &Path, library: &Library) -> Result<Vec<Override>, Vec<Problem>> {
    let text = FILE.read(file)?;
    let document = read_toml(&text, file)?;
    let mut problems = Vec::new();
    let mut overrides = Vec::new();
    let places = Places::new(&text);
    for (key, item) in document.iter().filter(|(key, _)| *key != "zone") {
        let line = item.span().map_or(1, |span| places.place(span.start).0);
        problems.push(unknown(file, line, key, &["zone"]));
    }
    let tables: Vec<&dyn TableLike> = match document.get("zone") {
        Some(Item::ArrayOfTables(tables)) => tables.iter().map(|t| t as &dyn TableLike).collect(),
        None => Vec::new(),
        Some(_) => {
            let problem = Problem::error("zone").file(file).found("a single value or table");
            let problem = problem.expected("one [[zone]] table for each choice");
            problems.push(problem.remedy("write [[zone]], with two brackets, above each choice"));
            Vec::new()
        }
    };
    for table in tables {
        let start = table.iter().filter_map(|(_, item)| item.span()).map(|span| span.start).min();
        let line = start.map_or(1, |byte| places.place(byte).0);
        match entry(table, file, line, library) {
            Ok(one) => overrides.push(one),
            Err(more) => problems.extend(more),
        }
    }
    if problems.is_empty() { Ok(overrides) } else { Err(problems) }
}

fn entry(
    table: &dyn TableLike,
    file: &Path,
    line_in_file: usize,
    library: &Library,
) -> Result<Override, Vec<Problem>> {
    let mut problems = Vec::new();
    let fault = |key: &str, found: String, expected: &str, remedy: String| {
        let problem = Problem::error(format!("zone.{key}")).file(file).place(line_in_file, 1);
        problem.found(found).expected(expected).remedy(remedy)
    };
    for (key, _) in table.iter().filter(|(key, _)| !KEYS.contains(key)) {
        problems.push(unknown(file, line_in_file, key, &KEYS));
    }
    let written = |key: &str| table.get(key).map(|item| item.to_string().trim().to_owned());
    let at = table.get("at").and_then(Item::as_array).map(|array| {
        array.iter().filter_map(number).filter(|at| at.is_finite()).collect::<Vec<_>>()
    });
    let at = at.and_then(|at| <[f64; 2]>::try_from(at).ok()).unwrap_or_else(|| {
        let found = written("at").unwrap_or_else(|| "nothing".to_owned());
        let expected = "a point [east, north] in the plan's coordinate system";
        problems.push(fault("at", found, expected, "take it from the map".to_owned()));
        [0.0; 2]
    });
    let mut find = |key: &str, id: &str| {
        let found = library.find(id).map(|(place, _)| place);
        if found.is_none() {
            let ids = library.stocks().iter().map(|stock| stock.id.as_str());
            let remedy = nearest(id, ids).map_or_else(
                || "name a line of the stock file by its id".to_owned(),
                |near| format!("did you mean {near}?"),
            );
            problems.push(fault(key, id.to_owned(), "the id of a line in the stock file", remedy));
        }
        found
    };
    let line = table.get("line").map(|item| item.as_str().unwrap_or_default().to_owned());
    let line = line.and_then(|id| find("line", &id));
    let ids = |item: &Item| -> Vec<String> {
        let one = item.as_str().map(str::to_owned);
        let many = item.as_array().into_iter().flat_map(|array| array.iter());
        one.into_iter().chain(many.map(|id| id.as_str().unwrap_or_default().to_owned())).collect()
    };
    let forbid = table.get("forbid").map(ids).unwrap_or_default();
    let forbid: Vec<usize> = forbid.iter().filter_map(|id| find("forbid", id)).collect();
    if line.is_some_and(|line| forbid.contains(&line)) {
        let remedy = "fix one line and forbid others".to_owned();
        let found = "the line that is fixed".to_owned();
        problems.push(fault("forbid", found, "lines other than the one that is fixed", remedy));
    }
    let density = table.get("density_sph").and_then(|item| item.as_value().and_then(number));
    if table.get("density_sph").is_some() && !density.is_some_and(|sph| DENSITIES.contains(&sph)) {
        let found = written("density_sph").unwrap_or_default();
        let remedy = "write plants a hectare as a plain number".to_owned();
        problems.push(fault("density_sph", found, "a number from 1 to 100000", remedy));
    }
    let note = table.get("note").and_then(Item::as_str).unwrap_or_default().to_owned();
    let density = density.map(StemsPerHectare);
    if problems.is_empty() {
        Ok(Override { at, line, forbid, density, note, line_in_file })
    } else {
        Err(problems)
    }
}

fn number(value: &toml_edit::Value) -> Option<f64> {
    value.as_float().or_else(|| value.as_integer().map(|whole| whole as f64))
}

fn unknown(file: &Path, line: usize, key: &str, known: &[&str]) -> Problem {
    let remedy = nearest(key, known.iter().copied())
        .map_or_else(|| "take it out".to_owned(), |near| format!("did you mean {near}?"));
    let problem = Problem::error(key).file(file).place(line, 1).found("an unknown key");
    problem.expected(format!("one of {}", known.join(", "))).remedy(remedy)
}

impl Overrides {
    /// Finds the zone of every choice; the second part tells of choices that are about none.
    #[must_use]
    pub fn place(overrides: Vec<Override>, zones: &Zones, file: &Path) -> (Self, Vec<Problem>) {
        let (mut placed, mut warnings) = (Vec::new(), Vec::new());
        for one in overrides {
            let point = Point::new(one.at[0], one.at[1]);
            match zones.zones.iter().position(|zone| zone.geometry.contains(&point)) {
                Some(zone) => placed.push((zone, one)),
                None => warnings.push(
                    Problem::warning("zone.at")
                        .file(file)
                        .place(one.line_in_file, 1)
                        .found(format!("[{}, {}]: in no planting zone", one.at[0], one.at[1]))
                        .expected("a point in a planting zone")
                        .remedy(
                            "move the point into the zone that is meant, or take the entry out",
                        ),
                ),
            }
        }
        (Self { placed }, warnings)
    }

    /// All but one choice.
    #[must_use]
    pub fn without(&self, index: usize) -> Self {
        let mut placed = self.placed.clone();
        placed.remove(index);
        Self { placed }
    }

    /// Choices for a zone.
    pub fn of_zone(&self, zone: usize) -> impl Iterator<Item = &Override> {
        self.placed.iter().filter(move |(at, _)| *at == zone).map(|(_, one)| one)
    }
}
