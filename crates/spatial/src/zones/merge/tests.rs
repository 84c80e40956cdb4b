//! Merging against the same as it is said, its laws, and by hand.

use proptest::prelude::*;

use super::super::classes::SlopeGroup;
use super::super::regions::label_regions;
use super::plain::plain_merge;
use super::*;

fn code(slope: u32) -> ClassCode {
    ClassCode::pack(Classes {
        slope: SlopeGroup::ALL[slope as usize],
        wetness: Some(Step::Low),
        sun: Some(Step::Middle),
        ..Classes::OPEN
    })
}

/// Zones of a grid of slope groups plus 1, 0 for a hard break.
fn zones(values: &[u32], cols: usize, least: Least) -> Regions {
    let mut regions = label_regions(&values, values.len(), cols, &Walls::none());
    let mut codes = vec![None; regions.count + 1];
    for (value, region) in values.iter().zip(&regions.cells) {
        codes[*region as usize] = value.checked_sub(1).map(code);
    }
    merge(&mut regions, cols, &codes, least, &Walls::none());
    regions
}

#[test]
fn a_speck_joins_the_neighbour_most_like_it() {
    let grid = [1, 1, 1, 6, 5, 5, 1, 1, 1, 5, 5, 5];
    let zones = zones(&grid, 6, Least { cells: 2, side: 1 });
    assert_eq!(zones.cells, [1, 1, 1, 2, 2, 2, 1, 1, 1, 2, 2, 2]);
}

#[test]
fn a_hard_break_is_never_crossed() {
    let zones = zones(&[2, 0, 2, 0], 4, Least { cells: 10, side: 3 });
    assert_eq!((zones.cells, zones.count), (vec![1, 0, 2, 0], 2));
}

#[test]
fn a_strip_as_wide_as_one_cell_joins_a_neighbour() {
    let grid = [1, 1, 3, 2, 2, 1, 1, 3, 2, 2, 1, 1, 3, 2, 2];
    let least = Least { cells: 2, side: 2 };
    assert_eq!(zones(&grid, 5, least).count, 2);
    assert_eq!(zones(&grid, 5, Least { side: 1, ..least }).count, 3);
}

fn turned<T: Copy>(values: &[T], cols: usize) -> Vec<T> {
    let rows = values.len() / cols;
    let at = |row: usize, col: usize| values[(rows - 1 - col) * cols + row];
    (0..cols).flat_map(|row| (0..rows).map(move |col| at(row, col))).collect()
}

/// The parts that cells fall into, whatever their numbers.
fn parts(cells: &[u32]) -> Vec<usize> {
    let first = |one: &u32| cells.iter().position(|other| other == one).unwrap_or(0);
    cells.iter().map(|one| if *one == 0 { usize::MAX } else { first(one) }).collect()
}

/// Each factor counts as one whole ladder from end to end; what is not known lies in the middle.
#[test]
fn classes_stand_on_their_ladders() {
    let mut bands = [None; MOST_BANDS];
    bands[0] = Some(Step::High);
    let least = Classes {
        wetness: Some(Step::Low),
        sun: Some(Step::Middle),
        exposure: Some(Step::High),
        bands,
        ..Classes::OPEN
    };
    let mut expected = [6; POSITIONS];
    expected[..7].copy_from_slice(&[0, 0, 0, 6, 12, 6, 12]);
    assert_eq!(positions(least), expected);
    let most = Classes { slope: SlopeGroup::G, treatment: Treatment::Infill, ..least };
    expected[..2].copy_from_slice(&[12, 12]);
    assert_eq!(positions(most), expected);
    let second = Classes { slope: SlopeGroup::B, ..least };
    assert_eq!(positions(second)[0], 2);
}

proptest! {
    #[test]
    fn every_zone_is_large_and_wide_enough_unless_it_stands_alone(
        cols in 2_usize..9,
        values in prop::collection::vec(prop_oneof![1 => Just(0), 6 => 1_u32..8], 4..90),
        cells in 1_u32..9,
        side in 1_u16..4,
    ) {
        let rows = values.len() / cols;
        let values = &values[..rows * cols];
        let zones = zones(values, cols, Least { cells, side });
        let ground: Vec<u32> = values.iter().map(|value| u32::from(*value > 0)).collect();
        let islands = label_regions(&&ground[..], ground.len(), cols, &Walls::none()).cells;
        let wide = hold_square(&zones.cells, cols, zones.count, side, &Walls::none());
        for zone in 1..=zones.count as u32 {
            let own: Vec<usize> = (0..values.len()).filter(|at| zones.cells[*at] == zone).collect();
            let island = islands[own[0]];
            prop_assert!(own.iter().all(|at| islands[*at] == island), "crossed a break");
            let alone = (0..values.len()).all(|at| islands[at] != island || zones.cells[at] == zone);
            prop_assert!((own.len() as u32 >= cells && wide[zone as usize]) || alone);
        }
        for (zone, value) in zones.cells.iter().zip(values) {
            prop_assert_eq!(*zone == 0, *value == 0);
        }
    }

    /// Positions drawn at random, so that no two merges cost the same.
    #[test]
    fn a_turned_or_renumbered_grid_gives_the_same_zones(
        cols in 2_usize..9,
        values in prop::collection::vec(0_u32..7, 4..90),
        ladders in prop::collection::vec(prop::array::uniform10(0_u32..100_000), 90),
        cells in 1_u32..9,
        side in 1_u16..3,
    ) {
        let rows = values.len() / cols;
        let values = &values[..rows * cols];
        let zones = |values: &[u32], ladders: &[[u32; POSITIONS]], cols: usize| {
            let mut regions = label_regions(&values, values.len(), cols, &Walls::none());
            let mut positions = vec![None; regions.count + 1];
            for (at, region) in regions.cells.iter().enumerate().rev() {
                // That of its least cell, which a turned grid has too.
                let known = positions[*region as usize].get_or_insert(ladders[at]);
                *known = (*known).min(ladders[at]);
            }
            let least = Least { cells, side };
            merge_by_position(&mut regions, cols, &positions, least, &Walls::none());
            regions.cells
        };
        let values: Vec<u32> = values.iter().map(|value| value + 1).collect();
        let ladders = &ladders[..values.len()];
        let straight = zones(&values, ladders, cols);
        let round = zones(&turned(&values, cols), &turned(ladders, cols), rows);
        prop_assert_eq!(parts(&turned(&straight, cols)), parts(&round));
    }

    /// Few steps, so that many merges cost the same and what goes by among equals decides.
    #[test]
    fn zones_are_those_of_merging_as_it_is_said(
        cols in 2_usize..9,
        values in prop::collection::vec(0_u32..5, 4..70),
        steps in prop::collection::vec(prop::array::uniform10(0_u32..3), 70),
        cells in 1_u32..12,
        side in 1_u16..4,
    ) {
        let rows = values.len() / cols;
        let values = &values[..rows * cols];
        let mut regions = label_regions(&values, values.len(), cols, &Walls::none());
        let position = |region: usize| {
            // Cells of value 0 lie in no region; one of the last value stays as it is.
            let at = regions.cells.iter().position(|one| *one as usize == region)?;
            (1..4).contains(&values[at]).then_some(steps[region])
        };
        let positions: Vec<_> = (0..=regions.count).map(position).collect();
        let before = regions.cells.clone();
        let least = Least { cells, side };
        let expected = plain_merge(&before, cols, &positions, least);
        let (zone_of, sizes) =
            merge_by_position(&mut regions, cols, &positions, least, &Walls::none());
        prop_assert_eq!(&regions.cells, &expected);
        prop_assert_eq!(regions.count, expected.iter().copied().max().unwrap_or(0) as usize);
        for (region, zone) in before.iter().zip(&expected) {
            prop_assert_eq!(zone_of[*region as usize], *zone);
        }
        for (zone, size) in sizes.iter().enumerate().skip(1) {
            prop_assert_eq!(*size, expected.iter().filter(|one| **one as usize == zone).count() as u32);
        }
    }
}
