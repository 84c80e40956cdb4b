//! The small site with a file of every kind that the program reads, and its plan.

use std::fmt::Write;
use std::path::{Path, PathBuf};

use gdal::DriverManager;
use gdal::spatial_ref::SpatialRef;
use gdal::vector::{
    Feature, Geometry, LayerAccess, LayerOptions, OGRFieldType, OGRwkbGeometryType,
};
use stock::{Library, StockForm};

use crate::support::{copy_folder, expect, repository, scratch, small, written};

/// What the site file says beside that of the small site. The prices are invented.
const MORE: &str = r#"[mosaic]
overrides = "overrides.toml"
planting_nzd = 0.6
first_season = 2027
[money]
fence_m = 120
income = "income.csv"
carbon = "carbon.csv"
carbon_price_nzd = [30, 50, 80]
[eligibility]
rules = ["scheme.toml"]
[season]
utc_offset_h = 12
station_elevation_m = 100
hive_slope_deg = 30
hive_apart_m = 40
[layers.tracks]
file = "tracks.geojson"
[layers.climate]
file = "climate.csv"
station_elevation_m = 40
"#;
/// An invented table of income: no figure of the trade.
const INCOME: &str = "what,year_from,year_to,low_nzd_per_ha,middle_nzd_per_ha,high_nzd_per_ha,note\n\
    hive rent,6,7,0,150,400,invented\nhive rent,8,20,100,450,900,invented\n";
/// An invented table of carbon.
const CARBON: &str = "age_years,tco2_per_ha,note\n5,5,invented\n10,30,invented\n20,120,invented\n";

/// The yard, planned into `plan`.
pub struct Yard {
    folder: tempfile::TempDir,
}

impl Yard {
    /// Builds it and plans it.
    pub fn new() -> Self {
        let yard = Self { folder: scratch() };
        write(yard.folder.path());
        expect(yard.folder.path(), &["plan", "site.toml", "-o", "plan", "--quiet"], 0);
        let plan = yard.path("plan");
        small::text(yard.folder.path(), "counts.csv", &counts(&plan));
        yard
    }

    /// Its folder.
    pub fn folder(&self) -> &Path {
        self.folder.path()
    }

    /// A file in it.
    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// What is in a file of it.
    pub fn bytes(&self, name: &str) -> Vec<u8> {
        std::fs::read(self.path(name)).unwrap()
    }

    /// A copy of it, to be spoilt.
    pub fn copy(&self) -> Self {
        let copy = Self { folder: scratch() };
        copy_folder(self.folder(), copy.folder());
        copy
    }
}

/// Every file but the plan and the counts.
fn write(folder: &Path) {
    small::write(folder);
    small::text(folder, "site.toml", &(small::SITE.to_owned() + MORE));
    let low = "supply = 1500\nprice_nzd = 0.85\n[stock.flowering]\nbegins = \"11-10\"\nends = \"12-15\"\n\
        elevation_m = 100\n";
    small::replace(folder, "stock.toml", "supply = 1500\n", low);
    small::replace(folder, "stock.toml", "\"seed_line\"\n", "\"seed_line\"\nprice_nzd = 1.35\n");
    let stock = std::fs::read_to_string(folder.join("stock.toml")).unwrap();
    small::text(folder, "stock.csv", &Library::parse(&stock).unwrap().write(StockForm::Csv));
    for (from, to) in [
        ("sample-layers/climate.csv", "climate.csv"),
        ("sample-layers/lab_sheet.csv", "lab_sheet.csv"),
        ("sample-layers/field_sheet.csv", "field_sheet.csv"),
        ("rules/grant_manuka_2018.toml", "scheme.toml"),
    ] {
        std::fs::copy(repository().join(from), folder.join(to)).unwrap();
    }
    let track = [(60.0, 40.0), (120.0, 60.0), (150.0, 150.0)];
    small::text(folder, "tracks.geojson", &small::feature("LineString", &small::points(&track)));
    small::text(folder, "income.csv", INCOME);
    small::text(folder, "carbon.csv", CARBON);
    small::text(folder, "hours.csv", &hours());
    let (east, north) = (small::WEST + 120.0, small::NORTH - 120.0);
    let choices = format!(
        "[[zone]]\nat = [{east}, {north}]\nforbid = [\"low\"]\nnote = \"the owner's wish\"\n\
         [[zone]]\nat = [{}, {north}]\ndensity_sph = 2000\ncounts_only = true\n",
        east - 60.0
    );
    small::text(folder, "overrides.toml", &choices);
    boundary(&folder.join("boundary.gpkg"), "GPKG");
    boundary(&folder.join("boundary.shp"), "ESRI Shapefile");
    lines(&folder.join("lines.shp"));
}

/// Ten days of a station's hours.
fn hours() -> String {
    let mut table = String::from("time,temp_c,wind_ms,rain_mm,radiation_w_m2\n");
    for day in 1..=10 {
        for hour in 0..24 {
            let is_day = (10..16).contains(&hour);
            let (temp_c, light) = if is_day { (18.5, 600) } else { (6.0, 0) };
            // Writing to a String cannot fail.
            let _ = writeln!(table, "2023-12-{day:02}T{hour:02}:00,{temp_c},2.5,0.0,{light}");
        }
    }
    table
}

/// Two plots in each of the first blocks.
fn counts(plan: &Path) -> String {
    let mut rows =
        "plot_id,zone_id,stock_id,counted,alive,radius_m,slope_deg,date,note\n".to_owned();
    for block in written::json(plan)["blocks"].as_array().unwrap().iter().take(4) {
        let [zone, stock] = ["zone_id", "stock_id"].map(|key| block[key].as_str().unwrap());
        for plot in 1..=2 {
            // Writing to a String cannot fail.
            let _ = writeln!(
                rows,
                "{zone}-{stock}-{plot},{zone},{stock},40,3{plot},5.64,25,2029-03-02,few hares"
            );
        }
    }
    rows
}

/// The boundary of the small site in a format of vectors.
fn boundary(path: &Path, driver: &str) {
    let ring = [(25.0, 22.0), (178.0, 31.0), (171.0, 177.0), (30.0, 169.0), (25.0, 22.0)];
    let shape = format!("POLYGON(({}))", corners(&ring));
    let owner = ("owner", OGRFieldType::OFTString);
    let owned = [(shape, "someone invented, mānuka")];
    layer(path, driver, OGRwkbGeometryType::wkbPolygon, owner, &owned);
}

/// Six streams with their widths.
fn lines(path: &Path) {
    let line = |at: usize| {
        let x = 30.0 + 20.0 * at as f64;
        (format!("LINESTRING({})", corners(&[(x, 10.0), (x + 5.0, 190.0)])), "1.25")
    };
    let lines: Vec<_> = (0..6).map(line).collect();
    let width = ("width_m", OGRFieldType::OFTReal);
    layer(path, "ESRI Shapefile", OGRwkbGeometryType::wkbLineString, width, &lines);
}

fn corners(offsets: &[(f64, f64)]) -> String {
    let corner = |(x, y): &(f64, f64)| format!("{} {}", small::WEST + x, small::NORTH - y);
    offsets.iter().map(corner).collect::<Vec<_>>().join(",")
}

/// A layer of shapes with one field.
fn layer(
    path: &Path,
    driver: &str,
    ty: OGRwkbGeometryType::Type,
    field: (&str, OGRFieldType::Type),
    shapes: &[(String, &str)],
) {
    let driver_of = DriverManager::get_driver_by_name(driver).unwrap();
    let mut file = driver_of.create_vector_only(path).unwrap();
    let crs = SpatialRef::from_definition("EPSG:2193").unwrap();
    let options: Option<&[&str]> = (driver == "ESRI Shapefile").then_some(&["ENCODING=UTF-8"]);
    let name = path.file_stem().unwrap().to_str().unwrap();
    let options = LayerOptions { name, srs: Some(&crs), ty, options };
    let layer = file.create_layer(options).unwrap();
    layer.create_defn_fields(&[field]).unwrap();
    for (shape, value) in shapes {
        let mut feature = Feature::new(layer.defn()).unwrap();
        feature.set_geometry(Geometry::from_wkt(shape).unwrap()).unwrap();
        match value.parse() {
            Ok(number) => feature.set_field_double(0, number).unwrap(),
            Err(_) => feature.set_field_string(0, value).unwrap(),
        }
        feature.create(&layer).unwrap();
    }
    file.close().unwrap();
}
