//! How strong the sun's beam is under a clear sky.

use crate::GridError;

/// Watts a square metre outside the air at the mean distance of the sun.
/// Source: Kopp & Lean 2011, A new, lower value of total solar irradiance (1360.8).
pub const SOLAR_CONSTANT_W_M2: f64 = 1361.0;

/// The air that a beam crosses, without cloud.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClearSky {
    /// Height above the sea, metres, −500 to 7000. 0 by default.
    pub altitude_m: f64,
    /// Optical depth of haze at a wavelength of 700 nm, 0 to 0.45. 0.1 by default, as in the source (clean country air is
    /// nearer 0.05: common practice, no source).
    pub haze: f64,
    /// Water vapour that would rain out of the whole air, centimetres, 0.2 to 10. 1 by default, as in the source.
    pub water_cm: f64,
}

impl Default for ClearSky {
    fn default() -> Self {
        Self { altitude_m: 0.0, haze: 0.1, water_cm: 1.0 }
    }
}

impl ClearSky {
    /// Watts a square metre that the beam brings to a surface that faces it, of `outside_w_m2`
    /// outside the air; 0 with the sun below the horizon.
    ///
    /// ```
    /// use terrain::{ClearSky, SOLAR_CONSTANT_W_M2};
    /// let overhead = ClearSky::default().beam_w_m2(90.0, SOLAR_CONSTANT_W_M2);
    /// assert!((900.0..1000.0).contains(&overhead));
    /// ```
    ///
    /// # References
    /// Ineichen 2008, A broadband simplified version of the Solis clear sky model; pressure by the
    /// International Standard Atmosphere (ISO 2533:1975).
    #[must_use]
    pub fn beam_w_m2(&self, apparent_elevation_deg: f64, outside_w_m2: f64) -> f64 {
        let up = apparent_elevation_deg.to_radians().sin();
        if up <= 0.0 {
            return 0.0;
        }
        let (haze, water) = (self.haze, self.water_cm);
        let (pressure, log_water) = (self.pressure_share().ln(), self.water_cm.ln());
        let enhanced = 1.08 * water.powf(0.0051)
            + 0.97 * water.powf(0.032) * haze
            + 0.12 * water.powf(0.56) * haze * haze
            + 0.071 * pressure;
        let depth = (1.82 + 0.056 * log_water + 0.0071 * log_water * log_water) * haze
            + (0.33 + 0.045 * log_water + 0.0096 * log_water * log_water)
            + (0.0089 * water + 0.13) * pressure;
        let bend = (0.009_25 * haze * haze + 0.0148 * haze - 0.0172) * log_water
            + (-0.7565 * haze * haze + 0.5057 * haze + 0.4557);
        outside_w_m2 * enhanced * (-depth / up.powf(bend)).exp()
    }

    /// Pressure of the air against that at the sea.
    fn pressure_share(&self) -> f64 {
        (1.0 - 2.255_77e-5 * self.altitude_m).powf(5.255_88)
    }

    /// Checks that the source's formulas hold.
    pub(super) fn check(&self) -> Result<(), GridError> {
        let limits = [
            ("altitude in metres", self.altitude_m, -500.0, 7000.0, "−500 to 7000"),
            ("haze (optical depth at 700 nm)", self.haze, 0.0, 0.45, "0 to 0.45"),
            ("water vapour in centimetres", self.water_cm, 0.2, 10.0, "0.2 to 10"),
        ];
        for (what, value, least, most, expected) in limits {
            if !(least..=most).contains(&value) {
                return Err(GridError::Setting { what, value, expected });
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// International Standard Atmosphere: 898.75 hPa at 1000 m, 701.09 at 3000 m, 1013.25 at sea.
    #[test]
    fn pressure_is_as_tabled() {
        for (altitude_m, hectopascal) in [(0.0, 1013.25), (1000.0, 898.75), (3000.0, 701.09)] {
            let sky = ClearSky { altitude_m, ..Default::default() };
            assert!((sky.pressure_share() * 1013.25 - hectopascal).abs() < 0.1);
        }
    }

    #[test]
    fn the_beam_grows_with_the_sun_and_with_clear_air() {
        let beam = |sky: ClearSky, elevation: f64| sky.beam_w_m2(elevation, SOLAR_CONSTANT_W_M2);
        let sky = ClearSky::default();
        for tenth in 0..900 {
            let elevation = f64::from(tenth) / 10.0;
            assert!(beam(sky, elevation) < beam(sky, elevation + 0.1));
        }
        assert!(beam(ClearSky { haze: 0.3, ..sky }, 40.0) < beam(sky, 40.0));
        assert!(beam(ClearSky { altitude_m: 2000.0, ..sky }, 40.0) > beam(sky, 40.0));
        assert_eq!(beam(sky, -0.1).to_bits(), 0.0_f64.to_bits());
    }
}
