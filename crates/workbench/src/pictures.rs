//! The ground as pictures to lay under the map.

use palette::Colour;
use rayon::prelude::*;
use serde::Serialize;
use spatial::checks::cover::BAND_EDGES;
use spatial::ground::GroundLayer;
use terrain::{Grid, Raster, SlopeMethod, hillshade, slope_aspect};

use crate::plan_now::PlanNow;

/// Most pixels along a side: more than a screen shows at once.
const MOST_SIDE: usize = 2048;
/// Most posts along a side of the hill in three dimensions.
const MOST_POSTS: usize = 320;
/// Where the light of the relief comes from: the northwest, as maps are read, halfway up. Common practice, no source.
const LIGHT_DEG: (f64, f64) = (315.0, 45.0);
/// Name of the relief.
const RELIEF: &str = "relief";
/// From least to most of a layer.
const RAMP: [Colour; 3] =
    [Colour::new(0xFD_EF_DE), Colour::new(0x56_9F_9B), Colour::new(0x00_3A_52)];

/// A picture that can be asked for.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Picture {
    /// Its name in the address.
    pub(crate) id: &'static str,
    /// What it shows.
    title: String,
    unit: &'static str,
    /// West, south, east, north, metres.
    extent: [f64; 4],
    legend: Vec<Entry>,
    least: Option<f64>,
    most: Option<f64>,
    low_colour: Option<String>,
    high_colour: Option<String>,
}

#[derive(Debug, Clone, Serialize)]
struct Entry {
    colour: String,
    letter: String,
    label: String,
}

/// West, south, east, north of a grid, metres.
pub(crate) fn extent(grid: &Grid) -> [f64; 4] {
    [grid.west(), grid.south(), grid.east(), grid.north()]
}

/// Every picture that there is of a property.
pub(crate) fn pictures(now: &PlanNow) -> Vec<Picture> {
    let ground = &now.fitted.ground;
    let extent = extent(ground.grid());
    let relief = Picture {
        id: RELIEF,
        title: "Light and shade".to_owned(),
        unit: "",
        extent,
        legend: Vec::new(),
        least: None,
        most: None,
        low_colour: None,
        high_colour: None,
    };
    let groups = palette::slope_groups();
    let entry = |class: &palette::Class| Entry {
        colour: class.colour.to_string(),
        letter: class.letter.clone(),
        label: class.label.clone(),
    };
    let slope = Picture {
        id: GroundLayer::Slope.name(),
        title: GroundLayer::Slope.meaning().to_owned(),
        unit: GroundLayer::Slope.unit(),
        legend: groups.classes.iter().map(entry).collect(),
        ..relief.clone()
    };
    let ramp = |id: &'static str, title: &str, unit: &'static str, raster: &Raster<f32>| {
        let [least, most] = range(raster);
        Picture {
            id,
            title: title.to_owned(),
            unit,
            least: Some(f64::from(least)),
            most: Some(f64::from(most)),
            low_colour: Some(RAMP[0].to_string()),
            high_colour: Some(RAMP[2].to_string()),
            ..relief.clone()
        }
    };
    let height = ramp("elevation_m", "Height above sea level", "m", &ground.elevation_m);
    let others = ground
        .others
        .iter()
        .map(|(layer, raster)| ramp(layer.name(), layer.meaning(), layer.unit(), raster));
    [relief.clone(), slope, height].into_iter().chain(others).collect()
}

/// A picture by its name, as PNG; `None` where there is none.
pub(crate) fn png_of(now: &PlanNow, id: &str) -> Option<Vec<u8>> {
    let ground = &now.fitted.ground;
    if id == RELIEF {
        let small = thinned(&ground.elevation_m, MOST_SIDE);
        let lit = hillshade(&slope_aspect(&small, SlopeMethod::Horn), LIGHT_DEG.0, LIGHT_DEG.1);
        return png(&lit, png::ColorType::GrayscaleAlpha, |light| {
            [(light * 255.0).round() as u8, 255]
        });
    }
    if id == GroundLayer::Slope.name() {
        let groups = palette::slope_groups();
        let edges = now.fitted.site.zones.slope_edges;
        let colour = |slope: f32| {
            let group = spatial::zones::SlopeGroup::of(f64::from(slope), edges) as usize;
            let [r, g, b] = groups.classes.get(group).map_or([255; 3], |class| class.colour.0);
            [r, g, b, 255]
        };
        return png(&thinned(&ground.slope_deg, MOST_SIDE), png::ColorType::Rgba, colour);
    }
    let raster = match id {
        "elevation_m" => &*ground.elevation_m,
        other => ground.others.get(&GroundLayer::from_name(other)?)?,
    };
    let [least, most] = range(raster);
    let span = (most - least).max(f32::MIN_POSITIVE);
    png(&thinned(raster, MOST_SIDE), png::ColorType::Rgba, |value| {
        let [r, g, b] = between((value - least) / span);
        [r, g, b, 255]
    })
}

/// A raster of shares from 0 to 1 in the bands of cover, as PNG.
pub(crate) fn cover_png(shares: &Raster<f32>) -> Option<Vec<u8>> {
    let bands = palette::cover_bands();
    png(&thinned(shares, MOST_SIDE), png::ColorType::Rgba, |share| {
        let band = BAND_EDGES.iter().filter(|edge| f64::from(share) >= **edge).count();
        let [r, g, b] = bands.classes[band].colour.0;
        [r, g, b, 255]
    })
}

/// Heights for three dimensions, thinned.
pub(crate) fn heights(now: &PlanNow) -> Raster<f32> {
    thinned(&now.fitted.ground.elevation_m, MOST_POSTS)
}

/// Every n-th cell each way, so that no side is longer than `most`.
fn thinned(raster: &Raster<f32>, most: usize) -> Raster<f32> {
    let grid = raster.grid();
    let step = grid.cols().max(grid.rows()).div_ceil(most).max(1);
    if step == 1 {
        return raster.clone();
    }
    let (cols, rows) = (grid.cols().div_ceil(step), grid.rows().div_ceil(step));
    let (width, height) = (grid.cell_width() * step as f64, grid.cell_height() * step as f64);
    let coarse = Grid::new(cols, rows, grid.west(), grid.north(), width, height);
    let Ok(coarse) = coarse else { return raster.clone() };
    let mut thin = Raster::filled(coarse, f32::NAN);
    for row in 0..rows {
        for col in 0..cols {
            let at = (row * step) * grid.cols() + col * step;
            thin.cells_mut()[row * cols + col] = raster.cells()[at];
        }
    }
    thin
}

/// Least and greatest of its cells; 0 and 0 where it has none.
pub(crate) fn range(raster: &Raster<f32>) -> [f32; 2] {
    const NONE: [f32; 2] = [f32::INFINITY, f32::NEG_INFINITY];
    let known = raster.cells().par_iter().filter(|cell| cell.is_finite());
    let ends = known
        .fold(|| NONE, |[least, most], cell| [least.min(*cell), most.max(*cell)])
        .reduce(|| NONE, |one, other| [one[0].min(other[0]), one[1].max(other[1])]);
    if ends[0] > ends[1] { [0.0, 0.0] } else { ends }
}

/// A colour of the ramp, 0 to 1.
fn between(share: f32) -> [u8; 3] {
    let place = f64::from(share.clamp(0.0, 1.0)) * (RAMP.len() - 1) as f64;
    let from = (place as usize).min(RAMP.len() - 2);
    let part = place - from as f64;
    let (low, high) = (RAMP[from].0, RAMP[from + 1].0);
    [0, 1, 2].map(|at| {
        (f64::from(low[at]) + part * (f64::from(high[at]) - f64::from(low[at]))).round() as u8
    })
}

/// Holes are clear. `None` when the encoder refuses, which it does for a raster without cells.
fn png<const CHANNELS: usize>(
    raster: &Raster<f32>,
    kind: png::ColorType,
    colour: impl Fn(f32) -> [u8; CHANNELS],
) -> Option<Vec<u8>> {
    let grid = raster.grid();
    let pixel = |cell: &f32| if cell.is_finite() { colour(*cell) } else { [0; CHANNELS] };
    let pixels: Vec<u8> = raster.cells().iter().flat_map(pixel).collect();
    let mut file = Vec::new();
    let mut encoder = png::Encoder::new(&mut file, grid.cols() as u32, grid.rows() as u32);
    encoder.set_color(kind);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_compression(png::Compression::Fast);
    let mut writer = encoder.write_header().ok()?;
    writer.write_image_data(&pixels).ok()?;
    writer.finish().ok()?;
    Some(file)
}
