//! The work of a small made-up site by month, by running the real binary.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that stops has failed"
)]

mod support;

use std::collections::BTreeMap;
use std::path::Path;
use std::process::Command;

use serde_json::{Value, json};
use support::{expect, names, repository, scratch, small, text};

/// The small site, planned into `plan` for the winter of 2029.
fn planned() -> tempfile::TempDir {
    let folder = scratch();
    small::write(folder.path());
    let mut site = small::SITE.to_owned();
    site.push_str("[mosaic]\nfirst_season = 2029\n");
    small::text(folder.path(), "site.toml", &site);
    expect(folder.path(), &["plan", "site.toml", "-o", "plan"], 0);
    folder
}

const RUN: [&str; 5] = ["calendar", "site.toml", "plan", "-o", "calendar"];

fn run(folder: &Path, more: &[&str], status: i32) -> std::process::Output {
    expect(folder, &[&RUN[..], more].concat(), status)
}

fn told(folder: &Path) -> Value {
    serde_json::from_slice(&std::fs::read(folder.join("calendar/calendar.json")).unwrap()).unwrap()
}

#[test]
fn the_work_of_a_winter_in_words() {
    let folder = planned();
    insta::assert_snapshot!(text(&run(folder.path(), &[], 0).stdout));
    assert_eq!(
        names(&folder.path().join("calendar")),
        ["calendar.csv", "calendar.html", "calendar.ics", "calendar.json"]
    );
    let page = std::fs::read_to_string(folder.path().join("calendar/calendar.html")).unwrap();
    assert!(page.contains("url(#hatch)"), "what is critical is told by a pattern");
    assert!(!page.contains("<script") && !page.contains("http"), "nothing is loaded");
}

#[test]
fn a_start_that_is_too_late_in_words() {
    let folder = planned();
    let output = run(folder.path(), &["--start", "2028-03", "--late-seed", "6"], 1);
    insta::assert_snapshot!(text(&output.stdout));
}

#[test]
fn what_cannot_be_asked_is_refused() {
    let folder = planned();
    for (start, found) in [("2028-13", "2027-03"), ("28-3", "2027-03"), ("soon", "2027-03")] {
        let output = run(folder.path(), &["--start", start], 2);
        assert!(text(&output.stderr).contains(found), "{start}");
    }
    run(folder.path(), &["--late-seed", "0"], 2);
    run(folder.path(), &[], 0);
    run(folder.path(), &[], 2);
    run(folder.path(), &["--overwrite"], 0);
    expect(folder.path(), &["plan", "site.toml", "-o", "zones", "--only", "zones"], 0);
    let output = expect(folder.path(), &["calendar", "site.toml", "zones", "-o", "none"], 2);
    assert!(text(&output.stderr).contains("nothing that is planted"));
    // A plan without a year, and no month to begin in.
    small::replace(folder.path(), "site.toml", "first_season = 2029", "");
    let output = expect(folder.path(), &["calendar", "site.toml", "-o", "none"], 2);
    assert!(text(&output.stderr).contains("--start YYYY-MM"));
    let bare = ["calendar", "site.toml", "-o", "bare", "--start", "2027-02"];
    assert!(text(&expect(folder.path(), &bare, 0).stdout).contains("the plan names no winter"));
    assert!(!folder.path().join("none").exists(), "nothing is half written");
}

#[test]
fn the_table_says_what_the_record_says_and_the_same_bytes_come_each_time() {
    let folder = planned();
    let first = run(folder.path(), &["--json"], 0);
    let read = |name: &str| std::fs::read(folder.path().join("calendar").join(name)).unwrap();
    let files = ["calendar.csv", "calendar.html", "calendar.ics", "calendar.json"];
    let before = files.map(read);
    let again = run(folder.path(), &["--json", "--overwrite", "--threads", "1"], 0);
    assert!(files.map(read) == before && first.stdout == again.stdout);
    let made = ["calendar", "site.toml", "-o", "made", "--json"];
    assert_eq!(text(&expect(folder.path(), &made, 0).stdout), text(&first.stdout));
    let record = told(folder.path());
    let mut table = csv::Reader::from_reader(&before[0][..]);
    let rows: Vec<BTreeMap<String, String>> = table.deserialize().map(Result::unwrap).collect();
    let tasks = record["tasks"].as_array().unwrap();
    assert_eq!(rows.len(), tasks.len());
    for (row, task) in rows.iter().zip(tasks) {
        for (column, member) in
            [("task_id", "id"), ("earliest", "earliest"), ("latest", "latest"), ("ends", "ends")]
        {
            assert_eq!(row[column], task[member].as_str().unwrap());
        }
    }
}

#[test]
fn in_the_north_winter_is_six_months_later() {
    let folder = planned();
    let site = std::fs::read_to_string(folder.path().join("site.toml")).unwrap();
    small::text(folder.path(), "site.toml", &(site + "[calendar]\nhemisphere = \"north\"\n"));
    run(folder.path(), &[], 0);
    let record = told(folder.path());
    let tasks = record["tasks"].as_array().unwrap();
    let plant = tasks.iter().find(|task| task["id"] == "plant-2029").unwrap();
    assert_eq!((&record["hemisphere"], &plant["earliest"]), (&json!("north"), &json!("2029-12")));
}

#[test]
fn a_plan_is_never_written_over() {
    let folder = planned();
    let before = std::fs::read(folder.path().join("plan/plan.json")).unwrap();
    let over = ["calendar", "site.toml", "plan", "-o", "plan", "--overwrite"];
    let output = expect(folder.path(), &over, 2);
    assert!(text(&output.stderr).contains("the plan would be lost"));
    assert_eq!(std::fs::read(folder.path().join("plan/plan.json")).unwrap(), before);
}

/// One person who sets ten plants a day.
#[test]
fn planting_that_is_longer_than_its_winter_is_a_finding() {
    let folder = planned();
    let site = std::fs::read_to_string(folder.path().join("site.toml")).unwrap();
    let labour = "[labour]\npeople = 1\ngentle_per_day = 10\nsteep_per_day = 10\n";
    small::text(folder.path(), "site.toml", &(site + labour));
    expect(folder.path(), &["plan", "site.toml", "-o", "plan", "--overwrite"], 0);
    let told = text(&run(folder.path(), &[], 1).stdout);
    assert!(told.contains("planting of 2029") && told.contains("labour.days"), "{told}");
}

#[test]
fn a_plan_that_is_older_than_its_stock_file_is_told_or_refused() {
    let folder = planned();
    small::replace(folder.path(), "stock.toml", "supply = 1500", "supply = 1600");
    let output = run(folder.path(), &[], 1);
    assert!(text(&output.stdout).contains("made before stock.toml changed"));
    small::replace(folder.path(), "stock.toml", "id = \"low\"", "id = \"lower\"");
    let output = run(folder.path(), &["--overwrite"], 2);
    assert!(text(&output.stderr).contains("`low`"), "{}", text(&output.stderr));
}

/// The first day of a month; `later`: of one so many months on.
fn day(month: &Value, later: u32) -> String {
    let (year, month) = month.as_str().unwrap().split_once('-').unwrap();
    let all = year.parse::<u32>().unwrap() * 12 + month.parse::<u32>().unwrap() - 1 + later;
    format!("{:04}-{:02}-01", all / 12, all % 12 + 1)
}

/// Source: `icalendar` 7, a reader of RFC 5545 (`tests/outside/almanac.py`).
#[test]
#[ignore = "needs icalendar: cargo xtask test installs it"]
fn the_calendar_is_read_by_icalendar() {
    let folder = planned();
    run(folder.path(), &[], 0);
    let record = told(folder.path());
    let calendar = folder.path().join("calendar/calendar.ics");
    let text = std::fs::read_to_string(&calendar).unwrap();
    let place = text.split("UID:").nth(1).unwrap().split_once('@').unwrap().1;
    let place = place.split_once("\r\n").unwrap().0;
    let uid = |id: &Value| format!("{}@{place}", id.as_str().unwrap());
    let event = |task: &Value| {
        let mut said = match task["slack_months"].as_i64().unwrap() {
            0 => "no slack".to_owned(),
            months => {
                format!("{months} months of slack: begin by {}", task["latest"].as_str().unwrap())
            }
        };
        for (label, member) in [("hands on", "hands_on"), ("caution", "caution")] {
            match task[member].as_str().unwrap() {
                "" => {}
                words => said = format!("{said}\n{label}: {words}"),
            }
        }
        json!({
            "uid": uid(&task["id"]), "summary": task["task"], "description": said, "begins": day(&task["earliest"], 0),
            "ends": day(&task["ends"], 1), "categories": task["who"],
            "after": task["after"].as_array().unwrap().iter().map(uid).collect::<Vec<_>>(),
        })
    };
    let events: Vec<Value> = record["tasks"].as_array().unwrap().iter().map(event).collect();
    let stamp = day(&record["start"], 0).replace('-', "");
    let expected = folder.path().join("events.json");
    std::fs::write(&expected, json!({"stamp": stamp, "events": events}).to_string()).unwrap();
    let python = std::env::var_os("HILLWEAVE_PYTHON").expect("run by `cargo xtask test`");
    let checker = repository().join("tests/outside/almanac.py");
    let output = Command::new(python).args([&checker, &calendar, &expected]).output().unwrap();
    assert!(
        output.status.success(),
        "{}{}",
        support::text(&output.stdout),
        support::text(&output.stderr)
    );
}
