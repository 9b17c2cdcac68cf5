//! A usual street tire, from the table of inputs.

use crate::inputs::TIRE_INPUTS;
use crate::spec::{DirectionSpec, TireSpec};

/// A direction before the table fills it in.
const EMPTY_DIRECTION: DirectionSpec = DirectionSpec {
    friction: f64::NAN,
    friction_fall: f64::NAN,
    stiffness: f64::NAN,
    stiffness_peak_load: f64::NAN,
    stiffness_pressure: f64::NAN,
    peak_load_pressure: f64::NAN,
    shape: f64::NAN,
    curvature: f64::NAN,
    carcass_stiffness: f64::NAN,
};

/// A description before the table fills it in.
const EMPTY: TireSpec = TireSpec {
    unloaded_radius: f64::NAN,
    nominal_load: f64::NAN,
    nominal_pressure: f64::NAN,
    vertical_stiffness: f64::NAN,
    vertical_damping: f64::NAN,
    vertical_stiffness_pressure: f64::NAN,
    radius_fraction: f64::NAN,
    longitudinal: EMPTY_DIRECTION,
    lateral: EMPTY_DIRECTION,
    grip_pressure: f64::NAN,
    grip_pressure_loss: f64::NAN,
    camber_thrust: f64::NAN,
    camber_grip_loss: f64::NAN,
    camber_stiffness_loss: f64::NAN,
    trail: f64::NAN,
    trail_reach: f64::NAN,
    carcass_pressure: f64::NAN,
    carcass_damping_time: f64::NAN,
    relaxation_floor: f64::NAN,
    rolling_resistance: f64::NAN,
    rolling_pressure_exponent: f64::NAN,
};

impl TireSpec {
    /// A usual street tire of an unloaded radius `[m]` and a nominal load `[N]`.
    ///
    /// Every other input has its usual value from [`TIRE_INPUTS`], where the reason or source of
    /// each is stated; stiffnesses and loads are in proportion to the nominal load, the trail to
    /// the radius. It is a starting point: replace what you know, and sweep the rest.
    ///
    /// ```
    /// use axletree_tire::TireSpec;
    ///
    /// let tire = TireSpec::typical(0.31, 4000.0);
    /// assert_eq!(tire.vertical_stiffness, 200e3);
    /// assert!(tire.check().is_ok());
    /// ```
    pub fn typical(unloaded_radius: f64, nominal_load: f64) -> TireSpec {
        let mut spec = EMPTY;
        for input in TIRE_INPUTS {
            (input.set)(&mut spec, input.usual_si(unloaded_radius, nominal_load));
        }
        // As given, in range or not: a check reports them.
        spec.unloaded_radius = unloaded_radius;
        spec.nominal_load = nominal_load;
        spec
    }
}
