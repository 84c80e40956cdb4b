//! Pages into a PDF.

use std::sync::Arc;

use krilla::destination::XyzDestination;
use krilla::geom::{Point, Size};
use krilla::metadata::Metadata;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla_svg::{SurfaceExt, SvgSettings};
use rayon::prelude::*;
use spatial::problem::Problem;
use usvg::{Options, Tree, fontdb};

use super::layout::{Leaf, laid};
use crate::document::Document;
use crate::font::{BOLD, FAMILY, REGULAR};

/// Points in a millimetre.
const PT: f64 = 72.0 / 25.4;

/// The report as a PDF. No time of day goes into it: equal reports are equal files.
///
/// # Errors
/// When a page cannot be drawn, a fault of the program.
pub(crate) fn pdf(report: &Document) -> Result<Vec<u8>, Problem> {
    let laid = laid(report)?;
    let options = options();
    let trees: Result<Vec<Tree>, Problem> = laid
        .leaves
        .par_iter()
        .enumerate()
        .map(|(at, leaf)| {
            let refused = |error: usvg::Error| fault(format!("page {}: {error}", at + 1));
            Tree::from_str(&leaf.svg, &options).map_err(refused)
        })
        .collect();
    let mut document = krilla::Document::new();
    for (leaf, tree) in laid.leaves.iter().zip(&trees?) {
        let (settings, size) = paper(leaf)?;
        let mut page = document.start_page_with(settings);
        let mut surface = page.surface();
        let drawn = surface.draw_svg(tree, size, SvgSettings::default());
        surface.finish();
        page.finish();
        drawn.ok_or_else(|| fault("a page that cannot be drawn".to_owned()))?;
    }
    let mut outline = Outline::new();
    for mark in &laid.marks {
        let top = Point::from_xy(0.0, (mark.top_mm * PT) as f32);
        let place = XyzDestination::new(mark.page, top);
        outline.push_child(OutlineNode::new(mark.title.clone(), place));
    }
    document.set_outline(outline);
    document.set_metadata(
        Metadata::new()
            .title(format!("{}: {}", report.property, report.subtitle))
            .language("en".to_owned())
            .creator(concat!("hillweave ", env!("CARGO_PKG_VERSION")).to_owned()),
    );
    document.finish().map_err(|error| fault(format!("{error:?}")))
}

fn paper(leaf: &Leaf) -> Result<(PageSettings, Size), Problem> {
    let [wide, high] = leaf.size_mm.map(|side| (side * PT) as f32);
    let both = PageSettings::from_wh(wide, high).zip(Size::from_wh(wide, high));
    both.ok_or_else(|| fault("a page without area".to_owned()))
}

/// Our fonts alone, whatever the machine has.
fn options() -> Options<'static> {
    let mut fonts = fontdb::Database::new();
    for bytes in [REGULAR, BOLD] {
        fonts.load_font_source(fontdb::Source::Binary(Arc::new(bytes)));
    }
    fonts.set_sans_serif_family(FAMILY);
    Options { fontdb: Arc::new(fonts), font_family: FAMILY.to_owned(), ..Options::default() }
}

fn fault(found: String) -> Problem {
    Problem::error("report.pdf")
        .found(found)
        .expected("pages that can be drawn")
        .remedy("this is a fault of the program: please report it with the site folder")
}
