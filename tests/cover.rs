//! The check of cover, by running the real binary: on the sample property under its plan, as it is, and on
//! an elevation raster alone.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::float_cmp,
    reason = "a test that stops has failed"
)]

mod support;

use std::collections::BTreeMap;
use std::path::Path;

use gdal::Dataset;
use gdal::vector::LayerAccess;
use serde_json::Value;
use support::{copy_folder, expect, names, repository, scratch, small, text};

const FILES: [&str; 7] = [
    "cover.gpkg",
    "cover.html",
    "cover.json",
    "cover_by_year.csv",
    "cover_now.tif",
    "cover_pieces.csv",
    "cover_then.tif",
];

fn record(folder: &Path) -> Value {
    serde_json::from_slice(&std::fs::read(folder.join("cover.json")).unwrap()).unwrap()
}

fn rows(file: &Path) -> Vec<BTreeMap<String, String>> {
    let mut table = csv::Reader::from_path(file).unwrap();
    table.deserialize().map(Result::unwrap).collect()
}

fn number(row: &BTreeMap<String, String>, name: &str) -> f64 {
    row[name].parse().unwrap_or_else(|_| panic!("{name}: {}", row[name]))
}

#[test]
fn the_sample_property_under_its_plan() {
    let folder = scratch();
    // Beside the outputs, so that messages name no path of this machine.
    copy_folder(&repository().join("sample-layers"), &folder.path().join("site"));
    let site = "site";
    expect(folder.path(), &["plan", site, "-o", "plan"], 0);
    let output = expect(folder.path(), &["cover", site, "plan", "-o", "cover"], 1);
    insta::assert_snapshot!("the_cover_of_the_sample_in_words", text(&output.stdout));
    let written = folder.path().join("cover");
    assert_eq!(names(&written), FILES);
    let check = record(&written);
    assert_eq!(check["schema"], "hillweave.cover/1");
    // The plan that is made on the spot gives the same bytes.
    expect(folder.path(), &["cover", site, "-o", "again", "--threads", "1"], 1);
    for file in FILES {
        let read = |folder: &str| std::fs::read(written.with_file_name(folder).join(file)).unwrap();
        assert_eq!(read("cover"), read("again"), "{file}");
    }

    let by_year = rows(&written.join("cover_by_year.csv"));
    let plan_ha = check["plan_ha"].as_f64().unwrap();
    let meant = |row: &&BTreeMap<String, String>| {
        row["by"] == "slope_group" && row["measure"] == "crown" && row["may_slip_only"] == "no"
    };
    let mut by_years: BTreeMap<String, f64> = BTreeMap::new();
    for row in by_year.iter().filter(meant) {
        *by_years.entry(row["years"].clone()).or_default() += number(row, "plan_area_ha");
        let bands: f64 = ["under_20", "from_20", "from_40", "from_60", "from_80"]
            .iter()
            .map(|band| number(row, &format!("{band}_plan_ha")))
            .sum();
        assert!((bands - number(row, "plan_area_ha")).abs() < 1e-5, "{row:?}");
    }
    assert!(by_years.len() > 10);
    assert!(by_years.values().all(|sum| (sum - plan_ha).abs() < 1e-5), "{by_years:?} {plan_ha}");

    // Cells whose middle lies on the property, counted in the raster, are its area to the border's grain.
    let raster = Dataset::open(written.join("cover_then.tif")).unwrap();
    let band = raster.rasterband(1).unwrap().read_band_as::<f32>().unwrap();
    let known = band.data().iter().filter(|share| !share.is_nan());
    let cells = known.clone().count() as f64 * 4.0 / 1e4;
    assert!((cells - plan_ha).abs() < plan_ha * 2e-3, "{cells} {plan_ha}");
    assert!(known.clone().all(|share| (0.0..=1.0).contains(share)));

    let pieces = rows(&written.join("cover_pieces.csv"));
    let below: f64 = pieces.iter().map(|piece| number(piece, "plan_area_ha")).sum();
    let told =
        check["below_plan_ha"].as_f64().unwrap() - check["below_small_plan_ha"].as_f64().unwrap();
    assert!((below - told).abs() < 0.01 * told, "{below} {told}");
    let layer = Dataset::open(written.join("cover.gpkg")).unwrap();
    let mut layer = layer.layer_by_name("cover_pieces").unwrap();
    assert_eq!(layer.feature_count(), pieces.len() as u64);
    for (feature, piece) in layer.features().zip(&pieces) {
        let shape = feature.geometry().unwrap();
        assert!(shape.is_valid(), "{}", piece["piece_id"]);
        assert!((shape.area() / 1e4 - number(piece, "plan_area_ha")).abs() < 1e-6);
        assert!(!piece["reason"].is_empty() && !piece["remedy_words"].is_empty());
    }
    let page = std::fs::read_to_string(written.join("cover.html")).unwrap();
    page_tells_the_rows(&page, &by_year, &check);
}

/// The page's table and its picture, figure by figure: ground that may slip, by the measure and at the year that count.
fn page_tells_the_rows(page: &str, by_year: &[BTreeMap<String, String>], check: &Value) {
    let by_years = check["by_years"].to_string();
    let of_page = |row: &&BTreeMap<String, String>| {
        row["may_slip_only"] == "yes" && row["measure"] == check["measure"].as_str().unwrap()
    };
    let mine: Vec<_> = by_year.iter().filter(of_page).collect();
    let at = |now: &BTreeMap<String, String>, years: &str| {
        let like = |row: &&&BTreeMap<String, String>| {
            row["by"] == now["by"] && row["class"] == now["class"] && row["years"] == years
        };
        *mine.iter().find(like).unwrap()
    };
    let today: Vec<_> = mine.iter().filter(|row| row["years"].is_empty()).collect();
    assert!(today.len() >= 3, "{today:?}");
    for now in &today {
        let then = at(now, &by_years);
        let words = now["class"].replace('_', " ");
        let hectares = |of: &str| format!("{:.1}", number(then, &format!("{of}_plan_ha")));
        let per_cent = |row| format!("{:.0} %", number(row, "protected_share") * 100.0);
        let mut cells = vec![format!("{:.1}", number(now, "plan_area_ha"))];
        cells.extend([per_cent(now), per_cent(then)]);
        cells.extend(
            ["under_20", "from_20", "from_40", "from_60", "from_80", "below"].map(hectares),
        );
        let cells = cells.join("</td><td class=\"n\">");
        let line = format!("<td>{words}</td><td class=\"n\">{cells}</td>");
        assert!(page.contains(&line), "{line}");
    }
    // The picture is 182 by 84, its axes 14 from the left, 34 from the right, 12 from below and 4 from above.
    let years = |row: &BTreeMap<String, String>| row["years"].parse::<f64>();
    let last = mine.iter().filter_map(|row| years(row).ok()).fold(0.0, f64::max);
    for now in today.iter().filter(|now| now["by"] == "slope_group") {
        let of_class = |row: &&&BTreeMap<String, String>| {
            row["by"] == "slope_group" && row["class"] == now["class"]
        };
        let point = |row: &&BTreeMap<String, String>| {
            let x = 14.0 + years(row).ok()? / last * 134.0;
            let y = 72.0 - number(row, "protected_share") * 68.0;
            Some(format!("{x:.2},{y:.2}"))
        };
        let points: Vec<String> = mine.iter().filter(of_class).filter_map(point).collect();
        let width = if now["class"] == "slip_scar" { 0.9 } else { 0.6 };
        let line =
            page.split("<polyline points=\"").find(|line| line.starts_with(&points.join(" ")));
        let line = line.unwrap_or_else(|| panic!("{points:?}"));
        let stroke = line.split("/>").next().unwrap();
        assert!(stroke.contains(&format!("stroke-width=\"{width}\"")), "{stroke}");
    }
}

/// Written for others than the plan's own measure too, and by year in all of them.
#[test]
fn stand_curves_on_wide_spacing_come_with_a_warning() {
    let folder = scratch();
    let site = repository().join("sample-layers");
    let site = site.to_str().unwrap();
    let arguments = [
        "cover",
        site,
        "-o",
        "cover",
        "--measure",
        "stand_1993",
        "--by-years",
        "16",
        "--target",
        "0.9",
    ];
    let output = expect(folder.path(), &arguments, 1);
    let words = text(&output.stdout);
    assert!(words.contains("thousands of stems a hectare"), "{words}");
    let check = record(&folder.path().join("cover"));
    assert_eq!(
        (check["measure"].as_str(), check["target"].as_f64()),
        (Some("stand_1993"), Some(0.9))
    );
}

#[test]
fn a_site_as_it_is_and_a_raster_alone() {
    let folder = scratch();
    small::write(folder.path());
    let arguments = ["cover", "site.toml", "--unplanted", "-o", "cover", "--target", "0.99"];
    let output = support::hillweave(folder.path(), &arguments);
    assert!([Some(0), Some(1)].contains(&output.status.code()), "{}", text(&output.stderr));
    assert_eq!(record(&folder.path().join("cover"))["planted"], "nothing");

    let steep = Hill { rise: 0.6 };
    steep.write(&folder.path().join("hill.tif"));
    let output = expect(folder.path(), &["cover", "--elevation", "hill.tif", "-o", "bare"], 1);
    assert!(text(&output.stdout).contains("nothing is planted here"));
    let check = record(&folder.path().join("bare"));
    // atan 0.6 is 31 degrees: all of it may slip, and nothing covers it.
    assert_eq!(check["below_plan_ha"], check["plan_ha"]);
    share(&folder.path().join("woody.tif"), 0.8);
    let arguments = ["cover", "--elevation", "hill.tif", "--protected", "woody.tif", "-o", "woody"];
    expect(folder.path(), &arguments, 0);
    assert_eq!(record(&folder.path().join("woody"))["below_plan_ha"], 0.0);
    share(&folder.path().join("percent.tif"), 80.0);
    let arguments = ["cover", "--elevation", "hill.tif", "--protected", "percent.tif", "-o", "no"];
    let output = expect(folder.path(), &arguments, 2);
    let told = text(&output.stderr);
    assert!(told.contains("percent.tif") && told.contains("shares from 0 to 1"), "{told}");
    assert!(!folder.path().join("no").exists());
}

/// A plane that rises to the east.
struct Hill {
    rise: f64,
}

impl Hill {
    fn write(&self, file: &Path) {
        raster(file, |col| self.rise * 10.0 * col as f64);
    }
}

fn share(file: &Path, share: f64) {
    raster(file, |_| share);
}

fn raster(file: &Path, value: impl Fn(usize) -> f64) {
    const SIDE: usize = 20;
    let driver = gdal::DriverManager::get_driver_by_name("GTiff").unwrap();
    let mut dataset = driver.create_with_band_type::<f32, _>(file, SIDE, SIDE, 1).unwrap();
    dataset.set_geo_transform(&[1_600_000.0, 10.0, 0.0, 5_400_000.0, 0.0, -10.0]).unwrap();
    let crs = gdal::spatial_ref::SpatialRef::from_epsg(2193).unwrap();
    dataset.set_spatial_ref(&crs).unwrap();
    let cells: Vec<f32> = (0..SIDE * SIDE).map(|at| value(at % SIDE) as f32).collect();
    let mut buffer = gdal::raster::Buffer::new((SIDE, SIDE), cells);
    dataset.rasterband(1).unwrap().write((0, 0), (SIDE, SIDE), &mut buffer).unwrap();
    dataset.close().unwrap();
}

/// Faults are named, and nothing is left.
#[test]
fn a_plan_of_other_ground_and_keys_that_cannot_be_are_refused() {
    let folder = scratch();
    small::write(folder.path());
    expect(folder.path(), &["plan", "site.toml", "-o", "plan"], 0);
    let told = std::fs::read_to_string(folder.path().join("plan/plan.json")).unwrap();
    let over = ["cover", "site.toml", "plan", "-o", "./plan", "--overwrite"];
    let output = expect(folder.path(), &over, 2);
    assert!(text(&output.stderr).contains("the plan would be lost"));
    assert_eq!(std::fs::read_to_string(folder.path().join("plan/plan.json")).unwrap(), told);
    let mut plan: Value = serde_json::from_str(&told).unwrap();
    plan["zones"].as_array_mut().unwrap().pop();
    let other = folder.path().join("other");
    std::fs::create_dir(&other).unwrap();
    std::fs::write(other.join("plan.json"), serde_json::to_vec(&plan).unwrap()).unwrap();
    let output = expect(folder.path(), &["cover", "site.toml", "other", "-o", "cover"], 2);
    let words = text(&output.stderr);
    assert!(words.contains("plan.json") && words.contains("make the plan again"), "{words}");
    assert!(!folder.path().join("cover").exists());
    let rows = "\n[[cover.growth]]\nage_years = 5\ncrown_radius_m = 1\nroot_radius_m = 1\n\
                [[cover.growth]]\nage_years = 4\ncrown_radius_m = 2\nroot_radius_m = 2\n";
    small::text(folder.path(), "site.toml", &format!("{}{rows}", small::SITE));
    let output = expect(folder.path(), &["cover", "site.toml", "-o", "cover"], 2);
    let words = text(&output.stderr);
    assert!(words.contains("cover.growth") && words.contains("pair 2"), "{words}");
}
