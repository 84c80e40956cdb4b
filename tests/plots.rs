//! Survival plots, end to end: laid out with the plan, counted, and read by `hillweave survival`.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that stops has failed")]

mod support;

use gdal::Dataset;
use gdal::vector::LayerAccess;
use geo::{Contains, Point};
use support::{expect, names, scratch, small, text, written};

const PLOTS: &str = "[plots]\nplan_area_ha = 0.001\nhalf_width = 0.2\nleast = 2\n";

#[test]
fn plots_lie_in_planted_zones_with_the_radius_of_their_slope() {
    let folder = scratch();
    small::write(folder.path());
    small::text(folder.path(), "site.toml", &format!("{}{PLOTS}", small::SITE));
    expect(folder.path(), &["plan", "site.toml", "-o", "plan"], 0);
    let plan = folder.path().join("plan");
    let zones = written::layer(&plan, "zones");
    let table = std::fs::read_to_string(plan.join("plots.csv")).unwrap();
    let mut rows = csv::Reader::from_reader(table.as_bytes());
    assert_eq!(rows.headers().unwrap().iter().next(), Some("plot_id"));
    let mut places: Vec<(String, Point, f64)> = Vec::new();
    for row in rows.records() {
        let row = row.unwrap();
        let number = |at: usize| row[at].parse::<f64>().unwrap();
        let (radius, slope) = (number(2), number(3));
        let map_m2 = std::f64::consts::PI * radius * radius * slope.to_radians().cos();
        assert!((map_m2 - 10.0).abs() < 1e-6, "{map_m2} m² of map");
        let place = Point::new(number(5), number(6));
        let zone = zones.iter().find(|zone| zone.text("zone_id") == &row[1]).unwrap();
        assert!(zone.geometry.contains(&place), "{row:?}");
        places.push((row[1].to_owned(), place, radius));
    }
    for zone in &zones {
        let own = places.iter().filter(|(id, ..)| id == zone.text("zone_id")).count();
        let planted = zone.number("left_share") < 1.0;
        assert_eq!(own >= 2, planted, "{}: {own}", zone.text("zone_id"));
    }
    let file = Dataset::open(plan.join("plan.gpkg")).unwrap();
    assert_eq!(file.layer_by_name("plots").unwrap().feature_count() as usize, places.len());
    let way_points = Dataset::open(plan.join("plots.gpx")).unwrap();
    let way_points = way_points.layer_by_name("waypoints").unwrap().feature_count();
    assert_eq!(way_points as usize, places.len());
}

#[test]
fn the_sheet_that_is_filled_in_is_read_as_it_is() {
    let folder = scratch();
    small::write(folder.path());
    small::text(folder.path(), "site.toml", &format!("{}{PLOTS}", small::SITE));
    expect(folder.path(), &["plan", "site.toml", "-o", "plan"], 0);
    let sheet = std::fs::read_to_string(folder.path().join("plan/counting.csv")).unwrap();
    small::text(folder.path(), "counts.csv", &sheet);
    let empty = expect(folder.path(), &["survival", "site.toml", "plan", "counts.csv"], 2);
    assert!(text(&empty.stderr).contains("a whole number of plants"), "{}", text(&empty.stderr));
    small::text(folder.path(), "counts.csv", &sheet.replace(",,,", ",40,39,"));
    let said = expect(folder.path(), &["survival", "site.toml", "plan", "counts.csv"], 0);
    assert!(text(&said.stdout).contains("stocked"), "{}", text(&said.stdout));
    let again = ["plan", "site.toml", "-o", "plan", "--overwrite", "--threads", "1"];
    expect(folder.path(), &again, 0);
    let same = std::fs::read_to_string(folder.path().join("plan/counting.csv")).unwrap();
    assert!(same == sheet, "the same on any number of threads");
}

#[test]
fn a_zone_narrower_than_a_plot_is_told_and_none_are_laid_out_unasked() {
    let folder = scratch();
    small::write(folder.path());
    expect(folder.path(), &["plan", "site.toml", "-o", "plan"], 0);
    assert!(names(&folder.path().join("plan")).iter().all(|name| !name.contains("plots")));
    let large = "[plots]\nplan_area_ha = 0.4\n";
    small::text(folder.path(), "site.toml", &format!("{}{large}", small::SITE));
    expect(folder.path(), &["plan", "site.toml", "-o", "plan", "--overwrite"], 0);
    let told = written::json(&folder.path().join("plan"))["warnings"].to_string();
    assert!(told.contains("plots that reach beyond their zone"), "{told}");
}
