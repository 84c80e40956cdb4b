//! The maps of a plan.

use geo::{BoundingRect, MultiPolygon};
use palette::{BORDER, Colour, Legend};
use spatial::problem::Problem;
use spatial::seed::Day;
use terrain::Raster;

use super::cells::picture;
use super::frame::{Drawn, Frame};
use super::legend::Entry;
use super::pattern::{fill, paint, pattern};
use crate::document::{Image, Sheet};
use crate::gather::{Dossier, OfSite};
use crate::record::Record;
use crate::sections::counted;

/// How much of a colour covers the shade of the land.
pub(super) const OVER_SHADE: f64 = 0.74;
/// Files of the plan that a sheet names.
const INPUTS: usize = 10;
/// Steps of grey of the shade.
const GREYS: usize = 24;

/// Every map that a dossier has something for.
///
/// # Errors
/// When a picture of cells or a font fails, a fault of the program.
pub(crate) fn sheets(dossier: &Dossier, date: Option<Day>) -> Result<Vec<Sheet>, Problem> {
    let (plan, shapes) = (&dossier.plan, &dossier.shapes);
    let all = shapes.zones.iter().chain(&shapes.keep_clear).chain(&shapes.stands);
    let ground = all.filter_map(|(_, shape)| shape.bounding_rect());
    let (property, crs) = (plan.text("/site"), plan.text("/crs"));
    let Some(frame) = Frame::new(ground, property, crs, sources(dossier, date))? else {
        return Ok(Vec::new());
    };
    let shade = dossier.of_site.iter().map(|of_site| shade(of_site, &frame));
    let shade = shade.collect::<Result<_, _>>()?;
    let maps = Maps { dossier, plan, frame, shade, lines: lines_of(plan) };
    let mut sheets = vec![maps.ground(1), maps.mosaic(2)];
    if let Some(of_site) = &dossier.of_site {
        sheets.extend(maps.cover(of_site)?);
    }
    sheets.push(maps.cautions(sheets.len() + 1)?);
    let number = |(at, drawn): (usize, Drawn)| maps.frame.sheet(at + 1, drawn);
    Ok(sheets.into_iter().enumerate().map(number).collect())
}

/// What every sheet says of where it is from.
fn sources(dossier: &Dossier, date: Option<Day>) -> Vec<String> {
    let plan = &dossier.plan;
    let mut told = vec![
        "Boundaries are those of the layers given; a map is no survey. Areas are of map, flat."
            .to_owned(),
        "Local rules and licensed people decide.".to_owned(),
        date.map_or_else(
            || "Undated: no date was given.".to_owned(),
            |date| format!("Date: {date}"),
        ),
        format!("Plan: plan.json, SHA-256 {}", &dossier.plan_sha256[..16]),
    ];
    for row in plan.rows("/inputs").take(INPUTS) {
        let (role, file, sum) = (
            plan.text(&format!("{row}/role")),
            plan.text(&format!("{row}/file")),
            plan.text(&format!("{row}/sha256")),
        );
        let name = std::path::Path::new(file)
            .file_name()
            .map_or(file.into(), |name| name.to_string_lossy());
        // A file may have many roles: its name and checksum come first, so that they are never cut.
        told.push(format!("{name}, {}: {}", sum.get(..12).unwrap_or(sum), role.replace('_', " ")));
    }
    if plan.len("/inputs") > INPUTS {
        told.push(format!(
            "and {}, under What this rests on",
            counted(plan.len("/inputs") - INPUTS, "more file")
        ));
    }
    let others: Vec<&str> = dossier
        .inputs
        .inputs
        .iter()
        .filter(|input| !input.same_as_plan)
        .map(|input| input.file.as_str())
        .collect();
    if !others.is_empty() {
        told.push(format!("Read now, and not as the plan's: {}", others.join(", ")));
    }
    told.push(format!("hillweave {}", plan.text("/version")));
    told
}

/// Lines that are planted, as their cards have them.
fn lines_of(plan: &Record) -> Legend {
    let cards = plan.rows("/cards").map(|row| {
        ["stock_id", "stock_name", "letter"].map(|name| plan.text(&format!("{row}/{name}")))
    });
    palette::lines(cards.map(|[key, name, letter]| (key, name, letter)))
}

/// What every map of a plan is drawn from.
pub(super) struct Maps<'a> {
    pub(super) dossier: &'a Dossier,
    pub(super) plan: &'a Record,
    pub(super) frame: Frame,
    /// Light and shade of the land, the same on every sheet; none where only the plan is known.
    pub(super) shade: Vec<Image>,
    pub(super) lines: Legend,
}

/// Light and shade of the land.
fn shade(of_site: &OfSite, frame: &Frame) -> Result<Image, Problem> {
    let grey = |at: usize| {
        let tone = 70 + (at * 185 / (GREYS - 1)) as u32;
        (Colour::new(tone << 16 | tone << 8 | tone), 255)
    };
    let greys: Vec<_> = (0..GREYS).map(grey).collect();
    let step = |lit: f32| (!lit.is_nan()).then(|| ((lit * GREYS as f32) as usize).min(GREYS - 1));
    picture("shade", &of_site.shade, (&frame.paper, Frame::offset_mm()), &greys, step)
}

/// A shape filled over the shade of the land.
pub(super) fn filled(shape: &str, fill: &str, opacity: f64) -> String {
    format!(
        "<path d=\"{shape}\" fill=\"{fill}\" fill-opacity=\"{opacity}\" fill-rule=\"evenodd\" stroke=\"{BORDER}\" \
         stroke-width=\".18\"/>\n"
    )
}

impl Maps<'_> {
    pub(super) fn path(&self, shape: &MultiPolygon<f64>) -> String {
        self.frame.paper.area(shape)
    }

    pub(super) fn opacity(&self) -> f64 {
        if self.dossier.of_site.is_some() { OVER_SHADE } else { 1.0 }
    }

    pub(super) fn cells(
        &self,
        id: &str,
        raster: &Raster<f32>,
        colours: &[(Colour, u8)],
        colour: impl Fn(f32) -> Option<usize>,
    ) -> Result<Image, Problem> {
        picture(id, raster, (&self.frame.paper, Frame::offset_mm()), colours, colour)
    }

    /// Stands and ground kept clear, with their patterns and entries.
    pub(super) fn unplanted(&self, number: usize) -> (String, String, Vec<Entry>) {
        let land = palette::land();
        let (mut defs, mut shapes, mut entries) = (String::new(), String::new(), Vec::new());
        let kinds = [
            ("stand", &self.dossier.shapes.stands, "/totals/stands_plan_ha"),
            ("keep_clear", &self.dossier.shapes.keep_clear, "/totals/keep_clear_plan_ha"),
        ];
        for (key, all, area) in kinds {
            let Some(class) = land.class(key) else { continue };
            let paint = paint(number, "land", class);
            defs += &pattern(&fill(number, "land", class), class);
            for (_, shape) in all {
                shapes += &filled(&self.path(shape), &paint, 0.9);
            }
            entries.push(Entry::of_class(paint, class, Some(self.plan.number(area))));
        }
        (defs, shapes, entries)
    }
}
