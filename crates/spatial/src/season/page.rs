//! The season as a page to read and print.

use palette::escaped;

use super::chart::chart;
use super::rows::{ForageRow, HiveRow, LineBloomRow, Season};
use crate::units::thousands;
use crate::write::{PAGE_END, page_head, put};

/// For A4 in landscape; nothing is loaded from elsewhere and no script runs.
const STYLE: &str = "@page{size:A4 landscape;margin:12mm}\
body{font:10pt sans-serif;color:#000;background:#fff;margin:0 auto;max-width:270mm;padding:2mm}\
h1{font-size:16pt;margin:0 0 1mm}h2{font-size:12pt;margin:5mm 0 1mm;break-after:avoid}\
p{margin:0 0 1.5mm}ul{margin:0;padding-left:5mm}li{margin:0 0 .8mm}\
table{border-collapse:collapse;width:100%;margin:1mm 0 2mm}thead{display:table-header-group}\
th,td{border-bottom:.2mm solid #999;padding:.7mm 1.5mm;text-align:left;vertical-align:top;font-size:9pt}\
th{border-bottom:.4mm solid #333}td.n,th.n{text-align:right;white-space:nowrap}\
tr{break-inside:avoid}svg{width:100%;height:auto;break-inside:avoid}\
.note{color:#333;font-size:9pt}";

/// The page, UTF-8.
pub(super) fn page(season: &Season) -> String {
    let site = escaped(&season.site);
    let title = format!("{site}: bloom and bees");
    let mut page = page_head(&title, &[STYLE], &title);
    put(
        &mut page,
        format_args!(
            "<p>{:.1} ha planted; something flowers in {} weeks of the year, and in {} of them bees fly. {}</p>",
            season.planted_plan_ha.0,
            season.bloom_weeks,
            season.flying_weeks,
            weather(season),
        ),
    );
    if !season.warnings.is_empty() {
        page += "<h2>To look at</h2>\n<ul>\n";
        for warning in &season.warnings {
            put(
                &mut page,
                format_args!(
                    "<li><b>{}</b>: {}; {}</li>",
                    escaped(&warning.item),
                    escaped(&warning.found),
                    escaped(&warning.remedy)
                ),
            );
        }
        page += "</ul>\n";
    }
    page += "<h2>Weeks</h2>\n";
    page += &chart(season);
    lines(&mut page, season);
    forage(&mut page, season);
    hives(&mut page, season);
    page += "<h2>Bear in mind</h2>\n<ul>\n";
    for caution in &season.cautions {
        put(&mut page, format_args!("{}", caution.item()));
    }
    page + "</ul>\n" + PAGE_END
}

/// Where the weather is from, and what lets bees fly, in a sentence or two.
pub(super) fn weather(season: &Season) -> String {
    let (weather, rules) = (&season.weather, &season.rules);
    let from = match (weather.years, weather.days) {
        (Some(years), Some(days)) => {
            let years = if years == 1 { "1 year".to_owned() } else { format!("{years} years") };
            format!("Flying hours are counted from {} days of {years}", thousands(days as u64))
        }
        _ => "Flying hours are those to expect from monthly normals".to_owned(),
    };
    let offset = match (weather.utc_offset_h, weather.utc_offset_from) {
        (Some(hours), Some("site")) => {
            format!(
                " Times without a zone are {hours} h ahead of universal time, as the site says."
            )
        }
        (Some(hours), _) => format!(
            " Times without a zone are taken as {hours} h ahead of universal time, guessed by the longitude."
        ),
        _ => String::new(),
    };
    format!(
        "{from} at {:.0} m, moved up the hill by {} °C for 100 m.{offset} Bees fly from {} °C on, in wind below {} m/s, \
         without rain, when the sun is up; nectar flows well from {} °C on.",
        weather.station_elevation_m,
        weather.lapse_c_per_100m,
        rules.least_c,
        rules.most_wind_ms,
        rules.nectar_c
    )
}

fn lines(page: &mut String, season: &Season) {
    put(
        page,
        format_args!(
            "<h2>Lines</h2>\n<table><thead><tr><th>line</th><th class=\"n\">ha</th><th class=\"n\">plants</th><th>in \
             flower</th><th class=\"n\">days</th><th class=\"n\">with flying<br>weather</th><th class=\"n\">flying<br>hours\
             </th><th class=\"n\">of flow</th><th class=\"n\">{0} days<br>early</th><th class=\"n\">{0} days<br>late</th>\
             <th class=\"n\">lost,<br>ha</th><th class=\"n\">plants<br>lost on</th><th class=\"n\">NZ$</th></tr></thead><tbody>",
            season.rules.shift_days
        ),
    );
    for line in &season.lines {
        line_row(page, line);
    }
    put(
        page,
        format_args!(
            "</tbody></table>\n<p class=\"note\">Means over a line's ground, in a usual year. Early and late: flying hours if \
             bloom is moved so. Lost: ground where {:.0} % or more of the days in flower lack flying weather, {} h a day; \
             NZ$ is what the plants ordered for it cost, without planting.</p>",
            season.rules.lost_share * 100.0,
            season.rules.day_hours
        ),
    );
}

fn line_row(page: &mut String, line: &LineBloomRow) {
    let head = format!(
        "<tr><td>{}</td><td class=\"n\">{:.1}</td><td class=\"n\">{}</td>",
        escaped(&line.stock_name),
        line.plan_area_ha.0,
        thousands(line.seedlings)
    );
    let Some(bloom) = &line.bloom else {
        put(
            page,
            format_args!("{head}<td colspan=\"10\">the stock file does not tell when</td></tr>"),
        );
        return;
    };
    put(
        page,
        format_args!(
            "{head}<td>{} to {}</td><td class=\"n\">{:.0}</td><td class=\"n\">{:.0}</td><td class=\"n\">{:.0}</td>\
             <td class=\"n\">{:.0}</td><td class=\"n\">{:.0}</td><td class=\"n\">{:.0}</td><td class=\"n\">{:.1}</td>\
             <td class=\"n\">{}</td><td class=\"n\">{}</td></tr>",
            date(&bloom.begins),
            date(&bloom.ends),
            bloom.days,
            bloom.flying_days,
            bloom.flying_hours,
            bloom.flow_hours,
            bloom.early.flying_hours,
            bloom.late.flying_hours,
            bloom.lost_plan_ha.0,
            thousands(bloom.lost_seedlings),
            bloom.lost_nzd.map_or_else(|| "–".to_owned(), |nzd| thousands(nzd.round() as u64)),
        ),
    );
}

/// A day as people read it, from month and day.
pub(super) fn date(day: &str) -> String {
    const MONTHS: [&str; 12] =
        ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
    let read = || {
        let (month, day) = day.split_once('-')?;
        let name = MONTHS.get(month.parse::<usize>().ok()?.checked_sub(1)?)?;
        Some(format!("{} {name}", day.parse::<u8>().ok()?))
    };
    read().unwrap_or_else(|| day.to_owned())
}

fn forage(page: &mut String, season: &Season) {
    page.push_str(
        "<h2>Forage around the middle of the planted ground</h2>\n<table><thead><tr><th class=\"n\">radius, km</th>\
         <th class=\"n\">disc, ha</th><th class=\"n\">planted, ha</th><th class=\"n\">kept stands, ha</th>\
         <th class=\"n\">share of the disc</th><th class=\"n\">outside the property, not known</th></tr></thead><tbody>\n",
    );
    for row in &season.forage {
        put(
            page,
            format_args!(
                "<tr><td class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"n\">{:.1}</td><td class=\"n\">{:.1}</td>\
                 <td class=\"n\">{}</td><td class=\"n\">{}</td></tr>",
                row.radius_km,
                thousands(row.disc_ha.round() as u64),
                row.planted_ha,
                row.stands_ha,
                percent(row.forage_share),
                percent(row.outside_share)
            ),
        );
    }
    page.push_str("</tbody></table>\n");
}

/// A share with a decimal where it is small.
pub(super) fn percent(share: f64) -> String {
    let percent = share * 100.0;
    if percent < 10.0 { format!("{percent:.1} %") } else { format!("{percent:.0} %") }
}

fn hives(page: &mut String, season: &Season) {
    let search = &season.hive_search;
    put(
        page,
        format_args!(
            "<h2>Places for hives</h2>\n<p>{} places along tracks were looked at; {} have ground for hives beside \
             them.</p>",
            search.places, search.found
        ),
    );
    if season.hives.is_empty() {
        return;
    }
    page.push_str(
        "<table><thead><tr><th>place</th><th class=\"n\">easting, northing, m</th><th class=\"n\">height<br>m</th>\
         <th class=\"n\">slope<br>°</th><th class=\"n\">to track<br>m</th><th class=\"n\">shelter<br>°</th>\
         <th class=\"n\">sun</th><th class=\"n\">forage near<br>ha, share</th><th class=\"n\">outside</th>\
         <th class=\"n\">forage far<br>ha, share</th><th class=\"n\">outside</th><th class=\"n\">score</th></tr></thead><tbody>\n",
    );
    for hive in &season.hives {
        hive_row(page, hive);
    }
    put(
        page,
        format_args!(
            "</tbody></table>\n<p class=\"note\">Near: within {} km; far: within {} km, of the property alone. Shelter: angles \
             up to the horizon in eight directions, added up. The score is the mean of shelter, sun and near forage, each from \
             0 for the worst of these places to 1 for the best.</p>",
            season.rules.forage_km[0], season.rules.forage_km[1]
        ),
    );
}

fn hive_row(page: &mut String, hive: &HiveRow) {
    let forage = |row: &ForageRow| {
        format!("{:.0}, {}", row.planted_ha + row.stands_ha, percent(row.forage_share))
    };
    put(
        page,
        format_args!(
            "<tr><td><b>{}</b></td><td class=\"n\">{:.0}, {:.0}</td><td class=\"n\">{:.0}</td><td class=\"n\">{:.1}</td>\
             <td class=\"n\">{:.0}</td><td class=\"n\">{:.0}</td><td class=\"n\">{}</td><td class=\"n\">{}</td>\
             <td class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"n\">{:.2}</td></tr>",
            escaped(&hive.site_id),
            hive.easting_m,
            hive.northing_m,
            hive.elevation_m,
            hive.slope_deg,
            hive.to_track_m,
            hive.shelter_deg,
            hive.sun_ratio.map_or_else(|| "–".to_owned(), |sun| format!("{sun:.2}")),
            forage(&hive.near),
            percent(hive.near.outside_share),
            forage(&hive.far),
            percent(hive.far.outside_share),
            hive.score
        ),
    );
}
