//! Windows of bloom at the height of each block, and what they come to for each line.

use bloom::{Bloom, FlyingYear, bloom_of, hull};
use stock::{Library, YearDay};

use super::blocks::{Block, Sown};
use super::rows::{BlockBloomRow, LineBloomRow, LineFigures, ShiftRow};
use super::weather::Weather;
use crate::site::Site;
use crate::units::PlanHectares;

/// One line in one zone that tells when it flowers.
pub(super) struct BlockBloom {
    /// Position of the line in the library.
    pub(super) line: usize,
    pub(super) stock_name: String,
    pub(super) bloom: Bloom,
    early: Bloom,
    late: Bloom,
    pub(super) year: FlyingYear,
    pub(super) row: BlockBloomRow,
}

/// Holds every block whose line tells when it flowers against the weather at its height.
pub(super) fn blocks(sown: &Sown, weather: &Weather, site: &Site) -> Vec<BlockBloom> {
    let rules = &site.season;
    let mut all: Vec<BlockBloom> = Vec::new();
    for block in &sown.blocks {
        let Some(flowering) = block.flowering else { continue };
        let zone = &sown.zones[block.zone];
        let [lowest, mean, highest] = zone.elevation_m;
        let year = weather.at(mean);
        let (begins, ends) = flowering.window_at(mean);
        let moved =
            |days: f64| bloom_of(begins.later(days), ends.later(days), &year, &rules.flight);
        let shift = f64::from(rules.shift_days);
        let (bloom, early, late) = (moved(0.0), moved(-shift), moved(shift));
        let (low, high) = (flowering.window_at(lowest), flowering.window_at(highest));
        let begins_lowest = in_order(low.0, high.0)[0];
        let ends_highest = in_order(low.1, high.1)[1];
        let row = BlockBloomRow {
            stock_id: block.stock_id.clone(),
            zone_id: zone.id.clone(),
            elevation_mean_m: mean,
            plan_area_ha: block.plan_ha,
            seedlings: block.seedlings,
            order_qty: block.order_qty,
            plants_nzd: block.plants_nzd,
            begins: begins.to_string(),
            ends: ends.to_string(),
            begins_lowest: begins_lowest.to_string(),
            ends_highest: ends_highest.to_string(),
            days: bloom.days,
            flying_days: bloom.flying_days,
            days_before_flight: bloom.days_before_flight,
            daylight_hours: bloom.daylight_h,
            flying_hours: bloom.flying_h,
            flow_hours: bloom.flow_h,
            lost: if bloom.is_lost { "yes" } else { "no" },
            early_flying_hours: early.flying_h,
            late_flying_hours: late.flying_h,
        };
        let stock_name = block.stock_name.clone();
        all.push(BlockBloom { line: block.line, stock_name, bloom, early, late, year, row });
    }
    all
}

/// Two days, the one first from which the other is reached within half a year. Lower ground flowers first, unless
/// the line's own shift says otherwise; the turn of the year is no matter.
fn in_order(one: YearDay, other: YearDay) -> [YearDay; 2] {
    if one.days_to(other) <= YearDay::YEAR_DAYS / 2 { [one, other] } else { [other, one] }
}

/// Every line that is planted, in the order of the stock file.
pub(super) fn lines(sown: &Sown, blooms: &[BlockBloom], library: &Library) -> Vec<LineBloomRow> {
    let row = |(line, stock): (usize, &stock::Stock)| {
        let own: Vec<&Block> = sown.blocks.iter().filter(|block| block.line == line).collect();
        let in_flower: Vec<&BlockBloom> = blooms.iter().filter(|one| one.line == line).collect();
        (!own.is_empty()).then(|| LineBloomRow {
            stock_id: stock.id.clone(),
            stock_name: stock.name.clone(),
            zones: own.len(),
            plan_area_ha: own.iter().map(|block| block.plan_ha).sum(),
            seedlings: own.iter().map(|block| block.seedlings).sum(),
            order_qty: own.iter().map(|block| block.order_qty).sum(),
            plants_nzd: own.iter().map(|block| block.plants_nzd).sum(),
            bloom: figures(&in_flower),
        })
    };
    library.stocks().iter().enumerate().filter_map(row).collect()
}

fn figures(blocks: &[&BlockBloom]) -> Option<LineFigures> {
    let all_ha: f64 = blocks.iter().map(|one| one.row.plan_area_ha.0).sum();
    // Plants on ground without area count alike.
    let weight = |one: &BlockBloom| {
        if all_ha > 0.0 { one.row.plan_area_ha.0 / all_ha } else { 1.0 / blocks.len() as f64 }
    };
    let mean = |figure: &dyn Fn(&BlockBloom) -> f64| {
        blocks.iter().map(|one| weight(one) * figure(one)).sum::<f64>()
    };
    let windows: Vec<[YearDay; 2]> =
        blocks.iter().map(|one| [one.bloom.begins, one.bloom.ends]).collect();
    let [begins, ends] = hull(&windows)?;
    let lost: Vec<&&BlockBloom> = blocks.iter().filter(|one| one.bloom.is_lost).collect();
    let moved = |of: fn(&BlockBloom) -> &Bloom| ShiftRow {
        flying_days: mean(&|one| f64::from(of(one).flying_days)),
        flying_hours: mean(&|one| of(one).flying_h),
        lost_share: mean(&|one| f64::from(u8::from(of(one).is_lost))).min(1.0),
    };
    Some(LineFigures {
        begins: begins.to_string(),
        ends: ends.to_string(),
        days: mean(&|one| f64::from(one.bloom.days)),
        flying_days: mean(&|one| f64::from(one.bloom.flying_days)),
        flying_hours: mean(&|one| one.bloom.flying_h),
        flow_hours: mean(&|one| one.bloom.flow_h),
        days_before_flight: blocks.iter().map(|one| one.bloom.days_before_flight).max()?,
        lost_share: moved(|one| &one.bloom).lost_share,
        lost_plan_ha: lost.iter().map(|one| one.row.plan_area_ha).sum::<PlanHectares>(),
        lost_seedlings: lost.iter().map(|one| one.row.seedlings).sum(),
        lost_order_qty: lost.iter().map(|one| one.row.order_qty).sum(),
        lost_nzd: lost.iter().map(|one| one.row.plants_nzd).sum(),
        lost_zones: lost.iter().map(|one| one.row.zone_id.clone()).collect(),
        early: moved(|one| &one.early),
        late: moved(|one| &one.late),
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test that stops has failed")]
    use super::*;
    use stock::Flowering;

    fn day(month: u16, day: u16) -> YearDay {
        YearDay::from_month_day(month, day).unwrap()
    }

    /// By hand: 3 days later for each 100 m, seen at sea level, from 27 June to 20 July; at 300 m nine days later. In
    /// a year that begins on 1 July the low ground would seem to flower last.
    #[test]
    fn ground_that_flowers_over_the_turn_of_the_year_begins_low() {
        let flowering = Flowering::new(day(6, 27), day(7, 20));
        let (low, high) = (flowering.window_at(0.0), flowering.window_at(300.0));
        assert_eq!((high.0, high.1), (day(7, 6), day(7, 29)));
        for [one, other] in [[low, high], [high, low]] {
            assert_eq!(in_order(one.0, other.0), [day(6, 27), day(7, 6)]);
            assert_eq!(in_order(one.1, other.1), [day(7, 20), day(7, 29)]);
        }
        let heights = [300.0, 0.0, 200.0, 100.0].map(|metres| flowering.window_at(metres));
        let windows = heights.map(|(begins, ends)| [begins, ends]);
        assert_eq!(hull(&windows), Some([day(6, 27), day(7, 29)]));
    }
}
