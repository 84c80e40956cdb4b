//! The check of cover as a page to read and print.

use std::fmt::Write;

use geo::BoundingRect;
use palette::escaped;

use super::chart::chart;
use super::rows::{CoverCheck, PieceRow, PlantedBy, YearRow};
use crate::write::{PAGE_END, Paper, UPRIGHT, page_head, put};

/// What this page adds to the style of upright ones.
const STYLE: &str = "svg{max-width:100%;height:auto;break-inside:avoid}\
.verdict{border:.4mm solid #000;padding:2mm;margin:2mm 0}";

/// Pieces that the page lists; the rest stand in the table file.
const LISTED: usize = 30;

/// The page, UTF-8.
pub(super) fn page(check: &CoverCheck) -> String {
    let site = escaped(&check.site);
    let title = format!("{site}: cover of the steep ground");
    let mut page = page_head(&title, &[UPRIGHT, STYLE], &title);
    verdict(&mut page, check);
    classes(&mut page, check);
    page += "<h2>Year by year</h2>\n";
    page += &chart(check);
    put(
        &mut page,
        format_args!(
            "<p class=\"note\">Ground that may slip, by slope group; share protected, by {}. The line across is the target.</p>",
            measure_words(check.measure)
        ),
    );
    pieces(&mut page, check);
    second_opinion(&mut page, check);
    page += "<h2>How far this goes</h2>\n<ul>\n";
    for limit in &check.limits {
        put(&mut page, format_args!("<li>{}</li>", escaped(limit)));
    }
    page += "</ul>\n<h2>Before you rely on it</h2>\n<ul>\n";
    for caution in &check.cautions {
        put(&mut page, format_args!("{}", caution.item()));
    }
    for warning in &check.warnings {
        put(&mut page, format_args!("<li>{}</li>", escaped(&warning.to_string())));
    }
    page += "</ul>\n<h2>Taken for granted</h2>\n<ul class=\"note\">\n";
    for taken in &check.defaults {
        put(
            &mut page,
            format_args!(
                "<li>{} = {} ({})</li>",
                escaped(&taken.key),
                escaped(&taken.value),
                escaped(&taken.source)
            ),
        );
    }
    page + "</ul>\n" + PAGE_END
}

/// A measure in words.
pub(super) fn measure_words(measure: &str) -> &'static str {
    match measure {
        "crown" => "ground under crowns",
        "roots" => "ground that roots bind",
        "stand_1993" => "age of the stand (Bergin, Kimberley and Marden 1993)",
        _ => "age of the stand (Bergin et al. 1995)",
    }
}

fn verdict(page: &mut String, check: &CoverCheck) {
    let planted = match check.planted {
        PlantedBy::Plan => "Held against the plan.",
        PlantedBy::Nothing => "Held against the ground as it is: nothing is planted.",
    };
    let says = if check.below_plan_ha.0 > 0.0 {
        format!(
            "<b>{:.1} of {:.1} ha that may slip stay below the target.</b> {}.",
            check.below_plan_ha.0,
            check.may_slip_plan_ha.0,
            check.mending_words()
        )
    } else {
        format!("<b>All {:.1} ha that may slip reach the target.</b>", check.may_slip_plan_ha.0)
    };
    put(
        page,
        format_args!(
            "<p>{planted} Target: {:.0} % of the ground protected, by {}, on every piece that may slip; reckoned by \
             {}, plants standing {}.</p>\n<p class=\"verdict\">{says}</p>",
            check.target * 100.0,
            check.target_year_words(),
            measure_words(check.measure),
            match check.pattern {
                "square" => "in squares",
                "triangular" => "in triangles",
                _ => "anywhere",
            }
        ),
    );
    let mut aside = Vec::new();
    if check.below_small_plan_ha.0 > 0.0 {
        aside.push(format!(
            "{:.2} ha below the target lie in pieces too small to draw",
            check.below_small_plan_ha.0
        ));
    }
    if check.never_plan_ha.0 > 0.0 {
        aside.push(format!(
            "{:.1} ha of water, rock and yards are steep and not judged",
            check.never_plan_ha.0
        ));
    }
    if check.unknown_plan_ha.0 > 0.0 {
        aside.push(format!("{:.1} ha of unknown slope are not judged", check.unknown_plan_ha.0));
    }
    if !aside.is_empty() {
        put(page, format_args!("<p class=\"note\">{}.</p>", aside.join("; ")));
    }
}

/// Rows of the told measure, ground that may slip, at a year.
pub(super) fn rows_at<'a>(
    check: &'a CoverCheck,
    by: &'a str,
    years: Option<i32>,
    measure: &'a str,
) -> impl Iterator<Item = &'a YearRow> {
    check.by_year_rows.iter().filter(move |row| {
        row.by == by && row.may_slip_only && row.years == years && row.measure == measure
    })
}

/// A class in words.
pub(super) fn class_words(class: &str) -> String {
    match class {
        "slip_scar" => "slip scar".to_owned(),
        other => other.to_owned(),
    }
}

fn classes(page: &mut String, check: &CoverCheck) {
    for (by, title) in [("slope_group", "LUC slope group"), ("erosion_terrain", "Erosion terrain")]
    {
        if rows_at(check, by, None, check.measure).next().is_none() {
            continue;
        }
        put(
            page,
            format_args!(
                "<h2>Ground that may slip, by {}</h2>\n<table><thead><tr><th>{title}</th><th class=\"n\">map ha</th>\
                 <th class=\"n\">now</th><th class=\"n\">then</th><th class=\"n\">under 20 %</th><th class=\"n\">20–40</th>\
                 <th class=\"n\">40–60</th><th class=\"n\">60–80</th><th class=\"n\">80 and over</th>\
                 <th class=\"n\">below target</th></tr></thead><tbody>",
                title.to_lowercase().replace("luc", "LUC")
            ),
        );
        let now: Vec<&YearRow> = rows_at(check, by, None, check.measure).collect();
        let then = rows_at(check, by, Some(check.by_years), check.measure);
        for (now, then) in now.into_iter().zip(then) {
            let mut line = format!(
                "<tr><td>{}</td><td class=\"n\">{:.1}</td><td class=\"n\">{:.0} %</td><td class=\"n\">{:.0} %</td>",
                escaped(&class_words(&now.class)),
                now.plan_area_ha.0,
                now.protected_share * 100.0,
                then.protected_share * 100.0
            );
            for band in then.bands_plan_ha {
                // Writing to a String cannot fail.
                let _ = write!(line, "<td class=\"n\">{:.1}</td>", band.0);
            }
            put(page, format_args!("{line}<td class=\"n\">{:.1}</td></tr>", then.below_plan_ha.0));
        }
        page.push_str("</tbody></table>\n");
    }
    put(
        page,
        format_args!(
            "<p class=\"note\">Map hectares by share protected, {}. Old slip scars stand in no slope group.</p>",
            check.target_year_words()
        ),
    );
}

fn pieces(page: &mut String, check: &CoverCheck) {
    if check.pieces.is_empty() {
        return;
    }
    page.push_str("<h2>Pieces below the target</h2>\n");
    page.push_str(&map(check));
    page.push_str(
        "<table><thead><tr><th>piece</th><th>in</th><th class=\"n\">map ha</th><th class=\"n\">slope</th>\
         <th>why</th><th class=\"n\">reaches it</th><th>cheapest remedy</th></tr></thead><tbody>\n",
    );
    for piece in check.pieces.iter().take(LISTED) {
        put(page, format_args!("{}", piece_line(piece)));
    }
    page.push_str("</tbody></table>\n");
    if check.pieces.len() > LISTED {
        let rest: f64 = check.pieces[LISTED..].iter().map(|piece| piece.plan_area_ha.0).sum();
        put(
            page,
            format_args!(
                "<p class=\"note\">{} smaller pieces, {rest:.1} ha together, stand in cover_pieces.csv and cover.gpkg.</p>",
                check.pieces.len() - LISTED
            ),
        );
    }
}

/// When a piece reaches the target as things stand, in words.
pub(super) fn reaches_words(piece: &PieceRow) -> String {
    match (piece.reaches_year, piece.reaches_years) {
        (Some(year), _) => year.to_string(),
        (None, Some(years)) => format!("year {years}"),
        (None, None) => "not in 60 years".to_owned(),
    }
}

fn piece_line(piece: &PieceRow) -> String {
    let caution = if piece.caution.is_empty() {
        String::new()
    } else {
        format!("<br><i>{}</i>", escaped(&piece.caution))
    };
    format!(
        "<tr><td>{}</td><td>{}</td><td class=\"n\">{:.2}</td><td class=\"n\">{:.0}°</td><td>{}</td>\
         <td class=\"n\">{}</td><td>{}{caution}</td></tr>",
        piece.piece_id,
        piece.lies_in.as_deref().map_or_else(|| "–".to_owned(), escaped),
        piece.plan_area_ha.0,
        piece.slope_mean_deg,
        escaped(&piece.reason),
        reaches_words(piece),
        escaped(&piece.remedy_words)
    )
}

/// The pieces on a map, those that are listed by name.
fn map(check: &CoverCheck) -> String {
    const ROOM_MM: [f64; 2] = [180.0, 120.0];
    /// Pieces that carry a name.
    const NAMED: usize = 12;
    let pieces = check.pieces.iter().map(|piece| &piece.geometry);
    let around = pieces.chain([&check.boundary]).filter_map(BoundingRect::bounding_rect);
    let Some(paper) = Paper::over(around, ROOM_MM) else { return String::new() };
    let [width, height] = paper.size_mm;
    let foot = height + 10.0;
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width:.1}mm\" height=\"{foot:.1}mm\" \
         viewBox=\"0 0 {width:.1} {foot:.1}\" role=\"img\" aria-label=\"Map of pieces below the target\">\n\
         <rect width=\"{width:.1}\" height=\"{height:.1}\" fill=\"#fff\" stroke=\"#000\" stroke-width=\".3\"/>\n"
    );
    put(
        &mut svg,
        format_args!(
            "<path d=\"{}\" fill=\"none\" stroke=\"#666\" stroke-width=\".4\"/>",
            paper.area(&check.boundary)
        ),
    );
    for piece in &check.pieces {
        put(
            &mut svg,
            format_args!(
                "<path d=\"{}\" fill=\"#b3582a\" fill-rule=\"evenodd\" stroke=\"#5a2a12\" stroke-width=\".1\"/>",
                paper.area(&piece.geometry)
            ),
        );
    }
    svg += "<g font-family=\"sans-serif\" font-size=\"3\">\n";
    for piece in check.pieces.iter().take(NAMED) {
        let Some(around) = piece.geometry.bounding_rect() else { continue };
        let [x, y] = paper.at(around.center());
        let id = &piece.piece_id;
        put(
            &mut svg,
            format_args!(
                "<text x=\"{x:.2}\" y=\"{y:.2}\" text-anchor=\"middle\" fill=\"#fff\" stroke=\"#fff\" \
                 stroke-width=\".8\">{id}</text><text x=\"{x:.2}\" y=\"{y:.2}\" text-anchor=\"middle\">{id}</text>"
            ),
        );
    }
    svg + &paper.scale_and_north()
        + "</g>\n</svg>\n<p class=\"note\">Pieces below the target; the largest twelve \
     carry their names; grey: the boundary. cover.gpkg has them all.</p>\n"
}

fn second_opinion(page: &mut String, check: &CoverCheck) {
    let Some(ratio) = check.soil_loss_ratio else { return };
    put(
        page,
        format_args!(
            "<h2>A second opinion: soil washed off</h2>\n<p>By slope length, steepness and cover alone (RUSLE), soil washed off by sheet and rill comes to about \
             {:.0} % of today's by {}. It says nothing of slips, which move most of the soil of steep hills.</p>",
            ratio * 100.0,
            check.target_year_words()
        ),
    );
}
