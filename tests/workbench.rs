//! The bench over its own door, by running the real binary: who is let in, that every change answers as a new plan of
//! the saved files, that steps go back and come again to the byte, and how files are written. `tests/outside.rs` has a
//! browser walk through its page.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that stops has failed")]

mod support;

use std::collections::BTreeMap;
use std::fs;
use std::process::Command;

use rand::{RngExt, SeedableRng};
use serde_json::{Value, json};
use support::bench::{Bench, files, property};
use support::{expect, scratch, small};

/// What a scene shows of a plan; the steps that led to it left out.
fn plan_of(scene: &Value) -> BTreeMap<String, Value> {
    const STEPS: [&str; 12] = [
        "ground_revision",
        "revision",
        "geometry_revision",
        "can_undo",
        "can_redo",
        "undo_words",
        "redo_words",
        "unsaved",
        "took",
        "change",
        "stale",
        "problems",
    ];
    let scene = scene.as_object().unwrap().iter();
    scene
        .filter(|(name, _)| !STEPS.contains(&name.as_str()))
        .map(|(name, told)| (name.clone(), told.clone()))
        .collect()
}

fn assert_same(a: &Value, b: &Value, what: &str) {
    let (a, b) = (plan_of(a), plan_of(b));
    assert_eq!(a.keys().collect::<Vec<_>>(), b.keys().collect::<Vec<_>>());
    for (name, told) in &a {
        assert!(told == &b[name], "{what}: {name}\n{told}\n{}", b[name]);
    }
}

/// Easting and northing so far into the small property from its north-west corner.
fn at(east: f64, south: f64) -> [f64; 2] {
    [small::WEST + east, small::NORTH - south]
}

fn square(east: f64, south: f64, side: f64) -> Value {
    let corners = [(0.0, 0.0), (0.0, side), (side, side), (side, 0.0), (0.0, 0.0)];
    json!({ "type": "Polygon", "coordinates": [corners.map(|(x, y)| at(east + x, south + y))] })
}

/// One change of every kind, some of them twice.
fn changes() -> Vec<Value> {
    let across =
        json!({ "type": "LineString", "coordinates": [at(10.0, 110.0), at(190.0, 112.0)] });
    vec![
        json!({ "rule": { "path": "mosaic.min_share", "value": 0.4 } }),
        json!({ "rule": { "path": "mosaic.fit_floor", "value": 0.5 } }),
        json!({ "rule": { "path": "density.usual_sph", "value": 2500 } }),
        json!({ "rule": { "path": "survival.gentle", "value": 0.7 } }),
        json!({ "rule": { "path": "order.confidence", "value": 0.99 } }),
        json!({ "rule": { "path": "zones.min_area_ha", "value": 0.3 } }),
        json!({ "rule": { "path": "zones.slope_scale_m", "value": 15 } }),
        json!({ "rule": { "path": "zones.factors", "value": ["slope_group", "exposure_class"] } }),
        json!({ "rule": { "path": "ground.horizon_m", "value": 15 } }),
        json!({ "rule": { "path": "mosaic.min_share", "value": null } }),
        json!({ "rule": { "path": "cover.by_years", "value": 15 } }),
        json!({ "supply": { "line": "low", "plants": 700 } }),
        json!({ "supply": { "line": "high", "plants": 9000 } }),
        json!({ "price": { "line": "low", "nzd": 1.25 } }),
        json!({ "tolerance": { "line": "high", "factor": "slope_deg", "corners": { "full_to": 30.0, "none_above": 45.0 } } }),
        json!({ "tolerance": { "line": "low", "factor": "elevation_m", "corners": { "none_below": 60.0, "full_from": 90.0 } } }),
        json!({ "tolerance": { "line": "low", "factor": "slope_deg", "corners": null } }),
        json!({ "choice": { "zone": "Z001", "line": "high", "forbid": [], "density_sph": null, "note": "the owner's wish" } }),
        json!({ "choice": { "zone": "Z002", "line": null, "forbid": ["high"], "density_sph": 1800.0, "note": "" } }),
        json!({ "choice": { "zone": "Z001", "line": null, "forbid": [], "density_sph": null, "note": "" } }),
        json!({ "draw": { "what": "break", "geometry": across, "name": "ridge fence", "reason": "", "distance_m": 0 } }),
        json!({ "draw": { "what": "zone", "geometry": square(60.0, 120.0, 40.0), "name": "", "reason": "", "distance_m": 0 } }),
        json!({ "draw": { "what": "keep_clear", "geometry": square(120.0, 60.0, 20.0), "name": "old yards", "reason": "kept open", "distance_m": 3.5 } }),
        json!({ "erase": { "what": "zone", "index": 2 } }),
        json!({ "erase": { "what": "keep_clear", "index": 3 } }),
        json!({ "erase": { "what": "break", "index": 1 } }),
    ]
}

#[test]
fn every_change_answers_as_a_new_plan_of_the_saved_files() {
    let folder = property();
    let bench = Bench::open(folder.path());
    for change in changes() {
        let scene = bench.change(&change);
        assert_eq!(scene["stale"], false, "{change}: {}", scene["problems"]);
        bench.post("/api/save", &json!({}));
        let fresh = Bench::open(folder.path()).get("/api/scene");
        assert_same(&scene, &fresh, &change.to_string());
        assert_eq!(bench.get("/api/scene")["unsaved"], json!([]));
    }
}

/// Undo all is the start, redo all the end, in the plan and in every byte of the files.
#[test]
fn random_steps_go_back_and_come_again_to_the_byte() {
    let folder = property();
    let start_files = files(folder.path());
    let mut draws = rand_pcg::Pcg64Mcg::seed_from_u64(7);
    let bench = Bench::open(folder.path());
    let start = bench.get("/api/scene");
    let kinds = changes();
    let mut steps = 0_usize;
    for _ in 0..30 {
        let change = &kinds[draws.random_range(0..kinds.len())];
        let revision = bench.get("/api/scene")["revision"].clone();
        let answer = bench.ask("POST", "/api/change", Some(change));
        match answer.status {
            // What changes no file is no step.
            200 => {
                let scene: Value = serde_json::from_slice(&answer.body).unwrap();
                steps += usize::from(scene["revision"] != revision);
            }
            // Something that is not there cannot be erased or chosen for.
            422 => {
                assert!(
                    change.get("erase").is_some() || change.get("choice").is_some(),
                    "{change}"
                );
            }
            other => panic!("{other}: {change}"),
        }
        if draws.random_range(0..4) == 0 && steps > 0 {
            bench.post("/api/undo", &json!({}));
            steps -= 1;
        }
    }
    assert!(steps > 8);
    let end = bench.get("/api/scene");
    bench.post("/api/save", &json!({}));
    let end_files = files(folder.path());
    while bench.get("/api/scene")["can_undo"] == true {
        bench.post("/api/undo", &json!({}));
    }
    assert_same(&bench.get("/api/scene"), &start, "undo all");
    bench.post("/api/save", &json!({}));
    assert!(files(folder.path()) == start_files, "the files are not what they were");
    for _ in 0..steps {
        bench.post("/api/redo", &json!({}));
    }
    assert_same(&bench.get("/api/scene"), &end, "redo all");
    bench.post("/api/save", &json!({}));
    assert!(files(folder.path()) == end_files, "the files are not what they had become");
}

#[test]
fn files_are_written_as_a_person_would_have() {
    let folder = property();
    let before = fs::read_to_string(folder.path().join("site.toml")).unwrap();
    let bench = Bench::open(folder.path());
    bench.change(&json!({ "rule": { "path": "zones.min_area_ha", "value": 0.2 } }));
    assert_eq!(
        fs::read_to_string(folder.path().join("site.toml")).unwrap(),
        before,
        "not saved yet"
    );
    let scene = bench.change(&json!({ "choice": { "zone": "Z001", "line": "high", "forbid": ["low"], "density_sph": 1600.0, "note": "steep" } }));
    assert_eq!(scene["unsaved"], json!(["site.toml", "overrides.toml"]));
    assert_eq!(scene["choices"][0]["line"], "high");
    let saved = bench.post("/api/save", &json!({}));
    assert_eq!(saved["saved"], json!(["site.toml", "overrides.toml"]));
    let after = fs::read_to_string(folder.path().join("site.toml")).unwrap();
    let expected = before.replace("min_area_ha = 0.1 #", "min_area_ha = 0.2 #");
    assert_eq!(after, format!("{expected}\n[mosaic]\noverrides = \"overrides.toml\"\n"));
    let choices = fs::read_to_string(folder.path().join("overrides.toml")).unwrap();
    insta::assert_snapshot!("a_choice_by_hand", choices);
    // The command plans the same from these files.
    expect(folder.path(), &["plan", ".", "-o", "plan", "--quiet"], 0);
    let plan = support::written::json(&folder.path().join("plan"));
    assert_eq!(plan["totals"], bench.get("/api/scene")["totals"]);
}

#[test]
fn what_another_has_written_is_not_written_over() {
    let folder = property();
    let bench = Bench::open(folder.path());
    bench.change(&json!({ "supply": { "line": "low", "plants": 10 } }));
    bench.change(&json!({ "rule": { "path": "mosaic.line_cap", "value": 0.6 } }));
    small::replace(folder.path(), "stock.toml", "supply = 1500", "supply = 1400");
    let there = files(folder.path());
    let answer = bench.ask("POST", "/api/save", Some(&json!({})));
    let told = String::from_utf8(answer.body).unwrap();
    assert_eq!(answer.status, 422);
    assert!(told.contains("stock.toml") && told.contains("has changed since"), "{told}");
    assert!(files(folder.path()) == there, "none or all");
}

#[test]
fn what_cannot_be_is_refused_and_changes_nothing() {
    let folder = property();
    let bench = Bench::open(folder.path());
    let before = bench.get("/api/scene");
    for (change, part) in [
        (json!({ "rule": { "path": "mosaic.min_share", "value": 7 } }), "mosaic.min_share"),
        (json!({ "rule": { "path": "mosaic.no_such", "value": 7 } }), "a key that the page offers"),
        (
            json!({ "rule": { "path": "stock.file", "value": "/etc/passwd" } }),
            "a key that the page offers",
        ),
        (json!({ "supply": { "line": "nobody", "plants": 7 } }), "the id of a line"),
        (json!({ "price": { "line": "low", "nzd": -1.0 } }), "price_nzd"),
        (json!({ "tolerance": { "line": "low", "factor": "mood", "corners": null } }), "factor"),
        (json!({ "choice": { "zone": "Z999", "line": "low" } }), "a zone of the present plan"),
        (json!({ "choice": { "zone": "Z001", "line": "nobody" } }), "the id of a line"),
        (json!({ "erase": { "what": "break", "index": 4 } }), "something that was drawn"),
        (
            json!({ "draw": { "what": "break", "geometry": square(20.0, 20.0, 9.0), "name": "a\"b'<c>" } }),
            "",
        ),
        (
            json!({ "draw": { "what": "keep_clear", "geometry": square(20.0, 20.0, 9.0), "name": "a\u{0}b" } }),
            "control character",
        ),
        (
            json!({ "draw": { "what": "keep_clear", "geometry": { "type": "Point", "coordinates": [174.5, -38.2] }, "distance_m": 5.0 } }),
            "from the property",
        ),
        (
            json!({ "draw": { "what": "break", "geometry": { "type": "LineString", "coordinates": [at(20.0, 20.0), [7]] } } }),
            "two numbers",
        ),
        (
            json!({ "draw": { "what": "break", "geometry": { "type": "LineString", "coordinates": [at(20.0, 20.0), [1e200, -1e200]] } } }),
            "more than 100 km from the property",
        ),
        (json!({ "choice": { "zone": "Z001", "note": "steep" } }), "nothing is chosen"),
        (
            json!({ "choice": { "zone": "Z001", "line": "low", "geometry_revision": 7 } }),
            "drawn anew since",
        ),
        (json!({ "sing": {} }), "sing"),
    ] {
        if part.is_empty() {
            // An area is a break too; whatever its name, the files stay sound.
            assert_eq!(bench.change(&change)["stale"], false);
            bench.post("/api/undo", &json!({}));
            continue;
        }
        let told = bench.refused(&change);
        assert!(told.contains(part) && told.contains("\"problems\""), "{change}: {told}");
        assert_same(&bench.get("/api/scene"), &before, &change.to_string());
    }
    // Rules that no plan can keep: the last plan stays on the map, and the page is told why.
    let scene = bench.change(&json!({ "rule": { "path": "mosaic.weeks_in_flower", "value": 50 } }));
    assert_eq!(scene["stale"], true);
    assert!(!scene["problems"][0]["remedy"].as_str().unwrap().is_empty());
    assert_eq!(scene["totals"], before["totals"]);
    assert_eq!(bench.post("/api/undo", &json!({}))["stale"], false);
}

#[test]
fn a_second_client_without_the_link_gets_nothing() {
    let folder = property();
    let bench = Bench::open(folder.path());
    let [cookie, word] = bench.ours();
    let kind = ("Content-Type", "application/json");
    let change = json!({ "supply": { "line": "low", "plants": 1 } }).to_string();
    let status = |method: &str, path: &str, headers: &[(&str, &str)]| {
        bench
            .raw(method, path, headers, if method == "POST" { change.as_bytes() } else { b"" })
            .status
    };
    // Nothing without the cookie, and no second use of a link.
    for path in [
        "/",
        "/?key=",
        "/?key=00000000000000000000000000000000",
        "/api/scene",
        "/js/main.js",
        "/files/bench_plan/plan.json",
    ] {
        assert_eq!(status("GET", path, &[]), 403, "{path}");
    }
    assert_eq!(status("POST", "/api/change", &[kind]), 403);
    assert_eq!(status("POST", "/api/change", &[kind, ("Cookie", "hillweave_bench_1=a")]), 403);
    // Another site in the same browser; another name for this machine.
    for foreign in [
        ("Origin", "http://elsewhere.example"),
        ("Origin", "null"),
        ("Sec-Fetch-Site", "cross-site"),
        ("Host", "elsewhere.example"),
    ] {
        assert_eq!(
            status("POST", "/api/change", &[kind, cookie, word, foreign]),
            403,
            "{foreign:?}"
        );
        assert_eq!(status("GET", "/api/scene", &[cookie, foreign]), 403, "{foreign:?}");
    }
    // A page of another port of this machine is sent the cookie too: it changes nothing.
    assert_eq!(status("POST", "/api/change", &[kind, cookie]), 403);
    assert_eq!(status("POST", "/api/save", &[cookie, ("X-Hillweave-Word", "guess")]), 403);
    // Bodies that are no change, and too large ones.
    assert_eq!(
        bench
            .raw(
                "POST",
                "/api/change",
                &[cookie, word, ("Content-Type", "text/plain")],
                change.as_bytes()
            )
            .status,
        422
    );
    assert_eq!(
        bench.raw("POST", "/api/change", &[cookie, word, kind], &vec![b' '; 2 << 20]).status,
        413
    );
    // No way out of the folders that the bench writes.
    fs::create_dir(folder.path().join("bench_plan")).unwrap();
    fs::write(folder.path().join("bench_plan/plan.json"), "{}").unwrap();
    assert_eq!(status("GET", "/files/bench_plan/plan.json", &[cookie]), 200);
    std::os::unix::fs::symlink("/etc/passwd", folder.path().join("bench_plan/link")).unwrap();
    for path in [
        "/files/bench_plan/..%2Fsite.toml",
        "/files/..%2F/site.toml",
        "/files/bench_plan/../site.toml",
        "/files/bench_plan/link",
        "/files/%2Fetc/passwd",
        "/..%2Fsite.toml",
        "/../Cargo.toml",
    ] {
        assert_eq!(status("GET", path, &[cookie]), 404, "{path}");
    }
    // What a browser is told with every answer.
    let page = bench.raw("GET", "/", &[cookie], b"");
    assert_eq!(page.status, 200);
    for told in [
        "content-security-policy: default-src 'none'",
        "x-content-type-options: nosniff",
        "x-frame-options: DENY",
        "referrer-policy: no-referrer",
    ] {
        assert!(page.head.contains(told), "{told}: {}", page.head);
    }
    assert_eq!(bench.get("/api/scene")["can_undo"], false, "nothing was changed");
}

#[test]
fn reports_and_exports_are_of_the_saved_files() {
    let folder = property();
    let bench = Bench::open(folder.path());
    bench.change(&json!({ "supply": { "line": "low", "plants": 1000 } }));
    let answer = bench.ask("POST", "/api/export", Some(&json!({})));
    assert_eq!(answer.status, 422);
    assert!(String::from_utf8(answer.body).unwrap().contains("save first"));
    bench.post("/api/save", &json!({}));
    let export = bench.post("/api/export", &json!({}));
    let names: Vec<&str> = export["files"]
        .as_array()
        .unwrap()
        .iter()
        .map(|file| file["name"].as_str().unwrap())
        .collect();
    assert!(names.contains(&"zones.shp") && names.contains(&"plan.kml"), "{names:?}");
    let url = export["files"][0]["url"].as_str().unwrap();
    assert_eq!(bench.ask("GET", url, None).status, 200);
    let report = bench.post("/api/report", &json!({ "date": "2027-03-01", "start": "2027-03" }));
    assert!(report["files"].as_array().unwrap().len() == 3, "{report}");
    assert!(folder.path().join("bench_report/report.html").is_file());
    let odd = bench.ask("POST", "/api/report", Some(&json!({ "date": "soon" })));
    assert_eq!(odd.status, 422);
}

#[test]
fn trees_to_sample_are_those_that_the_command_draws() {
    let folder = property();
    small::replace(
        folder.path(),
        "site.toml",
        "[stock]\n",
        "[seed]\napart_m = 5\ntrees = 6\n[stock]\n",
    );
    let bench = Bench::open(folder.path());
    let told = bench.get("/api/trees");
    expect(folder.path(), &["seed", "sites", ".", "-o", "trees", "--quiet"], 1);
    let record = fs::read(folder.path().join("trees/seed_sites.json")).unwrap();
    let record: Value = serde_json::from_slice(&record).unwrap();
    let trees = record["trees"].as_array().unwrap();
    assert_eq!(told["at"].as_array().unwrap().len(), 6);
    for (tree, (row, at)) in trees
        .iter()
        .zip(told["rows"].as_array().unwrap().iter().zip(told["at"].as_array().unwrap()))
    {
        assert_eq!(row[0], tree["tree_id"]);
        assert_eq!(*at, json!([tree["easting_m"], tree["northing_m"]]));
    }
    bench.change(&json!({ "rule": { "path": "seed.trees", "value": 5000 } }));
    assert_eq!(bench.ask("GET", "/api/trees", None).status, 422, "more than there is room for");
}

#[test]
fn pictures_and_cover_and_heights_are_served() {
    let folder = property();
    let bench = Bench::open(folder.path());
    let property = bench.get("/api/property");
    for raster in property["rasters"].as_array().unwrap() {
        let path = format!("/api/raster/{}.png", raster["id"].as_str().unwrap());
        let answer = bench.ask("GET", &path, None);
        assert_eq!((answer.status, &answer.body[..4]), (200, &b"\x89PNG"[..]), "{path}");
    }
    let mut relief = bench.ask("GET", "/api/raster/relief.png", None).body;
    relief.sort_unstable();
    relief.dedup();
    assert!(relief.len() > 100, "light and shade of one colour packs to few bytes");
    assert_eq!(bench.ask("GET", "/api/raster/no_such.png", None).status, 404);
    let cover = bench.get("/api/cover");
    expect(folder.path(), &["cover", ".", "-o", "cover", "--quiet"], 1);
    let check: Value =
        serde_json::from_slice(&fs::read(folder.path().join("cover/cover.json")).unwrap()).unwrap();
    let then = cover["years"]
        .as_array()
        .unwrap()
        .iter()
        .find(|year| year["year"] == check["by_years"])
        .unwrap();
    let apart = then["below_plan_ha"].as_f64().unwrap() - check["below_plan_ha"].as_f64().unwrap();
    assert!(apart.abs() < 1e-9, "{then}");
    // What a change does to cover is what the command finds before and after it.
    assert_eq!(bench.get("/api/cover/change")["figures"], json!([]));
    bench.change(&json!({ "rule": { "path": "density.usual_sph", "value": 300 } }));
    let told = bench.get("/api/cover/change");
    bench.post("/api/save", &json!({}));
    expect(folder.path(), &["cover", ".", "-o", "cover", "--quiet", "--overwrite"], 1);
    let now: Value =
        serde_json::from_slice(&fs::read(folder.path().join("cover/cover.json")).unwrap()).unwrap();
    let below = told["figures"]
        .as_array()
        .unwrap()
        .iter()
        .find(|one| one["name"] == "below the target of cover");
    let below = below.unwrap();
    assert_eq!(
        (&below["before"], &below["after"]),
        (&check["below_plan_ha"], &now["below_plan_ha"])
    );
    assert!(below["after"].as_f64() > below["before"].as_f64(), "{below}");
    for year in ["today", "0", "15"] {
        assert_eq!(bench.ask("GET", &format!("/api/cover/{year}.png"), None).status, 200, "{year}");
    }
    assert_eq!(bench.ask("GET", "/api/cover/900.png", None).status, 422);
    let terrain = bench.get("/api/terrain");
    let posts = terrain["columns"].as_u64().unwrap() * terrain["rows"].as_u64().unwrap();
    assert_eq!(bench.ask("GET", "/api/terrain.bin", None).body.len() as u64, 4 * posts);
}

/// Pictures of what the walk saw are kept where `HILLWEAVE_SHOTS` says, else nowhere.
fn walk(more: &[&str]) -> Value {
    let folder = scratch();
    let site = folder.path().join("site");
    support::copy_folder(&support::repository().join("sample-layers"), &site);
    let (_bench, link) = Bench::begin(&site);
    let shots = std::env::var_os("HILLWEAVE_SHOTS")
        .map_or_else(|| folder.path().join("shots"), std::path::PathBuf::from);
    let mut command = Command::new("node");
    command.arg(support::repository().join("tests/outside/workbench.mjs")).args(more);
    command.arg(std::env::var_os("HILLWEAVE_NODE").unwrap()).arg(link).arg(shots);
    let output = command.output().unwrap();
    let told = support::text(&output.stdout);
    assert!(output.status.success(), "{told}{}", support::text(&output.stderr));
    serde_json::from_str(&told).unwrap()
}

/// Chromium, by pointer and by keyboard alone, with axe-core on every state and the network shut.
#[test]
#[ignore = "needs Chromium and Node: cargo xtask test installs them"]
fn a_browser_walks_through_the_page() {
    let told = walk(&[]);
    assert!(told["passed"].as_u64() > Some(100), "{told}");
}

#[test]
#[ignore = "needs Chromium and Node: cargo xtask test installs them"]
fn the_walk_finds_every_fault_that_is_put_into_the_page() {
    let told = walk(&["--must-fail"]);
    assert!(told["faults"].as_u64() > Some(5) && told["missed"] == json!([]), "{told}");
}
