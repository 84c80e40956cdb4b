//! One palette for every map, chart, style file and page.
//!
//! Each class of a [`Legend`] has a colour, a pattern and a letter, so that it is known in print, in grey and by
//! people who see colours otherwise. How far colours lie apart is computed ([`Colour::contrast`],
//! [`Colour::distance`], [`Sight`]) and held by tests.

mod class;
mod colour;
mod legend;
mod legends;
pub mod look;
mod pattern;
mod published;
pub mod qml;
mod sight;
pub mod sld;
pub mod web;
mod xml;

pub use class::Class;
pub use colour::Colour;
pub use legend::Legend;
pub use legends::{BORDER, LINES, PAPER, STROKES, cover_bands, ground, land, lines, slope_groups};
pub use pattern::{Pattern, Stroke};
pub use published::published;
pub use sight::Sight;
pub use xml::escaped;
