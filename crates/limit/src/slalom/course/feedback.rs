//! The learned orbit, and a light feedback about it.
//!
//! ```text
//! delta_command = learned(X) - K (x - x_orbit(X)),   x = (y, v_y, psi, r, delta)
//! ```
//!
//! x is lateral position, lateral velocity, heading, yaw rate and steering-wheel angle. K is
//! optimal for the car's own linear motion in straight running at that speed, with the lag tau of
//! the hands, `delta' = (delta_command - delta)/tau`, and the cost
//!
//! ```text
//! integral of  y^2 + (rho g delta_command)^2  over time
//! ```
//!
//! with the mean road-wheel angle g per steering-wheel angle. A large rho `[m/rad]` is a light
//! feedback.

use axletree_numerics::riccati::care;
use axletree_scalar::Real;
use axletree_simulation::driver::LateralCar;
use axletree_vehicle::Linearization;
use axletree_vehicle::model::layout::{ATTITUDE, POSITION, RATE, VELOCITY};
use nalgebra::DMatrix;

use super::super::period::{HANDS, HarmonicSteering, Lap, Period, PlantState};

/// Feedback strengths that are tried, rho `[m/rad]`. At the limit a tight feedback unsettles the
/// car, and how light it must be depends on the car.
pub(crate) const FEEDBACK_STRENGTHS: [f64; 3] = [20.0, 40.0, 100.0];

/// Number of states that the driver watches.
pub(super) const WATCHED_STATES: usize = 5;
/// States that the driver watches, x.
pub(super) const WATCHED: [usize; WATCHED_STATES] =
    [POSITION + 1, VELOCITY + 1, ATTITUDE, RATE + 2, HANDS];

/// Orbit tabulated at every half step of a period, in the states that the driver watches.
#[derive(Clone, Debug)]
pub(crate) struct LearnedOrbit {
    /// Steering of the orbit.
    pub(super) steering: HarmonicSteering,
    /// State at the start of the period.
    pub(super) start: PlantState,
    table: Vec<[f64; WATCHED_STATES]>,
}

impl LearnedOrbit {
    /// Tabulates a closed orbit.
    pub fn new(period: &Period, lap: &Lap) -> Option<Self> {
        let steps = period.grid.steps;
        let mut points: Vec<([f64; WATCHED_STATES], [f64; WATCHED_STATES])> =
            Vec::with_capacity(steps + 1);
        period.lap_observed(&lap.period_start(), &mut |_, point| {
            points.push((
                WATCHED.map(|i| point.state.at(i)),
                WATCHED.map(|i| point.rate.at(i)),
            ));
        })?;
        let mut table = Vec::with_capacity(2 * steps + 1);
        for pair in points.windows(2) {
            let ((x0, r0), (x1, r1)) = (pair[0], pair[1]);
            table.push(x0);
            // Hermite's cubic in the middle of the step.
            table.push(std::array::from_fn(|k| {
                0.5 * (x0[k] + x1[k]) + 0.125 * period.grid.step * (r0[k] - r1[k])
            }));
        }
        Some(LearnedOrbit {
            steering: period.steering(lap),
            start: lap.start,
            table,
        })
    }

    /// Watched states at a half step counted from the start of the orbit.
    pub(super) fn at(&self, half_step: usize) -> &[f64; WATCHED_STATES] {
        &self.table[half_step % self.table.len()]
    }
}

/// Feedback gains at the steering wheel by the watched states, K, for a strength rho `[m/rad]`;
/// none without a stabilizing feedback of the car's lateral motion.
pub(crate) fn feedback_gains(
    period: &Period,
    lin: &Linearization,
    strength: f64,
) -> Option<[f64; WATCHED_STATES]> {
    let car = LateralCar::of(lin)?;
    let lag = period.plant.hand_lag();
    let n = WATCHED_STATES;
    let (mut a, mut b) = (DMatrix::zeros(n, n), DMatrix::zeros(n, 1));
    a.view_mut((0, 0), (4, 4)).copy_from(&car.a);
    a.view_mut((0, 4), (4, 1)).copy_from(&car.b);
    a[(4, 4)] = -1.0 / lag;
    b[(4, 0)] = 1.0 / lag;
    let mut q = DMatrix::zeros(n, n);
    q[(0, 0)] = 1.0;
    let r = DMatrix::from_element(1, 1, Real::sq(strength * period.gain));
    let p = care(&a, &b, &q, &r).ok()?;
    let k = (b.transpose() * p) / r[(0, 0)];
    Some(std::array::from_fn(|i| k[i]))
}
