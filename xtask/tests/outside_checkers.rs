//! The outside checkers object to faulty files: a checker that cannot say no proves nothing.

use std::env;
use std::error::Error;
use std::path::Path;
use std::process::Command;

/// Feeds a checker its own faulty files, each of which must draw the objection it names.
fn proves_itself(checker: &str) -> Result<(), Box<dyn Error>> {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("../tests/outside").join(checker);
    let python = env::var_os("HILLWEAVE_PYTHON").ok_or("run by `cargo xtask test`")?;
    let output = Command::new(python).arg(file).arg("--self-test").output()?;
    let said = String::from_utf8_lossy(&output.stdout);
    let faults = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{checker}: {}\n{said}\n{faults}", output.status);
    assert!(said.contains("\"missed\": []"), "{checker} tried no fault: {said}");
    Ok(())
}

#[test]
#[ignore = "needs shapely and pyogrio: cargo xtask test installs them"]
fn the_coverage_checker_objects_to_every_faulty_plan() -> Result<(), Box<dyn Error>> {
    proves_itself("coverage.py")
}

#[test]
#[ignore = "needs scipy: cargo xtask test installs it"]
fn the_assignment_checker_objects_to_every_faulty_answer() -> Result<(), Box<dyn Error>> {
    proves_itself("assignment.py")
}

#[test]
#[ignore = "needs rasterio: cargo xtask test installs it"]
fn the_zonal_checker_objects_to_every_faulty_zone() -> Result<(), Box<dyn Error>> {
    proves_itself("zonal.py")
}

#[test]
#[ignore = "needs pvlib: cargo xtask test installs it"]
fn the_sun_checker_objects_to_every_faulty_row() -> Result<(), Box<dyn Error>> {
    proves_itself("sun.py")
}

#[test]
#[ignore = "needs exactextract: cargo xtask test installs it"]
fn the_zones_checker_objects_to_every_faulty_zone() -> Result<(), Box<dyn Error>> {
    proves_itself("zones.py")
}

#[test]
#[ignore = "needs shapely: cargo xtask test installs it"]
fn the_cards_checker_objects_to_every_faulty_card() -> Result<(), Box<dyn Error>> {
    proves_itself("cards.py")
}

#[test]
#[ignore = "needs scikit-fuzzy: cargo xtask test installs it"]
fn the_fit_checker_objects_to_every_faulty_fit() -> Result<(), Box<dyn Error>> {
    proves_itself("fit.py")
}

#[test]
#[ignore = "needs scipy: cargo xtask test installs it"]
fn the_tally_checker_objects_to_every_faulty_figure() -> Result<(), Box<dyn Error>> {
    proves_itself("tally.py")
}

#[test]
#[ignore = "needs statsmodels: cargo xtask test installs it"]
fn the_mixed_model_checker_objects_to_every_faulty_figure() -> Result<(), Box<dyn Error>> {
    proves_itself("mixed_model.py")
}

#[test]
#[ignore = "needs numpy-financial: cargo xtask test installs it"]
fn the_ledger_checker_objects_to_every_faulty_figure() -> Result<(), Box<dyn Error>> {
    proves_itself("ledger.py")
}

#[test]
#[ignore = "needs icalendar: cargo xtask test installs it"]
fn the_calendar_checker_objects_to_every_faulty_calendar() -> Result<(), Box<dyn Error>> {
    proves_itself("almanac.py")
}

#[test]
#[ignore = "needs openpyxl: cargo xtask test installs it"]
fn the_workbook_checker_objects_to_every_faulty_workbook() -> Result<(), Box<dyn Error>> {
    proves_itself("workbook.py")
}

#[test]
#[ignore = "needs pyshp, fastkml, gpxpy and geojson-validator: cargo xtask test installs them"]
fn the_exchange_checker_objects_to_every_faulty_file() -> Result<(), Box<dyn Error>> {
    proves_itself("exchange.py")
}

#[test]
#[ignore = "needs shapely and pyogrio: cargo xtask test installs them"]
fn the_compare_checker_objects_to_every_faulty_comparison() -> Result<(), Box<dyn Error>> {
    proves_itself("compare.py")
}

#[test]
#[ignore = "needs poppler: cargo xtask test installs it"]
fn the_print_checker_objects_to_every_faulty_print() -> Result<(), Box<dyn Error>> {
    proves_itself("print.py")
}
