//! What is fuzzed: a function for each reader, and one for the chain of geometry. Each takes any bytes and holds what comes
//! of them to its word; a panic is a finding.
#![allow(
    dead_code,
    unreachable_pub,
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::missing_panics_doc,
    reason = "a target that stops has found something"
)]

#[path = "../../../crates/partition/tests/oracle/mod.rs"]
mod oracle;

use std::cell::OnceCell;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

use partition::{Lattice, Layer, Polygon, partition as parted};
use spatial::checks::eligible::{Quantity, parse_rule};
use spatial::problem::Problem;
use spatial::site::ClimateSource;
use spatial::start::{Answers, compose};
use spatial::units::Metres;
use spatial::{overrides, read, seed, site, stock_file, survival};
use stock::{Library, StockForm};
use workbench::Rehearsal;

/// A function that takes any bytes.
pub type Target = fn(&[u8]);

/// Every target by name: that of its corpus, and of its program.
pub const TARGETS: [(&str, Target); 13] = [
    ("site", site_file),
    ("stock_toml", stock_toml),
    ("stock_csv", stock_csv),
    ("overrides", choices),
    ("rules", rules),
    ("climate", climate),
    ("lab_sheet", lab_sheet),
    ("field_sheet", field_sheet),
    ("counts", counts),
    ("plan_json", plan_json),
    ("answers", answers),
    ("requests", requests),
    ("partition", partition),
];

/// Repository, from wherever this is built.
fn repository() -> PathBuf {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    let above = here.ancestors().find(|folder| folder.join("sample-layers").is_dir());
    above.expect("a folder with the sample property above").to_path_buf()
}

/// Whoever refuses says what was found, what was expected and, but for a few words that stand for themselves, the remedy.
fn holds_its_word<T>(outcome: Result<T, Vec<Problem>>) -> Option<T> {
    match outcome {
        Ok(made) => Some(made),
        Err(problems) => {
            assert!(problems.iter().any(Problem::is_error), "refused without an error");
            for problem in &problems {
                assert!(!problem.item.is_empty() && !problem.found.is_empty(), "{problem:?}");
                assert!(!problem.expected.is_empty() || !problem.remedy.is_empty(), "{problem:?}");
            }
            None
        }
    }
}

fn one<T>(outcome: Result<T, Problem>) -> Result<T, Vec<Problem>> {
    outcome.map_err(|problem| vec![problem])
}

/// A file with bytes, in a folder of this thread.
fn file(name: &str, bytes: &[u8]) -> PathBuf {
    thread_local! {
        static FOLDER: OnceCell<tempfile::TempDir> = const { OnceCell::new() };
    }
    let folder = FOLDER
        .with(|folder| folder.get_or_init(|| tempfile::tempdir().unwrap()).path().to_path_buf());
    let file = folder.join(name);
    fs::write(&file, bytes).unwrap();
    file
}

/// The reader of `site.toml`. What it takes, it takes again.
pub fn site_file(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let path = Path::new("site.toml");
    if let Some((site, warnings)) = holds_its_word(site::parse(&text, path)) {
        assert!(warnings.iter().all(|warning| !warning.is_error()));
        assert!(site::parse(&text, path).is_ok_and(|(again, _)| again == site));
    }
}

/// The reader and the writer of stock. What is read is written so that it is read as the same, in either form.
fn stock(form: StockForm, bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let name = if form == StockForm::Csv { "stock.csv" } else { "stock.toml" };
    if let Some(library) = holds_its_word(stock_file::parse(&text, Path::new(name))) {
        for form in [StockForm::Toml, StockForm::Csv] {
            let written = library.write(form);
            let again = Library::read(form, &written);
            assert!(again.as_ref() == Ok(&library), "{written}\n{again:?}\n{library:?}");
        }
    }
}

/// A stock file in TOML.
pub fn stock_toml(bytes: &[u8]) {
    stock(StockForm::Toml, bytes);
}

/// A stock file in CSV.
pub fn stock_csv(bytes: &[u8]) {
    stock(StockForm::Csv, bytes);
}

/// The file of choices by hand.
pub fn choices(bytes: &[u8]) {
    static STARTER: LazyLock<Library> = LazyLock::new(|| Library::parse(stock::STARTER).unwrap());
    let text = String::from_utf8_lossy(bytes);
    holds_its_word(overrides::parse(&text, Path::new("overrides.toml"), &STARTER));
}

/// A rule file. What it takes, it takes again, and each test of it can be asked: a figure that is one, an age where the
/// measure has one.
pub fn rules(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let path = Path::new("scheme.toml");
    if let Some(rule) = holds_its_word(parse_rule(&text, path)) {
        assert!(!rule.name.is_empty() && !rule.tests.is_empty(), "{rule:?}");
        for test in &rule.tests {
            assert!(test.value.is_finite() && test.value >= 0.0, "{test:?}");
            let has_age = matches!(test.measure, Quantity::CrownShare | Quantity::LiveSph);
            assert_eq!(test.years.is_some(), has_age, "{test:?}");
        }
        assert!(parse_rule(&text, path).is_ok_and(|again| again == rule));
    }
}

/// A climate table.
pub fn climate(bytes: &[u8]) {
    let source = ClimateSource {
        file: file("climate.csv", bytes),
        station_elevation: Metres(40.0),
        lapse_c_per_100m: 0.6,
    };
    if let Some(climate) = holds_its_word(read::read_climate(&source)) {
        assert!(climate.normals().is_ok(), "{climate:?}");
    }
}

/// The laboratory's sheet, joined to a field sheet.
pub fn lab_sheet(bytes: &[u8]) {
    static FIELD: LazyLock<seed::FieldSheet> = LazyLock::new(|| {
        seed::read_field(&repository().join("sample-layers/field_sheet.csv")).unwrap()
    });
    if let Some(lab) = holds_its_word(seed::read_lab(&file("lab_sheet.csv", bytes))) {
        holds_its_word(seed::join(&lab, &FIELD));
    }
}

/// The field sheet, with the laboratory's.
pub fn field_sheet(bytes: &[u8]) {
    static LAB: LazyLock<seed::LabSheet> = LazyLock::new(|| {
        seed::read_lab(&repository().join("sample-layers/lab_sheet.csv")).unwrap()
    });
    if let Some(field) = holds_its_word(seed::read_field(&file("field_sheet.csv", bytes))) {
        holds_its_word(seed::join(&LAB, &field));
    }
}

/// Survivors counted in plots. The first line, up to a blank one, is a `plan.json`; the rest the sheet.
pub fn counts(bytes: &[u8]) {
    const PLAN: &str = include_str!("../corpus/plan_json/two_lines.json");
    let folder = file("plan.json", PLAN.as_bytes());
    let folder = folder.parent().unwrap();
    let plan = survival::read_planted(folder, None).unwrap();
    holds_its_word(survival::read_counts(&file("counts.csv", bytes), &plan));
}

/// A plan that is read back.
pub fn plan_json(bytes: &[u8]) {
    let file = file("plan.json", bytes);
    holds_its_word(one(survival::read_planted(file.parent().unwrap(), None)));
}

/// Answers about the files of a folder: what is composed of them is a site file, or refused by its keys and never by its
/// form.
pub fn answers(bytes: &[u8]) {
    let Ok(answers) = serde_json::from_slice::<Answers>(bytes) else { return };
    if let Some(text) = holds_its_word(compose(&answers)) {
        let form = site::parse(&text, Path::new("site.toml"));
        let is_of_form =
            |problem: &Problem| problem.item.contains("TOML") || problem.item == "text";
        if let Err(problems) = form {
            assert!(!problems.iter().any(is_of_form), "{problems:?}\n{text}");
        }
    }
}

/// Changes as a page sends them to the bench.
pub fn requests(bytes: &[u8]) {
    static BENCH: LazyLock<Rehearsal> =
        LazyLock::new(|| Rehearsal::open(&repository().join("sample-layers")).unwrap());
    holds_its_word(BENCH.hears(bytes));
}

/// A refusal without words, which no reader may give: it must be found.
pub fn break_word() {
    holds_its_word::<()>(Err(vec![Problem::error("site.toml")]));
}

/// Random cover of cells, traced, straightened, cut by a polygon: what comes out covers the same ground once, in valid rings.
pub fn partition(bytes: &[u8]) {
    let [side, straighten, corners, rest @ ..] = bytes else { return };
    let (cols, rows) = (u32::from(side % 12) + 1, u32::from(side / 12 % 12) + 1);
    let lattice = Lattice {
        cols,
        rows,
        west: 1_800_000.0,
        north: 5_600_000.0,
        cell_width: 2.0,
        cell_height: 2.0,
    };
    let mut labels = rest.iter().map(|byte| u32::from(byte % 4));
    let labels: Vec<u32> = (0..lattice.cells()).map(|_| labels.next().unwrap_or(0)).collect();
    // Quarters of a metre around the lattice: touching, crossing and shared lines are common.
    let at = |pair: &[u8]| {
        let [x, y] = [pair[0], pair[1]].map(|byte| f64::from(byte % 120) / 4.0 - 2.0);
        [lattice.west + x, lattice.north - y]
    };
    let shell: Vec<[f64; 2]> =
        rest.chunks_exact(2).rev().take(usize::from(corners % 12)).map(at).collect();
    let layer = Layer { polygons: vec![Polygon { shell, holes: Vec::new() }] };
    let straighten_m = f64::from(*straighten) / 20.0;
    let key = |place: partition::Place| {
        let of_cell = place.label.map_or(0, |label| u64::from(label) + 1);
        Some(of_cell + 10 * u64::from(place.layers.contains(0))).filter(|key| *key > 0)
    };
    let whole = parted(&labels, &lattice, straighten_m, &[layer], &[], key, None).unwrap();
    oracle::check_coverage(&whole.pieces);
}
