//! The layers of the ground as files: what `hillweave ground` does.
//!
//! ```text
//! a site, or an elevation raster ─► whole (all in memory)     ─► one file a layer ─► ground.json
//!                                └► windowed (large rasters) ─┘
//! ```

mod classes;
mod left_out;
mod lines;
mod output;
mod record;
mod tile_file;
mod whole;
mod windowed;

use std::path::Path;

pub use classes::class_raster;
pub use left_out::{Lack, LeftOut};
pub use output::{GroundClass, LandformOutput, Monthly};
pub use record::GROUND_JSON;

use rayon::{ThreadPool, ThreadPoolBuilder};

use crate::pipeline::load;
use crate::problem::Problem;
use crate::read::{self, Crs, ElevationOptions, ElevationWindows, SMALL_CELLS, WHOLE_CELLS};
use crate::site::{DefaultTaken, GroundRules, ZoneRules};
use crate::units::Metres;
use crate::write::{StagedFolder, Written};
use terrain::{Grid, Routing, SlopeMethod};

/// What is asked for.
#[derive(Debug, Clone)]
pub struct Request<'a> {
    /// From what.
    pub input: Input<'a>,
    /// Which outputs.
    pub wanted: Wanted,
    /// Slope formula instead of the site's.
    pub slope_formula: Option<SlopeMethod>,
    /// Routing of flow instead of the site's.
    pub flow: Option<Routing>,
    /// Working scale instead of the site's (or of 0 without one).
    pub scale: Option<Metres>,
    /// Rasters of more cells than this are worked in windows; `None`: [`WHOLE_CELLS`], or
    /// [`SMALL_CELLS`] when that suits everything wanted.
    pub whole_cells: Option<usize>,
    /// Folder to write.
    pub target: &'a Path,
    /// Whether an earlier output there may be replaced.
    pub overwrite: bool,
}

impl Request<'_> {
    /// Puts what is asked for in the place of what the rules say.
    fn overrule(&self, ground: &mut GroundRules, zones: &mut ZoneRules) {
        ground.slope_formula = self.slope_formula.unwrap_or(ground.slope_formula);
        ground.flow = self.flow.unwrap_or(ground.flow);
        zones.slope_scale = self.scale.unwrap_or(zones.slope_scale);
    }
}

/// Which outputs are wanted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Wanted {
    /// Every one that can be had, but for the months.
    Usual,
    /// Every one that can be had.
    Everything,
    /// These, and an error when one cannot be had.
    Named(Vec<LandformOutput>),
}

impl Wanted {
    /// The outputs to write and those left out, both in table order.
    ///
    /// # Errors
    /// When one that is named lacks something.
    fn sort(
        &self,
        lack: impl Fn(LandformOutput) -> Option<Lack>,
    ) -> Result<(Vec<LandformOutput>, Vec<LeftOut>), Problem> {
        let (mut outputs, mut left_out) = (Vec::new(), Vec::new());
        for output in LandformOutput::all().filter(|output| self.asks_for(*output)) {
            match lack(output) {
                None => outputs.push(output),
                Some(why) if matches!(self, Self::Named(_)) => return Err(why.refusal(output)),
                Some(why) => left_out.push(LeftOut { output, why }),
            }
        }
        Ok((outputs, left_out))
    }

    fn asks_for(&self, output: LandformOutput) -> bool {
        match self {
            Self::Usual => !output.is_extra(),
            Self::Everything => true,
            Self::Named(named) => named.contains(&output),
        }
    }
}

/// What the layers are made from.
#[derive(Debug, Clone)]
pub enum Input<'a> {
    /// A site file or its folder.
    Site(&'a Path),
    /// An elevation raster alone, with the rules' defaults.
    Elevation(&'a Path, ElevationOptions),
}

/// What was made.
#[derive(Debug)]
pub struct Surveyed {
    /// The grid of every layer.
    pub grid: Grid,
    /// Its coordinate system.
    pub crs: Crs,
    /// Working scale of slope, aspect and curvature.
    pub scale: Metres,
    /// The files.
    pub written: Vec<Written>,
    /// Outputs that could not be had, each with its reason.
    pub left_out: Vec<LeftOut>,
    /// Every default that reading the elevation took.
    pub defaults: Vec<DefaultTaken>,
    /// Everything worth a look.
    pub warnings: Vec<Problem>,
}

/// A step of the work.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// Reading.
    Read,
    /// Deriving and writing, layer by layer.
    Layers,
}

/// Derives the layers and writes them, whole or not at all. `enter` is told of each step.
///
/// # Errors
/// Every problem of the input; what cannot be derived when it was asked for by name; and what the
/// disk refuses.
pub fn survey(
    request: &Request<'_>,
    enter: &mut dyn FnMut(Step),
) -> Result<Surveyed, Vec<Problem>> {
    let folder = StagedFolder::begin(request.target, request.overwrite)?;
    enter(Step::Read);
    match &request.input {
        Input::Site(site) => {
            let mut site = load(site)?.site;
            request.overrule(&mut site.ground, &mut site.zones);
            let ready = read::read(&site)?;
            enter(Step::Layers);
            whole::of_site(request, &ready, &site, folder)
        }
        Input::Elevation(file, options) => {
            let rules = Rules::of(request);
            if let Some(mut windows) = windows_of(request, &rules, file, options)? {
                let scratch = folder.scratch()?;
                let threads = own_threads()?;
                threads.install(|| windows.look(scratch.path()))?;
                enter(Step::Layers);
                let put_away = (folder, scratch.path());
                let made =
                    windowed::run(request, &rules, (file, options), &windows, put_away, threads);
                drop(windows); // what it holds lies in the scratch folder
                return made;
            }
            let layer = read::read_elevation(file, options)?;
            enter(Step::Layers);
            whole::of_elevation(request, &rules, (file, options), layer, folder)
        }
    }
}

/// An elevation raster to be worked in windows: one that is too large to be held, or large enough to
/// be worth it when that suits everything wanted. `None`: it is best held whole.
///
/// # Errors
/// Every problem of one that is too large to be held.
fn windows_of(
    request: &Request<'_>,
    rules: &Rules,
    file: &Path,
    options: &ElevationOptions,
) -> Result<Option<ElevationWindows>, Vec<Problem>> {
    let most = request.whole_cells.unwrap_or(WHOLE_CELLS);
    let windows = ElevationWindows::open(file, options, most)?;
    if windows.is_some() || request.whole_cells.is_some() {
        return Ok(windows);
    }
    // One that must be resampled, or has a fault, is read whole and judged then.
    let windows = ElevationWindows::open(file, options, SMALL_CELLS).ok().flatten();
    Ok(windows.filter(|windows| windowed::suit(&request.wanted, rules, windows)))
}

/// Threads for work in windows. They end before files are compressed: those that do that take over
/// the memory which these have let go of, and that would else lie idle beside their own.
///
/// # Errors
/// When the system allows no more threads.
fn own_threads() -> Result<ThreadPool, Problem> {
    // Asking for their number starts the common ones, which so have memory of their own.
    let threads = ThreadPoolBuilder::new().num_threads(rayon::current_num_threads());
    threads.build().map_err(|error| {
        Problem::error("threads")
            .found(error.to_string())
            .expected("threads to work with")
            .remedy("allow the program more threads, or set RAYON_NUM_THREADS to fewer")
    })
}

/// The rules where no site gives them.
struct Rules {
    ground: GroundRules,
    zones: ZoneRules,
}

impl Rules {
    fn of(request: &Request<'_>) -> Self {
        let (mut ground, mut zones) = (GroundRules::usual(), ZoneRules::usual());
        zones.slope_scale = Metres(0.0);
        request.overrule(&mut ground, &mut zones);
        Self { ground, zones }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ground::GroundLayer;
    use crate::read::fixture::{Folder, Tif};

    /// Whether a raster is worked in windows.
    fn in_windows(
        file: &Path,
        wanted: Wanted,
        cell: Option<f64>,
        whole_cells: Option<usize>,
    ) -> bool {
        let options = ElevationOptions { cell, ..ElevationOptions::default() };
        let request = Request {
            input: Input::Elevation(file, options.clone()),
            wanted,
            slope_formula: None,
            flow: None,
            scale: None,
            whole_cells,
            target: Path::new("unused"),
            overwrite: false,
        };
        windows_of(&request, &Rules::of(&request), file, &options).unwrap().is_some()
    }

    #[test]
    fn a_raster_of_some_size_is_worked_in_windows_when_nothing_calls_for_the_whole() {
        let folder = Folder::new();
        let large = Tif::new(2100, 2000, 10.0).write(&folder, "large.tif");
        let small = Tif::new(2000, 2000, 10.0).write(&folder, "small.tif");
        let named = |layer| Wanted::Named(vec![LandformOutput::Measure(layer)]);
        let slope = || named(GroundLayer::Slope);
        assert!(in_windows(&large, slope(), None, None));
        assert!(!in_windows(&small, slope(), None, None));
        // Of ground that is needed at once, or seen far off.
        let (drainage, sky) = (GroundLayer::HeightAboveDrainage, GroundLayer::SkyView);
        for held_whole in [named(drainage), named(sky), Wanted::Usual] {
            assert!(!in_windows(&large, held_whole, None, None));
        }
        // Cells that must be made anew are made of the whole.
        assert!(!in_windows(&large, slope(), Some(9.0), None));
        // What is said outright holds.
        assert!(!in_windows(&large, slope(), None, Some(WHOLE_CELLS)));
        assert!(in_windows(&small, Wanted::Usual, None, Some(0)));
    }
}
