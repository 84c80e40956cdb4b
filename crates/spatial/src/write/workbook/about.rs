//! What the workbook was made from, and what to know before going out with it.

use rust_xlsxwriter::{Format, Worksheet, XlsxError};

use super::sheet::{Cell, HUNDREDTHS, WHOLE, head, put, set_up, title, wrapped};
use crate::plan::Plan;

/// Name of the sheet.
const NAME: &str = "About";
/// Zones of a caution that are named; the rest are counted.
const NAMED_ZONES: usize = 40;

/// Writes the sheet.
pub(super) fn write(sheet: &mut Worksheet, plan: &Plan) -> Result<(), XlsxError> {
    sheet.set_name(NAME)?;
    set_up(sheet, plan, NAME);
    for (column, width) in [(0, 34.0), (1, 30.0), (2, 70.0), (3, 12.0)] {
        sheet.set_column_width(column, width)?;
    }
    let mut page = Page { sheet, row: 0 };
    page.line([Cell::text(format!("{}: {NAME}", plan.site))], &title())?;
    page.line([], &wrapped())?;
    page.line([Cell::text("Property"), Cell::text(&plan.site)], &wrapped())?;
    page.line(
        [Cell::text("Program"), Cell::text(format!("hillweave {}", plan.version))],
        &wrapped(),
    )?;
    page.line([Cell::text("Form of the plan"), Cell::text(plan.schema)], &wrapped())?;
    page.line([Cell::text("Coordinate system"), Cell::text(&plan.crs)], &wrapped())?;
    page.line([Cell::text("Seed of random draws"), Cell::text(plan.seed.to_string())], &wrapped())?;
    totals(&mut page, plan)?;
    page.table("Inputs and their checksums", ["What for", "File", "SHA-256"])?;
    for input in &plan.inputs {
        let file = Cell::text(input.file.to_string_lossy());
        page.line([Cell::text(&input.role), file, Cell::text(&input.sha256)], &wrapped())?;
    }
    page.table("Defaults that were taken", ["Key", "Value", "Source"])?;
    for default in &plan.defaults {
        let cells = [&default.key, &default.value, &default.source];
        page.line(cells.map(Cell::text), &wrapped())?;
    }
    page.table(
        "Cautions: local rules and licensed people decide",
        ["About", "Zones", "What to do", "Map area (ha)"],
    )?;
    for caution in &plan.cautions {
        let words = [caution.about.clone(), zones(&caution.zones), caution.text.clone()];
        let area = Cell::Real(caution.plan_area_ha.0);
        page.line(
            words.map(Cell::Text).into_iter().chain([area]),
            &wrapped().set_num_format(HUNDREDTHS),
        )?;
    }
    page.table("How to read it", [])?;
    for words in [
        "An empty cell is not known, or has nothing to say; 0 means none.",
        "Hectares (10,000 m²) are of the flat map unless the heading says along the slope.",
        "Totals are formulas over the rows above them. With a filter set they still add up all rows.",
    ] {
        page.line([Cell::text(words)], &Format::new())?;
    }
    Ok(())
}

/// Figures of the whole plan, to hold the sheets against.
fn totals(page: &mut Page<'_>, plan: &Plan) -> Result<(), XlsxError> {
    let totals = &plan.totals;
    page.table("Figures of the whole plan", ["Figure", "Value"])?;
    let counts =
        [("Plants into the ground", totals.seedlings), ("Plants to order", totals.order_qty)];
    for (name, count) in counts {
        page.line([Cell::text(name), Cell::Whole(count)], &wrapped().set_num_format(WHOLE))?;
    }
    let measures = [
        ("Planted, map (ha)", totals.planted_plan_ha.0),
        ("Planted, along the slope (ha)", totals.planted_ground_ha.0),
        ("Days of one person", totals.person_days),
        ("Plants and planting (NZ$)", totals.cost_nzd),
    ];
    for (name, measure) in measures {
        page.line([Cell::text(name), Cell::Real(measure)], &wrapped().set_num_format(HUNDREDTHS))?;
    }
    Ok(())
}

/// The zones of a caution in a line.
fn zones(zones: &[String]) -> String {
    let named = zones.iter().take(NAMED_ZONES).map(String::as_str).collect::<Vec<_>>().join(", ");
    match zones.len().checked_sub(NAMED_ZONES) {
        None | Some(0) => named,
        Some(more) => format!("{named} and {more} more"),
    }
}

/// A page that is written line by line.
struct Page<'a> {
    sheet: &'a mut Worksheet,
    row: u32,
}

impl Page<'_> {
    fn line(
        &mut self,
        cells: impl IntoIterator<Item = Cell>,
        format: &Format,
    ) -> Result<(), XlsxError> {
        for (column, cell) in (0_u16..).zip(cells) {
            put(self.sheet, (self.row, column), &cell, format)?;
        }
        self.row = self.row.saturating_add(1);
        Ok(())
    }

    /// An empty line, a name, and the heading of a table.
    fn table<const COLUMNS: usize>(
        &mut self,
        name: &str,
        headings: [&str; COLUMNS],
    ) -> Result<(), XlsxError> {
        self.line([], &Format::new())?;
        self.line([Cell::text(name)], &Format::new().set_bold().set_font_size(12))?;
        if COLUMNS > 0 {
            self.line(headings.map(Cell::text), &head())?;
        }
        Ok(())
    }
}
