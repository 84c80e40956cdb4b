//! Plants that found no place leave the counts, so that counts are those of places.

use stock::Library;

use super::blocks::cost_nzd;
use super::{BlockCount, order_quantity};
use crate::layout::ZoneDemand;
use crate::site::MosaicRules;

/// Takes plants out of blocks, of their orders and of what they cost. `without_place` is by block;
/// blocks beyond its end keep all.
pub fn leave_out(
    blocks: &mut [BlockCount],
    without_place: &[u64],
    demands: &[ZoneDemand],
    library: &Library,
    rules: &MosaicRules,
) {
    for (block, without) in blocks.iter_mut().zip(without_place) {
        if *without > 0 {
            block.seedlings = block.seedlings.saturating_sub(*without);
            let demand = &demands[block.zone].lines[block.stock];
            block.order_qty = order_quantity(block.seedlings, demand.survival());
            block.person_days = demand.days_of(block.seedlings);
            let stock = &library.stocks()[block.stock];
            block.cost_nzd = cost_nzd(block.seedlings, block.order_qty, stock, rules);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::offers::fixture::demand_of;
    use stock::{Stock, StockKind};

    #[test]
    fn what_has_no_place_is_neither_ordered_nor_paid() {
        let demands = [demand_of(1, 900.0, 1_200.0), demand_of(1, 900.0, 1_200.0)];
        let line =
            Stock { price_nzd: Some(2.0), ..Stock::named("line", "Line", StockKind::Cultivar) };
        let library = Library::new(vec![line]).unwrap();
        let block = |zone| BlockCount {
            zone,
            stock: 0,
            season: 0,
            share: 1.0,
            seedlings: 900,
            order_qty: 1_200,
            person_days: 3.6,
            cost_nzd: 2_400.0,
        };
        let mut blocks = [block(0), block(1), block(1)];
        let rules = MosaicRules { planting_nzd: 0.5, ..MosaicRules::usual() };
        leave_out(&mut blocks, &[150, 0], &demands, &library, &rules);
        assert_eq!((blocks[0].seedlings, blocks[0].order_qty), (750, 1_000));
        assert!((blocks[0].cost_nzd - 2_375.0).abs() < 1e-9);
        assert_eq!((blocks[1].clone(), blocks[2].clone()), (block(1), block(1)));
    }
}
