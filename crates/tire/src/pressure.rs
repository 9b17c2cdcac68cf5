//! The numbers of a tire at one inflation pressure, from its description.
//!
//! With the relative pressure change dp = (p - p_0)/p_0 (the approach, though not the full set of
//! terms, of Besselink, Schmeitz and Pacejka, *An improved Magic Formula/Swift tyre model that can
//! handle inflation pressure changes*, Vehicle System Dynamics 48 (S1), 2010, pp. 337-352):
//!
//! ```text
//! largest slip stiffness     K_max (1 + p_1 dp)
//! load where it is reached   F_K (1 + p_2 dp)
//! radial stiffness           k (1 + p_z dp)
//! carcass stiffness          k (1 + p_c dp)
//! friction                   mu (1 - q ((p - p_best)/p_best)^2)
//! trail                      t (1 + p_z dp)^(-1/2), as the contact length
//! rolling resistance         f (p/p_0)^a
//! ```
//!
//! With p_2 > p_1, more pressure costs cornering stiffness at low load and adds some at high load.

use crate::error::TireError;
use crate::numbers::{Direction, Tire};
use crate::pure::steepness;
use crate::spec::{DirectionSpec, TireSpec};
use axletree_scalar::{Real, lone};

/// Least share of nominal friction at any load and pressure. `[-]`
const LEAST_FRICTION: f64 = 0.3;

impl TireSpec {
    /// The tire at an inflation pressure above the atmosphere `[Pa]`.
    ///
    /// # Errors
    ///
    /// [`TireError::Spec`] with every input out of range, the pressure among them, and every
    /// coefficient of pressure that leaves too little at this pressure.
    ///
    /// ```
    /// use axletree_tire::TireSpec;
    ///
    /// let spec = TireSpec::typical(0.31, 4000.0);
    /// assert!(spec.at(180e3)?.vertical_stiffness < spec.vertical_stiffness);
    /// assert!(spec.at(10e3).is_err());
    /// # Ok::<(), axletree_tire::TireError>(())
    /// ```
    pub fn at(&self, pressure: f64) -> Result<Tire<f64>, TireError> {
        let faults = self.faults_at(pressure);
        if faults.is_empty() {
            Ok(self.fold(pressure))
        } else {
            Err(TireError::Spec(faults))
        }
    }

    /// The numbers at a pressure `[Pa]`, without a check.
    pub(crate) fn fold(&self, pressure: f64) -> Tire<f64> {
        let dp = pressure / self.nominal_pressure - 1.0;
        Tire {
            rolling_resistance: self.rolling_resistance
                * lone::pow(1.0 + dp, self.rolling_pressure_exponent),
            ..PressureFolding::of(self).slip_numbers(pressure)
        }
    }
}

/// A description with what does not depend on the pressure found once, for many pressures.
#[derive(Clone, Copy, Debug)]
pub(crate) struct PressureFolding<'s> {
    spec: &'s TireSpec,
    /// Stiffness factors of the two curves, along and across.
    steepness: [f64; 2],
}

impl<'s> PressureFolding<'s> {
    /// Prepares a description.
    pub fn of(spec: &'s TireSpec) -> Self {
        let directions = [&spec.longitudinal, &spec.lateral];
        PressureFolding {
            spec,
            steepness: directions.map(|d| steepness(d.shape, d.curvature)),
        }
    }

    /// The numbers at a pressure `[Pa]` on which force and aligning moment depend; the rolling
    /// resistance stays that of the nominal pressure.
    #[inline(always)]
    pub fn slip_numbers<T: Real>(&self, pressure: T) -> Tire<T> {
        let spec = self.spec;
        let dp = pressure / T::c(spec.nominal_pressure) - T::one();
        let off = pressure / T::c(spec.grip_pressure) - T::one();
        let grip = T::one() - T::c(spec.grip_pressure_loss) * off * off;
        let grip = grip.max(T::c(LEAST_FRICTION));
        let radial = T::one() + T::c(spec.vertical_stiffness_pressure) * dp;
        let [along, across] = self.steepness;
        let x = self.direction(&spec.longitudinal, along, dp, grip);
        let y = self.direction(&spec.lateral, across, dp, grip);
        Tire {
            unloaded_radius: T::c(spec.unloaded_radius),
            radius_fraction: T::c(spec.radius_fraction),
            vertical_stiffness: T::c(spec.vertical_stiffness) * radial,
            vertical_damping: T::c(spec.vertical_damping),
            camber_thrust: T::c(spec.camber_thrust),
            camber_grip_loss: T::c(spec.camber_grip_loss),
            camber_stiffness_loss: T::c(spec.camber_stiffness_loss),
            trail_by_root: T::c(spec.trail) / (T::c(spec.nominal_load) * radial).sqrt(),
            trail_slip: T::one() / (T::c(3.0 * spec.trail_reach) * y.normalization),
            carcass_damping_time: T::c(spec.carcass_damping_time),
            rolling_resistance: T::c(spec.rolling_resistance),
            x,
            y,
        }
    }

    #[inline(always)]
    fn direction<T: Real>(
        &self,
        d: &DirectionSpec,
        steepness: f64,
        dp: T,
        grip: T,
    ) -> Direction<T> {
        let spec = self.spec;
        let grows = |coefficient: f64| T::one() + T::c(coefficient) * dp;
        let mu = T::c(d.friction) * grip;
        // K_max from the stiffness at the nominal load, then both moved with pressure.
        let u = spec.nominal_load / d.stiffness_peak_load;
        let nominal = d.stiffness * (1.0 + u * u) / (2.0 * u);
        let largest = T::c(nominal) * grows(d.stiffness_pressure);
        let peak_load = T::c(d.stiffness_peak_load) * grows(d.peak_load_pressure);
        let carcass = T::c(d.carcass_stiffness) * grows(spec.carcass_pressure);
        Direction {
            friction_unloaded: mu * T::c(1.0 + d.friction_fall),
            friction_slope: mu * T::c(d.friction_fall) / T::c(spec.nominal_load),
            friction_floor: mu * T::c(LEAST_FRICTION),
            softness: peak_load / (T::c(2.0) * largest),
            stiffness_load: T::one() / peak_load,
            shape: T::c(d.shape),
            curvature: T::c(d.curvature),
            steepness: T::c(steepness),
            normalization: T::c(1.0 / (steepness * d.shape)),
            carcass_stiffness: carcass,
            stiffness_floor: carcass * T::c(spec.relaxation_floor),
        }
    }
}
