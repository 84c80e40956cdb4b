//! The maps of a plan.

use std::collections::BTreeMap;

use geo::{BoundingRect, MultiPolygon, Rect};
use palette::{BORDER, Class, Colour, Legend};
use spatial::problem::Problem;
use terrain::Raster;

use super::cells::picture;
use super::frame::{Drawn, Frame};
use super::labels::Labels;
use super::legend::{Entry, fill, paint, pattern, stripes};
use crate::document::{Image, Sheet};
use crate::form::Form;
use crate::gather::{Dossier, OfSite};
use crate::record::Record;
use crate::xml::put;

/// How much of a colour covers the shade of the land.
const OVER_SHADE: f64 = 0.74;
/// Steps of grey of the shade.
const GREYS: usize = 24;
/// Slopes from which machines, then people on foot, need more care, degrees: those that the plan's cautions tell.
const CARE_DEG: [f32; 3] = [15.0, 22.0, 35.0];

/// Every map that a dossier has something for.
///
/// # Errors
/// When a picture of cells or a font fails, a fault of the program.
pub(crate) fn sheets(dossier: &Dossier, date: Option<&str>) -> Result<Vec<Sheet>, Problem> {
    let Some(ground) = extent(dossier) else { return Ok(Vec::new()) };
    let plan = &dossier.plan;
    let frame = Frame::new(ground, plan.text("/site"), plan.text("/crs"), sources(dossier, date))?;
    let maps = Maps { dossier, plan, frame, lines: lines_of(plan) };
    let mut sheets = vec![maps.ground()?, maps.mosaic()?];
    if let Some(of_site) = &dossier.of_site {
        sheets.extend(maps.cover(of_site)?);
    }
    sheets.push(maps.cautions()?);
    let number = |(at, drawn): (usize, Drawn)| maps.frame.sheet(at + 1, drawn);
    Ok(sheets.into_iter().enumerate().map(number).collect())
}

fn extent(dossier: &Dossier) -> Option<Rect<f64>> {
    let shapes = &dossier.shapes;
    let all = shapes.zones.iter().chain(&shapes.keep_clear).chain(&shapes.stands);
    all.filter_map(|(_, shape)| shape.bounding_rect()).reduce(|a, b| {
        Rect::new(
            geo::Coord { x: a.min().x.min(b.min().x), y: a.min().y.min(b.min().y) },
            geo::Coord { x: a.max().x.max(b.max().x), y: a.max().y.max(b.max().y) },
        )
    })
}

/// What every sheet says of where it is from.
fn sources(dossier: &Dossier, date: Option<&str>) -> Vec<String> {
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
    for row in plan.rows("/inputs") {
        let (role, file, sum) = (
            plan.text(&format!("{row}/role")),
            plan.text(&format!("{row}/file")),
            plan.text(&format!("{row}/sha256")),
        );
        let name = std::path::Path::new(file)
            .file_name()
            .map_or(file.into(), |name| name.to_string_lossy());
        told.push(format!("{}: {name}, {}", role.replace('_', " "), sum.get(..12).unwrap_or(sum)));
    }
    told.push(format!("hillweave {}", plan.text("/version")));
    told
}

/// Lines that are planted, in the order of the stock file, with their hectares; as their cards have them.
fn lines_of(plan: &Record) -> Legend {
    let mut lines: BTreeMap<(usize, String), (String, String)> = BTreeMap::new();
    for row in plan.rows("/cards") {
        let text = |name: &str| plan.text(&format!("{row}/{name}")).to_owned();
        let letter = text("letter");
        lines.insert((letter.len(), letter), (text("stock_id"), text("stock_name")));
    }
    let lines = lines
        .iter()
        .map(|((_, letter), (key, name))| (key.as_str(), name.as_str(), letter.as_str()));
    palette::lines(lines)
}

struct Maps<'a> {
    dossier: &'a Dossier,
    plan: &'a Record,
    frame: Frame,
    lines: Legend,
}

/// A shape filled over the shade of the land.
fn filled(shape: &str, fill: &str, opacity: f64) -> String {
    format!(
        "<path d=\"{shape}\" fill=\"{fill}\" fill-opacity=\"{opacity}\" fill-rule=\"evenodd\" stroke=\"{BORDER}\" \
         stroke-width=\".18\"/>\n"
    )
}

impl Maps<'_> {
    fn path(&self, shape: &MultiPolygon<f64>) -> String {
        self.frame.paper.area(shape)
    }

    fn opacity(&self) -> f64 {
        if self.dossier.of_site.is_some() { OVER_SHADE } else { 1.0 }
    }

    /// Light and shade of the land, the same on every sheet.
    fn shade(&self) -> Result<Vec<Image>, Problem> {
        let Some(of_site) = &self.dossier.of_site else { return Ok(Vec::new()) };
        let grey = |at: usize| {
            let tone = 70 + (at * 185 / (GREYS - 1)) as u32;
            (Colour::new(tone << 16 | tone << 8 | tone), 255)
        };
        let greys: Vec<_> = (0..GREYS).map(grey).collect();
        let step =
            |lit: f32| (!lit.is_nan()).then(|| ((lit * GREYS as f32) as usize).min(GREYS - 1));
        Ok(vec![self.cells("shade", &of_site.shade, &greys, step)?])
    }

    fn cells(
        &self,
        id: &str,
        raster: &Raster<f32>,
        colours: &[(Colour, u8)],
        colour: impl Fn(f32) -> Option<usize>,
    ) -> Result<Image, Problem> {
        picture(id, raster, (&self.frame.paper, Frame::offset_mm()), colours, colour)
    }

    /// Hectares in words.
    fn hectares(value: f64) -> String {
        format!("{} ha", Form::Fixed(1).words(&value.into()))
    }

    /// Stands and ground kept clear, with their patterns and entries.
    fn unplanted(&self, number: usize) -> (String, String, Vec<Entry>) {
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
            entries.push(Entry::of_class(paint, class, Self::hectares(self.plan.number(area))));
        }
        (defs, shapes, entries)
    }

    /// Zones by slope group.
    fn ground(&self) -> Result<Drawn, Problem> {
        const NUMBER: usize = 1;
        let legend = palette::slope_groups();
        let (mut defs, mut shapes, others) = self.unplanted(NUMBER);
        for class in &legend.classes {
            defs += &pattern(&fill(NUMBER, "slope", class), class);
        }
        let zones = self.by_zone();
        let mut labels = Labels::default();
        for (id, shape) in &self.dossier.shapes.zones {
            let row = zones.get(id.as_str()).map_or("", String::as_str);
            let group = self.plan.text(&format!("{row}/slope_group"));
            let paint = legend
                .class(group)
                .map_or("#fff".to_owned(), |class| paint(NUMBER, "slope", class));
            shapes += &filled(&self.path(shape), &paint, self.opacity());
            labels.put(&[id, group], shape, &self.frame.paper);
        }
        shapes += &labels.svg();
        let groups = self.plan.at("/totals/slope_group_plan_ha");
        let entry = |class: &Class| {
            let ha = groups.get(&class.key).and_then(serde_json::Value::as_f64).unwrap_or(0.0);
            Entry::of_class(paint(NUMBER, "slope", class), class, Self::hectares(ha))
        };
        Ok(Drawn {
            title: "Ground: zones by slope".to_owned(),
            words: format!(
                "{} planting zones, each in the colour of the slope group that holds most of it, with kept stands and \
                 ground kept clear",
                self.dossier.shapes.zones.len()
            ),
            defs,
            images: self.shade()?,
            shapes,
            legend: vec![
                ("Slope group (LUC)".to_owned(), legend.classes.iter().map(entry).collect()),
                ("Not planted".to_owned(), others),
            ],
            notes: vec![
                "A zone is drawn in the colour of its largest group; hectares of groups are from the cells of all \
                 zones. Slope groups: Lynn et al. 2009, LUC Survey Handbook."
                    .to_owned(),
                "Names stand where they fit; every zone is in plan.gpkg.".to_owned(),
            ],
        })
    }

    /// Pointers to zones by name.
    fn by_zone(&self) -> BTreeMap<&str, String> {
        let rows = self.plan.rows("/zones");
        rows.map(|row| (self.plan.text(&format!("{row}/zone_id")), row)).collect()
    }

    /// Lines with their shares, by zone.
    fn planted(&self) -> BTreeMap<&str, Vec<(&Class, f64)>> {
        let mut planted: BTreeMap<&str, Vec<(&Class, f64)>> = BTreeMap::new();
        for row in self.plan.rows("/blocks") {
            let Some(class) = self.lines.class(self.plan.text(&format!("{row}/stock_id"))) else {
                continue;
            };
            let parts = planted.entry(self.plan.text(&format!("{row}/zone_id"))).or_default();
            let share = self.plan.number(&format!("{row}/share"));
            match parts.iter_mut().find(|(known, _)| known.key == class.key) {
                Some((_, sum)) => *sum += share,
                None => parts.push((class, share)),
            }
        }
        planted
    }

    /// What is planted where.
    fn mosaic(&self) -> Result<Drawn, Problem> {
        const NUMBER: usize = 2;
        let (mut defs, mut shapes, mut others) = self.unplanted(NUMBER);
        for class in &self.lines.classes {
            defs += &pattern(&fill(NUMBER, "line", class), class);
        }
        let land = palette::land();
        let left = land.class("left");
        let planted = self.planted();
        let mut labels = Labels::default();
        for (at, (id, shape)) in self.dossier.shapes.zones.iter().enumerate() {
            let parts = planted.get(id.as_str()).map_or(&[][..], Vec::as_slice);
            let letters: Vec<&str> = parts.iter().map(|(class, _)| class.letter.as_str()).collect();
            let letters = letters.join("+");
            let paint = match parts {
                [] => left.map_or(String::new(), |class| class.colour.to_string()),
                [(class, _)] => paint(NUMBER, "line", class),
                several => {
                    let name = format!("s{NUMBER}-mixed-{at}");
                    defs += &stripes(&name, several);
                    format!("url(#{name})")
                }
            };
            shapes += &filled(&self.path(shape), &paint, self.opacity());
            let letters = if letters.is_empty() { "r" } else { letters.as_str() };
            labels.put(&[&format!("{id} {letters}"), letters], shape, &self.frame.paper);
        }
        shapes += &labels.svg();
        let entry = |class: &Class| {
            let ha = self.order_ha(&class.key);
            Entry::of_class(paint(NUMBER, "line", class), class, Self::hectares(ha))
        };
        if let Some(class) = left {
            others.push(Entry {
                fill: class.colour.to_string(),
                stroke: BORDER.to_string(),
                letter: Some((class.letter.clone(), class.ink().to_string())),
                words: format!("{}  {}", class.letter, class.label),
                amount: Self::hectares(self.plan.number("/totals/left_plan_ha")),
            });
        }
        Ok(Drawn {
            title: "Mosaic: what is planted where".to_owned(),
            words: format!("{} lines over {} zones", self.lines.classes.len(), self.dossier.shapes.zones.len()),
            defs,
            images: self.shade()?,
            shapes,
            legend: vec![
                ("Lines".to_owned(), self.lines.classes.iter().map(entry).collect()),
                ("Not planted".to_owned(), others),
            ],
            notes: vec![
                "Stripes: a zone that lines share, as wide as their shares; plants stand mixed.".to_owned(),
                "Names are the zone and the letter of its line; where only the letter fits, plan.gpkg has the zone."
                    .to_owned(),
            ],
        })
    }

    /// Map hectares planted with a line.
    fn order_ha(&self, line: &str) -> f64 {
        let mut rows = self.plan.rows("/orders");
        let row = rows.find(|row| self.plan.text(&format!("{row}/stock_id")) == line);
        row.map_or(0.0, |row| self.plan.number(&format!("{row}/plan_area_ha")))
    }

    /// Ground protected today and at the target year.
    fn cover(&self, of_site: &OfSite) -> Result<Vec<Drawn>, Problem> {
        let (Some(protected), Ok((cover, _))) = (&of_site.protected, &of_site.cover) else {
            return Ok(Vec::new());
        };
        let legend = palette::cover_bands();
        let bands: Vec<(Colour, u8)> =
            legend.classes.iter().map(|class| (class.colour, (OVER_SHADE * 255.0) as u8)).collect();
        let last = bands.len() - 1;
        let band = |share: f32| (!share.is_nan()).then(|| ((share * 5.0) as usize).min(last));
        let by = Form::Count.words(cover.at("/by_years"));
        let maps = [
            ("cover-now", "Cover today", "Share of the ground protected today".to_owned()),
            (
                "cover-then",
                "Cover at the target year",
                format!("Share of the ground protected {by} years after the first planting"),
            ),
        ];
        let mut drawn = Vec::new();
        for ((id, title, words), raster) in maps.into_iter().zip(protected) {
            let mut images = self.shade()?;
            images.push(self.cells(id, raster, &bands, band)?);
            let mut shapes = String::new();
            for (_, shape) in &self.dossier.shapes.zones {
                put(
                    &mut shapes,
                    format_args!(
                        "<path d=\"{}\" fill=\"none\" stroke=\"{BORDER}\" stroke-width=\".15\"/>\n",
                        self.path(shape)
                    ),
                );
            }
            let entry = |class: &Class| Entry {
                fill: class.colour.to_string(),
                stroke: BORDER.to_string(),
                letter: Some((class.letter.clone(), class.ink().to_string())),
                words: format!("{}  {}", class.letter, class.label),
                amount: String::new(),
            };
            drawn.push(Drawn {
                title: title.to_owned(),
                words,
                defs: String::new(),
                images,
                shapes,
                legend: vec![(legend.title.to_owned(), legend.classes.iter().map(entry).collect())],
                notes: vec![
                    format!(
                        "Reckoned by `{}`: a model of growth, not a chance of failure. cover_by_year.csv has the \
                         years between.",
                        cover.text("/measure")
                    ),
                    "Shades grow darker with cover, in print too.".to_owned(),
                ],
            });
        }
        Ok(drawn)
    }

    /// Where people must take care before they work.
    fn cautions(&self) -> Result<Drawn, Problem> {
        let number = 3 + 2 * usize::from(
            self.dossier
                .of_site
                .as_ref()
                .is_some_and(|site| site.protected.is_some() && site.cover.is_ok()),
        );
        let mut images = self.shade()?;
        let mut legend = Vec::new();
        if let Some(of_site) = &self.dossier.of_site {
            let ramp = palette::slope_groups();
            let tones = [1, 3, 6].map(|at: usize| ramp.classes[at].colour);
            let colours = tones.map(|colour| (colour, 190));
            let step = |slope: f32| CARE_DEG.iter().rposition(|least| slope > *least);
            images.push(self.cells("steep", &of_site.slope_deg, &colours, step)?);
            let words = [
                "over 15°: wheeled machines",
                "over 22°: tracked machines",
                "over 35°: people on foot",
            ];
            let entry = |(colour, words): (Colour, &str)| Entry {
                fill: colour.to_string(),
                stroke: BORDER.to_string(),
                letter: None,
                words: words.to_owned(),
                amount: String::new(),
            };
            let entries = tones.into_iter().zip(words).map(entry).collect();
            legend.push(("A site safety plan first".to_owned(), entries));
        }
        let (defs, shapes, entries) = self.clear_by_rule(number);
        legend.push(("Kept clear, and why".to_owned(), entries));
        Ok(Drawn {
            title: "Cautions: where to ask and take care first".to_owned(),
            words: "Steep ground by the slopes at which machines and people need a plan, and ground kept clear with the \
                    rules that keep it so"
                .to_owned(),
            defs,
            images,
            shapes,
            legend,
            notes: vec![
                "A piece that several rules keep is drawn by the first of them; plan.json has all.".to_owned(),
                "What is not drawn may still be there: services, lines, recorded sites, hazards of water and of trees \
                 are found by asking their owners and keepers before work."
                    .to_owned(),
                "Slopes are of the elevation layer at the plan's working scale: bluffs narrower than a cell do not \
                 show."
                    .to_owned(),
            ],
        })
    }

    /// Pieces kept clear, drawn by the first of the rules that keep them so.
    fn clear_by_rule(&self, number: usize) -> (String, String, Vec<Entry>) {
        let mut rules: BTreeMap<&str, (f64, Vec<&str>)> = BTreeMap::new();
        for row in self.plan.rows("/keep_clear") {
            let all = self.plan.text(&format!("{row}/rules"));
            let first = all.split("; ").next().unwrap_or(all);
            let (sum, ids) = rules.entry(first).or_default();
            *sum += self.plan.number(&format!("{row}/plan_area_ha"));
            ids.push(self.plan.text(&format!("{row}/keep_clear_id")));
        }
        let letters: Vec<String> = (1..=rules.len()).map(|at| at.to_string()).collect();
        let legend = palette::lines(
            rules.keys().zip(&letters).map(|(rule, letter)| (*rule, *rule, letter.as_str())),
        );
        let (mut defs, mut shapes, mut entries) = (String::new(), String::new(), Vec::new());
        let mut labels = Labels::default();
        for class in &legend.classes {
            let paint = paint(number, "rule", class);
            defs += &pattern(&fill(number, "rule", class), class);
            let Some((ha, ids)) = rules.get(class.key.as_str()) else { continue };
            for (_, shape) in
                self.dossier.shapes.keep_clear.iter().filter(|(id, _)| ids.contains(&id.as_str()))
            {
                shapes += &filled(&self.path(shape), &paint, 0.9);
                labels.put(&[&class.letter], shape, &self.frame.paper);
            }
            entries.push(Entry::of_class(paint, class, Self::hectares(*ha)));
        }
        let mut outlines = String::new();
        for (_, shape) in &self.dossier.shapes.zones {
            outlines += &self.path(shape);
        }
        put(
            &mut shapes,
            format_args!(
                "<path d=\"{outlines}\" fill=\"none\" stroke=\"{BORDER}\" stroke-width=\".12\" stroke-opacity=\".6\"/>\n"
            ),
        );
        (defs, shapes + &labels.svg(), entries)
    }
}
