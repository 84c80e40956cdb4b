//! What the bench keeps of people's files and of their choices, by running the real binary: what another has changed, what
//! it did not write itself, what several have said of one zone, what cannot be planned.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that stops has failed")]

mod support;

use std::fs;
use std::io::Read as _;
use std::path::Path;
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use support::bench::{Bench, files, property};
use support::{expect, scratch, small, text};

fn read(folder: &Path, name: &str) -> String {
    fs::read_to_string(folder.join(name)).unwrap()
}

/// A request that is refused; why.
fn refusal(bench: &Bench, path: &str) -> String {
    let answer = bench.ask("POST", path, Some(&json!({})));
    assert_eq!(answer.status, 422, "{path}");
    String::from_utf8(answer.body).unwrap()
}

fn square() -> Value {
    let [w, n] = [small::WEST + 60.0, small::NORTH - 60.0];
    json!({ "type": "Polygon", "coordinates": [[[w, n], [w + 30.0, n], [w + 30.0, n - 30.0], [w, n - 30.0], [w, n]]] })
}

/// All of a plan that is handed over is what the command makes of the saved files, sums of inputs among it.
#[test]
fn what_is_handed_over_is_the_commands_plan_to_the_last_sum() {
    let folder = property();
    let bench = Bench::open(folder.path());
    bench.change(&json!({ "rule": { "path": "zones.min_area_ha", "value": 0.2 } }));
    bench.change(
        &json!({ "draw": { "what": "keep_clear", "geometry": square(), "name": "spring" } }),
    );
    bench.change(&json!({ "choice": { "zone": "Z001", "line": "high" } }));
    bench.post("/api/save", &json!({}));
    bench.post("/api/export", &json!({}));
    expect(folder.path(), &["plan", ".", "-o", "plan", "--quiet"], 0);
    let handed = support::written::json(&folder.path().join("bench_plan"));
    let made = support::written::json(&folder.path().join("plan"));
    for (key, told) in made.as_object().unwrap() {
        assert!(handed[key] == *told, "{key}\n{}\n{told}", handed[key]);
    }
    let inputs = handed["inputs"].as_array().unwrap();
    assert!(inputs.iter().any(|one| one["file"] == "drawn.geojson"), "{inputs:?}");
}

#[test]
fn any_file_that_another_has_changed_is_told_at_saving_and_at_handing_over() {
    let folder = property();
    let bench = Bench::open(folder.path());
    small::replace(folder.path(), "site.toml", "min_area_ha = 0.1", "min_area_ha = 0.3");
    assert!(refusal(&bench, "/api/export").contains("has changed since"));
    // The stock is changed on the page, the site by another: both would be saved into one plan.
    bench.change(&json!({ "supply": { "line": "low", "plants": 10 } }));
    let there = files(folder.path());
    let told = refusal(&bench, "/api/save");
    assert!(told.contains("site.toml") && told.contains("has changed since"), "{told}");
    assert!(files(folder.path()) == there);
    small::replace(folder.path(), "site.toml", "min_area_ha = 0.3", "min_area_ha = 0.1");
    bench.post("/api/save", &json!({}));
    // A layer.
    small::raster_u8(&folder.path().join("cover.tif"), 40, 40, |_, _| 1);
    let told = refusal(&bench, "/api/export");
    assert!(told.contains("cover.tif") && told.contains("a layer that has changed"), "{told}");
}

#[test]
fn what_cannot_be_planned_is_not_saved_and_can_be_mended_on_the_page() {
    let folder = property();
    let bench = Bench::open(folder.path());
    let before = files(folder.path());
    let scene = bench.change(&json!({ "rule": { "path": "mosaic.weeks_in_flower", "value": 50 } }));
    assert_eq!((&scene["stale"], &scene["change"]["planned"]), (&json!(true), &json!(false)));
    assert!(refusal(&bench, "/api/save").contains("no plan can be made"));
    assert!(files(folder.path()) == before);
    // Forms show the files as they are now, not those of the last plan.
    bench.change(&json!({ "supply": { "line": "low", "plants": 5 } }));
    let scene = bench.change(&json!({ "choice": { "zone": "Z001", "line": "high" } }));
    assert_eq!(bench.get("/api/stock")["lines"][0]["supply"], 5);
    assert_eq!(scene["choices"][0]["line"], "high");
    assert_eq!(bench.get("/api/zone/Z001")["choice"]["line"], "high");
    // The last but two mended, the plan is of all of them.
    let scene =
        bench.change(&json!({ "rule": { "path": "mosaic.weeks_in_flower", "value": null } }));
    assert_eq!((&scene["stale"], &scene["change"]["planned"]), (&json!(false), &json!(true)));
    assert_eq!(scene["choices"][0]["line"], "high");
    bench.post("/api/save", &json!({}));
}

#[test]
fn parts_of_a_choice_change_by_themselves() {
    let folder = property();
    let bench = Bench::open(folder.path());
    bench.change(&json!({ "choice": { "zone": "Z001", "line": "high" } }));
    let scene = bench.change(&json!({ "choice": { "zone": "Z001", "forbid": ["low"] } }));
    assert_eq!(
        (&scene["choices"][0]["line"], &scene["choices"][0]["forbid"]),
        (&json!("high"), &json!(["low"]))
    );
    bench.change(&json!({ "choice": { "zone": "Z001", "note": "steep" } }));
    let scene = bench.change(&json!({ "choice": { "zone": "Z001", "line": null } }));
    assert_eq!(
        (&scene["choices"][0]["line"], &scene["choices"][0]["note"]),
        (&json!(null), &json!("steep"))
    );
    let scene = bench.change(&json!({ "choice": { "zone": "Z001", "forbid": [] } }));
    assert_eq!(scene["choices"], json!([]));
    // What changes no file is no step.
    let words = scene["undo_words"].clone();
    assert_eq!(
        bench.change(&json!({ "choice": { "zone": "Z001", "line": null } }))["undo_words"],
        words
    );
}

#[test]
fn a_choice_for_one_zone_leaves_those_of_others_and_comments_alone() {
    let folder = property();
    let head = "# Walked with the owner in May.\n\n";
    let bench = Bench::open(folder.path());
    bench.change(&json!({ "choice": { "zone": "Z001", "density_sph": 1500.0, "note": "first" } }));
    bench.change(&json!({ "choice": { "zone": "Z002", "density_sph": 1600.0, "note": "second" } }));
    bench.post("/api/save", &json!({}));
    drop(bench);
    let entries = read(folder.path(), "overrides.toml");
    let entries = entries.split_once("[[zone]]").unwrap().1;
    fs::write(folder.path().join("overrides.toml"), format!("{head}[[zone]]{entries}")).unwrap();
    // One zone of both: each entry stands in it.
    small::replace(folder.path(), "site.toml", "min_area_ha = 0.1 ", "min_area_ha = 50.0 ");
    let bench = Bench::open(folder.path());
    bench.change(&json!({ "choice": { "zone": "Z001", "density_sph": 1400.0 } }));
    bench.post("/api/save", &json!({}));
    let after = read(folder.path(), "overrides.toml");
    assert_eq!(after, format!("{head}[[zone]]{entries}").replace("1500.0", "1400.0"));
    // The first goes: what stood above it stays.
    bench.change(&json!({ "choice": { "zone": "Z001", "density_sph": null } }));
    bench.post("/api/save", &json!({}));
    let after = read(folder.path(), "overrides.toml");
    assert!(
        after.starts_with("# Walked with the owner in May.\n") && after.contains("second"),
        "{after}"
    );
    assert!(!after.contains("first"), "{after}");
}

#[test]
fn line_ends_marks_and_links_stay() {
    let folder = property();
    let site = read(folder.path(), "site.toml").replace('\n', "\r\n");
    fs::write(folder.path().join("site.toml"), format!("\u{feff}{site}")).unwrap();
    let elsewhere = scratch();
    fs::rename(folder.path().join("stock.toml"), elsewhere.path().join("real.toml")).unwrap();
    std::os::unix::fs::symlink(
        elsewhere.path().join("real.toml"),
        folder.path().join("stock.toml"),
    )
    .unwrap();
    let bench = Bench::open(folder.path());
    bench.change(&json!({ "rule": { "path": "zones.min_area_ha", "value": 0.2 } }));
    bench.change(&json!({ "supply": { "line": "low", "plants": 77 } }));
    bench.post("/api/save", &json!({}));
    let after = read(folder.path(), "site.toml");
    assert_eq!(
        after,
        format!("\u{feff}{}", site.replace("min_area_ha = 0.1 ", "min_area_ha = 0.2 "))
    );
    assert!(folder.path().join("stock.toml").symlink_metadata().unwrap().is_symlink());
    assert!(read(elsewhere.path(), "real.toml").contains("supply = 77"));
    expect(folder.path(), &["check", "."], 0);
}

#[test]
fn supply_by_winter_is_not_made_one_number() {
    let folder = property();
    small::replace(
        folder.path(),
        "stock.toml",
        "supply = 1500",
        "supply = { 2027 = 900, 2028 = 600 }",
    );
    let bench = Bench::open(folder.path());
    let line = &bench.get("/api/stock")["lines"][0];
    assert_eq!((&line["supply"], &line["supply_by_winter"]), (&json!(1500), &json!(true)));
    let told = bench.refused(&json!({ "supply": { "line": "low", "plants": 1501 } }));
    assert!(told.contains("by winter"), "{told}");
}

#[test]
fn drawings_of_others_neither_stop_the_page_nor_are_spoilt() {
    let lines = |crs: &str, at: [f64; 2]| {
        let [x, y] = at;
        format!(
            "{{\"type\":\"FeatureCollection\",{crs}\"features\":[{{\"type\":\"Feature\",\"properties\":{{\"number\":1}},\
             \"geometry\":{{\"type\":\"LineString\",\"coordinates\":[[{x},{y}],[{},{}]]}}}}]}}",
            x + 200.0,
            y - 200.0
        )
    };
    let metres =
        "\"crs\":{\"type\":\"name\",\"properties\":{\"name\":\"urn:ogc:def:crs:EPSG::2193\"}},";
    let theirs = lines(metres, [small::WEST, small::NORTH]);
    for (text, named) in [
        (theirs.as_str(), true),
        ("{\"type\":\"Feature\",\"properties\":{},\"geometry\":null}", false),
    ] {
        let folder = property();
        fs::write(folder.path().join("drawn.geojson"), text).unwrap();
        if named {
            let site = read(folder.path(), "site.toml");
            let breaks = "[layers.breaks]\nfile = \"drawn.geojson\"\n[layers.cover]\n";
            fs::write(folder.path().join("site.toml"), site.replace("[layers.cover]\n", breaks))
                .unwrap();
        }
        let bench = Bench::open(folder.path());
        assert_eq!(bench.get("/api/scene")["drawn"], json!([]));
        let told = bench.refused(&json!({ "draw": { "what": "break", "geometry": square() } }));
        assert!(told.contains("another name"), "{told}");
        assert_eq!(read(folder.path(), "drawn.geojson"), text);
    }
    // What else a file in degrees says stays.
    let folder = property();
    fs::write(
        folder.path().join("drawn.geojson"),
        "{\"type\":\"FeatureCollection\",\"name\":\"walk\",\"features\":[]}",
    )
    .unwrap();
    let bench = Bench::open(folder.path());
    bench.change(&json!({ "draw": { "what": "break", "geometry": square() } }));
    bench.post("/api/save", &json!({}));
    let told: Value = serde_json::from_str(&read(folder.path(), "drawn.geojson")).unwrap();
    assert_eq!((&told["name"], told["features"].as_array().unwrap().len()), (&json!("walk"), 1));
}

#[test]
fn a_step_that_cannot_be_taken_back_is_not() {
    let folder = property();
    let bench = Bench::open(folder.path());
    bench.change(&json!({ "draw": { "what": "keep_clear", "geometry": square(), "name": "one" } }));
    bench.change(&json!({ "draw": { "what": "break", "geometry": square(), "name": "two" } }));
    let before = bench.get("/api/scene");
    // The folder for what is drawn is the only one of this bench among temporary ones.
    let drafts = bench
        .temporary()
        .join(fs::read_dir(bench.temporary()).unwrap().next().unwrap().unwrap().file_name());
    fs::remove_dir_all(&drafts).unwrap();
    fs::write(&drafts, "in the way").unwrap();
    let answer = bench.ask("POST", "/api/undo", Some(&json!({})));
    assert_eq!(answer.status, 422, "{}", text(&answer.body));
    let after = bench.get("/api/scene");
    for key in ["drawn", "undo_words", "redo_words", "totals", "revision"] {
        assert_eq!(after[key], before[key], "{key}");
    }
}

#[test]
fn a_linked_folder_is_not_served_and_a_preview_does_not_use_the_link_up() {
    let folder = property();
    let elsewhere = scratch();
    fs::write(elsewhere.path().join("plan.json"), "{}").unwrap();
    std::os::unix::fs::symlink(elsewhere.path(), folder.path().join("bench_plan")).unwrap();
    let (bench, link) = Bench::begin(folder.path());
    let (_, key) = link.split_once("/?key=").unwrap();
    let path = format!("/?key={key}");
    assert_eq!(bench.raw("HEAD", &path, &[], b"").status, 403);
    let answer = bench.raw("GET", &path, &[], b"");
    assert_eq!(answer.status, 303);
    let cookie = answer.head.lines().find_map(|line| line.strip_prefix("set-cookie: ")).unwrap();
    let cookie = ("Cookie", cookie.split(';').next().unwrap());
    assert_eq!(bench.raw("GET", "/files/bench_plan/plan.json", &[cookie], b"").status, 404);
}

/// The answer of a request whose body comes late is not lost.
#[test]
fn a_body_that_comes_late_is_waited_for() {
    let folder = property();
    let bench = Bench::open(folder.path());
    for _ in 0..5 {
        let (status, told) = bench.slowly("/api/save", b"{}", Duration::from_millis(120));
        assert_eq!(status, 200, "{told}");
    }
}

/// More connections than are held at once, none of which says what it wants: who has something to say is heard all the same,
/// and the others are let go.
#[test]
fn who_never_says_what_it_wants_keeps_nobody_out() {
    let folder = property();
    let bench = Bench::open(folder.path());
    let mut silent: Vec<_> = (0..100).map(|_| bench.connected(b"GET / HTTP/1.1\r\nHo")).collect();
    let begun = Instant::now();
    assert!(bench.get("/api/scene")["revision"].is_u64());
    assert!(begun.elapsed() < Duration::from_secs(30), "{:?}", begun.elapsed());
    for stream in &mut silent {
        // Let go with a word of refusal, or without.
        let _ = stream.read_to_end(&mut Vec::new());
    }
    assert!(begun.elapsed() < Duration::from_mins(1), "{:?}", begun.elapsed());
}

/// Ctrl-C ends the sitting although a request never ends.
#[test]
fn an_interrupt_ends_the_sitting_whatever_hangs() {
    let folder = property();
    let mut bench = Bench::open(folder.path());
    let _hangs = bench.begun("POST", "/api/change", 50, b"{");
    std::thread::sleep(Duration::from_millis(200));
    let interrupt =
        std::process::Command::new("kill").args(["-INT", &bench.child.id().to_string()]).status();
    assert!(interrupt.unwrap().success());
    let begun = Instant::now();
    while bench.child.try_wait().unwrap().is_none() {
        assert!(begun.elapsed() < Duration::from_secs(30), "it goes on");
        std::thread::sleep(Duration::from_millis(50));
    }
}
