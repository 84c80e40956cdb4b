//! Files that are broken in thousands of ways, before every reader: each ends in time, with a plan or with words that
//! help, and never with a panic.
//!
//! The contract is that of the command's own help: 0 done; 1 done, with something to look at; 2 nothing done.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that stops has failed"
)]

mod knocks;
mod support;

use std::collections::BTreeMap;
use std::mem::take;
use std::process::Command;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use gdal::{Dataset, DriverManager};
use knocks::spoil::{self, Spoilt};
use knocks::watch::{self, Ended, LONGEST, Outcome, watch};
use knocks::yard::Yard;
use report::{Asked, gather, write_report};
use spatial::checks::eligible::check_eligible_on;
use spatial::compare::compare;
use spatial::export::{Format, export};
use spatial::money::reckon_on;
use spatial::pipeline::{self, Property};
use spatial::plan::Reach;
use spatial::problem::Problem;
use spatial::season::season_on;
use spatial::{overrides, read, seed, site, stock_file, survival};
use support::{repository, scratch};

/// A yard of one's own, in which one file at a time is spoilt, and what was read from it while it was sound.
struct Workshop {
    yard: Yard,
    /// The property of its site.
    property: Arc<Property>,
    /// The same with a station's hours.
    with_hours: Arc<Property>,
}

impl Workshop {
    fn new(yard: &Yard) -> Self {
        let yard = yard.copy();
        let fitted = pipeline::fitted(&yard.path("site.toml"), Reach::Orders, &mut |_| {});
        let property = fitted.unwrap_or_else(|problems| panic!("{problems:?}")).property;
        let mut site = property.site.clone();
        site.season.hourly = Some(yard.path("hours.csv"));
        let with_hours = Arc::new(Property {
            site,
            library: property.library.clone(),
            ready: Arc::clone(&property.ready),
            ground: Arc::clone(&property.ground),
            zones: Arc::clone(&property.zones),
        });
        Self { yard, property, with_hours }
    }
}

/// Reads a yard in which one file is spoilt.
type Read = fn(&Workshop) -> Outcome;

/// A reader before the ways in which a file of its kind may be spoilt.
struct Case {
    /// The file in the yard.
    file: &'static str,
    spoilt: Vec<Spoilt>,
    read: Read,
    /// Every so many are given to the built program too; 0: none.
    run_every: usize,
    /// What the program is told.
    command: &'static [&'static str],
}

/// Folder that the program is told to write; it is gone before each run.
const OUT: &str = "out";

const CHECK: &[&str] = &["check", "site.toml"];
const PLAN: &[&str] = &["plan", "site.toml", "-o", OUT];

fn one(problem: Problem) -> Vec<Problem> {
    vec![problem]
}

/// Reads the layers of the yard's site, with a text of its site file put in the place of another.
fn layers(shop: &Workshop, from: &str, to: &str) -> Outcome {
    let text = std::fs::read_to_string(shop.yard.path("site.toml")).unwrap();
    let (site, _) = site::parse(&text.replace(from, to), &shop.yard.path("site.toml"))?;
    read::read(&site).map(drop)
}

fn counts(shop: &Workshop) -> Outcome {
    let plan = survival::read_planted(&shop.yard.path("plan"), None).map_err(one)?;
    survival::read_counts(&shop.yard.path("counts.csv"), &plan).map(drop)
}

fn sheets(shop: &Workshop) -> Outcome {
    let lab = seed::read_lab(&shop.yard.path("lab_sheet.csv"))?;
    let field = seed::read_field(&shop.yard.path("field_sheet.csv"))?;
    seed::join(&lab, &field).map(drop)
}

fn exported(shop: &Workshop) -> Outcome {
    let (plan, out) = (shop.yard.path("plan"), shop.yard.path("export"));
    let outcome = export(&plan, &[Format::GeoJson, Format::Gpx], (&out, false), &mut |_| {});
    if outcome.is_err() {
        assert!(!out.exists(), "refused, and yet something was written");
    }
    let _ = std::fs::remove_dir_all(&out);
    outcome.map(drop).map_err(one)
}

fn compared(shop: &Workshop) -> Outcome {
    let sound = shop.yard.path("sound_plan");
    let plan = shop.yard.path("plan");
    compare([&sound, &plan], None, &mut |_| {}).map(drop).map_err(one)
}

fn planted(shop: &Workshop) -> Outcome {
    let plan = shop.yard.path("plan");
    survival::read_planted(&plan, None).map_err(one)?;
    reckon_on(&shop.property, &plan)?;
    check_eligible_on(&shop.property, &plan).map(drop)
}

fn reported(shop: &Workshop) -> Outcome {
    let (plan, out) = (shop.yard.path("plan"), shop.yard.path("report"));
    let asked = Asked { site: None, plan: Some(&plan), start: None, seed: 1 };
    let dossier = gather(&asked, &mut |_| {})?;
    let outcome = write_report(&dossier, None, &out, false);
    let _ = std::fs::remove_dir_all(&out);
    outcome.map(drop).map_err(one)
}

/// A text spoilt in every way that befalls texts.
fn any_text(yard: &Yard, file: &str, seed: u64) -> (String, Vec<Spoilt>) {
    let bytes = yard.bytes(file);
    let text = String::from_utf8(bytes.clone()).unwrap();
    let mut all = spoil::cuts(&bytes);
    all.extend(spoil::flips(&bytes, seed, 48));
    all.extend(spoil::as_text(&text));
    all.extend(spoil::lines(&text));
    (text, all)
}

fn toml(yard: &Yard, file: &str, seed: u64) -> Vec<Spoilt> {
    let (text, mut all) = any_text(yard, file, seed);
    all.extend(spoil::toml(&text));
    all
}

fn csv(yard: &Yard, file: &str, seed: u64) -> Vec<Spoilt> {
    let (text, mut all) = any_text(yard, file, seed);
    all.extend(spoil::csv(&text));
    all
}

fn json(yard: &Yard, file: &str, seed: u64) -> Vec<Spoilt> {
    let (text, mut all) = any_text(yard, file, seed);
    all.extend(spoil::json(&text));
    all
}

fn binary(yard: &Yard, file: &str, seed: u64) -> Vec<Spoilt> {
    let bytes = yard.bytes(file);
    let mut all = spoil::cuts(&bytes);
    all.extend(spoil::flips(&bytes, seed, 24));
    all.extend(spoil::header_flips(&bytes, 512, seed, 48));
    all.push(Spoilt { how: "NUL alone".to_owned(), bytes: vec![0; 4096] });
    all.push(Spoilt { how: "a text".to_owned(), bytes: b"not what it was\n".to_vec() });
    all
}

/// Every reader of files, each before a file of its kind.
fn cases(yard: &Yard) -> Vec<Case> {
    texts(yard)
        .into_iter()
        .chain(sheets_and_tables(yard))
        .chain(plans(yard))
        .chain(maps(yard))
        .collect()
}

fn case(
    file: &'static str,
    spoilt: Vec<Spoilt>,
    read: Read,
    run_every: usize,
    command: &'static [&'static str],
) -> Case {
    Case { file, spoilt, read, run_every, command }
}

/// Files of keys.
fn texts(yard: &Yard) -> Vec<Case> {
    let site: Read = |shop| site::load(&shop.yard.path("site.toml")).map(drop);
    let sample_site: Read = |shop| site::load(&shop.yard.path("sample.toml")).map(drop);
    let stock: Read = |shop| stock_file::read(&shop.yard.path("stock.toml")).map(drop);
    let sample_stock: Read =
        |shop| stock_file::read(&shop.yard.path("sample_stock.toml")).map(drop);
    let choices: Read =
        |shop| overrides::read(&shop.yard.path("overrides.toml"), &shop.property.library).map(drop);
    let rules: Read = |shop| check_eligible_on(&shop.property, &shop.yard.path("plan")).map(drop);
    let list = &["stock", "sample_stock.toml"];
    let eligible = &["eligible", "site.toml", "plan", "-o", OUT];
    vec![
        case("site.toml", toml(yard, "site.toml", 1), site, 12, PLAN),
        case("sample.toml", toml(yard, "sample.toml", 2), sample_site, 0, &[]),
        case("stock.toml", toml(yard, "stock.toml", 3), stock, 12, PLAN),
        case("sample_stock.toml", toml(yard, "sample_stock.toml", 4), sample_stock, 40, list),
        case("overrides.toml", toml(yard, "overrides.toml", 6), choices, 16, PLAN),
        case("scheme.toml", toml(yard, "scheme.toml", 14), rules, 24, eligible),
    ]
}

/// Files of rows.
fn sheets_and_tables(yard: &Yard) -> Vec<Case> {
    let stock: Read = |shop| stock_file::read(&shop.yard.path("stock.csv")).map(drop);
    let money: Read = |shop| reckon_on(&shop.property, &shop.yard.path("plan")).map(drop);
    let hours: Read = |shop| season_on(&shop.with_hours, &shop.yard.path("plan")).map(drop);
    let normals: Read = |shop| {
        layers(shop, "", "")?;
        season_on(&shop.property, &shop.yard.path("plan")).map(drop)
    };
    let rank = &["seed", "rank", "site.toml", "lab_sheet.csv", "-o", OUT];
    let survival = &["survival", "site.toml", "plan", "counts.csv"];
    let season = &["season", "with_hours.toml", "plan", "-o", OUT];
    let costs = &["money", "site.toml", "plan", "-o", OUT];
    vec![
        case("stock.csv", csv(yard, "stock.csv", 5), stock, 24, &["stock", "stock.csv"]),
        case("lab_sheet.csv", csv(yard, "lab_sheet.csv", 7), sheets, 60, rank),
        case("field_sheet.csv", csv(yard, "field_sheet.csv", 8), sheets, 60, rank),
        case("counts.csv", csv(yard, "counts.csv", 9), counts, 16, survival),
        case("climate.csv", csv(yard, "climate.csv", 10), normals, 24, CHECK),
        case("hours.csv", csv(yard, "hours.csv", 11), hours, 60, season),
        case("income.csv", csv(yard, "income.csv", 12), money, 24, costs),
        case("carbon.csv", csv(yard, "carbon.csv", 13), money, 24, costs),
    ]
}

/// Files of an earlier plan.
fn plans(yard: &Yard) -> Vec<Case> {
    let file = "plan/plan.json";
    let of = |seed| json(yard, file, seed);
    let out = &["export", "plan", "-o", OUT];
    let calendar = &["calendar", "site.toml", "plan", "-o", OUT];
    vec![
        case(file, some(of(15), 3), exported, 12, out),
        case(file, some(of(16), 3), compared, 12, &["compare", "sound_plan", "plan", "-o", OUT]),
        case(file, some(of(17), 2), planted, 12, calendar),
        case(file, some(of(18), 6), reported, 30, &["report", "plan", "-o", OUT]),
        case("plan/plan.gpkg", binary(yard, "plan/plan.gpkg", 19), exported, 8, out),
    ]
}

/// Layers of maps.
fn maps(yard: &Yard) -> Vec<Case> {
    let as_they_are: Read = |shop| layers(shop, "", "");
    let from_geopackage: Read = |shop| layers(shop, "boundary.geojson", "boundary.gpkg");
    let from_shapefile: Read = |shop| layers(shop, "boundary.geojson", "boundary.shp");
    let lines: Read = |shop| {
        layers(
            shop,
            "file = \"streams.geojson\"",
            "file = \"lines.shp\"\nwidth_field = \"width_m\"",
        )
    };
    let tiled: Read = |shop| layers(shop, "dem.tif", "tiled.tif");
    let ground = &["ground", "--elevation", "tiled.tif", "-o", OUT];
    let in_process =
        |file: &'static str, seed, read| case(file, binary(yard, file, seed), read, 0, &[]);
    let geojson = |file: &'static str, seed| {
        case(file, json_in_one_line(yard, file, seed), as_they_are, 24, CHECK)
    };
    vec![
        case("dem.tif", binary(yard, "dem.tif", 20), as_they_are, 6, CHECK),
        case("tiled.tif", binary(yard, "tiled.tif", 21), tiled, 14, ground),
        case("cover.tif", binary(yard, "cover.tif", 22), as_they_are, 8, CHECK),
        in_process("boundary.gpkg", 23, from_geopackage),
        geojson("boundary.geojson", 24),
        geojson("streams.geojson", 25),
        in_process("boundary.shp", 26, from_shapefile),
        in_process("boundary.shx", 27, from_shapefile),
        in_process("boundary.dbf", 28, from_shapefile),
        in_process("boundary.prj", 29, from_shapefile),
        in_process("lines.shp", 30, lines),
        in_process("lines.dbf", 31, lines),
    ]
}

/// Every so many of them.
fn some(spoilt: Vec<Spoilt>, every: usize) -> Vec<Spoilt> {
    spoilt.into_iter().step_by(every).collect()
}

/// A JSON text that lies in one line, one value a line.
fn json_in_one_line(yard: &Yard, file: &str, seed: u64) -> Vec<Spoilt> {
    let value: serde_json::Value = serde_json::from_slice(&yard.bytes(file)).unwrap();
    let pretty = serde_json::to_string_pretty(&value).unwrap();
    let (_, mut all) = any_text(yard, file, seed);
    all.extend(spoil::json(&pretty));
    // Coordinates have no key: each is spoilt by itself.
    let places = pretty.match_indices("5559").map(|(at, _)| at).take(8);
    for at in places {
        for new in ["1e308", "-1e308", "null", "\"x\"", "[]", "NaN", "1e400"] {
            let end = pretty[at..].find([',', '\n']).map_or(pretty.len(), |end| at + end);
            let bytes = [&pretty[..at], new, &pretty[end..]].concat().into_bytes();
            all.push(Spoilt { how: format!("coordinate at {at}: {new}"), bytes });
        }
    }
    all
}

/// The files of the yard that these tests have beside it.
fn yard() -> Yard {
    let yard = Yard::new();
    for (from, to) in [
        ("sample-layers/site.toml", "sample.toml"),
        ("sample-layers/stock.toml", "sample_stock.toml"),
    ] {
        std::fs::copy(repository().join(from), yard.path(to)).unwrap();
    }
    let site = String::from_utf8(yard.bytes("site.toml")).unwrap();
    let with_hours = site.replace("[season]\n", "[season]\nhourly = \"hours.csv\"\n");
    std::fs::write(yard.path("with_hours.toml"), with_hours).unwrap();
    support::copy_folder(&yard.path("plan"), &yard.path("sound_plan"));
    let plain = Dataset::open(yard.path("dem.tif")).unwrap();
    let options =
        ["TILED=YES", "BLOCKXSIZE=16", "BLOCKYSIZE=16", "COMPRESS=DEFLATE", "PREDICTOR=3"];
    let options = gdal::raster::RasterCreationOptions::from_iter(options);
    let driver = DriverManager::get_driver_by_name("GTiff").unwrap();
    plain.create_copy(&driver, yard.path("tiled.tif"), &options).unwrap().close().unwrap();
    yard
}

/// What came of a reader.
#[derive(Default)]
struct Tally {
    inputs: usize,
    runs: usize,
    read: usize,
    refused: usize,
    /// How long the slowest took, and what was done to its file.
    longest: (Duration, String),
    all: Duration,
}

/// What was wrong: the case, what was done to the file, what came of it.
type Fault = (&'static str, String, String);

/// Whether a format tells where a file ends, so that a part of one is never taken for the whole. Of a table or TOML a part
/// is a sound file too.
fn is_closed(file: &str) -> bool {
    let ends = [".tif", ".gpkg", ".json", ".geojson", ".shp"];
    // Nothing is asked of the table of the boundary; that of the lines tells how wide they are.
    ends.iter().any(|end| file.ends_with(end)) || file == "lines.dbf"
}

/// Workers, each with a yard of its own.
const WORKERS: usize = 2;

#[test]
fn every_reader_ends_well_before_every_broken_file() {
    let begun = Instant::now();
    let yard = yard();
    let cases = cases(&yard);
    let inputs: Vec<(usize, usize)> = cases
        .iter()
        .enumerate()
        .flat_map(|(case, all)| (0..all.spoilt.len()).map(move |at| (case, at)))
        .collect();
    let next = AtomicUsize::new(0);
    let tallies: Mutex<BTreeMap<usize, Tally>> = Mutex::default();
    let faults: Mutex<Vec<Fault>> = Mutex::default();
    std::thread::scope(|scope| {
        for _ in 0..WORKERS {
            scope.spawn(|| {
                let shop = Arc::new(Workshop::new(&yard));
                while let Some((case, at)) =
                    inputs.get(next.fetch_add(1, Ordering::Relaxed)).copied()
                {
                    let all = &cases[case];
                    let begun = Instant::now();
                    let (outcomes, how) = (try_one(&shop, all, at), &all.spoilt[at].how);
                    let mut tallies = tallies.lock().unwrap();
                    let tally = tallies.entry(case).or_default();
                    tally.inputs += 1;
                    tally.runs += outcomes.len() - 1;
                    let took = (begun.elapsed(), how.clone());
                    tally.longest = take(&mut tally.longest).max(took);
                    tally.all += begun.elapsed();
                    for outcome in outcomes {
                        match outcome {
                            Ok(Ended::Read) if how.starts_with("cut at") && is_closed(all.file) => {
                                let fault = "read, though it is cut short".to_owned();
                                faults.lock().unwrap().push((all.file, how.clone(), fault));
                            }
                            Ok(Ended::Read) => tally.read += 1,
                            Ok(Ended::Refused) => tally.refused += 1,
                            Err(fault) => {
                                faults.lock().unwrap().push((all.file, how.clone(), fault));
                            }
                        }
                    }
                }
            });
        }
    });
    let (tallies, faults) = (tallies.into_inner().unwrap(), faults.into_inner().unwrap());
    let (mut inputs, mut runs) = (0, 0);
    for (case, tally) in &tallies {
        let Tally { inputs: own, runs: ran, read, refused, longest, all } = tally;
        println!(
            "{:18} {own:5} inputs, {ran:3} runs: {read:5} read, {refused:5} refused, longest {:.2?} ({}), all {all:.1?}",
            cases[*case].file, longest.0, longest.1
        );
        assert!(
            *refused > own / 8,
            "{}: what was done to it hardly ever matters",
            cases[*case].file
        );
        (inputs, runs) = (inputs + own, runs + ran);
    }
    println!("{inputs} inputs, {runs} runs of the program, {:?}", begun.elapsed());
    let told: Vec<String> =
        faults.iter().map(|(file, how, fault)| format!("{file}, {how}: {fault}")).collect();
    assert!(faults.is_empty(), "{} faults:\n{}", faults.len(), told.join("\n\n"));
    assert!(inputs >= 2_000, "{inputs} inputs are too few");
    assert!(runs >= 300, "{runs} runs of the program are too few");
}

/// Spoils the file, lets the reader read it and now and then the program too, and puts the file back.
fn try_one(shop: &Arc<Workshop>, case: &Case, at: usize) -> Vec<Result<Ended, String>> {
    let file = shop.yard.path(case.file);
    let sound = std::fs::read(&file).unwrap();
    std::fs::write(&file, &case.spoilt[at].bytes).unwrap();
    let (read, reader) = (case.read, Arc::clone(shop));
    let mut outcomes = vec![watch(LONGEST, move || read(&reader))];
    if case.run_every > 0 && at.is_multiple_of(case.run_every) {
        let out = shop.yard.path(OUT);
        outcomes.push(watch::run_program(shop.yard.folder(), case.command, LONGEST));
        let _ = std::fs::remove_dir_all(out);
    }
    std::fs::write(&file, sound).unwrap();
    outcomes
}

#[test]
fn the_watch_sees_what_it_is_there_for() {
    let problem = || Problem::error("cell").file("stock.csv").found("x").expected("y").remedy("z");
    let refuse = |problem: Problem| watch(LONGEST, move || Err(vec![problem]));
    assert_eq!(refuse(problem()), Ok(Ended::Refused));
    assert_eq!(watch(LONGEST, || Ok(())), Ok(Ended::Read));
    let fault = |ended: Result<Ended, String>, word: &str| {
        let fault = ended.unwrap_err();
        assert!(fault.contains(word), "{word}: {fault}");
    };
    fault(watch(LONGEST, || panic!("row 7")), "row 7");
    let cells: Vec<u8> = Vec::new();
    fault(
        watch(LONGEST, move || Err(vec![Problem::error(cells[0].to_string())])),
        "index out of bounds",
    );
    let asleep = || {
        std::thread::sleep(Duration::from_secs(2));
        Ok(())
    };
    fault(watch(Duration::from_millis(50), asleep), "no end");
    fault(refuse(problem().remedy("")), "no remedy");
    fault(refuse(problem().found(" ")), "no found");
    fault(refuse(problem().expected("")), "no expected");
    fault(refuse(Problem { file: None, ..problem() }), "no file");
    fault(refuse(Problem::warning("cell")), "without an error");
    fault(watch(LONGEST, || Err(Vec::new())), "without an error");
    fault(refuse(Problem { found: "x".repeat(9_999), ..problem() }), "too long");
    fault(refuse(problem().remedy("this is a fault of the program")), "fault of the program");
}

#[test]
fn the_watch_sees_what_a_program_does_wrong() {
    let folder = scratch();
    let judge = |script: &str| {
        let mut command = Command::new("sh");
        command.args(["-c", script]).current_dir(folder.path());
        watch::judge(folder.path(), command, Duration::from_millis(500))
    };
    let sound = r#"{"problems":[{"severity":"error","file":"a","item":"b","found":"c","expected":"d","remedy":"e"}]}"#;
    assert_eq!(judge(&format!("echo '{sound}'; exit 2")), Ok(Ended::Refused));
    assert_eq!(judge("exit 1"), Ok(Ended::Read));
    for (script, word) in [
        ("exit 3".to_owned(), "status Some(3)"),
        ("exit 101".to_owned(), "status Some(101)"),
        ("kill -SEGV $$".to_owned(), "status None"),
        ("sleep 5".to_owned(), "no end"),
        ("echo 'hillweave has a fault: x' >&2; exit 2".to_owned(), "a panic"),
        ("exit 2".to_owned(), "no JSON"),
        ("echo '{}'; exit 2".to_owned(), "without problems"),
        (format!("echo '{}'; exit 2", sound.replace("\"e\"", "\"\"")), "no remedy"),
        (format!("mkdir out; echo '{sound}'; exit 2"), "something was written"),
    ] {
        let fault = judge(&script).unwrap_err();
        assert!(fault.contains(word), "{script}: {fault}");
    }
}
