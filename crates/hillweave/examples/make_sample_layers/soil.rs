//! Soil drainage as polygons that follow the landform, drawn at the scale of a farm soil map.

use contour::ContourBuilder;
use geo::{BooleanOps, MultiPolygon, Polygon, Rect};

use crate::field::{Field, smooth_step};
use crate::ground::Ground;
use crate::landform::Landform;
use crate::noise::Noise;

/// Spacing of the grid on which soil is drawn.
const DRAWN_M: f64 = 20.0;

/// Ground at the rim that the soil map leaves out.
const MARGIN_M: f64 = 30.0;

/// Drainage codes, wettest first, with the share of the ground that is this wet or wetter.
const CODES: [(&str, f64); 5] = [("VP", 0.018), ("P", 0.07), ("I", 0.24), ("MW", 0.58), ("W", 1.0)];

/// One multipolygon for each drainage code; together they cover the soil map's sheet.
pub(crate) fn map_soil(
    ground: &Ground,
    landform: &Landform,
    seed: u64,
) -> Result<Vec<(&'static str, MultiPolygon)>, contour::Error> {
    let score = dryness(ground, landform, seed).blurred(14.0).resampled(DRAWN_M);
    let mut edges = vec![-1e6];
    edges.extend(CODES.iter().map(|(_, share)| score.quantile(*share, |_| true)));
    if let Some(driest) = edges.last_mut() {
        *driest = 1e6;
    }
    let bands = ContourBuilder::new(score.cols, score.rows, true)
        .x_step(DRAWN_M)
        .y_step(DRAWN_M)
        .isobands(&score.values, &edges)?;
    let sheet = sheet(&score);
    let shapes = bands.into_iter().map(|band| band.into_inner().0.intersection(&sheet));
    Ok(CODES.iter().map(|(code, _)| *code).zip(shapes).collect())
}

/// The sheet of the soil map: the shown ground but for a margin, where contours fold on the rim.
fn sheet(score: &Field) -> Polygon {
    let side = |cells: usize| cells as f64 * score.cell - MARGIN_M;
    Rect::new((MARGIN_M, MARGIN_M), (side(score.cols), side(score.rows))).to_polygon()
}

/// Higher where water leaves sooner.
fn dryness(ground: &Ground, landform: &Landform, seed: u64) -> Field {
    let noise = Noise::new(seed, "soil");
    let value = |i: usize| {
        let (x, y) = ground.elevation.centre(i);
        1.6 * smooth_step(2.0, 24.0, landform.slope_deg.values[i])
            + 0.05 * landform.prominence_m.values[i].clamp(-14.0, 18.0)
            - 0.12 * landform.wetness.values[i].min(11.0)
            + 0.25 * noise.octaves(x, y, 260.0, 3)
    };
    ground.elevation.with_values((0..ground.elevation.values.len()).map(value).collect())
}
