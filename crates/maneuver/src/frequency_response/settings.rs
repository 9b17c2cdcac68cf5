//! Settings of the frequency response.

use axletree_scalar::lone;
use axletree_simulation::drive::Integrator;
use axletree_simulation::{FIXED_STEP, ManeuverError, within};
use serde::{Deserialize, Serialize};

use crate::checks;

pub(super) const NAME: &str = "frequency_response";

/// Method of a frequency response.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum FrequencyMethod {
    /// From the exact linearization about straight running. Dampers have the mean of their slopes
    /// in bump and rebound.
    Linearization,
    /// From a swept sine of the steering wheel.
    SweptSine {
        /// Lateral acceleration that the amplitude of the steering wheel would give if held
        /// `[m/s^2]`. The standard's level is 4 m/s^2 (from memory).
        lateral_acceleration: f64,
        /// Duration of the sweep `[s]`.
        duration: f64,
    },
}

/// Frequency response to the steering wheel after ISO 7401: gain and phase of yaw rate, lateral
/// acceleration, roll and sideslip.
///
/// ```
/// use axletree_maneuver::{FrequencyResponse, Maneuver};
/// use axletree_numerics::Interrupt;
/// use axletree_vehicle::bundled;
///
/// let car = bundled("bramble-solid").expect("a bundled car")?.assemble()?;
/// let measures = FrequencyResponse::default().measure(&car, Interrupt::never())?;
/// assert!(measures.get("yaw_rate_bandwidth").is_some_and(|f| f > 0.5));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct FrequencyResponse {
    /// Speed `[m/s]`. Default: 80 km/h (1988 edition; later ones 100 km/h; from memory).
    pub speed: f64,
    /// Method.
    pub method: FrequencyMethod,
    /// Lowest and highest frequency `[Hz]`. Default: 0.1 to 5; the standard requires 0.2 to 2 (from
    /// memory), bandwidths lie above.
    pub frequencies: [f64; 2],
    /// Number of frequencies, evenly spaced on a logarithmic scale.
    pub points: usize,
    /// Friction of the surface relative to the tires' reference `[-]`.
    pub friction: f64,
    /// Longest step of the integration `[s]`.
    pub step: f64,
    /// Integrator; the points of the time grid are the same for both.
    pub integrator: Integrator,
}

impl Default for FrequencyResponse {
    fn default() -> Self {
        FrequencyResponse {
            speed: 80.0 / 3.6,
            method: FrequencyMethod::Linearization,
            frequencies: [0.1, 5.0],
            points: 80,
            friction: 1.0,
            step: FIXED_STEP,
            integrator: Integrator::Fixed,
        }
    }
}

impl FrequencyResponse {
    /// The frequencies `[Hz]`.
    pub(super) fn grid(&self) -> Vec<f64> {
        let [low, high] = self.frequencies;
        let last = (self.points - 1) as f64;
        (0..self.points)
            .map(|i| low * lone::pow(high / low, i as f64 / last))
            .collect()
    }

    /// Checks the settings.
    pub(super) fn checked(&self) -> Result<(), ManeuverError> {
        checks::speed(NAME, self.speed)?;
        let [low, high] = self.frequencies;
        within(NAME, "lowest frequency", low, (0.01, 20.0), "Hz")?;
        within(NAME, "highest frequency", high, (0.01, 20.0), "Hz")?;
        let ends = [("lowest frequency", low), ("highest frequency", high)];
        checks::below(NAME, ends[0], ends[1], "Hz")?;
        within(NAME, "points", self.points as f64, (3.0, 10_000.0), "-")?;
        if let FrequencyMethod::SweptSine {
            lateral_acceleration,
            duration,
        } = self.method
        {
            let (setting, range) = ("method.lateral_acceleration", (1e-4, 30.0));
            within(NAME, setting, lateral_acceleration, range, "m/s^2")?;
            within(NAME, "method.duration", duration, (5.0, 1000.0), "s")?;
        }
        checks::friction(NAME, self.friction)?;
        checks::integration(NAME, self.step, self.integrator)
    }
}
