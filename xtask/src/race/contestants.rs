//! Who races, and over what.

use std::path::{Path, PathBuf};
use std::process::Command;

use super::options::{CELLS, Options};
use crate::stop::Stop;
use crate::{dem, process};

const OURS: [&str; 5] =
    ["slope_deg.tif", "aspect_deg.tif", "filled_m.tif", "flow_area_m2.tif", "wetness_index.tif"];
const SAGAS: [&str; 4] = ["filled.sdat", "slope.sdat", "flow.sdat", "wetness.sdat"];

/// The elevation and the places to write to.
#[derive(Debug)]
pub(crate) struct Course {
    /// Elevation raster, metres.
    pub(crate) dem: PathBuf,
    /// Columns and rows.
    pub(crate) size: (u64, u64),
    /// Our program.
    pub(crate) program: PathBuf,
    folder: PathBuf,
}

/// One program or chain of programs.
#[derive(Debug)]
pub(crate) struct Contestant {
    /// Shown in the table.
    pub(crate) name: &'static str,
    /// What it makes.
    pub(crate) makes: &'static str,
    /// Whether it is ours, to which the others are compared.
    pub(crate) ours: bool,
    /// The command; it can be run again and again.
    pub(crate) command: Command,
    /// Files it must have written when it is done.
    pub(crate) writes: Vec<PathBuf>,
}

impl Course {
    /// Prepares the elevation: invented, or as it is, or resampled so that the ground keeps its
    /// shape while the cells get finer.
    pub(crate) fn new(
        options: &Options,
        maker: &Path,
        program: PathBuf,
        folder: PathBuf,
    ) -> Result<Self, Stop> {
        let Some(given) = &options.dem else {
            let dem = folder.join("elevation_m.tif");
            let size = dem::make(maker, options.cells.unwrap_or(CELLS), &dem)?;
            return Ok(Self { dem, size, program, folder });
        };
        let canonical = given.canonicalize();
        let given = canonical.map_err(|error| Stop::unusable(given.display(), &error))?;
        let size = raster_size(&given)?;
        let Some(cells) = options.cells else {
            return Ok(Self { dem: given, size, program, folder });
        };
        let factor = (cells / (size.0 as f64 * size.1 as f64)).sqrt();
        let [cols, rows] = [size.0, size.1].map(|side| (side as f64 * factor).round().max(1.0));
        let dem = folder.join("elevation_m.tif");
        eprintln!("resampling elevation to {cols} × {rows} cells");
        let mut resample = Command::new("gdal_translate");
        resample.args(["-q", "-ot", "Float32", "-r", "cubicspline", "-co", "TILED=YES"]);
        resample.args(["-co", "BIGTIFF=IF_SAFER", "-outsize", &cols.to_string()]);
        process::run(resample.arg(rows.to_string()).arg(given).arg(&dem))?;
        Ok(Self { size: raster_size(&dem)?, dem, program, folder })
    }

    /// Everyone who is on this machine; ours first.
    pub(crate) fn contestants(&self) -> Result<Vec<Contestant>, Stop> {
        let mut all = vec![
            ours(&self.program, &self.dem, &self.folder),
            self.gdal("gdaldem slope", "slope", "slope"),
            self.gdal("gdaldem aspect", "aspect", "aspect"),
        ];
        if process::on_path("saga_cmd") {
            all.push(self.saga()?);
        }
        Ok(all)
    }

    /// Tiles and DEFLATE as ours, but no overviews: it has less to write.
    fn gdal(&self, name: &'static str, mode: &str, makes: &'static str) -> Contestant {
        let file = self.folder.join(format!("{mode}.tif"));
        let mut command = Command::new("gdaldem");
        command.arg(mode).arg(&self.dem).arg(&file);
        command.args(["-q", "-co", "TILED=YES", "-co", "COMPRESS=DEFLATE"]);
        command.args(["-co", "BIGTIFF=IF_SAFER", "-co", "NUM_THREADS=ALL_CPUS"]);
        Contestant { name, makes, ours: false, command, writes: vec![file] }
    }

    /// Writes its own uncompressed files, which takes it less time than ours take us.
    fn saga(&self) -> Result<Contestant, Stop> {
        let script = self.folder.join("saga.txt");
        std::fs::write(&script, saga_script(&self.dem))
            .map_err(|error| Stop::unusable(script.display(), &error))?;
        let mut command = Command::new("saga_cmd");
        command.args(["-f=s", "saga.txt"]).current_dir(&self.folder);
        Ok(Contestant {
            name: "saga_cmd, four tools",
            makes: "hollows filled, slope, flow, wetness",
            ours: false,
            command,
            writes: SAGAS.iter().map(|file| self.folder.join(file)).collect(),
        })
    }
}

/// `hillweave ground`, with the layers that the others make too. Its files go to `ours` in a folder.
pub(crate) fn ours(program: &Path, dem: &Path, folder: &Path) -> Contestant {
    let folder = folder.join("ours");
    let mut command = Command::new(program);
    command.args(["ground", "--quiet", "--overwrite", "--elevation"]).arg(dem);
    let layers = OURS.map(|file| file.trim_end_matches(".tif")).join(",");
    command.arg("-o").arg(&folder).args(["--layers", &layers]);
    Contestant {
        name: "hillweave ground",
        makes: "slope, aspect, hollows filled, flow, wetness",
        ours: true,
        command,
        writes: OURS.iter().map(|file| folder.join(file)).collect(),
    }
}

impl Contestant {
    /// Whether each file is a raster of the elevation's size: an unread one may be anything.
    pub(crate) fn check_rasters(&self, size: (u64, u64)) -> Result<(), Stop> {
        for file in &self.writes {
            let found = raster_size(file)?;
            if found != size {
                let (name, file) = (self.name, file.display());
                let what = format!("{name} wrote {file} of {found:?} cells, expected {size:?}");
                return Err(Stop::finding(what));
            }
        }
        Ok(())
    }
}

/// Fill (Wang & Liu 2006), slope (Horn 1981), multiple flow (Freeman 1991), wetness index: the
/// methods that come nearest to ours.
fn saga_script(dem: &Path) -> String {
    format!(
        "ta_preprocessor 5 -ELEV=\"{}\" -FILLED=filled.sdat -MINSLOPE=0.01\n\
         ta_morphometry 0 -ELEVATION=filled.sdat -SLOPE=slope.sdat -ASPECT=aspect.sdat -METHOD=2\n\
         ta_hydrology 0 -ELEVATION=filled.sdat -FLOW=flow.sdat -METHOD=4\n\
         ta_hydrology 20 -SLOPE=slope.sdat -AREA=flow.sdat -TWI=wetness.sdat -CONV=1\n",
        dem.display()
    )
}

/// Columns and rows, as GDAL reads them.
fn raster_size(file: &Path) -> Result<(u64, u64), Stop> {
    let told = process::capture(Command::new("gdalinfo").arg(file))?;
    let size = told.lines().find_map(|line| line.strip_prefix("Size is ")).and_then(pair);
    size.ok_or_else(|| Stop::unready(format!("{}: gdalinfo tells no size", file.display())))
}

fn pair(text: &str) -> Option<(u64, u64)> {
    let (cols, rows) = text.split_once(", ")?;
    Some((cols.parse().ok()?, rows.trim().parse().ok()?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::repository;

    #[test]
    #[ignore = "needs gdalinfo: cargo xtask test installs it"]
    fn only_rasters_of_the_right_size_count() {
        let check = |file: &str, size| {
            let writes = vec![repository::root().join(file)];
            let command = Command::new("true");
            let all = Contestant { name: "a", makes: "slope", ours: true, command, writes };
            all.check_rasters(size)
        };
        assert_eq!(check("tests/data/jacksboro_fault_3s.tif", (403, 344)), Ok(()));
        let stop = check("tests/data/jacksboro_fault_3s.tif", (344, 403)).unwrap_err();
        assert!(stop.message().contains("of (403, 344) cells, expected"), "{}", stop.message());
        assert!(check("LICENSE", (1, 1)).is_err(), "text is no raster");
    }

    #[test]
    fn sizes_are_read() {
        assert_eq!(pair("403, 344"), Some((403, 344)));
        assert_eq!(pair("403"), None);
    }
}
