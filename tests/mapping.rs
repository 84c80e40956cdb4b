//! Files for mapping packages against readers that had no part in making them: validators of GeoPackage and of
//! cloud-optimised GeoTIFF, readers of styles and metadata, and a mapping package without a window.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that stops has failed")]

mod support;

use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::OnceLock;

use gdal::Dataset;
use gdal::vector::LayerAccess;
use support::{expect, hillweave, repository, scratch, small, text};

/// A plan with plants and plots, a check of cover and the ground of the small property, made once.
fn made() -> &'static Path {
    static MADE: OnceLock<tempfile::TempDir> = OnceLock::new();
    let folder = MADE.get_or_init(|| {
        let folder = scratch();
        small::write(folder.path());
        let more = "[layout]\nplants = \"rows\"\n[plots]\nplan_area_ha = 0.001\nhalf_width = 0.2\nleast = 2\n";
        small::text(folder.path(), "site.toml", &format!("{}{more}", small::SITE));
        expect(folder.path(), &["plan", "site.toml", "-o", "plan"], 0);
        expect(folder.path(), &["ground", "site.toml", "-o", "ground"], 0);
        let cover = hillweave(folder.path(), &["cover", "site.toml", "plan", "-o", "cover"]);
        assert!(matches!(cover.status.code(), Some(0 | 1)), "{}", text(&cover.stderr));
        folder
    });
    folder.path()
}

fn of_environment(name: &str) -> String {
    std::env::var(name).unwrap_or_else(|_| panic!("{name} is not set; `cargo xtask test` sets it"))
}

/// A checker in Python, with the libraries of QGIS and GDAL.
fn checker(script: &str) -> Command {
    let mut command = Command::new(of_environment("HILLWEAVE_GIS_PYTHON"));
    command.arg(repository().join("tests/outside").join(script));
    command
}

/// Runs a checker, which must find nothing.
fn finds_nothing(command: &mut Command) {
    let output = command.output().unwrap_or_else(|error| panic!("{command:?}: {error}"));
    let (found, said) = (text(&output.stdout), text(&output.stderr));
    assert!(output.status.success() && found.contains('{'), "{command:?}\n{found}{said}");
}

/// Rasters of the ground and of cover.
fn rasters() -> Vec<PathBuf> {
    let mut rasters: Vec<PathBuf> = ["ground", "cover"]
        .iter()
        .flat_map(|folder| std::fs::read_dir(made().join(folder)).unwrap())
        .map(|entry| entry.unwrap().path())
        .filter(|file| file.extension().is_some_and(|end| end == "tif"))
        .collect();
    rasters.sort();
    assert!(rasters.len() > 5, "{rasters:?}");
    rasters
}

/// Sources: GDAL's `validate_gpkg`, the validator of the Dutch map agency, `SQLite`'s `integrity_check`.
#[test]
#[ignore = "needs the checkers of mapping files: cargo xtask test installs them"]
fn validators_find_nothing_in_geopackages() {
    let files = ["plan/plan.gpkg", "cover/cover.gpkg"].map(|file| made().join(file));
    finds_nothing(checker("geopackage_format.py").args(&files));
}

#[test]
#[ignore = "needs the checkers of mapping files: cargo xtask test installs them"]
fn the_check_of_geopackages_objects_to_faulty_ones() {
    let file = made().join("plan/plan.gpkg");
    finds_nothing(checker("geopackage_format.py").arg("--self-test").arg(file));
}

/// Sources: rio-cogeo, GDAL's `validate_cloud_optimized_geotiff`.
#[test]
#[ignore = "needs the checkers of mapping files: cargo xtask test installs them"]
fn validators_find_nothing_in_rasters() {
    finds_nothing(checker("cog.py").args(rasters()));
}

#[test]
#[ignore = "needs the checkers of mapping files: cargo xtask test installs them"]
fn the_check_of_rasters_objects_to_faulty_ones() {
    let slope = made().join("ground/slope_deg.tif");
    finds_nothing(checker("cog.py").arg("--self-test").arg(slope));
}

/// Source: QGIS by its library: layers come up in their styles, and the project after it was moved.
#[test]
#[ignore = "needs python3-qgis: cargo xtask test installs it"]
fn a_mapping_package_opens_the_plan_in_its_colours() {
    finds_nothing(checker("opens.py").arg(made().join("plan")));
}

#[test]
#[ignore = "needs python3-qgis: cargo xtask test installs it"]
fn the_check_of_opening_objects_to_faulty_plans() {
    finds_nothing(checker("opens.py").arg("--self-test").arg(made().join("plan")));
}

/// Sources: geostyler's SLD parser; jsonix with mappings of the schemas of SLD, SE and ISO 19139; the validator of
/// the `MapLibre` style specification.
#[test]
#[ignore = "needs the checkers of mapping files: cargo xtask test installs them"]
fn styles_and_metadata_are_read_by_their_standards() {
    let plan = metadata("plan/plan.gpkg", "plan.xml");
    let cover = metadata("cover/cover.gpkg", "cover.xml");
    finds_nothing(node(&[]).args([&plan, &cover]));
    finds_nothing(node(&["--self-test"]).arg(&plan));
}

fn node(options: &[&str]) -> Command {
    let mut command = Command::new("node");
    command.arg(repository().join("tests/outside/styles.mjs")).args(options);
    command.arg(of_environment("HILLWEAVE_NODE")).arg(repository().join("styles"));
    command
}

/// The metadata document of a GeoPackage as a file.
fn metadata(file: &str, name: &str) -> PathBuf {
    let dataset = Dataset::open(made().join(file)).unwrap();
    let query = "SELECT metadata FROM gpkg_metadata";
    let mut answer =
        dataset.execute_sql(query, None, gdal::vector::sql::Dialect::DEFAULT).unwrap().unwrap();
    let page = answer.features().next().unwrap().field_as_string(0).unwrap().unwrap();
    let target = made().join(name);
    std::fs::write(&target, page).unwrap();
    target
}

/// Nothing but Rust is needed for this one: the same bytes on one thread and on two, in another time zone.
#[test]
fn the_geopackage_and_the_project_are_the_same_bytes_each_time() {
    let again = ["plan", "site.toml", "-o", "again", "--threads", "1", "--overwrite"];
    let run = Command::new(env!("CARGO_BIN_EXE_hillweave"))
        .args(again)
        .current_dir(made())
        .env("TZ", "Pacific/Chatham")
        .output()
        .unwrap();
    assert!(run.status.success(), "{}", text(&run.stderr));
    for file in ["plan.gpkg", "plan.qgs"] {
        let read = |folder: &str| std::fs::read(made().join(folder).join(file)).unwrap();
        assert!(read("plan") == read("again"), "{file}");
    }
}
