//! The fast way over strips against the plain way over cells, on random ground with holes.

use std::collections::BTreeMap;

use geo::{MultiPolygon, polygon};
use proptest::prelude::*;
use stock::{
    Conditions, Factor, FitEdges, Library, Limit, Stock, StockKind, Strip, Tolerance, Trapezoid,
};
use terrain::Grid;

use super::*;
use crate::zones::{CellShares, cell_shares};

/// One stock over an area, as it is said: cell by cell, limits in a table by name.
fn plain_fit(
    area: &CellShares,
    layers: &FitLayers<'_>,
    open: &impl Fn(usize) -> f64,
    stock: &Stock,
    floor: f64,
    edges: &FitEdges,
) -> ZoneFit {
    let (mut ground, mut sum, mut below) = (0.0, 0.0, 0.0);
    let mut orders = [0.0; 4];
    let mut limits: BTreeMap<Limit, (f64, f64)> = BTreeMap::new();
    let mut unknown: BTreeMap<Factor, f64> = BTreeMap::new();
    for cell in area.iter() {
        let at = cell.at as usize;
        let weight = f64::from(cell.share) * open(at);
        if weight <= 0.0 {
            continue;
        }
        let class = layers.drainage.map_or(0, |drainage| drainage[at]);
        let mut here = Conditions::unknown().with_drainage(class.checked_sub(1));
        for (factor, layer) in &layers.numeric {
            here = here.with(*factor, f64::from(layer[at]));
            if layer[at].is_nan() {
                *unknown.entry(*factor).or_default() += weight;
            }
        }
        if layers.drainage.is_some() && here.drainage().is_none() {
            *unknown.entry(Factor::Drainage).or_default() += weight;
        }
        let fit = stock.fit(&here);
        ground += weight;
        sum += weight * fit.value;
        below += if fit.value < floor { weight } else { 0.0 };
        orders[edges.order(fit.value) as usize] += weight;
        if let Some(limit) = fit.limiting {
            let (limited, lost) = limits.entry(limit).or_default();
            *limited += weight;
            *lost += weight * (1.0 - fit.value);
        }
    }
    let share = |part: f64| if ground > 0.0 { part / ground } else { 0.0 };
    let mut limits: Vec<LimitShare> = limits
        .into_iter()
        .map(|(limit, (limited, lost))| LimitShare {
            limit,
            share: share(limited),
            lost: share(lost),
        })
        .collect();
    limits.sort_by(|a, b| b.lost.total_cmp(&a.lost).then(a.limit.cmp(&b.limit)));
    unknown.retain(|factor, _| stock.tolerance.factors().any(|asked| asked == *factor));
    let widest = unknown.into_iter().reduce(|most, one| if one.1 > most.1 { one } else { most });
    ZoneFit {
        fit: share(sum),
        order: edges.order(share(sum)),
        order_shares: orders.map(share),
        share_below: share(below),
        limits,
        not_known: widest.map(|(factor, open)| (factor, share(open))),
    }
}

/// A ground of layers that may be missing, with holes, and a library of stocks.
#[derive(Debug, Clone)]
struct Case {
    numeric: Vec<(Factor, Vec<f32>)>,
    drainage: Option<Vec<u8>>,
    open: Vec<f64>,
    library: Library,
}

const COLS: usize = 37;
const ROWS: usize = 41;

fn stock(at: usize) -> impl Strategy<Value = Stock> {
    let range = prop::option::of((prop::array::uniform4(0.0..=1.0_f64), 0_u8..3));
    let drainage = prop::option::of(prop::array::uniform5(prop_oneof![Just(1.0), 0.0..1.0_f64]));
    (prop::array::uniform9(range), drainage).prop_map(move |(ranges, drainage)| {
        let mut tolerance = Tolerance::unlimited();
        for (factor, range) in Factor::NUMERIC.into_iter().zip(ranges) {
            let Some((mut corners, ends)) = range else { continue };
            corners.sort_by(f64::total_cmp);
            let [a, b, c, d] = corners.map(|share| within(factor, share));
            let range = match ends {
                0 => Trapezoid::new(Some((a, b)), None),
                1 => Trapezoid::new(None, Some((c, d))),
                _ => Trapezoid::new(Some((a, b)), Some((c, d))),
            };
            tolerance = range.map_or(tolerance, |range| tolerance.with(factor, range));
        }
        if let Some(memberships) = drainage {
            tolerance = tolerance.with_drainage(memberships).unwrap();
        }
        Stock { tolerance, ..Stock::named(&format!("s{at}"), "S", StockKind::Cultivar) }
    })
}

/// A value so far between the least and the greatest that can be meant.
fn within(factor: Factor, share: f64) -> f64 {
    let [least, greatest] = factor.plausible();
    least + share * (greatest - least)
}

/// Values of a factor spread from a seed, with holes.
fn layer(factor: Factor, seed: u64, hole_share: f64) -> Vec<f32> {
    let mut state = seed | 1;
    let mut next = || {
        // Marsaglia 2003, xorshift with shifts 13, 7, 17.
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state >> 11) as f64 / (1_u64 << 53) as f64
    };
    let mut value = || if next() < hole_share { f32::NAN } else { within(factor, next()) as f32 };
    (0..COLS * ROWS).map(|_| value()).collect()
}

fn case() -> impl Strategy<Value = Case> {
    let layers = prop::array::uniform9(prop::option::weighted(0.8, (any::<u64>(), 0.0..0.4_f64)));
    let drainage = prop::option::of(prop::collection::vec(0_u8..=5, COLS * ROWS));
    let gaps = prop_oneof![Just(0.0), Just(1.0), 0.0..1.0_f64];
    let open = prop::collection::vec(gaps, COLS * ROWS);
    let library = (stock(0), stock(1), stock(2));
    (layers, drainage, open, library).prop_map(|(layers, drainage, open, (a, b, c))| Case {
        numeric: Factor::NUMERIC
            .into_iter()
            .zip(layers)
            .filter_map(|(factor, made)| {
                made.map(|(seed, holes)| (factor, layer(factor, seed, holes)))
            })
            .collect(),
        drainage,
        open,
        library: Library::new(vec![a, b, c]).unwrap(),
    })
}

impl Case {
    fn layers(&self) -> FitLayers<'_> {
        FitLayers {
            numeric: self
                .numeric
                .iter()
                .map(|(factor, layer)| (*factor, layer.as_slice()))
                .collect(),
            drainage: self.drainage.as_deref(),
        }
    }
}

/// A triangle within the grid, borders through cells.
fn area() -> impl Strategy<Value = MultiPolygon<f64>> {
    let corner = || (0.0..COLS as f64, 0.0..ROWS as f64);
    (corner(), corner(), corner()).prop_map(|(a, b, c)| {
        polygon![(x: a.0, y: -a.1), (x: b.0, y: -b.1), (x: c.0, y: -c.1)].into()
    })
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9
}

proptest! {
    #[test]
    fn strips_give_what_cells_give(case in case(), area in area(), floor in 0.0..1.0_f64) {
        let grid = Grid::new(COLS, ROWS, 0.0, 0.0, 1.0, 1.0).unwrap();
        let cells = cell_shares(&area, &grid);
        let open = |at: usize| case.open[at];
        let edges = FitEdges::default();
        let layers = case.layers();
        let fast = fit_area(&cells, &layers, &open, &case.library, floor, &edges);
        for (fit, stock) in fast.iter().zip(case.library.stocks()) {
            let plain = plain_fit(&cells, &layers, &open, stock, floor, &edges);
            prop_assert!(close(fit.fit, plain.fit), "{} {}", fit.fit, plain.fit);
            prop_assert!(close(fit.share_below, plain.share_below));
            for (a, b) in fit.order_shares.iter().zip(plain.order_shares) {
                prop_assert!(close(*a, b));
            }
            prop_assert_eq!(fit.limits.len(), plain.limits.len());
            let by_limit = |fit: &ZoneFit| -> BTreeMap<Limit, (f64, f64)> {
                fit.limits.iter().map(|one| (one.limit, (one.share, one.lost))).collect()
            };
            for (a, b) in by_limit(fit).iter().zip(&by_limit(&plain)) {
                prop_assert_eq!(a.0, b.0);
                prop_assert!(close(a.1.0, b.1.0) && close(a.1.1, b.1.1), "{:?} {:?}", a, b);
            }
            prop_assert_eq!(fit.not_known.is_some(), plain.not_known.is_some());
            if let (Some(a), Some(b)) = (fit.not_known, plain.not_known) {
                prop_assert!(close(a.1, b.1), "{:?} {:?}", a, b);
            }
            // Exactly, not but for a rounding.
            prop_assert!((0.0..=1.0).contains(&fit.fit) && (0.0..=1.0).contains(&fit.share_below));
            prop_assert!(fit.order_shares.iter().all(|share| (0.0..=1.0).contains(share)));
            // What every limit costs is all that is missing.
            let lost: f64 = fit.limits.iter().map(|one| one.lost).sum();
            let ground: f64 = fit.order_shares.iter().sum();
            prop_assert!(close(ground, 1.0) && close(lost, 1.0 - fit.fit) || cells.iter().all(|cell| open(cell.at as usize) <= 0.0));
            prop_assert!(fit.limits.is_sorted_by(|a, b| a.lost >= b.lost));
        }
    }
}

/// More cells than one core takes at a time, so that pieces are cut within runs.
#[test]
fn pieces_of_a_large_area_sum_to_the_whole_whatever_the_threads() {
    let (cols, rows) = (400, 500);
    let grid = Grid::new(cols, rows, 0.0, 0.0, 1.0, 1.0).unwrap();
    let slope: Vec<f32> = (0..cols * rows).map(|at| (at % 97) as f32 * 0.5).collect();
    let layers = FitLayers { numeric: vec![(Factor::SlopeDeg, slope.as_slice())], drainage: None };
    let square = polygon![(x: 0.5, y: -0.5), (x: 399.5, y: -0.5), (x: 399.5, y: -499.5), (x: 0.5, y: -499.5)];
    let cells = cell_shares(&square.into(), &grid);
    assert!(cells.iter().count() > 3 * 128 * Strip::CELLS);
    let library = Library::parse(stock::STARTER).unwrap();
    let edges = FitEdges::default();
    let open = |at: usize| if at.is_multiple_of(3) { 0.5 } else { 1.0 };
    let run = |threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| fit_area(&cells, &layers, &open, &library, 0.4, &edges))
    };
    let (one, two) = (run(1), run(3));
    assert_eq!(one, two, "to the bit");
    for (fit, stock) in one.iter().zip(library.stocks()) {
        let plain = plain_fit(&cells, &layers, &open, stock, 0.4, &edges);
        assert!(close(fit.fit, plain.fit) && close(fit.share_below, plain.share_below));
        assert_eq!(fit.limiting().map(|limit| limit.0), plain.limiting().map(|limit| limit.0));
    }
}

#[test]
fn an_area_without_ground_fits_nothing_and_says_so() {
    let library = Library::parse(stock::STARTER).unwrap();
    let layers = FitLayers { numeric: Vec::new(), drainage: None };
    let fits =
        fit_area(&CellShares::default(), &layers, &|_| 1.0, &library, 0.4, &FitEdges::default());
    assert_eq!(fits.len(), library.stocks().len());
    assert!(
        fits.iter().all(|fit| fit.fit <= 0.0 && fit.limits.is_empty() && fit.not_known.is_none())
    );
    assert!(fits.iter().all(|fit| fit.sentence() == "nothing is open to planting"));
}

/// Of two factors that are unknown on the same ground the first is named, in the order of the layers.
#[test]
fn of_factors_that_leave_as_much_open_the_first_is_told() {
    let grid = Grid::new(4, 1, 0.0, 0.0, 1.0, 1.0).unwrap();
    let hole = [f32::NAN, 5.0, 5.0, 5.0];
    let wide = [f32::NAN, f32::NAN, 5.0, 5.0];
    let library = Library::parse(stock::STARTER).unwrap();
    let stock = library.stocks().iter().find(|one| one.tolerance.factors().count() > 1).unwrap();
    let asked: Vec<Factor> = stock.tolerance.factors().take(2).collect();
    let told = |first: &[f32], second: &[f32]| {
        let layers =
            FitLayers { numeric: vec![(asked[0], first), (asked[1], second)], drainage: None };
        let only = Library::new(vec![stock.clone()]).unwrap();
        let whole = CellShares::whole(&grid);
        fit_area(&whole, &layers, &|_| 1.0, &only, 0.4, &FitEdges::default())[0].not_known
    };
    assert_eq!(told(&hole, &hole), Some((asked[0], 0.25)));
    assert_eq!(told(&hole, &wide), Some((asked[1], 0.5)));
    assert_eq!(told(&wide, &hole), Some((asked[0], 0.5)));
}
