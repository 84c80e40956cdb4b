//! `hillweave plan --only zones` against the same job by a chain of general-purpose tools.

use std::fmt::Write;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Duration;

use super::contestants::Contestant;
use super::timing::{self, Timed, Times};
use crate::python::Venv;
use crate::stop::Stop;
use crate::{cargo, dem, json, process, setup};

/// Least area of a zone, in cells of 1 m: what `zones.min_area_ha` comes to by itself.
const LEAST_CELLS: &str = "5000";

/// Slope groups as the site's zones have them: upper edges of A to F, degrees.
/// Source: Lynn et al. 2009, Land Use Capability Survey Handbook, 3rd ed., Table 6.
const CLASSES: &str = "1+(A>3)+(A>7)+(A>15)+(A>20)+(A>25)+(A>35)";

/// Statistics of the ground in each polygon, by exact shares of cells.
const STATISTICS: &str = "\
import sys, exactextract, geopandas, rasterio
wanted = ['mean', 'min', 'max'] + [f'quantile(q={q})' for q in (0.1, 0.5, 0.9)]
with rasterio.open(sys.argv[1]) as slope:
    zones = geopandas.read_file(sys.argv[2])
    # Clipping leaves points and lines where polygons only touch the property.
    zones = zones[zones.geom_type.isin(['Polygon', 'MultiPolygon'])]
    exactextract.exact_extract(slope, zones, wanted, output='pandas').to_csv(sys.argv[3])
";

/// The property, from the west and from the north, as shares of the ground.
const PROPERTY: [[f64; 2]; 5] =
    [[0.03, 0.969], [0.96, 0.953], [0.98, 0.156], [0.97, 0.031], [0.02, 0.047]];

/// How much faster the whole plan is meant to be, and in what share of the memory.
const FASTER: f64 = 15.0;
const MEMORY: f64 = 1.0 / 3.0;

/// The ground, a property on it, and where all is written.
struct Course {
    size: (u64, u64),
    elevation: PathBuf,
    site: PathBuf,
    folder: PathBuf,
}

/// What the zoning stage alone took.
struct Stage {
    seconds: Times,
    bytes_a_cell: f64,
    zones: f64,
    corners: f64,
}

/// Races on about so many cells of invented ground; the table in Markdown.
pub(crate) fn race(
    maker: &Path,
    program: &Path,
    folder: &Path,
    cells: f64,
    runs: usize,
) -> Result<String, Stop> {
    let course = Course::new(maker, folder, cells)?;
    let mut field = vec![course.ours(program)];
    field.extend(course.chain(&python()?));
    let mut times = vec![Vec::with_capacity(runs); field.len()];
    for round in 0..=runs {
        for (contestant, times) in field.iter_mut().zip(&mut times) {
            let run = timing::time(contestant)?;
            eprintln!("round {round}: {} {:.3} s", contestant.name, run.took.as_secs_f64());
            if round > 0 {
                times.push(run);
            }
        }
    }
    let timed: Vec<Timed> =
        field.iter().zip(&times).map(|(one, runs)| timing::timed(one, runs)).collect();
    let stage = stage(&course, runs)?;
    Ok(report(course.size, &timed, &stage, runs))
}

impl Course {
    fn new(maker: &Path, folder: &Path, cells: f64) -> Result<Self, Stop> {
        let folder = folder.join("zones");
        let elevation = folder.join("elevation_m.tif");
        make_folder(&folder)?;
        let size = dem::make(maker, cells, &elevation)?;
        let told = process::capture(Command::new("gdalinfo").arg(&elevation))?;
        let corner = told.lines().find_map(|line| line.strip_prefix("Origin = ")).and_then(pair);
        let Some(corner) = corner else {
            return Err(Stop::unready(format!(
                "{}: gdalinfo tells no origin",
                elevation.display()
            )));
        };
        write(&folder.join("boundary.geojson"), &boundary(corner, size))?;
        let site = folder.join("site.toml");
        write(&site, SITE)?;
        Ok(Self { size, elevation, site, folder })
    }

    fn file(&self, name: &str) -> PathBuf {
        self.folder.join(name)
    }

    fn ours(&self, program: &Path) -> Contestant {
        let plan = self.file("plan");
        let mut command = Command::new(program);
        command.args(["plan", "--quiet", "--overwrite", "--only", "zones"]).arg(&self.site);
        command.arg("-o").arg(&plan);
        Contestant {
            name: "hillweave plan --only zones",
            makes: "slope, zones, statistics, all files",
            ours: true,
            command,
            writes: vec![plan.join("plan.gpkg")],
        }
    }

    /// The steps, each from files to a file.
    fn chain(&self, python: &Path) -> Vec<Contestant> {
        let [slope, classes, sieved] = ["slope.tif", "classes.tif", "sieved.tif"];
        let [polygons, clipped, table] = ["polygons.gpkg", "clipped.gpkg", "statistics.csv"];
        let step = |name, makes, file: &str, program: &Path, arguments: &[&str]| {
            let mut command = Command::new(program);
            command.args(arguments).current_dir(&self.folder);
            Contestant { name, makes, ours: false, command, writes: vec![self.file(file)] }
        };
        let gdal = |name: &'static str, makes, file: &str, arguments: &[&str]| {
            step(name, makes, file, Path::new(name), arguments)
        };
        let elevation = self.elevation.display().to_string();
        let tiled = ["--co", "TILED=YES"];
        let calc = format!("--calc={CLASSES}");
        vec![
            step(
                "gdaldem slope",
                "slope",
                slope,
                Path::new("gdaldem"),
                &["slope", &elevation, slope, "-q", "-compute_edges", "-co", "TILED=YES"],
            ),
            gdal(
                "gdal_calc.py",
                "classes",
                classes,
                &[
                    "-A",
                    slope,
                    &calc,
                    "--outfile",
                    classes,
                    "--type=Byte",
                    "--quiet",
                    tiled[0],
                    tiled[1],
                ],
            ),
            gdal(
                "gdal_sieve.py",
                "specks merged",
                sieved,
                &["-q", "-st", LEAST_CELLS, "-4", classes, sieved],
            ),
            gdal(
                "gdal_polygonize.py",
                "polygons",
                polygons,
                &["-q", sieved, "-f", "GPKG", polygons, "polygons", "class"],
            ),
            step(
                "ogr2ogr -clipsrc",
                "clipped to the property",
                clipped,
                Path::new("ogr2ogr"),
                &["-f", "GPKG", "-clipsrc", "boundary.geojson", "-makevalid", clipped, polygons],
            ),
            step(
                "exactextract",
                "statistics of slope",
                table,
                python,
                &["-c", STATISTICS, slope, clipped, table],
            ),
        ]
    }
}

const SITE: &str = "\
[site]
name = \"Invented ground\"
crs = \"EPSG:2193\"

[layers.boundary]
file = \"boundary.geojson\"

[layers.elevation]
file = \"elevation_m.tif\"

[zones]
factors = [\"slope_group\"]

[stock]
file = \"none.toml\" # not read: the plan ends with zones
";

/// The property around ground of 1 m cells whose north-western corner lies there, as GeoJSON of
/// EPSG:2193.
fn boundary([west, north]: [f64; 2], (cols, rows): (u64, u64)) -> String {
    let corner = |[east, south]: &[f64; 2]| {
        [(west + east * cols as f64).round(), (north - south * rows as f64).round()]
    };
    let ring: Vec<String> = PROPERTY
        .iter()
        .chain(&PROPERTY[..1])
        .map(corner)
        .map(|[x, y]| format!("[{x:.0},{y:.0}]"))
        .collect();
    let ring = ring.join(",");
    format!(
        "{{\"type\":\"FeatureCollection\",\"crs\":{{\"type\":\"name\",\"properties\":\
         {{\"name\":\"urn:ogc:def:crs:EPSG::2193\"}}}},\"features\":[{{\"type\":\"Feature\",\
         \"properties\":{{}},\"geometry\":{{\"type\":\"Polygon\",\"coordinates\":[[{ring}]]}}}}]}}"
    )
}

/// The zoning stage by itself, by its own clock.
fn stage(course: &Course, runs: usize) -> Result<Stage, Stop> {
    let zoning = cargo::example("spatial", "zoning")?;
    let mut command = Command::new(zoning);
    // The first run is not counted.
    let told = process::capture(command.arg(&course.site).arg((runs + 1).to_string()))?;
    read_stage(&told).ok_or_else(|| Stop::unready(format!("zoning: it told {told:?}")))
}

/// A line of JSON for each run, of which the first is not counted.
fn read_stage(told: &str) -> Option<Stage> {
    let lines: Vec<&str> = told.lines().collect();
    let seconds: Option<Vec<_>> = lines
        .get(1..)?
        .iter()
        .map(|line| Some(Duration::from_secs_f64(json::number(line, "seconds")?)))
        .collect();
    let bytes = lines.iter().filter_map(|line| json::number(line, "bytes_a_cell"));
    let last = lines.last()?;
    Some(Stage {
        seconds: Times::new(seconds?),
        bytes_a_cell: bytes.fold(f64::NAN, f64::max),
        zones: json::number(last, "zones")?,
        corners: json::number(last, "corners_a_polygon")?,
    })
}

fn report((cols, rows): (u64, u64), field: &[Timed], stage: &Stage, runs: usize) -> String {
    let cells = (cols * rows) as f64 / 1e6;
    let (ours, chain): (Vec<&Timed>, Vec<&Timed>) = field.iter().partition(|one| one.ours);
    let seconds = |all: &[&Timed]| all.iter().map(|one| one.times.median_s()).sum::<f64>();
    let peak = |all: &[&Timed]| all.iter().filter_map(|one| one.times.peak_kib()).max();
    let mut text = format!(
        "## Zones\n\n{cols} × {rows} cells ({cells:.2} million) of invented ground, a property on \
         most of it, zones by slope group; median of {runs} runs taken in turns after one that is \
         not counted.\n\n| program | makes | median s | fastest–slowest s | ratio | peak MiB |\n\
         |---|---|---:|---:|---:|---:|\n"
    );
    let mib = |kib: Option<u64>| kib.map_or("–".to_owned(), |kib| format!("{}", kib / 1024));
    let our_seconds = seconds(&ours);
    for Timed { name, makes, times, .. } in field {
        let (median, (least, most)) = (times.median_s(), times.range_s());
        let (ratio, peak) = (median / our_seconds, mib(times.peak_kib()));
        // writing to a String cannot fail
        let _ = writeln!(
            text,
            "| {name} | {makes} | {median:.3} | {least:.3}–{most:.3} | {ratio:.2} | {peak} |"
        );
    }
    let (total, ratio) = (seconds(&chain), seconds(&chain) / our_seconds);
    let highest = mib(peak(&chain));
    let _ = writeln!(text, "| the chain | | {total:.3} | | {ratio:.2} | {highest} |");
    let (median, (least, most)) = (stage.seconds.median_s(), stage.seconds.range_s());
    let Stage { zones, bytes_a_cell, corners, .. } = stage;
    let _ = write!(
        text,
        "\nThe zoning stage alone, from classes to polygons with statistics: {median:.3} s \
         ({least:.3}–{most:.3}), {:.3} s per million cells; {zones} zones of {corners:.0} corners a \
         polygon; {bytes_a_cell:.1} bytes a cell beyond what it was given.\n\n{}\n\n{SAYS}",
        median / cells,
        bars(ratio, peak(&ours), peak(&chain))
    );
    text
}

/// What was aimed at, and whether it was reached.
fn bars(ratio: f64, ours: Option<u64>, chain: Option<u64>) -> String {
    let said = |reached: bool| if reached { "reached" } else { "missed" };
    let share = ours.zip(chain).map(|(ours, chain)| ours as f64 / chain as f64);
    let memory = share.map_or("not told".to_owned(), |share| {
        format!("{share:.2} of its memory, aim {MEMORY:.2}: {}", said(share <= MEMORY))
    });
    format!(
        "The whole plan is {ratio:.1} × as fast as the chain, aim {FASTER:.0} ×: {}; {memory}.",
        said(ratio >= FASTER)
    )
}

const SAYS: &str = "Ratio: its time ÷ that of our whole plan. The chain does less: no least width, \
                    no straightened borders, statistics of slope alone, one file; it \
                    clips polygons one by one, so neighbours need not know each other's corners. \
                    Its steps work on files without compression.";

/// The libraries' Python, made when it is not there.
fn python() -> Result<PathBuf, Stop> {
    let venv = Venv::of_racers()?;
    if !venv.is_ready() {
        setup::provide(vec![&crate::needs::PYTHON])?;
        venv.make()?;
    }
    Ok(venv.python())
}

/// Two numbers in brackets.
fn pair(text: &str) -> Option<[f64; 2]> {
    let (x, y) = text.trim().strip_prefix('(')?.strip_suffix(')')?.split_once(',')?;
    Some([x.parse().ok()?, y.parse().ok()?])
}

fn make_folder(folder: &Path) -> Result<(), Stop> {
    fs::create_dir_all(folder).map_err(|error| Stop::unusable(folder.display(), &error))
}

fn write(file: &Path, text: &str) -> Result<(), Stop> {
    fs::write(file, text).map_err(|error| Stop::unusable(file.display(), &error))
}

#[cfg(test)]
mod tests {
    use super::super::timing::tests::of;
    use super::*;

    #[test]
    fn the_chain_is_summed_and_the_bars_are_told() {
        let told = "{\"seconds\":9,\"zones\":7,\"corners_a_polygon\":40.4,\"bytes_a_cell\":8}\n\
                    {\"seconds\":2,\"zones\":7,\"corners_a_polygon\":40.4,\"bytes_a_cell\":9.5}\n";
        let stage = read_stage(told).unwrap();
        let field = [of("ours", true, &[2]), of("a", false, &[3]), of("b", false, &[5])];
        let text = report((1000, 1000), &field, &stage, 1);
        assert!(text.contains("| b | slope | 5.000 | 5.000–5.000 | 2.50 | – |"), "{text}");
        assert!(text.contains("| the chain | | 8.000 | | 4.00 | – |"), "{text}");
        assert!(
            text.contains("polygons with statistics: 2.000 s (2.000–2.000), 2.000 s"),
            "{text}"
        );
        assert!(text.contains("7 zones of 40 corners a polygon; 9.5 bytes a cell"), "{text}");
        assert!(text.contains("4.0 × as fast as the chain, aim 15 ×: missed; not told."), "{text}");
    }

    #[test]
    fn bars_are_reached_from_their_values_on() {
        assert!(bars(15.0, Some(1), Some(3)).matches("reached").count() == 2);
        assert!(bars(14.9, Some(2), Some(3)).matches("missed").count() == 2);
    }

    #[test]
    fn origins_are_read() {
        assert_eq!(pair("(1600000.0,-5.5)"), Some([1_600_000.0, -5.5]));
        assert_eq!(pair("none"), None);
    }

    #[test]
    fn the_property_is_a_closed_ring_on_the_ground() {
        let text = boundary([100.0, 900.0], (200, 400));
        let (_, after) = text.split_once("[[[").unwrap();
        let (ring, _) = after.split_once("]]]").unwrap();
        let corners: Vec<[f64; 2]> =
            ring.split("],[").map(|one| pair(&format!("({one})")).unwrap()).collect();
        assert_eq!((corners.len(), corners[0]), (6, corners[5]));
        for [x, y] in corners {
            assert!((100.0..300.0).contains(&x) && (500.0..900.0).contains(&y), "{x} {y}");
        }
    }
}
