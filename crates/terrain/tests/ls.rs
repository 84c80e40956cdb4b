//! The LS factor against the printed table, worked values of three papers' formulas, and by law.

use proptest::prelude::*;
use terrain::{Grid, GridError, LsForm, Raster, RillRatio, UniformSlope, ls_factor};

const FOOT_M: f64 = 0.3048;
const LENGTHS_FEET: [f64; 12] =
    [25.0, 50.0, 75.0, 100.0, 150.0, 200.0, 250.0, 300.0, 400.0, 600.0, 800.0, 1000.0];

/// Renard et al. 1997, Predicting soil erosion by water, USDA Agriculture Handbook 703, table 4-2
/// (moderate ratio of rill to interrill erosion): slope in per cent, then a column for each length.
/// The last row is as far as the copy at hand goes.
#[rustfmt::skip]
#[expect(clippy::approx_constant, reason = "6.28 is what is printed")]
const PRINTED: [(f64, &[f64]); 12] = [
    (0.2, &[0.05, 0.05, 0.05, 0.05, 0.05, 0.05, 0.05, 0.05, 0.05, 0.06, 0.06, 0.06]),
    (0.5, &[0.08, 0.08, 0.08, 0.09, 0.09, 0.09, 0.09, 0.09, 0.10, 0.10, 0.10, 0.10]),
    (1.0, &[0.12, 0.13, 0.14, 0.14, 0.15, 0.16, 0.17, 0.17, 0.18, 0.19, 0.20, 0.20]),
    (2.0, &[0.19, 0.22, 0.25, 0.27, 0.29, 0.31, 0.33, 0.35, 0.37, 0.41, 0.44, 0.47]),
    (3.0, &[0.25, 0.32, 0.36, 0.39, 0.44, 0.48, 0.52, 0.55, 0.60, 0.68, 0.75, 0.80]),
    (4.0, &[0.31, 0.40, 0.47, 0.52, 0.60, 0.67, 0.72, 0.77, 0.86, 0.99, 1.10, 1.19]),
    (5.0, &[0.37, 0.49, 0.58, 0.65, 0.76, 0.85, 0.93, 1.01, 1.13, 1.33, 1.49, 1.63]),
    (6.0, &[0.43, 0.58, 0.69, 0.78, 0.93, 1.05, 1.16, 1.25, 1.42, 1.69, 1.91, 2.11]),
    (8.0, &[0.53, 0.74, 0.91, 1.04, 1.26, 1.45, 1.62, 1.77, 2.03, 2.47, 2.83, 3.15]),
    (10.0, &[0.67, 0.97, 1.19, 1.38, 1.71, 1.98, 2.22, 2.44, 2.84, 3.50, 4.06, 4.56]),
    (12.0, &[0.84, 1.23, 1.53, 1.79, 2.23, 2.61, 2.95, 3.26, 3.81, 4.75, 5.56, 6.28]),
    (14.0, &[1.00, 1.48, 1.86, 2.19, 2.76]),
];

/// The same table at 15 feet.
const PRINTED_AT_15_FEET: [f64; 12] =
    [0.05, 0.07, 0.11, 0.17, 0.22, 0.26, 0.30, 0.34, 0.42, 0.52, 0.64, 0.75];

/// The same table at 3 feet or less, 6, 9 and 12 feet. Up to 8 % these columns repeat 15 feet.
const PRINTED_SHORT: [(f64, [f64; 4]); 3] = [
    (10.0, [0.46, 0.48, 0.50, 0.51]),
    (12.0, [0.47, 0.53, 0.58, 0.61]),
    (14.0, [0.48, 0.58, 0.65, 0.70]),
];

fn moderate(per_cent: f64) -> UniformSlope {
    UniformSlope { fall_per_m: per_cent / 100.0, rills: RillRatio::Moderate }
}

fn check(per_cent: f64, feet: f64, printed: f64) {
    let ls = moderate(per_cent).ls(feet * FOOT_M);
    assert!((ls - printed).abs() < 0.0055, "{per_cent} %, {feet} ft: {ls} against {printed}");
}

#[test]
fn all_137_printed_cells_come_out() {
    let mut cells = 0;
    for (per_cent, row) in PRINTED {
        for (feet, printed) in LENGTHS_FEET.into_iter().zip(row) {
            check(per_cent, feet, *printed);
            cells += 1;
        }
    }
    assert_eq!(cells, 137);
}

#[test]
fn short_slopes_come_out_as_printed() {
    for ((per_cent, _), printed) in PRINTED.into_iter().zip(PRINTED_AT_15_FEET) {
        check(per_cent, 15.0, printed);
        for feet in [0.0, 3.0, 6.0, 9.0, 12.0] {
            if per_cent <= 8.0 {
                check(per_cent, feet, printed);
            }
        }
    }
    for (per_cent, row) in PRINTED_SHORT {
        check(per_cent, 1.0, row[0]);
        for (feet, printed) in [3.0, 6.0, 9.0, 12.0].into_iter().zip(row) {
            check(per_cent, feet, printed);
        }
    }
}

/// β, m and S worked out by hand from `McCool` et al. 1987 and 1989 at a few slopes.
#[test]
fn the_parts_come_out_as_worked_by_hand() {
    let worked = [
        (5.0, 0.6692, 0.4009, 0.5693),
        (9.0, 1.0048, 0.5012, 1.0059),
        (10.0, 1.0745, 0.5179, 1.1717),
        (20.0, 1.5919, 0.6142, 2.7948),
        (30.0, 1.9247, 0.6581, 4.3274),
        (50.0, 2.3368, 0.7003, 7.0132),
    ];
    for (per_cent, beta, exponent, steepness) in worked {
        let slope = moderate(per_cent);
        assert!((slope.rill_to_interrill() - beta).abs() < 1e-4, "{per_cent}");
        assert!((slope.length_exponent() - exponent).abs() < 1e-4, "{per_cent}");
        assert!((slope.steepness_factor() - steepness).abs() < 1e-4, "{per_cent}");
        let beta = |rills| UniformSlope { rills, ..slope }.rill_to_interrill();
        assert!((beta(RillRatio::Low) * 4.0 - beta(RillRatio::High)).abs() < 1e-12);
        assert!((beta(RillRatio::Low) * 2.0 - beta(RillRatio::Moderate)).abs() < 1e-12);
    }
    for (degrees, steepness) in
        [(15.0, 3.848), (20.0, 5.246), (25.0, 6.600), (28.0, 7.387), (35.0, 9.136)]
    {
        let slope = moderate(f64::to_radians(degrees).tan() * 100.0);
        assert!((slope.steepness_factor() - steepness).abs() < 1e-3, "{degrees}");
        assert!((slope.ls(22.13) - slope.steepness_factor()).abs() < 1e-12, "the unit length");
    }
}

/// The polynomial that this one replaced, 65.41 s² + 4.56 s + 0.065 (Wischmeier & Smith 1978,
/// Predicting rainfall erosion losses), and both straight lines are near 1 on the unit plot.
#[test]
fn the_unit_plot_counts_one() {
    let sine = 0.09 / 0.09_f64.hypot(1.0);
    let earlier = 65.41 * sine * sine + 4.56 * sine + 0.065;
    assert!((earlier - 0.9993).abs() < 1e-4);
    assert!((moderate(9.0).ls(22.13) - earlier).abs() < 0.01);
    assert!((moderate(8.999_999).ls(22.13) - 0.998).abs() < 1e-3);
    assert!((moderate(9.0).ls(22.13) - 1.006).abs() < 1e-3);
}

const AREA: LsForm = LsForm::ContributingArea { rills: RillRatio::Moderate };

/// LS of a single cell.
#[expect(clippy::unwrap_used, reason = "only tests come here")]
fn cell(sides: [f64; 2], [area, slope, aspect]: [f32; 3], form: LsForm, cap: Option<f64>) -> f64 {
    let grid = Grid::new(1, 1, 0.0, 0.0, sides[0], sides[1]).unwrap();
    let [area, slope, aspect] = [area, slope, aspect].map(|value| Raster::filled(grid, value));
    f64::from(ls_factor(&area, &slope, &aspect, form, cap).unwrap().at(0, 0))
}

/// The formula of Desmet & Govers 1996 worked by hand: D = 10 m, 20°, water straight along the rows.
#[test]
fn contributing_area_comes_out_as_worked_by_hand() {
    let steepness = moderate(20.0_f64.to_radians().tan() * 100.0).steepness_factor();
    for (inflow, length_factor) in
        [(0.0, 0.5846), (100.0, 1.2832), (1000.0, 4.7987), (10_000.0, 22.0826)]
    {
        for aspect in [0.0, 90.0, 180.0, 270.0] {
            let ls = cell([10.0, 10.0], [inflow + 100.0, 20.0, aspect], AREA, None);
            assert!((ls / steepness - length_factor).abs() < 1e-4, "{inflow}: {}", ls / steepness);
        }
    }
}

/// The formula of Moore & Burch 1986 worked by hand: 100 m² above each metre of contour.
#[test]
fn stream_power_comes_out_as_worked_by_hand() {
    for (slope, expected) in [(10.0, 4.321), (20.0, 10.430), (28.0, 15.743), (35.0, 20.426)] {
        let ls = cell([10.0, 10.0], [1000.0, slope, 0.0], LsForm::StreamPower, None);
        assert!((ls - expected).abs() < 1e-3, "{slope}: {ls}");
    }
}

/// On an even slope facing along rows, the mean over the cells of a strip is what the slope-length
/// formula gives for the whole strip: the sum over its segments telescopes. Any cell sides.
#[test]
fn a_strip_adds_up_to_its_slope_length() {
    for sides in [[10.0, 10.0], [4.0, 25.0], [30.0, 7.0]] {
        let grid = Grid::new(12, 1, 0.0, 0.0, sides[0], sides[1]).unwrap();
        let area = Raster::from_fn(grid, |_, col| ((col + 1) as f64 * grid.cell_area()) as f32);
        let (slope, aspect) = (Raster::filled(grid, 20.0), Raster::filled(grid, 90.0));
        let ls = ls_factor(&area, &slope, &aspect, AREA, None).unwrap();
        let mean = ls.cells().iter().copied().map(f64::from).sum::<f64>() / 12.0;
        let whole = moderate(20.0_f64.to_radians().tan() * 100.0).ls(12.0 * sides[0]);
        assert!((mean - whole).abs() < 1e-5 * whole, "{mean} against {whole}");
    }
}

#[test]
fn the_cap_holds_the_length() {
    for form in [AREA, LsForm::StreamPower] {
        let capped = |area| cell([10.0, 10.0], [area, 25.0, 90.0], form, Some(122.0));
        assert!((capped(1e7) - capped(1220.0)).abs() < 1e-6, "122 m of a strip 10 m wide");
        assert!(capped(1000.0) < capped(1220.0));
        let free = cell([10.0, 10.0], [1e7, 25.0, 90.0], form, None);
        assert!(free > 10.0 * capped(1e7));
    }
}

#[test]
fn what_cannot_be_used_is_refused() {
    let one = Raster::filled(Grid::new(1, 1, 0.0, 0.0, 5.0, 5.0).unwrap(), 30.0);
    let two = Raster::filled(Grid::new(2, 1, 0.0, 0.0, 5.0, 5.0).unwrap(), 30.0);
    for layers in [[&two, &one, &one], [&one, &two, &one], [&one, &one, &two]] {
        let refused = ls_factor(layers[0], layers[1], layers[2], AREA, None);
        assert!(matches!(refused, Err(GridError::Mismatch { .. })));
    }
    for cap in [0.0, -1.0, f64::NAN] {
        let refused = ls_factor(&one, &one, &one, AREA, Some(cap));
        assert!(matches!(refused, Err(GridError::Setting { .. })));
    }
    let hole = cell([5.0, 5.0], [f32::NAN, 10.0, 0.0], AREA, None);
    let level = cell([5.0, 5.0], [25.0, 0.0, f32::NAN], AREA, None);
    assert!(hole.is_nan() && (level - 0.03).abs() < 1e-6, "S of level ground, m = 0");
}

proptest! {
    #[test]
    fn longer_and_steeper_lose_more(
        fall in 0.001..1.5_f64, steeper in 1.0..1.5_f64, length in 0.1..400.0_f64, longer in 1.0..3.0_f64,
    ) {
        for rills in [RillRatio::Low, RillRatio::Moderate, RillRatio::High] {
            let slope = UniformSlope { fall_per_m: fall, rills };
            let ls = slope.ls(length);
            prop_assert!(ls > 0.0 && slope.ls(length * longer) >= ls * (1.0 - 1e-12));
            let steep = UniformSlope { fall_per_m: fall * steeper, rills };
            prop_assert!(steep.steepness_factor() >= slope.steepness_factor());
        }
    }

    /// Whatever the way the ground faces, the whole turned by a quarter gives the same.
    #[test]
    fn a_quarter_turn_leaves_it(
        area in 100.0..1e6_f32, slope in 0.0..60.0_f32, aspect in 0.0..360.0_f32, height in 1.0..20.0_f64,
    ) {
        for form in [AREA, LsForm::StreamPower] {
            let before = cell([10.0, height], [area, slope, aspect], form, Some(305.0));
            let after = cell([height, 10.0], [area, slope, aspect + 90.0], form, Some(305.0));
            prop_assert!((before - after).abs() <= 1e-4 * before);
        }
    }
}
