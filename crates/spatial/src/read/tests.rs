//! The whole room: a small site read at once, and what is wrong with it said at once.

use geo::Area;

use super::fixture::{Folder, Tif, feature, rectangle};
use super::{Ready, read};
use crate::problem::Problem;
use crate::site::{
    CategorySource, ClimateSource, CodeRow, CoverClass, DensityRules, DrainageClass, EcoSourcing,
    ElevationSource, GroundRules, KeepClearRule, Layers, LayoutRules, MosaicRules, Pattern,
    PlotRules, Site, SurvivalRules, Treatment, VectorSource, ZoneRules,
};
use crate::units::{AreaBasis, Metres, StemsPerHectare};

const WEST: f64 = 1_600_000.0;
const NORTH: f64 = 5_400_000.0;

fn hill() -> Tif {
    Tif::new(60, 60, 10.0).surface(|x, y| 300.0 + 0.4 * (x - WEST) + 0.2 * (y - NORTH))
}

fn cover() -> Tif {
    Tif::new(60, 60, 10.0).fill(|col, _| if col < 30 { 1.0 } else { 2.0 })
}

fn class(code: &str, treatment: Treatment) -> CodeRow<CoverClass> {
    crate::offers::fixture::cover_row(code, treatment, 1.0)
}

fn boundary_text() -> String {
    let shape = rectangle(WEST + 150.0, NORTH - 450.0, WEST + 450.0, NORTH - 150.0);
    feature("Polygon", &shape, "")
}

fn vector(file: std::path::PathBuf) -> VectorSource {
    VectorSource { file, layer: None, filter: None }
}

/// A sound site of 9 ha with every kind of layer.
fn site(folder: &Folder) -> Site {
    let nztm = Some("EPSG:2193");
    let stream = feature(
        "LineString",
        &format!("[[{},{}],[{},{}]]", WEST, NORTH - 300.0, WEST + 600.0, NORTH - 300.0),
        r#""width_m":4.0"#,
    );
    let soil = rectangle(WEST, NORTH - 600.0, WEST + 600.0, NORTH);
    let soil = feature("Polygon", &soil, r#""drain":"P""#);
    let months: Vec<_> = (1..=12).map(|month| format!("{month},10.0,5.0")).collect();
    let climate = format!("month,temp_mean_c,temp_min_c\n{}\n", months.join("\n"));
    Site {
        file: folder.text("site.toml", "# a site\n"),
        name: "Test".to_owned(),
        crs: None,
        cell: None,
        halo: Some(Metres(50.0)),
        layers: Layers {
            boundary: vector(folder.geojson("boundary.geojson", nztm, &[&boundary_text()])),
            elevation: ElevationSource {
                file: hill().write(folder, "dem.tif"),
                metres_per_unit: Some(1.0),
                nodata: None,
            },
            cover: Some(CategorySource {
                file: cover().write(folder, "cover.tif"),
                layer: None,
                field: None,
                table: vec![class("1", Treatment::Plant), class("2", Treatment::Keep)],
            }),
            drainage: Some(CategorySource {
                file: folder.geojson("soil.geojson", nztm, &[&soil]),
                layer: None,
                field: Some("drain".to_owned()),
                table: vec![CodeRow { code: "P".to_owned(), class: DrainageClass::Poor }],
            }),
            erosion_terrain: None,
            slope: None,
            aspect: None,
            wetness: None,
            streams: None,
            breaks: None,
            drawn_zones: None,
            tracks: None,
            seed_zones: None,
            climate: Some(ClimateSource {
                file: folder.text("climate.csv", &climate),
                station_elevation: Metres(100.0),
                lapse_c_per_100m: 0.6,
            }),
        },
        keep_clear: vec![KeepClearRule {
            name: "stream".to_owned(),
            source: vector(folder.geojson("streams.geojson", nztm, &[&stream])),
            distance: Metres(8.0),
            width_field: Some("width_m".to_owned()),
            reason: "water".to_owned(),
            authority: "test".to_owned(),
            date: "2026".to_owned(),
            ask_within: Some(Metres(30.0)),
            caution: None,
        }],
        // No farther than the halo: nothing to warn of.
        ground: GroundRules {
            horizon: Metres(50.0),
            exposure: Metres(50.0),
            ..GroundRules::usual()
        },
        zones: ZoneRules {
            factors: Vec::new(),
            min_area_m2: 1_000.0,
            sun_months: Some(vec![6]),
            ..ZoneRules::usual()
        },
        density: DensityRules {
            basis: AreaBasis::Ground,
            pattern: Pattern::Square,
            usual: StemsPerHectare(1_000.0),
            purpose: crate::site::Purpose::Honey,
            rules: Vec::new(),
        },
        survival: SurvivalRules { gentle: 0.9, steep: 0.8, steep_from_deg: 25.0 },
        mosaic: MosaicRules::usual(),
        layout: LayoutRules::usual(),
        plots: PlotRules::usual(),
        order: crate::site::OrderingRules::usual(),
        labour: crate::site::LabourRules::usual(),
        seed: crate::site::SeedRules::usual(),
        calendar: crate::site::CalendarRules::default(),
        money: crate::site::MoneyRules::usual(),
        season: crate::site::SeasonRules::usual(),
        cover: crate::site::CoverRules::usual(),
        chances: crate::site::ChanceRules::usual(),
        eligibility: crate::site::EligibilityRules::default(),
        eco_sourcing: EcoSourcing::default(),
        stock: folder.path("stock.toml"),
        defaults: Vec::new(),
    }
}

fn changed(change: impl FnOnce(&mut Site, &Folder)) -> Result<Ready, Vec<Problem>> {
    let folder = Folder::new();
    let mut site = site(&folder);
    change(&mut site, &folder);
    read(&site)
}

fn refused(change: impl FnOnce(&mut Site, &Folder)) -> Problem {
    let problems = changed(change).err().unwrap();
    assert!(problems[0].is_error());
    problems[0].clone()
}

#[test]
fn a_sound_site_is_read_whole() {
    let ready = changed(|_, _| {}).unwrap();
    assert_eq!(ready.warnings, []);
    // The property of 300 m and 50 m around it, on the raster's own cells.
    assert_eq!((ready.grid.cols(), ready.grid.rows()), (40, 40));
    assert_eq!((ready.grid.west(), ready.grid.north()), (WEST + 100.0, NORTH - 100.0));
    assert_eq!(ready.crs.describe(), "EPSG:2193");
    assert!((ready.latitude_deg - -41.554).abs() < 0.01, "{}", ready.latitude_deg);
    assert_eq!(ready.boundary.unsigned_area(), 90_000.0);
    let (x, y) = ready.grid.centre(7, 5);
    let height = 300.0 + 0.4 * (x - WEST) + 0.2 * (y - NORTH);
    assert!((f64::from(ready.elevation.at(7, 5)) - height).abs() < 1e-3);
    let cover = ready.cover.unwrap();
    assert_eq!((cover.at(0, 19), cover.at(0, 20)), (1, 2));
    assert!(ready.drainage.unwrap().cells().iter().all(|class| *class == 1));
    assert_eq!(ready.climate.unwrap().temp_min_c, [5.0; 12]);
    // 8 m and half of 4 m on each side, over the 400 m of the reach.
    let clear = ready.keep_clear[0].geometry.unsigned_area();
    assert!((clear - 400.0 * 20.0).abs() < 0.1, "{clear}");
    let ask = ready.keep_clear[0].ask.as_ref().unwrap().unsigned_area();
    assert!((ask - 400.0 * 64.0).abs() < 0.1, "{ask}");
    assert_eq!(ready.defaults[0].key, "site.crs");
}

#[test]
fn facts_and_checksums_cover_every_layer() {
    let ready = changed(|_, _| {}).unwrap();
    let roles: Vec<_> = ready.facts.iter().map(|fact| fact.role.as_str()).collect();
    let all = ["climate", "boundary", "elevation", "cover", "drainage", "keep_clear stream"];
    assert_eq!(roles, all);
    let inputs: Vec<_> = ready.inputs.iter().map(|one| one.file.to_str().unwrap()).collect();
    let files = [
        "site.toml",
        "boundary.geojson",
        "dem.tif",
        "cover.tif",
        "soil.geojson",
        "climate.csv",
        "streams.geojson",
    ];
    assert_eq!(inputs, files);
    assert!(ready.inputs.iter().all(|one| one.sha256.len() == 64));
    let text = ready.facts[2].to_string();
    assert!(text.contains("60 × 60 of 10 × 10 metre"), "{text}");
    assert!(text.contains("covers      100 % of the property"), "{text}");
}

#[test]
fn the_same_site_reads_the_same_twice() {
    let folder = Folder::new();
    let site = site(&folder);
    let (one, two) = (read(&site).unwrap(), read(&site).unwrap());
    assert_eq!(one.elevation.cells(), two.elevation.cells());
    assert_eq!(one.keep_clear, two.keep_clear);
    assert_eq!(format!("{:?}", one.facts), format!("{:?}", two.facts));
}

#[test]
fn another_cell_and_another_system_are_used_when_asked() {
    let ready = changed(|site, _| {
        site.cell = Some(Metres(4.0));
        site.crs = Some("EPSG:32759".to_owned());
    })
    .unwrap();
    assert_eq!(ready.grid.cell_width(), 4.0);
    assert_eq!(ready.grid.west() % 4.0, 0.0);
    assert_eq!(ready.crs.describe(), "EPSG:32759");
    assert!((ready.boundary.unsigned_area() / 90_000.0 - 1.0).abs() < 2e-3);
    assert!(ready.elevation.cells().iter().all(|cell| !cell.is_nan()));
}

#[test]
fn bad_elevations_end_in_one_message() {
    let file = |tif: Tif| {
        move |site: &mut Site, folder: &Folder| {
            site.layers.elevation.file = tif.write(folder, "other.tif");
        }
    };
    let missing = refused(|site, folder| site.layers.elevation.file = folder.path("none.tif"));
    assert!(missing.found.contains("no such file"), "{missing}");
    assert!(refused(file(hill().no_crs())).found.contains("no coordinate system"));
    let step = 0.0001;
    let degrees = hill().transform([173.0, step, 0.0, -41.55, 0.0, -step]).crs("EPSG:4326");
    let degrees = refused(file(degrees));
    assert!(degrees.remedy.contains("site.crs"), "{degrees}");
    let elsewhere = hill().transform([WEST + 50_000.0, 10.0, 0.0, NORTH, 0.0, -10.0]);
    let elsewhere = refused(file(elsewhere));
    assert!(elsewhere.found.contains("1650000") && elsewhere.expected.contains("1600100"));
    let empty = hill().fill(|_, _| -1.0).nodata(-1.0);
    assert!(refused(file(empty)).found.contains("holes only"));
    assert!(refused(file(Tif::new(1, 1, 600.0))).found.contains("1 × 1"));
    let spike = hill().fill(|col, row| if (col, row) == (20, 20) { -9999.0 } else { 300.0 });
    let spike = refused(file(spike));
    assert!(spike.remedy.contains("layers.elevation.nodata = -9999"), "{spike}");
    let half = Tif::new(20, 60, 10.0).fill(|_, _| 300.0);
    let half = refused(file(half));
    assert!(half.found.contains("% of the property"), "{half}");
}

#[test]
fn ground_without_elevation_is_warned_of() {
    let holes = hill().nodata(-1.0).fill(|col, row| {
        if (20..25).contains(&col) && (20..26).contains(&row) { -1.0 } else { 300.0 + col as f64 }
    });
    let ready = changed(|site, folder| {
        site.layers.elevation.file = holes.write(folder, "holes.tif");
    })
    .unwrap();
    assert!(ready.warnings[0].found.contains("3.3 %"), "{}", ready.warnings[0]);
    assert_eq!(ready.elevation.get(10, 10), None);
}

#[test]
fn web_mercator_is_refused_for_its_areas() {
    let problem = refused(|site, _| {
        site.crs = Some("EPSG:3857".to_owned());
        site.cell = Some(Metres(10.0));
    });
    assert!(problem.found.contains("1.78"), "{problem}");
}

#[test]
fn every_layer_is_looked_at_even_after_the_first_has_failed() {
    let problems = changed(|site, folder| {
        site.layers.elevation.file = folder.path("none.tif");
        site.layers.boundary.file = folder.path("none.geojson");
        site.layers.climate.as_mut().unwrap().file = folder.path("none.csv");
        site.layers.cover.as_mut().unwrap().file = folder.path("none.cover.tif");
        site.layers.drainage.as_mut().unwrap().field = Some("drian".to_owned());
        site.keep_clear[0].width_field = Some("widht".to_owned());
    })
    .err()
    .unwrap();
    assert_eq!(problems.len(), 6, "{problems:#?}");
}

#[test]
fn two_layers_at_fault_are_told_together() {
    let problems = changed(|site, _| {
        site.layers.cover.as_mut().unwrap().table.pop();
        site.keep_clear[0].source.filter = Some("nonsense = 1".to_owned());
    })
    .err()
    .unwrap();
    assert_eq!(problems.len(), 2, "{problems:#?}");
    assert!(problems[0].found.contains("code `2`"), "{}", problems[0]);
}

#[test]
fn a_boundary_in_degrees_and_a_dem_on_an_old_datum_meet() {
    let ready = changed(|site, folder| {
        let shape = rectangle(173.002, -41.555, 173.005, -41.553);
        let file = folder.geojson("b.geojson", None, &[&feature("Polygon", &shape, "")]);
        site.layers.boundary = vector(file);
    })
    .unwrap();
    // 0.003° by 0.002° at 41.554° S on the WGS 84 ellipsoid.
    let area = ready.boundary.unsigned_area();
    assert!((area - 55_590.0).abs() < 100.0, "{area}");
}

#[test]
fn given_slope_is_used_and_said_so() {
    let ready = changed(|site, folder| {
        let slope = Tif::new(60, 60, 10.0).fill(|_, _| 24.0);
        site.layers.slope = Some(slope.write(folder, "slope.tif"));
    })
    .unwrap();
    assert!(ready.slope_deg.unwrap().cells().iter().all(|cell| *cell == 24.0));
    assert!(ready.facts.iter().any(|fact| fact.used.contains("instead of the slope")));
}

#[test]
fn sun_is_counted_in_winter_and_a_given_summer_is_questioned() {
    let ready = changed(|site, _| site.zones.sun_months = None).unwrap();
    let taken = ready.defaults.iter().find(|one| one.key == "zones.sun_months").unwrap();
    assert_eq!(taken.value, "[5, 6, 7, 8]");
    let ready = changed(|site, _| site.zones.sun_months = Some(vec![12, 1])).unwrap();
    assert!(!ready.defaults.iter().any(|one| one.key == "zones.sun_months"));
    let [warning] = ready.warnings.as_slice() else { panic!("{:?}", ready.warnings) };
    assert_eq!(warning.item, "zones.sun_months");
    assert!(warning.found.contains("warm half") && warning.remedy.contains("[5, 6, 7, 8]"));
}

/// The raster ends 150 m beyond the property on every side.
#[test]
fn ground_is_read_as_far_as_the_layers_look_or_the_warning_says_how_far() {
    let looking = |halo: Option<f64>, far: f64| {
        let ready = changed(|site, _| {
            site.halo = halo.map(Metres);
            site.ground.horizon = Metres(far);
        });
        ready.unwrap()
    };
    let ready = looking(None, 90.0);
    assert_eq!((ready.grid.cols(), ready.warnings.len()), (30 + 2 * 15, 0), "at least 150 m");
    let taken = ready.defaults.iter().find(|one| one.key == "site.halo_m").unwrap();
    assert_eq!(taken.value, "150");

    let ready = looking(None, 900.0);
    assert_eq!(ready.grid.cols(), 60, "no farther than the raster");
    let [warning] = ready.warnings.as_slice() else { panic!("{:?}", ready.warnings) };
    assert!(warning.found.contains("150 m beyond"), "{warning}");
    assert!(warning.expected.contains("900 m"), "{warning}");
    assert!(warning.remedy.contains("reaches farther"), "{warning}");

    let ready = looking(Some(40.0), 90.0);
    assert_eq!(ready.grid.cols(), 30 + 2 * 4, "as the site says");
    let [warning] = ready.warnings.as_slice() else { panic!("{:?}", ready.warnings) };
    assert!(warning.found.contains("40 m beyond"), "{warning}");
    assert!(warning.remedy.contains("site.halo_m"), "{warning}");
}
