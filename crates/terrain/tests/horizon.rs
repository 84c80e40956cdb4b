//! Horizons against rays followed step by step, closed forms and laws.

use proptest::prelude::*;
use terrain::{
    ExposureSettings, Grid, GridError, Raster, WindRose, exposure_deg, horizon_deg,
    horizon_reach_cells, sky_view_share,
};

mod ground;

/// Ground on a row (or column) of cells at `beside` cells from the centre of a cell.
fn drawn(elevation: &Raster<f32>, along: (bool, isize), across: isize, beside: f64) -> Option<f64> {
    let cell = |across: isize| {
        let (row, col) = if along.0 { (along.1, across) } else { (across, along.1) };
        let (row, col) = (usize::try_from(row).ok()?, usize::try_from(col).ok()?);
        let inside = row < elevation.grid().rows() && col < elevation.grid().cols();
        ground::known(elevation, inside.then_some((row, col))).map(f64::from)
    };
    let here = cell(across)?;
    let next = cell(across + if beside < 0.0 { -1 } else { 1 }).unwrap_or(here);
    Some(here + (next - here) * beside.abs())
}

/// The tangent of the horizon by following the line from each cell to the end of the grid.
fn slow(
    elevation: &Raster<f32>,
    azimuth: f64,
    distance: f64,
    row: usize,
    col: usize,
) -> Option<f64> {
    let grid = elevation.grid();
    let (east, north) = azimuth.to_radians().sin_cos();
    let (right, down) = (east / grid.cell_width(), -north / grid.cell_height());
    let rows = down.abs() >= right.abs();
    let (ahead, aside) = if rows { (down, right) } else { (right, down) };
    let (along, across) = if rows { (row, col) } else { (col, row) };
    let first = if rows {
        -(grid.north() / grid.cell_height() + 0.381_966).floor()
    } else {
        (grid.west() / grid.cell_width() + 0.381_966).floor()
    };
    let mut drift = aside / ahead;
    if (drift - drift.round()).abs() < 1e-9 {
        drift = drift.round();
    }
    let passes = |along: isize| {
        let place = drift * (first + along as f64);
        let whole = (place + 0.5).floor();
        (whole as isize, place - whole)
    };
    let (whole, beside) = passes(along as isize);
    let line = across as isize - whole;
    let here = drawn(elevation, (rows, along as isize), across as isize, beside)?;
    let mut best = None;
    for step in 1..=grid.rows().max(grid.cols()) as isize {
        let there = along as isize + step * ahead.signum() as isize;
        let far = step as f64 / ahead.abs();
        if far > distance * (1.0 + 1e-12) {
            break;
        }
        let (whole, beside) = passes(there);
        if let Some(level) = drawn(elevation, (rows, there), line + whole, beside) {
            let tangent = (level - here) / far;
            best = Some(best.map_or(tangent, |best: f64| best.max(tangent)));
        }
    }
    Some(best.unwrap_or(0.0))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]
    #[test]
    fn hulls_see_what_rays_see(
        elevation in prop_oneof![ground::rough_ground(), ground::stepped_ground()],
        azimuth in prop_oneof![-400.0..400.0_f64, (0..16_i32).prop_map(|k| 22.5 * f64::from(k))],
        distance in prop_oneof![1.0..60.0_f64, Just(f64::INFINITY), (1..9_i32).prop_map(f64::from)],
    ) {
        let fast = horizon_deg(&elevation, azimuth, distance).unwrap();
        for (row, col) in ground::cells(*elevation.grid()) {
            match slow(&elevation, azimuth, distance, row, col) {
                None => prop_assert_eq!(fast.get(row, col), None),
                Some(tangent) => prop_assert!(
                    (f64::from(fast.at(row, col)) - tangent.atan().to_degrees()).abs() < 1e-4, // a micrometre in a metre, and f32
                    "{} against {} at {row}, {col}", fast.at(row, col), tangent.atan().to_degrees()
                ),
            }
        }
    }
}

/// Cells of a window of `elevation`, on their own grid.
#[expect(clippy::unwrap_used, reason = "only tests come here")]
fn cut(elevation: &Raster<f32>, window: terrain::Window) -> Raster<f32> {
    let grid = elevation.grid();
    let (width, height) = (grid.cell_width(), grid.cell_height());
    let (west, north) =
        (grid.west() + window.col as f64 * width, grid.north() - window.row as f64 * height);
    let part = Grid::new(window.cols, window.rows, west, north, width, height).unwrap();
    Raster::from_fn(part, |row, col| elevation.at(window.row + row, window.col + col))
}

/// Rolling ground of `side` cells, rough to a metre.
#[expect(clippy::unwrap_used, reason = "only tests come here")]
fn hills(side: usize, width: f64, height: f64) -> Raster<f32> {
    let grid = Grid::new(side, side, 1_812_000.5 * width, 5_610_000.25 * height, width, height);
    Raster::from_fn(grid.unwrap(), |row, col| {
        let (x, y) = (col as f64 * width, row as f64 * height);
        let speckle = ((row * 7919 + col * 104_729) % 1009) as f64 / 1009.0;
        ((x / 31.0).sin() * 20.0 + (y / 23.0 + x / 57.0).cos() * 25.0 + speckle) as f32
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    /// Exactly, bit by bit: tiles may be reckoned one at a time.
    #[test]
    fn a_window_with_halo_equals_the_whole(
        azimuth in prop_oneof![0.0..360.0_f64, (0..16_i32).prop_map(|k| 22.5 * f64::from(k))],
        distance in 5.0..40.0_f64, row in 0..50_usize, col in 0..50_usize,
        width in prop_oneof![Just(1.0), Just(0.7), Just(2.0)], height in prop_oneof![Just(1.0), Just(1.3)],
    ) {
        let whole = hills(90, width, height);
        let inner = terrain::Window { row, col, rows: 25, cols: 31 };
        let wide = inner.widened(horizon_reach_cells(whole.grid(), distance), whole.grid());
        let expected = horizon_deg(&whole, azimuth, distance).unwrap();
        let found = horizon_deg(&cut(&whole, wide), azimuth, distance).unwrap();
        for row in inner.row..inner.row + inner.rows {
            for col in inner.col..inner.col + inner.cols {
                let (a, b) = (expected.at(row, col), found.at(row - wide.row, col - wide.col));
                prop_assert_eq!(a.to_bits(), b.to_bits(), "{} against {}", a, b);
            }
        }
    }

    #[test]
    fn more_ground_never_lowers_the_horizon(
        elevation in ground::rough_ground(), azimuth in 0.0..360.0_f64, distance in 5.0..50.0_f64,
    ) {
        let near = horizon_deg(&elevation, azimuth, distance).unwrap();
        let far = horizon_deg(&elevation, azimuth, distance * 2.0).unwrap();
        for (near, far) in near.cells().iter().zip(far.cells()) {
            // 0 stands for no ground at all
            prop_assert!(near.is_nan() || near <= far || *near == 0.0);
        }
    }

    #[test]
    fn a_plane_rises_alike_everywhere(
        steep in 0.0..60.0_f64, facing in 0.0..360.0_f64, azimuth in 0.0..360.0_f64,
        width in 0.5..20.0_f64, height in 0.5..20.0_f64,
    ) {
        let grid = Grid::new(23, 21, 0.0, 0.0, width, height).unwrap();
        let (east, north) = facing.to_radians().sin_cos();
        let plane = Raster::from_fn(grid, |row, col| {
            let (x, y) = grid.centre(row, col);
            (-(x * east + y * north) * steep.to_radians().tan()) as f32
        });
        let (right, up) = azimuth.to_radians().sin_cos();
        // Eight places: beyond the grid's edge there is no neighbour to draw ground to.
        let on_grid = 8.0 / (right.abs() / width).max(up.abs() / height);
        let angle = horizon_deg(&plane, azimuth, on_grid).unwrap().at(10, 11);
        let rise = -steep.to_radians().tan() * (azimuth - facing).to_radians().cos();
        // Heights of some 800 m are whole multiples of 6e-5 m, over steps from half a metre.
        prop_assert!((f64::from(angle) - rise.atan().to_degrees()).abs() < 2e-2, "{angle}");
    }
}

/// On smooth ground the point looked from, half a cell at most beside the centre, and straight
/// ground between centres matter little: rays from the very centres over the very surface see the same.
#[test]
fn smooth_ground_has_the_horizon_of_its_surface() {
    let surface = |x: f64, y: f64| (x / 90.0).sin() * 60.0 + (y / 70.0 + x / 130.0).cos() * 50.0;
    let grid = Grid::new(160, 160, 3.0, 1003.0, 5.0, 5.0).unwrap();
    let ground = Raster::from_fn(grid, |row, col| {
        let (x, y) = grid.centre(row, col);
        surface(x, y) as f32
    });
    for azimuth in [0.0_f64, 11.0, 22.5, 30.0, 45.0, 77.7, 133.0, 200.0, 251.0, 290.0, 338.0] {
        let fast = horizon_deg(&ground, azimuth, 300.0).unwrap();
        let (east, north) = azimuth.to_radians().sin_cos();
        let (mut worst, mut squares) = (0.0_f64, 0.0);
        for (row, col) in (64..96).flat_map(|row| (64..96).map(move |col| (row, col))) {
            let (x, y) = grid.centre(row, col);
            let step_m = 5.0 / east.abs().max(north.abs());
            let seen = (1..=60)
                .map(|step| f64::from(step) * step_m)
                .filter(|far| *far <= 300.0)
                .map(|far| (surface(x + far * east, y + far * north) - surface(x, y)) / far);
            let angle = seen.fold(f64::NEG_INFINITY, f64::max).atan().to_degrees();
            let apart = (f64::from(fast.at(row, col)) - angle).abs();
            worst = worst.max(apart);
            squares += apart * apart;
        }
        let most = if azimuth % 45.0 == 0.0 { 1e-3 } else { 1.5 }; // cells of 5 m on slopes up to 50°
        assert!(worst < most && (squares / 1024.0).sqrt() < 0.45, "{azimuth}: {worst}");
    }
}

#[test]
fn a_hole_neither_hides_nor_stops() {
    let line = |cells: &[f32]| {
        Raster::new(Grid::new(cells.len(), 1, 0.0, 0.0, 1.0, 1.0).unwrap(), cells.to_vec()).unwrap()
    };
    let east = horizon_deg(&line(&[0.0, f32::NAN, f32::INFINITY, 3.0]), 90.0, 99.0).unwrap();
    assert!((east.at(0, 0) - 45.0).abs() < 1e-5);
    assert_eq!(east.get(0, 1), None);
    assert_eq!(east.get(0, 2), None);
    assert_eq!(east.get(0, 3), Some(0.0), "no ground further on");
    let alone = horizon_deg(&line(&[0.0, f32::NAN, 9.0]), 90.0, 1.0).unwrap();
    assert_eq!(alone.get(0, 0), Some(0.0), "9 m is too far");
}

#[test]
fn horizons_refuse_what_they_cannot_use() {
    let ground = Raster::filled(Grid::new(3, 3, 0.0, 0.0, 1.0, 1.0).unwrap(), 1.0);
    let refused =
        |result: Result<Raster<f32>, GridError>| matches!(result, Err(GridError::Setting { .. }));
    for distance in [0.0, -1.0, f64::NAN, f64::NEG_INFINITY] {
        assert!(refused(horizon_deg(&ground, 0.0, distance)));
        assert!(refused(sky_view_share(&ground, distance, 16)));
        let settings = ExposureSettings { distance_m: distance, ..Default::default() };
        assert!(refused(exposure_deg(&ground, &settings)));
    }
    assert!(refused(horizon_deg(&ground, f64::NAN, 10.0)));
    assert!(
        refused(sky_view_share(&ground, 10.0, 3)) && refused(sky_view_share(&ground, 10.0, 361))
    );
    for shares in
        [[0.0; 8], [-1.0, 3.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0], [f64::NAN; 8], [f64::MAX; 8]]
    {
        assert!(WindRose::new(shares).is_err());
    }
}

#[test]
fn the_cores_do_not_matter() {
    let ground = hills(150, 2.0, 3.0);
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| {
            let sum = exposure_deg(&ground, &ExposureSettings::default()).unwrap();
            let open = sky_view_share(&ground, 120.0, 16).unwrap();
            sum.cells().iter().chain(open.cells()).map(|x| x.to_bits()).collect::<Vec<_>>()
        })
    };
    let one = on(1);
    assert!(one == on(2) && one == on(5));
}
