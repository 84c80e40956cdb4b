//! Odd shapes and bad numbers.

use super::super::{LineLimit, MosaicError, Offer, Programme, ZoneOffers, solve};
use super::{programme, solved};

#[test]
fn nothing_to_plant_is_an_answer() {
    let none = solved(&programme(&[], &[], &[Some(5.0)]));
    assert_eq!((none.shares.len(), none.gap.to_bits(), none.stopped_early), (0, 0, false));
    assert_eq!(solved(&programme(&[3.0], &[vec![]], &[])).shares, [Vec::<f64>::new()]);
    let flat = solved(&programme(&[0.0], &[vec![Some((1.0, 1.0))]], &[None]));
    assert_eq!(flat.shares, [[0.0]]);
    assert_eq!(solved(&programme(&[1.0], &[vec![None]], &[None])).shares, [[0.0]]);
    assert_eq!(solved(&programme(&[1.0], &[vec![Some((0.0, 1.0))]], &[None])).shares, [[0.0]]);
    let no_cap =
        Programme { line_cap: 0.0, ..programme(&[1.0], &[vec![Some((1.0, 1.0))]], &[None]) };
    assert_eq!(solved(&no_cap).shares, [[0.0]]);
    let sold_out = programme(&[1.0], &[vec![Some((1.0, 1.0))]], &[Some(0.0)]);
    assert_eq!(solved(&sold_out).shares, [[0.0]]);
    let next_to_none = programme(&[1.0], &[vec![Some((1.0, 1.0))]], &[Some(f64::MIN_POSITIVE)]);
    assert_eq!(solved(&next_to_none).shares, [[0.0]]);
    let costs_no_plants = programme(&[1.0], &[vec![Some((1.0, 0.0))]], &[Some(0.0)]);
    assert_eq!(solved(&costs_no_plants).shares, [[1.0]]);
}

#[test]
fn without_time_there_still_is_a_sound_answer() {
    let row = vec![Some((1.0, 1_000.0)), Some((0.4, 1_000.0))];
    let hasty = Programme {
        time_limit_s: 0.0,
        ..programme(&[10.0, 5.0], &[row.clone(), row], &[Some(4_000.0), Some(3_000.0)])
    };
    let answer = solved(&hasty);
    assert!(answer.objective > 0.0 && answer.stopped_early);
    let patient = Programme { time_limit_s: f64::MAX, ..hasty };
    assert!(!solved(&patient).stopped_early);
}

/// Puts a number into one field.
type Spoil = fn(&mut Programme, f64);

#[test]
fn numbers_that_cannot_be_meant_are_refused_by_name() {
    let sound = programme(&[1.0], &[vec![Some((1.0, 1.0))]], &[Some(1.0)]);
    let spoils: [(&str, Spoil); 8] = [
        ("min_share", |p, x| p.min_share = x),
        ("line_cap", |p, x| p.line_cap = x),
        ("gap", |p, x| p.gap = x),
        ("time_limit_s", |p, x| p.time_limit_s = x),
        ("supply of line 0", |p, x| p.lines = vec![LineLimit { supply: Some(x) }]),
        ("area_ha of zone 0", |p, x| p.zones[0].area_ha = x),
        ("worth_per_ha of line 0 in zone 0", |p, x| {
            p.zones[0].offers[0] = Some(Offer { worth_per_ha: x, plants_per_ha: 1.0 });
        }),
        ("plants_per_ha of line 0 in zone 0", |p, x| {
            p.zones[0].offers[0] = Some(Offer { worth_per_ha: 1.0, plants_per_ha: x });
        }),
    ];
    for (name, spoil) in spoils {
        for bad in [f64::NAN, -1.0, f64::INFINITY] {
            let mut spoilt = sound.clone();
            spoil(&mut spoilt, bad);
            match solve(&spoilt) {
                Err(MosaicError::Number { item, .. }) => assert_eq!(item, name),
                other => panic!("{name} = {bad}: {other:?}"),
            }
        }
    }
}

#[test]
fn a_zone_must_have_an_offer_slot_for_each_line() {
    let mut odd = programme(&[1.0], &[vec![Some((1.0, 1.0))]], &[None]);
    odd.zones.push(ZoneOffers { area_ha: 1.0, offers: vec![] });
    assert_eq!(solve(&odd), Err(MosaicError::Offers { zone: 1, found: 0, expected: 1 }));
}
