//! The ground that the sample layers show: the middle of the carved square, turned and bent so
//! that no valley follows the cells it was carved on, then roughened, slipped and channelled.

use crate::drainage::Drainage;
use crate::erosion::{SIDE_M, carve};
use crate::field::{Field, smooth_step};
use crate::noise::Noise;
use crate::pond::dig_pond;
use crate::slips::{Slip, scatter_slips};
use crate::valley::Valley;

/// Cell side of the sample layers.
pub(crate) const CELL_M: f64 = 2.0;
/// Cells along a side of the sample layers.
pub(crate) const CELLS: usize = 1150;
/// Lowest and highest elevation.
const LOWEST_M: f64 = 66.0;
const HIGHEST_M: f64 = 496.0;
/// Turn of the shown ground against the carved square.
const TURN_DEG: f64 = 24.0;
/// Catchment of the main stream above the shown ground, square metres.
const INFLOW_M2: f64 = 6.0e6;

/// Elevation, where water goes on it, and what slipped.
pub(crate) struct Ground {
    /// Elevation in metres, whole centimetres.
    pub(crate) elevation: Field,
    /// Flow over the elevation, the rim being the outlet.
    pub(crate) water: Drainage,
    /// Area drained through each cell in square metres, what enters from above included.
    pub(crate) area: Field,
    /// Slips, old and fresh.
    pub(crate) slips: Vec<Slip>,
    /// 1 under the pond's water, 0 elsewhere.
    pub(crate) pond: Field,
}

impl Ground {
    /// The ground of a seed.
    pub(crate) fn new(seed: u64) -> Self {
        let frame = Frame::new(seed);
        let mut elevation = frame.show(&carve(seed));
        frame.ease_foot_slopes(&mut elevation);
        roughen(&mut elevation, seed);
        let slips = scatter_slips(&elevation, seed);
        for slip in &slips {
            slip.apply(&mut elevation);
        }
        let whim = Noise::new(seed, "whim");
        let (_, area) =
            frame.route(&elevation, |i, j| 0.7 + 0.6 * whim.dice(((i as u64) << 32) | j as u64));
        channel(&mut elevation, &area);
        let pond = dig_pond(&mut elevation, &area, seed);
        for value in &mut elevation.values {
            *value = (*value * 100.0).round() / 100.0;
        }
        let (water, area) = frame.route(&elevation, |_, _| 1.0);
        Self { elevation, water, area, slips, pond }
    }
}

/// How a position on the shown ground lies on the carved square.
struct Frame {
    bend: Noise,
    valley: Valley,
}

impl Frame {
    fn new(seed: u64) -> Self {
        Self { bend: Noise::new(seed, "bend"), valley: Valley::new(seed, SIDE_M) }
    }

    fn carved(&self, x: f64, y: f64) -> (f64, f64) {
        let half = CELL_M * CELLS as f64 / 2.0;
        let bend = |along: f64| {
            30.0 * self.bend.octaves(x + along, y - along, 310.0, 2)
                + 5.0 * self.bend.octaves(x - along, y + along, 70.0, 2)
        };
        let (u, v) = (x - half + bend(0.0), y - half + bend(5000.0));
        let (sin, cos) = TURN_DEG.to_radians().sin_cos();
        (SIDE_M / 2.0 + u * cos + v * sin, SIDE_M / 2.0 - u * sin + v * cos)
    }

    fn show(&self, carved: &Field) -> Field {
        let mut shown = Field::from_fn(CELLS, CELLS, CELL_M, |x, y| {
            let (u, v) = self.carved(x, y);
            carved.cubic(u, v)
        });
        let lowest = shown.values.iter().copied().fold(f64::INFINITY, f64::min);
        let highest = shown.values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        for value in &mut shown.values {
            *value = LOWEST_M + (*value - lowest) * (HIGHEST_M - LOWEST_M) / (highest - lowest);
        }
        shown
    }

    /// Lets the hills run out on the valley floor in aprons of washed-down ground.
    fn ease_foot_slopes(&self, elevation: &mut Field) {
        let floor = Field::from_fn(CELLS, CELLS, CELL_M, |x, y| {
            let (u, v) = self.carved(x, y);
            f64::from(u8::from(self.valley.floor(u, v).is_some()))
        });
        let (near, smooth, smoother) =
            (floor.blurred(8.0), elevation.blurred(5.0), elevation.blurred(9.0));
        for i in 0..elevation.values.len() {
            let edge =
                smooth_step(0.02, 0.3, near.values[i]) * smooth_step(1.0, 0.75, near.values[i]);
            let eased = 0.5 * (smooth.values[i] + smoother.values[i]);
            elevation.values[i] += edge * (eased - elevation.values[i]);
        }
    }

    /// Where the main stream enters the shown ground.
    fn entry(&self, field: &Field) -> Vec<usize> {
        let enters = |&i: &usize| {
            let (x, y) = field.centre(i);
            let (u, v) = self.carved(x, y);
            u < SIDE_M / 2.0 && self.valley.floor(u, v).is_some()
        };
        (0..field.values.len()).filter(|&i| field.on_rim(i)).filter(enters).collect()
    }

    /// Water and drained area; `favour` keeps first gullies from running straight on even faces.
    fn route(&self, elevation: &Field, favour: impl Fn(usize, usize) -> f64) -> (Drainage, Field) {
        let entry = self.entry(elevation);
        let outlet = |i: usize| elevation.on_rim(i) && !entry.contains(&i);
        let water = Drainage::new(elevation, outlet, favour);
        let mut held = vec![CELL_M * CELL_M; elevation.values.len()];
        let bed =
            entry.iter().min_by(|&&a, &&b| elevation.values[a].total_cmp(&elevation.values[b]));
        if let Some(&bed) = bed {
            held[bed] += INFLOW_M2;
        }
        let area = elevation.with_values(water.accumulate(held));
        (water, area)
    }
}

/// Adds hummocks on the creeping slopes and the unevenness that a two-metre cell can show.
fn roughen(elevation: &mut Field, seed: u64) {
    let (fine, hummock, patch) =
        (Noise::new(seed, "fine"), Noise::new(seed, "hummock"), Noise::new(seed, "patch"));
    let slope = elevation.slope_deg();
    for i in 0..elevation.values.len() {
        let (x, y) = elevation.centre(i);
        let steep = slope.values[i];
        let creeping = smooth_step(0.1, 0.6, patch.octaves(x, y, 330.0, 2))
            * smooth_step(6.0, 14.0, steep)
            * smooth_step(34.0, 24.0, steep);
        let uneven = 0.05 + 0.3 * smooth_step(4.0, 25.0, steep);
        elevation.values[i] +=
            1.1 * creeping * hummock.octaves(x, y, 38.0, 2) + uneven * fine.octaves(x, y, 26.0, 3);
    }
}

/// Cuts a bed where water gathers, the deeper the more it gathers.
fn channel(elevation: &mut Field, area: &Field) {
    let mut depth = elevation.with_values(vec![0.0; elevation.values.len()]);
    for i in (0..area.values.len()).filter(|&i| area.values[i] > 6_000.0) {
        let hectares = area.values[i] / 10_000.0;
        let (deep, half_width) =
            ((0.35 * hectares.powf(0.3)).min(1.8), (1.0 + 0.6 * hectares.powf(0.3)).min(5.0));
        let (x, y) = area.centre(i);
        for_cells_within(&depth.shape(), x, y, 2.5 * half_width, |j, distance| {
            let cut = deep * (-(distance / half_width).powi(2) / 1.5).exp();
            depth.values[j] = depth.values[j].max(cut);
        });
    }
    for (value, cut) in elevation.values.iter_mut().zip(&depth.values) {
        *value -= cut;
    }
}

/// Calls `visit` with each cell whose centre is within a distance of a position.
pub(crate) fn for_cells_within(
    shape: &Field,
    x: f64,
    y: f64,
    reach: f64,
    mut visit: impl FnMut(usize, f64),
) {
    let span = |metres: f64, count: usize| {
        let from = ((metres - reach) / shape.cell).floor().max(0.0) as usize;
        let to = (((metres + reach) / shape.cell).ceil().max(0.0) as usize).min(count);
        from..to
    };
    for row in span(y, shape.rows) {
        for col in span(x, shape.cols) {
            let (dx, dy) =
                ((col as f64 + 0.5) * shape.cell - x, (row as f64 + 0.5) * shape.cell - y);
            let distance = dx.hypot(dy);
            if distance <= reach {
                visit(row * shape.cols + col, distance);
            }
        }
    }
}
