//! Checks of settings that several maneuvers have.

use axletree_simulation::drive::Integrator;
use axletree_simulation::driver::Hands;
use axletree_simulation::{ManeuverError, within};

/// Speed of a driven maneuver `[m/s]`.
pub(crate) fn speed(maneuver: &'static str, speed: f64) -> Result<(), ManeuverError> {
    within(maneuver, "speed", speed, (2.0, 100.0), "m/s")
}

/// Friction of the surface `[-]`.
pub(crate) fn friction(maneuver: &'static str, friction: f64) -> Result<(), ManeuverError> {
    within(maneuver, "friction", friction, (0.01, 5.0), "-")
}

/// Longest step of the integration `[s]`, and the integrator.
pub(crate) fn integration(
    maneuver: &'static str,
    step: f64,
    integrator: Integrator,
) -> Result<(), ManeuverError> {
    within(maneuver, "step", step, (1e-5, 0.02), "s")?;
    integrator.check(maneuver)
}

/// Radius `[m]` and lateral acceleration `[m/s^2]` of a steady corner.
pub(crate) fn corner(
    maneuver: &'static str,
    radius: f64,
    lateral_acceleration: f64,
) -> Result<(), ManeuverError> {
    within(maneuver, "radius", radius, (5.0, 2000.0), "m")?;
    within(
        maneuver,
        "lateral_acceleration (magnitude)",
        lateral_acceleration.abs(),
        (0.1, 30.0),
        "m/s^2",
    )
}

/// Lag and rate of the driver's hands.
pub(crate) fn hands(maneuver: &'static str, hands: &Hands) -> Result<(), ManeuverError> {
    within(maneuver, "hands.lag", hands.lag, (0.005, 2.0), "s")?;
    within(maneuver, "hands.rate", hands.rate, (0.1, 100.0), "rad/s")
}

/// Checks that one setting lies below another.
pub(crate) fn below(
    maneuver: &'static str,
    (setting, value): (&'static str, f64),
    (other, limit): (&'static str, f64),
    unit: &'static str,
) -> Result<(), ManeuverError> {
    if value < limit {
        return Ok(());
    }
    Err(ManeuverError::Order {
        maneuver,
        setting,
        value,
        other,
        limit,
        unit,
    })
}
