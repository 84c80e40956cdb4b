//! A plan turns with its property: moved, mirrored, turned, cut in two or seen more coarsely, the same ground gets the same
//! plan. No number is expected here but those of the plan itself.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that stops has failed")]

#[path = "support/mod.rs"]
mod support;

use std::fs;
use std::path::{Path, PathBuf};

use gdal::raster::{Buffer, GdalType};
use gdal::vector::{LayerAccess, ToGdal};
use gdal::{Dataset, DatasetOptions, GdalOpenFlags};
use geo::{BooleanOps, BoundingRect, Contains, Coord, MapCoords, MultiPolygon, Point, Rect};
use support::written::{Row, json, layer};
use support::{expect, sample_in, small};

/// Where the rasters of the sample lie: west, south, east, north, metres.
const FRAME: [f64; 4] = [2_060_000.0, 5_560_000.0, 2_062_300.0, 5_562_300.0];

/// How ground is moved that lies in a square frame.
#[derive(Clone, Copy, PartialEq)]
enum Motion {
    /// By whole cells.
    Along { east_m: f64, north_m: f64 },
    /// East for west.
    Mirrored,
    /// A quarter of a circle, clockwise.
    Turned,
}

impl Motion {
    /// Where a place goes.
    fn place(self, at: Coord<f64>) -> Coord<f64> {
        let [west, south, east, north] = FRAME;
        let (x, y) = (f64::midpoint(west, east), f64::midpoint(south, north));
        match self {
            Self::Along { east_m, north_m } => Coord { x: at.x + east_m, y: at.y + north_m },
            Self::Mirrored => Coord { x: west + east - at.x, y: at.y },
            Self::Turned => Coord { x: x + (at.y - y), y: y - (at.x - x) },
        }
    }

    /// Row and column that a cell comes from, in a square of `side` cells.
    fn from(self, side: usize, row: usize, col: usize) -> (usize, usize) {
        match self {
            Self::Along { .. } => (row, col),
            Self::Mirrored => (row, side - 1 - col),
            Self::Turned => (side - 1 - col, row),
        }
    }

    fn move_raster<T: GdalType + Copy>(self, file: &Path) {
        let mut raster = opened_to_change(file);
        let (cols, rows) = raster.raster_size();
        assert_eq!(cols, rows, "a square");
        let mut transform = raster.geo_transform().unwrap();
        let corner = [transform[0], transform[3]].map(|side| side.round() as i64);
        assert_eq!(corner, [FRAME[0], FRAME[3]].map(|side| side as i64));
        if let Self::Along { east_m, north_m } = self {
            transform[0] += east_m;
            transform[3] += north_m;
            raster.set_geo_transform(&transform).unwrap();
        }
        let mut band = raster.rasterband(1).unwrap();
        let was = band.read_band_as::<T>().unwrap();
        let cells = (0..rows * cols).map(|at| {
            let (row, col) = self.from(cols, at / cols, at % cols);
            was.data()[row * cols + col]
        });
        let mut is = Buffer::new((cols, rows), cells.collect());
        band.write((0, 0), (cols, rows), &mut is).unwrap();
    }

    fn move_layers(self, file: &Path) {
        change_shapes(file, |_, shape| shape.map_coords(|at| self.place(at)));
    }

    /// The sample with every layer moved.
    fn of_sample(self, folder: &Path) -> PathBuf {
        let site = sample_in(folder);
        self.move_raster::<f32>(&site.join("elevation_m.tif"));
        self.move_raster::<u8>(&site.join("cover.tif"));
        self.move_layers(&site.join("property.gpkg"));
        site
    }
}

fn opened_to_change(file: &Path) -> Dataset {
    let open_flags = GdalOpenFlags::GDAL_OF_UPDATE;
    Dataset::open_ex(file, DatasetOptions { open_flags, ..Default::default() }).unwrap()
}

/// Puts another shape in the place of each of every layer, told the layer's name.
fn change_shapes(file: &Path, to: impl Fn(&str, geo::Geometry<f64>) -> geo::Geometry<f64>) {
    let file = opened_to_change(file);
    for mut layer in file.layers() {
        let name = layer.name();
        let shapes: Vec<(u64, geo::Geometry<f64>)> = layer
            .features()
            .map(|one| (one.fid().unwrap(), one.geometry().unwrap().to_geo().unwrap()))
            .collect();
        for (fid, shape) in shapes {
            let mut feature = layer.feature(fid).unwrap();
            feature.set_geometry(to(&name, shape).to_gdal().unwrap()).unwrap();
            layer.set_feature(feature).unwrap();
        }
    }
}

/// Neither zones nor lines of stock ask for sun: ground that turns away from it stays what it is.
fn without_sun(site: &Path) {
    small::replace(site, "site.toml", ", \"sun_class\"", "");
    drop_key(site, "sun_ratio");
}

/// As many plants of each line as are wanted, so that no zone waits for another.
fn without_end(site: &Path) {
    drop_key(site, "supply");
}

/// Takes a key out of every line of stock.
fn drop_key(site: &Path, key: &str) {
    let stock = fs::read_to_string(site.join("stock.toml")).unwrap();
    let lines: Vec<&str> = stock.lines().filter(|line| !line.starts_with(key)).collect();
    assert!(lines.len() < stock.lines().count(), "`{key}` is in the file");
    small::text(site, "stock.toml", &lines.join("\n"));
}

struct Planned {
    totals: serde_json::Value,
    lines: Vec<(String, f64)>,
    zones: Vec<Row>,
}

fn planned(site: &Path) -> Planned {
    let plan = site.with_file_name("plan");
    let paths = [site.join("site.toml"), plan.clone()].map(|path| path.display().to_string());
    expect(site, &["plan", &paths[0], "--output", &paths[1]], 0);
    let all = json(&plan);
    let rows = all["line_orders"].as_array().unwrap();
    let line = |row: &serde_json::Value| {
        (row["stock_id"].as_str().unwrap().to_owned(), row["seedlings"].as_f64().unwrap())
    };
    Planned {
        lines: rows.iter().map(line).collect(),
        totals: all["totals"].clone(),
        zones: layer(&plan, "zones"),
    }
}

impl Planned {
    fn total(&self, key: &str) -> f64 {
        self.totals[key].as_f64().unwrap()
    }

    /// What the zone over a place is made of; nothing where there is none.
    fn class_at(&self, at: Point<f64>) -> Option<[&str; 4]> {
        let zone = self.zones.iter().find(|zone| {
            zone.geometry.bounding_rect().is_some_and(|bounds| bounds.contains(&at))
                && zone.geometry.contains(&at)
        })?;
        Some(
            ["slope_group", "wetness_class", "sun_class", "cover_treatment"]
                .map(|key| zone.text(key)),
        )
    }

    /// Share of places of the ground that lie in zones of the same classes in both plans.
    fn alike(&self, other: &Self, motion: Motion) -> f64 {
        let [west, south, ..] = FRAME;
        let places = (0..100 * 100).map(|at| {
            let place = |number: i32| 11.3 + 22.7 * f64::from(number);
            Coord { x: west + place(at % 100), y: south + place(at / 100) }
        });
        let known = places.filter_map(|at| Some((at, self.class_at(at.into())?)));
        let same = known.map(|(at, class)| other.class_at(motion.place(at).into()) == Some(class));
        let same: Vec<bool> = same.collect();
        assert!(same.len() > 4_000, "{} places in zones", same.len());
        same.iter().filter(|same| **same).count() as f64 / same.len() as f64
    }

    /// How far apart two plans are in plants and ground, as the greatest share of the whole.
    fn apart(&self, other: &Self) -> f64 {
        let keys =
            ["planted_plan_ha", "planted_ground_ha", "zones_plan_ha", "seedlings", "order_qty"];
        let totals = keys.map(|key| (self.total(key) / other.total(key) - 1.0).abs());
        assert_eq!(self.lines.len(), other.lines.len());
        let all = self.total("seedlings");
        let lines = self.lines.iter().zip(&other.lines).map(|(one, two)| {
            assert_eq!(one.0, two.0);
            (one.1 - two.1).abs() / all
        });
        totals.into_iter().chain(lines).fold(0.0, f64::max)
    }
}

/// Asserts that two plans are of one ground: in so many places at least, and so far apart at most.
fn assert_one(what: &str, plans: [&Planned; 2], motion: Motion, [least, most]: [f64; 2]) {
    let [one, other] = plans;
    let (alike, apart) = (one.alike(other, motion), one.apart(other));
    assert!(alike >= least && apart <= most, "{what}: alike {alike}, apart {apart}");
}

#[test]
fn ground_that_is_moved_mirrored_or_turned_gets_the_same_plan() {
    let folder = support::scratch();
    let plain = planned(&sample_in(&folder.path().join("plain")));
    let sunless = sample_in(&folder.path().join("sunless"));
    without_sun(&sunless);
    let sunless = planned(&sunless);
    // The order in which cells are met settles ties between neighbours of a small piece, and between ways for water on
    // level ground; a zone drawn anew changes no more than that.
    let bounds = [0.998, 0.001];
    let along = Motion::Along { east_m: 240.0, north_m: -180.0 };
    for (name, motion) in [("along", along), ("mirrored", Motion::Mirrored)] {
        let other = planned(&motion.of_sample(&folder.path().join(name)));
        assert_one(name, [&plain, &other], motion, bounds);
        // It would be seen if the plan had stayed where it was.
        let stayed = plain.alike(&other, Motion::Along { east_m: 0.0, north_m: 0.0 });
        assert!(stayed < 0.8, "{name}: {stayed} though it moved");
    }
    let site = Motion::Turned.of_sample(&folder.path().join("turned"));
    without_sun(&site);
    let turned = planned(&site);
    assert_one("turned", [&sunless, &turned], Motion::Turned, bounds);
    assert!(sunless.alike(&turned, Motion::Mirrored) < 0.8);
}

#[test]
fn a_property_in_two_parts_gets_the_plan_of_the_whole() {
    let folder = support::scratch();
    let whole = sample_in(&folder.path().join("whole"));
    without_end(&whole);
    let whole = planned(&whole);
    let [west, south, east, north] = FRAME;
    let middle = f64::midpoint(west, east);
    let halves = [(west, middle), (middle, east)].map(|(from, to)| {
        let site = sample_in(&folder.path().join(format!("{from}")));
        without_end(&site);
        let half = MultiPolygon::new(vec![Rect::new((from, south), (to, north)).to_polygon()]);
        change_shapes(&site.join("property.gpkg"), |name, shape| match shape {
            geo::Geometry::Polygon(one) if name == "boundary" => {
                geo::Geometry::Polygon(one.intersection(&half).0.remove(0))
            }
            other => other,
        });
        planned(&site)
    });
    // The cut draws zones anew along it, and a line may have no use for the small rest of a zone.
    for (key, share) in [
        ("property_plan_ha", 1e-8),
        ("zones_plan_ha", 1e-4),
        ("keep_clear_plan_ha", 1e-4),
        ("stands_plan_ha", 1e-4),
        ("planted_plan_ha", 0.01),
        ("planted_ground_ha", 0.01),
        ("seedlings", 0.01),
    ] {
        let parts = halves.each_ref().map(|half| half.total(key));
        let (sum, all) = (parts[0] + parts[1], whole.total(key));
        assert!((sum / all - 1.0).abs() <= share, "{key}: {sum} in two parts, {all} in one");
        assert!(parts.iter().all(|part| *part < 0.95 * all), "{key}: {parts:?} are no parts");
    }
}

#[test]
fn coarser_cells_tell_the_same_plan_more_coarsely() {
    let folder = support::scratch();
    let fine = planned(&sample_in(&folder.path().join("fine")));
    let site = sample_in(&folder.path().join("coarse"));
    small::replace(&site, "site.toml", "# cell_m = 2 ", "cell_m = 4 #");
    let coarse = planned(&site);
    let stays = Motion::Along { east_m: 0.0, north_m: 0.0 };
    assert_one("coarse", [&fine, &coarse], stays, [0.9, 0.02]);
}
