//! The ranking as a page to read and print.

use std::fmt::Write;

use super::mothers::TradeOffRow;
use super::rows::{RankRow, SeedRank, TraitRow};
use super::summary::label;
use crate::write::plain;

/// For A4; nothing is loaded from elsewhere and no script runs.
const STYLE: &str = "@page{size:A4;margin:14mm}\
body{font:10pt sans-serif;color:#000;background:#fff;margin:0 auto;max-width:182mm;padding:4mm}\
h1{font-size:16pt;margin:0 0 1mm}h2{font-size:12pt;margin:6mm 0 1mm;break-after:avoid}\
p{margin:0 0 1.5mm}ul{margin:0;padding-left:5mm}li{margin:0 0 .8mm}\
table{border-collapse:collapse;width:100%;margin:1mm 0 2mm}thead{display:table-header-group}\
th,td{border-bottom:.2mm solid #999;padding:.7mm 1.5mm;text-align:left;vertical-align:top;font-size:8.5pt}\
th{font-size:8pt;border-bottom:.4mm solid #333}td.n,th.n{text-align:right;white-space:nowrap}\
tr{break-inside:avoid}tr.on td{background:#eef3e6}svg{width:100%;height:auto;break-inside:avoid}\
.note{color:#333;font-size:8.5pt}";

/// The page, UTF-8.
pub(super) fn page(rank: &SeedRank) -> String {
    let site = plain(&rank.site);
    let mut page = format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<title>{site}: mother \
         trees ranked</title>\n<style>{STYLE}</style>\n</head>\n<body>\n<h1>{site}: mother trees ranked</h1>\n\
         <p>{} trees of {} stands, {} samples, flowering seasons {}</p>\n",
        rank.trees.len(),
        rank.stands,
        rank.samples,
        rank.seasons.iter().map(i32::to_string).collect::<Vec<_>>().join(", "),
    );
    nectar(&mut page, rank);
    choice(&mut page, rank);
    seed(&mut page, rank);
    honey(&mut page, rank);
    mothers(&mut page, rank);
    page += "<h2>Before you go</h2>\n<ul>\n";
    for caution in &rank.cautions {
        let trees = match caution.trees.len() {
            0 => String::new(),
            _ => format!(" ({})", plain(&caution.trees.join(", "))),
        };
        put(
            &mut page,
            format_args!(
                "<li><b>{}</b>{trees}: {}</li>",
                plain(&caution.about),
                plain(&caution.text)
            ),
        );
    }
    page + "</ul>\n</body>\n</html>\n"
}

fn put(page: &mut String, line: std::fmt::Arguments<'_>) {
    // Writing to a String cannot fail.
    let _ = writeln!(page, "{line}");
}

fn nectar(page: &mut String, rank: &SeedRank) {
    page.push_str(
        "<h2>Where the differences lie</h2>\n<table><thead><tr><th>trait</th><th>unit</th>\
         <th class=\"n\">records</th><th class=\"n\">mean</th><th class=\"n\">between<br>trees</th>\
         <th class=\"n\">stands</th><th class=\"n\">years</th><th class=\"n\">rest</th>\
         <th class=\"n\">repeat-<br>ability</th></tr></thead><tbody>\n",
    );
    for row in &rank.traits {
        trait_line(page, row);
    }
    page.push_str("</tbody></table>\n<p class=\"note\">Standard deviations, by restricted maximum likelihood. ");
    page.push_str("A dash: the sheet cannot tell; a star: repeatability is the site's own, for no tree has two records.</p>\n");
    if let Some(one) = &rank.dha_sugar {
        put(
            page,
            format_args!(
                "<p>DHA and sugar go together with r = {:.2} (95 %: {:.2} to {:.2}, {} trees).</p>",
                one.r, one.low, one.high, one.trees
            ),
        );
    }
    let out = &rank.outstanding;
    put(
        page,
        format_args!(
            "<p>Trees that are truly above {:.0} mg DHA/kg at 80 °Brix: {:.1} to expect among those tested; the chance \
         that there is none is {:.0} %. Samples alone would have named {}.</p>",
            out.from_mg_per_kg,
            out.expected,
            out.chance_of_none * 100.0,
            out.by_samples
        ),
    );
}

fn trait_line(page: &mut String, row: &TraitRow) {
    let places = if row.mean.abs() < 100.0 { 2 } else { 0 };
    let some = |number: Option<f64>| {
        number.map_or_else(|| "–".to_owned(), |one| format!("{one:.places$}"))
    };
    put(
        page,
        format_args!(
            "<tr><td>{}</td><td>{}</td><td class=\"n\">{}</td><td class=\"n\">{:.places$} ± {:.places$}</td>\
         <td class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"n\">{:.places$}</td>\
         <td class=\"n\">{:.2}{}</td></tr>",
            plain(&label(&row.name)),
            plain(row.unit),
            row.records,
            row.mean,
            row.mean_error,
            some(row.tree_sd),
            some(row.stand_sd),
            some(row.year_sd),
            row.error_sd,
            row.repeatability,
            if row.repeatability_from == "site" { "*" } else { "" },
        ),
    );
}

fn choice(page: &mut String, rank: &SeedRank) {
    let choice = &rank.choice;
    put(
        page,
        format_args!(
            "<h2>Mothers: gain against diversity</h2>\n<p>{} mothers of {} trees that may be; status number {:.1}; an \
         allele of frequency 0.05 is held with a chance of {:.0} %.</p>",
            choice.mothers,
            choice.eligible,
            choice.status_number,
            choice.allele_chance * 100.0
        ),
    );
    page.push_str(&curve(&rank.trade_off));
    page.push_str(
        "<table><thead><tr><th>trait</th><th>unit</th><th class=\"n\">gain to expect</th><th class=\"n\">from</th>\
         <th class=\"n\">to</th></tr></thead><tbody>\n",
    );
    for gain in &choice.gains {
        let places = if gain.high.abs() < 100.0 { 2 } else { 0 };
        put(
            page,
            format_args!(
                "<tr><td>{}</td><td>{}</td><td class=\"n\">{:.places$}</td><td class=\"n\">{:.places$}</td>\
             <td class=\"n\">{:.places$}</td></tr>",
                plain(&label(&gain.name)),
                plain(gain.unit),
                gain.expected,
                gain.low,
                gain.high
            ),
        );
    }
    page.push_str(
        "</tbody></table>\n<p class=\"note\">Of open-pollinated seed beside seed of all trees: half of what the mothers \
         have. From half the heritability to the most that repeatability allows, with 95 % of what samples \
         leave open. Nobody has published how much of nectar DHA is handed down.</p>\n",
    );
}

/// Gain in DHA of so many mothers, as a picture.
fn curve(rows: &[TradeOffRow]) -> String {
    const SIZE: [f64; 2] = [182.0, 70.0];
    const EDGES: [f64; 4] = [18.0, 8.0, 14.0, 4.0]; // left, right, below, above
    let drawn: Vec<&TradeOffRow> = rows.iter().filter(|row| row.status_number > 0.0).collect();
    if drawn.len() < 2 {
        return String::new();
    }
    let most =
        |of: &dyn Fn(&TradeOffRow) -> f64| drawn.iter().map(|row| of(row)).fold(0.0, f64::max);
    let least = drawn.iter().map(|row| row.gain_dha_mg_per_kg).fold(0.0, f64::min);
    let (wide, high) = (most(&|row| row.status_number), most(&|row| row.gain_dha_mg_per_kg));
    let (step_x, step_y) = (round_step(wide / 6.0), round_step((high - least) / 4.0));
    let top = ((high / step_y).ceil() * step_y).max(step_y);
    let bottom = (least / step_y).floor() * step_y;
    let x = |value: f64| EDGES[0] + value / (wide * 1.03) * (SIZE[0] - EDGES[0] - EDGES[1]);
    let y = |value: f64| {
        SIZE[1] - EDGES[2] - (value - bottom) / (top - bottom) * (SIZE[1] - EDGES[2] - EDGES[3])
    };
    let mut svg = format!(
        "<svg viewBox=\"0 0 {} {}\" role=\"img\" aria-label=\"Gain in nectar DHA by status number\" \
         font-family=\"sans-serif\" font-size=\"3\">\n",
        SIZE[0], SIZE[1]
    );
    let ticks = |from: f64, to: f64, step: f64| {
        let count = ((to - from) / step + 1e-9).floor() as usize;
        (0..=count).map(move |at| from + at as f64 * step)
    };
    for tick in ticks(bottom, top, step_y) {
        put(
            &mut svg,
            format_args!(
                "<path d=\"M{:.2} {:.2}H{:.2}\" stroke=\"#ddd\" stroke-width=\".2\"/><text x=\"{:.2}\" y=\"{:.2}\" text-anchor=\"end\">{tick:.0}</text>",
                x(0.0),
                y(tick),
                SIZE[0] - EDGES[1],
                x(0.0) - 1.5,
                y(tick) + 1.0
            ),
        );
    }
    for tick in ticks(0.0, wide, step_x) {
        put(
            &mut svg,
            format_args!(
                "<path d=\"M{:.2} {:.2}v1.2\" stroke=\"#333\" stroke-width=\".2\"/><text x=\"{:.2}\" y=\"{:.2}\" text-anchor=\"middle\">{tick:.0}</text>",
                x(tick),
                y(bottom),
                x(tick),
                y(bottom) + 4.5
            ),
        );
    }
    let points = drawn
        .iter()
        .map(|row| format!("{:.2},{:.2}", x(row.status_number), y(row.gain_dha_mg_per_kg)));
    put(
        &mut svg,
        format_args!(
            "<path d=\"M{:.2} {:.2}H{:.2}\" stroke=\"#333\" stroke-width=\".3\"/>\n<polyline points=\"{}\" fill=\"none\" stroke=\"#3a6b35\" stroke-width=\".5\"/>",
            x(0.0),
            y(bottom),
            SIZE[0] - EDGES[1],
            points.collect::<Vec<_>>().join(" ")
        ),
    );
    for row in &drawn {
        let (radius, fill) = if row.chosen { (1.6, "#3a6b35") } else { (0.9, "#fff") };
        put(
            &mut svg,
            format_args!(
                "<circle cx=\"{:.2}\" cy=\"{:.2}\" r=\"{radius}\" fill=\"{fill}\" stroke=\"#3a6b35\" stroke-width=\".4\"/>",
                x(row.status_number),
                y(row.gain_dha_mg_per_kg)
            ),
        );
        if row.chosen {
            put(
                &mut svg,
                format_args!(
                    "<text x=\"{:.2}\" y=\"{:.2}\" text-anchor=\"middle\" font-weight=\"bold\">{} mothers, chosen</text>",
                    x(row.status_number),
                    y(row.gain_dha_mg_per_kg) - 3.0,
                    row.mothers
                ),
            );
        }
    }
    put(
        &mut svg,
        format_args!(
            "<text x=\"{:.2}\" y=\"{:.2}\" text-anchor=\"middle\">status number: diversity, as so many mothers that give alike</text>\n\
         <text transform=\"translate(4 {:.2}) rotate(-90)\" text-anchor=\"middle\">gain, mg DHA/kg at 80 °Brix</text>\n</svg>",
            f64::midpoint(x(0.0), SIZE[0] - EDGES[1]),
            SIZE[1] - 2.0,
            f64::midpoint(y(bottom), y(top))
        ),
    );
    svg
}

/// 1, 2 or 5 times a power of ten, no less than asked for.
fn round_step(least: f64) -> f64 {
    let power = 10.0_f64.powf(least.max(1e-9).log10().floor());
    [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|one| one * power)
        .find(|one| *one >= least * (1.0 - 1e-9))
        .unwrap_or(power)
}

fn seed(page: &mut String, rank: &SeedRank) {
    let raising = &rank.raising;
    put(
        page,
        format_args!(
            "<h2>Seed and seedlings</h2>\n<p>{} capsules, within the harvest limit of each mother, give about {} seedlings \
         ({:.1} seeds, {:.1} of them alive, for each that can be planted). Gathered {} to {}, sown {} to {}: plants for \
         the winter of {}. Sowing may slip by {} months; a lost year means {}; by the lead time that contract \
         nurseries ask for it is {}.</p>",
            raising.capsules,
            raising.seedlings,
            raising.seeds_per_seedling,
            raising.live_seeds_per_seedling,
            raising.gather[0],
            raising.gather[1],
            raising.sow[0],
            raising.sow[1],
            raising.first_winter,
            raising.slack_months,
            raising.after_a_lost_year,
            raising.by_contract
        ),
    );
    if rank.winters.is_empty() {
        return;
    }
    page.push_str(
        "<table><thead><tr><th>winter of the plan</th><th class=\"n\">local plants ordered</th>\
         <th class=\"n\">this seed gives</th><th class=\"n\">share</th><th class=\"n\">after a lost year</th></tr></thead><tbody>\n",
    );
    for row in &rank.winters {
        put(
            page,
            format_args!(
                "<tr><td>{}</td><td class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"n\">{:.0} %</td><td class=\"n\">{}</td></tr>",
                row.winter.map_or_else(|| "any".to_owned(), |winter| winter.to_string()),
                row.wanted,
                row.supplied,
                row.supplied_share * 100.0,
                row.supplied_after_a_lost_year
            ),
        );
    }
    page.push_str("</tbody></table>\n");
}

fn honey(page: &mut String, rank: &SeedRank) {
    let honey = &rank.honey;
    put(
        page,
        format_args!(
            "<h2>What honey it points to</h2>\n<p>DHA of fresh honey {:.0} to {:.0}, MGO once it has settled {:.0} to {:.0} \
         mg/kg, never above {:.0}. Ranges, because:</p>\n<ul>",
            honey.fresh_dha_mg_per_kg[0],
            honey.fresh_dha_mg_per_kg[1],
            honey.settled_mgo_mg_per_kg[0],
            honey.settled_mgo_mg_per_kg[1],
            honey.ceiling_mgo_mg_per_kg
        ),
    );
    for reason in &honey.reasons {
        put(page, format_args!("<li>{}</li>", plain(reason)));
    }
    page.push_str("</ul>\n");
}

fn mothers(page: &mut String, rank: &SeedRank) {
    page.push_str(
        "<h2>Mothers</h2>\n<table><thead><tr><th>tree</th><th>stand</th><th class=\"n\">easting, northing, m</th>\
         <th class=\"n\">DHA, mg/kg<br>at 80 °Brix</th><th>band</th><th class=\"n\">samples</th><th class=\"n\">capsules<br>to take</th>\
         <th class=\"n\">share of<br>the seed</th><th>allowed</th></tr></thead><tbody>\n",
    );
    for tree in rank.trees.iter().filter(|tree| tree.mother == "yes") {
        mother(page, tree);
    }
    page.push_str("</tbody></table>\n<p class=\"note\">Bag seed of each mother by itself, with tree, place, date and weight.</p>\n");
}

fn mother(page: &mut String, tree: &RankRow) {
    put(
        page,
        format_args!(
            "<tr><td><b>{}</b></td><td>{}</td><td class=\"n\">{:.0}, {:.0}</td><td class=\"n\">{:.0} ± {:.0}</td><td>{}</td>\
         <td class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"n\">{:.1} %</td><td>{}</td></tr>",
            plain(&tree.tree_id),
            plain(tree.stand_id.as_deref().unwrap_or("–")),
            tree.easting_m,
            tree.northing_m,
            tree.dha_value,
            tree.dha_error,
            tree.band,
            tree.samples,
            tree.take_capsules,
            tree.seed_share * 100.0,
            tree.permission.unwrap_or("ask")
        ),
    );
}
