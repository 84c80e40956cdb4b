//! The written folder read back by GDAL, and what must hold of it.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use gdal::Dataset;
use gdal::spatial_ref::{AxisMappingStrategy, CoordTransform, SpatialRef};
use gdal::vector::{FieldValue, LayerAccess};
use geo::{Area, Geometry, MultiPolygon};

use super::*;
use crate::units::PlanHectares;

const CRS: &str = "EPSG:2193";

/// EPSG:2193 to longitude and latitude, by PROJ.
#[expect(clippy::unnecessary_wraps, reason = "the shape of a transform")]
fn to_lon_lat(points: &mut [(f64, f64)]) -> Result<(), Problem> {
    let transform = CoordTransform::new(&easting_first(2193), &easting_first(4326)).unwrap();
    let (mut x, mut y): (Vec<f64>, Vec<f64>) = points.iter().copied().unzip();
    transform.transform_coords(&mut x, &mut y, &mut []).unwrap();
    for (point, moved) in points.iter_mut().zip(x.into_iter().zip(y)) {
        *point = moved;
    }
    Ok(())
}

fn write(plan: &Plan, target: &Path, overwrite: bool) -> Result<Vec<Written>, Problem> {
    write_plan(plan, CRS, &to_lon_lat, target, overwrite, &Output::ALL)
}

fn bytes(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let entries = fs::read_dir(folder).unwrap().map(Result::unwrap);
    entries
        .map(|entry| (entry.file_name().into_string().unwrap(), fs::read(entry.path()).unwrap()))
        .collect()
}

/// Names of the fields and, row by row, their values and the polygons.
type Rows = Vec<(BTreeMap<String, Option<FieldValue>>, MultiPolygon<f64>)>;

fn rows(file: &Path, layer: &str) -> Rows {
    let dataset = Dataset::open(file).unwrap();
    let mut layer = dataset.layer_by_name(layer).unwrap();
    let row = |feature: gdal::vector::Feature<'_>| {
        let Geometry::MultiPolygon(polygons) = feature.geometry().unwrap().to_geo().unwrap() else {
            panic!("not a MULTIPOLYGON");
        };
        (feature.fields().collect(), polygons)
    };
    layer.features().map(row).collect()
}

fn real(value: Option<&FieldValue>) -> f64 {
    value.unwrap().clone().into_real().unwrap()
}

#[test]
fn the_folder_holds_what_was_promised() {
    let room = tempfile::tempdir().unwrap();
    let target = room.path().join("plan");
    let written = write(&fixture::plan(), &target, false).unwrap();
    let names: Vec<_> = written.iter().map(|one| one.file.to_str().unwrap()).collect();
    let promised = [
        BLOCKS_GEOJSON,
        CARDS_CSV,
        ORDERS_CSV,
        PLAN_GPKG,
        PLAN_JSON,
        PLAN_QGS,
        SCHEDULE_CSV,
        SCHEDULE_XLSX,
        ZONES_GEOJSON,
    ];
    assert_eq!(names, promised);
    let on_disk = bytes(&target);
    assert_eq!(on_disk.keys().collect::<Vec<_>>(), promised, "no journal or other side file");
    assert!(
        written.iter().all(|one| one.bytes == on_disk[one.file.to_str().unwrap()].len() as u64)
    );
}

#[test]
fn outputs_can_be_left_out() {
    let room = tempfile::tempdir().unwrap();
    let target = room.path().join("plan");
    let written =
        write_plan(&fixture::plan(), CRS, &to_lon_lat, &target, false, &[Output::Schedule])
            .unwrap();
    assert_eq!(written.len(), 3);
    assert!(target.join(ORDERS_CSV).exists());
    assert!(target.join(PLAN_JSON).exists() && target.join(SCHEDULE_CSV).exists());
}

#[test]
fn equal_plans_are_equal_bytes() {
    let room = tempfile::tempdir().unwrap();
    let plan = fixture::plan();
    let (one, two) = (room.path().join("one"), room.path().join("another folder"));
    write(&plan, &one, false).unwrap();
    std::thread::sleep(std::time::Duration::from_millis(1100)); // a clock would show
    write(&plan, &two, false).unwrap();
    assert_eq!(bytes(&one), bytes(&two));
    write(&plan, &two, true).unwrap();
    assert_eq!(bytes(&one), bytes(&two));
}

#[test]
fn no_path_of_the_machine_is_in_any_file() {
    let room = tempfile::tempdir().unwrap();
    let target = room.path().join("plan");
    write(&fixture::plan(), &target, false).unwrap();
    let path = room.path().to_str().unwrap().as_bytes();
    for (name, bytes) in bytes(&target) {
        assert!(!bytes.windows(path.len()).any(|window| window == path), "{name}");
    }
}

/// Law: areas re-computed from the exported file are the ones that it states.
#[test]
fn areas_from_the_geopackage_are_the_columns() {
    let room = tempfile::tempdir().unwrap();
    let target = room.path().join("plan");
    write(&fixture::plan(), &target, false).unwrap();
    for layer in ["zones", "blocks", "keep_clear"] {
        let rows = rows(&target.join(PLAN_GPKG), layer);
        assert!(!rows.is_empty());
        for (fields, polygons) in rows {
            let share = if layer == "blocks" { real(fields["share"].as_ref()) } else { 1.0 };
            let stated = real(fields["plan_area_ha"].as_ref());
            let computed = PlanHectares::from_m2(polygons.unsigned_area()).0 * share;
            assert!((computed - stated).abs() <= 1e-9 * stated, "{layer}: {computed} and {stated}");
        }
    }
}

#[test]
fn fields_have_their_order_types_and_words() {
    let room = tempfile::tempdir().unwrap();
    let target = room.path().join("plan");
    write(&fixture::plan(), &target, false).unwrap();
    let dataset = Dataset::open(target.join(PLAN_GPKG)).unwrap();
    let blocks = dataset.layer_by_name("blocks").unwrap();
    let fields: Vec<_> =
        blocks.defn().fields().map(|field| (field.name(), field.field_type())).collect();
    let expected: Vec<_> = columns::BLOCKS
        .iter()
        .map(|column| {
            let kind = match column.kind {
                Kind::Text => gdal_sys::OGRFieldType::OFTString,
                Kind::Integer => gdal_sys::OGRFieldType::OFTInteger64,
                Kind::Real => gdal_sys::OGRFieldType::OFTReal,
            };
            (column.name.to_owned(), kind)
        })
        .collect();
    assert_eq!(fields, expected);
    let rows = rows(&target.join(PLAN_GPKG), "blocks");
    let text = FieldValue::StringValue("mānuka takes dry, steep ground: ≤ 35°".into());
    assert_eq!(rows[0].0["reason"], Some(text));
    assert_eq!(rows[1].0["seedlings"], Some(FieldValue::Integer64Value(0)));
}

#[test]
fn unknown_and_nothing_to_say_stay_apart() {
    let room = tempfile::tempdir().unwrap();
    let target = room.path().join("plan");
    write(&fixture::plan(), &target, false).unwrap();
    let rows = rows(&target.join(PLAN_GPKG), "zones");
    assert_eq!(rows[0].0["left_reason"], Some(FieldValue::StringValue(String::new())));
    assert_eq!(rows[1].0["best_fit"], None);
    assert_eq!(rows[0].0["left_share"], Some(FieldValue::RealValue(0.0)));
}

#[test]
fn a_layer_without_rows_is_there_with_its_fields() {
    let room = tempfile::tempdir().unwrap();
    let target = room.path().join("plan");
    let mut plan = fixture::plan();
    plan.zones.clear();
    plan.blocks.clear();
    plan.keep_clear.clear();
    write(&plan, &target, false).unwrap();
    let dataset = Dataset::open(target.join(PLAN_GPKG)).unwrap();
    assert_eq!(dataset.layer_count(), 5, "four layers and their styles");
    let fields = |layer: &str| dataset.layer_by_name(layer).unwrap().defn().fields().count();
    assert_eq!(
        ["zones", "blocks", "keep_clear", "stands"].map(fields),
        [
            columns::ZONES.len(),
            columns::BLOCKS.len(),
            columns::KEEP_CLEAR.len(),
            columns::STANDS.len()
        ]
    );
}

#[test]
fn the_geopackage_keeps_the_rules_of_its_format() {
    let room = tempfile::tempdir().unwrap();
    let target = room.path().join("plan");
    write(&fixture::plan(), &target, false).unwrap();
    let file = target.join(PLAN_GPKG);
    let header = fs::read(&file).unwrap();
    // GeoPackage 1.3, requirement 2: application id "GPKG" at byte 68 and version 10300 at byte 60.
    assert_eq!((&header[68..72], &header[60..64]), (&b"GPKG"[..], &10300_u32.to_be_bytes()[..]));
    // SQLite file format, bytes 18 and 19: 1 is a rollback journal, 2 a write-ahead log.
    assert_eq!(&header[18..20], [1, 1]);
    let dataset = Dataset::open(&file).unwrap();
    let zones = dataset.layer_by_name("zones").unwrap();
    assert_eq!(zones.spatial_ref().unwrap().auth_code().unwrap(), 2193);
    let geometry = zones.defn().geom_fields().next().unwrap();
    assert_eq!(geometry.name(), "geom");
    assert_eq!(geometry.field_type(), gdal_sys::OGRwkbGeometryType::wkbMultiPolygon);
}

#[test]
fn a_small_window_finds_its_zone() {
    let room = tempfile::tempdir().unwrap();
    let target = room.path().join("plan");
    write(&fixture::plan(), &target, false).unwrap();
    let dataset = Dataset::open(target.join(PLAN_GPKG)).unwrap();
    let mut zones = dataset.layer_by_name("zones").unwrap();
    zones.set_spatial_filter_rect(1_800_310.0, 5_600_010.0, 1_800_311.0, 5_600_011.0);
    let found: Vec<_> =
        zones.features().map(|zone| zone.field_as_string(0).unwrap().unwrap()).collect();
    assert_eq!(found, ["Z002"]);
}

/// Reference point: PROJ 9.1 and 9.6, EPSG:2193 (1600000, 5400000) is 173° E, 41.551664523452835° S.
#[test]
fn the_geojson_is_on_the_globe() {
    let mut corner = [(1_600_000.0, 5_400_000.0)];
    to_lon_lat(&mut corner).unwrap();
    assert!((corner[0].0 - 173.0).abs() < 1e-9 && (corner[0].1 + 41.551_664_523).abs() < 1e-9);
    let room = tempfile::tempdir().unwrap();
    let target = room.path().join("plan");
    let plan = fixture::plan();
    write(&plan, &target, false).unwrap();
    let dataset = Dataset::open(target.join(ZONES_GEOJSON)).unwrap();
    let layer = dataset.layer(0).unwrap();
    let extent = layer.get_extent().unwrap();
    assert!(
        extent.MinX > 175.0 && extent.MaxX < 176.0 && extent.MinY > -40.0 && extent.MaxY < -39.0
    );
    // Back to the grid within the rounding: 7 mm (measured for 7 decimals at this latitude).
    let transform = CoordTransform::new(&easting_first(4326), &easting_first(2193)).unwrap();
    // A corner may also be that of a neighbour.
    let corners: Vec<_> = plan
        .zones
        .iter()
        .flat_map(|zone| &zone.geometry)
        .flat_map(|part| part.exterior().0.iter())
        .collect();
    for (_, polygons) in &rows(&target.join(ZONES_GEOJSON), &layer.name()) {
        for polygon in polygons {
            let (mut x, mut y): (Vec<_>, Vec<_>) =
                polygon.exterior().0.iter().map(|c| (c.x, c.y)).unzip();
            transform.transform_coords(&mut x, &mut y, &mut []).unwrap();
            let near = |x: f64, y: f64| {
                let away = corners.iter().map(|c| (c.x - x).hypot(c.y - y));
                away.fold(f64::INFINITY, f64::min) < 0.0075
            };
            assert!(x.iter().zip(&y).all(|(x, y)| near(*x, *y)));
        }
    }
}

fn easting_first(code: u32) -> SpatialRef {
    let mut system = SpatialRef::from_epsg(code).unwrap();
    system.set_axis_mapping_strategy(AxisMappingStrategy::TraditionalGisOrder);
    system
}

/// Every way in which a write can fail half-way leaves the earlier plan whole and nothing beside it.
#[test]
fn a_failed_write_leaves_the_old_folder_alone() {
    type Spoil = fn(&mut Plan);
    let spoils: [(&str, Spoil); 5] = [
        ("a number that is none", |plan| plan.zones[0].slope_mean_deg = f64::NAN),
        ("a corner that is none", |plan| {
            plan.keep_clear[0].geometry.0[0].exterior_mut(|ring| ring.0[1].x = f64::NAN);
        }),
        ("no polygon", |plan| plan.keep_clear[0].geometry = MultiPolygon::new(vec![])),
        ("an area that is not the polygon's", |plan| plan.zones[1].plan_area_ha.0 *= 1.001),
        ("a text with a zero byte", |plan| plan.blocks[0].reason = "a\0b".into()),
    ];
    let room = tempfile::tempdir().unwrap();
    let target = room.path().join("plan");
    write(&fixture::plan(), &target, false).unwrap();
    let before = bytes(&target);
    for (what, spoil) in spoils {
        let mut plan = fixture::plan();
        spoil(&mut plan);
        let refused = write(&plan, &target, true).unwrap_err();
        assert!(!refused.to_string().contains(".partial-"), "{what}: {refused}");
        assert!(!refused.item.is_empty() && !refused.found.is_empty(), "{what}");
        assert_eq!(bytes(&target), before, "{what}");
        assert_eq!(fs::read_dir(room.path()).unwrap().count(), 1, "{what}");
    }
    let no_transform = |_: &mut [(f64, f64)]| Err(Problem::error("transform"));
    let all = &Output::ALL;
    assert!(write_plan(&fixture::plan(), CRS, &no_transform, &target, true, all).is_err());
    assert!(write_plan(&fixture::plan(), "no system", &to_lon_lat, &target, true, all).is_err());
    assert_eq!(bytes(&target), before);
    assert_eq!(fs::read_dir(room.path()).unwrap().count(), 1);
}

#[test]
fn the_settings_of_the_thread_are_put_back() {
    use gdal::config::{get_thread_local_config_option, set_thread_local_config_option};
    set_thread_local_config_option("OGR_SQLITE_JOURNAL", "MEMORY").unwrap();
    let room = tempfile::tempdir().unwrap();
    write_geopackage(&room.path().join(PLAN_GPKG), &fixture::plan(), CRS).unwrap();
    assert_eq!(get_thread_local_config_option("OGR_SQLITE_JOURNAL", "").unwrap(), "MEMORY");
    assert_eq!(get_thread_local_config_option("OGR_CURRENT_DATE", "unset").unwrap(), "unset");
}

/// Needs a folder on a disk of one megabyte, named by `HILLWEAVE_FULL_DISK`; as root:
/// `mount -t tmpfs -o size=1m none DIR`.
#[test]
#[ignore = "needs a disk that is nearly full"]
fn by_hand_a_full_disk_is_said_and_leaves_nothing() {
    let disk = std::env::var_os("HILLWEAVE_FULL_DISK").expect("HILLWEAVE_FULL_DISK");
    let target = Path::new(&disk).join("plan");
    let mut refused = 0;
    for kilobytes in (100..1000).step_by(60) {
        let filler = Path::new(&disk).join("filler");
        if fs::write(&filler, vec![1; kilobytes * 1024]).is_err() {
            fs::remove_file(&filler).unwrap();
            break;
        }
        match write(&fixture::plan(), &target, true) {
            Ok(written) => assert_eq!(written.len(), 5),
            Err(problem) => {
                println!("{kilobytes} kB taken: {problem}");
                assert_eq!(problem.file.unwrap().parent(), Some(target.as_path()));
                refused += 1;
            }
        }
        fs::remove_file(&filler).unwrap();
        assert!(fs::read_dir(&disk).unwrap().all(|entry| entry.unwrap().file_name() == "plan"));
        let whole = fs::read_dir(&target).map_or(5, Iterator::count);
        assert_eq!(whole, 5);
    }
    let path = Path::new(&disk).join("cells.tif");
    let grid = terrain::Grid::new(1500, 1500, 0.0, 0.0, 2.0, 2.0).unwrap();
    let noise =
        terrain::Raster::from_fn(grid, |row, col| ((row * 7919 + col * 104_729) % 9973) as f32);
    let problem = write_raster(&path, &noise, CRS, "", "m").unwrap_err();
    println!("raster: {problem}");
    assert!(refused > 0);
}
