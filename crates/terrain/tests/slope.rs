//! Slope and aspect against planes, cones, published examples and GDAL.

use proptest::prelude::*;
use terrain::{Grid, Raster, SlopeAspect, SlopeMethod, slope_aspect};

mod ground;

const METHODS: [SlopeMethod; 2] = [SlopeMethod::Horn, SlopeMethod::ZevenbergenThorne];

#[expect(clippy::unwrap_used, reason = "only tests come here")]
fn middle_of(window: [f32; 9], cell: f64) -> (f32, f32) {
    let grid = Grid::new(3, 3, 0.0, 0.0, cell, cell).unwrap();
    let ground = slope_aspect(&Raster::new(grid, window.to_vec()).unwrap(), SlopeMethod::Horn);
    (ground.slope_deg.at(1, 1), ground.aspect_deg.at(1, 1))
}

/// The 3 × 3 examples of the Esri `ArcGIS` documentation, "How Slope works" (75.25762° at a cell of
/// 5) and "How Aspect works" (92.64°), which follow Burrough & `McDonnell` 1998, Principles of
/// Geographical Information Systems. Figures from memory.
#[test]
fn published_worked_examples_come_out() {
    let (slope, _) = middle_of([50.0, 45.0, 50.0, 30.0, 30.0, 30.0, 8.0, 10.0, 10.0], 5.0);
    assert!((slope - 75.257_62).abs() < 1e-4, "{slope}");
    let (_, aspect) = middle_of([101.0, 92.0, 85.0, 101.0, 92.0, 85.0, 101.0, 91.0, 84.0], 5.0);
    assert!((aspect - 92.64).abs() < 0.01, "{aspect}");
}

#[expect(clippy::unwrap_used, reason = "only tests come here")]
fn numbers(text: &str) -> Vec<f32> {
    text.split_whitespace().map(|number| number.parse().unwrap()).collect()
}

fn degrees_apart(a: f32, b: f32) -> f32 {
    let apart = (a - b).abs();
    apart.min(360.0 - apart)
}

/// Compares with what GDAL 3.6.2 makes of real ground (`data/README.md`); returns cells compared.
fn compare(ours: &Raster<f32>, theirs: &str, what: &str) -> usize {
    let theirs = numbers(theirs);
    assert_eq!(ours.cells().len(), theirs.len());
    for (cell, (ours, theirs)) in ours.cells().iter().zip(&theirs).enumerate() {
        let alike = degrees_apart(*ours, *theirs) < 2e-4 || (ours.is_nan() && theirs.is_nan());
        assert!(alike, "{what} of cell {cell}: {ours} against {theirs}");
    }
    theirs.iter().filter(|angle| !angle.is_nan()).count()
}

#[expect(clippy::unwrap_used, reason = "only tests come here")]
fn maunga_whau(width: f64, method: SlopeMethod) -> SlopeAspect {
    let elevation = numbers(include_str!("data/maunga_whau/elevation_m.txt"));
    let grid = Grid::new(87, 61, 0.0, 610.0, width, 10.0).unwrap();
    slope_aspect(&Raster::new(grid, elevation).unwrap(), method)
}

#[test]
fn maunga_whau_agrees_with_gdal() {
    let horn = maunga_whau(10.0, SlopeMethod::Horn);
    let theirs = include_str!("data/maunga_whau/slope_horn_deg.txt");
    assert_eq!(compare(&horn.slope_deg, theirs, "Horn slope"), 85 * 59);
    let theirs = include_str!("data/maunga_whau/aspect_horn_deg.txt");
    assert!(compare(&horn.aspect_deg, theirs, "Horn aspect") > 4000);

    let other = maunga_whau(10.0, SlopeMethod::ZevenbergenThorne);
    let theirs = include_str!("data/maunga_whau/slope_zevenbergen_thorne_deg.txt");
    assert_eq!(compare(&other.slope_deg, theirs, "other slope"), 85 * 59);
    let theirs = include_str!("data/maunga_whau/aspect_zevenbergen_thorne_deg.txt");
    assert!(compare(&other.aspect_deg, theirs, "other aspect") > 4000);
}

/// Only slope: GDAL 3.6.2 takes aspect as if the cells were square, which a plane shows wrong.
#[test]
fn maunga_whau_on_wide_cells_agrees_with_gdal() {
    let wide = maunga_whau(20.0, SlopeMethod::Horn);
    let theirs = include_str!("data/maunga_whau/slope_horn_wide_cells_deg.txt");
    assert_eq!(compare(&wide.slope_deg, theirs, "slope"), 85 * 59);
}

proptest! {
    #[test]
    fn a_plane_has_its_slope_and_aspect(
        steep in 0.5..80.0_f64, facing in 0.0..360.0_f64, width in 0.5..20.0_f64, height in 0.5..20.0_f64,
    ) {
        let grid = Grid::new(4, 5, 0.0, 0.0, width, height).unwrap();
        let (east, north) = facing.to_radians().sin_cos();
        let plane = Raster::from_fn(grid, |row, col| {
            let (x, y) = grid.centre(row, col);
            (-(x * east + y * north) * steep.to_radians().tan()) as f32
        });
        for method in METHODS {
            let ours = slope_aspect(&plane, method);
            prop_assert!((f64::from(ours.slope_deg.at(2, 1)) - steep).abs() < 1e-2);
            prop_assert!(degrees_apart(ours.aspect_deg.at(2, 1), facing as f32) < 2e-2);
        }
    }

    #[test]
    fn a_quarter_turn_turns_aspect_and_leaves_slope(elevation in ground::rough_ground()) {
        let grid = *elevation.grid();
        let turned = ground::turned(&elevation);
        let turned_grid = *turned.grid();
        for method in METHODS {
            let (before, after) = (slope_aspect(&elevation, method), slope_aspect(&turned, method));
            for (row, col) in ground::cells(turned_grid) {
                let (old_row, old_col) = (grid.rows() - 1 - col, row);
                let slope = (before.slope_deg.get(old_row, old_col), after.slope_deg.get(row, col));
                let aspect =
                    (before.aspect_deg.get(old_row, old_col), after.aspect_deg.get(row, col));
                prop_assert_eq!(slope.0.is_some(), slope.1.is_some());
                prop_assert_eq!(aspect.0.is_some(), aspect.1.is_some());
                if let ((Some(a), Some(b)), (Some(c), Some(d))) = (slope, aspect) {
                    prop_assert!((a - b).abs() < 1e-4);
                    prop_assert!(degrees_apart(c + 90.0, d) < 1e-3 || degrees_apart(c - 270.0, d) < 1e-3);
                }
            }
        }
    }

    #[test]
    fn fast_agrees_with_slow_and_holes_stay_holes(elevation in ground::rough_ground()) {
        for method in METHODS {
            let SlopeAspect { slope_deg, aspect_deg } = slope_aspect(&elevation, method);
            for (row, col) in ground::cells(*elevation.grid()) {
                match slow(&elevation, method, row, col) {
                    None => {
                        prop_assert_eq!(slope_deg.get(row, col), None);
                        prop_assert_eq!(aspect_deg.get(row, col), None);
                    }
                    Some((slope, aspect)) => {
                        prop_assert!((slope_deg.at(row, col) - slope as f32).abs() < 1e-4);
                        prop_assert!(degrees_apart(aspect_deg.at(row, col), aspect as f32) < 1e-3);
                    }
                }
            }
        }
    }

    #[test]
    fn level_ground_faces_nowhere(level in -100.0..4000.0_f32) {
        let flat = Raster::filled(Grid::new(5, 4, 0.0, 0.0, 2.0, 3.0).unwrap(), level);
        for method in METHODS {
            let ours = slope_aspect(&flat, method);
            prop_assert_eq!(ours.slope_deg.get(1, 2), Some(0.0));
            prop_assert_eq!(ours.aspect_deg.get(1, 2), None);
        }
    }
}

/// The formulas as their papers have them, a cell at a time with the library's arc tangents.
fn slow(ground: &Raster<f32>, method: SlopeMethod, row: usize, col: usize) -> Option<(f64, f64)> {
    let grid = ground.grid();
    let here = Some((row, col));
    let [e, s, w, n, se, sw, nw, ne] =
        ground::neighbours(grid, row, col).map(|cell| ground::known(ground, cell).map(f64::from));
    ground::known(ground, here)?;
    let (e, s, w, n, se, sw, nw, ne) = (e?, s?, w?, n?, se?, sw?, nw?, ne?);
    let (east, south) = match method {
        SlopeMethod::Horn => (
            (ne + 2.0 * e + se - nw - 2.0 * w - sw) / 8.0,
            (sw + 2.0 * s + se - nw - 2.0 * n - ne) / 8.0,
        ),
        SlopeMethod::ZevenbergenThorne => ((e - w) / 2.0, (s - n) / 2.0),
    };
    let (east, north) = (-east / grid.cell_width(), south / grid.cell_height());
    Some((east.hypot(north).atan().to_degrees(), east.atan2(north).to_degrees().rem_euclid(360.0)))
}

/// On z = x² + y² the central difference is exact, and so is the angle of each cell, whatever the
/// cell sides and whether it is a bowl or a dome.
#[test]
fn a_paraboloid_faces_its_middle_or_away() {
    let grids = [(41, 31, -20.5, 15.5, 1.0, 1.0), (41, 31, -41.0, 11.625, 2.0, 0.75)];
    let grids = grids.map(|(cols, rows, west, north, width, height)| {
        Grid::new(cols, rows, west, north, width, height).unwrap()
    });
    for (grid, height) in [(grids[0], 1.0), (grids[0], -1.0), (grids[1], 1.0), (grids[1], -1.0)] {
        let paraboloid = Raster::from_fn(grid, |row, col| {
            let (x, y) = grid.centre(row, col);
            (height * (x * x + y * y) / 16.0) as f32
        });
        for method in METHODS {
            check_paraboloid(&slope_aspect(&paraboloid, method), height);
        }
    }
}

fn check_paraboloid(ours: &SlopeAspect, height: f64) {
    let grid = *ours.slope_deg.grid();
    let mut compared = 0;
    for (row, col) in ground::cells(grid) {
        let (x, y) = grid.centre(row, col);
        let Some(slope) = ours.slope_deg.get(row, col) else { continue };
        assert!((f64::from(slope) - (x.hypot(y) / 8.0).atan().to_degrees()).abs() < 1e-4);
        if x.hypot(y) > 1e-9 {
            let down = (-height * x).atan2(-height * y).to_degrees().rem_euclid(360.0);
            assert!(degrees_apart(ours.aspect_deg.at(row, col), down as f32) < 1e-3);
        }
        compared += 1;
    }
    assert_eq!(compared, 39 * 29);
}

/// Far from its top a cone is as steep everywhere, and faces away from the top: both methods, and
/// cells that are wider than they are high.
#[test]
fn a_cone_is_as_steep_all_round() {
    for (cols, width) in [(201, 1.0), (135, 1.5)] {
        let half = f64::from(cols) * width / 2.0;
        let grid = Grid::new(cols as usize, 201, -half, 100.5, width, 1.0).unwrap();
        let cone = Raster::from_fn(grid, |row, col| {
            let (x, y) = grid.centre(row, col);
            (-x.hypot(y) * 30.0_f64.to_radians().tan()) as f32
        });
        for method in METHODS {
            let ours = slope_aspect(&cone, method);
            for (row, col) in ground::cells(grid) {
                let (x, y) = grid.centre(row, col);
                if let Some(slope) = ours.slope_deg.get(row, col)
                    && x.hypot(y) > 50.0
                {
                    assert!((slope - 30.0).abs() < 0.02, "{slope} at {x}, {y}");
                    let outward = x.atan2(y).to_degrees().rem_euclid(360.0);
                    assert!(degrees_apart(ours.aspect_deg.at(row, col), outward as f32) < 0.05);
                }
            }
        }
    }
}
