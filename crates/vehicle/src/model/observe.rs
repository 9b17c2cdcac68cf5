//! Quantities of the motion that people read: velocities and accelerations in heading axes,
//! steering effort.

use axletree_scalar::{Real, numbers};

use super::evaluate::Evaluation;
use super::layout::{ATTITUDE, STATES};
use super::numbers::Numbers;

numbers! {
    /// Quantities of the motion after ISO 8855, at O (the center of mass at rest).
    pub struct Observation {
        /// Horizontal speed of O along the heading `[m/s]`.
        pub forward_velocity: T,
        /// Horizontal speed of O across the heading, to the left `[m/s]`.
        pub lateral_velocity: T,
        /// Horizontal speed of O `[m/s]`.
        pub speed: T,
        /// Angle from the heading to the velocity of O, to the left positive `[rad]`.
        pub sideslip: T,
        /// Rate of the yaw angle `[rad/s]`.
        pub yaw_rate: T,
        /// Acceleration of O along the heading, level `[m/s^2]`.
        pub longitudinal_acceleration: T,
        /// Acceleration of O across the heading, level, to the left `[m/s^2]`.
        pub lateral_acceleration: T,
        /// Roll angle, right side down positive `[rad]`.
        pub roll: T,
        /// Pitch angle, nose down positive `[rad]`.
        pub pitch: T,
        /// Torque of the hands on the steering wheel, positive to the left `[N*m]`.
        pub steering_wheel_torque: T,
    }
}

impl<T: Real> Observation<T> {
    /// The quantities of an evaluation.
    #[inline(always)]
    pub fn of(numbers: &Numbers<T>, state: &[T; STATES], e: &Evaluation<T>) -> Self {
        let v = e.frame.in_heading(e.frame.velocity);
        let a = e.frame.in_heading(e.acceleration);
        // The small term gives the root a slope at rest.
        let speed = (v.x() * v.x() + v.y() * v.y() + T::c(1e-24)).sqrt();
        Observation {
            forward_velocity: v.x(),
            lateral_velocity: v.y(),
            speed,
            sideslip: v.y().atan2(v.x()),
            yaw_rate: e.frame.attitude_rate()[0],
            longitudinal_acceleration: a.x(),
            lateral_acceleration: a.y(),
            roll: state[ATTITUDE + 2],
            pitch: state[ATTITUDE + 1],
            steering_wheel_torque: -(numbers.chassis.steering.gain * e.steering_moment),
        }
    }
}
