//! Curvature against closed forms and a window at a time.

use proptest::prelude::*;
use terrain::{Grid, Raster, SlopeMethod, curvature, slope_aspect};

mod ground;

/// A surface from its height at map coordinates.
fn surface(grid: Grid, height: impl Fn(f64, f64) -> f64) -> Raster<f32> {
    Raster::from_fn(grid, |row, col| {
        let (x, y) = grid.centre(row, col);
        height(x, y) as f32
    })
}

/// Compares every known cell's profile and plan curvature with a formula of map coordinates.
fn check(ground: &Raster<f32>, tolerance: f64, expected: impl Fn(f64, f64) -> Option<(f64, f64)>) {
    let ours = curvature(ground);
    let mut compared = 0;
    for (row, col) in ground::cells(*ground.grid()) {
        let (x, y) = ground.grid().centre(row, col);
        if let (Some(profile), Some(plan)) =
            (ours.profile_per_m.get(row, col), ours.plan_per_m.get(row, col))
            && let Some(expected) = expected(x, y)
        {
            assert!((f64::from(profile) - expected.0).abs() < tolerance, "{profile} at {x}, {y}");
            assert!((f64::from(plan) - expected.1).abs() < tolerance, "{plan} at {x}, {y}");
            compared += 1;
        }
    }
    assert!(compared > 50);
}

#[expect(clippy::unwrap_used, reason = "only tests come here")]
fn oblong() -> Grid {
    Grid::new(31, 25, -31.0, 37.5, 2.0, 3.0).unwrap()
}

#[test]
fn planes_do_not_bend() {
    for (east, north) in [(0.0, 0.0), (0.5, 0.0), (0.25, -0.75), (-2.0, 1.5)] {
        check(&surface(oblong(), |x, y| 100.0 + east * x + north * y), 1e-5, |_, _| {
            Some((0.0, 0.0))
        });
    }
}

/// z = −k (x² + y²) has second derivative −2k whichever way, so both are 2k, on the summit too.
#[test]
fn a_dome_bends_alike_all_over_and_a_bowl_the_other_way() {
    for k in [0.0625, -0.125] {
        check(&surface(oblong(), |x, y| -k * (x * x + y * y)), 1e-5, |_, _| {
            Some((2.0 * k, 2.0 * k))
        });
    }
}

/// z = −(a x² + b y² + c x y): with p = −∂z/∂x, q = −∂z/∂y the second derivative along the fall
/// is (2a p² + 2b q² + 2c p q) ÷ (p² + q²), and across it (2a q² + 2b p² − 2c p q) ÷ (p² + q²).
#[test]
fn any_quadratic_comes_out_exactly() {
    for (a, b, c) in [(0.0625, 0.25, 0.125), (0.125, -0.0625, 0.25), (0.0, 0.0, 0.5)] {
        let ground = surface(oblong(), |x, y| -(a * x * x + b * y * y + c * x * y));
        check(&ground, 3e-5, |x, y| {
            let (p, q) = (2.0 * a * x + c * y, 2.0 * b * y + c * x);
            let fall = p * p + q * q;
            let down = 2.0 * (a * p * p + b * q * q + c * p * q) / fall;
            (fall > 1e-9).then_some((down, 2.0 * (a + b) - down))
        });
    }
}

/// A ridge with a round back, lying level at an angle: it bends down its sides and nowhere else.
#[test]
fn a_level_cylinder_bends_only_down_its_sides() {
    let radius = 200.0_f64;
    let (sin, cos) = 30.0_f64.to_radians().sin_cos();
    let away = |x: f64, y: f64| x * cos + y * sin;
    let ground = surface(oblong(), |x, y| (radius.powi(2) - away(x, y).powi(2)).sqrt());
    check(&ground, 2e-4, |x, y| {
        let across = away(x, y);
        let second = radius.powi(2) / (radius.powi(2) - across * across).powf(1.5);
        (across.abs() > 5.0).then_some((second, 0.0))
    });
}

/// Of a ball of radius R the curve down the fall line has curvature 1 ÷ R: profile ÷ (1 + g²)^1.5.
/// The contour at distance r from the axis has curvature 1 ÷ r: plan ÷ g, g the fall a metre.
#[test]
fn a_ball_has_the_curvature_of_its_radius() {
    let radius = 500.0_f64;
    let grid = Grid::new(201, 201, -100.5, 100.5, 1.0, 1.0).unwrap();
    let ground = surface(grid, |x, y| (radius * radius - x * x - y * y).sqrt() - radius);
    check(&ground, 4e-5, |x, y| {
        let r = x.hypot(y);
        let fall = r / (radius * radius - r * r).sqrt();
        (r > 3.0).then_some(((1.0 + fall * fall).powf(1.5) / radius, fall / r))
    });
}

#[expect(clippy::unwrap_used, reason = "only tests come here")]
fn numbers(text: &str) -> Vec<f32> {
    text.split_whitespace().map(|number| number.parse().unwrap()).collect()
}

/// What py-richdem 2.2.0rc3 makes of real ground (`data/README.md`): per 100 m, and with the sign of
/// profile the other way. Level windows are left out: it has 0 there by rule, we the mean.
#[test]
fn maunga_whau_agrees_with_richdem() {
    let grid = Grid::new(87, 61, 0.0, 610.0, 10.0, 10.0).unwrap();
    let cells = numbers(include_str!("data/maunga_whau/elevation_m.txt"));
    let elevation = Raster::new(grid, cells).unwrap();
    let ours = curvature(&elevation);
    let slope = slope_aspect(&elevation, SlopeMethod::ZevenbergenThorne).slope_deg;
    let theirs = [
        (numbers(include_str!("data/maunga_whau/curvature_profile_per_100_m.txt")), -100.0),
        (numbers(include_str!("data/maunga_whau/curvature_plan_per_100_m.txt")), 100.0),
    ];
    for (ours, (theirs, times)) in [&ours.profile_per_m, &ours.plan_per_m].into_iter().zip(theirs) {
        let mut compared = 0;
        for ((ours, theirs), slope) in ours.cells().iter().zip(theirs).zip(slope.cells()) {
            assert_eq!(ours.is_nan(), theirs.is_nan());
            if *slope > 0.0 {
                assert!((ours * times - theirs).abs() < 2e-6, "{ours} × {times}, {theirs}");
                compared += 1;
            }
        }
        assert!(compared > 4500, "{compared}");
    }
}

/// The formulas as the paper has them, a window at a time, with the mean where it is level.
fn slow(ground: &Raster<f32>, row: usize, col: usize) -> Option<(f64, f64)> {
    let (w, h) = (ground.grid().cell_width(), ground.grid().cell_height());
    let here = f64::from(ground::known(ground, Some((row, col)))?);
    let around =
        ground::neighbours(ground.grid(), row, col).map(|cell| ground::known(ground, cell));
    let [e, s, west, n, se, sw, nw, ne] = around.map(|level| level.map(f64::from));
    let (e, s, west, n) = (e?, s?, west?, n?);
    let d2 = (f64::midpoint(west, e) - here) / (w * w);
    let e2 = (f64::midpoint(n, s) - here) / (h * h);
    let f2 = (-nw? + ne? + sw? - se?) / (4.0 * w * h);
    let (g, k) = ((e - west) / (2.0 * w), (n - s) / (2.0 * h));
    let fall = g * g + k * k;
    if fall == 0.0 {
        return Some((-d2 - e2, -d2 - e2));
    }
    let profile = -2.0 * (d2 * g * g + e2 * k * k + f2 * g * k) / fall;
    let plan = -2.0 * (d2 * k * k + e2 * g * g - f2 * g * k) / fall;
    Some((profile, plan))
}

fn alike(fast: Option<f32>, slow: Option<f64>) -> bool {
    match (fast, slow) {
        (Some(fast), Some(slow)) => (f64::from(fast) - slow).abs() <= 1e-5 * slow.abs().max(1.0),
        (fast, slow) => fast.is_none() == slow.is_none(),
    }
}

proptest! {
    #[test]
    fn fast_agrees_with_slow_and_holes_stay_holes(
        elevation in prop_oneof![ground::rough_ground(), ground::stepped_ground()],
    ) {
        let ours = curvature(&elevation);
        for (row, col) in ground::cells(*elevation.grid()) {
            let slow = slow(&elevation, row, col);
            prop_assert!(alike(ours.profile_per_m.get(row, col), slow.map(|both| both.0)));
            prop_assert!(alike(ours.plan_per_m.get(row, col), slow.map(|both| both.1)));
        }
    }

    #[test]
    fn a_quarter_turn_leaves_both(elevation in ground::rough_ground()) {
        let grid = *elevation.grid();
        let (turned, before) = (curvature(&ground::turned(&elevation)), curvature(&elevation));
        for (row, col) in ground::cells(*turned.plan_per_m.grid()) {
            let (old_row, old_col) = (grid.rows() - 1 - col, row);
            for (after, before) in [
                (&turned.profile_per_m, &before.profile_per_m),
                (&turned.plan_per_m, &before.plan_per_m),
            ] {
                let before = before.get(old_row, old_col).map(f64::from);
                prop_assert!(alike(after.get(row, col), before));
            }
        }
    }

    #[test]
    fn upside_down_both_change_sign(elevation in ground::rough_ground()) {
        let ours = curvature(&elevation);
        let below = curvature(&elevation.map(|level| -level));
        for (ours, below) in [
            (&ours.profile_per_m, &below.profile_per_m),
            (&ours.plan_per_m, &below.plan_per_m),
        ] {
            for (ours, below) in ours.cells().iter().zip(below.cells()) {
                prop_assert!((ours.is_nan() && below.is_nan()) || (ours + below).abs() <= 1e-6 * ours.abs().max(1.0));
            }
        }
    }
}

#[test]
fn one_thread_gives_the_same_bytes_as_four() {
    let grid = Grid::new(150, 130, 0.0, 0.0, 1.0, 2.0).unwrap();
    let ground = Raster::from_fn(grid, |row, col| ((row * 7919 + col * 104_729) % 251) as f32);
    let bits = |raster: Raster<f32>| raster.into_cells().into_iter().map(f32::to_bits).collect();
    let run = |threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        let ours = pool.install(|| curvature(&ground));
        [ours.profile_per_m, ours.plan_per_m].map(bits)
    };
    let one: [Vec<u32>; 2] = run(1);
    assert_eq!(one, run(4));
}
