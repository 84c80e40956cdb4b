//! Bloom held against weather, by running the real binary: on the sample property, and on a small site whose weather
//! is made so that its hours can be counted by hand.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::float_cmp,
    reason = "a test that stops has failed"
)]

mod support;

use std::collections::BTreeMap;
use std::fmt::Write;
use std::path::Path;

use serde_json::{Value, json};
use support::{expect, names, repository, scratch, small, text};

const FILES: [&str; 7] = [
    "bloom_blocks.csv",
    "bloom_weeks.csv",
    "hive_sites.csv",
    "hive_sites.gpkg",
    "hive_sites.gpx",
    "season.html",
    "season.json",
];

type Row = BTreeMap<String, String>;

fn rows(file: &Path) -> Vec<Row> {
    csv::Reader::from_path(file).unwrap().deserialize().map(Result::unwrap).collect()
}

fn record(folder: &Path) -> Value {
    serde_json::from_slice(&std::fs::read(folder.join("season.json")).unwrap()).unwrap()
}

fn number(row: &Row, name: &str) -> f64 {
    row[name].parse().unwrap_or_else(|_| panic!("{name}: `{}`", row[name]))
}

#[test]
fn the_sample_property_through_its_season() {
    let folder = scratch();
    let site = repository().join("sample-layers");
    let site = site.to_str().unwrap();
    expect(folder.path(), &["plan", site, "-o", "plan", "--quiet"], 0);
    let output = expect(folder.path(), &["season", site, "plan", "-o", "season"], 0);
    insta::assert_snapshot!("the_season_of_the_sample_in_words", text(&output.stdout));
    let season = folder.path().join("season");
    assert_eq!(names(&season), FILES);
    let told = record(&season);
    weeks_add_up(&season);
    discs_are_circles(&told);
    hives_keep_the_rules(&season);
    // Every hectare of the plan flowers somewhere in the tables.
    let plan: Value =
        serde_json::from_slice(&std::fs::read(folder.path().join("plan/plan.json")).unwrap())
            .unwrap();
    let planted: f64 =
        rows(&season.join("bloom_blocks.csv")).iter().map(|row| number(row, "plan_area_ha")).sum();
    let expected = plan["totals"]["planted_plan_ha"].as_f64().unwrap();
    assert!((planted - expected).abs() < 1e-6 * expected, "{planted} {expected}");
}

/// What weeks and blocks both tell.
const COLUMNS: [&str; 4] = ["days", "flying_days", "flying_hours", "flow_hours"];

/// Weeks of a line in a zone add up to its row.
fn weeks_add_up(season: &Path) {
    let mut sums: BTreeMap<[String; 2], [f64; 4]> = BTreeMap::new();
    let key = |row: &Row| [row["stock_id"].clone(), row["zone_id"].clone()];
    for row in rows(&season.join("bloom_weeks.csv")) {
        let sum = sums.entry(key(&row)).or_default();
        for (sum, name) in sum.iter_mut().zip(COLUMNS) {
            *sum += number(&row, name);
        }
    }
    let blocks = rows(&season.join("bloom_blocks.csv"));
    assert_eq!(blocks.len(), sums.len());
    for row in blocks {
        for (sum, name) in sums[&key(&row)].iter().zip(COLUMNS) {
            assert!((number(&row, name) - sum).abs() < 1e-6, "{name} of {row:?}");
        }
    }
}

/// π r², by hand: 706.86 and 7,853.98 ha.
fn discs_are_circles(told: &Value) {
    for (row, hectares) in told["forage"].as_array().unwrap().iter().zip([706.86, 7_853.98]) {
        let figure = |name: &str| row[name].as_f64().unwrap();
        assert!((figure("disc_ha") - hectares).abs() < 0.01);
        let forage = figure("planted_ha") + figure("stands_ha");
        assert!((figure("forage_share") - forage / hectares).abs() < 1e-4);
    }
}

/// As `season` of the site's keys has them by default.
fn hives_keep_the_rules(season: &Path) {
    let hives = rows(&season.join("hive_sites.csv"));
    assert!(!hives.is_empty() && hives.len() <= 8);
    for (at, hive) in hives.iter().enumerate() {
        assert!(number(hive, "slope_deg") <= 6.0, "{hive:?}");
        assert!((5.0..=20.0).contains(&number(hive, "to_track_m")), "{hive:?}");
        assert!(number(hive, "frost_index") < 0.6, "{hive:?}");
        for other in &hives[..at] {
            let east = number(hive, "easting_m") - number(other, "easting_m");
            let north = number(hive, "northing_m") - number(other, "northing_m");
            assert!(east.hypot(north) >= 300.0);
            assert!(number(hive, "score") <= number(other, "score"));
        }
    }
    let gpx = std::fs::read_to_string(season.join("hive_sites.gpx")).unwrap();
    assert_eq!(gpx.matches("<wpt ").count(), hives.len());
}

/// The small site with a track, a climate table and two lines, of which the first flowers in winter.
fn small_site(folder: &Path) {
    small::write(folder);
    std::fs::copy(repository().join("sample-layers/climate.csv"), folder.join("climate.csv"))
        .unwrap();
    let track = [(60.0, 40.0), (120.0, 60.0), (150.0, 150.0)];
    let track = small::feature("LineString", &small::points(&track));
    small::text(folder, "tracks.geojson", &track);
    let layers = "[layers.tracks]\nfile = \"tracks.geojson\"\n[layers.climate]\nfile = \"climate.csv\"\n\
        station_elevation_m = 40\n[season]\nhive_slope_deg = 30\nhive_apart_m = 40\n[[keep_clear]]\n";
    small::replace(folder, "site.toml", "[[keep_clear]]\n", layers);
    let low = "supply = 1500\nprice_nzd = 1.1\n[stock.flowering]\nbegins = \"07-10\"\nends = \"08-15\"\n\
        elevation_m = 100\n";
    small::replace(folder, "stock.toml", "supply = 1500\n", low);
    let high = "kind = \"seed_line\"\nprice_nzd = 1.4\n[stock.flowering]\nbegins = \"12-20\"\nends = \"01-25\"\n\
        elevation_m = 100\n";
    small::replace(folder, "stock.toml", "kind = \"seed_line\"\n", high);
}

#[test]
fn a_line_that_flowers_before_bees_fly_is_named_with_what_it_costs() {
    let folder = scratch();
    small_site(folder.path());
    expect(folder.path(), &["plan", "site.toml", "-o", "plan", "--quiet"], 0);
    let output = expect(folder.path(), &["season", "site.toml", "plan", "-o", "season"], 1);
    insta::assert_snapshot!("a_season_with_findings_in_words", text(&output.stdout));
    let season = folder.path().join("season");
    let told = record(&season);
    let line =
        told["lines"].as_array().unwrap().iter().find(|line| line["stock_id"] == "low").unwrap();
    let bloom = &line["bloom"];
    // All of it is lost, and what that costs is all that was ordered of it.
    assert_eq!(bloom["lost_share"], 1.0);
    assert_eq!(bloom["lost_order_qty"], line["order_qty"]);
    let dollars = line["order_qty"].as_f64().unwrap() * 1.1;
    assert!((bloom["lost_nzd"].as_f64().unwrap() - dollars).abs() < 1e-6);
    // From the end of the one to the beginning of the other nothing flowers: August to December.
    assert_eq!(told["gaps"].as_array().unwrap().len(), 1);
    weeks_add_up(&season);

    // A plan made now is the same as the one in the folder, and so is what comes of it, by any threads.
    expect(folder.path(), &["season", "site.toml", "-o", "made", "--quiet", "--threads", "1"], 1);
    for name in ["bloom_blocks.csv", "bloom_weeks.csv", "hive_sites.csv", "season.html"] {
        let bytes = |of: &str| std::fs::read(folder.path().join(of).join(name)).unwrap();
        assert_eq!(bytes("season"), bytes("made"), "{name}");
    }
    // An earlier output is only replaced when asked, and a plan never.
    let again = ["season", "site.toml", "plan", "-o", "season"];
    assert!(text(&expect(folder.path(), &again, 2).stderr).contains("--overwrite"));
    expect(folder.path(), &[&again[..], &["--overwrite", "--quiet"]].concat(), 1);
    let over = ["season", "site.toml", "plan", "-o", "plan", "--overwrite"];
    assert!(text(&expect(folder.path(), &over, 2).stderr).contains("the plan would be lost"));
}

/// What a season says of places for hives, warnings and what follows them.
fn of_hives(folder: &Path) -> String {
    let output = expect(folder, &["season", "site.toml", "-o", "season", "--overwrite"], 1);
    let told = text(&output.stdout);
    let own = told.split("\n\n").find(|part| part.starts_with("warning: site.toml hive sites"));
    let sites = folder.join("season/hive_sites.csv");
    assert!(!sites.exists(), "{told}");
    own.unwrap_or_else(|| panic!("no warning of hive sites: {told}")).to_owned()
}

#[test]
fn where_no_hives_can_stand_that_is_told() {
    let folder = scratch();
    small_site(folder.path());
    // Nothing beside the track is as level as that.
    small::replace(folder.path(), "site.toml", "hive_slope_deg = 30", "hive_slope_deg = 1");
    let too_steep = of_hives(folder.path());
    let site = std::fs::read_to_string(folder.path().join("site.toml")).unwrap();
    let tracks = "[layers.tracks]\nfile = \"tracks.geojson\"\n";
    assert!(site.contains(tracks));
    std::fs::write(folder.path().join("site.toml"), site.replace(tracks, "")).unwrap();
    let no_tracks = of_hives(folder.path());
    insta::assert_snapshot!("no_place_for_hives_in_words", format!("{too_steep}\n\n{no_tracks}"));
}

/// Two years in which the four hours from 10 to 14 of each day, standard time, are warm and the rest is cold; it
/// rains all of each second day of the second year.
fn hours() -> String {
    let mut table = String::from("time,temp_c,wind_ms,rain_mm\n");
    let lengths = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];
    for year in [2022, 2023] {
        let mut day_of_year = 0;
        for (month, days) in (1..).zip(lengths) {
            for day in 1..=days {
                day_of_year += 1;
                let rain = f64::from(u8::from(year == 2023 && day_of_year % 2 == 0));
                for hour in 0..24 {
                    let temp = if (10..14).contains(&hour) { 18.0 } else { 5.0 };
                    let _ =
                        writeln!(table, "{year}-{month:02}-{day:02}T{hour:02}:00,{temp},2,{rain}");
                }
            }
        }
    }
    table
}

#[test]
fn hours_of_a_station_are_counted() {
    let folder = scratch();
    small_site(folder.path());
    small::text(folder.path(), "hours.csv", &hours());
    let keys = "[season]\nhourly = \"hours.csv\"\nutc_offset_h = 12\nstation_elevation_m = 100\n";
    small::replace(folder.path(), "site.toml", "[season]\n", keys);
    expect(folder.path(), &["season", "site.toml", "-o", "season", "--quiet"], 1);
    let told = record(&folder.path().join("season"));
    assert_eq!(told["weather"]["kind"], "hourly");
    assert_eq!(told["weather"]["years"], 2);
    assert_eq!(told["weather"]["days_bridged"], 0);
    // By hand: four warm hours on three days of four, all dry ones, are three hours a day; each is a share of the whole
    // hours with the sun up times the true daylight, which may differ by an hour in ten.
    for row in rows(&folder.path().join("season/bloom_blocks.csv")) {
        let hours = number(&row, "flying_hours") / number(&row, "days");
        assert!((hours - 3.0).abs() < 0.3, "{hours} of {row:?}");
        assert_eq!(number(&row, "flow_hours"), 0.0, "18 °C is too cold for it");
    }
    let inputs = told["inputs"].as_array().unwrap();
    assert!(inputs.iter().any(|one| one["role"] == "season.hourly" && one["file"] == "hours.csv"));
}

/// The offset that was used is told, and a warning comes with one that nobody gave.
#[test]
fn an_offset_that_was_guessed_is_told() {
    let folder = scratch();
    small_site(folder.path());
    small::text(folder.path(), "hours.csv", &hours());
    let keys =
        "[season]\nhourly = \"hours.csv\"\nutc_offset_h = 12.75\nstation_elevation_m = 100\n";
    small::replace(folder.path(), "site.toml", "[season]\n", keys);
    let season = || {
        let run = ["season", "site.toml", "-o", "season", "--overwrite"];
        let told = text(&expect(folder.path(), &run, 1).stdout);
        let weather = record(&folder.path().join("season"))["weather"].clone();
        let page = std::fs::read_to_string(folder.path().join("season/season.html")).unwrap();
        (told, weather, page)
    };
    let (told, weather, page) = season();
    assert!(told.contains("12.75 h ahead of universal time\n"), "{told}");
    assert!(!told.contains("season.utc_offset_h") && page.contains("12.75 h ahead"));
    assert_eq!(
        (&weather["utc_offset_h"], &weather["utc_offset_from"]),
        (&json!(12.75), &json!("site"))
    );
    // 365 days of two years, 24 h each.
    assert_eq!(weather["hours_without_zone"], 17_520);

    small::replace(folder.path(), "site.toml", "utc_offset_h = 12.75\n", "");
    let (told, weather, page) = season();
    assert!(told.contains("guessed by the longitude") && page.contains("guessed by the longitude"));
    assert!(
        told.contains("season.utc_offset_h") && told.contains("12 everywhere but on the Chathams")
    );
    assert_eq!(weather["utc_offset_from"], "longitude");

    let zoned = hours().replace(":00,", ":00+12:00,");
    small::text(folder.path(), "hours.csv", &zoned);
    let (told, weather, _) = season();
    assert!(!told.contains("season.utc_offset_h") && !told.contains("ahead of universal time"));
    assert_eq!(
        (&weather["hours_without_zone"], &weather["utc_offset_h"]),
        (&json!(0), &json!(null))
    );
}

#[test]
fn keys_of_hours_are_not_heard_with_normals_and_that_is_told() {
    let folder = scratch();
    small_site(folder.path());
    let keys = "[season]\nutc_offset_h = 12\nstation_elevation_m = 300\nmost_rain_mm = 0.4\nleast_radiation_w_m2 = 80\n";
    small::replace(folder.path(), "site.toml", "[season]\n", keys);
    expect(folder.path(), &["season", "site.toml", "-o", "season", "--quiet"], 1);
    let told = record(&folder.path().join("season"));
    for key in ["utc_offset_h", "station_elevation_m", "most_rain_mm", "least_radiation_w_m2"] {
        let item = format!("season.{key}");
        let warning = told["warnings"].as_array().unwrap().iter().find(|one| one["item"] == item);
        assert!(
            warning.is_some_and(|one| one["remedy"].as_str().unwrap().contains("not heard")),
            "{key}"
        );
    }
    assert_eq!(told["weather"]["station_elevation_m"], 40.0);
}

#[test]
fn faults_of_weather_are_named_by_row_with_a_remedy() {
    let folder = scratch();
    small_site(folder.path());
    let season = |status| {
        let output = expect(folder.path(), &["season", "site.toml", "-o", "season"], status);
        assert!(status != 2 || !folder.path().join("season").exists(), "nothing half-written");
        text(&output.stderr)
    };
    let mut all = String::new();
    let table = std::fs::read_to_string(folder.path().join("climate.csv")).unwrap();
    for (from, to) in [
        ("temp_min_c,rain_mm", "temp_min_c,rain"),
        ("3,16.0,11.4,104,4.2", "3,16.0,11.4,104,\"4,2\""),
        ("3,16.0,11.4,104,4.2", "3,16.0,11.4,-4,"),
    ] {
        assert!(table.contains(from));
        small::text(folder.path(), "climate.csv", &table.replacen(from, to, 1));
        all += &season(2);
    }
    small::text(folder.path(), "climate.csv", &table);
    let keys = "[season]\nhourly = \"hours.csv\"\nutc_offset_h = 12\n";
    small::replace(folder.path(), "site.toml", "[season]\n", keys);
    all += &season(2); // no such file
    let good = "time,temp_c,wind_ms,rain_mm\n2023-11-05T10:00,14.2,3,0\n";
    for row in [
        "5/11/2023 11:00,14,3,0",
        "2023-11-05T11:00,57F,3,0",
        "2023-11-05T10:30,14,3,0",
        "2023-11-05T11:00,14,3,0",
    ] {
        small::text(folder.path(), "hours.csv", &format!("{good}{row}\n"));
        all += &season(2); // the last: one morning is no record
    }
    insta::assert_snapshot!("faults_of_weather_in_words", all);
}
