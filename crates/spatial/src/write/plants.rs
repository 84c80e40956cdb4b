//! Every plant's place as files: `plants.csv` and `plants.gpx`.

use super::lon_lat::ToLonLat;
use super::points::{WayPoint, plants};
use crate::plan::Plan;
use crate::problem::Problem;

/// Name of the table.
pub(crate) const PLANTS_CSV: &str = "plants.csv";
/// Name of the way points.
pub(crate) const PLANTS_GPX: &str = "plants.gpx";

/// `plants.csv`: one row a plant, in the order in which they are planted.
///
/// # Errors
/// When a number is not finite or a point cannot be moved to the globe.
pub(super) fn plants_csv(plan: &Plan, to_lon_lat: ToLonLat<'_>) -> Result<Vec<u8>, Problem> {
    plants(plan).csv(PLANTS_CSV, to_lon_lat)
}

/// `plants.gpx`: a way point a plant, named by its block and its number there.
///
/// # Errors
/// When a point cannot be moved to the globe.
pub(super) fn plants_gpx(plan: &Plan, to_lon_lat: ToLonLat<'_>) -> Result<Vec<u8>, Problem> {
    let mut numbers = vec![0_u32; plan.blocks.len()];
    plants(plan).gpx(to_lon_lat, |plant| {
        let number = &mut numbers[plant.block as usize];
        *number += 1;
        let block = &plan.blocks[plant.block as usize].block_id;
        WayPoint {
            name: format!("{block} {number}"),
            height_m: Some(plant.height_m),
            about: String::new(),
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::layout::Plant;
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
