//! `hillweave report`: the page, the sheets, and where their figures come from.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that stops has failed"
)]

mod support;

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::process::Command;

use report::Form;
use serde_json::Value;
use support::{copy_folder, expect, names, repository, scratch, small, text};

/// Records that a report of a plan and its site is made of, its own too.
const RECORDS: [&str; 8] = [
    "plan.json",
    "cover.json",
    "season.json",
    "money.json",
    "calendar.json",
    "eligible.json",
    "chances.json",
    "report.json",
];
const FILES: [&str; 3] = ["report.html", "report.json", "report.pdf"];

fn json(file: &Path) -> Value {
    serde_json::from_slice(&std::fs::read(file).unwrap()).unwrap()
}

/// A form by the name that a page has for it.
fn form(name: &str) -> Form {
    let decimals = |name: &str| name.rsplit_once('-').unwrap().1.parse().unwrap();
    match name {
        "text" => Form::Text,
        "words" => Form::Words,
        "count" => Form::Count,
        "year" => Form::Year,
        "dollars" => Form::Dollars,
        fixed if fixed.starts_with("fixed-") => Form::Fixed(decimals(fixed)),
        percent if percent.starts_with("percent-") => Form::Percent(decimals(percent)),
        other => panic!("no form is named {other}"),
    }
}

fn unescaped(words: &str) -> String {
    let words = words.replace("&lt;", "<").replace("&gt;", ">");
    words.replace("&quot;", "\"").replace("&amp;", "&")
}

/// File, pointer, form and words of every cell that says where it comes from.
fn cells(page: &str) -> Vec<[String; 4]> {
    let cell = |part: &str| {
        let (from, rest) = part.split_once("\" data-form=\"").unwrap();
        let (form, rest) = rest.split_once("\">").unwrap();
        let (words, _) = rest.split_once("</").unwrap();
        let (file, pointer) = from.split_once('#').unwrap();
        [file, pointer, form, words].map(unescaped)
    };
    page.split(" data-from=\"").skip(1).map(cell).collect()
}

/// Holds every cell of a page that comes from a record against that record; how many of each were held.
fn recompute(page: &str, records: &BTreeMap<&str, Value>) -> BTreeMap<String, usize> {
    let mut held = BTreeMap::new();
    for [file, pointer, name, words] in cells(page) {
        let record = records.get(file.as_str()).unwrap_or_else(|| panic!("no record {file}"));
        let value =
            record.pointer(&pointer).unwrap_or_else(|| panic!("{file}#{pointer} is nowhere"));
        assert_eq!(form(&name).words(value), words, "{file}#{pointer}");
        *held.entry(file).or_default() += 1;
    }
    held
}

#[test]
fn the_sample_property_as_a_report() {
    let folder = scratch();
    copy_folder(&repository().join("sample-layers"), &folder.path().join("site"));
    let run = |arguments: &[&str], status: i32| expect(folder.path(), arguments, status);
    run(&["plan", "site", "-o", "plan"], 0);
    let asked = ["--date", "2027-03-01", "--start", "2027-03"];
    let output = run(&[&["report", "site", "plan", "-o", "report"][..], &asked].concat(), 0);
    insta::assert_snapshot!("the_report_of_the_sample_in_words", text(&output.stdout));
    let written = folder.path().join("report");
    assert_eq!(names(&written), FILES);
    let page = std::fs::read_to_string(written.join("report.html")).unwrap();
    assert!(page.len() < 5_000_000, "{} bytes", page.len());

    // Every figure of a table stands in the record that its cell names.
    run(&["money", "site", "plan", "-o", "money"], 1);
    run(&["cover", "site", "plan", "-o", "cover"], 1);
    run(&["season", "site", "plan", "-o", "season"], 0);
    run(&["calendar", "site", "plan", "-o", "calendar", "--start", "2027-03"], 0);
    run(&["eligible", "site", "plan", "-o", "eligible"], 1);
    run(&["chances", "site", "plan", "-o", "chances"], 0);
    let records = RECORDS.map(|file| {
        let folder = folder.path().join(file.trim_end_matches(".json"));
        (file, json(&folder.join(file)))
    });
    let records = BTreeMap::from(records);
    let held = recompute(&page, &records);
    assert!(held.values().sum::<usize>() > 4_000, "{held:?}");
    assert_eq!(held.keys().map(String::as_str).collect::<BTreeSet<_>>(), RECORDS.into());
    let plan = &records["plan.json"];
    what_is_below_adds_up(&page, &records["cover.json"]);
    for input in records["report.json"]["inputs"].as_array().unwrap() {
        assert_eq!(input["same_as_plan"], true, "{input}");
    }
    assert_eq!(records["report.json"]["warnings"], serde_json::json!([]));
    for zone in plan["zones"].as_array().unwrap() {
        assert!(page.contains(zone["zone_id"].as_str().unwrap()), "{zone}");
    }
    for default in plan["defaults"].as_array().unwrap() {
        assert!(unescaped(&page).contains(default["key"].as_str().unwrap()), "{default}");
    }
    for caution in plan["cautions"].as_array().unwrap() {
        let text = caution["text"].as_str().unwrap();
        assert!(unescaped(&page).contains(text) && !text.contains(".;"), "{caution}");
    }
    // The distances within which to ask first are drawn, each with its entry.
    assert!(page.contains("Ask first within") && !page.contains("Not drawn, ask first"));
    assert!(page.contains(">200 m of recorded site<") && page.contains(">20 m of power line<"));
    let open = plan["totals"]["left_open_plan_ha"].as_f64().unwrap();
    let entry = page.split("left to regenerate</text>").nth(1).unwrap();
    let told = entry.split_once("</text>").unwrap().0;
    assert!(told.ends_with(&format!(">{open:.1} ha")), "{told}");
    // Nothing is loaded from elsewhere, and no clock and no path of the machine is in it.
    for foreign in ["src=\"", "href=\"http", "url(http", "<script", "@import"] {
        assert!(!page.contains(foreign), "{foreign}");
    }
    assert!(!page.contains(&*folder.path().to_string_lossy()));

    outside(&written, &folder.path().join("plan"));

    // Zones of a plan that a changed site does not draw are one fault, with their number.
    small::replace(
        &folder.path().join("site"),
        "site.toml",
        "\nmin_area_ha = 0.5",
        "\nmin_area_ha = 0.7",
    );
    let output = run(&[&["report", "site", "plan", "-o", "stale"][..], &asked].concat(), 1);
    let words = text(&output.stdout);
    let told: Vec<&str> = words.lines().filter(|line| line.contains("season: zone")).collect();
    assert!(
        told.len() == 1 && told[0].contains(" more: a zone that the site does not draw"),
        "{words}"
    );
}

/// The parts of what is below the target are in the page and make it up, but for cells that borders cut.
fn what_is_below_adds_up(page: &str, cover: &Value) {
    let parts =
        ["remedies_plan_ha", "late_remedies_plan_ha", "no_remedy_plan_ha", "below_small_plan_ha"];
    let told: BTreeSet<String> = cells(page)
        .into_iter()
        .filter(|[file, ..]| file == "cover.json")
        .map(|[_, pointer, ..]| pointer)
        .collect();
    for name in parts.iter().chain(&["remedies_nzd", "late_remedies_nzd"]) {
        assert!(told.contains(&format!("/{name}")), "{name}");
    }
    let ha = |name: &str| cover[name].as_f64().unwrap();
    let (sum, below) = (parts.into_iter().map(ha).sum::<f64>(), ha("below_plan_ha"));
    assert!((sum - below).abs() < 0.05, "{sum} of {below}");
}

/// Source: Chromium with axe-core and html-validate; poppler. `cargo xtask test` installs them; where it did not run,
/// they are left out.
fn outside(report: &Path, plan: &Path) {
    let Some(modules) = std::env::var_os("HILLWEAVE_NODE") else { return };
    let scripts = repository().join("tests/outside");
    let mut page = Command::new("node");
    page.arg(scripts.join("page.mjs")).arg(modules).arg(report.join("report.html"));
    let mut print = Command::new(std::env::var_os("HILLWEAVE_PYTHON").unwrap());
    print.arg(scripts.join("print.py")).arg(report.join("report.pdf"));
    print.arg("--plan").arg(plan.join("plan.json"));
    for mut command in [page, print] {
        let output = command.output().unwrap();
        assert!(
            output.status.success(),
            "{command:?}\n{}{}",
            text(&output.stdout),
            text(&output.stderr)
        );
    }
}

#[test]
#[ignore = "needs Chromium and Node: cargo xtask test installs them"]
fn the_page_checker_objects_to_every_faulty_page() {
    let mut command = Command::new("node");
    command.arg(repository().join("tests/outside/page.mjs")).arg("--self-test");
    let output = command.arg(std::env::var_os("HILLWEAVE_NODE").unwrap()).output().unwrap();
    let told: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert!(output.status.success(), "{told}");
    assert!(told["faults"].as_u64() > Some(5) && told["missed"] == serde_json::json!([]), "{told}");
}

#[test]
#[ignore = "needs poppler and Python: cargo xtask test installs them"]
fn the_checker_of_prints_objects_to_every_faulty_file() {
    let mut command = Command::new(std::env::var_os("HILLWEAVE_PYTHON").unwrap());
    command.arg(repository().join("tests/outside/print.py")).arg("--self-test");
    let output = command.output().unwrap();
    let told: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert!(output.status.success(), "{told}");
    assert!(told["faults"].as_u64() > Some(9) && told["missed"] == serde_json::json!([]), "{told}");
}

#[test]
fn a_plan_alone_tells_what_it_knows() {
    let folder = scratch();
    small::write(folder.path());
    let run = |arguments: &[&str], status: i32| expect(folder.path(), arguments, status);
    run(&["plan", "site.toml", "-o", "plan"], 0);
    run(&["report", "plan", "-o", "alone"], 0);
    run(&["report", "plan/plan.json", "-o", "record"], 0);
    let page = std::fs::read_to_string(folder.path().join("alone/report.html")).unwrap();
    assert!(page.contains("this report was made from the plan alone"));
    assert!(page.contains("Undated: no date was given."));
    let plan = json(&folder.path().join("plan/plan.json"));
    assert!(recompute(&page, &BTreeMap::from([("plan.json", plan)]))["plan.json"] > 50);
    for file in FILES {
        let read = |name: &str| std::fs::read(folder.path().join(name).join(file)).unwrap();
        assert!(read("alone") == read("record"), "{file}");
    }
}

#[test]
fn a_check_that_cannot_be_made_is_told_and_stops_nothing() {
    let folder = scratch();
    small::write(folder.path());
    // No climate, no winter and no month to begin in.
    let output = expect(folder.path(), &["report", "site.toml", "-o", "report"], 1);
    let told = json(&folder.path().join("report/report.json"));
    let left: Vec<&str> = told["left_out"]
        .as_array()
        .unwrap()
        .iter()
        .map(|one| one["section"].as_str().unwrap())
        .collect();
    assert!(left.contains(&"season") && left.contains(&"calendar"), "{left:?}");
    let words = text(&output.stdout);
    assert!(words.contains("left out") && words.contains("--start"), "{words}");
    let page = std::fs::read_to_string(folder.path().join("report/report.html")).unwrap();
    assert!(page.contains("was not reckoned"));
    // The plan that is made on the spot gives the bytes of one that was made before, on one thread too.
    expect(folder.path(), &["plan", "site.toml", "-o", "plan"], 0);
    let again = ["report", "site.toml", "plan", "-o", "again", "--threads", "1"];
    expect(folder.path(), &again, 1);
    for file in FILES {
        let read = |name: &str| std::fs::read(folder.path().join(name).join(file)).unwrap();
        assert!(read("report") == read("again"), "{file}");
    }
}

#[test]
fn what_no_report_can_be_made_of_is_refused() {
    let folder = scratch();
    small::write(folder.path());
    let run = |arguments: &[&str], status: i32| expect(folder.path(), arguments, status);
    run(&["plan", "site.toml", "-o", "plan"], 0);
    run(&["plan", "site.toml", "-o", "zones", "--only", "zones"], 0);
    let cases: [(&[&str], &str); 5] = [
        (&["report", "zones", "-o", "out"], "a plan of zones alone"),
        (&["report", "site.toml", "nowhere", "-o", "out"], "nowhere/plan.json"),
        (&["report", "plan", "-o", "plan", "--overwrite"], "the plan would be lost"),
        (&["report", "plan/plan.json", "-o", "plan", "--overwrite"], "the plan would be lost"),
        (&["report", "plan", "-o", "out", "--date", "2027-02-29"], "expected a day"),
    ];
    for (arguments, words) in cases {
        let output = run(arguments, 2);
        assert!(text(&output.stderr).contains(words), "{arguments:?}\n{}", text(&output.stderr));
        assert!(!folder.path().join("out").exists());
    }
    // A plan without its polygons.
    std::fs::remove_file(folder.path().join("plan/plan.gpkg")).unwrap();
    let output = run(&["report", "plan", "-o", "out"], 2);
    assert!(text(&output.stderr).contains("plan.gpkg"), "{}", text(&output.stderr));
}

#[test]
fn the_plan_of_another_property_is_refused() {
    let folder = scratch();
    for site in ["one", "other"] {
        std::fs::create_dir(folder.path().join(site)).unwrap();
        small::write(&folder.path().join(site));
    }
    let other = folder.path().join("other");
    let run = |arguments: &[&str], status: i32| expect(folder.path(), arguments, status);
    let refused = |part: &str| {
        let output = run(&["report", "other/site.toml", "plan", "-o", "out"], 2);
        let words = text(&output.stderr);
        for part in
            [part, "Small Fold", "other/site.toml", "give the site that the plan was made of"]
        {
            assert!(words.contains(part), "{part}\n{words}");
        }
        assert!(!folder.path().join("out").exists());
    };
    run(&["plan", "one/site.toml", "-o", "plan"], 0);
    small::replace(&other, "site.toml", "Small Fold", "Gannet Spur");
    refused("Gannet Spur");
    // Of the same name, but less ground than the plan has.
    small::write(&other);
    let ring = [(25.0, 22.0), (120.0, 31.0), (120.0, 177.0), (30.0, 169.0), (25.0, 22.0)];
    let boundary = small::feature("Polygon", &format!("[{}]", small::points(&ring)));
    small::text(&other, "boundary.geojson", &boundary);
    refused("2060025 to 2060120 m east");
}

#[test]
fn a_site_that_changed_since_is_told_file_by_file() {
    let folder = scratch();
    small::write(folder.path());
    let run = |arguments: &[&str], status: i32| expect(folder.path(), arguments, status);
    run(&["plan", "site.toml", "-o", "plan"], 0);
    small::replace(folder.path(), "site.toml", "min_area_ha = 0.1", "min_area_ha = 0.4");
    let output = run(&["report", "site.toml", "plan", "-o", "report"], 1);
    let words = text(&output.stdout);
    assert!(words.contains("look at     site.toml: SHA-256 "), "{words}");
    let told = json(&folder.path().join("report/report.json"));
    let changed: Vec<&Value> = told["inputs"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|input| input["same_as_plan"] == false)
        .map(|input| &input["file"])
        .collect();
    assert_eq!(changed, ["site.toml"]);
    assert_eq!(told["warnings"][0]["file"], "site.toml");
    let page = std::fs::read_to_string(folder.path().join("report/report.html")).unwrap();
    assert!(page.contains("What was read now"));
    assert!(unescaped(&page).contains("Read now, and not as the plan's: site.toml"));
}

#[test]
fn a_plan_that_plants_nothing_says_so_and_is_given_no_remedy_that_is_wrong() {
    let folder = scratch();
    small::write(folder.path());
    let run = |arguments: &[&str], status: i32| expect(folder.path(), arguments, status);
    small::replace(folder.path(), "site.toml", "treatment = \"plant\"", "treatment = \"never\"");
    run(&["plan", "site.toml", "-o", "plan"], 0);
    let output = run(&["report", "site.toml", "plan", "-o", "report", "--start", "2027-03"], 1);
    let words = text(&output.stdout);
    assert!(words.contains("nothing is planted") && !words.contains("--only zones"), "{words}");
    let page = std::fs::read_to_string(folder.path().join("report/report.html")).unwrap();
    assert!(page.contains("nothing is planted, and Zones says why"));
}

/// Letters that Open Sans has not: of the block CJK Unified Ideographs of the Unicode Standard.
#[test]
fn letters_that_the_pdf_cannot_draw_are_told() {
    let folder = scratch();
    small::write(folder.path());
    small::replace(folder.path(), "site.toml", "Small Fold", "Spur 山");
    let run = |arguments: &[&str], status: i32| expect(folder.path(), arguments, status);
    run(&["plan", "site.toml", "-o", "plan"], 0);
    let output = run(&["report", "plan", "-o", "report"], 0);
    assert!(text(&output.stdout).contains("U+5C71 in `Spur 山`"), "{}", text(&output.stdout));
    let told = json(&folder.path().join("report/report.json"));
    assert_eq!(told["warnings"][0]["item"], "report.pdf");
}
