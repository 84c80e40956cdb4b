//! The field sheet as a page to print: what to do, cautions, a table to write in, a map.

use std::fmt::Write;

use palette::escaped;

use super::map::map_svg;
use super::rows::{SeedSites, TreeRow};

/// For A4 in landscape; nothing is loaded from elsewhere and no script runs.
const STYLE: &str = "@page{size:A4 landscape;margin:10mm}\
body{font:9pt sans-serif;color:#000;background:#fff;margin:0 auto;max-width:277mm}\
h1{font-size:15pt;margin:0 0 1mm}h2{font-size:11pt;margin:3mm 0 1mm}p{margin:0 0 1mm}\
ol,ul{margin:0;padding-left:5mm}li{margin:0 0 .6mm}\
.two{display:flex;gap:8mm}.two>div{flex:1}\
table{border-collapse:collapse;width:100%;margin-top:2mm}thead{display:table-header-group}\
th,td{border:.2mm solid #555;padding:.6mm 1mm;text-align:left;vertical-align:top}\
th{font-size:7.5pt;background:#eee}td{height:9mm;font-size:8pt}\
td.n{text-align:right;white-space:nowrap}td.c{font-size:7pt;width:34mm}\
tr{break-inside:avoid}.w{width:11mm}.note{width:26mm}\
.map{break-before:page}svg{max-width:100%;height:auto}";

/// The columns that are written by hand: heading and class.
const BY_HAND: [(&str, &str); 9] = [
    ("vigour 1–5", "w"),
    ("form 1–5", "w"),
    ("flower number 1–5", "w"),
    ("flower quality 1–5", "w"),
    ("seed capsules", "w"),
    ("disease 0–5", "w"),
    ("photo", "w"),
    ("allowed y/n", "w"),
    ("note", "note"),
];

/// The page, UTF-8.
pub(super) fn field_sheet_html(round: &SeedSites) -> String {
    let site = escaped(&round.site);
    let mut page = format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<title>{site}: mother \
         trees</title>\n<style>{STYLE}</style>\n</head>\n<body>\n<h1>{site}: {} places to look for \
         mother trees</h1>\n<p>{} · coordinates {} · seed of the draw {} · date ____________ \
         collectors ______________________________</p>\n",
        round.trees.len(),
        escaped(&round.settings.cover.join(", ")),
        escaped(short_crs(&round.crs)),
        round.seed,
    );
    page += "<div class=\"two\"><div>\n<h2>What to do</h2>\n<ol>\n";
    for line in what_to_do(round) {
        put(&mut page, &format!("<li>{line}</li>"));
    }
    page += "</ol>\n</div><div>\n<h2>Before you go</h2>\n<ul>\n";
    for caution in &round.cautions {
        put(&mut page, &caution.item());
    }
    page += "</ul>\n</div></div>\n";
    table(&mut page, round);
    put(&mut page, &format!("<div class=\"map\">\n<h2>{site}: map</h2>"));
    page += &map_svg(round);
    page + "</div>\n</body>\n</html>\n"
}

fn put(page: &mut String, line: &str) {
    page.push_str(line);
    page.push('\n');
}

/// `EPSG:code`, or the first words of a longer definition.
fn short_crs(crs: &str) -> &str {
    crs.char_indices().nth(40).map_or(crs, |(end, _)| crs.get(..end).unwrap_or(crs))
}

fn what_to_do(round: &SeedSites) -> Vec<String> {
    let within = round.settings.apart_m / 2.0;
    let first = if round.settings.candidates_from == "list" {
        "Go to each listed tree; if it is gone or sick, note it and take none in its place."
            .to_owned()
    } else {
        format!(
            "Points are places, not trees: at each, take the nearest healthy, mature mānuka within \
             {within} m that grew there by itself; do not take planted trees. If there is none, note \
             it and go on."
        )
    };
    vec![
        first,
        "Tag the tree with its name from this sheet, and photograph it whole and close.".to_owned(),
        "Score vigour, form, flower number and flower quality, 1 (poorest) to 5 (best).".to_owned(),
        "Count or estimate seed capsules of the whole tree; score disease, 0 (none) to 5 (dying)."
            .to_owned(),
        "Sample nectar as your laboratory says, and name each sample by the tree.".to_owned(),
        "Do not choose by looks: a place that is left out for a finer tree spoils the figures."
            .to_owned(),
        "Distances from tracks are straight lines: the way on foot is longer.".to_owned(),
    ]
}

fn table(page: &mut String, round: &SeedSites) {
    page.push_str(
        "<table>\n<thead><tr><th>tree</th><th>part of stand</th><th>easting<br>northing, m</th>\
         <th>height<br>m</th><th>slope<br>°</th><th>faces<br>°</th><th>to track<br>m</th>\
         <th>caution</th>",
    );
    for (heading, class) in BY_HAND {
        // writing to a String cannot fail
        let _ = write!(page, "<th class=\"{class}\">{heading}</th>");
    }
    page.push_str("</tr></thead>\n<tbody>\n");
    for tree in &round.trees {
        put(page, &row(tree));
    }
    page.push_str("</tbody>\n</table>\n");
}

fn row(tree: &TreeRow) -> String {
    let whole = |number: Option<f64>| number.map_or_else(String::new, |one| format!("{one:.0}"));
    let mut row = format!(
        "<tr><td><b>{}</b></td><td>{}</td><td class=\"n\">{:.0}<br>{:.0}</td><td class=\"n\">{:.0}</td>\
         <td class=\"n\">{:.1}</td><td class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"c\">{}</td>",
        escaped(&tree.tree_id),
        escaped(&tree.stratum),
        tree.easting_m,
        tree.northing_m,
        tree.elevation_m,
        tree.slope_deg,
        whole(tree.aspect_deg),
        whole(tree.to_track_m),
        escaped(&tree.caution),
    );
    row += &"<td></td>".repeat(BY_HAND.len());
    row + "</tr>"
}
