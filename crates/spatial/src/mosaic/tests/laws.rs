//! Laws of any assignment.

use proptest::prelude::*;

use super::super::decisions::Rules;
use super::super::model::Model;
use super::super::relax::Relaxed;
use super::super::{Clock, Limit, Programme, greedy, guess, relax, solve};
use super::made_up::instance;
use super::{broken_rule, programme, programmes, shares, solved};

/// A programme with nothing decided.
fn model(programme: &Programme) -> Model {
    let rules = Rules::new(programme);
    Model::new(programme, &rules, &rules.open())
}

/// What the best-hectare-first rule reaches, on its own.
fn greedy_worth(programme: &Programme) -> f64 {
    let model = model(programme);
    let mut shares = greedy::greedy(&model, |column| {
        let column = &model.columns[column];
        column.preferred / programme.zones[column.zone].area_ha
    });
    model.tidy(&mut shares);
    model.value(&shares) * model.scale
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(120))]

    #[test]
    fn every_rule_is_kept_and_greed_never_does_better(programme in programmes(0..25, 0..6)) {
        let answer = solved(&programme);
        prop_assert!(answer.objective >= greedy_worth(&programme) * (1.0 - 1e-12));
    }

    #[test]
    fn without_least_shares_the_optimum_is_proven_by_prices(programme in programmes(1..25, 1..6)) {
        let programme = Programme { min_share: 0.0, ..programme };
        let answer = solved(&programme);
        prop_assert!(answer.gap <= 3e-6, "{}", answer.gap);
        prop_assert!(answer.stopped.is_none());
        // strong duality from the outside: prices × limits + what the zones keep = objective
        let cap = programme.line_cap * programme.area_ha();
        let price = |limit: Limit| {
            let mut binding = answer.binding.iter().filter(|b| b.limit == limit);
            binding.next().map_or(0.0, |b| b.shadow_price)
        };
        let mut dual = 0.0;
        for (line, limit) in programme.lines.iter().enumerate() {
            dual += price(Limit::Supply { line }) * limit.supply.unwrap_or(0.0);
            dual += price(Limit::Cap { line }) * cap;
        }
        for zone in &programme.zones {
            let rent = zone.offers.iter().enumerate().filter_map(|(line, offer)| {
                let offer = (*offer)?;
                // columns that a limit of 0 rules out have no finite price
                let ruled_out = (offer.plants_per_ha > 0.0
                    && programme.lines[line].supply.is_some_and(|supply| supply <= 0.0))
                    || cap <= 0.0;
                let cost = offer.plants_per_ha * price(Limit::Supply { line })
                    + price(Limit::Cap { line });
                (!ruled_out).then_some(zone.area_ha * (offer.worth_per_ha - cost))
            });
            dual += rent.fold(0.0, f64::max);
        }
        let scale = answer.objective.max(1e-9);
        prop_assert!((dual - answer.objective).abs() <= 1e-5 * scale, "{dual} {answer:?}");
    }

    #[test]
    fn more_supply_never_hurts_and_a_least_share_never_helps(programme in programmes(1..12, 1..4)) {
        let answer = solved(&programme);
        let mut richer = programme.clone();
        for line in &mut richer.lines {
            line.supply = line.supply.map(|supply| supply * 1.5 + 100.0);
        }
        let free = Programme { min_share: 0.0, ..programme };
        let slack = 1.0 - 3e-6;
        prop_assert!(solved(&richer).bound >= answer.objective * slack);
        prop_assert!(solved(&free).objective >= answer.objective * slack);
    }

    #[test]
    fn the_same_programme_has_the_same_shares_to_the_bit(programme in programmes(0..20, 0..5)) {
        let once = solve(&programme);
        let on_another_thread = std::thread::scope(|scope| scope.spawn(|| solve(&programme)).join());
        let twice = on_another_thread.expect("no panic");
        prop_assert_eq!(format!("{once:?}"), format!("{twice:?}"));
    }

    #[test]
    fn the_unit_of_worth_does_not_matter(programme in programmes(1..12, 1..4)) {
        let answer = solved(&programme);
        let mut dear = programme;
        for offer in dear.zones.iter_mut().flat_map(|zone| zone.offers.iter_mut().flatten()) {
            offer.worth_per_ha *= 1_024.0;
        }
        prop_assert_eq!(solved(&dear).given, answer.given);
    }
}

#[test]
fn equals_go_to_the_earlier_line_then_the_earlier_zone() {
    let row = vec![Some((1.0, 1_000.0)); 3];
    let shares = |programme: &Programme| shares(programme, &solved(programme));
    let pair = programme(&[2.0, 2.0], &[row.clone(), row.clone()], &[None, None, None]);
    assert_eq!(shares(&pair), [[1.0, 0.0, 0.0], [1.0, 0.0, 0.0]]);

    // two lines with plants for two zones each, and one without limit
    let supplies = [Some(4_000.0), Some(4_000.0), None];
    let five = programme(&[2.0; 5], &vec![row; 5], &supplies);
    let lines: Vec<_> =
        shares(&five).iter().map(|row| row.iter().position(|share| *share > 0.5)).collect();
    assert_eq!(lines, [0, 0, 1, 1, 2].map(Some));

    // plants for one of three zones
    let rows = vec![vec![Some((1.0, 1_000.0))]; 3];
    let three = programme(&[2.0; 3], &rows, &[Some(2_000.0)]);
    assert_eq!(shares(&three), [[1.0], [0.0], [0.0]]);
}

proptest! {
    /// A solver's tolerance is small; whatever it hands over must still end within the rules.
    #[test]
    fn any_shares_are_made_to_keep_every_rule(
        programme in programmes(0..12, 0..5),
        stuff in prop::collection::vec(prop_oneof![-0.5..1.5_f64, Just(f64::NAN), Just(1.0)], 48),
    ) {
        let model = model(&programme);
        let mut shares: Vec<_> = stuff.into_iter().cycle().take(model.columns.len()).collect();
        model.tidy(&mut shares);
        prop_assert_eq!(broken_rule(&programme, &model.given(&shares)), None);
        let once = shares.clone();
        model.tidy(&mut shares);
        prop_assert!(shares.iter().zip(&once).all(|(twice, once)| (twice - once).abs() < 1e-12));
    }
}

#[test]
fn what_binds_is_named_with_what_one_more_is_worth() {
    // One zone of 10 ha: line 0 is worth 1, has plants for 4 ha; line 1 is worth 0.4.
    let row = vec![Some((1.0, 1_000.0)), Some((0.4, 1_000.0))];
    let programme = programme(&[10.0], &[row], &[Some(4_000.0), None]);
    let answer = solved(&programme);
    let shares = shares(&programme, &answer);
    assert!((shares[0][0] - 0.4).abs() < 1e-9 && (shares[0][1] - 0.6).abs() < 1e-9);
    assert_eq!(answer.binding.len(), 1);
    let binding = answer.binding[0];
    assert_eq!(binding.limit, Limit::Supply { line: 0 });
    // A thousand plants turn one hectare from 0.4 to 1.
    assert!((binding.shadow_price - 0.6 / 1_000.0).abs() < 1e-9, "{binding:?}");
}

#[test]
fn a_least_share_that_supply_cannot_fill_leaves_the_ground() {
    let programme = programme(&[10.0], &[vec![Some((1.0, 1_000.0))]], &[Some(4_000.0)]);
    let large = Programme { min_share: 0.5, ..programme.clone() };
    assert_eq!(shares(&large, &solved(&large)), [[0.0]]);
    let small = Programme { min_share: 0.3, ..programme };
    assert!((shares(&small, &solved(&small))[0][0] - 0.4).abs() < 1e-9);
}

/// The way through the unclear zones ends where the whole linear programme ends.
#[test]
fn large_ground_solved_in_part_is_as_good_as_solved_whole() {
    let mut proven = 0;
    for seed in 0..6 {
        let programme = instance(150 + 40 * seed as usize, 5, seed);
        let model = model(&programme);
        assert!(model.columns.len() < 1_500, "the whole is solved at once");
        let clock = Clock::new(60.0);
        let guess = guess::guess(&model, 0.0, &guess::Prices::new());
        let Relaxed::Found(whole) = relax::relax_whole(&model, &clock) else {
            panic!("not solved")
        };
        let best = model.value(&whole.shares);
        assert!(guess.bound >= best * (1.0 - 1e-9));
        let part = relax::through_unclear_zones(&model, &guess, f64::INFINITY, &clock);
        let Some(part) = part.filter(|part| part.optimal) else { continue };
        proven += 1;
        assert!((model.value(&part.shares) - best).abs() <= 2e-6 * best);
        let bounds = [whole, part].map(|found| model.bound(&found.prices.expect("priced")));
        assert!((bounds[0] - bounds[1]).abs() <= 1e-7 * best, "{bounds:?}");
    }
    assert!(proven >= 3, "only {proven} of 6 were solved in part");
}
