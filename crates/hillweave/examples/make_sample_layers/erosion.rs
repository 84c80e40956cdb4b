//! Hills carved by running water and worn by creep.
//!
//! Uplift against stream power, solved implicitly from the outlets upstream (Braun & Willett
//! 2013), with no slope steeper than the ground can hold, then linear creep of the hillslopes.
//! Coarse cells first: the pattern of valleys settles there, finer cells dissect it.

use crate::drainage::Drainage;
use crate::field::Field;
use crate::noise::Noise;
use crate::valley::Valley;

/// Side of the square of ground that is carved; the sample layers show its middle.
pub(crate) const SIDE_M: f64 = 3456.0;

/// Exponent of drained area in stream power.
const AREA_EXPONENT: f64 = 0.4;
/// Uplift over erodibility: steepness of a stream that drains one square metre.
const STEEPNESS: f64 = 9.0;
/// Creep over uplift, metres: half the length of a rounded crest.
const CREEP_M: f64 = 28.0;

/// Cell side, steps, and uplift in one step, from coarse to fine.
const LEVELS: [(f64, usize, f64); 3] = [(16.0, 200, 4.0), (8.0, 80, 2.0), (4.0, 30, 1.0)];

/// The carved square, 4 m cells.
pub(crate) fn carve(seed: u64) -> Field {
    let valley = Valley::new(seed, SIDE_M);
    let rough = Noise::new(seed, "rough");
    let (cell, ..) = LEVELS[0];
    let count = (SIDE_M / cell) as usize;
    let mut ground = Field::from_fn(count, count, cell, |x, y| {
        150.0 + 160.0 * rough.ridged(x, y, 1100.0, 5) + 12.0 * rough.octaves(x, y, 120.0, 3)
    });
    for (cell, steps, uplift) in LEVELS {
        ground = ground.resampled(cell);
        for (i, value) in ground.values.iter_mut().enumerate() {
            *value += cell * 0.12 * rough.dice(i as u64);
        }
        wear(&mut ground, &valley, seed, steps, uplift);
    }
    ground
}

/// What does not change while one level is worn.
struct Rock {
    /// Elevation that is held: valley floor and the neighbours' valleys.
    held: Vec<Option<f64>>,
    /// Steepness of each cell's stream at one square metre.
    steepness: Vec<f64>,
    /// Greatest slope that the ground holds, rise over run.
    limit: Vec<f64>,
}

impl Rock {
    fn new(ground: &Field, valley: &Valley, seed: u64) -> Self {
        let (hard, loose) = (Noise::new(seed, "hard"), Noise::new(seed, "loose"));
        let centres = (0..ground.values.len()).map(|i| ground.centre(i));
        let held = centres.clone().map(|(x, y)| {
            let neighbour = y < ground.cell || y > SIDE_M - ground.cell;
            valley.floor(x, y).or(neighbour.then(|| 185.0 + 25.0 * hard.at(x / 500.0, y / 500.0)))
        });
        let steepness =
            centres.clone().map(|(x, y)| STEEPNESS * (0.7 * hard.octaves(x, y, 620.0, 3)).exp());
        let limit = centres
            .map(|(x, y)| (30.0 + 8.0 * loose.octaves(x, y, 300.0, 3)).clamp(21.0, 41.0))
            .map(|degrees| degrees.to_radians().tan());
        Self { held: held.collect(), steepness: steepness.collect(), limit: limit.collect() }
    }
}

fn wear(ground: &mut Field, valley: &Valley, seed: u64, steps: usize, uplift: f64) {
    let rock = Rock::new(ground, valley, seed);
    for step in 0..steps {
        raise(ground, &rock, uplift);
        let whim = Noise::new(seed.wrapping_add(step as u64), "whim");
        let water = Drainage::new(
            ground,
            |i| rock.held[i].is_some(),
            |i, j| 0.75 + 0.5 * whim.dice(((i as u64) << 32) | j as u64),
        );
        cut(ground, &rock, &water, uplift);
        creep(ground, &rock, uplift);
    }
}

fn raise(ground: &mut Field, rock: &Rock, uplift: f64) {
    for (value, held) in ground.values.iter_mut().zip(&rock.held) {
        *value = held.unwrap_or(*value + uplift);
    }
}

/// One implicit step of stream power, from the outlets upstream.
fn cut(ground: &mut Field, rock: &Rock, water: &Drainage, uplift: f64) {
    let cell_area = ground.cell * ground.cell;
    let area = water.accumulate(vec![cell_area; ground.values.len()]);
    for &cell in &water.upstream_order {
        let (i, to) = (cell as usize, water.receiver[cell as usize] as usize);
        if to == i || rock.held[i].is_some() {
            continue;
        }
        let run = if i.abs_diff(to) == 1 || i.abs_diff(to) == ground.cols {
            ground.cell
        } else {
            ground.cell * 2f64.sqrt()
        };
        let power = uplift / rock.steepness[i] * area[i].powf(AREA_EXPONENT) / run;
        let below = ground.values[to];
        let worn = (ground.values[i] + power * below) / (1.0 + power);
        if ground.values[i] > below {
            ground.values[i] = worn.min(below + rock.limit[i] * run);
        }
    }
}

/// Linear creep in explicit steps short enough to be stable.
fn creep(ground: &mut Field, rock: &Rock, uplift: f64) {
    let whole = CREEP_M * uplift / (ground.cell * ground.cell);
    let parts = (whole / 0.2).ceil();
    for _ in 0..parts as usize {
        let before = ground.values.clone();
        for i in (0..before.len()).filter(|&i| rock.held[i].is_none()) {
            let sides = ground.neighbours(i).filter(|&(_, d)| d <= ground.cell);
            let pull: f64 = sides.map(|(j, _)| before[j] - before[i]).sum();
            ground.values[i] += whole / parts * pull;
        }
    }
}
