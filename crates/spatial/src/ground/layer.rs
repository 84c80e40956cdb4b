//! The layers of the ground: one table, from which files, factors and the data dictionary come.

/// A layer of the ground that can be derived.
///
/// The order of the variants is the order of the table and of the files.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum GroundLayer {
    /// Slope at the working scale, degrees.
    Slope,
    /// Direction of the downhill side, degrees clockwise from north.
    Aspect,
    /// Change of slope down the fall line, 1/m.
    ProfileCurvature,
    /// Bending of the contours, 1/m.
    PlanCurvature,
    /// Elevation without hollows, metres.
    Filled,
    /// Map area that drains through a cell, square metres.
    FlowArea,
    /// ln(a / tan β).
    WetnessIndex,
    /// Direct sun over the chosen months, level open ground = 1.
    SunRatio,
    /// Sum of eight horizon angles, degrees.
    Exposure,
    /// The same weighted by the wind rose, degrees.
    WindExposure,
    /// Visible share of the sky, 0 to 1.
    SkyView,
    /// Height above the nearest drainage line, metres.
    HeightAboveDrainage,
    /// How readily cold air pools, 0 to 1.
    FrostIndex,
    /// Mean temperature of the year, °C.
    AnnualMean,
    /// Mean daily minimum of the coldest month, °C.
    ColdestMonthMin,
    /// Slope length and steepness factor of RUSLE.
    LsFactor,
}

/// One row of the table.
#[derive(Debug, Clone, Copy)]
struct Row {
    name: &'static str,
    unit: &'static str,
    meaning: &'static str,
}

const fn row(name: &'static str, unit: &'static str, meaning: &'static str) -> Row {
    Row { name, unit, meaning }
}

#[rustfmt::skip] // a table
const TABLE: [Row; GroundLayer::ALL.len()] = [
    row("slope_deg", "degrees", "Steepness of the ground at the working scale: 0 is level, 90 is upright."),
    row("aspect_deg", "degrees", "Direction the ground faces, clockwise from north; level ground is a hole."),
    row("profile_curvature_per_m", "1/m", "Change of the slope down the fall line at the working scale: above 0 where the ground steepens downhill (a brow), below 0 where it eases (a foot)."),
    row("plan_curvature_per_m", "1/m", "Bending of the ground across the fall line at the working scale: above 0 where water spreads (a spur), below 0 where it gathers."),
    row("filled_m", "m", "Elevation without hollows, filled to their outlet or breached as the site says, so that water leaves every cell."),
    row("flow_area_m2", "m2", "Map area whose water passes through the cell, the cell's own included."),
    row("wetness_index", "ln(m)", "Topographic wetness index ln(a / tan β): the higher, the wetter the ground lies."),
    row("sun_ratio", "1", "Direct sun under a clear sky over the chosen months, shadows of the land counted: 1 is level open ground."),
    row("exposure_deg", "degrees", "Sum of the angles up to the horizon in eight directions: the smaller, the more exposed to wind."),
    row("wind_exposure_deg", "degrees", "The same sum weighted by how often the wind comes from each direction."),
    row("sky_view_share", "1", "Share of the sky that is seen, 0 to 1: 1 is open ground."),
    row("height_above_drainage_m", "m", "Height above the drainage line that the cell's water reaches first; a hole where it reaches none on the ground that was read."),
    row("frost_index", "1", "How readily cold air pools, 0 to 1: low above drainage under an open sky is high; a hole where height above drainage is."),
    row("annual_mean_c", "degC", "Mean temperature of the year: the station's, moved by the lapse rate to the cell's height."),
    row("coldest_month_min_c", "degC", "Mean daily minimum of the coldest month: the station's, moved by the lapse rate to the cell's height."),
    row("ls_factor", "1", "Slope length and steepness factor LS of RUSLE: sheet and rill erosion only, never landslides; its steepness factor was fitted on slopes of up to about 18 %, and steeper ground is carried beyond that."),
];

impl GroundLayer {
    /// Every layer, in table order.
    pub const ALL: [Self; 16] = [
        Self::Slope,
        Self::Aspect,
        Self::ProfileCurvature,
        Self::PlanCurvature,
        Self::Filled,
        Self::FlowArea,
        Self::WetnessIndex,
        Self::SunRatio,
        Self::Exposure,
        Self::WindExposure,
        Self::SkyView,
        Self::HeightAboveDrainage,
        Self::FrostIndex,
        Self::AnnualMean,
        Self::ColdestMonthMin,
        Self::LsFactor,
    ];

    /// Every name, in table order.
    pub const NAMES: [&'static str; Self::ALL.len()] = {
        let mut names = [""; Self::ALL.len()];
        let mut at = 0;
        while at < names.len() {
            names[at] = TABLE[at].name;
            at += 1;
        }
        names
    };

    /// Its name, unit included, such as `slope_deg`.
    #[must_use]
    pub fn name(self) -> &'static str {
        TABLE[self as usize].name
    }

    /// The layer with a name.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|layer| layer.name() == name)
    }

    /// The unit of its cells, as it is written into files.
    #[must_use]
    pub fn unit(self) -> &'static str {
        TABLE[self as usize].unit
    }

    /// What a cell says, in one sentence.
    #[must_use]
    pub fn meaning(self) -> &'static str {
        TABLE[self as usize].meaning
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_is_in_the_order_of_the_variants() {
        for (place, layer) in GroundLayer::ALL.into_iter().enumerate() {
            assert_eq!(layer as usize, place);
            assert_eq!(GroundLayer::from_name(layer.name()), Some(layer));
            assert!(layer.meaning().ends_with('.'));
        }
        assert!(GroundLayer::NAMES.contains(&"slope_deg"));
    }

    #[test]
    fn numeric_factors_of_stock_are_layers_by_the_same_name() {
        for factor in stock::Factor::NUMERIC {
            let elevation = factor == stock::Factor::ElevationM; // given, not derived
            assert!(elevation || GroundLayer::from_name(factor.key()).is_some(), "{factor}");
        }
    }
}
