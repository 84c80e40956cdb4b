//! Every plant's place: the layer `plants` of the GeoPackage, `plants.csv` and `plants.gpx`.
//!
//! Source: Foster 2004, GPX 1.1, the GPS Exchange Format (schema at topografix.com/GPX/1/1): way
//! points in longitude and latitude on WGS 84.

use std::fmt::Write;
use std::path::Path;

use gdal::Dataset;
use gdal::errors::GdalError;
use gdal::spatial_ref::SpatialRef;
use gdal::vector::{Defn, Feature, Geometry, LayerAccess, LayerOptions};
use gdal_sys::OGRwkbGeometryType;

use super::columns::PLANTS;
use super::gdal_problem::gdal_problem;
use super::geopackage::{add_fields, set_fields};
use super::lon_lat::ToLonLat;
use super::schedule::{text, trouble};
use crate::layout::Plant;
use crate::plan::Plan;
use crate::problem::Problem;

/// Name of the layer.
const LAYER: &str = "plants";
/// Name of the table.
pub(crate) const PLANTS_CSV: &str = "plants.csv";
/// Name of the way points.
pub(crate) const PLANTS_GPX: &str = "plants.gpx";

/// Writes the layer `plants` into a GeoPackage.
pub(super) fn write_plants(
    dataset: &mut Dataset,
    plan: &Plan,
    crs: &SpatialRef,
    path: &Path,
) -> Result<(), Problem> {
    let refused = |error: GdalError| gdal_problem(path, LAYER, &error);
    let description = "DESCRIPTION=Where each plant stands";
    let table = dataset
        .create_layer(LayerOptions {
            name: LAYER,
            srs: Some(crs),
            ty: OGRwkbGeometryType::wkbPoint,
            options: Some(&["GEOMETRY_NAME=geom", "FID=fid", "SPATIAL_INDEX=YES", description]),
        })
        .map_err(refused)?;
    add_fields(&table, &PLANTS).map_err(refused)?;
    let shape = Defn::from_layer(&table);
    for plant in &plan.plants {
        let values = PLANTS.iter().map(|column| column.value(plant, plan));
        let values = values.collect::<Result<Vec<_>, _>>().map_err(|p| p.file(path))?;
        let written = || {
            let mut feature = Feature::new(&shape)?;
            set_fields(&mut feature, &values)?;
            let mut point = Geometry::empty(OGRwkbGeometryType::wkbPoint)?;
            point.set_point_2d(0, (plant.at[0], plant.at[1]));
            feature.set_geometry(point)?;
            feature.create(&table)
        };
        written().map_err(refused)?;
    }
    Ok(())
}

/// Reads every plant back and compares its place.
pub(super) fn check_plants(dataset: &Dataset, plan: &Plan, path: &Path) -> Result<(), Problem> {
    let unread = |error: GdalError| gdal_problem(path, LAYER, &error);
    let mut table = dataset.layer_by_name(LAYER).map_err(unread)?;
    let differs = |found: String, expected: String| {
        let problem = Problem::error(LAYER).file(path).found(found).expected(expected);
        Err(problem.remedy("see that there is room on the disk, and run again"))
    };
    let found = table.feature_count();
    if found != plan.plants.len() as u64 {
        return differs(format!("{found} plants"), format!("{} plants", plan.plants.len()));
    }
    for (plant, feature) in plan.plants.iter().zip(table.features()) {
        let at = feature.geometry().map(|point| point.get_point(0));
        let same = at.is_some_and(|(x, y, _)| {
            x.to_bits() == plant.at[0].to_bits() && y.to_bits() == plant.at[1].to_bits()
        });
        if !same {
            return differs(format!("a plant at {at:?}"), format!("{:?}", plant.at));
        }
    }
    Ok(())
}

/// Longitude and latitude of every plant, degrees on WGS 84.
fn on_globe(plants: &[Plant], to_lon_lat: ToLonLat<'_>) -> Result<Vec<(f64, f64)>, Problem> {
    let mut points: Vec<(f64, f64)> =
        plants.iter().map(|plant| (plant.at[0], plant.at[1])).collect();
    to_lon_lat(&mut points)?;
    Ok(points)
}

/// `plants.csv`: one row a plant, in the order in which they are planted; the columns of the layer,
/// then longitude and latitude with 7 decimals.
///
/// # Errors
/// When a number is not finite or a point cannot be moved to the globe.
pub(super) fn plants_csv(plan: &Plan, to_lon_lat: ToLonLat<'_>) -> Result<Vec<u8>, Problem> {
    let points = on_globe(&plan.plants, to_lon_lat)?;
    let mut table = csv::Writer::from_writer(Vec::new());
    let header = PLANTS.iter().map(|column| column.name).chain(["longitude", "latitude"]);
    table.write_record(header).map_err(|error| trouble(&error, PLANTS_CSV))?;
    for (plant, (lon, lat)) in plan.plants.iter().zip(points) {
        let mut cells = Vec::with_capacity(PLANTS.len() + 2);
        for column in &PLANTS {
            cells.push(text(column.value(plant, plan).map_err(|p| p.file(PLANTS_CSV))?));
        }
        cells.extend([format!("{lon:.7}"), format!("{lat:.7}")]);
        table.write_record(cells).map_err(|error| trouble(&error, PLANTS_CSV))?;
    }
    table.into_inner().map_err(|error| trouble(error.error(), PLANTS_CSV))
}

/// `plants.gpx`: a way point a plant, named by its block and its number there.
///
/// # Errors
/// When a point cannot be moved to the globe.
pub(super) fn plants_gpx(plan: &Plan, to_lon_lat: ToLonLat<'_>) -> Result<Vec<u8>, Problem> {
    let points = on_globe(&plan.plants, to_lon_lat)?;
    let mut page = String::from(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<gpx version=\"1.1\" creator=\"hillweave\" \
         xmlns=\"http://www.topografix.com/GPX/1/1\">\n",
    );
    let mut numbers = vec![0_u32; plan.blocks.len()];
    for (plant, (lon, lat)) in plan.plants.iter().zip(points) {
        let block = &plan.blocks[plant.block as usize];
        let number = &mut numbers[plant.block as usize];
        *number += 1;
        // writing to a String cannot fail
        let _ = writeln!(
            page,
            "<wpt lat=\"{lat:.7}\" lon=\"{lon:.7}\"><ele>{:.1}</ele><name>{} {number}</name><type>{}</type></wpt>",
            plant.height_m,
            plain(&block.block_id),
            plain(&block.stock_id),
        );
    }
    page += "</gpx>\n";
    Ok(page.into_bytes())
}

/// A text as XML content.
fn plain(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => plain += "&amp;",
            '<' => plain += "&lt;",
            '>' => plain += "&gt;",
            // XML 1.0 has no other control characters.
            letter if letter.is_control() && !letter.is_whitespace() => plain.push(' '),
            letter => plain.push(letter),
        }
    }
    plain
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::write::fixture;

    fn planted() -> Plan {
        let mut plan = fixture::plan();
        let plant = |block, x| Plant { block, at: [x, 5_500_000.5], height_m: 120.25, row: 3 };
        plan.plants = vec![plant(0, 1_700_000.25), plant(1, 1_700_003.0), plant(0, 1_700_006.0)];
        plan
    }

    #[expect(clippy::unnecessary_wraps, reason = "the type of a transform")]
    fn no_move(points: &mut [(f64, f64)]) -> Result<(), Problem> {
        for point in points {
            *point = (point.0 / 1e4, -point.1 / 1e6);
        }
        Ok(())
    }

    #[test]
    fn a_row_a_plant_with_its_place_twice() {
        let bytes = plants_csv(&planted(), &no_move).unwrap();
        let text = String::from_utf8(bytes).unwrap();
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(lines.len(), 4);
        assert!(lines[0].ends_with("height_m,longitude,latitude"), "{}", lines[0]);
        assert!(lines[1].contains("1700000.25,5500000.5,120.25,170.0000250,-5.5000005"));
    }

    #[test]
    fn way_points_are_numbered_by_block_and_escaped() {
        let mut plan = planted();
        plan.blocks[0].block_id = "Z1-<a&b>".into();
        let text = String::from_utf8(plants_gpx(&plan, &no_move).unwrap()).unwrap();
        assert_eq!(text.matches("<wpt ").count(), 3);
        assert!(text.contains("<name>Z1-&lt;a&amp;b&gt; 1</name>"), "{text}");
        assert!(text.contains("<name>Z1-&lt;a&amp;b&gt; 2</name>"), "{text}");
        assert!(text.contains("lat=\"-5.5000005\" lon=\"170.0000250\"><ele>120.2</ele>"), "{text}");
    }
}
