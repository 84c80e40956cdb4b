//! Laws of membership and fit, on random tolerances and places with holes.

#![expect(clippy::expect_used, reason = "a test helper that fails is a failing test")]
#![expect(clippy::float_cmp, reason = "both sides follow the same formula: equal to the bit")]

use proptest::prelude::*;
use stock::{Conditions, Factor, Fit, Limit, Side, Strip, StripFit, Tolerance, Trapezoid};

/// Any sound trapezoid, open ends and peaks included.
fn trapezoid() -> impl Strategy<Value = Trapezoid> {
    (-50.0..50.0, 0.001..20.0, 0.0..30.0_f64, 0.001..20.0, any::<bool>(), any::<bool>()).prop_map(
        |(start, rise, flat, fall, has_lower, has_upper)| {
            let full_from = start + rise;
            let full_to = full_from + flat;
            let lower = has_lower.then_some((start, full_from));
            let upper = has_upper.then_some((full_to, full_to + fall));
            Trapezoid::new(lower, upper).expect("rising by construction")
        },
    )
}

type Ranges = [Option<Trapezoid>; Factor::NUMERIC.len()];

fn tolerance(ranges: &Ranges, drainage: Option<[f64; 5]>) -> Tolerance {
    let mut tolerance = Tolerance::unlimited();
    for (factor, range) in Factor::NUMERIC.into_iter().zip(ranges) {
        if let Some(range) = range {
            tolerance = tolerance.with(factor, *range);
        }
    }
    match drainage {
        Some(memberships) => tolerance.with_drainage(memberships).expect("0 to 1"),
        None => tolerance,
    }
}

fn ranges() -> impl Strategy<Value = Ranges> {
    prop::array::uniform9(prop::option::of(trapezoid()))
}

fn drainage() -> impl Strategy<Value = Option<[f64; 5]>> {
    prop::option::of(prop::array::uniform5(prop_oneof![Just(0.0), Just(1.0), 0.0..1.0_f64]))
}

fn conditions() -> impl Strategy<Value = Conditions> {
    let numeric = prop::array::uniform9(prop::option::weighted(0.8, -80.0..120.0_f64));
    (numeric, prop::option::of(0_u8..5))
        .prop_map(|(numeric, class)| Conditions::new(numeric, class))
}

/// Membership spelt out case by case from the two ends.
fn plain_membership(range: &Trapezoid, value: f64) -> f64 {
    if let Some((none_below, full_from)) = range.lower() {
        if value <= none_below {
            return 0.0;
        }
        if value < full_from {
            return (value - none_below) / (full_from - none_below);
        }
    }
    if let Some((full_to, none_above)) = range.upper() {
        if value >= none_above {
            return 0.0;
        }
        if value > full_to {
            return (none_above - value) / (none_above - full_to);
        }
    }
    1.0
}

/// The law of the minimum spelt out: every known factor's membership, sorted.
fn plain_fit(
    ranges: &Ranges,
    drainage: Option<[f64; 5]>,
    here: &Conditions,
) -> (f64, Option<Factor>) {
    let mut memberships = Vec::new();
    for (factor, range) in Factor::NUMERIC.into_iter().zip(ranges) {
        if let (Some(range), Some(value)) = (range, here.value(factor)) {
            memberships.push((plain_membership(range, value), factor));
        }
    }
    if let (Some(memberships_by_class), Some(class)) = (drainage, here.drainage()) {
        memberships.push((memberships_by_class[usize::from(class)], Factor::Drainage));
    }
    memberships.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    match memberships.first() {
        Some(&(least, factor)) if least < 1.0 => (least, Some(factor)),
        _ => (1.0, None),
    }
}

proptest! {
    #[test]
    fn membership_is_the_plain_one_within_0_and_1(range in trapezoid(), value in -120.0..150.0_f64) {
        let membership = range.membership(value);
        prop_assert!((0.0..=1.0).contains(&membership));
        prop_assert_eq!(membership, plain_membership(&range, value));
    }

    #[test]
    fn membership_rises_on_the_lower_flank_and_falls_on_the_upper(
        range in trapezoid(), a in -120.0..150.0_f64, b in -120.0..150.0_f64,
    ) {
        let (low, high) = (a.min(b), a.max(b));
        let (at_low, at_high) = (range.membership(low), range.membership(high));
        if range.upper().is_none_or(|(full_to, _)| high <= full_to) {
            prop_assert!(at_low <= at_high);
        }
        if range.lower().is_none_or(|(_, full_from)| low >= full_from) {
            prop_assert!(at_low >= at_high);
        }
    }

    #[test]
    fn fit_is_the_least_known_membership_and_names_it(
        ranges in ranges(), drainage in drainage(), here in conditions(),
    ) {
        let fit = tolerance(&ranges, drainage).fit(&here);
        let (value, factor) = plain_fit(&ranges, drainage, &here);
        prop_assert_eq!(fit.value, value);
        prop_assert_eq!(fit.limiting.map(|limit| limit.factor), factor);
        prop_assert_eq!(fit.limiting.is_none(), fit.value >= 1.0);
        prop_assert!(fit.value.is_sign_positive());
    }

    #[test]
    fn a_factor_more_never_raises_the_fit(
        ranges in ranges(), drainage in drainage(), here in conditions(),
        range in trapezoid(), which in 0_usize..5,
    ) {
        let mut without = ranges;
        without[which] = None;
        let mut with = without;
        with[which] = Some(range);
        let fit = |ranges: &Ranges, drainage| tolerance(ranges, drainage).fit(&here).value;
        prop_assert!(fit(&with, drainage) <= fit(&without, drainage));
        prop_assert!(fit(&with, drainage) <= fit(&with, None));
    }

    #[test]
    fn knowing_less_never_lowers_the_fit(
        ranges in ranges(), drainage in drainage(), here in conditions(), which in 0_usize..5,
    ) {
        let tolerance = tolerance(&ranges, drainage);
        let forgot = here.with(Factor::NUMERIC[which], f64::NAN);
        prop_assert!(tolerance.fit(&forgot).value >= tolerance.fit(&here).value);
        prop_assert!(tolerance.fit(&here.with_drainage(None)).value >= tolerance.fit(&here).value);
        prop_assert_eq!(tolerance.fit(&Conditions::unknown()), Fit { value: 1.0, limiting: None });
    }

    #[test]
    fn the_side_is_the_one_the_value_lies_on(range in trapezoid(), value in -120.0..150.0_f64) {
        let fit = Tolerance::unlimited()
            .with(Factor::WetnessIndex, range)
            .fit(&Conditions::unknown().with(Factor::WetnessIndex, value));
        let side = fit.limiting.map(|limit| limit.side);
        let expected = if range.lower().is_some_and(|(_, full_from)| value < full_from) {
            Some(Side::TooLow)
        } else if range.upper().is_some_and(|(full_to, _)| value > full_to) {
            Some(Side::TooHigh)
        } else {
            None
        };
        prop_assert_eq!(side, expected);
    }
}

/// Places with holes, some of them at the corners of ranges, in the precision of layers.
fn places() -> impl Strategy<Value = Vec<([Option<f32>; 9], Option<u8>)>> {
    let value =
        prop::option::weighted(0.8, prop_oneof![-80.0..120.0_f32, (-3_i8..=3).prop_map(f32::from)]);
    prop::collection::vec((prop::array::uniform9(value), prop::option::of(0_u8..7)), 1..200)
}

proptest! {
    #[test]
    fn a_strip_fits_as_each_of_its_places_does(
        ranges in ranges(), drainage in drainage(), places in places(),
        layers in prop::array::uniform9(prop::bool::weighted(0.8)), has_drainage in any::<bool>(),
        from in prop_oneof![Just(0), 0_usize..=Strip::CELLS], left in -80.0..120.0_f32,
    ) {
        let tolerance = tolerance(&ranges, drainage);
        // What an earlier filling left must not show.
        let (mut strip, mut fit) = (Strip::new(), StripFit::new());
        for factor in Factor::NUMERIC {
            strip.fill(factor, 0, &[left; Strip::CELLS]);
        }
        tolerance.fit_strip(&strip, &mut fit);
        strip.clear();
        let column = |factor: Factor| -> Vec<f32> {
            let value = |(place, _): &([Option<f32>; 9], _)| place[factor.index()];
            places.iter().map(|place| value(place).unwrap_or(f32::NAN)).collect()
        };
        for factor in Factor::NUMERIC.into_iter().filter(|factor| layers[factor.index()]) {
            // In two pieces, as runs of cells come.
            let column = column(factor);
            let (head, tail) = column.split_at(column.len() / 3);
            strip.fill(factor, from, head);
            strip.fill(factor, from + head.len(), tail);
        }
        if has_drainage {
            strip.fill_drainage(from, places.iter().map(|(_, class)| *class));
        }
        tolerance.fit_strip(&strip, &mut fit);
        for (at, (values, class)) in (from..Strip::CELLS).zip(&places) {
            let mut here = Conditions::unknown().with_drainage(class.filter(|_| has_drainage));
            for factor in Factor::NUMERIC.into_iter().filter(|factor| layers[factor.index()]) {
                here = here.with(factor, values[factor.index()].map_or(f64::NAN, f64::from));
            }
            let plain = tolerance.fit(&here);
            prop_assert_eq!(fit.at(at), plain);
            prop_assert_eq!(fit.values()[at].to_bits(), plain.value.to_bits());
            prop_assert!(fit.is_block_limited(at) || plain.value >= 1.0);
            for factor in Factor::ALL {
                let unknown = match factor {
                    Factor::Drainage => here.drainage().is_none(),
                    numeric => here.value(numeric).is_none(),
                };
                prop_assert_eq!(strip.is_unknown(factor, at), unknown);
            }
        }
        // Weights are powers of two, so the sum tells which places were counted.
        if from == 0 {
            let weights: Vec<f64> = (0..places.len().min(52)).map(|at| (at as f64).exp2()).collect();
            for factor in Factor::ALL {
                let open = weights.iter().enumerate().filter(|(at, _)| strip.is_unknown(factor, *at));
                let sum: f64 = open.map(|(_, weight)| weight).sum();
                prop_assert_eq!(strip.weight_not_known(factor, &weights), sum);
            }
        }
    }
}

#[test]
fn limits_are_numbered_in_their_order() {
    let all: Vec<Limit> = (0..Limit::COUNT).filter_map(Limit::from_index).collect();
    assert_eq!(all.len(), Limit::COUNT);
    assert!(all.is_sorted() && all.iter().enumerate().all(|(at, limit)| limit.index() == at));
    assert_eq!(Limit::from_index(Limit::COUNT), None);
}

#[test]
fn a_tie_goes_to_the_first_in_the_table() {
    let half = Trapezoid::new(Some((0.0, 2.0)), None).expect("sound");
    let tolerance =
        Tolerance::unlimited().with(Factor::SunRatio, half).with(Factor::SlopeDeg, half);
    let here = Conditions::unknown().with(Factor::SlopeDeg, 1.0).with(Factor::SunRatio, 1.0);
    let limit = Limit { factor: Factor::SlopeDeg, side: Side::TooLow };
    assert_eq!(tolerance.fit(&here), Fit { value: 0.5, limiting: Some(limit) });
    assert_eq!(limit.words(), "too flat");
    assert_eq!(limit.reason(), "the slope falls below its limit");
}

#[test]
fn drainage_says_on_which_side_the_class_lies() {
    let words = |memberships: [f64; 5], class: u8| {
        let tolerance = Tolerance::unlimited().with_drainage(memberships).expect("0 to 1");
        tolerance
            .fit(&Conditions::unknown().with_drainage(Some(class)))
            .limiting
            .map(|limit| limit.words())
    };
    assert_eq!(words([0.0, 0.3, 0.8, 1.0, 1.0], 1), Some("drains too poorly"));
    assert_eq!(words([1.0, 1.0, 0.8, 0.5, 0.2], 4), Some("drains too freely"));
    assert_eq!(words([1.0, 0.5, 0.5, 0.5, 1.0], 2), Some("soil drainage does not suit"));
    assert_eq!(words([0.5; 5], 2), Some("soil drainage does not suit"));
    assert_eq!(words([0.0, 0.3, 0.8, 1.0, 1.0], 4), None);
    assert!(Tolerance::unlimited().with_drainage([0.0, 0.0, 0.0, 0.0, 1.1]).is_err());
    assert!(Tolerance::unlimited().with_drainage([f64::NAN; 5]).is_err());
}
