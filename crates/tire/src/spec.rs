//! A tire described in physical inputs.
//!
//! Most of them are known or can be estimated without a test rig: grip from lap data or a lap-time
//! table, stiffness from a data sheet or the literature, the fall of grip with load from experience
//! with bars and weight. Every input can be swept alone: no two of them describe the same property.
//!
//! Axes follow ISO 8855: x forward, y left, z up, at the contact. Every description holds for a
//! surface of friction scale one. Ranges and usual values are in
//! [`TIRE_INPUTS`](crate::TIRE_INPUTS).

/// The inputs that exist once along and once across the wheel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DirectionSpec {
    /// Largest force over vertical load. `[-]`
    ///
    /// It holds at the nominal load and the pressure of best grip, upright.
    pub friction: f64,
    /// Relative fall of that friction when the load rises by one nominal load. `[-]`
    ///
    /// The friction is linear in load and held above 0.3 of its nominal value far beyond test
    /// loads.
    pub friction_fall: f64,
    /// Slip stiffness dF/dslip at zero slip: cornering stiffness across, slip stiffness along.
    /// `[N/rad]`
    ///
    /// It holds at the nominal load and pressure, upright.
    pub stiffness: f64,
    /// Load at which the slip stiffness is largest, at the nominal pressure. `[N]`
    ///
    /// Far above every load in use where the stiffness just grows with load.
    pub stiffness_peak_load: f64,
    /// Relative growth of the largest slip stiffness per relative growth of pressure. `[-]`
    pub stiffness_pressure: f64,
    /// Relative growth of the load of largest stiffness per relative growth of pressure. `[-]`
    pub peak_load_pressure: f64,
    /// Shape factor C of the force curve, between 1 and 2. `[-]`
    ///
    /// The force left in full sliding is sin(pi C/2) of the largest.
    pub shape: f64,
    /// Curvature E of the force curve, below 1. `[-]`
    ///
    /// The more negative, the sharper the bend and the nearer the peak; it moves the peak without
    /// moving the initial slope.
    pub curvature: f64,
    /// Stiffness of the standing tire between rim and contact, at the nominal pressure. `[N/m]`
    pub carcass_stiffness: f64,
}

/// A tire.
///
/// ```
/// use axletree_tire::TireSpec;
///
/// let mut tire = TireSpec::typical(0.31, 4000.0);
/// tire.lateral.friction = 1.2;
/// let numbers = tire.at(220e3)?;
/// let contact = numbers.contact(4000.0, 0.0, 1.0);
/// assert!((contact.peak[1] - 4800.0).abs() < 1e-9);
/// # Ok::<(), axletree_tire::TireError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TireSpec {
    /// Radius of the inflated tire without load. `[m]`
    pub unloaded_radius: f64,
    /// Load at which the other inputs are given. `[N]`
    pub nominal_load: f64,
    /// Inflation pressure above the atmosphere at which the other inputs are given. `[Pa]`
    pub nominal_pressure: f64,
    /// Radial stiffness at the nominal pressure. `[N/m]`
    pub vertical_stiffness: f64,
    /// Radial damping. `[N*s/m]`
    pub vertical_damping: f64,
    /// Relative growth of the radial stiffness per relative growth of pressure. `[-]`
    pub vertical_stiffness_pressure: f64,
    /// Share eta of the radial deflection in the effective rolling radius, R_e = R_0 - eta rho.
    /// `[-]`
    pub radius_fraction: f64,
    /// Along the wheel: driving and braking.
    pub longitudinal: DirectionSpec,
    /// Across the wheel: cornering.
    pub lateral: DirectionSpec,
    /// Pressure of best grip. `[Pa]`
    pub grip_pressure: f64,
    /// Loss q of friction away from that pressure. `[-]`
    ///
    /// The factor is 1 - q ((p - p_best)/p_best)^2, held above 0.3.
    pub grip_pressure_loss: f64,
    /// Camber thrust per load and inclination at zero slip. `[1/rad]`
    ///
    /// Positive pushes the contact towards the side to which the top of the wheel leans.
    pub camber_thrust: f64,
    /// Loss c of lateral friction with inclination gamma: the factor is 1/(1 + c gamma^2).
    /// `[1/rad^2]`
    pub camber_grip_loss: f64,
    /// Loss of cornering stiffness with inclination, of the same form. `[1/rad^2]`
    pub camber_stiffness_loss: f64,
    /// Pneumatic trail at zero slip, nominal load and pressure. `[m]`
    pub trail: f64,
    /// Slip at which the trail vanishes, relative to the brush model. `[-]`
    ///
    /// The brush model has the same stiffness and friction.
    pub trail_reach: f64,
    /// Relative growth of both carcass stiffnesses per relative growth of pressure. `[-]`
    pub carcass_pressure: f64,
    /// Damping time tau of the carcass: the force on a standing tire is k (e + tau e'). `[s]`
    pub carcass_damping_time: f64,
    /// Smallest relaxation length, that of a lifted wheel. `[m]`
    pub relaxation_floor: f64,
    /// Rolling resistance over load at the nominal pressure. `[-]`
    pub rolling_resistance: f64,
    /// Exponent of the relative pressure p/p_0 in the rolling resistance. `[-]`
    pub rolling_pressure_exponent: f64,
}
