//! Rows, which way they go, and where one leaves a square: by hand.

use super::*;
use crate::Outline;
use terrain::{Grid, Raster};

fn face() -> Face {
    let grid = Grid::new(60, 60, 0.0, 60.0, 1.0, 1.0).unwrap();
    let flat = Raster::filled(grid, 0.0_f32);
    let ring = vec![[2.0, 2.0], [58.0, 2.0], [58.0, 58.0], [2.0, 58.0]];
    Face::new(&flat, &flat, Outline::new(&[ring]), 4.0).unwrap()
}

fn traced(distance: impl Fn(f64, f64) -> f64) -> Vec<Line> {
    let face = face();
    let metres = (0..face.grid().len()).map(|cell| {
        let [x, y] = face.centre(cell);
        distance(x, y) as f32
    });
    rows(&face, &Reach { metres: metres.collect() }, 4.0)
}

fn length(line: &Line) -> f32 {
    line.windows(2).map(|pair| (pair[1][0] - pair[0][0]).hypot(pair[1][1] - pair[0][1])).sum()
}

#[test]
fn straight_rows_go_from_side_to_side() {
    let lines = traced(|x, _| x);
    assert_eq!(lines.len(), 15, "at 2, 6, … 58 m");
    for line in &lines {
        assert!((length(line) - 59.0).abs() < 1e-3, "from the first centre to the last");
        assert!(line.iter().all(|[east, _]| (east - 2.0) % 4.0 < 1e-3), "{line:?}");
    }
}

#[test]
fn rings_are_closed_and_whole() {
    let lines = traced(|x, y| (x - 30.0).hypot(y - 30.0));
    let closed: Vec<&Line> = lines.iter().filter(|line| line.first() == line.last()).collect();
    assert_eq!(closed.len(), 7, "radius 2, 6, … 26 m");
    for line in closed {
        let radius = (line[0][0] - 30.0).hypot(line[0][1] - 30.0);
        assert!((length(line) / (std::f32::consts::TAU * radius) - 1.0).abs() < 0.05);
    }
}

#[test]
fn every_crossing_of_an_edge_is_on_a_row_once() {
    let distance = |x: f64, y: f64| 30.0 + 9.0 * (0.31 * x).sin() + 8.0 * (0.27 * y).cos();
    let lines = traced(distance);
    let on_rows: usize = lines
        .iter()
        .map(|line| line.len() - usize::from(line.len() > 1 && line.first() == line.last()))
        .sum();
    let face = face();
    let mut crossings = 0;
    let at = |row: usize, col: usize| {
        let (x, y) = face.grid().centre(row, col);
        distance(x, y) as f32
    };
    for row in 0..60 {
        for col in 0..60 {
            for (below, beside) in [(row, col + 1), (row + 1, col)] {
                if below < 60 && beside < 60 {
                    let numbers = [at(row, col), at(below, beside)]
                        .map(|metres| (metres / 4.0 + 0.5).floor());
                    crossings += (numbers[0] - numbers[1]).abs() as usize;
                }
            }
        }
    }
    assert_eq!(on_rows, crossings);
}

/// A lattice of cells 2 by 1 m.
fn oblong(cols: usize, rows: usize, height: impl Fn(f64, f64) -> f64) -> Face {
    let grid = Grid::new(cols, rows, 300.0, 700.0, 2.0, 1.0).unwrap();
    let heights = Raster::from_fn(grid, |row, col| {
        let (x, y) = grid.centre(row, col);
        height(x - 300.0, 700.0 - y) as f32
    });
    Face::new(&heights, &heights, Outline::new(&[]), 4.0).unwrap()
}

/// Along every row the distance is half a spacing and whole ones more, straight between the
/// centres; a row goes on from one side of a square to another of the same; it ends where the
/// known distances end, or comes back.
#[test]
fn a_row_keeps_its_distance_and_does_not_break() {
    let (cols, rows) = (31, 47);
    let face = oblong(cols, rows, |_, _| 0.0);
    let distance = |row: usize, col: usize| {
        let (east, south) = (col as f32, row as f32);
        let metres = 30.0 + 11.0 * (0.41 * east).sin() + 9.0 * (0.37 * south).cos();
        // Nothing is known along the north, in a corner and a hole.
        let is_hole = (10..14).contains(&row) && (10..13).contains(&col);
        if is_hole || row == 0 || row + col < 7 { f32::INFINITY } else { metres }
    };
    let metres = (0..cols * rows).map(|cell| distance(cell / cols, cell % cols)).collect();
    let lines = super::rows(&face, &Reach { metres }, 3.0);
    assert!(lines.len() > 10);
    for line in &lines {
        let cells: Vec<[f32; 2]> =
            line.iter().map(|[east, south]| [east / 2.0 - 0.5, south - 0.5]).collect();
        let mut numbers = Vec::new();
        for [east, south] in &cells {
            // One of the two is whole.
            let [col, row] = [east.floor() as usize, south.floor() as usize];
            let across = (east - east.floor()) + (south - south.floor());
            let down = south.fract() > 0.0;
            let beside = if down { (row + 1, col) } else { (row, col + 1) };
            assert!(!(down && east.fract() > 1e-3), "{east} {south} is on no edge");
            let metres = if across > 0.0 {
                distance(row, col) * (1.0 - across) + distance(beside.0, beside.1) * across
            } else {
                distance(row, col)
            };
            numbers.push(metres / 3.0 - 0.5);
        }
        let number = numbers[0].round();
        assert!(numbers.iter().all(|own| (own - number).abs() < 1e-3), "{numbers:?}");
        for pair in cells.windows(2) {
            let square = |axis: usize| {
                let [from, to] = [pair[0][axis], pair[1][axis]];
                (from.max(to) - from.min(to).floor()) < 1.001
            };
            assert!(square(0) && square(1), "{pair:?} are not of one square");
        }
        if line.first() != line.last() {
            for [east, south] in [cells[0], cells[cells.len() - 1]] {
                let (col, row) = (east.floor() as usize, south.floor() as usize);
                let near = (row.saturating_sub(1)..=row + 1).any(|row| {
                    (col.saturating_sub(1)..=col + 1)
                        .any(|col| row >= rows || col >= cols || distance(row, col).is_infinite())
                });
                let is_edge = row == 0 || col == 0 || near;
                assert!(is_edge, "an end at {east} {south} amid known ground");
            }
        }
    }
}

#[test]
fn rows_come_from_the_top() {
    let face = oblong(40, 60, |x, y| 0.2 * x + 0.5 * y);
    // Rows run east, 4 m apart; from south to north they fall.
    let metres = (0..2_400).map(|cell| (cell / 40) as f32 + 0.25).collect();
    let lines = super::rows(&face, &Reach { metres }, 4.0);
    let south: Vec<f32> = lines.iter().map(|line| line[0][1]).collect();
    assert_eq!(lines.len(), 15, "{south:?}");
    for (place, line) in lines.iter().enumerate() {
        let expected = 58.25 - 4.0 * place as f32;
        assert!(line.iter().all(|[_, south]| (south - expected).abs() < 1e-3), "{south:?}");
        assert!((length(line) - 78.0).abs() < 1e-3);
    }
}

/// On a straight slope the mean of a straight line is the height halfway, however many of its
/// points are looked at.
#[test]
fn the_mean_height_of_a_row_is_that_halfway() {
    let face = oblong(40, 60, |x, y| 10.0 + 0.2 * x + 0.5 * y);
    for points in [1_u8, 2, 5, 16, 17, 33, 49, 129] {
        let share = |index: u8| f32::from(index) / f32::from((points - 1).max(1));
        let line: Line =
            (0..points).map(|at| [10.0 + 60.0 * share(at), 8.0 + 40.0 * share(at)]).collect();
        let middle = if points == 1 { 10.0 + 2.0 + 4.0 } else { 10.0 + 8.0 + 14.0 };
        let found = mean_height(&face, &line);
        assert!((found - middle).abs() < 1e-3, "{points}: {found}");
    }
}

fn tracer(metres: &[f32], cols: usize) -> Tracer<'_> {
    let followed = vec![0; metres.len()];
    Tracer { metres, cols, rows: metres.len() / cols, apart: 4.0, followed }
}

/// Of a square of which two opposite corners are near and two far, the middle goes with the near
/// ones or the far ones, and no row comes between.
#[test]
fn rows_that_could_cross_part_as_the_middle_has_it() {
    let [north, east, south, west] = [
        Edge { row: 0, col: 0, down: false },
        Edge { row: 0, col: 1, down: true },
        Edge { row: 1, col: 0, down: false },
        Edge { row: 0, col: 0, down: true },
    ];
    // North-west, north-east, south-west, south-east, about 6 m; the middle is at their mean.
    for (metres, pairs) in [
        ([1.0, 8.0, 8.0, 1.0], [(north, east), (west, south)]),
        ([5.0, 12.0, 12.0, 5.0], [(north, west), (east, south)]),
        ([8.0, 1.0, 1.0, 8.0], [(north, west), (east, south)]),
        ([12.0, 5.0, 5.0, 12.0], [(north, east), (west, south)]),
    ] {
        let tracer = tracer(&metres, 2);
        for (one, other) in pairs {
            let square = Square { row: 0, col: 0 };
            assert!(tracer.exit(square, one, 1.0) == Some(other), "{metres:?}");
            assert!(tracer.exit(square, other, 1.0) == Some(one), "{metres:?}");
        }
    }
}

#[test]
fn a_row_leaves_a_square_by_the_other_side_it_crosses() {
    let metres = [1.0, 8.0, 1.0, 1.0];
    let tracer = tracer(&metres, 2);
    let square = Square { row: 0, col: 0 };
    let [north, east] = [false, true].map(|down| Edge { row: 0, col: usize::from(down), down });
    let west = Edge { row: 0, col: 0, down: true };
    assert!(tracer.exit(square, north, 1.0) == Some(east));
    assert!(tracer.exit(square, east, 1.0) == Some(north));
    assert!(tracer.exit(square, west, 1.0).is_none(), "it does not come in there");
    assert!(tracer.exit(square, north, 2.0).is_none(), "10 m are farther than all corners");
    let unknown = [1.0, 8.0, 1.0, f32::INFINITY];
    assert!(self::tracer(&unknown, 2).exit(square, north, 1.0).is_none());
}

/// On a lattice of 3 by 3 centres: inner edges have a square on either side, outer ones one.
#[test]
fn an_edge_has_the_squares_beside_it() {
    let metres = [0.0; 9];
    let tracer = tracer(&metres, 3);
    let at = |row, col, down| {
        let squares = tracer.squares(Edge { row, col, down });
        squares.map(|square| square.map(|square| (square.row, square.col)))
    };
    assert_eq!(at(0, 1, false), [None, Some((0, 1))]);
    assert_eq!(at(1, 0, false), [Some((0, 0)), Some((1, 0))]);
    assert_eq!(at(2, 1, false), [Some((1, 1)), None]);
    assert_eq!(at(1, 0, true), [None, Some((1, 0))]);
    assert_eq!(at(0, 1, true), [Some((0, 0)), Some((0, 1))]);
    assert_eq!(at(1, 2, true), [Some((1, 1)), None]);
}
