//! What a season finds that should be looked at.

use super::Land;
use super::hives::Hives;
use super::rows::{GapRow, LineBloomRow, LineFigures};
use crate::problem::Problem;
use crate::units::thousands;

/// Lines whose window is lost, lines without one, gaps, and no place for hives.
pub(super) fn findings(
    land: &Land,
    lines: &[LineBloomRow],
    gaps: &[GapRow],
    hives: &Hives,
) -> Vec<Problem> {
    let rules = &land.site.season;
    let mut found = Vec::new();
    for line in lines {
        let problem = Problem::warning(format!("line `{}`", line.stock_id)).file(&land.site.stock);
        match &line.bloom {
            None => found.push(
                problem
                    .found("planted, and no window of bloom")
                    .expected("`flowering` in the stock file")
                    .remedy("tell when it flowers, and at which height that was seen"),
            ),
            Some(bloom) if !bloom.lost_zones.is_empty() => {
                let when = if bloom.days_before_flight > 0 {
                    "before bees fly"
                } else {
                    "when bees do not fly"
                };
                found.push(
                    problem
                        .found(format!("flowers {when} on {}", cost(line, bloom)))
                        .expected(format!(
                            "flying weather ({} h a day or more) on more than {:.0} % of the days in flower",
                            rules.flight.day_hours,
                            (1.0 - rules.flight.lost_share) * 100.0
                        ))
                        .remedy(
                            "plant a line that flowers at another time there, or this one at another height; check \
                             its window in the stock file first",
                        ),
                );
            }
            Some(_) => {}
        }
    }
    for gap in gaps {
        found.push(
            Problem::warning("bloom")
                .found(format!(
                    "nothing flowers from {} to {}, {} days",
                    gap.begins, gap.ends, gap.days
                ))
                .expected(format!(
                    "no more than {} days without bloom within the season",
                    rules.gap_days
                ))
                .remedy("plant a line that flowers then, or feed or move the hives"),
        );
    }
    if rules.hive_sites > 0 && land.ready.tracks.is_empty() {
        found.push(
            Problem::warning("hive sites")
                .file(&land.site.file)
                .found("no tracks, along which they are looked for")
                .expected("[layers.tracks]")
                .remedy("name the tracks that a truck can use, or set `season.hive_sites` to 0"),
        );
    } else if rules.hive_sites > 0 && hives.rows.is_empty() {
        found.push(
            Problem::warning("hive sites")
                .file(&land.site.file)
                .found(format!("none beside {} places along tracks", hives.search.places))
                .expected(format!(
                    "ground of {}° or less within {} m of a track, out of hollows and clear of streams",
                    rules.hive_slope_deg, rules.hive_within.0
                ))
                .remedy("look on site, or loosen `season.hive_slope_deg` or `season.hive_within_m`"),
        );
    }
    found
}

/// What a lost window costs, in hectares, plants and dollars.
pub(super) fn cost(line: &LineBloomRow, bloom: &LineFigures) -> String {
    let dollars = bloom.lost_nzd.map_or_else(String::new, |nzd| {
        format!(" for NZ$ {}", thousands(nzd.round().max(0.0) as u64))
    });
    let zones = match &bloom.lost_zones[..] {
        few if few.len() <= 6 => few.join(", "),
        many => format!("{} zones", many.len()),
    };
    format!(
        "{:.1} of {:.1} ha ({:.0} %; {zones}): {} plants, {} ordered{dollars}",
        bloom.lost_plan_ha.0,
        line.plan_area_ha.0,
        bloom.lost_share * 100.0,
        thousands(bloom.lost_seedlings),
        thousands(bloom.lost_order_qty),
    )
}
