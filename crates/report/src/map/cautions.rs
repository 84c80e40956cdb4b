//! Where people must ask and take care before they work.

use std::collections::BTreeMap;

use palette::{BORDER, Colour, STROKES};
use spatial::problem::Problem;
use spatial::zones::CAUTION_SLOPES_DEG;

use super::frame::Drawn;
use super::labels::Labels;
use super::legend::{Entry, Group};
use super::pattern::{fill, paint, pattern};
use super::sheets::{Maps, filled};
use crate::ask_first;
use crate::record::Record;
use crate::text::put;

/// Who needs a site safety plan on slopes steeper than each of [`CAUTION_SLOPES_DEG`].
const STEEP: [&str; CAUTION_SLOPES_DEG.len()] =
    ["wheeled machines", "tracked machines", "people on foot"];
/// Dashes of the distances within which to ask, in turn.
const DASHES: [&str; 4] = ["2.4 1", "1 .8", "4 1", "2.4 .8 .8 .8"];
/// Zones that a note names; of more, their number is told.
const NAMED: usize = 12;

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
            let words = CAUTION_SLOPES_DEG.iter().zip(STEEP);
            let words = words.map(|(slope, who)| format!("over {slope}°: {who}"));
            let entry = |(colour, words): (Colour, String)| Entry {
                fill: colour.to_string(),
                stroke: BORDER.to_string(),
                dashes: None,
                letter: None,
                words,
                ha: None,
            };
            let entries = tones.into_iter().zip(words).map(entry).collect();
            legend.push(Group::new("A site safety plan first", entries));
        }
        let (defs, clear, entries) = self.clear_by_rule(number);
        let (around, asks, mut notes) = self.ask_first();
        if !asks.is_empty() {
            legend.push(Group::new("Ask first within", asks));
        }
        legend.push(Group::new("Kept clear, and why", entries));
        notes.extend([
            "A piece that several rules keep is drawn by the first of them; plan.json has all.".to_owned(),
            "What is not drawn may still be there: services, lines, recorded sites, hazards of water and of trees are \
             found by asking their owners and keepers before work."
                .to_owned(),
            "Slopes are of the elevation layer at the plan's working scale: bluffs narrower than a cell do not show."
                .to_owned(),
        ]);
        Ok(Drawn {
            title: "Cautions: where to ask and take care first".to_owned(),
            words: "Steep ground by the slopes at which machines and people need a plan, distances within which to ask \
                    first, and ground kept clear with the rules that keep it so"
                .to_owned(),
            defs,
            images,
            shapes: clear + &around,
            legend,
            notes,
        })
    }

    /// Distances within which planters ask first: their borders and entries, and a note of those that are not drawn.
    fn ask_first(&self) -> (String, Vec<Entry>, Vec<String>) {
        let (mut shapes, mut entries, mut notes) = (String::new(), Vec::new(), Vec::new());
        let drawn = self.dossier.of_site.as_ref().map_or(&[][..], |site| &site.ask_first);
        let asked = ask_first::of_plan(self.plan);
        for (at, (about, around)) in drawn.iter().enumerate() {
            let (stroke, dashes) = (STROKES[at % STROKES.len()], DASHES[at % DASHES.len()]);
            put(
                &mut shapes,
                format_args!(
                    "<path d=\"{}\" fill=\"none\" stroke=\"{stroke}\" stroke-width=\".8\" stroke-dasharray=\"{dashes}\"/>\n",
                    self.path(around)
                ),
            );
            entries.push(Entry {
                fill: "none".to_owned(),
                stroke: stroke.to_string(),
                dashes: Some(dashes),
                letter: None,
                words: about.strip_prefix("within ").unwrap_or(about).to_owned(),
                ha: asked.iter().find(|one| one.about == *about).map(|one| one.ha),
            });
        }
        let missing =
            asked.iter().filter(|one| !drawn.iter().any(|(about, _)| *about == one.about));
        for one in missing {
            let zones = match one.zones.len() {
                count if count > NAMED => format!("in {count} zones, under Cautions"),
                _ => format!("in {}", one.zones.join(", ")),
            };
            notes.push(format!("Not drawn, ask first {} {zones}.", one.about));
        }
        (shapes, entries, notes)
    }

    /// Pieces kept clear, drawn by the first of the rules that keep them so.
    fn clear_by_rule(&self, number: usize) -> (String, String, Vec<Entry>) {
        let mut rules: BTreeMap<&str, (f64, Vec<&str>)> = BTreeMap::new();
        for row in self.plan.rows("/keep_clear") {
            let first = first_rule(self.plan, self.plan.text(&format!("{row}/rules")));
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
            entries.push(Entry::of_class(paint, class, Some(*ha)));
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

/// The first of some rules that are joined by `; `. The name of a rule may have that in it: the longest that is the
/// rule of an input of the plan is meant.
fn first_rule<'r>(plan: &Record, rules: &'r str) -> &'r str {
    let roles: Vec<String> = plan
        .rows("/inputs")
        .map(|row| plan.text(&format!("{row}/role")).to_owned() + ", ")
        .collect();
    let is_rule =
        |name: &&str| roles.iter().any(|role| role.contains(&format!("keep_clear {name}, ")));
    let ends = rules.match_indices("; ").map(|(at, _)| at);
    let mut names: Vec<&str> = ends.map(|at| &rules[..at]).chain([rules]).collect();
    let shortest = names[0];
    names.reverse();
    names.into_iter().find(is_rule).unwrap_or(shortest)
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    #[test]
    fn a_rule_keeps_its_whole_name() {
        let plan = Record::read(
            "plan.json",
            json!({"inputs": [
                {"role": "boundary, keep_clear line; live, keep_clear stream"},
                {"role": "keep_clear pā; urupā"},
            ]}),
        );
        let first = |rules: &'static str| first_rule(&plan, rules);
        assert_eq!(first("line; live; stream"), "line; live");
        assert_eq!(first("stream; line; live"), "stream");
        assert_eq!(first("pā; urupā"), "pā; urupā");
        assert_eq!(first("water; stream"), "water", "no rule, but a cover");
        assert_eq!(first(""), "");
    }
}
