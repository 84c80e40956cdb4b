//! Suitability orders against the limiting-condition method of land evaluation.
//!
//! Sources, all from memory, as no copy was at hand: FAO 1976, A Framework for Land Evaluation, Soils
//! Bulletin 32 (orders S and N, classes S1 to S3; it sets no edges); FAO 1983, Guidelines: land
//! evaluation for rainfed agriculture, Soils Bulletin 52 (percentages of the best yield; the least
//! favourable rating decides); Sys, Van Ranst & Debaveye 1991, Land Evaluation, part 2 (degrees of
//! limitation, and the method of the maximum limitation).

#![expect(clippy::expect_used, reason = "a test helper that fails is a failing test")]

use proptest::prelude::*;
use stock::{Conditions, Factor, FitEdges, FitOrder, Tolerance, Trapezoid};

/// FAO 1983: S1 from 80 % of the best yield, S2 from 40 %, S3 from 20 %, N below.
#[test]
fn the_usual_edges_are_the_percentages_of_1983() {
    let edges = FitEdges::default();
    for (percent, order) in [
        (100, FitOrder::S1),
        (80, FitOrder::S1),
        (79, FitOrder::S2),
        (40, FitOrder::S2),
        (39, FitOrder::S3),
        (20, FitOrder::S3),
        (19, FitOrder::N),
        (0, FitOrder::N),
    ] {
        assert_eq!(edges.order(f64::from(percent) / 100.0), order, "{percent} %");
    }
}

/// Sys et al. 1991: ratings from 85 are no or slight limitation, S1; from 60 moderate, S2; from 40
/// severe, S3; below very severe, N.
fn sys() -> FitEdges {
    FitEdges::new([0.85, 0.60, 0.40]).expect("falling")
}

/// A place whose rating, 0 to 1, for each factor is as given, and a stock that reads it straight.
fn rated(ratings: &[(Factor, f64)]) -> (Tolerance, Conditions) {
    let straight = Trapezoid::new(Some((0.0, 1.0)), None).expect("rising");
    let start = (Tolerance::unlimited(), Conditions::unknown());
    ratings.iter().fold(start, |(tolerance, here), (factor, rating)| {
        (tolerance.with(*factor, straight), here.with(*factor, *rating))
    })
}

/// The form of the worked tables of Sys et al. 1991: a land unit, the rating of each of its
/// characteristics, and the class by the greatest limitation. The ratings are ours.
#[test]
fn the_greatest_limitation_decides_and_is_named() {
    let characteristics = [
        Factor::AnnualMeanC,
        Factor::SlopeDeg,
        Factor::WetnessIndex,
        Factor::SunRatio,
        Factor::ExposureDeg,
    ];
    let units: [([f64; 5], FitOrder, Option<Factor>); 6] = [
        ([1.00, 1.00, 1.00, 1.00, 1.00], FitOrder::S1, None),
        ([0.98, 0.95, 0.90, 0.88, 0.85], FitOrder::S1, Some(Factor::ExposureDeg)),
        ([0.98, 0.70, 0.90, 0.95, 0.88], FitOrder::S2, Some(Factor::SlopeDeg)),
        // Four moderate limitations are still moderate: they do not add up.
        ([0.70, 0.70, 0.65, 0.62, 0.90], FitOrder::S2, Some(Factor::SunRatio)),
        ([0.98, 0.95, 0.45, 0.95, 0.88], FitOrder::S3, Some(Factor::WetnessIndex)),
        ([0.20, 0.95, 0.45, 0.95, 0.88], FitOrder::N, Some(Factor::AnnualMeanC)),
    ];
    for (ratings, order, limiting) in units {
        let rows: Vec<_> = characteristics.into_iter().zip(ratings).collect();
        let (tolerance, here) = rated(&rows);
        let fit = tolerance.fit(&here);
        assert_eq!(sys().order(fit.value), order, "{ratings:?}");
        assert_eq!(fit.limiting.map(|limit| limit.factor), limiting, "{ratings:?}");
    }
}

proptest! {
    /// The class by the greatest limitation is the worst of the classes of the single ratings, and
    /// the class of the least rating: both ways of saying it are one.
    #[test]
    fn the_order_of_the_least_rating_is_the_worst_order(
        ratings in prop::array::uniform9(0.0..=1.0_f64), usual in any::<bool>(),
    ) {
        let edges = if usual { FitEdges::default() } else { sys() };
        let rows: Vec<_> = Factor::NUMERIC.into_iter().zip(ratings).collect();
        let (tolerance, here) = rated(&rows);
        let worst = ratings.iter().map(|rating| edges.order(*rating)).max();
        prop_assert_eq!(Some(edges.order(tolerance.fit(&here).value)), worst);
    }
}
