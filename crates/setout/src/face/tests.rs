//! What a face says of its cells: height, slope, plants asked for, and what lies within.

use super::*;

fn square(west: f64, south: f64, side: f64) -> Outline {
    Outline::new(&[vec![
        [west, south],
        [west + side, south],
        [west + side, south + side],
        [west, south + side],
    ]])
}

fn face(cell: f64, spacing: f64, height: impl Fn(f64, f64) -> f32) -> Face {
    let grid = Grid::new(20, 20, 0.0, 20.0 * cell, cell, cell).unwrap();
    let heights = Raster::from_fn(grid, |row, col| {
        let (x, y) = grid.centre(row, col);
        height(x, y)
    });
    let plants = Raster::filled(grid, 0.1);
    Face::new(&heights, &plants, square(4.3 * cell, 4.3 * cell, 10.0 * cell), spacing).unwrap()
}

#[test]
fn a_plane_stays_one_when_it_is_refined() {
    let plane = |x: f64, y: f64| (0.3 * x + 0.2 * y) as f32;
    let face = face(5.0, 3.0, plane);
    assert_eq!((face.grid().cols(), face.grid().cell_width()), (80, 1.25));
    for at in [[30.2, 41.7], [55.0, 55.0], [61.3, 28.8]] {
        assert!((face.height(at) - f64::from(plane(at[0], at[1]))).abs() < 1e-4, "{at:?}");
    }
}

#[test]
fn whole_cells_are_within_and_none_is_missed() {
    let face = face(1.0, 3.0, |_, _| 0.0);
    for cell in 0..face.grid().len() {
        let [x, y] = face.centre(cell);
        let corners = [[-0.5, -0.5], [0.5, -0.5], [0.5, 0.5], [-0.5, 0.5]];
        let inside = corners.iter().filter(|[e, n]| face.outline.contains([x + e, y + n]));
        match (inside.count(), face.within()[cell]) {
            (4, within) => assert_ne!(within, Within::No),
            (1..=3, within) => assert_eq!(within, Within::Border),
            (_, within) => assert_ne!(within, Within::Whole),
        }
    }
    assert!(face.within().contains(&Within::Whole) && face.within().contains(&Within::No));
}

#[test]
fn holes_take_the_height_of_a_neighbour() {
    let face = face(1.0, 3.0, |x, _| if x > 10.0 { f32::NAN } else { 7.0 });
    assert!((face.height([14.0, 10.0]) - 7.0).abs() < 1e-9);
    assert!((face_of_nothing().height([3.0, 3.0])).abs() < 1e-9);
}

fn face_of_nothing() -> Face {
    face(1.0, 3.0, |_, _| f32::NAN)
}

#[test]
fn plants_stand_only_within() {
    let face = face(1.0, 3.0, |_, _| 0.0);
    assert!((face.plants_at([10.0, 10.0]) - 0.1).abs() < 1e-6);
    assert!(face.plants_at([4.2, 10.0]) == 0.0 && face.plants_at([4.4, 10.0]) > 0.0);
    assert!(face.plants_at([-50.0, 10.0]) == 0.0);
    assert!((face.open_m2() - 100.0).abs() <= 10.0, "{}", face.open_m2());
}

/// Every value counts by how near it is along both axes, the weights being 1 together.
fn by_weights(cells: &[f32], cols: usize, east: f64, south: f64) -> f64 {
    let rows = cells.len() / cols;
    let (east, south) = (east.clamp(0.0, (cols - 1) as f64), south.clamp(0.0, (rows - 1) as f64));
    let near = |place: usize, at: f64| (1.0 - (place as f64 - at).abs()).max(0.0);
    cells
        .iter()
        .enumerate()
        .map(|(cell, value)| f64::from(*value) * near(cell % cols, east) * near(cell / cols, south))
        .sum()
}

#[test]
fn between_centres_values_count_by_nearness() {
    let cells = [3.0, 7.0, -2.0, 11.0, 5.0, 19.0, 0.5, 4.0, 23.0, 1.0, 6.0, -9.0];
    for east in [-1.7, 0.0, 0.25, 1.0, 1.8, 2.0, 2.9, 3.0, 3.6, 4.4, 9.0] {
        for south in [-2.0, 0.0, 0.4, 1.0, 1.7, 2.0, 2.5, 3.3, 7.0] {
            let (found, slow) =
                (bilinear(&cells, 4, 3, east, south), by_weights(&cells, 4, east, south));
            assert!((found - slow).abs() < 1e-12, "{east} {south}: {found} for {slow}");
        }
    }
}

/// Cells of 4 by 3 m, as they were measured.
fn oblong(ring: &[[f64; 2]], spacing: f64, height: impl Fn(f64, f64) -> f64) -> Face {
    let grid = Grid::new(15, 20, 200.0, 960.0, 4.0, 3.0).unwrap();
    let heights = Raster::from_fn(grid, |row, col| {
        let (x, y) = grid.centre(row, col);
        height(x - 200.0, y - 900.0) as f32
    });
    let plants = Raster::from_fn(grid, |row, col| (row * 100 + col) as f32);
    let ring = ring.iter().map(|[x, y]| [200.0 + x, 900.0 + y]).collect();
    Face::new(&heights, &plants, Outline::new(&[ring]), spacing).unwrap()
}

const EVERYWHERE: [[f64; 2]; 4] = [[-50.0, -50.0], [500.0, -50.0], [500.0, 500.0], [-50.0, 500.0]];

/// Cells of 4 m for plants 5 m apart are halved, to 2 m; for plants 8 m apart they are left.
#[test]
fn cells_are_at_most_half_a_spacing_wide() {
    let widths = |spacing: f64| {
        let face = oblong(&EVERYWHERE, spacing, |x, y| 0.3 * x + 0.2 * y);
        let grid = *face.grid();
        let corners = [grid.west(), grid.north(), grid.east(), grid.south()];
        assert_eq!(corners.map(f64::to_bits), [200.0, 960.0, 260.0, 900.0].map(f64::to_bits));
        (grid.cols(), grid.rows(), [grid.cell_width(), grid.cell_height()])
    };
    assert_eq!(widths(8.0), (15, 20, [4.0, 3.0]));
    assert_eq!(widths(5.0), (30, 40, [2.0, 1.5]));
    assert_eq!(widths(2.0), (60, 80, [1.0, 0.75]));
    // No finer than 64 times, however near plants are to stand.
    let two = Raster::filled(Grid::new(2, 1, 0.0, 1.0, 1.0, 1.0).unwrap(), 1.0_f32);
    let near = Face::new(&two, &two, Outline::new(&[EVERYWHERE.to_vec()]), 0.001).unwrap();
    assert_eq!((near.grid().cols(), near.grid().rows()), (128, 64));
}

#[test]
fn what_is_asked_for_is_that_of_the_measured_cell() {
    for spacing in [8.0, 3.0, 1.3] {
        let face = oblong(&EVERYWHERE, spacing, |_, _| 0.0);
        for (row, col) in [(0, 1), (0, 14), (7, 3), (19, 0), (19, 14)] {
            for (east, south) in [(0.1, 0.1), (3.9, 0.1), (0.1, 2.9), (3.9, 2.9)] {
                let x = 200.0 + 4.0 * f64::from(col) + east;
                let y = 960.0 - 3.0 * f64::from(row) - south;
                let plants = face.plants_at([x, y]);
                assert!((plants - f64::from(row * 100 + col)).abs() < 1e-9, "{row} {col}");
            }
        }
    }
}

#[test]
fn less_than_no_plants_are_none() {
    let grid = Grid::new(6, 6, 0.0, 6.0, 1.0, 1.0).unwrap();
    let flat = Raster::filled(grid, 0.0_f32);
    for none in [0.0, -1.0, f32::NAN] {
        let plants = Raster::from_fn(grid, |_, col| if col == 3 { none } else { 2.0 });
        let face = Face::new(&flat, &plants, Outline::new(&[EVERYWHERE.to_vec()]), 4.0);
        let face = face.unwrap();
        assert_eq!(face.open_cells().count(), 30);
        assert!(face.plants_at([3.5, 3.5]).abs() < 1e-12);
        let most: Vec<f64> = face.most_plants_of_cells().collect();
        assert!(most.iter().enumerate().all(|(cell, most)| {
            let expected = if cell % 6 == 3 { 0.0 } else { 2.0 };
            (most - expected).abs() < 1e-12
        }));
    }
}

/// On a plane the slope is that of the plane to the edge of the grid; on ground that curves it is
/// that of the chord over both neighbours, which for a parabola is the slope itself.
#[test]
fn the_slope_is_that_of_the_ground() {
    let plane = oblong(&EVERYWHERE, 8.0, |x, y| 0.36 * x - 0.48 * y);
    for cosine in plane.cosines() {
        assert!((cosine - 1.36_f32.sqrt().recip()).abs() < 1e-5, "{cosine}");
    }
    let bowl = oblong(&EVERYWHERE, 8.0, |x, y| 0.01 * x * x + 0.02 * y * y + 0.005 * x * y);
    for (cell, cosine) in bowl.cosines().iter().enumerate() {
        let (row, col) = (cell / 15, cell % 15);
        if (1..19).contains(&row) && (1..14).contains(&col) {
            let [x, y] = bowl.centre(cell);
            let (x, y) = (x - 200.0, y - 900.0);
            let (east, north) = (0.02 * x + 0.005 * y, 0.04 * y + 0.005 * x);
            let exact = (1.0 + east * east + north * north).sqrt().recip();
            assert!((f64::from(*cosine) - exact).abs() < 1e-4, "{row} {col}: {cosine}");
        }
    }
}

/// On ground of 3 : 4 a square metre of map is 1.25 of ground.
#[test]
fn ground_asks_for_less_a_square_metre_than_its_map() {
    let face = oblong(&EVERYWHERE, 8.0, |_, y| 0.75 * y);
    let at = [230.0, 928.0];
    assert!((face.plants_on_ground_at(at) - 0.8 * face.plants_at(at)).abs() < 1e-3);
    assert!(face.plants_on_ground_at([0.0, 0.0]).abs() < 1e-12, "beyond the grid");
}

/// Of cells on the border those count whose centre is within.
#[test]
fn open_ground_is_that_of_the_cells_within() {
    // From the second half of column 2 to the first half of column 6, row 5 to row 12 so.
    let ring = [[11.0, 22.0], [25.0, 22.0], [25.0, 44.0], [11.0, 44.0]];
    let face = oblong(&ring, 8.0, |_, _| 0.0);
    // Columns 3 to 5; northings 22.5 to 43.5.
    assert!((face.open_m2() - 3.0 * 8.0 * 12.0).abs() < 1e-9, "{}", face.open_m2());
    let most: Vec<f64> = face.most_plants_of_cells().collect();
    for (cell, most) in most.iter().enumerate() {
        let (row, col) = (cell / 15, cell % 15);
        let is_near = (4..=13).contains(&row) && (1..=7).contains(&col);
        let expected = if is_near { (row * 100 + col) as f64 * 12.0 } else { 0.0 };
        assert!((most - expected).abs() < 1e-6, "{row} {col}: {most}");
    }
}

/// Slow twin: many points along the border and within every cell.
#[test]
fn cells_lie_as_all_their_points_do() {
    let crooked = [[7.3, 5.1], [33.9, 9.2], [57.0, 2.3], [49.1, 55.7], [27.7, 31.3], [9.9, 44.4]];
    // Another reaches beyond the grid on all sides, a third is too thin for any centre.
    let beyond = [[-9.0, 21.0], [31.0, -9.0], [71.0, 33.0], [27.0, 75.0]];
    let thin = [[5.1, 4.6], [40.2, 4.7], [40.2, 4.8], [5.1, 4.7]];
    // The last passes through all outermost cells, outside of their centres.
    let most = [[1.2, 0.4], [59.1, 0.6], [58.8, 59.6], [1.1, 59.4]];
    // And one lies wholly beside the grid.
    let beside = [[-30.0, 10.0], [-12.0, 10.0], [-12.0, 40.0], [-30.0, 40.0]];
    for ring in [&crooked[..], &beyond, &thin, &most, &beside] {
        let face = oblong(ring, 8.0, |_, _| 0.0);
        let grid = *face.grid();
        let cols = grid.cols();
        let mut touched = vec![false; grid.len()];
        for (from, to) in ring.iter().zip(ring.iter().cycle().skip(1)) {
            for part in 0..=4_000 {
                let share = f64::from(part) / 4_000.0;
                let [x, y] = [0, 1].map(|axis| from[axis] + (to[axis] - from[axis]) * share);
                if let Some((row, col)) = grid.cell_at(200.0 + x, 900.0 + y) {
                    touched[grid.index(row, col)] = true;
                }
            }
        }
        let holds = |cell: usize| touched[cell] || face.outline.contains(face.centre(cell));
        let near = |cell: usize, reach: usize| {
            (0..grid.len()).any(|other| {
                (cell / cols).abs_diff(other / cols) <= reach
                    && (cell % cols).abs_diff(other % cols) <= reach
                    && holds(other)
            })
        };
        for (cell, within) in face.within().iter().copied().enumerate() {
            if touched[cell] {
                assert_eq!(within, Within::Border, "{cell}");
            } else if face.outline.contains(face.centre(cell)) {
                assert_ne!(within, Within::No, "{cell}");
            } else if near(cell, 1) {
                assert_eq!(within, Within::Border, "{cell}");
            } else {
                assert_ne!(within, Within::Whole, "{cell}");
            }
            // A cell beside an edge may be taken for one that it passes.
            if !near(cell, 2) {
                assert_eq!(within, Within::No, "{cell}");
            }
        }
        let whole = face.within().iter().filter(|within| **within == Within::Whole).count();
        let inside = (0..grid.len()).filter(|cell| !touched[*cell] && holds(*cell)).count();
        assert!(whole + 2 >= inside, "{whole} of {inside}: all but a few are told at once");
    }
}

/// Slow twin: of all known cells one that is the fewest steps away.
#[test]
fn holes_take_the_height_of_one_of_the_nearest() {
    let grid = Grid::new(9, 7, 0.0, 7.0, 1.0, 1.0).unwrap();
    let is_known = |cell: usize| [3, 25, 44, 58].contains(&cell);
    let heights = Raster::from_fn(grid, |row, col| {
        let cell = row * 9 + col;
        if is_known(cell) { cell as f32 } else { f32::NAN }
    });
    let steps =
        |one: usize, other: usize| (one / 9).abs_diff(other / 9) + (one % 9).abs_diff(other % 9);
    for (cell, height) in known(&heights).into_iter().enumerate() {
        let from = height as usize;
        assert!(is_known(from), "{cell}: {height}");
        let least = (0..63).filter(|at| is_known(*at)).map(|at| steps(cell, at)).min();
        assert_eq!(Some(steps(cell, from)), least, "{cell}");
    }
}
