//! Flow against a textbook grid, slow tracing and the conservation of area.

use std::collections::BTreeMap;

use proptest::prelude::*;
use terrain::{Grid, Raster, Routing, fill_hollows, flow_area_m2};

mod ground;

const ROUTINGS: [Routing; 3] =
    [Routing::SteepestDescent, Routing::MULTIPLE_FLOW, Routing::DInfinity];

/// The textbook grid with the upstream counts that the Esri `ArcGIS` documentation ("How Flow
/// Accumulation works") prints for it. From memory.
#[test]
fn the_textbook_grid_gathers_as_printed() {
    #[rustfmt::skip]
    let upstream = [
        0, 0, 0, 0,  0, 0,
        0, 1, 1, 2,  2, 0,
        0, 3, 7, 5,  4, 0,
        0, 0, 0, 20, 0, 1,
        0, 0, 0, 1, 24, 0,
        0, 2, 4, 7, 35, 1,
    ];
    let grid = Grid::new(6, 6, 0.0, 0.0, 1.0, 1.0).unwrap();
    let ground = Raster::new(grid, ground::TEXTBOOK.map(f32::from).to_vec()).unwrap();
    let area = flow_area_m2(&ground, Routing::SteepestDescent);
    assert_eq!(area.cells(), upstream.map(|count| (count + 1) as f32));
}

/// Receivers with their shares, found a cell at a time.
type Receivers = BTreeMap<(usize, usize), Vec<((usize, usize), f64)>>;

fn slow_receivers(ground: &Raster<f32>, routing: Routing) -> Receivers {
    let grid = *ground.grid();
    let level = |cell| ground::known(ground, Some(cell));
    let (mut receivers, mut ways) = (Receivers::new(), BTreeMap::new());
    for cell in ground::cells(grid) {
        let Some(here) = level(cell) else { continue };
        let beside = ground::neighbours(&grid, cell.0, cell.1);
        let drops = beside.into_iter().flatten().filter_map(|to| {
            let across = to.1.abs_diff(cell.1) as f64 * grid.cell_width();
            let along = to.0.abs_diff(cell.0) as f64 * grid.cell_height();
            let drop = f64::from(here - level(to)?) / across.hypot(along);
            (drop > 0.0).then_some((to, drop))
        });
        let drops: Vec<_> = drops.collect();
        if !drops.is_empty() || beside.iter().any(|to| ground::known(ground, *to).is_none()) {
            ways.insert(cell, 0_u32);
        }
        let to = match routing {
            Routing::DInfinity => down_facets(ground, cell),
            _ => shared(drops, routing),
        };
        receivers.insert(cell, to);
    }
    let mut moved = true;
    while moved {
        moved = false;
        for &cell in receivers.keys() {
            for (to, length) in level_neighbours(ground, cell) {
                if let Some(way) = ways.get(&to).map(|way| way + length)
                    && ways.get(&cell).is_none_or(|known| way < *known)
                {
                    ways.insert(cell, way);
                    moved = true;
                }
            }
        }
    }
    for (&cell, to) in &mut receivers {
        let Some(&way) = ways.get(&cell) else { continue };
        let nearer: Vec<_> = level_neighbours(ground, cell)
            .filter(|(to, _)| ways[to] < way)
            .map(|(to, length)| (to, f64::from(way - ways[&to]) / f64::from(length)))
            .collect();
        if way > 0 {
            *to = match routing {
                Routing::SteepestDescent | Routing::DInfinity => {
                    shared(nearer, Routing::SteepestDescent)
                }
                Routing::MultipleFlow { .. } => {
                    let share = 1.0 / nearer.len() as f64;
                    nearer.into_iter().map(|(to, _)| (to, share)).collect()
                }
            };
        }
    }
    receivers
}

/// Neighbours on the same level, with 5 for a straight step and 7 for a diagonal one.
#[expect(clippy::float_cmp, reason = "a level is the very same number all over")]
fn level_neighbours(
    ground: &Raster<f32>,
    (row, col): (usize, usize),
) -> impl Iterator<Item = ((usize, usize), u32)> {
    let level = ground.at(row, col);
    ground::neighbours(ground.grid(), row, col)
        .into_iter()
        .flatten()
        .filter(move |to| ground::known(ground, Some(*to)).is_some_and(|other| other == level))
        .map(move |to| (to, if to.0 == row || to.1 == col { 5 } else { 7 }))
}

fn shared(drops: Vec<((usize, usize), f64)>, routing: Routing) -> Vec<((usize, usize), f64)> {
    let steepest = drops.iter().map(|(_, drop)| *drop).fold(0.0, f64::max);
    match routing {
        // In whole metres two drops are either alike or far apart, however they are rounded.
        Routing::SteepestDescent | Routing::DInfinity => drops
            .into_iter()
            .find(|(_, drop)| *drop > steepest * (1.0 - 1e-6))
            .map(|(to, _)| (to, 1.0))
            .into_iter()
            .collect(),
        Routing::MultipleFlow { exponent } => {
            let total: f64 = drops.iter().map(|(_, drop)| drop.powf(exponent)).sum();
            drops.into_iter().map(|(to, drop)| (to, drop.powf(exponent) / total)).collect()
        }
    }
}

/// The flow angle of Tarboton 1997 (equations 1 to 6 and table 1, for sides that may differ),
/// counter-clockwise from east, shared between the two neighbours to whose directions it is next.
/// A facet with a hole at one end has the other end's direction alone.
fn down_facets(ground: &Raster<f32>, (row, col): (usize, usize)) -> Vec<((usize, usize), f64)> {
    use std::f64::consts::{FRAC_PI_2, PI};
    // Rows down and columns right of e1 and e2, then a_c and a_f.
    const FACETS: [([isize; 2], [isize; 2], f64, f64); 8] = [
        ([0, 1], [-1, 1], 0.0, 1.0),
        ([-1, 0], [-1, 1], 1.0, -1.0),
        ([-1, 0], [-1, -1], 1.0, 1.0),
        ([0, -1], [-1, -1], 2.0, -1.0),
        ([0, -1], [1, -1], 2.0, 1.0),
        ([1, 0], [1, -1], 3.0, -1.0),
        ([1, 0], [1, 1], 3.0, 1.0),
        ([0, 1], [1, 1], 4.0, -1.0),
    ];
    let grid = ground.grid();
    let (width, height) = (grid.cell_width(), grid.cell_height());
    let cell_at = |step: [isize; 2]| {
        let cell = (row.checked_add_signed(step[0])?, col.checked_add_signed(step[1])?);
        (cell.0 < grid.rows() && cell.1 < grid.cols()).then_some(cell)
    };
    let level = |step| ground::known(ground, cell_at(step)).map(f64::from);
    let e0 = f64::from(ground.at(row, col));
    let (mut steepest, mut angle) = (0.0, None);
    for (near, far, a_c, a_f) in FACETS {
        let (d1, d2) = if near[0] == 0 { (width, height) } else { (height, width) };
        let (r, s) = match (level(near), level(far)) {
            (Some(e1), Some(e2)) => {
                let (s1, s2) = ((e0 - e1) / d1, (e1 - e2) / d2);
                let r = s2.atan2(s1);
                if r <= 0.0 {
                    (0.0, s1)
                } else if r >= d2.atan2(d1) {
                    (d2.atan2(d1), (e0 - e2) / d1.hypot(d2))
                } else {
                    (r, s1.hypot(s2))
                }
            }
            (Some(e1), None) => (0.0, (e0 - e1) / d1),
            (None, Some(e2)) => (d2.atan2(d1), (e0 - e2) / d1.hypot(d2)),
            (None, None) => continue,
        };
        if s > steepest * (1.0 + 1e-12) {
            (steepest, angle) = (s, Some(a_f * r + a_c * FRAC_PI_2));
        }
    }
    let Some(angle) = angle else { return Vec::new() };
    let corner = height.atan2(width);
    let around: [([isize; 2], f64); 9] = [
        ([0, 1], 0.0),
        ([-1, 1], corner),
        ([-1, 0], FRAC_PI_2),
        ([-1, -1], PI - corner),
        ([0, -1], PI),
        ([1, -1], PI + corner),
        ([1, 0], 3.0 * FRAC_PI_2),
        ([1, 1], 2.0 * PI - corner),
        ([0, 1], 2.0 * PI),
    ];
    let mut shares = Vec::new();
    for pair in around.windows(2) {
        let ([(first, from), (second, to)], span) = ([pair[0], pair[1]], pair[1].1 - pair[0].1);
        if angle >= from - 1e-9 && angle <= to + 1e-9 {
            let share = ((angle - from) / span).clamp(0.0, 1.0);
            // An angle along a neighbour's direction sends nothing to the next.
            shares = [(second, share), (first, 1.0 - share)]
                .into_iter()
                .filter(|(_, share)| *share > 1e-9)
                .filter_map(|(step, share)| Some((cell_at(step)?, share)))
                .collect();
            break;
        }
    }
    shares
}

/// Follows each cell's water downstream, share by share.
fn slow_area(ground: &Raster<f32>, receivers: &Receivers) -> Vec<f64> {
    let grid = ground.grid();
    let mut area = vec![0.0; grid.len()];
    for &source in receivers.keys() {
        let mut moving = BTreeMap::from([(source, grid.cell_area())]);
        while !moving.is_empty() {
            for ((row, col), amount) in std::mem::take(&mut moving) {
                area[row * grid.cols() + col] += amount;
                for (to, share) in &receivers[&(row, col)] {
                    *moving.entry(*to).or_insert(0.0) += amount * share;
                }
            }
        }
    }
    area
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn fast_agrees_with_slow(elevation in ground::stepped_ground(), is_filled: bool) {
        let ground = if is_filled { fill_hollows(&elevation) } else { elevation };
        for routing in ROUTINGS {
            let fast = flow_area_m2(&ground, routing);
            let slow = slow_area(&ground, &slow_receivers(&ground, routing));
            for ((fast, slow), level) in fast.cells().iter().zip(slow).zip(ground.cells()) {
                prop_assert_eq!(fast.is_nan(), level.is_nan());
                prop_assert!(fast.is_nan() || (f64::from(*fast) - slow).abs() <= slow * 1e-5);
            }
        }
    }

    #[test]
    fn no_area_is_lost_or_made(elevation in ground::rough_ground(), exponent in 0.0..12.0_f64) {
        let filled = fill_hollows(&elevation);
        let grid = *filled.grid();
        let known = filled.cells().iter().filter(|level| !level.is_nan()).count();
        for routing in [Routing::SteepestDescent, Routing::MultipleFlow { exponent }, Routing::DInfinity] {
            let area = flow_area_m2(&filled, routing);
            let receivers = slow_receivers(&filled, routing);
            let mut leaving = 0.0;
            for ((row, col), to) in receivers {
                if to.is_empty() {
                    let beside = ground::neighbours(&grid, row, col);
                    prop_assert!(beside.iter().any(|to| ground::known(&filled, *to).is_none()));
                    leaving += f64::from(area.at(row, col));
                }
            }
            let total = known as f64 * grid.cell_area();
            prop_assert!((leaving - total).abs() <= total * 1e-6);
        }
    }
}

/// On a plane that falls along the columns each cell carries exactly the column above it.
#[test]
#[expect(clippy::float_cmp, reason = "whole numbers of cells")]
fn a_plane_carries_the_strip_above() {
    let grid = Grid::new(7, 50, 0.0, 0.0, 3.0, 2.0).unwrap();
    let plane = Raster::from_fn(grid, |row, _| -(row as f32));
    let area = flow_area_m2(&plane, Routing::SteepestDescent);
    for (row, col) in ground::cells(grid) {
        assert_eq!(area.at(row, col), 6.0 * (row + 1) as f32);
    }
}

#[test]
fn a_big_lake_drains_by_its_outlet() {
    let grid = Grid::new(60, 60, 0.0, 0.0, 1.0, 1.0).unwrap();
    let crater = Raster::from_fn(grid, |row, col| {
        let rim = row.min(col).min(59 - row).min(59 - col);
        if (row, col) == (0, 30) {
            5.0
        } else if rim == 0 {
            9.0
        } else {
            1.0
        }
    });
    for routing in ROUTINGS {
        let area = flow_area_m2(&fill_hollows(&crater), routing);
        assert!((area.at(0, 30) - 3600.0).abs() < 1e-3, "all of it leaves by the notch");
    }
}

#[test]
fn one_thread_gives_the_same_bytes_as_four() {
    let grid = Grid::new(150, 130, 0.0, 0.0, 1.0, 1.0).unwrap();
    let ground = Raster::from_fn(grid, |row, col| ((row * 7919 + col * 104_729) % 251) as f32);
    let run = |threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| flow_area_m2(&fill_hollows(&ground), Routing::MULTIPLE_FLOW)).into_cells()
    };
    assert_eq!(run(1), run(4));
}

/// On a plane water spreads evenly: away from the upper edges each cell carries the strip above
/// it, as wide as the contour it crosses. Along a row D∞ gives the same amount everywhere where
/// the plane has run far enough for all that comes in to come from the plane.
#[test]
fn a_slanting_plane_carries_the_same_along_a_contour() {
    let (width, height) = (3.0, 2.0);
    let grid = Grid::new(90, 60, 0.0, 0.0, width, height).unwrap();
    // Falls by 1 southward and 1/4 eastward a metre: between south and south-east.
    let plane = Raster::from_fn(grid, |row, col| {
        2000.0 - row as f32 * height as f32 - 0.25 * col as f32 * width as f32
    });
    let area = flow_area_m2(&plane, Routing::DInfinity);
    for row in [5, 20, 58] {
        // Whatever comes to a column from the west has come a column a row at most.
        // At the eastern edge itself there is nothing to lean to.
        for col in row + 2..89 {
            let expected = f64::from(row as u32 + 1) * width * height;
            let found = f64::from(area.at(row, col));
            assert!((found - expected).abs() < expected * 1e-5, "{row}, {col}: {found}");
        }
    }
}

/// The direction of a slanting plane is shared as the angles say (Tarboton 1997, figure 2).
#[test]
fn a_slanting_plane_shares_by_the_angle() {
    let grid = Grid::new(3, 3, 0.0, 0.0, 1.0, 1.0).unwrap();
    let plane = Raster::from_fn(grid, |row, col| 10.0 - row as f32 - 0.5 * col as f32);
    let area = flow_area_m2(&plane, Routing::DInfinity);
    // The corner's cell and all that the top row's middle and the left column's middle send on.
    let to_diagonal = 0.5_f64.atan() / 1.0_f64.atan();
    let middle = 1.0 + to_diagonal + (1.0 - to_diagonal);
    assert!((f64::from(area.at(1, 1)) - middle).abs() < 1e-6, "{}", area.at(1, 1));
    // The left column's own water that stays in the column: straight down.
    assert!((f64::from(area.at(1, 0)) - (2.0 - to_diagonal)).abs() < 1e-6);
}

/// On a cone that falls outward the four quarters carry the same (on a diagonal two facets are
/// alike and the first takes all, so not each cell), and the area a contour length carries is half
/// the distance from the top.
#[test]
fn a_cone_sheds_alike_on_all_sides() {
    let (side, middle) = (101, 50.0_f64);
    let grid = Grid::new(side, side, 0.0, 0.0, 5.0, 5.0).unwrap();
    let cone = Raster::from_fn(grid, |row, col| {
        1000.0 - (row as f64 - middle).hypot(col as f64 - middle) as f32
    });
    let area = flow_area_m2(&cone, Routing::DInfinity);
    let mut quarters = [0.0; 4];
    let mut rings = [(0.0, 0.0); 51];
    for (row, col) in ground::cells(grid) {
        let (south, east) = (row as f64 - middle, col as f64 - middle);
        let here = f64::from(area.at(row, col));
        if south.abs() > east.abs() {
            quarters[usize::from(south > 0.0)] += here;
        } else if east.abs() > south.abs() {
            quarters[2 + usize::from(east > 0.0)] += here;
        }
        let away = south.hypot(east);
        if (10.0..50.0).contains(&away) {
            let ring = &mut rings[away as usize];
            *ring = (ring.0 + here / 5.0, ring.1 + away * 5.0 / 2.0);
        }
    }
    let mean = quarters.iter().sum::<f64>() / 4.0;
    assert!(quarters.iter().all(|one| (one / mean - 1.0).abs() < 0.005), "{quarters:?}");
    for (away, (specific, expected)) in rings.into_iter().enumerate().skip(10).take(40) {
        // Only the mean over a ring: D∞ spreads less than a cone does, so single cells stray.
        let ratio = specific / expected;
        assert!((ratio - 1.0).abs() < 0.15, "{away}: {ratio}");
    }
}
