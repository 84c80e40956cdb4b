//! Whether a stage would be made from the same again.
//!
//! Each names what its stage reads of the site and the stock; a key that a stage comes to read is added here. A test
//! plans after every kind of change both ways and compares.

use stock::Library;

use super::fitted::Fitted;
use crate::ground;
use crate::site::{Layers, Site};

/// Reading what people draw: lines and zones to keep to, ground kept clear.
pub(super) fn drawn(a: &Site, b: &Site) -> bool {
    a.layers.breaks == b.layers.breaks
        && a.layers.drawn_zones == b.layers.drawn_zones
        && a.keep_clear == b.keep_clear
}

/// Reading all else: files and how they are brought to one grid.
pub(super) fn layers(a: &Site, b: &Site) -> bool {
    let of = |site: &Site| (site.file.clone(), site.crs.clone(), site.cell, site.halo);
    let undrawn = |site: &Site| Layers { breaks: None, drawn_zones: None, ..site.layers.clone() };
    of(a) == of(b)
        && undrawn(a) == undrawn(b)
        && a.ground.farthest() == b.ground.farthest()
        && a.zones.sun_months == b.zones.sun_months
}

/// The ground, on layers that are the same.
pub(super) fn ground(a: &Site, b: &Site) -> bool {
    a.ground == b.ground && ground::asked_by_zones(&a.zones) == ground::asked_by_zones(&b.zones)
}

/// Fits, in zones that are the same.
pub(super) fn fits(before: &Fitted, site: &Site, library: &Library) -> bool {
    let rules = |site: &Site| (site.mosaic.fit_floor.to_bits(), site.mosaic.fit_orders);
    let lines = |library: &Library| {
        library.stocks().iter().map(|one| (one.id.clone(), one.tolerance)).collect::<Vec<_>>()
    };
    rules(&before.site) == rules(site) && lines(&before.library) == lines(library)
}

/// What zones ask for, in zones that are the same.
pub(super) fn demands(before: &Fitted, site: &Site, library: &Library) -> bool {
    let was = &before.site;
    was.density == site.density
        && was.survival == site.survival
        && was.labour == site.labour
        && before.library == *library
}
