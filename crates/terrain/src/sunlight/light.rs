//! What slopes catch of beams, in the shadow of other ground or not.

use std::sync::atomic::AtomicU32;

use rayon::prelude::*;

use super::beams::Beam;
use crate::horizon::mark_shadows;
use crate::{GridError, Raster};

/// Cells reckoned together, few enough to stay at hand for every beam.
const RUN: usize = 256;

/// Cells whose sums stay in registers while beams pass over them.
const LANES: usize = 8;

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
    let mut light = Raster::filled(*slope_deg.grid(), 0.0_f32);
    let Some((elevation, distance_m)) = shade else {
        add(beams, &[], slope_deg, aspect_deg, &mut light);
        return Ok(light);
    };
    slope_deg.same_grid(elevation)?;
    for group in beams.chunks(GROUP) {
        let shadows = marked(elevation, distance_m, group);
        add(group, &[shadows], slope_deg, aspect_deg, &mut light);
    }
    Ok(light)
}

/// The same, with the shadows that [`all_marked`] has found of these beams.
pub(super) fn caught_in(
    shadows: &[Vec<u32>],
    beams: &[Beam],
    slope_deg: &Raster<f32>,
    aspect_deg: &Raster<f32>,
) -> Result<Raster<f32>, GridError> {
    slope_deg.same_grid(aspect_deg)?;
    let mut light = Raster::filled(*slope_deg.grid(), 0.0_f32);
    add(beams, shadows, slope_deg, aspect_deg, &mut light);
    Ok(light)
}

/// The shadows of all beams: for each [`GROUP`] of them a word for each cell, none without shade.
pub(super) fn all_marked(beams: &[Beam], shade: Shade<'_>) -> Vec<Vec<u32>> {
    let of = |(elevation, distance_m)| {
        let groups = beams.chunks(GROUP);
        groups.map(|group| marked(elevation, distance_m, group)).collect()
    };
    shade.map(of).unwrap_or_default()
}

/// Adds what each cell's slope catches of beams, whose shadows lie in a word a cell for each [`GROUP`] of them; where
/// there is none for a group, all of it is open.
fn add(
    beams: &[Beam],
    shadows: &[Vec<u32>],
    slope_deg: &Raster<f32>,
    aspect_deg: &Raster<f32>,
    light: &mut Raster<f32>,
) {
    let slopes = slope_deg.cells().par_chunks(RUN).zip(aspect_deg.cells().par_chunks(RUN));
    light.cells_mut().par_chunks_mut(RUN).zip(slopes).enumerate().with_min_len(16).for_each(
        |(run, (light, (slope, aspect)))| {
            let faces = Faces::of(slope, aspect);
            for (number, group) in beams.chunks(GROUP).enumerate() {
                let shadows = shadows.get(number).map(|cells| &cells[run * RUN..][..light.len()]);
                faces.catch(group, shadows, light);
            }
            for (light, slope) in light.iter_mut().zip(slope) {
                *light += 0.0 * slope; // a hole stays one
            }
        },
    );
}

/// What open level ground catches, added up in the same order as [`caught`] does.
pub(super) fn on_level(beams: &[Beam]) -> f32 {
    let group = |group: &[Beam]| group.iter().fold(0.0, |sum: f32, beam| sum + beam.up);
    beams.chunks(GROUP).fold(0.0, |sum, beams| sum + group(beams))
}

/// For each cell a bit for each beam of the group that does not reach it.
fn marked(elevation: &Raster<f32>, distance_m: f64, group: &[Beam]) -> Vec<u32> {
    let mut shadows: Vec<AtomicU32> = Vec::new();
    shadows.resize_with(elevation.cells().len(), AtomicU32::default);
    for (number, beam) in group.iter().enumerate() {
        let bit = 1 << number;
        mark_shadows(elevation, beam.azimuth_deg, beam.tangent, distance_m, bit, &shadows);
    }
    shadows.into_iter().map(AtomicU32::into_inner).collect()
}

/// Which way the ground of some cells faces: a unit vector each, by axis.
struct Faces {
    normals: [[f32; RUN]; 3],
}

impl Faces {
    fn of(slope: &[f32], aspect: &[f32]) -> Self {
        let mut normals = [[0.0_f32; RUN]; 3];
        for (cell, (slope, aspect)) in slope.iter().zip(aspect).enumerate() {
            let known = if aspect.is_nan() { (0.0 * slope, 0.0) } else { (*slope, *aspect) };
            let (steep, flat) = known.0.to_radians().sin_cos();
            let (east, north) = known.1.to_radians().sin_cos();
            normals[0][cell] = steep * east;
            normals[1][cell] = steep * north;
            normals[2][cell] = flat;
        }
        Self { normals }
    }

    /// Adds what they catch of a group of beams.
    fn catch(&self, beams: &[Beam], shadows: Option<&[u32]>, light: &mut [f32]) {
        let mut shaded = [0_u32; RUN];
        if let Some(shadows) = shadows {
            shaded[..shadows.len()].copy_from_slice(shadows);
        }
        let mut sums = [0.0_f32; RUN];
        let [easts, norths, ups] = self.normals.each_ref().map(|axis| axis.as_chunks::<LANES>().0);
        let faces = easts.iter().zip(norths).zip(ups).zip(shaded.as_chunks::<LANES>().0);
        for (sum, (((east, north), up), shaded)) in
            sums.as_chunks_mut::<LANES>().0.iter_mut().zip(faces)
        {
            for (number, beam) in beams.iter().enumerate() {
                for lane in 0..LANES {
                    let facing =
                        east[lane] * beam.east + north[lane] * beam.north + up[lane] * beam.up;
                    let reaches = ((shaded[lane] >> number) & 1) == 0;
                    sum[lane] += if reaches && facing > 0.0 { facing } else { 0.0 };
                }
            }
        }
        for (light, sum) in light.iter_mut().zip(&sums) {
            *light += sum;
        }
    }
}
