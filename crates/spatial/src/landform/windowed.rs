//! Layers of a raster too large to be held: water by tiles, the rest window by window.
//!
//! Filled surface and flow area need the whole ground, and are made by `terrain`'s tiled methods,
//! which give the very cells that the whole would. Every other layer looks only so far: it is made
//! from a window widened by that reach, of which the inner part is written.

use std::path::{Path, PathBuf};

use rayon::ThreadPool;
use terrain::{
    Budget, FillError, FlowError, Grid, Raster, Source, Tiling, Window, horizon_reach_cells,
};

use super::classes::class_raster;
use super::left_out::{self, Lack, Place};
use super::output::{GroundClass, LandformOutput};
use super::record::{Facts, Record};
use super::tile_file::TileFile;
use super::whole::sources;
use super::{Request, Rules, Surveyed, Wanted};
use crate::ground::{AtHand, Derivation, Footing, GroundLayer, made_from, sun_months, sun_rises};
use crate::problem::Problem;
use crate::read::{ElevationOptions, ElevationWindows};
use crate::site::{Hollows, WetnessEdges};
use crate::write::{RasterWindows, StagedFolder};

/// Side of the tiles in which hollows are filled, at most.
const WATER_TILE: usize = 1024;

/// Side of the tiles in which flow is followed, at most.
const FLOW_TILE: usize = 512;

/// Side of the windows in which the other layers are made, at least.
const LEAST_WINDOW: usize = 32;

/// Side of windows whose margins are wider than they are, at most.
const MOST_WINDOW: usize = 2048;

/// Bytes of memory for tiles of flow, at least and at most.
const LEAST_FLOW_BYTES: usize = 16 << 20;
const MOST_FLOW_BYTES: usize = 2 << 30;

/// Derives and writes every layer that can be had window by window; `scratch` is a folder for what
/// is put away meanwhile. The threads end before files are compressed.
pub(super) fn run(
    request: &Request<'_>,
    rules: &Rules,
    (file, options): (&Path, &ElevationOptions),
    elevation: &ElevationWindows,
    (folder, scratch): (StagedFolder, &Path),
    threads: ThreadPool,
) -> Result<Surveyed, Vec<Problem>> {
    let grid = *elevation.grid();
    let (outputs, left_out) = request.wanted.sort(|output| lack(output, rules, elevation))?;
    let most = request.whole_cells.map_or(usize::MAX, usize::isqrt).max(LEAST_WINDOW);
    let side = elevation.side().min(most);
    let most = most.min(MOST_WINDOW);
    let survey = Survey { rules, elevation, grid, scratch, side, most };
    let (water, begun) = threads.install(|| survey.work(&outputs))?;
    drop(threads);
    for (output, target) in begun {
        folder.make(&output.file(), |path| target.finish(path))?;
    }
    for (layer, raster) in
        [(GroundLayer::Filled, water.filled), (GroundLayer::FlowArea, water.flow)]
    {
        let output = LandformOutput::Measure(layer);
        if let Some(raster) = raster.filter(|_| outputs.contains(&output)) {
            folder.make(&output.file(), |path| raster.finish(path))?;
        }
    }
    let classed = outputs.contains(&LandformOutput::Class(GroundClass::Wetness));
    Record::new(&Facts {
        site: None,
        elevation: file,
        metres_per_unit: elevation.metres_per_unit,
        nodata: options.nodata,
        crs: &elevation.crs,
        latitude_deg: elevation.latitude_deg,
        grid: &grid,
        ground: &rules.ground,
        zones: &rules.zones,
        sun_months: sun_months(rules.zones.sun_months.as_deref(), elevation.latitude_deg),
        wetness_edges: fixed_edges(rules).filter(|_| classed),
        outputs: &outputs,
    })
    .write(&folder)?;
    Ok(Surveyed {
        grid,
        crs: elevation.crs.clone(),
        scale: rules.zones.slope_scale,
        written: folder.commit()?,
        left_out,
        defaults: elevation.defaults.clone(),
        warnings: elevation.warnings.clone(),
    })
}

struct Survey<'a> {
    rules: &'a Rules,
    elevation: &'a ElevationWindows,
    grid: Grid,
    scratch: &'a Path,
    /// Side of the windows in which layers other than water are made, and at most with wide margins.
    side: usize,
    most: usize,
}

/// The two layers that need the whole ground.
struct Water {
    filled: Option<RasterWindows<f32>>,
    flow: Option<RasterWindows<f32>>,
}

/// One output on its way.
enum Target {
    Numbers(RasterWindows<f32>),
    Classes(GroundClass, RasterWindows<u8>),
}

impl Target {
    fn finish(self, path: &Path) -> Result<(), Problem> {
        match self {
            Self::Numbers(raster) => raster.finish(path),
            Self::Classes(_, raster) => raster.finish(path),
        }
    }
}

impl Survey<'_> {
    fn plain(&self, output: LandformOutput) -> PathBuf {
        self.scratch.join(format!("{}.plain.tif", output.name()))
    }

    fn begin_numbers(&self, output: LandformOutput) -> Result<RasterWindows<f32>, Problem> {
        let (path, crs) = (self.plain(output), self.elevation.crs.definition());
        RasterWindows::begin(&path, &self.grid, &crs, &output.meaning(), output.unit())
    }

    /// Makes everything, in plain files.
    fn work(
        &self,
        outputs: &[LandformOutput],
    ) -> Result<(Water, Vec<(LandformOutput, Target)>), Problem> {
        let water = self.water(outputs)?;
        let begun = self.begin(outputs)?;
        self.windows(&begun, &water)?;
        Ok((water, begun))
    }

    /// Fills hollows and follows water, when some output needs it.
    fn water(&self, outputs: &[LandformOutput]) -> Result<Water, Problem> {
        let needed = made_from(outputs.iter().flat_map(|one| sources(*one)));
        let mut water = Water { filled: None, flow: None };
        if !needed.contains(&GroundLayer::Filled) {
            return Ok(water);
        }
        let filled = self.begin_numbers(LandformOutput::Measure(GroundLayer::Filled))?;
        terrain::fill_hollows_windowed(self.elevation, &filled, self.tile(WATER_TILE))
            .map_err(|(FillError::Read { error, .. } | FillError::Write { error, .. })| error)?;
        if needed.contains(&GroundLayer::FlowArea) {
            let flow = self.begin_numbers(LandformOutput::Measure(GroundLayer::FlowArea))?;
            let scratch = TileFile::begin(&self.scratch.join("tiles"))?;
            let tile_side = self.tile(FLOW_TILE);
            let budget = Budget { memory_bytes: self.flow_bytes(), tile_side };
            let routing = self.rules.ground.flow;
            terrain::flow_area_windowed(&filled, &flow, &scratch, routing, budget)
                .map_err(of_flow)?;
            scratch.remove()?;
            water.flow = Some(flow);
        }
        water.filled = Some(filled);
        Ok(water)
    }

    /// Side of the tiles of water: half a window's, for several are at work at once.
    fn tile(&self, most: usize) -> usize {
        (self.side / 2).min(most)
    }

    /// Memory for tiles of flow: half as much as the elevation takes, within limits.
    fn flow_bytes(&self) -> usize {
        (self.grid.len() * size_of::<f32>() / 2).clamp(LEAST_FLOW_BYTES, MOST_FLOW_BYTES)
    }

    /// Begins every output that is made window by window.
    fn begin(&self, outputs: &[LandformOutput]) -> Result<Vec<(LandformOutput, Target)>, Problem> {
        let mut begun = Vec::new();
        for &output in outputs {
            let target = match output {
                LandformOutput::Measure(GroundLayer::Filled | GroundLayer::FlowArea) => continue,
                LandformOutput::Class(class) => {
                    let (path, crs) = (self.plain(output), self.elevation.crs.definition());
                    let meaning = output.meaning();
                    let raster = RasterWindows::begin(&path, &self.grid, &crs, &meaning, "")?;
                    Target::Classes(class, raster)
                }
                _ => Target::Numbers(self.begin_numbers(output)?),
            };
            begun.push((output, target));
        }
        Ok(begun)
    }

    /// Makes the layers of each window and writes its inner part.
    fn windows(&self, begun: &[(LandformOutput, Target)], water: &Water) -> Result<(), Problem> {
        if begun.is_empty() {
            return Ok(());
        }
        let outputs = begun.iter().map(|(output, _)| *output);
        let reach = reach(self.rules, &self.grid, outputs);
        // Margins are worked out again for every window, so wide ones call for wide windows.
        let tiling = Tiling::new(&self.grid, self.side.max((2 * reach).min(self.most)));
        for tile in 0..tiling.count() {
            let inner = tiling.window(tile);
            let wide = inner.widened(reach, &self.grid);
            let elevation = self.window_of(self.elevation, wide)?;
            let mut derivation = Derivation::new(self.footing(&elevation));
            let given =
                [(GroundLayer::Filled, &water.filled), (GroundLayer::FlowArea, &water.flow)];
            for (layer, raster) in given {
                if let Some(raster) = raster {
                    derivation.give(layer, self.window_of(raster, wide)?);
                }
            }
            for (output, target) in begun {
                self.write(*output, target, &mut derivation, inner, wide)?;
            }
        }
        Ok(())
    }

    fn write(
        &self,
        output: LandformOutput,
        target: &Target,
        derivation: &mut Derivation<'_>,
        inner: Window,
        wide: Window,
    ) -> Result<(), Problem> {
        let Some(source) = sources(output).first().copied() else { return Ok(()) };
        let layer = derivation.layer(source)?;
        match target {
            Target::Numbers(raster) => raster.put(inner, &cut(layer, inner, wide)),
            Target::Classes(class, raster) => {
                let edges = fixed_edges(self.rules).unwrap_or_default();
                let classes = class_raster(*class, layer, &self.rules.zones, edges, None);
                raster.put(inner, &cut(&classes, inner, wide))
            }
        }
    }

    fn window_of<S: Source<Error = Problem>>(
        &self,
        source: &S,
        window: Window,
    ) -> Result<Raster<f32>, Problem> {
        let grid = self.grid.part(window);
        let mut raster = Raster::filled(grid, 0.0_f32);
        source.read(window, raster.cells_mut())?;
        Ok(raster)
    }

    fn footing<'b>(&'b self, elevation: &'b Raster<f32>) -> Footing<'b> {
        Footing {
            elevation_m: elevation,
            property: None,
            rules: &self.rules.ground,
            scale: self.rules.zones.slope_scale,
            latitude_deg: self.elevation.latitude_deg,
            sun_months: self.rules.zones.sun_months.as_deref(),
            streams: None,
            climate: None,
        }
    }
}

/// Cells beyond a window that layers look at.
fn reach(rules: &Rules, grid: &Grid, outputs: impl Iterator<Item = LandformOutput>) -> usize {
    let smoothing =
        terrain::smooth_reach_cells(grid, rules.zones.slope_scale.0, rules.ground.smoothing);
    let of = |layer: GroundLayer| match layer {
        GroundLayer::SunRatio | GroundLayer::SkyView => {
            horizon_reach_cells(grid, rules.ground.horizon.0)
        }
        GroundLayer::Exposure | GroundLayer::WindExposure => {
            horizon_reach_cells(grid, rules.ground.exposure.0)
        }
        _ => 0,
    };
    let farthest = made_from(outputs.flat_map(sources)).into_iter().map(of).max();
    farthest.unwrap_or(0).max(smoothing + 1)
}

fn of_flow(error: FlowError<Problem, Problem, Problem>) -> Problem {
    match error {
        FlowError::Read(problem) | FlowError::Write(problem) | FlowError::PutAway(problem) => {
            problem
        }
        other => Problem::error("working file")
            .found(other.to_string())
            .expected("what was put away")
            .remedy("see that nothing else writes beside the output folder, and run it again"),
    }
}

/// The inner part of a raster made over a wider window.
fn cut<T: Copy>(raster: &Raster<T>, inner: Window, wide: Window) -> Vec<T> {
    let (down, right) = (inner.row - wide.row, inner.col - wide.col);
    let rows = down..down + inner.rows;
    rows.flat_map(|row| raster.row(row)[right..right + inner.cols].iter().copied()).collect()
}

/// Wetness edges in force; quantiles would need every cell at once.
fn fixed_edges(rules: &Rules) -> Option<[f64; 2]> {
    match rules.zones.wetness_edges {
        WetnessEdges::Fixed(edges) => Some(edges),
        WetnessEdges::Quantiles(_) => None,
    }
}

/// Whether everything wanted is as well made in windows as of the whole: nothing needs all of the
/// ground at once, or looks so far that margins would take more work than the windows.
pub(super) fn suit(wanted: &Wanted, rules: &Rules, elevation: &ElevationWindows) -> bool {
    /// A margin is at most one in so many of a window's side: half as much work again.
    const MARGIN: usize = 8;
    let outputs = || LandformOutput::all().filter(|output| wanted.asks_for(*output));
    let needs_whole = |output| matches!(lack(output, rules, elevation), Some(Lack::Whole { .. }));
    !outputs().any(needs_whole)
        && reach(rules, elevation.grid(), outputs()) <= elevation.side() / MARGIN
}

/// Why an output cannot be made window by window, if it cannot.
fn lack(output: LandformOutput, rules: &Rules, elevation: &ElevationWindows) -> Option<Lack> {
    let at_hand = AtHand {
        climate: false,
        wind_rose: rules.ground.wind_rose.is_some(),
        latitude: elevation.latitude_deg.is_some(),
    };
    let breached = rules.ground.hollows != Hollows::Fill;
    let of_whole_ground = |layer: GroundLayer| match layer {
        GroundLayer::HeightAboveDrainage => true,
        GroundLayer::Filled => breached,
        _ => false,
    };
    let quantiles = matches!(rules.zones.wetness_edges, WetnessEdges::Quantiles(_));
    let held_whole = match output {
        LandformOutput::Monthly(_) | LandformOutput::DrainageLines => true,
        LandformOutput::Class(GroundClass::Wetness) if quantiles => true,
        _ => made_from(sources(output)).into_iter().any(of_whole_ground),
    };
    let months = rules.zones.sun_months.as_deref();
    let sun_rises = sun_rises(months, elevation.latitude_deg);
    let place = Place { mapped_streams: false, sun_rises };
    let whole = Lack::Whole { cells: elevation.grid().len() };
    left_out::lack(output, at_hand, place).or(held_whole.then_some(whole))
}
