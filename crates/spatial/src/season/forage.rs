//! How much forage of the property lies near a place.

use bloom::{disc_ha, disc_overlap_m2};
use geo::{BoundingRect, MultiPolygon, Rect};

use super::Land;
use super::blocks::Sown;
use super::rows::ForageRow;
use crate::pipeline::Property;
use crate::site::Treatment;
use crate::units::M2_PER_HA;
use crate::zones::rings;

/// Ground that is counted, with the share of it that counts.
struct Patch {
    around: Rect<f64>,
    /// Outlines, and holes with a sign of their own.
    rings: Vec<(f64, Vec<[f64; 2]>)>,
    share: f64,
}

/// Planted ground, kept stands and the property, ready for any place.
pub(super) struct Forage {
    planted: Vec<Patch>,
    stands: Vec<Patch>,
    property: Vec<Patch>,
    radii_km: [f64; 2],
    middle: [f64; 2],
}

impl Forage {
    pub(super) fn of(land: &Land, sown: &Sown) -> Self {
        let Property { site, ready, zones, .. } = &**land;
        let table = site.layers.cover.as_ref().map_or(&[][..], |source| &source.table[..]);
        let counts = |cover: u8| {
            let Some(row) = table.get(usize::from(cover)) else { return false };
            let named = &site.season.forage_cover;
            let is_named = named.is_empty() || named.contains(&row.class.name);
            row.class.treatment == Treatment::Keep && is_named
        };
        let stands = zones.stands.iter().filter(|stand| counts(stand.cover));
        let zones = sown.zones.iter();
        Self {
            planted: zones.flat_map(|zone| patches(&zone.geometry, zone.sown_share)).collect(),
            stands: stands.flat_map(|stand| patches(&stand.geometry, 1.0)).collect(),
            property: patches(&ready.boundary, 1.0).collect(),
            radii_km: site.season.forage_km,
            middle: sown.middle(),
        }
    }

    /// Both discs around a place, the smaller first. Cost: the corners of all that lies within reach.
    pub(super) fn around(&self, at: [f64; 2]) -> [ForageRow; 2] {
        self.radii_km.map(|radius_km| {
            let radius_m = radius_km * 1_000.0;
            let area = |patches: &[Patch]| {
                patches.iter().map(|patch| patch.overlap_m2(at, radius_m)).sum::<f64>() / M2_PER_HA
            };
            let disc = disc_ha(radius_m);
            let (planted_ha, stands_ha) = (area(&self.planted), area(&self.stands));
            ForageRow {
                radius_km,
                disc_ha: disc,
                planted_ha,
                stands_ha,
                forage_share: ((planted_ha + stands_ha) / disc).clamp(0.0, 1.0),
                outside_share: (1.0 - area(&self.property) / disc).clamp(0.0, 1.0),
            }
        })
    }

    /// Around the middle of the planted ground.
    pub(super) fn middle_rows(&self) -> Vec<ForageRow> {
        self.around(self.middle).to_vec()
    }
}

impl Patch {
    fn overlap_m2(&self, at: [f64; 2], radius_m: f64) -> f64 {
        let (low, high) = (self.around.min(), self.around.max());
        let away = |value: f64, low: f64, high: f64| (low - value).max(value - high).max(0.0);
        if away(at[0], low.x, high.x).hypot(away(at[1], low.y, high.y)) >= radius_m {
            return 0.0;
        }
        let parts =
            self.rings.iter().map(|(sign, ring)| sign * disc_overlap_m2(ring, at, radius_m));
        self.share * parts.sum::<f64>()
    }
}

fn patches(area: &MultiPolygon<f64>, share: f64) -> impl Iterator<Item = Patch> {
    area.iter().filter_map(move |polygon| {
        let around = polygon.bounding_rect()?;
        let own = rings(polygon).enumerate().map(|(at, ring)| {
            let sign = if at == 0 { 1.0 } else { -1.0 };
            (sign, ring.coords().map(|corner| [corner.x, corner.y]).collect())
        });
        Some(Patch { around, rings: own.collect(), share })
    })
}

#[cfg(test)]
mod tests {
    use geo::{Area, BooleanOps, polygon};

    use super::*;

    /// Against `geo`'s clipping with a disc of many corners, which shares no formula.
    #[test]
    fn a_patch_with_a_hole_is_cut_as_clipping_cuts_it() {
        let square = |low: f64, high: f64| polygon![(x: low, y: low), (x: high, y: low), (x: high, y: high), (x: low, y: high)];
        let outer = square(0.0, 1_000.0);
        let holed = outer.difference(&square(400.0, 600.0));
        for at in [[0.0, 0.0], [500.0, 480.0], [900.0, 100.0], [1_300.0, 500.0], [3_000.0, 0.0]] {
            let corner = |step: i32| {
                let (sin, cos) = (f64::from(step) / 2_000.0 * std::f64::consts::TAU).sin_cos();
                (at[0] + 450.0 * cos, at[1] + 450.0 * sin)
            };
            let disc = geo::Polygon::new((0..2_000).map(corner).collect(), vec![]);
            let slow = holed.intersection(&MultiPolygon::new(vec![disc])).unsigned_area() * 0.5;
            let found: f64 = patches(&holed, 0.5).map(|one| one.overlap_m2(at, 450.0)).sum();
            assert!((found - slow).abs() < 2.0, "{at:?}: {found} {slow}");
        }
    }
}
