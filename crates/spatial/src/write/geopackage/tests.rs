//! The tables of a GeoPackage, and files that its own check must refuse.

use std::fs;
use std::path::PathBuf;

use super::super::columns::{BLOCKS, KEEP_CLEAR, STANDS, ZONES};
use super::*;
use crate::layout::Plant;
use crate::write::fixture;

const CRS: &str = "EPSG:2193";

fn written(folder: &Path) -> (PathBuf, Vec<Outline>) {
    let file = folder.join("plan.gpkg");
    let plan = fixture::plan();
    let (zones, blocks) = (zones(&plan), blocks(&plan));
    write_tables(&file, &[&zones, &blocks], CRS, &plan_about(&plan)).unwrap();
    (file, vec![zones.outline(), blocks.outline()])
}

fn opened(file: &Path) -> Connection {
    sql::open(file, OpenFlags::SQLITE_OPEN_READ_WRITE).unwrap()
}

#[test]
fn every_column_of_every_layer_is_told_in_words() {
    let room = tempfile::tempdir().unwrap();
    let file = room.path().join("plan.gpkg");
    write_geopackage(&file, &fixture::plan(), CRS).unwrap();
    let opened = opened(&file);
    for (layer, columns) in [
        ("zones", ZONES.len()),
        ("blocks", BLOCKS.len()),
        ("keep_clear", KEEP_CLEAR.len()),
        ("stands", STANDS.len()),
    ] {
        let query = format!("SELECT count(*) FROM gpkg_data_columns WHERE table_name = '{layer}'");
        let told: Option<usize> = sql::one(&opened, &query).unwrap();
        assert_eq!(told, Some(columns + 2), "{layer}"); // the row number and the geometry
    }
    let query = "SELECT description FROM gpkg_data_columns WHERE table_name = 'zones' AND column_name = 'slope_p90_deg'";
    let said: Option<String> = sql::one(&opened, query).unwrap();
    assert_eq!(
        said.unwrap(),
        "Slope that 90 % of the zone does not exceed. Unit: degrees, map area."
    );
}

#[test]
fn the_file_tells_its_sources_and_steps() {
    let room = tempfile::tempdir().unwrap();
    let (file, _) = written(room.path());
    let opened = opened(&file);
    let page: Option<String> = sql::one(&opened, "SELECT metadata FROM gpkg_metadata").unwrap();
    let page = page.unwrap();
    for part in
        ["Planting plan: Kōwhai Example", "elevation: dem.tif, sha256 0000", "gmd:processStep"]
    {
        assert!(page.contains(part), "{part}: {page}");
    }
    let registered = "SELECT count(*) FROM gpkg_extensions WHERE extension_name IN ('gpkg_metadata', 'gpkg_schema')";
    assert_eq!(sql::one(&opened, registered).unwrap(), Some(4));
}

/// Each fault is one that readers stumble over and that common validators pass.
#[test]
fn a_file_with_a_fault_is_refused_by_its_own_check() {
    let faults = [
        ("an empty index", "DELETE FROM rtree_zones_geom", "zones"),
        (
            "an index that is not registered",
            "DELETE FROM gpkg_extensions WHERE table_name = 'blocks'",
            "blocks",
        ),
        (
            "a wrong extent",
            "UPDATE gpkg_contents SET max_x = max_x + 1 WHERE table_name = 'zones'",
            "zones",
        ),
        ("no extent", "UPDATE gpkg_contents SET min_x = NULL WHERE table_name = 'zones'", "zones"),
        (
            "another system in the catalogue",
            "UPDATE gpkg_contents SET srs_id = 4326 WHERE table_name = 'blocks'",
            "blocks",
        ),
        (
            "a column without words",
            "DELETE FROM gpkg_data_columns WHERE column_name = 'zone_id'",
            "plan.gpkg",
        ),
        (
            "no number of features",
            "DELETE FROM gpkg_ogr_contents WHERE table_name = 'zones'",
            "zones",
        ),
        ("a number that nothing keeps", "DROP TRIGGER trigger_insert_feature_count_zones", "zones"),
        ("an index that nothing keeps", "DROP TRIGGER rtree_zones_geom_update2", "zones"),
        ("no metadata", "DELETE FROM gpkg_metadata_reference", "plan.gpkg"),
        ("another version", "PRAGMA user_version = 10200", "version"),
        ("another kind of file", "PRAGMA application_id = 1", "application id"),
    ];
    for (what, statement, item) in faults {
        let room = tempfile::tempdir().unwrap();
        let (file, layers) = written(room.path());
        check_file(&file, &layers).unwrap();
        opened(&file).execute_batch(statement).unwrap();
        let refused = check_file(&file, &layers).expect_err(what);
        assert_eq!(refused.item, item, "{what}: {refused}");
        assert!(!refused.found.is_empty() && !refused.expected.is_empty(), "{what}");
    }
}

#[test]
fn a_feature_too_few_a_side_file_and_a_torn_page_are_refused() {
    let room = tempfile::tempdir().unwrap();
    let (file, mut layers) = written(room.path());
    let sides = layers[0].sides[0];
    layers[0].sides.push(sides);
    assert_eq!(check_file(&file, &layers).unwrap_err().item, "zones");
    layers[0].sides.pop();
    let beside = room.path().join("plan.gpkg-wal");
    fs::write(&beside, "").unwrap();
    assert_eq!(check_file(&file, &layers).unwrap_err().item, "journal");
    fs::remove_file(beside).unwrap();
    let mut bytes = fs::read(&file).unwrap();
    let (middle, end) = (bytes.len() / 2, bytes.len() * 3 / 4);
    bytes[middle..end].fill(0xA5);
    fs::write(&file, bytes).unwrap();
    assert!(check_file(&file, &layers).is_err());
}

/// An invented plan: 5,000 zones of 20 corners and 500,000 plants. Prints the seconds.
#[test]
#[ignore = "a measurement"]
fn by_hand_a_large_plan_is_written_in_seconds() {
    let mut plan = fixture::plan();
    let (zone, block) = (plan.zones[0].clone(), plan.blocks[0].clone());
    let places = |count: u32| (0..count).map(|at| (f64::from(at % 100), f64::from(at / 100)));
    let base = [1_800_000.0, 5_600_000.0];
    plan.blocks.clear();
    plan.zones.clear();
    for (at, (col, row)) in places(5_000).enumerate() {
        let middle = [base[0] + col * 200.0, base[1] + row * 200.0];
        let ring = (0..20).map(|corner| {
            let turn = f64::from(corner) / 20.0 * std::f64::consts::TAU;
            (middle[0] + 90.0 * turn.cos(), middle[1] + 90.0 * turn.sin())
        });
        let polygon = geo::Polygon::new(ring.collect::<Vec<_>>().into(), vec![]);
        let mut zone = zone.clone();
        zone.zone_id = format!("Z{at:04}");
        zone.geometry = polygon.into();
        zone.plan_area_ha =
            crate::units::PlanHectares::from_m2(geo::Area::unsigned_area(&zone.geometry));
        let mut block = block.clone();
        block.block_id = format!("B{at:04}");
        (block.zone_id, block.geometry) = (zone.zone_id.clone(), zone.geometry.clone());
        block.plan_area_ha = zone.plan_area_ha * block.share;
        plan.zones.push(zone);
        plan.blocks.push(block);
    }
    plan.plants = (0..500_000_u32)
        .map(|at| Plant {
            at: [base[0] + f64::from(at % 1000) * 20.0, base[1] + f64::from(at / 1000) * 20.0],
            block: at / 100,
            height_m: 300.0,
            row: at % 100,
        })
        .collect();
    let room = tempfile::tempdir().unwrap();
    let file = room.path().join("plan.gpkg");
    let begun = std::time::Instant::now();
    write_geopackage(&file, &plan, CRS).unwrap();
    let seconds = begun.elapsed().as_secs_f64();
    println!("{seconds:.2} s, {} bytes", fs::metadata(&file).unwrap().len());
    assert!(seconds < 10.0, "{seconds} s");
}
