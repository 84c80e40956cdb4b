//! The slow twin of the tables of distances: count the places of a lattice around many points of its cell, one by one.

use cover::{Pattern, covered_share};

/// Places within `reach` spacings of a point, by looking at each.
fn places_around(triangular: bool, point: [f64; 2], reach: f64) -> i32 {
    let around = reach.ceil() as i32 * 2 + 2;
    let is_near = |row: i32, column: i32| {
        let (row, column) = (f64::from(row), f64::from(column));
        let place =
            if triangular { [column + row / 2.0, row * 0.75_f64.sqrt()] } else { [column, row] };
        (place[0] - point[0]).hypot(place[1] - point[1]) <= reach
    };
    let rows =
        (-around..=around).flat_map(|row| (-around..=around).map(move |column| (row, column)));
    rows.filter(|(row, column)| is_near(*row, *column)).count() as i32
}

/// A point with k places around is bare when all of them are dead: mean of 1 − (1 − p)^k over the cell.
fn counted(triangular: bool, reach: f64, alive: f64) -> f64 {
    const POINTS: i32 = 48;
    let along = |at: i32| (f64::from(at) + 0.5) / f64::from(POINTS);
    let points = (0..POINTS).flat_map(|i| (0..POINTS).map(move |j| (along(i), along(j))));
    let shares = points.map(|(u, v)| {
        let point = if triangular { [u + v / 2.0, v * 0.75_f64.sqrt()] } else { [u, v] };
        1.0 - (1.0 - alive).powi(places_around(triangular, point, reach))
    });
    shares.sum::<f64>() / f64::from(POINTS * POINTS)
}

/// A spacing of 2 m; triangles of side 1 have 2 / √3 places in a unit of area. Reaches of whole steps of the table and
/// between them, up to its very end.
#[test]
fn a_thinned_lattice_covers_what_counting_places_says() {
    for (reach, alive) in
        [(0.3, 1.0), (0.45, 0.7), (0.8, 0.6), (1.5, 0.3), (2.2, 0.15), (3.0, 0.08)]
    {
        for (pattern, per_area) in
            [(Pattern::Square, 1.0), (Pattern::Triangular, 2.0 / 3.0_f64.sqrt())]
        {
            let found = covered_share(pattern, 2.0 * reach, per_area / 4.0, alive);
            let expected = counted(pattern == Pattern::Triangular, reach, alive);
            assert!((found - expected).abs() < 0.003, "{pattern:?} {reach}: {found} {expected}");
        }
    }
}

/// Past three spacings their mean number serves: π r² places of which all are dead.
#[test]
fn past_the_table_the_mean_number_of_places_serves() {
    for (reach, alive) in [(3.01, 0.02), (3.5, 0.02), (4.5, 0.03), (6.0, 0.01)] {
        let found = covered_share(Pattern::Square, 2.0 * reach, 0.25, alive);
        let expected = counted(false, reach, alive);
        assert!((found - expected).abs() < 0.002, "{reach}: {found} {expected}");
    }
    // It never falls where the two meet.
    let within = covered_share(Pattern::Square, 3.0, 1.0, 0.3);
    assert!(covered_share(Pattern::Square, 3.000_001, 1.0, 0.3) >= within);
}
