//! How one layer of a map is drawn, before any format.

use crate::class::Class;
use crate::legends::{cover_bands, land, slope_groups};

/// How a layer is drawn: which classes, told apart by what, under what words.
#[derive(Debug, Clone, PartialEq)]
pub struct Look {
    /// Name, `[a-z_]+`.
    pub name: String,
    /// In words, for people.
    pub title: String,
    /// What is drawn.
    pub shape: Shape,
    /// What tells the classes apart.
    pub by: By,
    /// The classes; one alone where nothing is told apart.
    pub classes: Vec<Class>,
    /// What is written on each feature.
    pub label: Label,
}

/// What a layer is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// Polygons, filled and hatched.
    Area,
    /// Polygons, only their borders.
    Border,
    /// Points of a diameter in tenths of a millimetre of paper.
    Point(u8),
}

/// What tells the classes of a layer apart.
#[derive(Debug, Clone, PartialEq)]
pub enum By {
    /// Nothing: there is one class.
    Nothing,
    /// A column that holds the key of a class.
    Key(&'static str),
    /// A column with a number: class 0 lies below the first edge, class 1 from there to the second, and so on. There
    /// is one edge fewer than classes.
    Edges(&'static str, Vec<f64>),
}

/// What is written on a feature.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Label {
    /// Nothing.
    None,
    /// The letter of its class.
    Letter,
    /// The letters of all features that share a value of the first column, the largest in the second column first,
    /// where a format can tell; else the letter of its class.
    Letters(&'static str, &'static str),
    /// What a column holds.
    Column(&'static str),
}

impl Look {
    fn of_one(name: &str, title: &str, shape: Shape, class: Option<Class>, label: Label) -> Self {
        Self {
            name: name.to_owned(),
            title: title.to_owned(),
            shape,
            by: By::Nothing,
            classes: class.into_iter().collect(),
            label,
        }
    }

    /// Whether each class is drawn by its own rule.
    #[must_use]
    pub fn is_classed(&self) -> bool {
        self.by != By::Nothing
    }
}

/// Zones by their slope group.
#[must_use]
pub fn zones() -> Look {
    let legend = slope_groups();
    Look {
        name: "zones".to_owned(),
        title: "Zones by slope group".to_owned(),
        shape: Shape::Area,
        by: By::Key(legend.field),
        classes: legend.classes,
        label: Label::Letter,
    }
}

/// Borders of zones, with their names.
#[must_use]
pub fn zone_borders() -> Look {
    let class = land().class("left").cloned().map(|class| named(class, "zone"));
    Look::of_one("zone_borders", "Zones", Shape::Border, class, Label::Column("zone_id"))
}

/// Blocks by their line: the legend of the planted lines.
#[must_use]
pub fn blocks(lines: crate::Legend) -> Look {
    Look {
        name: "blocks".to_owned(),
        title: "Blocks by line".to_owned(),
        shape: Shape::Area,
        by: By::Key(lines.field),
        classes: lines.classes,
        label: Label::Letters("zone_id", "share"),
    }
}

/// Plants by their line.
#[must_use]
pub fn plants(lines: crate::Legend) -> Look {
    let look = blocks(lines);
    Look {
        name: "plants".to_owned(),
        title: "Plants by line".to_owned(),
        shape: Shape::Point(12),
        label: Label::None,
        ..look
    }
}

/// Plots in which survivors are counted.
#[must_use]
pub fn plots() -> Look {
    let class = land().class("left").cloned().map(|class| named(class, "counting plot"));
    Look::of_one("plots", "Counting plots", Shape::Point(28), class, Label::Column("plot_id"))
}

/// Ground kept clear.
#[must_use]
pub fn keep_clear() -> Look {
    let class = land().class("keep_clear").cloned();
    Look::of_one("keep_clear", "Kept clear", Shape::Area, class, Label::None)
}

/// Native stands that are kept.
#[must_use]
pub fn stands() -> Look {
    let class = land().class("stand").cloned();
    Look::of_one("stands", "Native stands, kept", Shape::Area, class, Label::None)
}

/// Pieces of ground below the target of cover, by the share that is protected at the target year.
#[must_use]
pub fn cover_pieces() -> Look {
    Look {
        name: "cover_pieces".to_owned(),
        title: "Ground below its target of cover".to_owned(),
        shape: Shape::Area,
        by: By::Edges("protected_then", vec![0.2, 0.4, 0.6, 0.8]),
        classes: cover_bands().classes,
        label: Label::Letter,
    }
}

fn named(class: Class, label: &str) -> Class {
    Class { key: label.to_owned(), label: label.to_owned(), ..class }
}

/// Every look that needs no list of lines.
#[must_use]
pub fn fixed_looks() -> Vec<Look> {
    vec![zones(), zone_borders(), keep_clear(), stands(), plots(), cover_pieces()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_look_has_its_classes_and_edges_between_them() {
        for look in fixed_looks() {
            match &look.by {
                By::Nothing => assert_eq!(look.classes.len(), 1, "{}", look.name),
                By::Key(_) => assert!(look.classes.len() > 1, "{}", look.name),
                By::Edges(_, edges) => {
                    assert_eq!(edges.len() + 1, look.classes.len());
                    assert!(edges.is_sorted());
                }
            }
        }
    }
}
