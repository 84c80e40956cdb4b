//! What people see, by running the real binary: help, a starter site, a check, a plan, an error.

#![allow(
    clippy::unwrap_used,
    clippy::float_cmp,
    clippy::panic,
    reason = "a test that stops has failed"
)]

mod support;

use support::{expect, names, scratch, small, text};

#[test]
fn help_begins_with_what_it_is_for_and_ends_with_examples() {
    let folder = scratch();
    let output = expect(folder.path(), &["--help"], 0);
    insta::assert_snapshot!(text(&output.stdout));
}

#[test]
fn no_arguments_show_help_and_are_an_error() {
    let folder = scratch();
    let output = expect(folder.path(), &[], 2);
    assert!(text(&output.stderr).contains("Examples:"));
}

#[test]
fn a_mistyped_command_is_answered_with_the_nearest() {
    let folder = scratch();
    let output = expect(folder.path(), &["plam", "site.toml"], 2);
    assert!(text(&output.stderr).contains("plan"));
}

#[test]
fn the_small_plan_in_words() {
    let folder = scratch();
    small::write(folder.path());
    let output = expect(folder.path(), &["plan", "site.toml", "-o", "plan"], 0);
    insta::assert_snapshot!(text(&output.stdout));
}

#[test]
fn the_small_check_in_words() {
    let folder = scratch();
    small::write(folder.path());
    let output = expect(folder.path(), &["check", "site.toml"], 0);
    insta::assert_snapshot!(text(&output.stdout));
}

#[test]
fn an_unknown_key_in_words() {
    let folder = scratch();
    small::write(folder.path());
    small::replace(folder.path(), "site.toml", "min_area_ha", "min_area");
    let output = expect(folder.path(), &["plan", "site.toml", "-o", "plan"], 2);
    insta::assert_snapshot!(text(&output.stderr));
}

#[test]
fn a_starter_site_is_sound_but_for_the_layers_to_come() {
    let folder = scratch();
    let output = expect(folder.path(), &["new", "hills"], 0);
    assert!(text(&output.stdout).contains("hillweave check hills/site.toml"));
    assert_eq!(names(&folder.path().join("hills")), ["climate.csv", "site.toml", "stock.toml"]);
    let check = expect(folder.path(), &["check", "hills/site.toml"], 2);
    let said = text(&check.stderr);
    assert!(said.contains("boundary") && said.contains("remedy"), "{said}");
    let again = expect(folder.path(), &["new", "hills"], 2);
    assert!(text(&again.stderr).contains("hills"));
}

#[test]
fn quiet_says_nothing_and_json_says_json() {
    let folder = scratch();
    small::write(folder.path());
    let quiet = expect(folder.path(), &["plan", "site.toml", "-o", "one", "--quiet"], 0);
    assert!(quiet.stdout.is_empty() && quiet.stderr.is_empty());
    for arguments in [
        &["plan", "site.toml", "-o", "two", "--json"][..],
        &["ground", "site.toml", "-o", "ground", "--json"],
        &["new", "hills", "--json"],
    ] {
        let output = expect(folder.path(), arguments, 0);
        let told: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
        assert!(told["schema"].as_str().unwrap().starts_with("hillweave."), "{told}");
    }
    let check = expect(folder.path(), &["check", "site.toml", "--json"], 0);
    let told: serde_json::Value = serde_json::from_slice(&check.stdout).unwrap();
    assert_eq!(told["schema"], "hillweave.check/1");
    assert!(!told["layers"].as_array().unwrap().is_empty());
}

#[test]
fn colour_only_where_it_is_wanted() {
    let folder = scratch();
    let escape = "\u{1b}[";
    let plain = expect(folder.path(), &["check", "nowhere.toml"], 2);
    assert!(!text(&plain.stderr).contains(escape), "a pipe gets no colour");
    let asked = expect(folder.path(), &["check", "nowhere.toml", "--color", "always"], 2);
    assert!(text(&asked.stderr).contains(escape));
}

#[test]
fn completions_and_the_manual_know_every_command() {
    let folder = scratch();
    let manual = text(&expect(folder.path(), &["manual"], 0).stdout);
    let script = text(&expect(folder.path(), &["completions", "bash"], 0).stdout);
    for command in ["new", "check", "ground", "plan", "completions", "manual"] {
        assert!(manual.contains(command), "{command} is missing from the manual");
        assert!(script.contains(command), "{command} is missing from the completions");
    }
}

#[test]
fn landform_layers_are_cloud_optimised_and_on_the_grid_of_the_elevation() {
    let folder = scratch();
    small::write(folder.path());
    expect(folder.path(), &["ground", "--elevation", "dem.tif", "-o", "ground"], 0);
    let files = [
        "aspect_deg.tif",
        "filled_m.tif",
        "flow_area_m2.tif",
        "slope_deg.tif",
        "wetness_index.tif",
    ];
    assert_eq!(names(&folder.path().join("ground")), files);
    let dem = gdal::Dataset::open(folder.path().join("dem.tif")).unwrap();
    for file in files {
        let layer = gdal::Dataset::open(folder.path().join("ground").join(file)).unwrap();
        assert_eq!(layer.raster_size(), dem.raster_size(), "{file}");
        assert_eq!(layer.geo_transform().unwrap(), dem.geo_transform().unwrap(), "{file}");
        assert_eq!(layer.spatial_ref().unwrap().auth_code().unwrap(), 2193, "{file}");
    }
}
