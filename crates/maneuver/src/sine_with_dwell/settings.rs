//! Settings of the sine with dwell.

use axletree_simulation::drive::Integrator;
use axletree_simulation::{FIXED_STEP, ManeuverError, within};
use serde::{Deserialize, Serialize};

use super::steering::DwellSine;
use crate::checks;

pub(super) const NAME: &str = "sine_with_dwell";

/// Sine with dwell after ISO 19365: one sine of the steering wheel with a pause at its second peak,
/// at growing amplitudes.
///
/// The defaults are those of the regulation (49 CFR 571.126, S7.6 and S7.9; ISO 19365; from
/// memory): 80 km/h, 0.7 Hz, a dwell of 500 ms; amplitudes from 1.5 times the reference angle up in
/// steps of a half, to the larger of 6.5 times and 270 deg, but not over 300 deg; the car coasts in
/// a high gear. There is no electronic stability control: the runs show the car without it.
///
/// ```
/// use axletree_maneuver::{Maneuver, SineWithDwell};
/// use axletree_numerics::Interrupt;
/// use axletree_vehicle::bundled;
///
/// let car = bundled("bramble-solid").expect("a bundled car")?.assemble()?;
/// let one = SineWithDwell {
///     amplitude: Some(1.0),
///     ..SineWithDwell::default()
/// };
/// let measures = one.measure(&car, Interrupt::never())?;
/// assert!(measures.get("yaw_rate_left_late").is_some_and(|left| left < 0.2));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct SineWithDwell {
    /// Speed at the start `[m/s]`.
    pub speed: f64,
    /// Frequency of the sine `[Hz]`.
    pub frequency: f64,
    /// Pause at the second peak `[s]`.
    pub dwell: f64,
    /// First turn to the left, else to the right.
    pub to_left: bool,
    /// A single amplitude of the steering wheel instead of the series `[rad]`.
    pub amplitude: Option<f64>,
    /// First amplitude of the series `[reference angles]`.
    pub first: f64,
    /// Step of the series `[reference angles]`.
    pub increment: f64,
    /// Least last amplitude of the series `[reference angles]`.
    pub last: f64,
    /// Least last angle of the series `[rad]`.
    pub last_angle: f64,
    /// Largest angle of the series `[rad]`.
    pub largest_angle: f64,
    /// Gear, counted from 1. Default: the highest.
    pub gear: Option<usize>,
    /// Friction of the surface relative to the tires' reference `[-]`.
    pub friction: f64,
    /// Longest step of the integration `[s]`.
    pub step: f64,
    /// Integrator; the points of the time grid are the same for both.
    pub integrator: Integrator,
}

impl Default for SineWithDwell {
    fn default() -> Self {
        SineWithDwell {
            speed: 80.0 / 3.6,
            frequency: 0.7,
            dwell: 0.5,
            to_left: true,
            amplitude: None,
            first: 1.5,
            increment: 0.5,
            last: 6.5,
            last_angle: 270f64.to_radians(),
            largest_angle: 300f64.to_radians(),
            gear: None,
            friction: 1.0,
            step: FIXED_STEP,
            integrator: Integrator::Fixed,
        }
    }
}

impl SineWithDwell {
    /// Amplitudes of the series for a reference angle, both of the steering wheel `[rad]`.
    pub fn amplitudes(&self, reference: f64) -> Vec<f64> {
        if let Some(amplitude) = self.amplitude {
            return vec![amplitude];
        }
        let end = (self.last * reference)
            .max(self.last_angle)
            .min(self.largest_angle);
        let mut series = Vec::new();
        let mut i = 0;
        loop {
            let amplitude = (self.first + self.increment * f64::from(i)) * reference;
            if amplitude >= end - 1e-9 {
                break;
            }
            series.push(amplitude);
            i += 1;
        }
        series.push(end);
        series
    }

    /// The sine of an amplitude `[rad]`, to the side of the first turn.
    pub(super) fn sine(&self, amplitude: f64) -> DwellSine {
        DwellSine {
            amplitude: if self.to_left { amplitude } else { -amplitude },
            frequency: self.frequency,
            dwell: self.dwell,
        }
    }

    /// Checks the settings.
    pub(super) fn checked(&self) -> Result<(), ManeuverError> {
        within(NAME, "speed", self.speed, (5.0, 100.0), "m/s")?;
        within(NAME, "frequency", self.frequency, (0.1, 5.0), "Hz")?;
        within(NAME, "dwell", self.dwell, (0.0, 5.0), "s")?;
        if let Some(amplitude) = self.amplitude {
            within(NAME, "amplitude", amplitude, (1e-4, 20.0), "rad")?;
        }
        within(NAME, "first", self.first, (0.01, 100.0), "-")?;
        within(NAME, "increment", self.increment, (0.05, 100.0), "-")?;
        within(NAME, "last", self.last, (0.01, 100.0), "-")?;
        within(NAME, "last_angle", self.last_angle, (0.0, 20.0), "rad")?;
        let largest = self.largest_angle;
        within(NAME, "largest_angle", largest, (0.01, 20.0), "rad")?;
        checks::friction(NAME, self.friction)?;
        checks::integration(NAME, self.step, self.integrator)
    }
}
