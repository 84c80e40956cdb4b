//! Variances and shrunken values: against published figures, closed forms, and a slow twin that builds
//! every matrix whole.

#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test that stops has failed")]

use nalgebra::{DMatrix, DVector};
use proptest::prelude::*;
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;
use sourcing::variance::{Components, Record, Records, RecordsError, chance_of_none, reml, values};

/// Yield of dyestuff, grams of standard colour, of five preparations from each of six batches.
/// Source: Davies & Goldsmith 1972, Statistical Methods in Research and Production, 4th ed.; shipped with
/// several mixed-model packages as `Dyestuff` (from memory).
const DYESTUFF: [[f64; 5]; 6] = [
    [1545.0, 1440.0, 1440.0, 1520.0, 1580.0],
    [1540.0, 1555.0, 1490.0, 1560.0, 1495.0],
    [1595.0, 1550.0, 1605.0, 1510.0, 1560.0],
    [1445.0, 1440.0, 1595.0, 1465.0, 1545.0],
    [1595.0, 1630.0, 1515.0, 1635.0, 1625.0],
    [1520.0, 1455.0, 1450.0, 1480.0, 1445.0],
];

fn balanced(rows: &[Vec<f64>]) -> Vec<Record> {
    let of = |(tree, row): (usize, &Vec<f64>)| {
        row.iter().map(move |value| Record { tree, year: 0, value: *value }).collect::<Vec<_>>()
    };
    rows.iter().enumerate().flat_map(of).collect()
}

fn close(found: f64, expected: f64, relative: f64) {
    let off = (found - expected).abs();
    assert!(off <= relative * expected.abs().max(1e-12), "{found} beside {expected}");
}

#[test]
fn dyestuff_gives_the_published_variances() {
    let rows: Vec<Vec<f64>> = DYESTUFF.iter().map(|row| row.to_vec()).collect();
    // Batches in place of trees, all of one stand and year.
    let records = Records::new(&balanced(&rows), &[0; 6], 1).unwrap();
    let fitted = reml(&records);
    // Published REML estimates, also those of the analysis of variance: (11271.5 − 2451.25) / 5.
    close(fitted.components.tree.unwrap(), 1_764.05, 1e-6);
    close(fitted.components.error, 2_451.25, 1e-6);
    close(fitted.mean, 1_527.5, 1e-12);
    close(fitted.mean_error, 19.383_4, 1e-5);
    assert_eq!((fitted.components.stand, fitted.components.year), (None, None));
    // REML criterion at convergence, 319.6543 in the published fit, in the unit of the records.
    let spread: Vec<f64> = rows.concat();
    let variance = spread.iter().map(|one| (one - 1_527.5_f64).powi(2)).sum::<f64>() / 30.0;
    close(fitted.deviance + 29.0 * variance.ln(), 319.654_3, 1e-6);
    // Published conditional means of batches beside the mean: −17.607, 0.391, 28.564, −23.084, 56.736, −44.999
    // (from memory, to one decimal).
    let trees = values(&records, &fitted.components).trees;
    let deviations = trees.iter().map(|tree| tree.unwrap().deviation);
    for (found, expected) in deviations.zip([-17.6, 0.4, 28.6, -23.1, 56.7, -45.0]) {
        assert!((found - expected).abs() < 0.06, "{found} beside {expected}");
    }
}

/// Standard errors where they have a closed form. In a balanced design twice the negative restricted likelihood is a
/// sum of freedom × (ln λ + mean square / λ) over the lines of the analysis of variance; so, at its least, each λ is
/// the mean square and has the variance 2 λ² / freedom, apart from the others. Source of the design and form: Searle,
/// Casella and others 1992, Variance Components, chapters 4 and 8 (from memory).
#[test]
fn standard_errors_are_those_of_mean_squares() {
    let of_lines = |lines: &[(f64, f64)], times: f64| {
        let variance = |(mean_square, freedom): &(f64, f64)| 2.0 * mean_square.powi(2) / freedom;
        lines.iter().map(variance).sum::<f64>().sqrt() / times
    };
    // Six batches of five: mean squares 11271.5 and 2451.25 (published with the figures).
    let rows: Vec<Vec<f64>> = DYESTUFF.iter().map(|row| row.to_vec()).collect();
    let found = reml(&Records::new(&balanced(&rows), &[0; 6], 1).unwrap()).errors;
    let (batches, within) = ((11_271.5, 5.0), (2_451.25, 24.0));
    close(found.tree.unwrap(), of_lines(&[batches, within], 5.0), 1e-4);
    close(found.error.unwrap(), of_lines(&[within], 1.0), 1e-4);
    assert_eq!((found.stand, found.year), (None, None));

    // Five trees in each of four years, one sample each: trees and years cross.
    let crossed = [
        [10.0, 14.0, 9.0, 17.0],
        [16.0, 19.5, 13.0, 21.0],
        [8.0, 13.5, 6.0, 14.0],
        [12.0, 15.0, 11.5, 20.0],
        [21.0, 23.0, 18.0, 27.5],
    ];
    let mut records = Vec::new();
    for (tree, row) in crossed.iter().enumerate() {
        records.extend(row.iter().enumerate().map(|(year, value)| Record {
            tree,
            year,
            value: *value,
        }));
    }
    let found = reml(&Records::new(&records, &[0; 5], 4).unwrap()).errors;
    let all = crossed.concat();
    let by_tree = crossed.map(|row| mean(&row));
    let by_year: Vec<f64> = (0..4).map(|year| mean(&crossed.map(|row| row[year]))).collect();
    let [total, trees, years] = [squares(&all), 4.0 * squares(&by_tree), 5.0 * squares(&by_year)];
    let (trees, years, rest) =
        ((trees / 4.0, 4.0), (years / 3.0, 3.0), ((total - trees - years) / 12.0, 12.0));
    close(found.tree.unwrap(), of_lines(&[trees, rest], 4.0), 1e-4);
    close(found.year.unwrap(), of_lines(&[years, rest], 5.0), 1e-4);
    close(found.error.unwrap(), of_lines(&[rest], 1.0), 1e-4);

    // Three stands of two trees, each sampled twice.
    let nested =
        [[[10.0, 11.5], [14.0, 12.0]], [[25.0, 23.0], [31.0, 30.0]], [[17.0, 20.0], [15.5, 15.0]]];
    let trees_of = nested.concat();
    let found = reml(
        &Records::new(
            &balanced(&trees_of.iter().map(|pair| pair.to_vec()).collect::<Vec<_>>()),
            &[0, 0, 1, 1, 2, 2],
            1,
        )
        .unwrap(),
    )
    .errors;
    let by_tree: Vec<f64> = trees_of.iter().map(|pair| mean(pair)).collect();
    let by_stand: Vec<f64> = by_tree.chunks(2).map(mean).collect();
    let total = squares(&trees_of.concat());
    let (of_stands, of_trees) = (4.0 * squares(&by_stand), 2.0 * squares(&by_tree));
    let (stands, trees, rest) = (
        (of_stands / 2.0, 2.0),
        ((of_trees - of_stands) / 3.0, 3.0),
        ((total - of_trees) / 6.0, 6.0),
    );
    close(found.stand.unwrap(), of_lines(&[stands, trees], 4.0), 1e-4);
    close(found.tree.unwrap(), of_lines(&[trees, rest], 2.0), 1e-4);
    close(found.error.unwrap(), of_lines(&[rest], 1.0), 1e-4);
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

/// Squares of what lies between values and their mean, summed.
fn squares(values: &[f64]) -> f64 {
    let middle = mean(values);
    values.iter().map(|one| (one - middle).powi(2)).sum()
}

/// Where batches differ no more than chance has it, their variance is 0 and all is error.
#[test]
fn a_variance_below_nothing_is_nothing() {
    let rows = vec![vec![1.0, 9.0, 5.0], vec![9.5, 1.2, 4.8], vec![5.0, 0.9, 9.0]];
    let fitted = reml(&Records::new(&balanced(&rows), &[0; 3], 1).unwrap());
    assert!(fitted.components.tree.unwrap() < 1e-9);
    assert_eq!(fitted.errors.tree, None);
    let all = rows.concat();
    let mean = all.iter().sum::<f64>() / 9.0;
    let variance = all.iter().map(|one| (one - mean).powi(2)).sum::<f64>() / 8.0;
    close(fitted.components.error, variance, 1e-6);
}

/// Source: the repeatability form of shrinkage, b = n h / (1 + (n − 1) h); figures computed outside the
/// program for h 0.27, 0.40, 0.69 and n 1, 4, 9.
#[test]
fn trees_are_drawn_in_as_the_published_form_says() {
    for (h, shares) in [
        (0.27, [0.2700, 0.5967, 0.7690]),
        (0.40, [0.4000, 0.7273, 0.8571]),
        (0.69, [0.6900, 0.8990, 0.9525]),
    ] {
        let mut records = Vec::new();
        for (tree, samples) in [1, 4, 9].into_iter().enumerate() {
            records.extend((0..samples).map(|_| Record { tree, year: 0, value: 10.0 }));
        }
        // So many other trees around 0 that the mean is known.
        let others = (3..40_003).map(|tree| Record { tree, year: 0, value: [-1.0, 1.0][tree % 2] });
        records.extend(others);
        let stand_of = vec![0; 40_003];
        let records = Records::new(&records, &stand_of, 1).unwrap();
        let components = Components { tree: Some(h), stand: None, year: None, error: 1.0 - h };
        let found = values(&records, &components);
        for (tree, share) in shares.iter().enumerate() {
            let tree = found.trees[tree].unwrap();
            assert!((tree.deviation / tree.raw_deviation - share).abs() < 6e-5, "{h}: {tree:?}");
            // Error of a prediction: what was not drawn out of the trees' variance.
            close(tree.deviation_error.powi(2), h * (1.0 - share), 2e-3);
        }
    }
}

/// A random design: stand of each tree, and records.
fn designs() -> impl Strategy<Value = (Vec<usize>, usize, Vec<Record>)> {
    (1_usize..5, 1_usize..4).prop_flat_map(|(stands, years)| {
        let trees = prop::collection::vec(0..stands, 2..9);
        (trees, Just(years)).prop_flat_map(|(stand_of, years)| {
            let record = (0..stand_of.len(), 0..years, -5.0_f64..5.0)
                .prop_map(|(tree, year, value)| Record { tree, year, value });
            (Just(stand_of), Just(years), prop::collection::vec(record, 5..30))
        })
    })
}

/// The mixed model with every matrix whole.
struct Whole {
    v: DMatrix<f64>,
    y: DVector<f64>,
    records: Vec<Record>,
    stand_of: Vec<usize>,
    of: [f64; 4],
}

impl Whole {
    fn new(records: &[Record], stand_of: &[usize], of: [f64; 4]) -> Self {
        let [tree, stand, year, error] = of;
        let v = DMatrix::from_fn(records.len(), records.len(), |a, b| {
            let (one, other) = (records[a], records[b]);
            let same = |is_same: bool, variance: f64| if is_same { variance } else { 0.0 };
            same(one.tree == other.tree, tree)
                + same(stand_of[one.tree] == stand_of[other.tree], stand)
                + same(one.year == other.year, year)
                + same(a == b, error)
        });
        let y = DVector::from_iterator(records.len(), records.iter().map(|one| one.value));
        Self { v, y, records: records.to_vec(), stand_of: stand_of.to_vec(), of }
    }

    /// −2 log of the restricted likelihood.
    fn deviance(&self) -> f64 {
        let n = self.y.len();
        let inverse = self.v.clone().try_inverse().unwrap();
        let ones = DVector::from_element(n, 1.0);
        let xvx = (ones.transpose() * &inverse * &ones)[0];
        let mean = (ones.transpose() * &inverse * &self.y)[0] / xvx;
        let off = &self.y - ones * mean;
        let log_det: f64 = self.v.clone().cholesky().unwrap().l().diagonal().map(f64::ln).sum();
        2.0 * log_det
            + xvx.ln()
            + (off.transpose() * &inverse * &off)[0]
            + (n as f64 - 1.0) * (2.0 * std::f64::consts::PI).ln()
    }

    /// Mean + stand + tree of one tree, and the variance of its error.
    fn value(&self, tree: usize) -> (f64, f64) {
        let n = self.y.len();
        let inverse = self.v.clone().try_inverse().unwrap();
        let ones = DVector::from_element(n, 1.0);
        let xvx = (ones.transpose() * &inverse * &ones)[0];
        let mean = (ones.transpose() * &inverse * &self.y)[0] / xvx;
        let [of_tree, of_stand, ..] = self.of;
        let shared = DVector::from_iterator(
            n,
            self.records.iter().map(|one| {
                f64::from(u8::from(one.tree == tree)) * of_tree
                    + f64::from(u8::from(self.stand_of[one.tree] == self.stand_of[tree])) * of_stand
            }),
        );
        let off = &self.y - &ones * mean;
        let value = mean + (shared.transpose() * &inverse * off)[0];
        let own = of_tree + of_stand;
        let explained = (shared.transpose() * &inverse * &shared)[0];
        let lever = 1.0 - (ones.transpose() * &inverse * &shared)[0];
        (value, own - explained + lever * lever / xvx)
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn values_are_those_of_the_whole_matrices((stand_of, years, rows) in designs(), of in prop::array::uniform4(0.1_f64..3.0)) {
        let records = Records::new(&rows, &stand_of, years).unwrap();
        let [tree, stand, year, error] = of;
        let components = Components { tree: Some(tree), stand: Some(stand), year: Some(year), error };
        let whole = Whole::new(&rows, &stand_of, of);
        for (tree, found) in values(&records, &components).trees.iter().enumerate() {
            let Some(found) = found else {
                prop_assert!(rows.iter().all(|row| row.tree != tree));
                continue;
            };
            let (value, variance) = whole.value(tree);
            prop_assert!((found.value - value).abs() < 1e-8, "{} beside {value}", found.value);
            prop_assert!((found.error.powi(2) - variance).abs() < 1e-8, "{} beside {variance}", found.error.powi(2));
        }
    }

    /// No other variances make the records likelier, by the slow twin's reckoning.
    #[test]
    fn no_neighbour_is_likelier((stand_of, years, rows) in designs()) {
        let records = Records::new(&rows, &stand_of, years).unwrap();
        let fitted = reml(&records);
        let found = fitted.components;
        let at = [found.tree, found.stand, found.year, Some(found.error)];
        prop_assume!(found.error > 1e-3 * found.total());
        let all = at.map(|one| one.unwrap_or(0.0));
        let best = Whole::new(&rows, &stand_of, all).deviance();
        for (axis, there) in at.iter().enumerate() {
            if there.is_none() { continue; }
            for by in [-0.02, 0.02] {
                let mut moved = all;
                moved[axis] = (moved[axis] + by * found.total()).max(0.0);
                if moved[3] <= 0.0 { continue; }
                let deviance = Whole::new(&rows, &stand_of, moved).deviance();
                prop_assert!(deviance >= best - 1e-6, "{moved:?}: {deviance} below {best} at {all:?}");
            }
        }
        // Deviances of the two agree, units apart.
        let n = rows.len() as f64;
        let mean = rows.iter().map(|row| row.value).sum::<f64>() / n;
        let variance = rows.iter().map(|row| (row.value - mean).powi(2)).sum::<f64>() / n;
        prop_assert!((fitted.deviance + (n - 1.0) * variance.ln() - best).abs() < 1e-6 * best.abs().max(1.0));
    }

    /// In whatever unit and from whatever level: as likely.
    #[test]
    fn units_do_not_matter((stand_of, years, rows) in designs(), by in 0.001_f64..1000.0, plus in -100.0_f64..100.0) {
        let one = reml(&Records::new(&rows, &stand_of, years).unwrap());
        let moved: Vec<Record> = rows.iter().map(|row| Record { value: row.value * by + plus * by, ..*row }).collect();
        let other = reml(&Records::new(&moved, &stand_of, years).unwrap());
        prop_assert!((one.deviance - other.deviance).abs() < 1e-5 * one.deviance.abs().max(1.0));
    }
}

#[test]
fn what_cannot_be_looked_into_is_refused() {
    let record = |value| Record { tree: 0, year: 0, value };
    let few = [record(1.0), record(2.0)];
    assert_eq!(Records::new(&few, &[0], 1).unwrap_err(), RecordsError::Few(2));
    let hole = [record(1.0), record(f64::NAN), record(2.0)];
    assert_eq!(Records::new(&hole, &[0], 1).unwrap_err(), RecordsError::NotFinite(1));
    let same = [record(0.1), record(0.1), record(0.1)];
    assert_eq!(Records::new(&same, &[0], 1).unwrap_err(), RecordsError::NoSpread);
    let beyond = [record(1.0), record(2.0), Record { tree: 7, ..record(3.0) }];
    assert_eq!(Records::new(&beyond, &[0], 1).unwrap_err(), RecordsError::Beyond(2));
}

#[test]
fn what_the_records_cannot_tell_is_not_told() {
    // One sample a tree, two stands, each in a year of its own.
    let rows: Vec<Record> = (0..8)
        .map(|tree| Record {
            tree,
            year: tree / 4,
            value: [3.0, 5.0, 4.0, 8.0][tree % 4] + tree as f64,
        })
        .collect();
    let stand_of: Vec<usize> = (0..8).map(|tree| tree / 4).collect();
    let records = Records::new(&rows, &stand_of, 2).unwrap();
    let fitted = reml(&records);
    assert!(!records.has_repeats());
    assert_eq!((fitted.components.tree, fitted.components.year), (None, None));
    assert!(fitted.components.stand.is_some());
    assert_eq!(fitted.components.repeatability(), None);
    let parted = fitted.components.parted_by(0.4);
    close(parted.repeatability().unwrap(), 0.4, 1e-12);
    close(parted.total(), fitted.components.total(), 1e-12);
}

impl Whole {
    /// Predictions of trees and the covariance of their errors.
    fn joint(&self, trees: usize) -> (DVector<f64>, DMatrix<f64>) {
        let n = self.y.len();
        let inverse = self.v.clone().try_inverse().unwrap();
        let ones = DVector::from_element(n, 1.0);
        let xvx = (ones.transpose() * &inverse * &ones)[0];
        let mean = (ones.transpose() * &inverse * &self.y)[0] / xvx;
        let [of_tree, of_stand, ..] = self.of;
        let stand = |tree: usize| self.stand_of[tree];
        let shared = |a: usize, b: usize| {
            f64::from(u8::from(a == b)) * of_tree
                + f64::from(u8::from(stand(a) == stand(b))) * of_stand
        };
        let c = DMatrix::from_fn(n, trees, |row, tree| shared(self.records[row].tree, tree));
        let off = &self.y - &ones * mean;
        let found = (c.transpose() * &inverse * off).add_scalar(mean);
        let lever = (ones.transpose() * &inverse * &c).map(|one| 1.0 - one);
        let own = DMatrix::from_fn(trees, trees, shared);
        (found, own - c.transpose() * &inverse * &c + lever.transpose() * lever / xvx)
    }
}

/// Against draws of all errors together, with every matrix whole.
#[test]
fn the_chance_that_no_tree_is_above_a_mark_takes_what_trees_share() {
    let mut random = Pcg64::seed_from_u64(5);
    let mut normal =
        |deviation: f64| (0..12).map(|_| random.random_range(-0.5..0.5)).sum::<f64>() * deviation;
    let stand_of: Vec<usize> = (0..15).map(|tree| tree % 3).collect();
    let of = [1.0, 2.0, 1.0, 1.5];
    let own: Vec<f64> = (0..15).map(|_| normal(1.0)).collect();
    let rows: Vec<Record> = (0..40)
        .map(|at| Record { tree: at % 15, year: at % 2, value: own[at % 15] + normal(1.2) })
        .collect();
    let records = Records::new(&rows, &stand_of, 2).unwrap();
    let [tree, stand, year, error] = of;
    let components = Components { tree: Some(tree), stand: Some(stand), year: Some(year), error };
    let (found, covariance) = Whole::new(&rows, &stand_of, of).joint(15);
    let root = covariance.clone().cholesky().unwrap().l();
    let draws = 40_000;
    for mark in [1.0, 1.5, 2.0, 3.0] {
        let none = (0..draws)
            .filter(|_| {
                let z = DVector::from_fn(15, |_, _| normal(1.0));
                (&found + &root * z).iter().all(|value| *value < mark)
            })
            .count();
        let expected = none as f64 / f64::from(draws);
        let chance = chance_of_none(&records, &components, mark);
        assert!((chance - expected).abs() < 0.02, "{mark}: {chance} beside {expected}");
        // Chances multiplied would say less, for errors are shared.
        let alone = values(&records, &components).trees;
        let product: f64 = alone
            .iter()
            .flatten()
            .map(|one| tally::normal_above((one.value - mark) / one.error))
            .product();
        assert!(product < chance + 0.002, "{mark}: {product} beside {chance}");
    }
}
