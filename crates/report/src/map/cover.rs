//! Ground protected today and at the target year.

use palette::{BORDER, Class, Colour};
use spatial::checks::cover::BAND_EDGES;
use spatial::problem::Problem;

use super::frame::Drawn;
use super::legend::{Entry, Group};
use super::sheets::{Maps, OVER_SHADE};
use crate::form::Form;
use crate::gather::OfSite;
use crate::text::put;

impl Maps<'_> {
    /// Ground protected today and at the target year.
    pub(super) fn cover(&self, of_site: &OfSite) -> Result<Vec<Drawn>, Problem> {
        let (Some(protected), Ok((cover, _))) = (&of_site.protected, &of_site.cover) else {
            return Ok(Vec::new());
        };
        let legend = palette::cover_bands();
        let bands: Vec<(Colour, u8)> =
            legend.classes.iter().map(|class| (class.colour, (OVER_SHADE * 255.0) as u8)).collect();
        let band = |share: f32| {
            let reached = BAND_EDGES.iter().filter(|edge| f64::from(share) >= **edge);
            (!share.is_nan()).then(|| reached.count())
        };
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
            let mut images = self.shade.clone();
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
            let entry = |class: &Class| Entry::plain(class, None);
            drawn.push(Drawn {
                title: title.to_owned(),
                words,
                defs: String::new(),
                images,
                shapes,
                legend: vec![Group::new(legend.title, legend.classes.iter().map(entry).collect())],
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
}
