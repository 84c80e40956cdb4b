//! Bloom week by week: of each block, of each line in bands of height, and on the property as a whole.

use std::collections::BTreeMap;

use bloom::{WEEKS, bloom_of, week_of, weeks_of};
use stock::YearDay;

use super::blocks::Sown;
use super::lines::BlockBloom;
use super::rows::{BandRow, GapRow, WeekRow, YearWeekRow};
use super::weather::Weather;
use crate::site::Site;
use crate::units::PlanHectares;

/// First and last day of a week, from 0.
fn days_of(week: usize, first: YearDay) -> [YearDay; 2] {
    let begins = first.later(7.0 * week as f64);
    let long = if week + 1 == WEEKS { 7.0 } else { 6.0 };
    [begins, begins.later(long)]
}

/// Every week in which a block flowers, by block.
pub(super) fn weeks(blocks: &[BlockBloom], site: &Site, first: YearDay) -> Vec<WeekRow> {
    let rule = &site.season.flight;
    let of_block = |one: &BlockBloom| {
        let weeks = weeks_of(one.bloom.begins, one.bloom.ends, first, &one.year, rule);
        let in_flower = weeks.into_iter().enumerate().filter(|(_, week)| week.days > 0);
        let row = |(at, week): (usize, bloom::Week)| {
            let [first_day, last_day] = days_of(at, first);
            WeekRow {
                stock_id: one.row.stock_id.clone(),
                zone_id: one.row.zone_id.clone(),
                week: at + 1,
                first_day: first_day.to_string(),
                last_day: last_day.to_string(),
                elevation_mean_m: one.row.elevation_mean_m,
                plan_area_ha: one.row.plan_area_ha,
                days: week.days,
                flying_days: week.flying_days,
                flying_hours: week.flying_h,
                flow_hours: week.flow_h,
            }
        };
        in_flower.map(row).collect::<Vec<_>>()
    };
    blocks.iter().flat_map(of_block).collect()
}

/// Every line in bands of height, and each week in which it flowers there.
pub(super) fn bands(blocks: &[BlockBloom], site: &Site, first: YearDay) -> Vec<BandRow> {
    let band_m = site.season.altitude_band.0;
    let mut groups: BTreeMap<(usize, i64), Vec<&BlockBloom>> = BTreeMap::new();
    for one in blocks {
        let band = (one.row.elevation_mean_m / band_m).floor() as i64;
        groups.entry((one.line, band)).or_default().push(one);
    }
    let rows = |((_, band), of_band): ((usize, i64), Vec<&BlockBloom>)| {
        band_rows(&of_band, band as f64 * band_m, site, first)
    };
    groups.into_iter().flat_map(rows).collect()
}

fn band_rows(blocks: &[&BlockBloom], from_m: f64, site: &Site, first: YearDay) -> Vec<BandRow> {
    let all_ha: f64 = blocks.iter().map(|one| one.row.plan_area_ha.0).sum();
    // Map area times days: in flower, and of that with flying weather.
    let mut shares = [[0.0_f64; 2]; WEEKS];
    for one in blocks {
        let (begins, ends) = (one.bloom.begins, one.bloom.ends);
        let weeks = weeks_of(begins, ends, first, &one.year, &site.season.flight);
        let part = if all_ha > 0.0 { one.row.plan_area_ha.0 / all_ha } else { 0.0 };
        for (at, (share, week)) in shares.iter_mut().zip(weeks).enumerate() {
            let [from, to] = days_of(at, first);
            let days = f64::from(from.days_to(to) + 1);
            share[0] += part * f64::from(week.days) / days;
            share[1] += part * f64::from(week.flying_days) / days;
        }
    }
    let Some(one) = blocks.first() else { return Vec::new() };
    let row = |(at, [bloom, flying]): (usize, [f64; 2])| BandRow {
        stock_id: one.row.stock_id.clone(),
        stock_name: one.stock_name.clone(),
        from_m,
        to_m: from_m + site.season.altitude_band.0,
        plan_area_ha: PlanHectares(all_ha),
        week: at + 1,
        bloom_share: bloom.min(1.0),
        flying_share: flying.min(1.0),
    };
    shares.into_iter().enumerate().filter(|(_, [bloom, _])| *bloom > 0.0).map(row).collect()
}

/// The year on the planted ground as a whole.
pub(super) fn year(
    sown: &Sown,
    blocks: &[BlockBloom],
    weather: &Weather,
    site: &Site,
    first: YearDay,
) -> Vec<YearWeekRow> {
    let rule = &site.season.flight;
    let here = weather.at(sown.elevation_m());
    let is_open = |one: &BlockBloom, day: YearDay| {
        one.bloom.begins.days_to(day) <= one.bloom.begins.days_to(one.bloom.ends)
    };
    let row = |week: usize| {
        let [begins, ends] = days_of(week, first);
        let long = begins.days_to(ends) + 1;
        let all = bloom_of(begins, ends, &here, rule);
        let days: Vec<YearDay> = (0..long).map(|day| begins.later(f64::from(day))).collect();
        debug_assert!(days.iter().all(|day| week_of(*day, first) == week));
        let mut lines: Vec<usize> = blocks
            .iter()
            .filter(|one| days.iter().any(|day| is_open(one, *day)))
            .map(|one| one.line)
            .collect();
        lines.dedup();
        let flower = |day: &YearDay| -> f64 {
            let open = blocks.iter().filter(|one| is_open(one, *day));
            open.map(|one| one.row.plan_area_ha.0).sum()
        };
        let flies = |day: &&YearDay| {
            blocks.iter().any(|one| is_open(one, **day) && one.year.has_flying(**day, rule))
        };
        YearWeekRow {
            week: week + 1,
            first_day: begins.to_string(),
            last_day: ends.to_string(),
            daylight_hours: all.daylight_h,
            flying_hours: all.flying_h,
            flow_hours: all.flow_h,
            flying_days: all.flying_days,
            lines: lines.len(),
            bloom_plan_ha: PlanHectares(days.iter().map(flower).sum::<f64>() / f64::from(long)),
            bloom_flying_days: days.iter().filter(flies).count() as u16,
        }
    };
    (0..WEEKS).map(row).collect()
}

/// Stretches of more than so many days without bloom within the season.
pub(super) fn gaps(blocks: &[BlockBloom], most_days: u16) -> Vec<GapRow> {
    let windows: Vec<[YearDay; 2]> =
        blocks.iter().map(|one| [one.bloom.begins, one.bloom.ends]).collect();
    let row = |gap: bloom::Gap| GapRow {
        begins: gap.begins.to_string(),
        ends: gap.ends.to_string(),
        days: gap.days,
    };
    bloom::gaps(&windows, most_days).into_iter().map(row).collect()
}
