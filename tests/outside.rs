//! The written files against libraries that had no part in making them: GDAL's command-line tools,
//! GEOS by way of shapely, HiGHS by way of scipy, scikit-fuzzy. `cargo xtask test` installs and runs them.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that stops has failed"
)]

mod support;

use std::path::Path;
use std::process::Command;

use gdal::Dataset;
use support::{expect, repository, sample_in, scratch, small, text};

/// Runs a tool and returns what it printed.
fn tool(command: &mut Command) -> String {
    let output = command.output().unwrap_or_else(|error| panic!("{command:?}: {error}"));
    assert!(
        output.status.success(),
        "{command:?}\n{}{}",
        text(&output.stdout),
        text(&output.stderr)
    );
    text(&output.stdout)
}

/// The Python of the checkers.
fn python() -> Command {
    let python = std::env::var("HILLWEAVE_PYTHON")
        .expect("HILLWEAVE_PYTHON names the checkers' Python; `cargo xtask test` sets it");
    Command::new(python)
}

/// Band 1 as numbers, holes as NaN.
fn cells(path: &Path) -> (usize, Vec<f64>) {
    let file = Dataset::open(path).unwrap();
    let band = file.rasterband(1).unwrap();
    let nodata = band.no_data_value();
    let (cols, rows) = file.raster_size();
    let read = band.read_as::<f64>((0, 0), (cols, rows), (cols, rows), None).unwrap();
    let known = |value: &f64| if Some(*value) == nodata { f64::NAN } else { *value };
    (cols, read.data().iter().map(known).collect())
}

/// The real hills in metres: EPSG:32616, 30 m cells.
fn real_hills(folder: &Path) {
    let data = repository().join("tests/data/jacksboro_fault_3s.tif");
    let options = ["-q", "-t_srs", "EPSG:32616", "-tr", "30", "30", "-r", "bilinear"];
    // Whole metres: the tool adds in single precision, where only whole numbers stay exact.
    let kind = ["-ot", "Int16", "-dstnodata", "-9999"];
    tool(Command::new("gdalwarp").args(options).args(kind).arg(data).arg(folder.join("dem.tif")));
}

/// Source: GDAL's `gdaldem slope` and `gdaldem aspect` (Horn 1981, Zevenbergen & Thorne 1987) on
/// open elevation data.
#[test]
#[ignore = "needs gdal-bin: cargo xtask test installs it"]
fn slope_and_aspect_agree_with_gdal_on_real_land() {
    let folder = scratch();
    real_hills(folder.path());
    for (ours, theirs) in [("horn", "Horn"), ("zevenbergen-thorne", "ZevenbergenThorne")] {
        let out = format!("ground-{ours}");
        let arguments = ["ground", "--elevation", "dem.tif", "-o", &out, "--method", ours];
        expect(folder.path(), &arguments, 0);
        for layer in ["slope", "aspect"] {
            let reference = folder.path().join(format!("{layer}-{ours}.tif"));
            tool(
                Command::new("gdaldem")
                    .arg(layer)
                    .arg(folder.path().join("dem.tif"))
                    .arg(&reference)
                    .args(["-q", "-alg", theirs]),
            );
            let mine = folder.path().join(&out).join(format!("{layer}_deg.tif"));
            assert_same(&cells(&mine).1, &cells(&reference).1, layer == "aspect");
        }
    }
}

/// Within 1e-3 degree on every cell, and holes in the same places.
fn assert_same(mine: &[f64], reference: &[f64], circular: bool) {
    assert_eq!(mine.len(), reference.len());
    let mut compared = 0;
    for (at, (a, b)) in mine.iter().zip(reference).enumerate() {
        assert_eq!(a.is_nan(), b.is_nan(), "cell {at}: {a} and {b}");
        let apart = (a - b).abs();
        let apart = if circular { apart.min(360.0 - apart) } else { apart };
        assert!(a.is_nan() || apart <= 1e-3, "cell {at}: {a}° and {b}°");
        compared += usize::from(!a.is_nan());
    }
    assert!(compared > 100_000, "only {compared} cells were compared");
}

/// Source: GDAL's `gdaldem hillshade` (Horn 1981), whose whole numbers are 1 + 254 times the light.
#[test]
#[ignore = "needs gdal-bin: cargo xtask test installs it"]
fn light_and_shade_agree_with_gdal_on_real_land() {
    let folder = scratch();
    real_hills(folder.path());
    let [dem, reference] = ["dem.tif", "shade.tif"].map(|name| folder.path().join(name));
    let options = ["-q", "-alg", "Horn", "-az", "315", "-alt", "45"];
    tool(Command::new("gdaldem").arg("hillshade").arg(&dem).arg(&reference).args(options));
    let (cols, heights) = cells(&dem);
    let heights: Vec<f32> = heights.into_iter().map(|height| height as f32).collect();
    let grid = terrain::Grid::new(cols, heights.len() / cols, 0.0, 0.0, 30.0, 30.0).unwrap();
    let elevation = terrain::Raster::new(grid, heights).unwrap();
    let ground = terrain::slope_aspect(&elevation, terrain::SlopeMethod::Horn);
    let mine = terrain::hillshade(&ground, 315.0, 45.0);
    let mut compared = 0;
    for (at, (mine, theirs)) in mine.cells().iter().zip(cells(&reference).1).enumerate() {
        assert_eq!(mine.is_nan(), theirs.is_nan(), "cell {at}");
        if !mine.is_nan() {
            let mine = 1.0 + 254.0 * f64::from(*mine);
            assert!((mine - theirs).abs() <= 0.51, "cell {at}: {mine} and {theirs}");
            compared += 1;
        }
    }
    assert!(compared > 100_000, "only {compared} cells were compared");
}

/// Source: GEOS coverage validity, areas and counts by shapely and pyogrio; RFC 7946.
#[test]
#[ignore = "needs the Python checkers: cargo xtask test installs them"]
fn the_sample_plan_is_a_valid_coverage_whose_areas_and_counts_recompute() {
    let folder = scratch();
    sample_in(folder.path());
    expect(folder.path(), &["plan", "site/site.toml", "-o", "plan"], 0);
    let plan = folder.path().join("plan");
    tool(
        python()
            .arg(repository().join("tests/outside/coverage.py"))
            .arg(plan.join("plan.gpkg"))
            .arg("--boundary")
            .arg(folder.path().join("site/property.gpkg"))
            .args(["--layer", "boundary"])
            .arg("--plan")
            .arg(plan.join("plan.json"))
            .arg("--schedule")
            .arg(plan.join("schedule.csv"))
            .arg("--geojson")
            .arg(plan.join("zones.geojson")),
    );
}

/// Source: GEOS by way of shapely, for distances and for the place nearest to the centroid.
#[test]
#[ignore = "needs the Python checkers: cargo xtask test installs them"]
fn drop_points_of_the_sample_are_where_geos_finds_them() {
    let folder = scratch();
    sample_in(folder.path());
    expect(folder.path(), &["plan", "site/site.toml", "-o", "plan"], 0);
    tool(
        python()
            .arg(repository().join("tests/outside/cards.py"))
            .arg(folder.path().join("plan/plan.gpkg"))
            .arg("--cards")
            .arg(folder.path().join("plan/cards.csv"))
            .arg("--tracks")
            .arg(folder.path().join("site/property.gpkg"))
            .args(["--layer", "tracks"]),
    );
}

/// Source: openpyxl, for types of cells, formulas and the figures kept with them: with a crew whose size is not known,
/// and with one over two winters.
#[test]
#[ignore = "needs the Python checkers: cargo xtask test installs them"]
fn the_workbook_is_what_openpyxl_reads_and_adds_up() {
    for crew in ["", "[labour]\npeople = 6\n"] {
        let folder = scratch();
        sample_in(folder.path());
        let site = std::fs::read_to_string(folder.path().join("site/site.toml")).unwrap();
        std::fs::write(folder.path().join("site/site.toml"), format!("{site}\n{crew}")).unwrap();
        if !crew.is_empty() {
            small::replace(
                &folder.path().join("site"),
                "site.toml",
                "[mosaic]\n",
                "[mosaic]\nseasons = 2\nfirst_season = 2027\n",
            );
        }
        expect(folder.path(), &["plan", "site/site.toml", "-o", "plan"], 0);
        tool(
            python()
                .arg(repository().join("tests/outside/workbook.py"))
                .arg(folder.path().join("plan/schedule.xlsx"))
                .arg("--plan")
                .arg(folder.path().join("plan/plan.json")),
        );
    }
}

/// Source: pyshp, pyogrio, fastkml, gpxpy and geojson-validator, none of which wrote the files; areas on the ellipsoid by
/// PROJ: the sample with its counting plots, and a small site with a place for each plant.
#[test]
#[ignore = "needs the Python checkers: cargo xtask test installs them"]
fn exported_files_are_what_other_readers_find_in_them() {
    let folder = scratch();
    sample_in(folder.path());
    let site = folder.path().join("site/site.toml");
    let text = std::fs::read_to_string(&site).unwrap();
    std::fs::write(&site, format!("{text}\n[plots]\nplan_area_ha = 0.01\n")).unwrap();
    expect(folder.path(), &["plan", "site/site.toml", "-o", "plan"], 0);
    expect(folder.path(), &["export", "plan", "-o", "export"], 1);
    let small_site = folder.path().join("small");
    std::fs::create_dir(&small_site).unwrap();
    small::write(&small_site);
    small::replace(&small_site, "site.toml", "[stock]\n", "[layout]\nplants = \"rows\"\n[stock]\n");
    expect(folder.path(), &["plan", "small/site.toml", "-o", "small-plan"], 0);
    expect(folder.path(), &["export", "small-plan", "-o", "small-export"], 0);
    for (plan, export) in [("plan", "export"), ("small-plan", "small-export")] {
        tool(
            python()
                .arg(repository().join("tests/outside/exchange.py"))
                .arg(folder.path().join(export))
                .arg("--plan")
                .arg(folder.path().join(plan).join("plan.gpkg")),
        );
    }
}

/// Source: GEOS by way of shapely, for intersections of all parts of two plans: with zones alike, and with zones redrawn.
#[test]
#[ignore = "needs the Python checkers: cargo xtask test installs them"]
fn ground_that_changes_line_is_what_geos_cuts_out() {
    let folder = scratch();
    let site = sample_in(folder.path());
    expect(folder.path(), &["plan", "site", "-o", "usual"], 0);
    small::replace(&site, "stock.toml", "supply = 260000", "supply = 120000");
    expect(folder.path(), &["plan", "site", "-o", "less"], 0);
    small::replace(&site, "site.toml", "min_area_ha = 0.5", "min_area_ha = 0.8");
    expect(folder.path(), &["plan", "site", "-o", "redrawn"], 0);
    for (a, b) in [("usual", "less"), ("usual", "redrawn"), ("redrawn", "usual")] {
        let out = format!("{a}-{b}");
        expect(folder.path(), &["compare", a, b, "-o", &out], 0);
        let mut checker = python();
        checker.arg(repository().join("tests/outside/compare.py")).arg(folder.path().join(&out));
        checker.arg("--a").arg(folder.path().join(a).join("plan.gpkg"));
        checker.arg("--b").arg(folder.path().join(b).join("plan.gpkg"));
        tool(&mut checker);
    }
}

/// Source: exact cell coverage by shapely's intersections and rasterio's reading, another route
/// than ours to the ground area and mean slope of each zone.
#[test]
#[ignore = "needs the Python checkers: cargo xtask test installs them"]
fn zone_statistics_agree_with_an_independent_extraction() {
    let folder = scratch();
    sample_in(folder.path());
    expect(folder.path(), &["plan", "site/site.toml", "-o", "plan"], 0);
    expect(folder.path(), &["ground", "site/site.toml", "-o", "ground"], 0);
    tool(
        python()
            .arg(repository().join("tests/outside/zonal.py"))
            .arg(folder.path().join("plan/plan.gpkg"))
            .arg("--slope")
            .arg(folder.path().join("ground/slope_deg.tif")),
    );
}

/// Source: exactextract (Baston, exact coverage of each cell) for means and extremes to 1e-6, GEOS for
/// widths.
#[test]
#[ignore = "needs the Python checkers: cargo xtask test installs them"]
fn zones_of_the_sample_are_as_exactextract_and_geos_measure_them() {
    let folder = scratch();
    sample_in(folder.path());
    check_zones(
        folder.path(),
        "site/site.toml",
        "slope_deg,wetness_index,sun_ratio",
        &[SUN, WETNESS],
    );
}

/// Source: scikit-fuzzy (trapezoids) and exactextract (exact coverage of each cell), to 1e-6: fit,
/// suitability orders, and what each factor limits and costs, of every line in every zone.
#[test]
#[ignore = "needs the Python checkers: cargo xtask test installs them"]
fn fits_of_the_sample_are_as_scikit_fuzzy_and_exactextract_make_them() {
    let folder = scratch();
    let file = |name: &str| folder.path().join(name).display().to_string();
    sample_in(folder.path());
    expect(folder.path(), &["plan", "site/site.toml", "-o", "plan"], 0);
    expect(folder.path(), &["stock", "site", "-o", "stock.csv"], 0);
    let factors = ["slope_deg", "wetness_index", "sun_ratio", "coldest_month_min_c"];
    let layers = factors.join(",");
    expect(folder.path(), &["ground", "site/site.toml", "-o", "ground", "--layers", &layers], 0);
    let mut checker = python();
    checker.arg(repository().join("tests/outside/fit.py")).arg(file("plan"));
    checker.args(["--stock", &file("stock.csv"), "--cover", &file("site/cover.tif")]);
    checker.args(["--layer", &format!("elevation_m={}", file("site/elevation_m.tif"))]);
    for factor in factors {
        checker.args(["--layer", &format!("{factor}={}", file(&format!("ground/{factor}.tif")))]);
    }
    // As site.toml says: what each cover leaves open, and what each soil stands for.
    checker.args(["--open", "1=1,2=1,3=0.6,6=1,7=1", "--floor", "0.2"]);
    checker.args(["--soil", &format!("{}:soil:drainage", file("site/property.gpkg"))]);
    checker.args(["--drainage", "VP=very_poor,P=poor,I=imperfect,MW=moderately_well,W=well"]);
    tool(&mut checker);
}

/// Sun and wetness of each zone, where a plan has made them.
const SUN: (&str, &str) = ("--sun", "ground/sun_ratio.tif");
const WETNESS: (&str, &str) = ("--wetness", "ground/wetness_index.tif");

/// Zones and layers of a site in `folder`, and what `zones.py` finds of them.
fn check_zones(folder: &Path, site: &str, layers: &str, more: &[(&str, &str)]) {
    expect(folder, &["plan", site, "-o", "plan", "--only", "zones"], 0);
    expect(folder, &["ground", site, "-o", "ground", "--layers", layers], 0);
    let options = [("--plan", "plan/plan.json"), ("--slope", "ground/slope_deg.tif")];
    let mut checker = python();
    checker.arg(repository().join("tests/outside/zones.py")).arg(folder.join("plan/plan.gpkg"));
    for (option, file) in options.iter().chain(more) {
        checker.arg(option).arg(folder.join(file));
    }
    tool(&mut checker);
}

/// Source: scipy.ndimage.label for the pieces of one slope group, exactextract and GEOS as above, on
/// open elevation data.
#[test]
#[ignore = "needs gdal-bin and the Python checkers: cargo xtask test installs them"]
fn zones_of_real_land_are_made_of_the_pieces_that_scipy_finds() {
    let folder = scratch();
    real_hills(folder.path());
    let ring = "[[[738200,4056100],[743900,4055200],[745100,4050900],[741400,4049000],[737600,4051800],[738200,4056100]]]";
    let boundary = small::feature("Polygon", ring).replace("EPSG::2193", "EPSG::32616");
    small::text(folder.path(), "boundary.geojson", &boundary);
    small::text(
        folder.path(),
        "site.toml",
        "[site]\nname = \"Ridge\"\nhalo_m = 200\n\
         [layers.boundary]\nfile = \"boundary.geojson\"\n\
         [layers.elevation]\nfile = \"dem.tif\"\n\
         [zones]\nfactors = [\"slope_group\"]\nmin_area_ha = 5\nslope_scale_m = 0\n\
         [stock]\nfile = \"stock.toml\"\n",
    );
    small::text(folder.path(), "stock.toml", small::STOCK);
    let more = [
        ("--elevation", "dem.tif"),
        ("--groups", "ground/slope_group.tif"),
        ("--boundary", "boundary.geojson"),
    ];
    check_zones(folder.path(), "site.toml", "slope_deg,slope_group", &more);
    let told = std::fs::read_to_string(folder.path().join("plan/plan.json")).unwrap();
    let told: serde_json::Value = serde_json::from_str(&told).unwrap();
    assert!(told["merging"]["regions"].as_u64().unwrap() > 500, "{}", told["merging"]);
    let first = &told["zones"][0];
    assert!(first["sun_ratio_mean"].is_null() && first["wetness_mean"].is_null(), "not asked for");
}

/// Source: pvlib (Reda & Andreas 2004, Solar position algorithm; Ineichen 2008, simplified Solis):
/// the rows that the sun of crate `terrain` is held to are still what pvlib says.
#[test]
#[ignore = "needs the Python checkers: cargo xtask test installs them"]
fn the_kept_suns_are_those_of_pvlib() {
    tool(
        python()
            .arg(repository().join("tests/outside/sun.py"))
            .arg(repository().join("crates/terrain/tests/data/sun/pvlib.csv")),
    );
}

/// Source: reconstruction by erosion of scikit-image (Vincent 1993; Soille & Gratin 1994) on open
/// elevation data, whole and in windows.
#[test]
#[ignore = "needs gdal-bin and the Python checkers: cargo xtask test installs them"]
fn hollows_are_filled_as_scikit_image_fills_them() {
    let folder = scratch();
    real_hills(folder.path());
    for (out, cells) in [("whole", "100000000"), ("windows", "1000")] {
        let arguments = ["ground", "--elevation", "dem.tif", "-o", out, "--layers", "filled_m"];
        expect(folder.path(), &[&arguments[..], &["--whole-cells", cells]].concat(), 0);
        tool(
            python()
                .arg(repository().join("tests/outside/filled.py"))
                .arg(folder.path().join("dem.tif"))
                .arg(folder.path().join(out).join("filled_m.tif")),
        );
    }
}

/// Source: directions of pysheds (O'Callaghan & Mark 1984; Tarboton 1997) on open elevation data,
/// added up by the checker.
#[test]
#[ignore = "needs gdal-bin and the Python checkers: cargo xtask test installs them"]
fn flow_gathers_where_pysheds_sends_it() {
    let folder = scratch();
    let data = repository().join("tests/data/jacksboro_fault_3s.tif");
    let options = ["-q", "-t_srs", "EPSG:32616", "-tr", "60", "60", "-r", "cubicspline"];
    let dem = folder.path().join("dem.tif");
    let kind = ["-ot", "Float32", "-dstnodata", "-9999"];
    tool(Command::new("gdalwarp").args(options).args(kind).arg(data).arg(&dem));
    for flow in ["steepest", "d-infinity"] {
        let arguments = ["ground", "--elevation", "dem.tif", "-o", flow, "--flow", flow];
        let layers = ["--layers", "filled_m,flow_area_m2"];
        expect(folder.path(), &[&arguments[..], &layers].concat(), 0);
    }
    tool(
        python()
            .arg(repository().join("tests/outside/flow.py"))
            .arg(folder.path().join("steepest/filled_m.tif"))
            .arg(folder.path().join("steepest/flow_area_m2.tif"))
            .arg(folder.path().join("d-infinity/flow_area_m2.tif"))
            // Of 280,704 cells 216,777 have one answer by steepest descent, 152,431 by facets.
            .args(["--least", "150000"]),
    );
}
