//! What people see, by running the real binary: help, a starter site, a check, a plan, an error.

#![allow(
    clippy::unwrap_used,
    clippy::float_cmp,
    clippy::panic,
    reason = "a test that stops has failed"
)]

mod support;

use std::path::Path;

use geo::InteriorPoint;
use support::{expect, names, scratch, small, text, written};

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

/// Winters, money, weeks in flower, joined neighbours and choices by hand, all in use.
#[test]
fn the_small_plan_with_every_rule_in_words() {
    let folder = scratch();
    small::write(folder.path());
    let rules = "[mosaic]\nfirst_season = 2027\nseasons = 2\nplanting_nzd = 0.5\nbudget_nzd = 5500\n\
        season_budget_nzd = 4000\nweeks_in_flower = 8\nflower_least_ha = 0.2\njoin_loss = 0.2\n\
        overrides = \"overrides.toml\"\n[stock]\n";
    small::replace(folder.path(), "site.toml", "[stock]\n", rules);
    let low = "supply = { 2027 = 700, 2028 = 1500 }\nprice_nzd = 1.1\nmin_lot = 300\n\
        [stock.flowering]\nbegins = \"12-10\"\nends = \"01-20\"\nelevation_m = 100\n";
    small::replace(folder.path(), "stock.toml", "supply = 1500\n", low);
    let high = "kind = \"seed_line\"\nprice_nzd = 1.4\n\
        [stock.flowering]\nbegins = \"12-28\"\nends = \"02-12\"\nelevation_m = 100\n";
    small::replace(folder.path(), "stock.toml", "kind = \"seed_line\"\n", high);
    small::text(folder.path(), "overrides.toml", "");
    expect(folder.path(), &["plan", "site.toml", "-o", "before"], 0);
    let blocks = written::layer(&folder.path().join("before"), "blocks");
    let of = |line: &str| {
        let block = blocks.iter().find(|block| block.text("stock_id") == line).unwrap();
        let at = block.geometry.interior_point().unwrap();
        format!("[[zone]]\nat = [{}, {}]\n", at.x(), at.y())
    };
    let (low, high) = (of("low"), of("high"));
    let choices = format!(
        "{low}forbid = \"low\"\nnote = \"seen from the house\"\n{high}density_sph = 1500\n"
    );
    small::text(folder.path(), "overrides.toml", &choices);
    let output = expect(folder.path(), &["plan", "site.toml", "-o", "plan"], 0);
    insta::assert_snapshot!(text(&output.stdout));
}

#[test]
fn rules_that_cannot_be_kept_in_words() {
    let folder = scratch();
    small::write(folder.path());
    small::replace(
        folder.path(),
        "site.toml",
        "[stock]\n",
        "[mosaic]\nweeks_in_flower = 4\n[stock]\n",
    );
    let output = expect(folder.path(), &["plan", "site.toml", "-o", "plan"], 2);
    insta::assert_snapshot!(text(&output.stderr));
}

#[test]
fn the_small_check_in_words() {
    let folder = scratch();
    small::write(folder.path());
    let output = expect(folder.path(), &["check", "site.toml"], 0);
    insta::assert_snapshot!(text(&output.stdout));
}

#[test]
fn the_stock_of_the_sample_in_words() {
    let folder = scratch();
    let sample = support::repository().join("sample-layers/stock.toml");
    std::fs::copy(sample, folder.path().join("stock.toml")).unwrap();
    let output = expect(folder.path(), &["stock", "stock.toml"], 0);
    insta::assert_snapshot!(text(&output.stdout));
}

#[test]
fn the_stock_of_the_sample_as_a_table() {
    let folder = scratch();
    let sample = support::repository().join("sample-layers/stock.toml");
    std::fs::copy(sample, folder.path().join("stock.toml")).unwrap();
    let output = expect(folder.path(), &["stock", "stock.toml", "-o", "stock.csv"], 0);
    assert_eq!(text(&output.stdout), "5 lines written to stock.csv\n");
    let table = std::fs::read_to_string(folder.path().join("stock.csv")).unwrap();
    insta::assert_snapshot!(table);
    // There and back is the same table, and a file is never replaced unasked, nor by itself.
    expect(folder.path(), &["stock", "stock.csv", "-o", "back.toml"], 0);
    expect(folder.path(), &["stock", "back.toml", "-o", "again.csv"], 0);
    assert_eq!(std::fs::read_to_string(folder.path().join("again.csv")).unwrap(), table);
    let taken = expect(folder.path(), &["stock", "stock.csv", "-o", "back.toml"], 2);
    assert!(text(&taken.stderr).contains("--overwrite"));
    let itself =
        expect(folder.path(), &["stock", "stock.csv", "-o", "stock.csv", "--overwrite"], 2);
    assert!(text(&itself.stderr).contains("the file that is read"));
    let strange = expect(folder.path(), &["stock", "stock.csv", "-o", "stock.xlsx"], 2);
    assert!(text(&strange.stderr).contains("`.xlsx`"));
}

#[test]
fn faults_of_a_table_of_stock_in_words() {
    let folder = scratch();
    let rows = "id,name,kind,supply_2027,price,tolerance_slope_deg_full_to\n\
                low,Low Line,cultivar,many,1.20,35\n\
                ,High Seed,seedline,,,\n";
    small::text(folder.path(), "stock.csv", rows);
    let output = expect(folder.path(), &["stock", "stock.csv"], 2);
    insta::assert_snapshot!(text(&output.stderr));
}

#[test]
fn a_table_of_stock_gives_the_plan_that_its_toml_gives() {
    let folder = scratch();
    small::write(folder.path());
    expect(folder.path(), &["plan", "site.toml", "-o", "one"], 0);
    expect(folder.path(), &["stock", ".", "-o", "stock.csv"], 0);
    small::replace(folder.path(), "site.toml", "\"stock.toml\"", "\"stock.csv\"");
    let check = expect(folder.path(), &["check", "site.toml"], 0);
    assert!(text(&check.stdout).contains("Low Line (cultivar), High Seed (seed line)"));
    expect(folder.path(), &["plan", "site.toml", "-o", "two"], 0);
    let plan = |name: &str| support::written::json(&folder.path().join(name));
    let (one, two) = (plan("one"), plan("two"));
    for part in ["fits", "blocks", "orders", "totals"] {
        assert_eq!(one[part], two[part], "{part}");
    }
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
        &["stock", "site.toml", "--json"],
    ] {
        let output = expect(folder.path(), arguments, 0);
        let told: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
        assert!(told["schema"].as_str().unwrap().starts_with("hillweave."), "{told}");
    }
    // A report and the record beside the layers are told apart by their schemas.
    let again = ["ground", "site.toml", "-o", "again", "--json"];
    let told = text(&expect(folder.path(), &again, 0).stdout);
    assert!(told.contains("\"schema\": \"hillweave.ground_report/1\""), "{told}");
    let record = std::fs::read_to_string(folder.path().join("again/ground.json")).unwrap();
    assert!(record.contains("\"schema\": \"hillweave.ground/1\""), "{record}");
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
    for command in ["new", "check", "ground", "stock", "plan", "survival", "completions", "manual"]
    {
        assert!(manual.contains(command), "{command} is missing from the manual");
        assert!(script.contains(command), "{command} is missing from the completions");
    }
}

#[test]
fn layers_of_the_ground_are_cloud_optimised_and_on_the_grid_of_the_elevation() {
    let folder = scratch();
    small::write(folder.path());
    expect(folder.path(), &["ground", "--elevation", "dem.tif", "-o", "ground"], 0);
    let files = [
        "aspect_deg.tif",
        "drainage_lines.geojson",
        "exposure_class.tif",
        "exposure_deg.tif",
        "filled_m.tif",
        "flow_area_m2.tif",
        "frost_class.tif",
        "frost_index.tif",
        "ground.json",
        "height_above_drainage_m.tif",
        "ls_factor.tif",
        "plan_curvature_per_m.tif",
        "profile_curvature_per_m.tif",
        "sky_view_share.tif",
        "slope_deg.tif",
        "slope_group.tif",
        "sun_class.tif",
        "sun_ratio.tif",
        "wetness_class.tif",
        "wetness_index.tif",
    ];
    assert_eq!(names(&folder.path().join("ground")), files);
    let dem = gdal::Dataset::open(folder.path().join("dem.tif")).unwrap();
    for file in files.into_iter().filter(|file| is_raster(file)) {
        let layer = gdal::Dataset::open(folder.path().join("ground").join(file)).unwrap();
        assert_eq!(layer.raster_size(), dem.raster_size(), "{file}");
        assert_eq!(layer.geo_transform().unwrap(), dem.geo_transform().unwrap(), "{file}");
        assert_eq!(layer.spatial_ref().unwrap().auth_code().unwrap(), 2193, "{file}");
    }
    let record = std::fs::read_to_string(folder.path().join("ground/ground.json")).unwrap();
    let record: serde_json::Value = serde_json::from_str(&record).unwrap();
    assert_eq!(record["elevation"]["file"], "dem.tif");
    assert_eq!(record["settings"]["wetness_by"], "edges");
    assert_eq!(record["layers"].as_array().unwrap().len(), files.len() - 1);
}

#[test]
fn the_small_ground_in_words() {
    let folder = scratch();
    small::write(folder.path());
    let arguments = ["ground", "--elevation", "dem.tif", "-o", "ground"];
    let output = expect(folder.path(), &arguments, 0);
    insta::assert_snapshot!(text(&output.stdout));
}

#[test]
fn heights_in_feet_are_told_by_an_option_and_what_was_taken_is_said() {
    let folder = scratch();
    let dem = folder.path().join("dem.tif");
    // A map in US survey feet that does not say what its heights are in.
    small::raster_f32(&dem, 40, 40, Some("EPSG:2264"), 15.0, small::height);
    let update = gdal::DatasetOptions {
        open_flags: gdal::GdalOpenFlags::GDAL_OF_UPDATE,
        ..gdal::DatasetOptions::default()
    };
    let mut file = gdal::Dataset::open_ex(&dem, update).unwrap();
    file.set_geo_transform(&[2e6, 15.0, 0.0, 6e5, 0.0, -15.0]).unwrap();
    file.close().unwrap();
    let run = |out: &str, more: &[&str], status| {
        let start = ["ground", "--elevation", "dem.tif", "--crs", "EPSG:32119", "--cell", "5"];
        let end = ["--layers", "slope_deg", "-o", out, "--json"];
        text(&expect(folder.path(), &[&start[..], &end, more].concat(), status).stdout)
    };
    assert!(run("none", &[], 2).contains("--unit"));
    let mut steepest = Vec::new();
    for (out, unit, metres) in [("metres", "m", 1.0), ("feet", "ft_us", 1200.0 / 3937.0)] {
        let told = run(out, &["--unit", unit], 0);
        assert!(!told.contains("--unit"), "nothing was left to a default: {told}");
        let record = std::fs::read(folder.path().join(out).join("ground.json")).unwrap();
        let record: serde_json::Value = serde_json::from_slice(&record).unwrap();
        assert_eq!(record["elevation"]["metres_per_unit"].as_f64().unwrap(), metres);
        let layer = gdal::Dataset::open(folder.path().join(out).join("slope_deg.tif")).unwrap();
        let cells = layer.rasterband(1).unwrap().read_band_as::<f32>().unwrap();
        steepest
            .push(cells.data().iter().copied().filter(|cell| !cell.is_nan()).fold(0.0, f32::max));
    }
    // tan of the slope goes with the height of a unit.
    let tangents: Vec<_> = steepest.iter().map(|slope| slope.to_radians().tan()).collect();
    assert!((tangents[1] / tangents[0] - 0.3048).abs() < 1e-4, "{tangents:?}");
    // Metres taken for want of a word are said to be so, in windows too.
    small::raster_f32(&dem, 40, 40, Some("EPSG:2193"), 5.0, small::height);
    for cells in ["1", "1000000"] {
        let end = ["--layers", "slope_deg", "-o", cells, "--whole-cells", cells];
        let start = ["ground", "--elevation", "dem.tif"];
        let told = text(&expect(folder.path(), &[&start[..], &end].concat(), 0).stdout);
        assert!(told.contains("--unit = 1 m"), "{told}");
    }
}

#[test]
fn layers_in_windows_are_those_of_the_whole() {
    let folder = scratch();
    small::write(folder.path());
    let ground = ["ground", "--elevation", "dem.tif", "--scale", "10"];
    for (out, cells) in [("whole", "1000000"), ("windows", "100")] {
        let more = ["-o", out, "--whole-cells", cells];
        let told = text(&expect(folder.path(), &[&ground[..], &more].concat(), 0).stdout);
        let windows =
            told.contains("frost_class, drainage_lines\n  a raster that is worked in windows");
        assert_eq!(windows, out == "windows", "{told}");
        assert_eq!(told.contains("--whole-cells 1600"), windows, "{told}");
        assert!(told.contains("coldest_month_min_c\n  no climate table"), "{told}");
    }
    let bits = |file: &Path| -> Vec<u64> {
        let image = gdal::Dataset::open(file).unwrap();
        let cells = image.rasterband(1).unwrap().read_band_as::<f64>().unwrap();
        cells.data().iter().map(|cell| cell.to_bits()).collect()
    };
    let windows = folder.path().join("windows");
    let layers: Vec<_> = names(&windows).into_iter().filter(|file| is_raster(file)).collect();
    assert!(layers.len() > 10, "{layers:?}");
    for layer in layers {
        let (part, whole) = (windows.join(&layer), folder.path().join("whole").join(&layer));
        assert!(bits(&part) == bits(&whole), "{layer}");
    }
}

#[test]
fn a_layer_that_cannot_be_had_is_refused_by_name() {
    let folder = scratch();
    small::write(folder.path());
    let ask = |layers: &str, more: &[&str], status| {
        let arguments = ["ground", "--elevation", "dem.tif", "-o", "out", "--layers", layers];
        text(&expect(folder.path(), &[&arguments[..], more].concat(), status).stderr)
    };
    assert!(ask("annual_mean_c", &[], 2).contains("layers.climate"));
    assert!(ask("wind_exposure_deg", &[], 2).contains("ground.wind_rose"));
    assert!(ask("slope_degrees", &[], 2).contains("slope_deg"));
    assert!(ask("frost_index", &["--whole-cells", "100"], 2).contains("--whole-cells 1600"));
    assert!(ask("annual_mean_c", &["--whole-cells", "100"], 2).contains("layers.climate"));
    assert!(!folder.path().join("out").exists());
    ask("all", &[], 0);
    assert!(folder.path().join("out/sun_06_mj_m2.tif").exists());
}

#[test]
fn the_record_of_the_ground_says_what_it_was_made_from() {
    let folder = scratch();
    small::write(folder.path());
    let months = (1..=12).map(|month| format!("{month},9.5,4.5"));
    let header = std::iter::once("month,temp_mean_c,temp_min_c".to_owned());
    let normals: Vec<String> = header.chain(months).collect();
    small::text(folder.path(), "normals.csv", &normals.join("\n"));
    for (file, value) in [("slope.tif", 12.0), ("aspect.tif", 200.0), ("wet.tif", 7.0)] {
        let path = folder.path().join(file);
        small::raster_f32(&path, 40, 40, Some("EPSG:2193"), 5.0, |_, _| value);
    }
    let layers = r#"[layers.streams]
file = "streams.geojson"
[layers.slope]
file = "slope.tif"
[layers.aspect]
file = "aspect.tif"
[layers.wetness]
file = "wet.tif"
[layers.climate]
file = "normals.csv"
station_elevation_m = 25
lapse_c_per_100m = 0.55
[layers.cover]"#;
    small::replace(folder.path(), "site.toml", "[layers.cover]", layers);
    let ask = |out: &str, more: &[&str]| {
        let told = expect(folder.path(), &[&["ground", "-o", out][..], more].concat(), 0);
        let record = std::fs::read(folder.path().join(out).join("ground.json")).unwrap();
        (text(&told.stderr), serde_json::from_slice::<serde_json::Value>(&record).unwrap())
    };
    let options = ["site.toml", "--method", "horn", "--flow", "steepest"];
    let (said, record) = ask("site", &options);
    assert!(
        said.contains("--method\n  found     a site that gives slope_deg and aspect_deg"),
        "{said}"
    );
    assert!(said.contains("--flow\n  found     a site that gives wetness_index"), "{said}");
    assert!(!said.contains("--scale"), "{said}");
    insta::assert_snapshot!(serde_json::to_string_pretty(&record).unwrap());
    // Where the options are heard, or their layers not asked for, there is nothing to warn of.
    let (said, _) = ask("sky", &[&options[..], &["--layers", "sky_view_share"]].concat());
    assert!(!said.contains("--"), "{said}");
    let bare = ["--elevation", "dem.tif", "--method", "horn", "--layers", "slope_deg"];
    for (out, cells) in [("whole", "10000"), ("windows", "100")] {
        let (said, record) = ask(out, &[&bare[..], &["--whole-cells", cells]].concat());
        assert!(!said.contains("--method"), "{said}");
        assert_eq!(record["settings"]["slope_formula"], "horn");
        for empty in ["site", "streams", "drainage", "climate"] {
            assert!(record[empty].is_null(), "{record}");
        }
        // No wetness class was written.
        assert!(record["settings"]["wetness_edges"].is_null(), "{record}");
        let latitude = record["latitude_deg"].as_f64().unwrap();
        assert!((-41.0..-39.0).contains(&latitude), "{latitude}");
    }
}

#[test]
fn mapped_streams_are_why_no_lines_are_derived() {
    let folder = scratch();
    small::write(folder.path());
    let streams = "[layers.streams]\nfile = \"streams.geojson\"\n[layers.cover]";
    small::replace(folder.path(), "site.toml", "[layers.cover]", streams);
    let told = expect(folder.path(), &["ground", "site.toml", "-o", "ground"], 0);
    let told = text(&told.stdout);
    assert!(told.contains("left out: drainage_lines\n  a site whose streams are mapped"), "{told}");
    let named = ["ground", "site.toml", "-o", "lines", "--layers", "drainage_lines"];
    let refused = text(&expect(folder.path(), &named, 2).stderr);
    assert!(refused.contains("streams are mapped"), "{refused}");
}

/// Whether a file of the ground is a raster.
fn is_raster(file: &str) -> bool {
    Path::new(file).extension().is_some_and(|ending| ending == "tif")
}

/// Ground from which no water reaches a stream: nobody knows its frost, and nobody is told that it
/// fits.
#[test]
fn what_is_not_known_of_frost_is_told_in_plan_zone_and_fit() {
    let folder = scratch();
    small::write(folder.path());
    small::replace(
        folder.path(),
        "site.toml",
        "exposure_m = 20\n[zones]",
        "exposure_m = 20\nstream_from_ha = 100\n[zones]\nfactors = [\"frost_class\"]",
    );
    small::replace(
        folder.path(),
        "stock.toml",
        "slope_deg =",
        "frost_index = { full_to = 0.3, none_above = 0.6 }\nslope_deg =",
    );
    expect(folder.path(), &["plan", "site.toml", "-o", "plan"], 0);
    let told = support::written::json(&folder.path().join("plan"));
    let zones = told["zones"].as_array().unwrap();
    assert!(zones.iter().all(|zone| zone["frost_class"] == "unknown"), "{zones:?}");
    let warnings = told["warnings"].to_string();
    assert!(warnings.contains("no drainage line was derived"), "{warnings}");
    assert!(warnings.contains("100 % of the property"), "{warnings}");
    let fits = told["fits"].as_array().unwrap();
    for fit in fits {
        let named = fit["stock_id"] == "low";
        let sentence = fit["sentence"].as_str().unwrap();
        assert_eq!(sentence.contains("frost hollow index is not known on 100 %"), named, "{fit}");
    }
}
