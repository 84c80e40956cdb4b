//! What is planted where.

use std::collections::BTreeMap;

use palette::Class;

use super::frame::Drawn;
use super::labels::Labels;
use super::legend::{Entry, Group};
use super::pattern::{fill, paint, pattern, stripes};
use super::sheets::{Maps, filled};
use crate::sections::counted;

impl Maps<'_> {
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
    pub(super) fn mosaic(&self, number: usize) -> Drawn {
        let (mut defs, mut shapes, mut others) = self.unplanted(number);
        for class in &self.lines.classes {
            defs += &pattern(&fill(number, "line", class), class);
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
                [(class, _)] => paint(number, "line", class),
                several => {
                    let name = format!("s{number}-mixed-{at}");
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
            Entry::of_class(paint(number, "line", class), class, Some(ha))
        };
        if let Some(class) = left {
            // Of zones whose gaps are filled, what stands between is not left: it was never open.
            let open = self.plan.number("/totals/left_open_plan_ha");
            others.push(Entry::plain(class, Some(open)));
        }
        Drawn {
            title: "Mosaic: what is planted where".to_owned(),
            words: format!(
                "{} in {} of {}",
                counted(self.lines.classes.len(), "line"),
                planted.len(),
                counted(self.dossier.shapes.zones.len(), "zone")
            ),
            defs,
            images: self.shade.clone(),
            shapes,
            legend: vec![
                Group::new("Lines", self.lines.classes.iter().map(entry).collect()),
                Group::new("Not planted", others),
            ],
            notes: vec![
                "Stripes: a zone that lines share, as wide as their shares; plants stand mixed.".to_owned(),
                "Names are the zone and the letter of its line; where only the letter fits, plan.gpkg has the zone."
                    .to_owned(),
            ],
        }
    }

    /// Map hectares planted with a line.
    fn order_ha(&self, line: &str) -> f64 {
        let mut rows = self.plan.rows("/orders");
        let row = rows.find(|row| self.plan.text(&format!("{row}/stock_id")) == line);
        row.map_or(0.0, |row| self.plan.number(&format!("{row}/plan_area_ha")))
    }
}
