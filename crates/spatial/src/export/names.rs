//! Names of columns in shapefiles, whose tables allow ten letters.
//!
//! Source: dBASE III field names of 10 bytes, as Esri 1998, Shapefile Technical Description, asks for (from memory).

/// The name of every column of a plan's layers in a shapefile: at most 10 letters, one for each, whatever layer it is in.
#[rustfmt::skip]
pub(super) static SHAPEFILE_NAMES: [(&str, &str); 62] = [
    ("authority", "authority"),
    ("best_fit", "best_fit"),
    ("block_id", "block_id"),
    ("border_drift_m2", "drift_m2"),
    ("class_share", "cls_share"),
    ("cover", "cover"),
    ("cover_treatment", "treatment"),
    ("date", "rule_date"),
    ("density_basis", "dens_basis"),
    ("density_sph", "dens_sph"),
    ("east_m", "east_m"),
    ("elevation_max_m", "elev_max_m"),
    ("elevation_mean_m", "elev_m"),
    ("elevation_min_m", "elev_min_m"),
    ("exposure_class", "expo_class"),
    ("exposure_mean_deg", "expo_deg"),
    ("fit", "fit"),
    ("fit_class", "fit_class"),
    ("frost_class", "frost_cls"),
    ("frost_index_mean", "frost_idx"),
    ("gap_share", "gap_share"),
    ("ground_area_ha", "ground_ha"),
    ("height_m", "height_m"),
    ("keep_clear_id", "clear_id"),
    ("left_reason", "left_why"),
    ("left_share", "left_share"),
    ("limiting_factor", "limited_by"),
    ("mean_width_m", "width_m"),
    ("merged_regions", "merged"),
    ("north_m", "north_m"),
    ("order_qty", "order_qty"),
    ("person_days", "pers_days"),
    ("plan_area_ha", "plan_ha"),
    ("plants", "plants"),
    ("plot_id", "plot_id"),
    ("purpose", "purpose"),
    ("radius_m", "radius_m"),
    ("reason", "reason"),
    ("row_no", "row_no"),
    ("rules", "rules"),
    ("runner_up", "runner_up"),
    ("runner_up_less", "runup_less"),
    ("season", "season"),
    ("seedlings", "seedlings"),
    ("share", "share"),
    ("short_reason", "short_why"),
    ("slope_deg", "slope_deg"),
    ("slope_group", "slope_grp"),
    ("slope_mean_deg", "slope_mean"),
    ("slope_p10_deg", "slope_p10"),
    ("slope_p50_deg", "slope_p50"),
    ("slope_p90_deg", "slope_p90"),
    ("spacing_m", "spacing_m"),
    ("stand_id", "stand_id"),
    ("stock_id", "stock_id"),
    ("stock_kind", "stock_kind"),
    ("sun_class", "sun_class"),
    ("sun_ratio_mean", "sun_ratio"),
    ("wetness_class", "wet_class"),
    ("wetness_mean", "wetness"),
    ("widest_m", "widest_m"),
    ("zone_id", "zone_id"),
];

/// The name of a column in a shapefile; `None` for a column that no layer of this version has.
pub(super) fn shapefile_name(column: &str) -> Option<&'static str> {
    SHAPEFILE_NAMES.iter().find(|(long, _)| *long == column).map(|(_, short)| *short)
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;
    use crate::write::columns::{BLOCKS, KEEP_CLEAR, PLANTS, PLOTS, STANDS, ZONES};

    #[test]
    fn every_column_has_a_name_of_its_own_that_a_table_can_hold() {
        let mut columns: BTreeSet<&str> = BTreeSet::new();
        columns.extend(ZONES.iter().map(|column| column.name));
        columns.extend(BLOCKS.iter().map(|column| column.name));
        columns.extend(KEEP_CLEAR.iter().map(|column| column.name));
        columns.extend(STANDS.iter().map(|column| column.name));
        columns.extend(PLANTS.iter().map(|column| column.name));
        columns.extend(PLOTS.iter().map(|column| column.name));
        let named: BTreeSet<&str> = SHAPEFILE_NAMES.iter().map(|(column, _)| *column).collect();
        assert_eq!(columns, named, "columns without a name, or names without a column");
        assert!(SHAPEFILE_NAMES.is_sorted());
        let mut short: Vec<&str> = SHAPEFILE_NAMES.iter().map(|(_, short)| *short).collect();
        for name in &short {
            assert!((1..=10).contains(&name.len()), "{name}");
            assert!(
                name.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_'),
                "{name}"
            );
        }
        short.sort_unstable();
        short.dedup();
        assert_eq!(short.len(), SHAPEFILE_NAMES.len(), "two columns of one name");
    }
}
