//! Where stands are sampled for mother trees, by running the real binary: on the sample property, and on
//! a small made-up site for faults.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::float_cmp,
    reason = "a test that stops has failed"
)]

mod support;

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use gdal::Dataset;
use gdal::vector::LayerAccess;
use geo::{Contains, Distance, Euclidean, LineString, MultiLineString, Point};
use serde_json::Value;
use support::{expect, names, repository, scratch, small, text, written};

const FILES: [&str; 5] = [
    "field_sheet.csv",
    "field_sheet.gpkg",
    "field_sheet.gpx",
    "field_sheet.html",
    "seed_sites.json",
];

/// The small site with a larger stand, so that there is room for places.
fn small_site(folder: &Path, more: &str) {
    small::write(folder);
    small::raster_u8(&folder.join("cover.tif"), 40, 40, |row, col| {
        if (8..30).contains(&row) && (6..18).contains(&col) { 4 } else { 1 }
    });
    small::text(folder, "site.toml", &format!("{}{more}", small::SITE));
}

fn record(folder: &Path) -> Value {
    serde_json::from_slice(&std::fs::read(folder.join("seed_sites.json")).unwrap()).unwrap()
}

/// Fields and place of every point of a layer.
fn points(file: &Path, layer: &str) -> Vec<(BTreeMap<String, String>, Point)> {
    let file = Dataset::open(file).unwrap();
    let mut layer = file.layer_by_name(layer).unwrap();
    let fields: Vec<String> = layer.defn().fields().map(|field| field.name()).collect();
    let point = |feature: gdal::vector::Feature| {
        let value = |name: &String| {
            let at = feature.field_index(name).unwrap();
            (name.clone(), feature.field_as_string(at).unwrap().unwrap_or_default())
        };
        let (x, y, _) = feature.geometry().unwrap().get_point(0);
        (fields.iter().map(value).collect(), Point::new(x, y))
    };
    layer.features().map(point).collect()
}

fn csv_rows(file: &Path) -> Vec<BTreeMap<String, String>> {
    let mut table = csv::Reader::from_path(file).unwrap();
    table.deserialize().map(Result::unwrap).collect()
}

/// The sample property from end to end. Stands are those of a plan of zones alone, read back by GDAL and
/// judged by `geo`, which had no part in drawing places.
#[test]
fn places_of_the_sample_property_lie_in_its_stands_and_every_file_says_the_same() {
    let folder = scratch();
    let site = repository().join("sample-layers");
    let site = site.to_str().unwrap();
    let output = expect(folder.path(), &["seed", "sites", site, "-o", "sites"], 0);
    insta::assert_snapshot!("the_sites_of_the_sample_in_words", text(&output.stdout));
    expect(folder.path(), &["plan", site, "--only", "zones", "-o", "plan"], 0);
    let sites = folder.path().join("sites");
    assert_eq!(names(&sites), FILES);
    let stands = written::layer(&folder.path().join("plan"), "stands");
    let drawn = points(&sites.join("field_sheet.gpkg"), "mother_trees");
    assert_eq!(drawn.len(), 30);

    let tracks = tracks(&Path::new(site).join("property.gpkg"));
    for (at, (fields, place)) in drawn.iter().enumerate() {
        let own = stands.iter().find(|stand| stand.text("stand_id") == fields["stand_id"]).unwrap();
        assert_eq!(own.text("cover"), "mānuka stand");
        assert!(own.geometry.contains(place), "{place:?} in {}", fields["stand_id"]);
        assert!(fields["stratum"].starts_with(&format!("{}/", fields["stand_id"])));
        for (_, other) in &drawn[..at] {
            assert!(Euclidean.distance(place, other) >= 20.0);
        }
        let to_track = Euclidean.distance(place, &tracks);
        assert!((fields["to_track_m"].parse::<f64>().unwrap() - to_track).abs() <= 0.5);
        let slope: f64 = fields["slope_deg"].parse().unwrap();
        assert_eq!(fields["caution"].contains("steep, "), slope >= 25.0, "{fields:?}");
    }

    let rows = csv_rows(&sites.join("field_sheet.csv"));
    let way_points = points(&sites.join("field_sheet.gpx"), "waypoints");
    let page = std::fs::read_to_string(sites.join("field_sheet.html")).unwrap();
    let told = record(&sites);
    let trees = told["trees"].as_array().unwrap();
    assert_eq!((rows.len(), way_points.len(), trees.len()), (30, 30, 30));
    for (at, (fields, place)) in drawn.iter().enumerate() {
        let (row, (names, on_globe)) = (&rows[at], &way_points[at]);
        let id = &fields["tree_id"];
        assert_eq!(*id, format!("T{:03}", at + 1));
        assert_eq!(
            (&row["tree_id"], &names["name"], trees[at]["tree_id"].as_str().unwrap()),
            (id, id, id.as_str())
        );
        let number = |name: &str| row[name].parse::<f64>().unwrap();
        assert_eq!([number("easting_m"), number("northing_m")], [place.x(), place.y()]);
        let [lon, lat] = [number("longitude_deg"), number("latitude_deg")];
        assert!((lon - on_globe.x()).abs() < 1e-7 && (lat - on_globe.y()).abs() < 1e-7);
        assert_eq!(names["desc"], fields["caution"]);
        for name in ["stand_id", "stratum", "caution", "vigour", "note"] {
            assert_eq!(row[name], fields[name], "{name}");
        }
        for blank in [
            "vigour",
            "form",
            "flower_number",
            "flower_quality",
            "seed_capsules",
            "disease",
            "photo",
            "permission",
            "note",
        ] {
            assert!(row[blank].is_empty());
        }
        assert!(page.contains(&format!("<b>{id}</b>")));
    }
    sums(&told);
    // Filled in, the table is read as a field sheet.
    let filled = std::fs::read_to_string(sites.join("field_sheet.csv")).unwrap();
    let filled = filled.replace(",,,,,,,,,\n", ",4,3,5,2,1500,1,IMG 7,yes,by the fence\n");
    small::text(folder.path(), "filled.csv", &filled);
    let sheet = spatial::seed::read_field(&folder.path().join("filled.csv")).unwrap();
    assert_eq!(sheet.trees.len(), 30);
    for (tree, (fields, place)) in sheet.trees.iter().zip(&drawn) {
        assert_eq!((&tree.tree_id, tree.at), (&fields["tree_id"], [place.x(), place.y()]));
        assert_eq!(
            (tree.vigour, tree.seed_capsules, tree.permission),
            (Some(4), Some(1500), Some(true))
        );
    }
    assert!(!page.contains("<script") && !page.contains("src=") && !page.contains("href="));
    assert!(page.contains("do not take planted trees") && page.contains("grid north"));
}

fn tracks(file: &Path) -> MultiLineString {
    let file = Dataset::open(file).unwrap();
    let mut layer = file.layer_by_name("tracks").unwrap();
    let lines =
        layer.features().flat_map(|feature| match feature.geometry().unwrap().to_geo().unwrap() {
            geo::Geometry::LineString(line) => vec![line],
            geo::Geometry::MultiLineString(lines) => lines.0,
            other => panic!("{other:?} among tracks"),
        });
    MultiLineString::new(lines.collect::<Vec<LineString>>())
}

/// Parts add up to stands and stands to the whole; every part has its share, rounded down or up.
fn sums(told: &Value) {
    let rows = |key: &str| told[key].as_array().unwrap();
    let sum =
        |rows: &[Value], key: &str| rows.iter().map(|row| row[key].as_f64().unwrap()).sum::<f64>();
    let trees = rows("trees").len() as f64;
    assert!((sum(rows("strata"), "expected") - trees).abs() < 1e-9);
    for key in ["strata", "stands"] {
        assert_eq!(sum(rows(key), "drawn"), trees);
        assert_eq!(sum(rows(key), "candidates"), told["candidates"].as_f64().unwrap());
    }
    for part in rows("strata") {
        let due = part["expected"].as_f64().unwrap();
        let drawn = part["drawn"].as_f64().unwrap();
        assert!(drawn == (due + 1e-9).floor() || drawn == (due - 1e-9).ceil(), "{part}");
        let own = rows("trees").iter().filter(|tree| tree["stratum"] == part["stratum"]);
        assert_eq!(own.count() as f64, drawn);
    }
}

#[test]
fn the_same_bytes_on_any_number_of_threads_and_others_by_another_seed() {
    let folder = scratch();
    small_site(folder.path(), "");
    let run = |output: &str, more: &[&str]| {
        let asked = ["seed", "sites", "site.toml", "-o", output, "--trees-wanted", "9"];
        expect(folder.path(), &[&asked[..], more].concat(), 1);
    };
    run("one", &["--threads", "1"]);
    run("two", &["--threads", "2"]);
    run("other", &["--seed", "2"]);
    let bytes =
        |output: &str, name: &str| std::fs::read(folder.path().join(output).join(name)).unwrap();
    for name in FILES {
        assert!(bytes("one", name) == bytes("two", name), "{name}");
        assert!(bytes("one", name) != bytes("other", name), "{name}");
    }
}

#[test]
fn a_folder_is_replaced_only_when_asked_and_never_one_that_was_filled_in() {
    let folder = scratch();
    small_site(folder.path(), "");
    let asked = ["seed", "sites", "site.toml", "-o", "sites", "--trees-wanted", "9"];
    expect(folder.path(), &asked, 1);
    let refused = expect(folder.path(), &asked, 2);
    assert!(text(&refused.stderr).contains("--overwrite"), "{}", text(&refused.stderr));
    let over = [&asked[..], &["--overwrite"]].concat();
    expect(folder.path(), &over, 1);
    let sheet = std::fs::read_to_string(folder.path().join("sites/field_sheet.csv")).unwrap();
    let filled = sheet.replacen(",,,,,,,,,\n", ",4,,,,,,,,\n", 1);
    assert_ne!(sheet, filled);
    small::text(&folder.path().join("sites"), "field_sheet.csv", &filled);
    let refused = text(&expect(folder.path(), &over, 2).stderr);
    assert!(refused.contains("`4` under vigour in row 2"), "{refused}");
    assert_eq!(
        std::fs::read_to_string(folder.path().join("sites/field_sheet.csv")).unwrap(),
        filled
    );
    let plan = expect(folder.path(), &["plan", "site.toml", "-o", "sites", "--overwrite"], 2);
    assert!(text(&plan.stderr).contains("`4` under vigour"), "nor by any other command");
    // The GeoPackage, filled in by a field app.
    small::text(&folder.path().join("sites"), "field_sheet.csv", &sheet);
    fill(&folder.path().join("sites/field_sheet.gpkg"));
    let refused = text(&expect(folder.path(), &over, 2).stderr);
    assert!(refused.contains("`leans` under note"), "{refused}");
    // A folder of other things is never replaced.
    std::fs::remove_file(folder.path().join("sites/field_sheet.gpkg")).unwrap();
    small::text(&folder.path().join("sites"), "letters.txt", "dear");
    expect(folder.path(), &over, 2);
}

fn fill(file: &Path) {
    let options = gdal::DatasetOptions {
        open_flags: gdal::GdalOpenFlags::GDAL_OF_UPDATE | gdal::GdalOpenFlags::GDAL_OF_VECTOR,
        ..gdal::DatasetOptions::default()
    };
    let dataset = Dataset::open_ex(file, options).unwrap();
    let layer = dataset.layer_by_name("mother_trees").unwrap();
    let mut feature = layer.feature(3).unwrap();
    let at = feature.field_index("note").unwrap();
    feature.set_field_string(at, "leans").unwrap();
    layer.set_feature(feature).unwrap();
}

/// Known trees are thinned, named as they are, and told of where they stand in no stand.
#[test]
fn known_trees_are_drawn_by_their_own_names() {
    let folder = scratch();
    small_site(folder.path(), "");
    small::raster_u8(&folder.path().join("cover.tif"), 40, 40, |row, col| {
        let is_stand = (8..30).contains(&row) && (6..18).contains(&col);
        let is_far = (20..26).contains(&row) && (22..30).contains(&col);
        if is_stand || is_far { 4 } else { 1 }
    });
    let row =
        |id: &str, x: f64, y: f64| format!("{id},{},{},2029\n", small::WEST + x, small::NORTH - y);
    let tree = |at: i32| {
        row(&format!("=tree {at}"), f64::from(35 + at % 6 * 8), f64::from(60 + at / 6 * 8))
    };
    let trees: String = (0..60).map(tree).collect();
    let list = format!("tree_id,easting_m,northing_m,note\n{trees}{}", row("beyond", 150.0, 60.0));
    small::text(folder.path(), "trees.csv", &list);
    let asked = [
        "seed",
        "sites",
        "site.toml",
        "-o",
        "sites",
        "--trees",
        "trees.csv",
        "--trees-wanted",
        "6",
    ];
    let said = text(&expect(folder.path(), &asked, 1).stdout);
    assert!(said.contains("1 in no sampled stand: beyond"), "{said}");
    assert!(said.contains("no place in 1 of 2: S002"), "a stand without a listed tree: {said}");
    let told = record(&folder.path().join("sites"));
    let trees = told["trees"].as_array().unwrap();
    assert_eq!(trees.len(), 6);
    for (at, a) in trees.iter().enumerate() {
        let place = |tree: &Value| {
            Point::new(tree["easting_m"].as_f64().unwrap(), tree["northing_m"].as_f64().unwrap())
        };
        let line = format!("{},{},{},", a["tree_id"].as_str().unwrap(), place(a).x(), place(a).y());
        assert!(list.contains(&line), "{line}");
        assert!(trees[..at].iter().all(|b| Euclidean.distance(&place(a), &place(b)) >= 20.0));
    }
    let rows = csv_rows(&folder.path().join("sites/field_sheet.csv"));
    assert!(rows.iter().all(|row| row["tree_id"].starts_with("'=tree ")), "no spreadsheet runs it");
    let error = told["standard_error_expected"].as_f64().unwrap();
    assert!(
        error < 0.4 / 6.0_f64.sqrt(),
        "{error}: few trees are listed, so most of them are seen"
    );
}

/// Two stands alike, one of them with trees that differ four times as much.
#[test]
fn a_pilot_sends_more_to_where_trees_differ_more() {
    let folder = scratch();
    small_site(folder.path(), "");
    small::raster_u8(&folder.path().join("cover.tif"), 40, 40, |row, col| {
        let is_stand =
            (8..30).contains(&row) && ((7..17).contains(&col) || (21..31).contains(&col));
        if is_stand { 4 } else { 1 }
    });
    let asked = ["seed", "sites", "site.toml", "--trees-wanted", "10"];
    let run = |more: &[&str], status| expect(folder.path(), &[&asked[..], more].concat(), status);
    run(&["-o", "even"], 1);
    small::text(folder.path(), "pilot.csv", "stand_id,trees,sd_ratio\nS001,9,0.1\nS002,9,0.4\n");
    run(&["-o", "pilot", "--allocation", "neyman", "--pilot", "pilot.csv"], 1);
    let drawn = |output: &str| -> Vec<f64> {
        let told = record(&folder.path().join(output));
        sums(&told);
        let stands = told["stands"].as_array().unwrap();
        assert_eq!(stands.len(), 2);
        stands
            .iter()
            .map(|stand| stand["drawn"].as_f64().unwrap() / stand["candidates"].as_f64().unwrap())
            .collect()
    };
    let (even, pilot) = (drawn("even"), drawn("pilot"));
    assert!(even[1] < even[0] * 1.6, "{even:?}");
    assert!(pilot[1] > pilot[0] * 2.0, "{pilot:?}");
    let told = record(&folder.path().join("pilot"));
    assert_eq!(told["inputs"].as_array().unwrap().last().unwrap()["role"], "pilot");
    let refused = text(&run(&["-o", "no", "--allocation", "neyman"], 2).stderr);
    assert!(refused.contains("--pilot FILE.csv"), "{refused}");
    let refused = text(&run(&["-o", "no", "--pilot", "pilot.csv"], 2).stderr);
    assert!(refused.contains("add `--allocation neyman`"), "{refused}");
}

/// What is added to the site file, a text of it and what replaces that, options, a word of the fault and one
/// of the remedy.
type Fault<'a> = (&'a str, &'a str, &'a str, &'a [&'a str], &'a str, &'a str);

#[test]
fn every_fault_has_its_remedy_and_nothing_is_written() {
    let bush =
        "[[layers.cover.class]]\ncode = 5\nname = \"bush\"\ntreatment = \"keep\"\n[[keep_clear]]";
    let cases: [Fault<'_>; 7] = [
        ("", "[[keep_clear]]", bush, &[], "2 kept cover classes", "cover = [\"mānuka stand\"]"),
        (
            "[seed]\ncover = [\"manuka stand\"]\n",
            "",
            "",
            &[],
            "\"manuka stand\"",
            "did you mean \"mānuka stand\"?",
        ),
        (
            "[seed]\ncover = [\"bush\"]\n",
            "[[keep_clear]]",
            bush,
            &[],
            "no stand of bush",
            "check the cover layer",
        ),
        (
            "",
            "treatment = \"keep\"",
            "treatment = \"never\"",
            &[],
            "no kept cover class",
            "keep the class",
        ),
        ("", "", "", &["--trees-wanted", "5000"], "places 20 m apart", "ask for fewer trees"),
        ("[seed]\nsteepest_deg = 1\n", "", "", &[], "too steep", "ask for fewer trees"),
        (
            "",
            "",
            "",
            &["--allocation", "neyman", "--pilot", "pilot.csv"],
            "`S01`",
            "did you mean `S001`?",
        ),
    ];
    for (more, from, to, options, found, remedy) in cases {
        let folder = scratch();
        small_site(folder.path(), more);
        small::text(folder.path(), "pilot.csv", "stand_id,trees,sd_ratio\nS01,9,0.1\n");
        if !from.is_empty() {
            small::replace(folder.path(), "site.toml", from, to);
        }
        let asked = ["seed", "sites", "site.toml", "-o", "sites"];
        let said = text(&expect(folder.path(), &[&asked[..], options].concat(), 2).stderr);
        assert!(said.contains(found) && said.contains(remedy), "{found}: {said}");
        assert!(
            said.contains("found") && said.contains("expected") && said.contains("remedy"),
            "{said}"
        );
        assert!(!folder.path().join("sites").exists());
    }
}

#[test]
fn steep_ground_is_left_out_when_the_site_says_so_and_json_says_what_words_say() {
    let folder = scratch();
    small_site(folder.path(), "[seed]\nsteepest_deg = 25\napart_m = 7.3\ntrees = 8\n");
    small::replace(folder.path(), "site.toml", "Small Fold", "Small <Fold> & Co");
    let output = expect(folder.path(), &["seed", "sites", "site.toml", "-o", "sites", "--json"], 1);
    let said: Value = serde_json::from_slice(&output.stdout).unwrap();
    let told = record(&folder.path().join("sites"));
    assert!(told["too_steep"].as_u64().unwrap() > 0);
    assert_eq!(told["trees"].as_array().unwrap().len(), 8);
    for tree in told["trees"].as_array().unwrap() {
        assert!(tree["slope_deg"].as_f64().unwrap() <= 25.0);
    }
    assert!(told["standard_error_holds_for"].as_str().unwrap().contains("no steeper than 25°"));
    let page = folder.path().join("sites/field_sheet.html");
    let page = std::fs::read_to_string(page).unwrap();
    assert!(page.contains("Small &lt;Fold&gt; &amp; Co") && !page.contains("<Fold>"));
    assert!(page.contains("within 3.65 m"), "half the distance between trees");
    let files: BTreeSet<&str> = said["files"]
        .as_array()
        .unwrap()
        .iter()
        .map(|file| file["file"].as_str().unwrap())
        .collect();
    assert_eq!(files, BTreeSet::from(FILES));
    for (key, value) in told.as_object().unwrap() {
        assert_eq!(&said[key], value, "{key}");
    }
}
