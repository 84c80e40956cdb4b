//! The months over which sun is counted, by hemisphere.

use terrain::SunSettings;

/// The four months around the winter solstice: May to August in the south, November to February in
/// the north (and on the equator).
#[must_use]
pub fn winter_months(latitude_deg: f64) -> [u8; 4] {
    if latitude_deg < 0.0 { [5, 6, 7, 8] } else { [11, 12, 1, 2] }
}

/// The months that are given, or those of winter; none without a latitude.
#[must_use]
pub fn sun_months(given: Option<&[u8]>, latitude_deg: Option<f64>) -> Vec<u8> {
    let winter = || latitude_deg.map(|latitude| winter_months(latitude).to_vec());
    given.map(<[u8]>::to_vec).or_else(winter).unwrap_or_default()
}

/// Whether the sun rises in those months; so it does where no latitude tells otherwise.
#[must_use]
pub fn sun_rises(given: Option<&[u8]>, latitude_deg: Option<f64>) -> bool {
    let months = sun_months(given, latitude_deg);
    latitude_deg.is_none_or(|latitude| SunSettings { months, ..SunSettings::new(latitude) }.rises())
}

/// Whether every month lies in the warm half of the year: October to March in the south, April to
/// September in the north.
#[must_use]
pub fn are_warm(months: &[u8], latitude_deg: f64) -> bool {
    let north = |month: &u8| (4..=9).contains(month);
    !months.is_empty() && months.iter().all(|month| north(month) == (latitude_deg >= 0.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use terrain::declination_deg;

    /// Winter is where the sun stands on the other side of the equator, in the months in which it
    /// stands farthest: by the declination of `terrain`, itself held to outside suns.
    #[test]
    fn winter_has_the_lowest_suns() {
        let noon_height = |latitude: f64, month: u8| {
            let day = u16::from(month) * 30 - 15;
            90.0 - (latitude - declination_deg(f64::from(day))).abs()
        };
        for latitude in [-60.0, -41.0, -25.0, 25.0, 41.0, 60.0] {
            let mut months: Vec<u8> = (1..=12).collect();
            months.sort_by(|a, b| noon_height(latitude, *a).total_cmp(&noon_height(latitude, *b)));
            let mut lowest = months[..4].to_vec();
            let mut winter = winter_months(latitude).to_vec();
            lowest.sort_unstable();
            winter.sort_unstable();
            assert_eq!(winter, lowest, "{latitude}");
            assert!(!are_warm(&winter, latitude) && are_warm(&winter, -latitude));
        }
    }

    #[test]
    fn given_months_stay_and_the_whole_year_is_not_warm() {
        assert_eq!(sun_months(Some(&[1]), Some(-41.0)), [1]);
        assert_eq!(sun_months(None, Some(-41.0)), [5, 6, 7, 8]);
        assert_eq!(sun_months(None, None), Vec::<u8>::new());
        let year: Vec<u8> = (1..=12).collect();
        assert!(!are_warm(&year, 41.0) && !are_warm(&year, -41.0) && !are_warm(&[], 0.0));
    }
}
