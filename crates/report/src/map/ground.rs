//! Zones by slope group.

use std::collections::BTreeMap;

use palette::Class;

use super::frame::Drawn;
use super::labels::Labels;
use super::legend::{Entry, Group};
use super::pattern::{fill, paint, pattern};
use super::sheets::{Maps, filled};
use crate::sections::counted;

impl Maps<'_> {
    /// Zones by slope group.
    pub(super) fn ground(&self, number: usize) -> Drawn {
        let legend = palette::slope_groups();
        let (mut defs, mut shapes, others) = self.unplanted(number);
        for class in &legend.classes {
            defs += &pattern(&fill(number, "slope", class), class);
        }
        let zones = self.by_zone();
        let mut labels = Labels::default();
        for (id, shape) in &self.dossier.shapes.zones {
            let row = zones.get(id.as_str()).map_or("", String::as_str);
            let group = self.plan.text(&format!("{row}/slope_group"));
            let paint = legend
                .class(group)
                .map_or("#fff".to_owned(), |class| paint(number, "slope", class));
            shapes += &filled(&self.path(shape), &paint, self.opacity());
            labels.put(&[id, group], shape, &self.frame.paper);
        }
        shapes += &labels.svg();
        let groups = self.plan.at("/totals/slope_group_plan_ha");
        let entry = |class: &Class| {
            let ha = groups.get(&class.key).and_then(serde_json::Value::as_f64).unwrap_or(0.0);
            Entry::of_class(paint(number, "slope", class), class, Some(ha))
        };
        Drawn {
            title: "Ground: zones by slope".to_owned(),
            words: format!(
                "{}, each in the colour of the slope group that holds most of it, with kept stands and \
                 ground kept clear",
                counted(self.dossier.shapes.zones.len(), "planting zone")
            ),
            defs,
            images: self.shade.clone(),
            shapes,
            legend: vec![
                Group::new("Slope group (LUC)", legend.classes.iter().map(entry).collect()),
                Group::new("Not planted", others),
            ],
            notes: vec![
                "A zone is drawn in the colour of its largest group; hectares of groups are from the cells of all \
                 zones. Slope groups: Lynn et al. 2009, LUC Survey Handbook."
                    .to_owned(),
                "Names stand where they fit; every zone is in plan.gpkg.".to_owned(),
            ],
        }
    }

    /// Pointers to zones by name.
    fn by_zone(&self) -> BTreeMap<&str, String> {
        let rows = self.plan.rows("/zones");
        rows.map(|row| (self.plan.text(&format!("{row}/zone_id")), row)).collect()
    }
}
