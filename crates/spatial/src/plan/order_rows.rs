//! Orders as the plan tells them.

use super::assemble::Parts;
use super::rows::{DeliveryRow, LineOrderRow};
use crate::counts::{Holding, LineOrder};

/// One row for each line and winter in which it is planted.
pub(super) fn order_rows(parts: &Parts) -> Vec<LineOrderRow> {
    let tray = parts.site.order.tray.get();
    let row = |(of, order): (usize, &LineOrder)| {
        let stock = &parts.library.stocks()[order.stock];
        let season = parts.seasons.year(order.season);
        let delivery = |(number, plants): (u64, &u64)| DeliveryRow {
            of,
            delivery_no: number,
            plants: *plants,
            trays: plants.div_ceil(tray),
        };
        LineOrderRow {
            order_id: season
                .map_or_else(|| stock.id.clone(), |year| format!("{}-{year}", stock.id)),
            stock_id: stock.id.clone(),
            stock_name: stock.name.clone(),
            stock_kind: stock.kind.key().to_owned(),
            season,
            seedlings: order.seedlings,
            survival: order.survival,
            needed: order.asked.needed,
            spare: order.asked.spare,
            lot: order.asked.lot,
            tray: order.asked.tray,
            held_back: order.asked.plants() - order.plants,
            held_back_by: match order.held_by {
                Some(Holding::Supply) => "supply",
                Some(Holding::Budget) => "budget",
                None => "",
            },
            order_qty: order.plants,
            trays: order.plants.div_ceil(tray),
            chance: order.chance,
            deliveries: (1..).zip(&order.deliveries).map(delivery).collect(),
        }
    };
    parts.orders.iter().enumerate().map(row).collect()
}
