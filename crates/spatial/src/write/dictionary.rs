//! The data dictionary, made from the table of columns.

use std::fmt::Write;

use super::columns::{
    BLOCKS, CARDS, Column, KEEP_CLEAR, ORDERS, PLANTS, PLOTS, STANDS, ZONES, schedule,
};
use crate::calendar::TASKS;
use crate::chances::{FIGURES, LINES as CHANCE_LINES, ZONES as CHANCE_ZONES};
use crate::checks::cover::{BY_YEAR, PIECES};
use crate::checks::eligible::{PIECES as PLANTED_PIECES, RESULTS};
use crate::compare::{
    CHANGES, GROUND as COMPARE_GROUND, LINES as COMPARE_LINES, ORDERS as COMPARE_ORDERS,
    ZONES as COMPARE_ZONES,
};
use crate::landform::LandformOutput;
use crate::money::{CASH, COSTS, SENSITIVITY};
use crate::season::{BLOOM_BLOCKS, BLOOM_WEEKS, HIVE_SITES};
use crate::seed::FIELD_SHEET;
use crate::seed::rank::{MOTHERS, PILOT, TRADE_OFF, TREES};

/// The data dictionary in Markdown: every layer and column, its type, unit, basis and meaning.
#[must_use]
pub fn dictionary_markdown() -> String {
    let mut page = String::from(PREFACE);
    section(
        &mut page,
        "zones",
        "`plan.gpkg`, `zones.geojson`: ground that asks for one treatment.",
        &ZONES,
    );
    section(&mut page, "blocks", "`plan.gpkg`, `blocks.geojson`: one zone and one stock.", &BLOCKS);
    section(&mut page, "keep_clear", "`plan.gpkg`: ground that is not planted.", &KEEP_CLEAR);
    section(&mut page, "stands", "`plan.gpkg`: existing native stands, kept.", &STANDS);
    section(&mut page, "plants", PLANTS_PREFACE, &PLANTS);
    section(&mut page, "plots", PLOTS_PREFACE, &PLOTS);
    section(&mut page, "schedule", SCHEDULE_PREFACE, &schedule());
    section(&mut page, "orders", ORDERS_PREFACE, &ORDERS);
    section(&mut page, "cards", CARDS_PREFACE, &CARDS);
    fits_section(&mut page);
    section(&mut page, "mother_trees", MOTHER_TREES_PREFACE, &FIELD_SHEET);
    section(&mut page, "trees", TREES_PREFACE, &TREES);
    section(&mut page, "mothers", MOTHERS_PREFACE, &MOTHERS);
    section(&mut page, "trade_off", TRADE_OFF_PREFACE, &TRADE_OFF);
    section(&mut page, "pilot", PILOT_PREFACE, &PILOT);
    section(&mut page, "calendar", CALENDAR_PREFACE, &TASKS);
    section(&mut page, "costs", COSTS_PREFACE, &COSTS);
    section(&mut page, "cash_flow", CASH_PREFACE, &CASH);
    section(&mut page, "sensitivity", SENSITIVITY_PREFACE, &SENSITIVITY);
    section(&mut page, "bloom_blocks", BLOOM_BLOCKS_PREFACE, &BLOOM_BLOCKS);
    section(&mut page, "bloom_weeks", BLOOM_WEEKS_PREFACE, &BLOOM_WEEKS);
    section(&mut page, "hive_sites", HIVE_SITES_PREFACE, &HIVE_SITES);
    section(&mut page, "chances", CHANCES_PREFACE, &FIGURES);
    section(
        &mut page,
        "chance_lines",
        "`chance_lines.csv`: each line that is planted.",
        &CHANCE_LINES,
    );
    section(
        &mut page,
        "chance_zones",
        "`chance_zones.csv`: how often each zone keeps its line.",
        &CHANCE_ZONES,
    );
    section(&mut page, "cover_by_year", COVER_BY_YEAR_PREFACE, &BY_YEAR);
    section(&mut page, "cover_pieces", COVER_PIECES_PREFACE, &PIECES);
    section(&mut page, "planted_pieces", PLANTED_PIECES_PREFACE, &PLANTED_PIECES);
    section(&mut page, "eligible", ELIGIBLE_PREFACE, &RESULTS);
    section(&mut page, "compare_lines", COMPARE_PREFACE, &COMPARE_LINES);
    section(
        &mut page,
        "compare_orders",
        "`compare_orders.csv`: orders by line and winter.",
        &COMPARE_ORDERS,
    );
    section(
        &mut page,
        "compare_ground",
        "`compare_ground.csv`: ground from what to what; the widest change first, then what stays.",
        &COMPARE_GROUND,
    );
    section(
        &mut page,
        "compare_zones",
        "`compare_zones.csv`: zones that are not the same polygon in both plans.",
        &COMPARE_ZONES,
    );
    section(
        &mut page,
        "changes",
        "`compare.gpkg`: pieces of ground with one part of each plan; they tile the ground of both.",
        &CHANGES,
    );
    ground_section(&mut page);
    page
}

const PREFACE: &str = "\
# Data dictionary

Made from the program's table of columns: do not edit by hand.

- NULL (an empty cell in CSV, `null` in GeoJSON) means not known; 0 means none; an empty text means
  that there is nothing to say. CSV cannot tell an empty text from NULL.
- Areas are hectares (10,000 m²). *map*: on the flat map, in the plan's own grid, which may differ
  from the area on the ellipsoid by up to half a per cent. *ground*: along the slope.
- `plan.gpkg` (GeoPackage 1.3) adds `fid`, a row number, and `geom`, a MULTIPOLYGON in the plan's
  coordinate system, easting first. It says all this itself, with its sources; `plan.qgs` opens it in its
  colours.
- GeoJSON (RFC 7946) is longitude and latitude on WGS 84 with 7 decimals, about a centimetre. Each
  feature's `id` is its `zone_id` or `block_id`.
- `plan.json` holds the whole plan, with every input's checksum and every default taken.
";

const PLANTS_PREFACE: &str = "\
`plan.gpkg` (points), `plants.csv`, `plants.gpx`: where each plant stands, in the order in which they are
planted; only where `layout.plants` is not `counts`. The CSV adds `longitude` and `latitude` on WGS 84; the
GPX (1.1) has a way point a plant, named by its block and its number there.";

const PLOTS_PREFACE: &str = "\
`plan.gpkg` (points), `plots.csv`, `plots.gpx`: the middles of the circular plots in which survivors will be
counted; only where `plots.plan_area_ha` is given. `counting.csv` has a row for each plot and line, to fill in
`counted` and `alive` for `hillweave survival`.";

const SCHEDULE_PREFACE: &str = "\
`schedule.csv`: one row a block, UTF-8, comma, no totals row. A text that begins with `=`, `+`, `-`,
`@`, a tab or a line break has an apostrophe put before it, so that no spreadsheet runs it. `schedule.xlsx` holds orders,
planting by crew-day, cards and a form for blanking as sheets, with totals: see `exchange.md`.";

const ORDERS_PREFACE: &str = "\
`orders.csv`: one row for each delivery of a line in a winter, as `[order]` of the site file asks. `line_orders` in
`plan.json` says how each order came about: `needed`, and what `spare`, `lot` and `tray` add, less `held_back`, is
`order_qty`.";

const CARDS_PREFACE: &str = "\
`cards.csv`, and `cards` in `plan.json`: one row a block for the crew that plants, by zone, line and winter; in
CSV as the schedule is. The CSV adds `drop_longitude_deg` and `drop_latitude_deg` on WGS 84. The drop point is
where `[layers.tracks]` comes nearest to the zone: of all places that are as near to it, to a metre, that nearest
to its centroid. **It is a place on the map: whether a vehicle can get there and turn safely is for people on site
to say.**";

const MOTHER_TREES_PREFACE: &str = "\
What `hillweave seed sites` writes: `field_sheet.csv`, `field_sheet.gpx`, `field_sheet.gpkg` (points) and
`field_sheet.html` to print; `seed_sites.json` says how the places were drawn. From `vigour` on the columns go out
blank and come back filled in.";

const TREES_PREFACE: &str = "\
What `hillweave seed rank` writes: `trees.csv`, and `seed_rank.gpkg` (points): trees that were tested, the best
first. `seed_rank.json` holds everything, `seed_rank.html` is to read and print.";

const MOTHERS_PREFACE: &str = "\
`mothers.csv`, `mothers.gpx`: the trees whose seed is gathered, the best first. `seed_line.toml` is the stock that
comes of them, `stock.toml` the site's stock with it.";

const TRADE_OFF_PREFACE: &str = "`trade_off.csv`: what fewer or more mothers would mean.";

const PILOT_PREFACE: &str = "`pilot.csv`: how much trees of each stand differ, for `hillweave seed sites --allocation neyman --pilot`.";

const CALENDAR_PREFACE: &str = "\
What `hillweave calendar` writes: `calendar.csv`, every job with its months; `calendar.ics` has them as events (RFC 5545),
`calendar.html` as a chart, `calendar.json` everything.";

const COSTS_PREFACE: &str = "\
What `hillweave money` writes: `costs.csv`, what each stage of the work costs in each zone and year. `money.json`
holds everything, `money.html` is to read and print. **The figures are the site's own put together: no forecast, no
quotation, no promise of income.**";

const CASH_PREFACE: &str = "\
`cash_flow.csv`: cash by year, in three cases; without a table of income costs alone, and all below 0.";

const SENSITIVITY_PREFACE: &str =
    "`sensitivity.csv`: what moves the net present value most, the widest swing first.";
const BLOOM_BLOCKS_PREFACE: &str = "\
What `hillweave season` writes: `bloom_blocks.csv`, one row for each line in each zone whose line tells when it flowers.
`season.json` holds everything, `season.html` is to read and print.";

const BLOOM_WEEKS_PREFACE: &str = "\
`bloom_weeks.csv`: one row for each line, zone and week in which it flowers; those of one line and zone add up to its
row in `bloom_blocks.csv`.";

const HIVE_SITES_PREFACE: &str = "\
`hive_sites.csv`, `hive_sites.gpx`, `hive_sites.gpkg` (points): places beside tracks where hives may stand, the best
first; not written where there is none. **Places on the map: whether a truck can get there and turn safely, and whether
hives may stand there, is for people on site and local rules to say.**";

const CHANCES_PREFACE: &str = "\
What `hillweave chances` writes: `chances.csv`, whole-plan figures with what nine draws in ten lie between; `chances.json`
has everything. The intervals say what the spreads of `[chances]` put in, no more.";

const COVER_BY_YEAR_PREFACE: &str = "\
What `hillweave cover` writes: `cover_by_year.csv`, protective cover by class of ground, measure and year.
`cover_now.tif` and `cover_then.tif` hold the share protected today and at the target year cell by cell, `cover.json`
everything, `cover.html` is to read and print.";

const COVER_PIECES_PREFACE: &str = "\
`cover_pieces.csv`, and `cover.gpkg` (polygons along cells): ground that may slip and is below the target at the
target year. Areas are of whole cells; those of `cover_by_year.csv` count the exact share of each cell.";

const PLANTED_PIECES_PREFACE: &str = "\
What `hillweave eligible` writes: `eligible.gpkg`, planted ground that hangs together, held against rule sets;
`eligible.json` holds everything. **A test that is met is met as it is written in the rule file: check with the scheme.**";

const COMPARE_PREFACE: &str = "\
What `hillweave compare -o DIR` writes: `compare_lines.csv`, lines in both plans, `a` the first named and `b` the second.
`compare.json` holds everything.";

const ELIGIBLE_PREFACE: &str = "\
`eligible.csv`: each test of each rule set on each piece. A figure that is not known lies between two bounds; a test is
met, or not, only where both say the same.";

const FITS_PREFACE: &str = "\
`plan.json`, `fits`: how each stock fits each zone. All shares are of the zone's ground open to planting,
by map area, 0 to 1. `fit_edges` beside it says at which fits the orders S1, S2 and S3 begin, and where
that comes from. Where the site has no layer for a factor, it is not counted.";

/// Fields of a row of `fits`: name, type, unit, meaning.
const FITS: [[&str; 4]; 18] = [
    ["zone_id", "text", "", "The zone."],
    ["stock_id", "text", "", "The stock."],
    [
        "fit",
        "number",
        "0 to 1",
        "Mean of the fit of every cell: the least membership over its factors.",
    ],
    [
        "fit_class",
        "text",
        "",
        "Suitability order of that mean: S1 high, S2 moderate, S3 marginal, N not suitable (FAO 1976).",
    ],
    ["s1_share", "number", "share", "Ground whose own fit is of order S1."],
    ["s2_share", "number", "share", "Ground whose own fit is S2."],
    ["s3_share", "number", "share", "Ground whose own fit is S3."],
    ["n_share", "number", "share", "Ground whose own fit is N."],
    ["share_below", "number", "share", "Ground whose own fit is below `mosaic.fit_floor`."],
    ["limiting_factor", "text", "", "Factor that costs most fit; empty when nothing limits."],
    ["limits", "list", "", "Everything that limits some of the ground, what costs most fit first:"],
    ["limits[].factor", "text", "", "the factor, as `[stock.tolerance]` names it;"],
    [
        "limits[].side",
        "text",
        "",
        "`too_low`, `too_high`, or `unsuited` for a drainage class between better ones;",
    ],
    ["limits[].words", "text", "", "the same in words, such as `too cold`;"],
    ["limits[].share", "number", "share", "ground where it is the least factor and below 1;"],
    [
        "limits[].lost",
        "number",
        "0 to 1",
        "fit that it costs over the zone; these sum to 1 less the fit.",
    ],
    ["sentence", "text", "", "The fit in a landowner's words."],
    [
        "barred",
        "text",
        "",
        "Why it may not go here, by the rules of [eco_sourcing] or a choice by hand; empty when it may.",
    ],
];

fn fits_section(page: &mut String) {
    heading(page, "fits", FITS_PREFACE, "field | type | unit | meaning", 4);
    for cells in &FITS {
        row(page, cells);
    }
}

const GROUND_PREFACE: &str = "\
What `hillweave ground` writes: cloud-optimised GeoTIFF on the elevation's grid, holes NaN, or 255 in
classes; `ground.json` holds the settings that made them. `MM` is the month, 01 to 12: those files are
written when `--layers` names them (or `all`).";

fn section<Row, Whole>(
    page: &mut String,
    name: &str,
    preface: &str,
    columns: &[Column<Row, Whole>],
) {
    heading(page, name, preface, "column | type | unit | basis | meaning", 5);
    for column in columns {
        let cells = [column.name, column.kind.sql(), column.unit, column.basis, column.meaning];
        row(page, &cells);
    }
}

fn ground_section(page: &mut String) {
    heading(page, "ground", GROUND_PREFACE, "file | type | unit | meaning", 4);
    for output in LandformOutput::all() {
        row(page, &[&output.file(), output.kind(), output.unit(), &output.meaning()]);
    }
}

fn heading(page: &mut String, name: &str, preface: &str, columns: &str, count: usize) {
    let rule = "|---".repeat(count);
    // writing to a String cannot fail
    let _ = writeln!(page, "\n## {name}\n\n{preface}\n\n| {columns} |\n{rule}|");
}

fn row(page: &mut String, cells: &[&str]) {
    let first = format!("`{}`", cells[0]);
    let rest = cells[1..].iter().map(|cell| (*cell).to_owned());
    let cells: Vec<String> = std::iter::once(first).chain(rest).collect();
    let _ = writeln!(page, "| {} |", cells.join(" | "));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{FitLimitRow, FitRow};

    #[test]
    fn the_dictionary_names_every_column_once_a_layer() {
        let page = dictionary_markdown();
        let rows = page.lines().filter(|line| line.starts_with("| `")).count();
        let columns = ZONES.len()
            + BLOCKS.len()
            + KEEP_CLEAR.len()
            + STANDS.len()
            + PLANTS.len()
            + PLOTS.len()
            + ORDERS.len()
            + CARDS.len()
            + schedule().len()
            + FIELD_SHEET.len()
            + TREES.len()
            + MOTHERS.len()
            + TRADE_OFF.len()
            + PILOT.len()
            + TASKS.len()
            + COSTS.len()
            + CASH.len()
            + SENSITIVITY.len()
            + BLOOM_BLOCKS.len()
            + BLOOM_WEEKS.len()
            + HIVE_SITES.len()
            + FIGURES.len()
            + CHANCE_LINES.len()
            + CHANCE_ZONES.len()
            + BY_YEAR.len()
            + PIECES.len()
            + PLANTED_PIECES.len()
            + RESULTS.len()
            + COMPARE_LINES.len()
            + COMPARE_ORDERS.len()
            + COMPARE_GROUND.len()
            + COMPARE_ZONES.len()
            + CHANGES.len();
        assert_eq!(rows, columns + FITS.len() + LandformOutput::all().count());
        assert!(page.contains(
            "| `plan_area_ha` | REAL | ha | map | Area of the polygon on the flat map. |"
        ));
    }

    #[test]
    fn the_dictionary_names_the_fields_of_a_fit_in_their_order() {
        let limit = FitLimitRow {
            factor: "slope_deg",
            side: stock::Side::TooHigh,
            words: "too steep",
            share: 0.5,
            lost: 0.25,
        };
        let fit = FitRow {
            zone_id: "Z001".into(),
            stock_id: "a".into(),
            fit: 0.75,
            fit_class: "S2".into(),
            s1_share: 0.5,
            s2_share: 0.5,
            s3_share: 0.0,
            n_share: 0.0,
            share_below: 0.0,
            limiting_factor: "slope_deg".into(),
            limits: vec![limit],
            sentence: "too steep".into(),
            barred: String::new(),
        };
        let value = serde_json::to_value(&fit).unwrap();
        let mut fields = Vec::new();
        for (name, value) in value.as_object().unwrap() {
            fields.push(name.clone());
            let inner = value.as_array().and_then(|list| list[0].as_object());
            fields.extend(inner.into_iter().flatten().map(|(part, _)| format!("{name}[].{part}")));
        }
        assert_eq!(fields, FITS.map(|[name, ..]| name.to_owned()));
    }

    #[test]
    fn every_table_row_has_its_cells() {
        let page = dictionary_markdown();
        for table in page.split("\n## ").skip(1) {
            let bars = |line: &str| line.matches('|').count();
            let mut lines = table.lines().filter(|line| line.starts_with('|'));
            let expected = bars(lines.next().unwrap());
            assert!(lines.all(|line| bars(line) == expected), "{table}");
        }
    }

    #[test]
    fn every_meaning_is_a_sentence() {
        let ends = |meaning: &str| meaning.ends_with('.') && meaning.len() > 10;
        assert!(ZONES.iter().all(|c| ends(c.meaning)) && BLOCKS.iter().all(|c| ends(c.meaning)));
        assert!(
            KEEP_CLEAR.iter().all(|c| ends(c.meaning)) && STANDS.iter().all(|c| ends(c.meaning))
        );
        assert!(LandformOutput::all().all(|output| ends(&output.meaning())));
    }
}
