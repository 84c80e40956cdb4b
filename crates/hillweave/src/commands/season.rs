//! `hillweave season`: bloom held against weather in which bees fly, and places for hives.

use std::fmt::Write;

use spatial::pipeline::Stage;
use spatial::season::{HiveRow, LineBloomRow, Season, season, write_season};
use spatial::units::thousands;

use crate::arguments;
use crate::commands::folder::{begin, tell};
use crate::outcome::{Outcome, Stop};
use crate::progress::Progress;
use crate::screen::{Ink, Screen, columns, counted};

/// Reads or makes the plan, holds its bloom against the weather, writes what comes of it and tells it.
pub(crate) fn run(options: &arguments::Season, screen: &Screen) -> Result<Outcome, Stop> {
    begin(options.of.plan.as_deref(), &options.of.output, options.of.overwrite)?;
    let mut progress = Progress::new(Stage::ALL.len(), screen);
    let mut enter = |stage: Stage| progress.enter(stage.name());
    let (found, crs) = season(&options.of.site, options.of.plan.as_deref(), &mut enter)?;
    progress.enter(Stage::Write.name());
    let written = write_season(&found, &crs, &options.of.output, options.of.overwrite)?;
    progress.finish();
    let target = ("season", options.of.output.as_path());
    tell(screen, &found, &words(&found, screen), target, &written)?;
    Ok(if found.warnings.is_empty() { Outcome::Done } else { Outcome::Findings })
}

/// The season in words.
fn words(season: &Season, screen: &Screen) -> String {
    let mut text = format!(
        "{}: {:.1} ha planted; in flower {} of the year, bees fly in {} of them\n",
        screen.ink(Ink::Strong, &season.site),
        season.planted_plan_ha.0,
        counted(season.bloom_weeks, "week"),
        season.flying_weeks,
    );
    let mut put = |label: &str, words: &str| {
        // Writing to a String cannot fail.
        let _ = writeln!(text, "  {label:<9} {words}");
    };
    put("weather", &weather_words(season));
    put("bees fly", &rule_words(season));
    for (at, gap) in season.gaps.iter().enumerate() {
        let words =
            format!("nothing flowers from {} to {}, {} days", gap.begins, gap.ends, gap.days);
        put(if at == 0 { "gaps" } else { "" }, &words);
    }
    if season.gaps.is_empty() {
        put("gaps", &format!("none of more than {} days", season.rules.gap_days));
    }
    for (at, row) in season.forage.iter().enumerate() {
        let words = format!(
            "{:.1} ha planted and {:.1} ha of kept stands within {} km of the middle, {} of {} ha; {} lies outside the \
             property and is not known",
            row.planted_ha,
            row.stands_ha,
            row.radius_km,
            percent(row.forage_share),
            thousands(row.disc_ha.round() as u64),
            percent(row.outside_share)
        );
        put(if at == 0 { "forage" } else { "" }, &words);
    }
    put("hives", &search_words(season));
    for caution in &season.cautions {
        put("caution", &format!("{}: {}", caution.about, caution.text));
    }
    text.push_str(&line_table(&season.lines, season.rules.shift_days));
    if !season.hives.is_empty() {
        text.push('\n');
        text.push_str(&hive_table(&season.hives));
    }
    text + &screen.to_look_at(&season.warnings)
}

fn weather_words(season: &Season) -> String {
    let weather = &season.weather;
    let from = match (weather.years, weather.days, weather.days_left_out) {
        (Some(years), Some(days), Some(left_out)) => format!(
            "{} of {} counted hour by hour, {} left out",
            counted(days, "day"),
            counted(years, "year"),
            left_out
        ),
        _ => "to expect from monthly normals".to_owned(),
    };
    let offset = match (weather.utc_offset_h, weather.utc_offset_from) {
        (Some(hours), Some("site")) => {
            format!("; times without a zone {hours} h ahead of universal time")
        }
        (Some(hours), _) => {
            format!(
                "; times without a zone {hours} h ahead of universal time, guessed by the longitude"
            )
        }
        _ => String::new(),
    };
    format!(
        "{from}; station at {:.0} m, {} °C cooler for 100 m higher{offset}",
        weather.station_elevation_m, weather.lapse_c_per_100m
    )
}

fn rule_words(season: &Season) -> String {
    let rules = &season.rules;
    format!(
        "from {} °C on, below {} m/s, without rain, in daylight; nectar flows well from {} °C; {} h make a day",
        rules.least_c, rules.most_wind_ms, rules.nectar_c, rules.day_hours
    )
}

fn search_words(season: &Season) -> String {
    let search = &season.hive_search;
    format!(
        "{} along tracks looked at, {} with ground for hives; of {} beside them {} too steep, {} kept clear, {} under \
         cover, {} near streams, {} in cold hollows",
        counted(search.places, "place"),
        search.found,
        counted(search.cells, "cell"),
        search.too_steep,
        search.kept_clear,
        search.under_cover,
        search.near_streams,
        search.in_hollows
    )
}

/// Lines in columns.
fn line_table(lines: &[LineBloomRow], shift_days: u16) -> String {
    let (early, late) = (format!("{shift_days} d early"), format!("{shift_days} d late"));
    let heading = [
        "line",
        "ha",
        "in flower",
        "days",
        "flying days",
        "flying h",
        "of flow",
        &early,
        &late,
        "lost ha",
        "plants",
        "NZ$",
    ];
    let mut rows = vec![heading.map(str::to_owned)];
    rows.extend(lines.iter().map(|line| {
        let Some(bloom) = &line.bloom else {
            let mut row = [const { String::new() }; 12];
            row[0].clone_from(&line.stock_name);
            row[1] = format!("{:.1}", line.plan_area_ha.0);
            "not told".clone_into(&mut row[2]);
            return row;
        };
        [
            line.stock_name.clone(),
            format!("{:.1}", line.plan_area_ha.0),
            format!("{} to {}", bloom.begins, bloom.ends),
            format!("{:.0}", bloom.days),
            format!("{:.0}", bloom.flying_days),
            format!("{:.0}", bloom.flying_hours),
            format!("{:.0}", bloom.flow_hours),
            format!("{:.0}", bloom.early.flying_hours),
            format!("{:.0}", bloom.late.flying_hours),
            format!("{:.1}", bloom.lost_plan_ha.0),
            thousands(bloom.lost_seedlings),
            bloom.lost_nzd.map_or_else(|| "-".to_owned(), |nzd| thousands(nzd.round() as u64)),
        ]
    }));
    columns(&rows, |at| at == 0 || at == 2)
}

/// Hive sites in columns.
fn hive_table(hives: &[HiveRow]) -> String {
    let heading = [
        "hives", "easting", "northing", "slope", "to track", "shelter", "sun", "near ha", "near",
        "far ha", "far", "score",
    ];
    let mut rows = vec![heading.map(str::to_owned)];
    rows.extend(hives.iter().map(|hive| {
        [
            hive.site_id.clone(),
            format!("{:.0}", hive.easting_m),
            format!("{:.0}", hive.northing_m),
            format!("{:.1}", hive.slope_deg),
            format!("{:.0} m", hive.to_track_m),
            format!("{:.0}", hive.shelter_deg),
            hive.sun_ratio.map_or_else(|| "-".to_owned(), |sun| format!("{sun:.2}")),
            format!("{:.0}", hive.near.planted_ha + hive.near.stands_ha),
            percent(hive.near.forage_share),
            format!("{:.0}", hive.far.planted_ha + hive.far.stands_ha),
            percent(hive.far.forage_share),
            format!("{:.2}", hive.score),
        ]
    }));
    columns(&rows, |at| at == 0)
}

fn percent(share: f64) -> String {
    let percent = share * 100.0;
    if percent < 10.0 { format!("{percent:.1} %") } else { format!("{percent:.0} %") }
}
