//! The weather in which bees fly.

/// Weather of one hour at one place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HourWeather {
    /// Air temperature, °C.
    pub temp_c: f64,
    /// Mean wind, m/s.
    pub wind_ms: f64,
    /// Rain in the hour, mm.
    pub rain_mm: f64,
    /// Sunlight on level ground, W/m²; `None` where it was not measured.
    pub radiation_w_m2: Option<f64>,
    /// Whether the sun is up.
    pub sun_is_up: bool,
}

/// The weather in which bees fly, and from when on a window counts as lost. Every figure is a choice of the
/// user; defaults are [`FlightRule::usual`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FlightRule {
    /// Least air temperature, °C.
    ///
    /// 12.8: the flight hour of the almond pollination trade begins above 55 °F (trade press).
    pub least_c: f64,
    /// Wind in which bees no longer set out, m/s: they fly below it.
    ///
    /// 6.7: the same rule's 15 miles an hour. Other pages of the trade say about 12 miles an hour, 5.4 m/s,
    /// and that foraging falls off all the way from 1.6 to 6.7 m/s: the sources do not agree.
    pub most_wind_ms: f64,
    /// Most rain in an hour, mm.
    ///
    /// 0: the same rule allows none.
    pub most_rain_mm: f64,
    /// Least sunlight on level ground, W/m²; heard only where it was measured.
    ///
    /// 0: no figure is published as a threshold. Clarke & Robert 2018 explain 78 % of exits from two hives
    /// by temperature and sunlight together, so that some light is better than none.
    pub least_radiation_w_m2: f64,
    /// Air temperature from which nectar flows well, °C.
    ///
    /// 20: about 20 °C or more for mānuka (a producer's page; trade press).
    pub nectar_c: f64,
    /// Flying hours that make a day one with flying weather.
    ///
    /// 3: a choice, no source.
    pub day_hours: f64,
    /// Share of a window's days without flying weather from which it counts as lost, over 0 to 1.
    ///
    /// 0.5: a choice: most of it.
    pub lost_share: f64,
}

impl FlightRule {
    /// The defaults, each with its source at its field.
    #[must_use]
    pub fn usual() -> Self {
        Self {
            least_c: 12.8,
            most_wind_ms: 6.7,
            most_rain_mm: 0.0,
            least_radiation_w_m2: 0.0,
            nectar_c: 20.0,
            day_hours: 3.0,
            lost_share: 0.5,
        }
    }

    /// Whether bees fly in an hour. Weather that is not a number lets none fly.
    ///
    /// ```
    /// use bloom::{FlightRule, HourWeather};
    /// let rule = FlightRule::usual();
    /// let mild = HourWeather {
    ///     temp_c: 14.0, wind_ms: 3.0, rain_mm: 0.0, radiation_w_m2: None, sun_is_up: true,
    /// };
    /// assert!(rule.allows(&mild));
    /// assert!(!rule.allows(&HourWeather { wind_ms: 6.7, ..mild }));
    /// ```
    #[must_use]
    pub fn allows(&self, hour: &HourWeather) -> bool {
        hour.temp_c >= self.least_c && self.allows_but_for_warmth(hour)
    }

    /// The same whatever the temperature, which alone changes with height.
    pub(crate) fn allows_but_for_warmth(&self, hour: &HourWeather) -> bool {
        hour.sun_is_up
            && hour.wind_ms < self.most_wind_ms
            && hour.rain_mm <= self.most_rain_mm
            && hour.radiation_w_m2.is_none_or(|light| light >= self.least_radiation_w_m2)
    }

    /// Temperature from which nectar is carried in: bees must fly too.
    pub(crate) fn flow_c(&self) -> f64 {
        self.nectar_c.max(self.least_c)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 55 °F, 15 and 12 miles an hour; a mile is 1609.344 m (international yard and pound agreement of 1959).
    #[test]
    fn defaults_are_the_trade_rule_in_our_units() {
        let rule = FlightRule::usual();
        assert!(((55.0 - 32.0) / 1.8 - rule.least_c).abs() < 0.05);
        assert!((15.0 * 1_609.344 / 3_600.0 - rule.most_wind_ms).abs() < 0.05);
        assert!((12.0_f64 * 1_609.344 / 3_600.0 - 5.4).abs() < 0.05, "the other wind");
    }

    #[test]
    fn every_threshold_can_forbid() {
        let rule = FlightRule { least_radiation_w_m2: 100.0, ..FlightRule::usual() };
        let mild = HourWeather {
            temp_c: 12.8,
            wind_ms: 6.69,
            rain_mm: 0.0,
            radiation_w_m2: Some(100.0),
            sun_is_up: true,
        };
        assert!(rule.allows(&mild));
        assert!(rule.allows(&HourWeather { radiation_w_m2: None, ..mild }));
        for one in [
            HourWeather { temp_c: 12.79, ..mild },
            HourWeather { temp_c: f64::NAN, ..mild },
            HourWeather { wind_ms: 6.7, ..mild },
            HourWeather { wind_ms: f64::NAN, ..mild },
            HourWeather { rain_mm: 0.2, ..mild },
            HourWeather { rain_mm: f64::NAN, ..mild },
            HourWeather { radiation_w_m2: Some(99.0), ..mild },
            HourWeather { sun_is_up: false, ..mild },
        ] {
            assert!(!rule.allows(&one), "{one:?}");
        }
    }
}
