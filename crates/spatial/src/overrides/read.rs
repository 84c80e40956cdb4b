//! The file of choices: TOML, one `[[zone]]` a choice, every fault with its line.

use std::path::Path;

use stock::Library;
use toml_edit::{Array, Item, Table, Value};

use super::Override;
use crate::faults::Faults;
use crate::problem::Problem;
use crate::site::{Places, TextFile, nearest, read_toml};
use crate::units::StemsPerHectare;

const FILE: TextFile = TextFile {
    item: "overrides file",
    form: "TOML",
    instead: "name a TOML file in mosaic.overrides",
    missing: "check the name in mosaic.overrides, or take the key out",
};

const KEYS: [&str; 6] = ["at", "line", "forbid", "density_sph", "counts_only", "note"];
/// Densities that can be meant, plants a hectare.
const DENSITIES: std::ops::RangeInclusive<f64> = 1.0..=100_000.0;
const IDS: &str = "the id of a line in the stock file";

/// Reads the file of choices.
///
/// # Errors
/// Every entry that is not what it must be, with its line.
pub fn read(file: &Path, library: &Library) -> Result<Vec<Override>, Vec<Problem>> {
    parse(&FILE.read(file)?, file, library)
}

/// Reads the text of a file of choices; `file` is named in messages.
///
/// # Errors
/// As [`read`].
pub fn parse(text: &str, file: &Path, library: &Library) -> Result<Vec<Override>, Vec<Problem>> {
    let document = read_toml(text, file)?;
    let mut page = Page { places: Places::new(text), faults: Faults::new(file) };
    for (key, item) in document.iter().filter(|(key, _)| *key != "zone") {
        page.unknown(key, item, document.key(key), &["zone"]);
    }
    let mut choices = Vec::new();
    match document.get("zone") {
        None => {}
        Some(Item::ArrayOfTables(tables)) => {
            choices = tables.iter().map(|table| entry(table, &mut page, library)).collect();
        }
        Some(other) => page.fault(
            "zone",
            Some(other),
            "a single value or table",
            "one [[zone]] table for each choice",
            "write [[zone]], with two brackets, above each choice",
        ),
    }
    page.faults.or(choices)
}

/// The file, and what is wrong with it.
struct Page<'t> {
    places: Places<'t>,
    faults: Faults<'t>,
}

impl Page<'_> {
    fn place(&self, span: Option<std::ops::Range<usize>>) -> (usize, usize) {
        span.map_or((1, 1), |span| self.places.place(span.start))
    }

    fn fault(
        &mut self,
        key: &str,
        item: Option<&Item>,
        found: impl Into<String>,
        expected: &str,
        remedy: impl Into<String>,
    ) {
        self.fault_at(key, item.and_then(Item::span), found, expected, remedy);
    }

    fn fault_at(
        &mut self,
        key: &str,
        span: Option<std::ops::Range<usize>>,
        found: impl Into<String>,
        expected: &str,
        remedy: impl Into<String>,
    ) {
        let (line, column) = self.place(span);
        let problem = Problem::error(key).found(found).expected(expected).remedy(remedy);
        self.faults.report(line, column, problem);
    }

    fn unknown(&mut self, key: &str, item: &Item, named: Option<&toml_edit::Key>, known: &[&str]) {
        if self.faults.is_full() {
            return self.faults.leave_out(1); // saves the search for the nearest known key
        }
        let remedy = nearest(key, known.iter().copied())
            .map_or_else(|| "take it out".to_owned(), |near| format!("did you mean {near}?"));
        let expected = format!("one of {}", known.join(", "));
        let span = named.and_then(toml_edit::Key::span).or_else(|| item.span());
        self.fault_at(key, span, "an unknown key", &expected, remedy);
    }

    /// The place of a line in the library, by its id.
    fn line(&mut self, key: &str, value: &Value, library: &Library) -> Option<usize> {
        let Some(id) = value.as_str() else {
            let remedy = "write it in quotes";
            self.fault_at(key, value.span(), shown(&value.to_string()), IDS, remedy);
            return None;
        };
        let found = library.find(id).map(|(place, _)| place);
        if found.is_none() {
            let ids = library.stocks().iter().map(|stock| stock.id.as_str());
            let remedy = nearest(id, ids).map_or_else(
                || "name a line of the stock file by its id".to_owned(),
                |near| format!("did you mean {near}?"),
            );
            self.fault_at(key, value.span(), format!("`{id}`"), IDS, remedy);
        }
        found
    }
}

/// One choice; what is wrong with it goes to the page.
fn entry(table: &Table, page: &mut Page, library: &Library) -> Override {
    for (key, item) in table.iter().filter(|(key, _)| !KEYS.contains(key)) {
        page.unknown(key, item, table.key(key), &KEYS);
    }
    let at = at(table, page);
    let line = table.get("line").and_then(|item| {
        if let Some(value) = item.as_value() {
            return page.line("zone.line", value, library);
        }
        page.fault("zone.line", Some(item), "a table", IDS, "write its id in quotes");
        None
    });
    let forbid = forbid(table, page, library);
    if line.is_some_and(|line| forbid.contains(&line)) {
        let (expected, remedy) =
            ("lines other than the one that is fixed", "fix one line and forbid others");
        page.fault("zone.forbid", table.get("forbid"), "the line that is fixed", expected, remedy);
    }
    let density = density(table, page);
    let counts_only = counts_only(table, page);
    let note = note(table, page);
    let chooses = KEYS[1..5].iter().any(|key| table.contains_key(key));
    if !chooses {
        let remedy = "say line, forbid, density_sph or counts_only, or take the entry out";
        let expected = "a line to fix, lines to forbid, a density, or no places";
        page.fault_at("zone", table.span(), "nothing that is chosen", expected, remedy);
    }
    let line_in_file = page.place(table.span()).0;
    Override { at, line, forbid, density, counts_only, note, line_in_file }
}

fn at(table: &Table, page: &mut Page) -> [f64; 2] {
    let item = table.get("at");
    let numbers = |array: &Array| array.iter().map(number).collect::<Option<Vec<f64>>>();
    match item.and_then(Item::as_array).and_then(numbers).as_deref() {
        Some([x, y]) if x.is_finite() && y.is_finite() => [*x, *y],
        _ => {
            let found = item.map_or_else(|| "nothing".to_owned(), |item| shown(&item.to_string()));
            let span = item.and_then(Item::span).or_else(|| table.span());
            let expected = "a point [east, north] in the plan's coordinate system";
            page.fault_at("zone.at", span, found, expected, "take it from the map");
            [0.0; 2]
        }
    }
}

fn forbid(table: &Table, page: &mut Page, library: &Library) -> Vec<usize> {
    let Some(item) = table.get("forbid") else { return Vec::new() };
    match item.as_value() {
        Some(Value::Array(array)) => {
            array.iter().filter_map(|value| page.line("zone.forbid", value, library)).collect()
        }
        Some(Value::String(_)) => {
            let one = item.as_value().and_then(|value| page.line("zone.forbid", value, library));
            one.into_iter().collect()
        }
        _ => {
            let found = shown(&item.to_string());
            let expected = "ids of lines in the stock file";
            page.fault("zone.forbid", Some(item), found, expected, "write [\"one\", \"other\"]");
            Vec::new()
        }
    }
}

fn density(table: &Table, page: &mut Page) -> Option<StemsPerHectare> {
    let item = table.get("density_sph")?;
    let density = item.as_value().and_then(number).filter(|sph| DENSITIES.contains(sph));
    if density.is_none() {
        let (found, remedy) =
            (shown(&item.to_string()), "write plants a hectare as a plain number");
        page.fault("zone.density_sph", Some(item), found, "a number from 1 to 100000", remedy);
    }
    density.map(StemsPerHectare)
}

fn counts_only(table: &Table, page: &mut Page) -> bool {
    let Some(item) = table.get("counts_only") else { return false };
    item.as_bool().unwrap_or_else(|| {
        let found = shown(&item.to_string());
        page.fault("zone.counts_only", Some(item), found, "true or false", "write true or false");
        false
    })
}

fn note(table: &Table, page: &mut Page) -> String {
    let Some(item) = table.get("note") else { return String::new() };
    if let Some(text) = item.as_str() {
        return text.to_owned();
    }
    let found = shown(&item.to_string());
    page.fault("zone.note", Some(item), found, "a text", "write it in quotes");
    String::new()
}

fn number(value: &Value) -> Option<f64> {
    value.as_float().or_else(|| value.as_integer().map(|whole| whole as f64))
}

/// A value as it stands in the file, on one line.
fn shown(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    const STOCK: &str = "[[stock]]\nid = \"amber\"\nname = \"A\"\nkind = \"cultivar\"\n\
        [[stock]]\nid = \"tops\"\nname = \"T\"\nkind = \"seed_line\"\n";

    fn read_text(text: &str) -> Result<Vec<Override>, Vec<Problem>> {
        let room = tempfile::tempdir().unwrap();
        let file = room.path().join("overrides.toml");
        std::fs::write(&file, text).unwrap();
        read(&file, &Library::parse(STOCK).unwrap())
    }

    #[test]
    fn choices_are_read_as_they_are_written() {
        let choices = read_text(
            "# by hand\n[[zone]]\nat = [2061000, 5561000.5]\nline = \"tops\"\ndensity_sph = 2000\n\
             note = \"the owner's wish\"\n\n[[zone]]\nat = [1, 2]\nforbid = \"amber\"\n\
             [[zone]]\nat = [3, 4]\nforbid = [\"amber\", \"tops\"]\ncounts_only = true\n",
        )
        .unwrap();
        let first = Override {
            at: [2_061_000.0, 5_561_000.5],
            line: Some(1),
            forbid: vec![],
            density: Some(StemsPerHectare(2_000.0)),
            counts_only: false,
            note: "the owner's wish".into(),
            line_in_file: 2,
        };
        assert_eq!(choices[0], first);
        assert_eq!(choices[1].forbid, [0]);
        assert_eq!((&choices[2].forbid[..], choices[2].line_in_file), (&[0, 1][..], 11));
        assert!(choices[2].counts_only && !choices[1].counts_only);
        assert_eq!(read_text("").unwrap(), []);
    }

    /// Text of one choice, what is wrong with it, in which line, and a word of the remedy.
    const FAULTS: [(&str, &str, usize, &str); 20] = [
        ("line = \"tops\"", "zone.at", 1, "map"),
        ("at = [1]\nline = \"tops\"", "zone.at", 2, "map"),
        ("at = [1, 2, 3]\nline = \"tops\"", "zone.at", 2, "map"),
        ("at = [\"east\", 1, 2]\nline = \"tops\"", "zone.at", 2, "map"),
        ("at = [nan, 2]\nline = \"tops\"", "zone.at", 2, "map"),
        ("at = \"there\"\nline = \"tops\"", "zone.at", 2, "map"),
        ("at = [1, 2]\nline = \"topps\"", "zone.line", 3, "did you mean tops?"),
        ("at = [1, 2]\nline = \"zzzzzzzzzz\"", "zone.line", 3, "stock file"),
        ("at = [1, 2]\nline = 5", "zone.line", 3, "quotes"),
        ("at = [1, 2]\nline = []", "zone.line", 3, "quotes"),
        ("at = [1, 2]\nforbid = 5", "zone.forbid", 3, "one"),
        ("at = [1, 2]\nforbid = [\"amber\",\n 5]", "zone.forbid", 4, "quotes"),
        ("at = [1, 2]\nforbid = [\"amber\",\n \"top\"]", "zone.forbid", 4, "did you mean tops?"),
        ("at = [1, 2]\nline = \"tops\"\nforbid = [\"tops\"]", "zone.forbid", 4, "others"),
        ("at = [1, 2]\ndensity_sph = 0", "zone.density_sph", 3, "number"),
        ("at = [1, 2]\ndensity_sph = \"many\"", "zone.density_sph", 3, "number"),
        ("at = [1, 2]\ncounts_only = 1", "zone.counts_only", 3, "true or false"),
        ("at = [1, 2]\nnote = \"only words\"", "zone", 1, "entry out"),
        ("at = [1, 2]\nline = \"tops\"\nnote = 7", "zone.note", 4, "quotes"),
        ("at = [1, 2]\nline = \"tops\"\ndensity = 9", "density", 4, "did you mean density_sph?"),
    ];

    #[test]
    fn every_fault_has_its_line_and_its_remedy() {
        for (text, item, line, remedy) in FAULTS {
            let problems = read_text(&format!("[[zone]]\n{text}\n")).unwrap_err();
            assert_eq!(problems.len(), 1, "{text}: {problems:?}");
            let problem = &problems[0];
            assert_eq!(problem.item, item, "{text}");
            assert_eq!(problem.place.map(|place| place.0), Some(line), "{text}: {problem}");
            assert!(problem.remedy.contains(remedy), "{text}: {problem}");
            assert!(problem.is_error() && !problem.found.is_empty(), "{text}: {problem}");
            assert!(problem.file.is_some() && !problem.expected.is_empty(), "{text}: {problem}");
        }
    }

    #[test]
    fn all_faults_are_told_at_once() {
        let entries: Vec<_> =
            FAULTS.iter().map(|(text, ..)| format!("[[zone]]\n{text}\n")).collect();
        let all = entries.concat();
        assert_eq!(read_text(&all).unwrap_err().len(), FAULTS.len());
    }

    #[test]
    fn what_is_no_list_of_zones_is_a_fault() {
        for (text, item, remedy) in [
            ("[zone]\nat = [1, 2]\n", "zone", "two brackets"),
            ("zone = 3\n", "zone", "two brackets"),
            ("\nzones = 3\n", "zones", "did you mean zone?"),
            ("[[zone]\n", "TOML", ""),
        ] {
            let problems = read_text(text).unwrap_err();
            assert_eq!(problems.len(), 1, "{problems:?}");
            assert!(problems[0].remedy.contains(remedy), "{}", problems[0]);
            if item != "TOML" {
                assert_eq!(problems[0].item, item);
            }
        }
        let lost = read(Path::new("nowhere.toml"), &Library::parse(STOCK).unwrap()).unwrap_err();
        assert!(lost[0].remedy.contains("mosaic.overrides"));
    }
}
