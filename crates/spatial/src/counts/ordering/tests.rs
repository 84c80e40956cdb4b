//! Orders worked by hand, and the laws that all of them keep.

use std::num::NonZeroU64;

use proptest::prelude::*;
use stock::{Stock, StockKind, Supply};

use super::*;
use crate::counts::order_quantity;
use crate::offers::fixture::demand_of;

const PLAIN: OrderingRules =
    OrderingRules { confidence: 0.5, spare: 0.0, tray: NonZeroU64::MIN, delivery_most: None };

fn block(zone: usize, season: usize, seedlings: u64, demands: &[ZoneDemand]) -> BlockCount {
    let order_qty = order_quantity(seedlings, demands[zone].lines[0].survival());
    BlockCount {
        zone,
        stock: 0,
        season,
        share: 1.0,
        seedlings,
        order_qty,
        person_days: 0.0,
        cost_nzd: 0.0,
    }
}

/// Zones of which as many live in a thousand as these say.
fn demands(thousandths: &[u32]) -> Vec<ZoneDemand> {
    thousandths.iter().map(|alive| demand_of(1, f64::from(*alive), 1_000.0)).collect()
}

fn line(supply: Option<u64>, price_nzd: Option<f64>, min_lot: Option<u32>) -> Library {
    let supply = supply.map_or(Supply::Unlimited, Supply::Total);
    let stock =
        Stock { supply, price_nzd, min_lot, ..Stock::named("line", "Line", StockKind::Cultivar) };
    Library::new(vec![stock]).unwrap()
}

const ONE: Seasons = Seasons { first: None, count: 1 };

fn ordered(
    library: &Library,
    mosaic: &MosaicRules,
    rules: &OrderingRules,
    blocks: &mut [BlockCount],
    demands: &[ZoneDemand],
) -> LineOrder {
    order_lines(blocks, demands, library, &ONE, (mosaic, rules)).remove(0)
}

/// Source: 750 live stems a hectare after two years, a national planting grant of 2018–20: 1,000 planted
/// at 75 %. Of 1,024 as many live 9 times in 10, by the exact binomial (`scipy.stats.binom` agrees, see
/// the checks of `tally`).
#[test]
fn an_order_lives_up_to_its_number_with_the_chance_asked_for() {
    let demands = demands(&[750]);
    let order = |confidence: f64| {
        let mut blocks = [block(0, 0, 750, &demands)];
        let rules = OrderingRules { confidence, ..PLAIN };
        ordered(&line(None, None, None), &MosaicRules::usual(), &rules, &mut blocks, &demands)
    };
    assert_eq!(order(0.01).plants, 1_000, "never fewer than planted ÷ survival");
    let nine_in_ten = order(0.9);
    assert_eq!((nine_in_ten.plants, nine_in_ten.asked.needed), (1_024, 1_024));
    assert!(nine_in_ten.chance >= 0.9 && nine_in_ten.chance < 0.91);
    assert!((nine_in_ten.survival - 0.75).abs() < 1e-12);
}

/// Worked by hand: 1,000 needed, 5 % spares make 1,050, the lot 1,200, trays of 45 make 1,215; at most
/// 500 a delivery are 11 trays, so 27 trays come in three.
#[test]
fn spares_lot_trays_and_deliveries_add_up() {
    let demands = demands(&[750]);
    let mut blocks = [block(0, 0, 750, &demands)];
    let tray = NonZeroU64::new(45).unwrap();
    let rules = OrderingRules { spare: 0.05, tray, delivery_most: Some(500), ..PLAIN };
    let library = line(None, Some(2.0), Some(1_200));
    let mosaic = MosaicRules { planting_nzd: 0.5, ..MosaicRules::usual() };
    let order = ordered(&library, &mosaic, &rules, &mut blocks, &demands);
    let RoundedOrder { needed, spare, lot, tray } = order.asked;
    assert_eq!((needed, spare, lot, tray), (1_000, 50, 150, 15));
    assert_eq!((order.plants, order.held_by, order.deliveries), (1_215, None, vec![405; 3]));
    assert_eq!(blocks[0].order_qty, 1_215);
    assert!((blocks[0].cost_nzd - (1_215.0 * 2.0 + 750.0 * 0.5)).abs() < 1e-9);
}

#[test]
fn supply_and_money_hold_an_order_back() {
    let demands = demands(&[750]);
    let rules = OrderingRules { confidence: 0.9, tray: NonZeroU64::new(40).unwrap(), ..PLAIN };
    let order = |library: &Library, budget_nzd: Option<f64>| {
        let mut blocks = [block(0, 0, 750, &demands)];
        blocks[0].cost_nzd = 2_000.0; // 1,000 plants at 2 dollars
        let mosaic = MosaicRules { budget_nzd, ..MosaicRules::usual() };
        let order = ordered(library, &mosaic, &rules, &mut blocks, &demands);
        (order.plants, order.held_by, order.chance >= 0.9)
    };
    assert_eq!(order(&line(Some(1_040), None, None), None), (1_040, None, true));
    let by_supply = Some(Holding::Supply);
    // 26 trays would be 1,040: 1,039 are single plants, which are still enough.
    assert_eq!(order(&line(Some(1_039), None, None), None), (1_039, by_supply, true));
    assert_eq!(order(&line(Some(1_010), None, None), None), (1_010, by_supply, false));
    let by_budget = Some(Holding::Budget);
    assert_eq!(order(&line(None, Some(2.0), None), Some(2_021.0)), (1_010, by_budget, false));
    // With spares 1,076 are 27 trays: of 1,075 that can be had 26 trays are whole, and enough.
    let spared = OrderingRules { spare: 0.05, ..rules };
    let (library, usual) = (line(Some(1_075), None, None), MosaicRules::usual());
    let mut blocks = [block(0, 0, 750, &demands)];
    let held = ordered(&library, &usual, &spared, &mut blocks, &demands);
    assert_eq!((held.asked.plants(), held.plants, held.held_by), (1_080, 1_040, by_supply));
}

proptest! {
    #[test]
    fn orders_keep_every_law(
        zones in prop::collection::vec((1_u64..4_000, 300_u32..=1_000, 0_usize..2), 1..12),
        confidence in 0.5..0.99_f64,
        spare in 0.0..0.2_f64,
        tray in 1_u64..120,
        delivery in prop::option::of(1_u64..4_000),
        supply_beyond in prop::option::of(0_u64..400),
        money_beyond in prop::option::of(0.0..400.0_f64),
    ) {
        let demands = demands(&zones.iter().map(|zone| zone.1).collect::<Vec<_>>());
        let mut blocks: Vec<BlockCount> = zones
            .iter()
            .enumerate()
            .map(|(at, zone)| block(at, zone.2, zone.0, &demands))
            .collect();
        for block in &mut blocks {
            block.cost_nzd = block.order_qty as f64;
        }
        let least: u64 = blocks.iter().map(|block| block.order_qty).sum();
        let supply = supply_beyond.map(|more| least + more);
        let budget_nzd = money_beyond.map(|more| least as f64 + more);
        let mosaic = MosaicRules { budget_nzd, ..MosaicRules::usual() };
        let tray = NonZeroU64::new(tray).unwrap();
        let rules = OrderingRules { confidence, spare, tray, delivery_most: delivery };
        let (before, seasons) = (blocks.clone(), Seasons { first: Some(2027), count: 2 });
        let library = line(supply, Some(1.0), None);
        let orders = order_lines(&mut blocks, &demands, &library, &seasons, (&mosaic, &rules));
        let all: u64 = orders.iter().map(|order| order.plants).sum();
        prop_assert!(supply.is_none_or(|supply| all <= supply), "{all} of {supply:?}");
        prop_assert!(budget_nzd.is_none_or(|budget| spent(&blocks, |_| true) <= budget + 1e-6));
        for order in &orders {
            let own = |blocks: &[BlockCount]| -> u64 {
                let own = blocks.iter().filter(|block| block.season == order.season);
                own.map(|block| block.order_qty).sum()
            };
            prop_assert_eq!(own(&blocks), order.plants, "blocks add up to the order");
            prop_assert!(order.plants >= own(&before), "never fewer than at the least");
            prop_assert!(order.plants <= order.asked.plants());
            prop_assert_eq!(order.held_by.is_some(), order.plants < order.asked.plants());
            prop_assert!(order.held_by.is_some() || order.plants.is_multiple_of(tray.get()));
            prop_assert!(order.plants < order.asked.needed || order.chance >= confidence - 1e-9);
            prop_assert_eq!(order.deliveries.iter().sum::<u64>(), order.plants);
            for plants in &order.deliveries {
                prop_assert!(*plants > 0 && delivery.is_none_or(|most| *plants <= most.max(tray.get())));
            }
            let trays = |plants: u64| plants.div_ceil(tray.get());
            let (first, last) = (order.deliveries[0], order.deliveries[order.deliveries.len() - 1]);
            prop_assert!(trays(first) - trays(last) <= 1, "{:?}", order.deliveries);
        }
        for (block, before) in blocks.iter().zip(&before) {
            prop_assert_eq!(block.seedlings, before.seedlings);
            prop_assert!(block.order_qty + 1 >= before.order_qty, "{block:?} of {before:?}");
        }
    }
}
