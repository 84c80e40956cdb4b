//! The starter file against the table of keys.

use toml_edit::{Document, Item};

use super::super::keys::{KEYS, Presence};
use super::super::kind::Kind;
use super::super::section::Section;
use super::super::starter_files;
use super::{read, sound};

fn starter() -> String {
    starter_files("").remove(0).1
}

/// The starter with every key that may be left out in use.
fn in_use() -> String {
    let line = |line: &str| match line.strip_prefix('#') {
        Some(rest) if !rest.is_empty() && !rest.starts_with(' ') => format!("{rest}\n"),
        _ => format!("{line}\n"),
    };
    starter().lines().map(line).collect()
}

#[test]
fn the_starter_is_a_sound_site_that_only_lacks_keep_clear_rules() {
    let (site, warnings) = sound(&starter());
    assert_eq!(warnings.iter().map(|one| one.item.as_str()).collect::<Vec<_>>(), ["keep_clear"]);
    assert_eq!(site.stock, std::path::Path::new("farm/stock.toml"));
}

#[test]
fn the_starter_with_every_key_in_use_is_sound_and_says_what_the_defaults_say() {
    let (all, warnings) = sound(&in_use());
    assert_eq!(warnings, vec![]);
    assert_eq!(all.defaults, vec![], "every key with a default is written out");
    let (mut bare, _) = sound(&starter());
    // One cell of a grid that is not known here: the starter writes that of its example.
    bare.zones.straighten = all.zones.straighten;
    // As far as the layers look, which reading finds out.
    assert_eq!((all.halo, bare.halo), (Some(all.ground.farthest()), None));
    // Those of a hemisphere that is not known here: the starter writes the southern ones.
    bare.zones.sun_months.clone_from(&all.zones.sun_months);
    // Neither bands nor a wind rose are there unless they are given.
    bare.zones.bands.clone_from(&all.zones.bands);
    bare.ground.wind_rose = all.ground.wind_rose;
    // A year, budgets, weeks and choices by hand are nobody's default; nor are rules on home seed.
    let rules = &mut bare.mosaic;
    rules.first_season = all.mosaic.first_season;
    (rules.budget_nzd, rules.season_budget_nzd) =
        (all.mosaic.budget_nzd, all.mosaic.season_budget_nzd);
    rules.weeks_in_flower = all.mosaic.weeks_in_flower;
    rules.overrides.clone_from(&all.mosaic.overrides);
    assert_eq!(all.ground, bare.ground);
    assert_eq!(
        (&all.zones, &all.survival, &all.mosaic, all.density.usual),
        (&bare.zones, &bare.survival, &bare.mosaic, bare.density.usual),
    );
}

#[test]
fn the_starter_mentions_every_key() {
    let text = in_use();
    let document = Document::parse(text.as_str()).unwrap();
    for key in KEYS {
        assert!(stands_in(document.as_item(), key.path), "{} is not in the starter", key.path);
    }
    assert!(!stands_in(document.as_item(), "site.nmae"), "the test can fail");
}

fn stands_in(item: &Item, path: &str) -> bool {
    let (first, rest) = path.split_once('.').unwrap_or((path, ""));
    let Some(found) = item.get(first.trim_end_matches("[]")) else { return false };
    match found.as_array_of_tables() {
        _ if rest.is_empty() => true,
        Some(tables) => tables.iter().any(|table| stands_in(&Item::Table(table.clone()), rest)),
        None => stands_in(found, rest),
    }
}

/// The comments name the default, so that the page and the file cannot drift apart.
#[test]
fn the_starter_shows_the_default_of_every_key() {
    let text = in_use();
    let document = Document::parse(text.as_str()).unwrap();
    let root = Section::file(document.as_table());
    for key in KEYS.iter().filter(|key| !key.path.contains("[]")) {
        let Presence::Default(value, source) = key.presence else { continue };
        let parent =
            key.parent().split('.').fold(root.clone(), |section, name| section.child(name));
        let written = parent.get(key.name()).and_then(Item::as_value).unwrap();
        assert_eq!(written.to_string().trim(), value, "{}", key.path);
        let comment = starter();
        let before = comment.split(&format!("#{} =", key.name())).next().unwrap();
        let comment: Vec<&str> = before.lines().rev().take_while(|l| l.starts_with("# ")).collect();
        let comment = comment.join(" ");
        assert!(comment.contains("Default"), "{}: the comment says the default", key.path);
        let standing = [
            "no source",
            "from memory",
            "trade press",
            "no cap",
            "reading of",
            "et al.",
            "Marden",
            "1981",
        ];
        assert!(standing.iter().any(|word| comment.contains(word)), "{}: {comment}", key.path);
        assert!(!source.is_empty());
    }
}

#[test]
fn every_commented_key_of_the_starter_is_a_key() {
    for key in KEYS.iter().filter(|key| key.kind != Kind::Section) {
        let misspelt = in_use().replace(&format!("\n{} =", key.name()), "\nzzzz =");
        if misspelt != in_use() {
            assert!(read(&misspelt).is_err(), "{} misspelt is refused", key.path);
        }
    }
}

#[test]
fn the_climate_table_has_twelve_months_and_the_minimum_below_the_mean() {
    let (name, text) = starter_files("").remove(2);
    assert_eq!(name, "climate.csv");
    let mut rows = csv::Reader::from_reader(text.as_bytes());
    assert_eq!(
        rows.headers().unwrap().iter().take(3).collect::<Vec<_>>(),
        ["month", "temp_mean_c", "temp_min_c"]
    );
    let rows: Vec<csv::StringRecord> = rows.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), 12);
    for (index, row) in rows.iter().enumerate() {
        let number = |column: usize| row.get(column).unwrap().parse::<f64>().unwrap();
        assert!((number(0) - (index + 1) as f64).abs() < f64::EPSILON);
        assert!(number(2) < number(1));
    }
}
