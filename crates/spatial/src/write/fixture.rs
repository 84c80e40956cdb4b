//! A small plan for tests: an invented property with two zones, two blocks and a piece kept clear.

use std::collections::BTreeMap;

use geo::{Area, MultiPolygon, Polygon, polygon};

use crate::plan::{
    BlockRow, CardRow, ClassRow, FitEdgesRow, GroundReport, InputRecord, KeepClearRow, MergeReport,
    OrderRow, Plan, SolutionReport, Totals, ZoneRow,
};
use crate::site::Pattern;
use crate::units::{AreaBasis, GroundHectares, PlanHectares};

/// Around 1,800,000 east and 5,600,000 north of EPSG:2193.
pub(crate) fn square(east: f64, north: f64, side: f64) -> Polygon<f64> {
    let (x, y) = (1_800_000.0 + east, 5_600_000.0 + north);
    polygon![(x: x, y: y), (x: x + side, y: y), (x: x + side, y: y + side), (x: x, y: y + side)]
}

fn zone(zone_id: &str, geometry: MultiPolygon<f64>) -> ZoneRow {
    let plan_area_ha = PlanHectares::from_m2(geometry.unsigned_area());
    ZoneRow {
        zone_id: zone_id.into(),
        slope_group: "F".into(),
        wetness_class: Some("moist".into()),
        sun_class: Some("sunny".into()),
        exposure_class: Some("exposed".into()),
        frost_class: None,
        cover_treatment: "plant".into(),
        plan_area_ha,
        ground_area_ha: GroundHectares(plan_area_ha.0 * 1.17),
        slope_mean_deg: 31.25,
        slope_p10_deg: 22.5,
        slope_p50_deg: 31.0,
        slope_p90_deg: 34.9,
        slope_steps_plan_ha: vec![PlanHectares(0.0), plan_area_ha],
        elevation_min_m: 380.5,
        elevation_mean_m: 412.1,
        elevation_max_m: 431.9,
        wetness_mean: Some(8.25),
        sun_ratio_mean: Some(1.125),
        exposure_mean_deg: Some(41.5),
        frost_index_mean: None,
        mean_width_m: 80.0,
        widest_m: 100.0,
        border_drift_m2: -3.5,
        short_reason: String::new(),
        best_fit: Some("RIDGE".into()),
        slope_group_plan_ha: BTreeMap::from([("F".into(), plan_area_ha)]),
        class_share: 0.75,
        made_of: vec![ClassRow {
            classes: BTreeMap::from([("slope_group", "F".to_owned())]),
            regions: 3,
            plan_area_ha,
            share: 1.0,
        }],
        merged_regions: 3,
        reason: "slope group F on 100 % of it".into(),
        gap_share: 1.0,
        left_share: 0.0,
        left_reason: String::new(),
        runner_up: None,
        runner_up_less: None,
        geometry,
    }
}

fn block(zone: &ZoneRow, stock_id: &str, share: f64, seedlings: u64) -> BlockRow {
    BlockRow {
        block_id: format!("{}-{stock_id}", zone.zone_id),
        zone_id: zone.zone_id.clone(),
        stock_id: stock_id.into(),
        stock_kind: "cultivar".into(),
        season: None,
        share,
        plan_area_ha: zone.plan_area_ha * share,
        ground_area_ha: zone.ground_area_ha * share,
        density_sph: 1100.0,
        density_basis: AreaBasis::Ground,
        purpose: crate::site::Purpose::Honey,
        spacing_m: 3.015_113_445_777_636,
        seedlings,
        order_qty: seedlings + seedlings / 5,
        person_days: seedlings as f64 / 250.0,
        fit: 0.8125,
        fit_class: "S1".into(),
        limiting_factor: String::new(),
        reason: "mānuka takes dry, steep ground: ≤ 35°".into(),
        geometry: zone.geometry.clone(),
    }
}

/// Zone Z001 (10,000 m² with a hole of 100 m²), zone Z002 (two parts) that nothing fits.
pub(crate) fn plan() -> Plan {
    let holed = Polygon::new(
        square(0.0, 0.0, 100.0).exterior().clone(),
        vec![square(40.0, 40.0, 10.0).exterior().clone()],
    );
    let first = zone("Z001", MultiPolygon::new(vec![holed]));
    let parts = vec![square(100.0, 0.0, 50.0), square(300.0, 0.1, 70.0)];
    let second = ZoneRow {
        best_fit: None,
        left_share: 1.0,
        left_reason: "nothing fits".into(),
        ..zone("Z002", MultiPolygon::new(parts))
    };
    let clear = MultiPolygon::new(vec![square(0.0, 200.0, 33.3)]);
    Plan {
        schema: super::json::SCHEMA,
        version: "0.1.0",
        site: "Kōwhai Example".into(),
        crs: "EPSG:2193".into(),
        reach: crate::plan::Reach::Orders,
        seed: 1,
        inputs: vec![InputRecord {
            role: "elevation".into(),
            file: "dem.tif".into(),
            sha256: "0".repeat(64),
        }],
        defaults: vec![],
        ground: GroundReport {
            wetness_by: "edges",
            wetness_edges: Some([8.0, 11.0]),
            further_layers: vec!["exposure_deg"],
        },
        totals: Totals::default(),
        crew_people: None,
        blocks: vec![block(&first, "RIDGE", 0.75, 1032), block(&first, "LOCAL", 0.25, 0)],
        zones: vec![first, second],
        keep_clear: vec![KeepClearRow {
            keep_clear_id: "K001".into(),
            rules: "stream".into(),
            reason: "stream bank".into(),
            authority: "regional rule".into(),
            date: "2020".into(),
            plan_area_ha: PlanHectares::from_m2(clear.unsigned_area()),
            geometry: clear,
        }],
        cards: vec![],
        stands: vec![],
        fits: vec![],
        fit_edges: FitEdgesRow { s1_from: 0.8, s2_from: 0.4, s3_from: 0.2, source: "test" },
        orders: vec![OrderRow {
            stock_id: "RIDGE".into(),
            name: "mānuka, tall".into(),
            stock_kind: "cultivar".into(),
            seedlings: 1032,
            order_qty: 1238,
            supply: None,
            plan_area_ha: PlanHectares(0.7425),
            blocks: 1,
        }],
        line_orders: vec![],
        seasons: vec![],
        solution: SolutionReport {
            solver: "test".into(),
            objective: 1.0,
            bound: 1.0,
            gap: 0.0,
            stopped_early: false,
            stopped_by: None,
            binding: vec![],
            in_flower: vec![],
            joined: None,
            by_hand_cost: None,
            by_hand_cost_not_known: "",
            by_hand: vec![],
        },
        merging: MergeReport::default(),
        cautions: vec![],
        plants: Vec::new(),
        plots: Vec::new(),
        warnings: vec![],
    }
}

/// A card of a block.
pub(crate) fn card(card_no: usize, block_id: &str, season: Option<i32>) -> CardRow {
    CardRow {
        card_no,
        zone_id: "Z001".into(),
        block_id: block_id.into(),
        letter: "A".into(),
        colour: "sky",
        colour_hex: "#62C7F4".into(),
        stock_id: "RIDGE".into(),
        stock_name: "=mānuka, tall".into(),
        season,
        seedlings: 1032,
        order_qty: 1238,
        boxes: Some(31),
        spacing_m: 3.02,
        pattern: Pattern::Square,
        density_basis: AreaBasis::Ground,
        drop_east_m: None,
        drop_north_m: None,
        to_track_m: None,
        crew_days: None,
        crew_days_by_the_end: None,
        begins_on_crew_day: None,
        hazards: String::new(),
    }
}
