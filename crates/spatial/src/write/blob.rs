//! Geometry as a GeoPackage stores it.
//!
//! Source: OGC 12-128r17, GeoPackage Encoding Standard 1.3, clause 2.1.3, "GeoPackageBinary": `GP`, a version,
//! flags, the number of the coordinate system, an envelope, then well-known binary (ISO 13249-3). All of it
//! here has the low byte first; a point needs no envelope.

use geo::{BoundingRect, LineString, MultiPolygon};

/// Low byte first, no envelope.
const PLAIN: u8 = 0b0000_0001;
/// Low byte first, west, east, south and north before the shape.
const WITH_ENVELOPE: u8 = 0b0000_0011;
/// Low byte first, in well-known binary.
const LITTLE_ENDIAN: u8 = 1;
const POINT: u32 = 1;
const POLYGON: u32 = 3;
const MULTI_POLYGON: u32 = 6;

/// A place, easting and northing.
pub(super) fn point_blob(srs_id: i32, [x, y]: [f64; 2]) -> Vec<u8> {
    let mut blob = head(PLAIN, srs_id, 21);
    kind(&mut blob, POINT);
    numbers(&mut blob, &[x, y]);
    blob
}

/// Polygons with corners, as they are wound.
pub(super) fn polygons_blob(srs_id: i32, polygons: &MultiPolygon<f64>) -> Vec<u8> {
    let mut blob = head(WITH_ENVELOPE, srs_id, 256);
    let around = polygons.bounding_rect().map_or([f64::NAN; 4], |around| {
        [around.min().x, around.max().x, around.min().y, around.max().y]
    });
    numbers(&mut blob, &around);
    kind(&mut blob, MULTI_POLYGON);
    count(&mut blob, polygons.0.len());
    for polygon in polygons {
        kind(&mut blob, POLYGON);
        count(&mut blob, 1 + polygon.interiors().len());
        ring(&mut blob, polygon.exterior());
        for inner in polygon.interiors() {
            ring(&mut blob, inner);
        }
    }
    blob
}

fn head(flags: u8, srs_id: i32, room: usize) -> Vec<u8> {
    let mut blob = Vec::with_capacity(8 + room);
    blob.extend(b"GP");
    blob.extend([0, flags]);
    blob.extend(srs_id.to_le_bytes());
    blob
}

fn kind(blob: &mut Vec<u8>, of: u32) {
    blob.push(LITTLE_ENDIAN);
    blob.extend(of.to_le_bytes());
}

fn ring(blob: &mut Vec<u8>, ring: &LineString<f64>) {
    count(blob, ring.0.len());
    for corner in ring {
        numbers(blob, &[corner.x, corner.y]);
    }
}

fn count(blob: &mut Vec<u8>, of: usize) {
    blob.extend((of as u32).to_le_bytes());
}

fn numbers(blob: &mut Vec<u8>, of: &[f64]) {
    for number in of {
        blob.extend(number.to_le_bytes());
    }
}

#[cfg(test)]
mod tests {
    use gdal::vector::Geometry;
    use geo::polygon;
    use proptest::prelude::*;

    use super::*;

    /// Source: OGC 12-128r17, clause 2.1.3, table of the header, laid out by hand.
    #[test]
    fn the_head_is_laid_out_as_the_standard_says() {
        let blob = point_blob(2193, [1.0, -2.0]);
        assert_eq!(blob[..8], [b'G', b'P', 0, 1, 0x91, 0x08, 0, 0]);
        assert_eq!(blob.len(), 8 + 1 + 4 + 16);
        let square = polygon![(x: 1.0, y: 2.0), (x: 3.0, y: 2.0), (x: 3.0, y: 5.0)];
        let blob = polygons_blob(-1, &square.into());
        assert_eq!(blob[..8], [b'G', b'P', 0, 3, 0xFF, 0xFF, 0xFF, 0xFF]);
        let sides = [1.0_f64, 3.0, 2.0, 5.0].map(f64::to_le_bytes).concat();
        assert_eq!(blob[8..40], sides);
    }

    proptest! {
        /// GDAL reads the same shape from the well-known binary.
        #[test]
        fn gdal_reads_the_same_shape(
            at in proptest::array::uniform2(-1e7..1e7_f64),
            holes in 0..3_usize,
            parts in 1..4_usize,
        ) {
            let read = Geometry::from_wkb(&point_blob(2193, at)[8..]).unwrap();
            prop_assert_eq!(read.get_point(0), (at[0], at[1], 0.0));
            let square = |x: f64, y: f64, size: f64| {
                LineString::from(vec![(x, y), (x + size, y), (x + size, y + size), (x, y + size), (x, y)])
            };
            let polygons = (0..parts).map(|part| {
                let x = at[0] + part as f64 * 100.0;
                let inner = (0..holes).map(|hole| square(x + 5.0 + hole as f64 * 10.0, at[1] + 5.0, 3.0));
                geo::Polygon::new(square(x, at[1], 60.0), inner.collect())
            });
            let polygons = MultiPolygon::new(polygons.collect());
            let read = Geometry::from_wkb(&polygons_blob(2193, &polygons)[40..]).unwrap();
            prop_assert_eq!(read.to_geo().unwrap(), geo::Geometry::MultiPolygon(polygons));
        }
    }
}
