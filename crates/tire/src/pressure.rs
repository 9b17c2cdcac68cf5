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
use axletree_scalar::lone;

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
        let off = pressure / self.grip_pressure - 1.0;
        let grip = (1.0 - self.grip_pressure_loss * off * off).max(LEAST_FRICTION);
        let radial = 1.0 + self.vertical_stiffness_pressure * dp;
        let x = self.fold_direction(&self.longitudinal, dp, grip);
        let y = self.fold_direction(&self.lateral, dp, grip);
        Tire {
            unloaded_radius: self.unloaded_radius,
            radius_fraction: self.radius_fraction,
            vertical_stiffness: self.vertical_stiffness * radial,
            vertical_damping: self.vertical_damping,
            camber_thrust: self.camber_thrust,
            camber_grip_loss: self.camber_grip_loss,
            camber_stiffness_loss: self.camber_stiffness_loss,
            trail_by_root: self.trail / (self.nominal_load * radial).sqrt(),
            trail_slip: 1.0 / (3.0 * self.trail_reach * y.normalization),
            carcass_damping_time: self.carcass_damping_time,
            rolling_resistance: self.rolling_resistance
                * lone::pow(1.0 + dp, self.rolling_pressure_exponent),
            x,
            y,
        }
    }

    fn fold_direction(&self, d: &DirectionSpec, dp: f64, grip: f64) -> Direction<f64> {
        let mu = d.friction * grip;
        // K_max from the stiffness at the nominal load, then both moved with pressure.
        let u = self.nominal_load / d.stiffness_peak_load;
        let largest = d.stiffness * (1.0 + u * u) / (2.0 * u) * (1.0 + d.stiffness_pressure * dp);
        let peak_load = d.stiffness_peak_load * (1.0 + d.peak_load_pressure * dp);
        let steepness = steepness(d.shape, d.curvature);
        let carcass = d.carcass_stiffness * (1.0 + self.carcass_pressure * dp);
        Direction {
            friction_unloaded: mu * (1.0 + d.friction_fall),
            friction_slope: mu * d.friction_fall / self.nominal_load,
            friction_floor: mu * LEAST_FRICTION,
            softness: peak_load / (2.0 * largest),
            stiffness_load: 1.0 / peak_load,
            shape: d.shape,
            curvature: d.curvature,
            steepness,
            normalization: 1.0 / (steepness * d.shape),
            carcass_stiffness: carcass,
            stiffness_floor: carcass * self.relaxation_floor,
        }
    }
}
