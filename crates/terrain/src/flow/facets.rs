//! The eight triangles around a cell, down the steepest of which its water runs.
//!
//! Source: Tarboton 1997, A new method for the determination of flow directions and upslope areas
//! in grid digital elevation models; here for cells whose sides may differ.

use super::ground::{Ground, Rule};
use crate::padded::DIRECTIONS;

/// Straight and diagonal direction of each triangle, in the order of the paper's table 1: from
/// east to north, on to the west and back by the south.
const FACETS: [[usize; 2]; DIRECTIONS] =
    [[0, 7], [3, 7], [3, 6], [2, 6], [2, 5], [1, 5], [1, 4], [0, 4]];

/// Where the water of a cell goes: the neighbours at both ends of the outer side of its steepest
/// triangle, or one of them when the steepest way runs along a side or out of the triangle.
///
/// A triangle with a hole at one end counts as its other side alone. Both receivers are always
/// lower than the cell.
pub(super) fn steepest(here: f32, beside: [f32; DIRECTIONS], rule: &Rule) -> u8 {
    let (mut receivers, mut most) = (0, 0.0);
    if !beside.iter().any(|level| *level < here) {
        return receivers;
    }
    for facet in FACETS {
        let (slope, toward) = down(here, facet.map(|direction| beside[direction]), facet, rule);
        // So much that it is no matter of rounding; else the first stays.
        if slope > most * (1.0 + 1e-12) {
            (receivers, most) = (toward, slope);
        }
    }
    receivers
}

/// Steepest slope within one triangle, and the receivers there.
fn down(here: f32, ends: [f32; 2], facet: [usize; 2], rule: &Rule) -> (f64, u8) {
    let [straight, diagonal] = facet.map(|direction| 1_u8 << direction);
    let [out, across] = sides(facet[0], rule);
    let [here, near, far] = [here, ends[0], ends[1]].map(f64::from);
    let along_straight = (here - near) / out;
    let along_diagonal = (here - far) / out.hypot(across);
    let aside = (near - far) / across;
    if aside.is_nan() {
        // At least one end is a hole; whatever is compared with it is false.
        let diagonal_alone = near.is_nan();
        return if diagonal_alone {
            (along_diagonal, diagonal)
        } else {
            (along_straight, straight)
        };
    }
    if aside <= 0.0 {
        (along_straight, straight)
    } else if aside * out >= along_straight * across {
        (along_diagonal, diagonal)
    } else {
        (along_straight.hypot(aside), straight | diagonal)
    }
}

/// The share of each of a cell's two receivers, 0 in other directions.
pub(super) fn shares(ground: &Ground, cell: usize, receivers: u8) -> [f64; DIRECTIONS] {
    let (straight, diagonal) = (receivers & 0b1111, receivers >> 4);
    let facet = [straight.trailing_zeros() as usize, 4 + diagonal.trailing_zeros() as usize];
    let [out, across] = sides(facet[0], &ground.rule);
    let [near, far] =
        facet.map(|direction| f64::from(ground.levels[ground.beside(cell, direction)]));
    let here = f64::from(ground.levels[cell]);
    let turn = ((near - far) / across).atan2((here - near) / out);
    let to_diagonal = turn / across.atan2(out);
    let mut shares = [0.0; DIRECTIONS];
    (shares[facet[0]], shares[facet[1]]) = (1.0 - to_diagonal, to_diagonal);
    shares
}

/// Length of a triangle's straight side from the cell, and of its outer side.
fn sides(straight: usize, rule: &Rule) -> [f64; 2] {
    let [width, height] = rule.sides;
    if straight.is_multiple_of(2) { [width, height] } else { [height, width] }
}
