//! Where people must ask and take care before they work.

use std::collections::BTreeMap;

use palette::{BORDER, Colour};
use spatial::problem::Problem;
use spatial::zones::CAUTION_SLOPES_DEG;

use super::frame::Drawn;
use super::labels::Labels;
use super::legend::{Entry, fill, paint, pattern};
use super::sheets::{Maps, filled};
use crate::text::put;

impl Maps<'_> {
    /// Where people must take care before they work.
    pub(super) fn cautions(&self, number: usize) -> Result<Drawn, Problem> {
        let mut images = self.shade.clone();
        let mut legend = Vec::new();
        if let Some(of_site) = &self.dossier.of_site {
            let ramp = palette::slope_groups();
            let tones = [1, 3, 6].map(|at: usize| ramp.classes[at].colour);
            let colours = tones.map(|colour| (colour, 190));
            let step =
                |slope: f32| CAUTION_SLOPES_DEG.iter().rposition(|least| f64::from(slope) > *least);
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
