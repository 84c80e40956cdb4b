//! A sheet: the map in its frame, with grid, scale, north, legend and where it is from.

use geo::Rect;
use palette::escaped;
use spatial::problem::Problem;
use spatial::write::Paper;

use super::legend::{Group, column};
use crate::document::{Image, Sheet, SheetSvg};
use crate::font::{MM, Metrics};
use crate::form::Form;
use crate::text::put;

/// A3 on its side.
const SHEET_MM: [f64; 2] = [420.0, 297.0];
/// Left and top of the map.
const MAP_AT_MM: [f64; 2] = [16.0, 26.0];
/// Size of the map.
const MAP_MM: [f64; 2] = [296.0, 246.0];
/// Left of the column beside it, and its width.
const BESIDE_MM: [f64; 2] = [324.0, 82.0];
/// How far down it goes: the foot of the page stands below.
const BESIDE_END_MM: f64 = 284.0;
/// Size of the property's name.
const NAME_PT: f64 = 10.2;
/// Grid lines are at least so far apart.
const GRID_MM: f64 = 45.0;

/// Where maps of one property lie on their sheets, and what all of them bear.
pub(super) struct Frame {
    /// From metres to millimetres, inside the map.
    pub(super) paper: Paper,
    denominator: f64,
    property: String,
    crs: String,
    /// Where it is from: checksums, version, date.
    sources: Vec<String>,
    regular: Metrics<'static>,
}

/// What one map shows.
pub(super) struct Drawn {
    pub(super) title: String,
    /// What it shows, in words.
    pub(super) words: String,
    /// Patterns.
    pub(super) defs: String,
    /// Pictures of cells, below the shapes.
    pub(super) images: Vec<Image>,
    /// Shapes, in millimetres of the map.
    pub(super) shapes: String,
    pub(super) legend: Vec<Group>,
    pub(super) notes: Vec<String>,
}

impl Frame {
    /// The frame of maps of some ground; `None` where there is none.
    pub(super) fn new(
        ground: impl Iterator<Item = Rect<f64>>,
        property: &str,
        crs: &str,
        sources: Vec<String>,
    ) -> Result<Option<Self>, Problem> {
        let Some((paper, denominator)) = Paper::to_scale(ground, MAP_MM) else { return Ok(None) };
        let [regular, _] = Metrics::both()?;
        Ok(Some(Self {
            paper,
            denominator,
            property: property.to_owned(),
            crs: crs.to_owned(),
            sources,
            regular,
        }))
    }

    /// Where the map begins on the sheet.
    pub(super) fn offset_mm() -> [f64; 2] {
        MAP_AT_MM
    }

    /// The sheet of a map; `number` keeps its names apart from those of others.
    pub(super) fn sheet(&self, number: usize, drawn: Drawn) -> Sheet {
        let [left, top] = MAP_AT_MM;
        let [wide, high] = MAP_MM;
        let title = escaped(&drawn.title);
        let before = format!(
            "<defs><clipPath id=\"s{number}-frame\"><rect x=\"{left}\" y=\"{top}\" width=\"{wide}\" height=\"{high}\"/>\
             </clipPath>{}</defs>\n<rect width=\"{}\" height=\"{}\" fill=\"#fff\"/>\n\
             <text x=\"{left}\" y=\"14\" font-size=\"7\" font-weight=\"700\">{title}</text>\n\
             <text x=\"{left}\" y=\"21\" font-size=\"{:.3}\">{}</text>\n<g clip-path=\"url(#s{number}-frame)\">\n",
            drawn.defs,
            SHEET_MM[0],
            SHEET_MM[1],
            NAME_PT * MM,
            escaped(&self.one_line(&self.property, NAME_PT, SHEET_MM[0] - 2.0 * left))
        );
        let mut after = format!(
            "<g transform=\"translate({left} {top})\">\n{}{}</g>\n</g>\n<rect x=\"{left}\" y=\"{top}\" \
             width=\"{wide}\" height=\"{high}\" fill=\"none\" stroke=\"#222\" stroke-width=\".5\"/>\n",
            drawn.shapes,
            self.grid_lines()
        );
        after += &self.grid_words();
        put(
            &mut after,
            format_args!(
                "<g transform=\"translate({left} {:.2})\" font-size=\"3\">{}</g>\n",
                top + 5.0,
                self.paper.scale_and_north()
            ),
        );
        put(
            &mut after,
            format_args!(
                "<text x=\"{:.2}\" y=\"{:.2}\" font-size=\"3\">1 : {} on A3; {}</text>\n",
                left + 96.0,
                top + high + 11.2,
                Form::Count.words(&self.denominator.into()),
                escaped(&self.one_line(&self.crs, 8.5, wide - 96.0 - 42.0))
            ),
        );
        self.beside(&mut after, drawn.legend, &drawn.notes);
        Sheet {
            title: drawn.title,
            svg: SheetSvg { before, images: drawn.images, after },
            size_mm: SHEET_MM,
            words: drawn.words,
        }
    }

    /// Words on one line, cut where they are too long for it.
    fn one_line(&self, words: &str, size_pt: f64, wide_mm: f64) -> String {
        self.regular.lines_at_most(words, size_pt, wide_mm, 1).concat()
    }

    /// Legend, notes and sources, from top to bottom; the legend has what room the others leave.
    fn beside(&self, svg: &mut String, legend: Vec<Group>, notes: &[String]) {
        let [x, wide] = BESIDE_MM;
        let mut lines = Vec::new();
        let mut high = 0.0;
        for (size, paragraphs, most) in [(7.6, notes, 8), (6.4, &self.sources[..], 2)] {
            for words in paragraphs {
                for line in self.regular.lines_at_most(words, size, wide, most) {
                    lines.push((high, size, line));
                    high += size * 0.46;
                }
                high += 1.4;
            }
            high += 3.0;
        }
        let top = MAP_AT_MM[1] + 2.0;
        let (groups, legend_high) =
            column(legend, [x, top], [wide, BESIDE_END_MM - top - high], &self.regular);
        *svg += &groups;
        for (y, size, line) in lines {
            put(
                svg,
                format_args!(
                    "<text x=\"{x}\" y=\"{:.2}\" font-size=\"{:.3}\">{}</text>\n",
                    top + legend_high + y + 2.0,
                    size * MM,
                    escaped(&line)
                ),
            );
        }
    }

    /// Round eastings and northings inside the map, with where they lie.
    fn grid(&self) -> [Vec<(f64, f64)>; 2] {
        let ground = self.paper.ground();
        let least = GRID_MM / self.paper.mm_a_metre();
        let power = 10_f64.powf(least.log10().floor());
        let steps = [1.0, 2.0, 5.0, 10.0].map(|step| step * power);
        let step = steps.into_iter().find(|step| *step >= least).unwrap_or(10.0 * power);
        let lines = |from: f64, to: f64| {
            let first = (from / step).ceil() as i64;
            let last = (to / step).floor() as i64;
            (first..=last).map(|at| at as f64 * step).collect::<Vec<_>>()
        };
        let east = lines(ground.min().x, ground.max().x);
        let north = lines(ground.min().y, ground.max().y);
        let at = |x: f64, y: f64| self.paper.at(geo::Coord { x, y });
        [
            east.into_iter().map(|x| (x, at(x, ground.min().y)[0])).collect(),
            north.into_iter().map(|y| (y, at(ground.min().x, y)[1])).collect(),
        ]
    }

    fn grid_lines(&self) -> String {
        let [east, north] = self.grid();
        let mut path = String::new();
        for (_, x) in east {
            put(&mut path, format_args!("M{x:.2} 0v{}", MAP_MM[1]));
        }
        for (_, y) in north {
            put(&mut path, format_args!("M0 {y:.2}h{}", MAP_MM[0]));
        }
        format!(
            "<path d=\"{path}\" stroke=\"#222\" stroke-opacity=\".35\" stroke-width=\".15\" fill=\"none\"/>\n"
        )
    }

    fn grid_words(&self) -> String {
        let [east, north] = self.grid();
        let [left, top] = MAP_AT_MM;
        let mut svg = String::new();
        for (metres, x) in east {
            put(
                &mut svg,
                format_args!(
                    "<text x=\"{:.2}\" y=\"{:.2}\" font-size=\"2.2\" text-anchor=\"middle\">{metres:.0} E</text>\n",
                    left + x,
                    top - 1.2
                ),
            );
        }
        for (metres, y) in north {
            let (x, y) = (left - 1.4, top + y);
            put(
                &mut svg,
                format_args!(
                    "<text transform=\"translate({x:.2} {y:.2}) rotate(-90)\" font-size=\"2.2\" \
                     text-anchor=\"middle\">{metres:.0} N</text>\n"
                ),
            );
        }
        svg
    }
}
