//! Against every vertex of every pattern of used columns: slow, obvious, exact.

use proptest::prelude::*;

use super::super::Programme;
use super::{programmes, solved};

/// `terms · x <= limit`.
type HalfSpace = (Vec<f64>, f64);

/// The best worth by exhaustion: for each set of columns that are used, all corners of what the
/// rules leave.
fn exhaust(programme: &Programme) -> f64 {
    let columns: Vec<_> = (0..programme.zones.len())
        .flat_map(|zone| (0..programme.lines.len()).map(move |line| (zone, line)))
        .filter(|&(zone, line)| programme.zones[zone].offers[line].is_some())
        .collect();
    (0..1_u32 << columns.len())
        .map(|pattern| {
            let used: Vec<_> = (0..columns.len())
                .filter(|column| pattern >> column & 1 == 1)
                .map(|column| columns[column])
                .collect();
            best_corner(programme, &used)
        })
        .fold(0.0, f64::max)
}

fn best_corner(programme: &Programme, used: &[(usize, usize)]) -> f64 {
    let spaces = half_spaces(programme, used);
    let mut best = 0.0_f64;
    for active in combinations(spaces.len(), used.len()) {
        let Some(point) = corner(&spaces, &active) else { continue };
        let inside = spaces
            .iter()
            .all(|(terms, limit)| dot(terms, &point) <= limit + 1e-9 * limit.abs().max(1.0));
        if inside {
            let worth = used.iter().zip(&point).map(|(&(zone, line), share)| {
                let zone = &programme.zones[zone];
                share * zone.area_ha * zone.offers[line].map_or(0.0, |o| o.worth_per_ha)
            });
            best = best.max(worth.sum());
        }
    }
    best
}

fn half_spaces(programme: &Programme, used: &[(usize, usize)]) -> Vec<HalfSpace> {
    let terms = |weight: &dyn Fn(usize, usize) -> f64| -> Vec<f64> {
        used.iter().map(|&(zone, line)| weight(zone, line)).collect()
    };
    let mut spaces = Vec::new();
    for own in used {
        let lower = terms(&|zone, line| if (zone, line) == *own { -1.0 } else { 0.0 });
        spaces.push((lower, -programme.min_share));
    }
    for this in 0..programme.zones.len() {
        spaces.push((terms(&|zone, _| f64::from(u8::from(zone == this))), 1.0));
    }
    for (this, limit) in programme.lines.iter().enumerate() {
        let hectares = |zone: usize, line: usize| {
            if line == this { programme.zones[zone].area_ha } else { 0.0 }
        };
        spaces.push((terms(&hectares), programme.line_cap * programme.area_ha()));
        if let Some(supply) = limit.supply {
            let plants = |zone: usize, line: usize| {
                let offer = programme.zones[zone].offers[line];
                hectares(zone, line) * offer.map_or(0.0, |o| o.plants_per_ha)
            };
            spaces.push((terms(&plants), supply));
        }
    }
    spaces
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// Every choice of `size` out of `count`.
fn combinations(count: usize, size: usize) -> Vec<Vec<usize>> {
    if size == 0 {
        return vec![Vec::new()];
    }
    (size - 1..count)
        .flat_map(|last| {
            combinations(last, size - 1).into_iter().map(move |mut chosen| {
                chosen.push(last);
                chosen
            })
        })
        .collect()
}

/// The point where the active half-spaces hold with equality (Gauss elimination, full rows).
fn corner(spaces: &[HalfSpace], active: &[usize]) -> Option<Vec<f64>> {
    let size = active.len();
    let mut rows: Vec<Vec<f64>> = active
        .iter()
        .map(|&index| {
            let (terms, limit) = &spaces[index];
            let scale = terms.iter().fold(0.0_f64, |most, term| most.max(term.abs()));
            let scaled = terms.iter().map(|term| term / scale);
            scaled.chain([limit / scale]).collect()
        })
        .collect();
    for column in 0..size {
        let pivot = (column..size)
            .max_by(|&a, &b| rows[a][column].abs().total_cmp(&rows[b][column].abs()))?;
        rows.swap(column, pivot);
        let lead = rows[column].clone();
        if lead[column].is_nan() || lead[column].abs() < 1e-9 {
            return None;
        }
        for (_, row) in rows.iter_mut().enumerate().filter(|(index, _)| *index != column) {
            let factor = row[column] / lead[column];
            for (term, lead) in row.iter_mut().zip(&lead) {
                *term -= factor * lead;
            }
        }
    }
    Some((0..size).map(|row| rows[row][size] / rows[row][row]).collect())
}

fn agrees(programme: &Programme) {
    let best = exhaust(programme);
    let answer = solved(programme);
    assert!(
        (answer.objective - best).abs() <= (3e-6 * best).max(1e-9),
        "{} is not {best}\n{programme:?}\n{answer:?}",
        answer.objective
    );
    assert!(answer.bound >= best * (1.0 - 1e-9) - 1e-9, "{programme:?}\n{answer:?}");
    assert!(answer.stopped.is_none());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn two_zones_and_two_lines_are_solved_exactly(programme in programmes(2, 2..3)) {
        agrees(&programme);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    #[test]
    fn three_zones_and_two_lines_are_solved_exactly(programme in programmes(3, 2..3)) {
        agrees(&programme);
    }
}
