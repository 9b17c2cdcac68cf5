//! Steering toward one point of the path.
use axletree_scalar::Real;

/// Curvature of the circle that leaves the car along its heading and passes through a target at
/// `offset` to the left and at the straight distance `distance`: `2 offset/distance^2` [1/m].
///
/// Source: Coulter, "Implementation of the pure pursuit path tracking algorithm", CMU-RI-TR-92-01,
/// 1992 (from memory).
pub fn pursuit_curvature(offset: f64, distance: f64) -> f64 {
    2.0 * offset / (distance * distance)
}

/// Road-wheel angle at which a car that does not slip follows a curvature [rad].
pub fn kinematic_steer(curvature: f64, wheelbase: f64) -> f64 {
    Real::atan(curvature * wheelbase)
}

/// Natural frequency [rad/s] and damping ratio of a car that does not slip, `psi' = V steer/L`,
/// steered by `-gain (y + V preview psi)`: `V sqrt(gain/L)` and half of preview time times that.
pub fn single_point_mode(gain: f64, speed: f64, wheelbase: f64, preview: f64) -> (f64, f64) {
    let frequency = speed * (gain / wheelbase).sqrt();
    (frequency, 0.5 * preview * frequency)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Validation case D5 (Coulter 1992 and elementary, from memory; 1e-6).
    #[test]
    fn val_d5_pursuit_and_single_point_preview() {
        assert_eq!(pursuit_curvature(1.0, 10.0), 0.02);
        let steer = kinematic_steer(0.02, 2.6).to_degrees();
        assert!((steer / 2.9766995 - 1.0).abs() < 1e-6, "{steer}");
        let (frequency, damping) = single_point_mode(0.02, 15.0, 2.6, 0.8);
        assert!((frequency / 1.315587 - 1.0).abs() < 1e-6);
        assert!((damping / 0.52623481 - 1.0).abs() < 1e-6);
    }
}
