//! What slopes catch of beams, in the shadow of other ground or not.

use std::sync::atomic::AtomicU32;

use rayon::prelude::*;

use super::beams::Beam;
use crate::horizon::mark_shadows;
use crate::{GridError, Raster};

/// Cells reckoned together, few enough to stay at hand for every beam.
const RUN: usize = 256;

/// Beams whose shadows are kept at a time, a bit each.
const GROUP: usize = u32::BITS as usize;

/// Ground that may hide the sun, as far as a distance in metres.
pub(super) type Shade<'a> = Option<(&'a Raster<f32>, f64)>;

/// The sum of what each cell's slope catches of all beams. A hole where slope is; level where only
/// aspect is.
pub(super) fn caught(
    beams: &[Beam],
    slope_deg: &Raster<f32>,
    aspect_deg: &Raster<f32>,
    shade: Shade<'_>,
) -> Result<Raster<f32>, GridError> {
    slope_deg.same_grid(aspect_deg)?;
    let mut shadows: Vec<AtomicU32> = Vec::new();
    if let Some((elevation, _)) = shade {
        slope_deg.same_grid(elevation)?;
        shadows.resize_with(slope_deg.cells().len(), AtomicU32::default);
    }
    let mut light = Raster::filled(*slope_deg.grid(), 0.0_f32);
    for group in beams.chunks(GROUP) {
        if let Some((elevation, distance_m)) = shade {
            mark_group(elevation, distance_m, group, &mut shadows);
        }
        let slopes = slope_deg.cells().par_chunks(RUN).zip(aspect_deg.cells().par_chunks(RUN));
        light.cells_mut().par_chunks_mut(RUN).zip(slopes).enumerate().with_min_len(16).for_each(
            |(run, (light, (slope, aspect)))| {
                let shadows = shadows.get(run * RUN..run * RUN + light.len());
                light_run(group, slope, aspect, shadows, light);
            },
        );
    }
    Ok(light)
}

/// What open level ground catches, added up in the same order as [`caught`] does.
pub(super) fn on_level(beams: &[Beam]) -> f32 {
    let group = |group: &[Beam]| group.iter().fold(0.0, |sum: f32, beam| sum + beam.up);
    beams.chunks(GROUP).fold(0.0, |sum, beams| sum + group(beams))
}

/// Sets a bit for each beam of the group that does not reach a cell.
fn mark_group(elevation: &Raster<f32>, distance_m: f64, group: &[Beam], shadows: &mut [AtomicU32]) {
    shadows.par_iter_mut().for_each(|shadows| *shadows.get_mut() = 0);
    for (number, beam) in group.iter().enumerate() {
        let bit = 1 << number;
        mark_shadows(elevation, beam.azimuth_deg, beam.tangent, distance_m, bit, shadows);
    }
}

fn light_run(
    beams: &[Beam],
    slope: &[f32],
    aspect: &[f32],
    shadows: Option<&[AtomicU32]>,
    light: &mut [f32],
) {
    let mut normals = [[0.0_f32; RUN]; 3];
    let mut shaded = [0_u32; RUN];
    for (cell, (slope, aspect)) in slope.iter().zip(aspect).enumerate() {
        let known = if aspect.is_nan() { (0.0 * slope, 0.0) } else { (*slope, *aspect) };
        let (steep, flat) = known.0.to_radians().sin_cos();
        let (east, north) = known.1.to_radians().sin_cos();
        normals[0][cell] = steep * east;
        normals[1][cell] = steep * north;
        normals[2][cell] = flat;
    }
    for (to, from) in shaded.iter_mut().zip(shadows.unwrap_or_default()) {
        *to = from.load(std::sync::atomic::Ordering::Relaxed);
    }
    let mut sum = [0.0_f32; RUN];
    for (number, beam) in beams.iter().enumerate() {
        for cell in 0..RUN {
            let [east, north, up] = [0, 1, 2].map(|axis| normals[axis][cell]);
            let facing = east * beam.east + north * beam.north + up * beam.up;
            let reaches = ((shaded[cell] >> number) & 1) == 0;
            sum[cell] += if reaches && facing > 0.0 { facing } else { 0.0 };
        }
    }
    for (cell, light) in light.iter_mut().enumerate() {
        let hole = 0.0 * slope[cell];
        *light += sum[cell] + hole;
    }
}
