//! Distances from a line over ground, against what is known of planes and cones, and cell by cell by hand.

use super::*;
use crate::Outline;
use terrain::{Grid, Raster};

fn face(height: impl Fn(f64, f64) -> f64) -> Face {
    let grid = Grid::new(120, 90, 0.0, 90.0, 1.0, 1.0).unwrap();
    let heights = Raster::from_fn(grid, |row, col| {
        let (x, y) = grid.centre(row, col);
        height(x, y) as f32
    });
    let outline = vec![[5.0, 5.0], [115.0, 5.0], [115.0, 85.0], [5.0, 85.0]];
    let plants = Raster::filled(grid, 0.1);
    Face::new(&heights, &plants, Outline::new(&[outline]), 3.0).unwrap()
}

/// On a plane the distance from a contour is the rise by the sine of the slope.
#[test]
fn on_a_plane_distance_is_rise_by_sine() {
    for (east, north) in [(0.5, 0.0), (0.0, 0.3), (0.4, 0.3), (0.2, -0.7)] {
        let face = face(|x, y| 50.0 + east * (x - 60.0) + north * (y - 45.0));
        let reach = reach(&face, &Guides::Contours(vec![50.0]));
        let steep: f64 = f64::hypot(east, north);
        let sine = steep / (1.0 + steep * steep).sqrt();
        for cell in (0..face.heights().len()).step_by(37) {
            if face.within()[cell] != Within::Whole {
                continue;
            }
            let [x, y] = face.centre(cell);
            // Only where the contour lies straight up or down the slope within the block.
            let away = (east * (x - 60.0) + north * (y - 45.0)) / (steep * steep);
            let foot = [x - away * east, y - away * north];
            if !(8.0..112.0).contains(&foot[0]) || !(8.0..82.0).contains(&foot[1]) {
                continue;
            }
            let exact = f64::from((face.heights()[cell] - 50.0).abs()) / sine;
            let apart = (f64::from(reach.metres[cell]) - exact).abs();
            assert!(apart < 0.02 * exact + 0.3, "{east} {north}: {exact} {apart}");
        }
    }
}

/// On a cone the distance between contours is the same all round.
#[test]
fn on_a_cone_distance_is_along_its_side() {
    let face = face(|x, y| 100.0 - 0.6 * (x - 60.0).hypot(y - 45.0));
    let reach = reach(&face, &Guides::Contours(vec![88.0])); // 20 m of map from the top
    for cell in 0..face.heights().len() {
        let [x, y] = face.centre(cell);
        let from_top = (x - 60.0).hypot(y - 45.0);
        if face.within()[cell] == Within::Whole && (4.0..40.0).contains(&from_top) {
            let exact = (from_top - 20.0).abs() * 1.36_f64.sqrt();
            let apart = (f64::from(reach.metres[cell]) - exact).abs();
            assert!(apart < 0.06 * exact + 0.3, "{from_top}: {exact} {apart}");
        }
    }
}

#[test]
fn every_part_of_a_block_is_reached() {
    // Level in the west, a bench without a contour in the east.
    let face = face(|x, _| if x < 40.0 { 10.0 } else { 30.0 + 0.001 * x });
    for levels in [vec![20.0], vec![500.0], vec![]] {
        let reach = reach(&face, &Guides::Contours(levels));
        for (metres, within) in reach.metres.iter().zip(face.within()) {
            assert_eq!(metres.is_finite(), *within != Within::No);
        }
    }
}

#[test]
fn straight_rows_keep_their_distance_from_a_line() {
    let face = face(|_, _| 5.0);
    let line = Guides::Straight { through: [60.0, 45.0], along: [0.6, 0.8] };
    let reach = reach(&face, &line);
    let cell = face.grid().index(40, 80);
    let [x, y] = face.centre(cell);
    let exact = ((x - 60.0) * 0.8 - (y - 45.0) * 0.6).abs();
    assert!((f64::from(reach.metres[cell]) - exact).abs() < 1e-4);
}

/// Cells of 2 by 1 m, 2 m or more from the edge of the grid or not, as the ring has it.
fn oblong(size: [usize; 2], ring: &[[f64; 2]], height: impl Fn(f64, f64) -> f64) -> Face {
    let [cols, rows] = size;
    let grid = Grid::new(cols, rows, 0.0, rows as f64, 2.0, 1.0).unwrap();
    let heights = Raster::from_fn(grid, |row, col| {
        let (x, y) = grid.centre(row, col);
        height(x, y) as f32
    });
    let plants = Raster::filled(grid, 0.1);
    Face::new(&heights, &plants, Outline::new(&[ring.to_vec()]), 4.0).unwrap()
}

/// Beyond every grid here.
const EVERYWHERE: [[f64; 2]; 4] = [[-50.0, -50.0], [500.0, -50.0], [500.0, 500.0], [-50.0, 500.0]];

fn close(found: f32, expected: f32) -> bool {
    (found - expected).abs() <= 1e-3 * expected.max(1.0)
}

/// A front that comes straight reaches a cell when it should, from whatever direction.
#[test]
fn a_straight_front_arrives_on_time() {
    let level = Raster::filled(Grid::new(9, 9, 0.0, 27.0, 2.0, 3.0).unwrap(), 5.0_f32);
    let outline = Outline::new(&[EVERYWHERE.to_vec()]);
    let lattice = Lattice::new(&Face::new(&level, &level, outline, 6.0).unwrap());
    for lengthening in [1.0, 1.5_f32] {
        for degrees in 0..=18_u8 {
            let (sine, cosine) = (5.0 * f32::from(degrees)).to_radians().sin_cos();
            let beside = 10.0 - lengthening * cosine * 2.0;
            let above = 10.0 - lengthening * sine * 3.0;
            let found = lattice.arrival(beside, above, lengthening);
            assert!(close(found, 10.0), "{degrees}: {found}");
        }
        let far = f32::INFINITY;
        assert!(close(lattice.arrival(5.0, far, lengthening), 5.0 + 2.0 * lengthening));
        assert!(close(lattice.arrival(far, 5.0, lengthening), 5.0 + 3.0 * lengthening));
        assert!(lattice.arrival(far, far, lengthening).is_infinite());
    }
    // What comes later than a step from the other side no longer matters.
    for late in [3.0, 3.6, 40.0] {
        assert!(close(lattice.arrival(0.0, late, 1.0), 2.0), "{late}");
    }
    for late in [3.4, 3.7, 40.0] {
        assert!(close(lattice.arrival(late, 0.0, 1.0), 3.0), "{late}");
    }
}

/// From a corner of level ground one pass away from it tells all distances, the three others do
/// not: Zhao's reason for four.
#[test]
fn each_pass_serves_one_corner() {
    let lattice = Lattice::new(&oblong([9, 12], &EVERYWHERE, |_, _| 0.0));
    let mut served = Vec::new();
    for (row, col) in [(0, 0), (0, 8), (11, 0), (11, 8)] {
        let mut from = vec![f32::INFINITY; 9 * 12];
        from[row * 9 + col] = 0.0;
        let mut settled = from.clone();
        lattice.sweep(&mut settled);
        for along in 0..12 {
            let metres = settled[along * 9 + col];
            assert!(close(metres, row.abs_diff(along) as f32), "{along}: {metres}");
        }
        for along in 0..9 {
            let metres = settled[row * 9 + along];
            assert!(close(metres, 2.0 * col.abs_diff(along) as f32), "{along}: {metres}");
        }
        let across = settled[(11 - row) * 9 + 8 - col];
        assert!((16.0_f32.hypot(11.0)..21.0).contains(&across), "{across}");
        let serves = |pass: &usize| {
            let mut metres = from.clone();
            lattice.sweep_from(*pass, &mut metres);
            metres.iter().zip(&settled).all(|(found, settled)| close(*found, *settled))
        };
        served.push((0..4).filter(serves).collect::<Vec<_>>());
    }
    assert!(served.iter().all(|passes| passes.len() == 1), "{served:?}");
    served.sort();
    assert_eq!(served.concat(), [0, 1, 2, 3]);
}

#[test]
fn a_pass_tells_its_largest_change() {
    let lattice = Lattice::new(&oblong([9, 12], &EVERYWHERE, |_, _| 0.0));
    let mut settled = vec![f32::INFINITY; 9 * 12];
    settled[0] = 0.0;
    lattice.sweep(&mut settled);
    for pass in 0..4 {
        assert!(lattice.sweep_from(pass, &mut settled).abs() < NO_MATTER, "settled");
        let mut metres = settled.clone();
        metres[3 * 9 + 3] += 5.0;
        metres[7 * 9 + 6] += 3.0;
        assert!(close(lattice.sweep_from(0, &mut metres), 5.0));
        assert!(metres.iter().zip(&settled).all(|(found, before)| close(*found, *before)));
        metres[7 * 9 + 6] = f32::INFINITY;
        assert!(close(lattice.sweep_from(0, &mut metres), 1.0), "reached is changed");
    }
}

/// Eight lanes of 10 m, one above the other, joined at their ends by turns: the way through them
/// bends too often for two rounds.
#[test]
fn a_winding_block_is_reached_to_its_end() {
    let slit = |lane: u32| 14.0 * f64::from(lane) + 14.5;
    let mut ring = vec![[4.5, 4.5], [76.5, 4.5]];
    for south in [1, 3, 5].map(slit) {
        let north = south + 4.0;
        ring.extend([[76.5, south], [14.5, south], [14.5, north], [76.5, north]]);
    }
    ring.extend([[76.5, 112.5], [4.5, 112.5]]);
    for south in [6, 4, 2, 0].map(slit) {
        let north = south + 4.0;
        ring.extend([[4.5, north], [66.5, north], [66.5, south], [4.5, south]]);
    }
    let face = oblong([41, 117], &ring, |_, _| 0.0);
    let lattice = Lattice::new(&face);
    let [start, end] =
        [5.5, 110.5].map(|y| face.grid().cell_at(5.5, y).unwrap()).map(|(r, c)| r * 41 + c);
    let mut metres = vec![f32::INFINITY; face.grid().len()];
    metres[start] = 0.0;
    lattice.sweep(&mut metres);
    for (metres, within) in metres.iter().zip(face.within()) {
        assert_eq!(metres.is_finite(), *within != Within::No);
    }
    for pass in 0..4 {
        assert!(lattice.sweep_from(pass, &mut metres) < NO_MATTER, "settled");
    }
    // From slit to slit 52 m and more, two cells less as they may be cut short at either end;
    // and no more than all lanes and the way up.
    let length = metres[end];
    assert!((8.0 * 44.0..8.0 * 72.0 + 108.0).contains(&length), "{length}");
}

/// On a plane the cells on both sides of a contour have their rise by the sine, all others
/// nothing; and nothing runs on from the end of a line of cells into the next.
#[test]
fn cells_beside_a_contour_begin_with_their_distance() {
    let (cols, rows) = (11, 13);
    let face = oblong([cols, rows], &EVERYWHERE, |x, y| 100.0 + 0.36 * x - 0.48 * y);
    let lattice = Lattice::new(&face);
    let levels = [98.111, 103.777];
    let mut metres = vec![f32::INFINITY; cols * rows];
    lattice.begin(&face, &levels, 0..cols * rows, &mut metres);
    let sine = 0.6 / 1.36_f32.sqrt();
    for (cell, found) in metres.iter().copied().enumerate() {
        let (row, col) = (cell / cols, cell % cols);
        let mut expected = f32::INFINITY;
        for other in 0..cols * rows {
            if row.abs_diff(other / cols) + col.abs_diff(other % cols) != 1 {
                continue;
            }
            let (one, other) = (face.heights()[cell], face.heights()[other]);
            for level in levels.iter().filter(|level| (one < **level) != (other < **level)) {
                expected = expected.min((one - level).abs() / sine);
            }
        }
        assert!(
            close(found, expected) || found.is_infinite() && expected.is_infinite(),
            "{row} {col}: {found} for {expected}"
        );
    }
    assert!(metres.iter().any(|metres| metres.is_finite()));
}

#[test]
fn a_contour_through_a_centre_is_no_way_from_it() {
    let face = oblong([9, 9], &EVERYWHERE, |x, _| 0.5 * x);
    // The centre of the fifth column is at 9 m.
    let reach = reach(&face, &Guides::Contours(vec![4.5]));
    for (cell, metres) in reach.metres.iter().enumerate() {
        let cols = (cell % 9).abs_diff(4) as f32;
        assert!(close(*metres, cols * 2.0 * 1.25_f32.sqrt()), "{cell}: {metres}");
    }
}

/// The crest of a roof has no slope of its own: its distance from the contour on either side is
/// that along the way there.
#[test]
fn a_crest_is_as_far_from_a_contour_as_the_way_down() {
    let face = oblong([9, 9], &EVERYWHERE, |x, _| 20.0 - 0.5 * (x - 9.0).abs());
    let lattice = Lattice::new(&face);
    let mut metres = vec![f32::INFINITY; 81];
    lattice.begin(&face, &[19.8], 0..81, &mut metres);
    for (cell, metres) in metres.iter().enumerate() {
        match (cell % 9).abs_diff(4) {
            0 => assert!(close(*metres, 0.4), "0.2 m down at 1 in 2: {metres}"),
            1 => assert!(close(*metres, 0.8 * 5.0_f32.sqrt()), "{metres}"),
            _ => assert!(metres.is_infinite()),
        }
    }
}

/// The block has the shape of a U whose foot reaches west, with a second piece that stands at the
/// other edge of the grid.
#[test]
fn a_part_is_all_that_hangs_together() {
    let ring = [
        [10.5, 22.5],
        [10.5, 7.5],
        [-9.0, 7.5],
        [-9.0, -9.0],
        [26.5, -9.0],
        [26.5, 17.5],
        [21.5, 17.5],
        [21.5, 5.5],
        [15.5, 5.5],
        [15.5, 22.5],
    ];
    let other = [[34.5, -9.0], [99.0, -9.0], [99.0, 25.5], [34.5, 25.5]];
    let grid = Grid::new(20, 27, 0.0, 27.0, 2.0, 1.0).unwrap();
    let level = Raster::filled(grid, 5.0_f32);
    let outline = Outline::new(&[ring.to_vec(), other.to_vec()]);
    let face = Face::new(&level, &level, outline, 4.0).unwrap();
    let lattice = Lattice::new(&face);
    let block = |cols: std::ops::Range<usize>| {
        let cells = (0..20 * 27).filter(move |cell| cols.contains(&(cell % 20)));
        cells.filter(|cell| face.within()[*cell] != Within::No).collect::<Vec<_>>()
    };
    // Between the two is a column of neither.
    assert!(block(15..16).is_empty());
    let mut metres = vec![f32::INFINITY; 20 * 27];
    let mut parts = Vec::new();
    while let Some(part) = lattice.unreached(&metres) {
        for cell in &part {
            metres[*cell] = 1.0;
        }
        parts.push(part);
    }
    assert_eq!(parts, [block(16..20), block(0..15)], "that with the northernmost cell first");
}

#[test]
fn a_part_without_a_contour_has_one_halfway_up() {
    let ring = [[4.5, 4.5], [40.5, 4.5], [50.5, 30.5], [4.5, 24.5]];
    let face = oblong([30, 36], &ring, |x, y| 100.0 + 0.36 * x - 0.48 * y);
    let known = face.heights().iter().zip(face.within());
    let known = known.filter(|(_, within)| **within != Within::No).map(|(height, _)| *height);
    let (low, high) =
        (known.clone().fold(f32::INFINITY, f32::min), known.fold(f32::NEG_INFINITY, f32::max));
    let halfway = reach(&face, &Guides::Contours(vec![low + (high - low) / 2.0]));
    for levels in [vec![], vec![10.0], vec![900.0]] {
        let alone = reach(&face, &Guides::Contours(levels));
        for (alone, halfway) in alone.metres.iter().zip(&halfway.metres) {
            assert!(close(*alone, *halfway) || alone.is_infinite() && halfway.is_infinite());
        }
    }
}

#[test]
fn a_level_part_is_reckoned_from_its_middle() {
    let face = oblong([9, 9], &EVERYWHERE, |_, _| 5.0);
    let reach = reach(&face, &Guides::Contours(vec![]));
    assert!(reach.metres[40].abs() < f32::EPSILON);
    for (cell, metres) in reach.metres.iter().enumerate() {
        let (row, col) = ((cell / 9).abs_diff(4) as f32, (cell % 9).abs_diff(4) as f32);
        let straight = row.hypot(2.0 * col);
        assert!((straight - 1e-3..=1.3 * straight + 1e-3).contains(metres), "{cell}: {metres}");
    }
}
