//! The design that a search starts from: along the center line of the lanes.
//!
//! The steering of a slow car on the center line follows from its curvature and the car's steady
//! yaw response. A few steps of least squares then bring the driven path near the center line at
//! the speed of the search. With the deviations e at even stations, their Jacobian E by every
//! unknown but the speed, and a weight W that keeps the steering smooth, one step is
//!
//! ```text
//! (E'E + W) d = -(E'e + W q),   q the unknowns without the speed
//! ```
//!
//! This is the Gauss-Newton method with a fixed penalty: the penalty makes every step short enough,
//! and a start needs no more than a few steps. The shared Levenberg-Marquardt method of
//! [`axletree_numerics`] is not used: it has no penalty of this kind and iterates to a tolerance.

use axletree_maneuver::initial_state::straight;
use axletree_numerics::interrupt::Interrupt;
use axletree_simulation::driver::LateralCar;
use axletree_simulation::{Gap, Outcome, Recorder};
use axletree_vehicle::Model;
use axletree_vehicle::linearize;
use nalgebra::{DMatrix, DVector};

use super::settings::DoubleLaneChange;
use super::trial::{LaneChangeDesign, LaneChangeDrive, LaneChangeTrial};
use crate::trajectory::{drive_design, drive_neighbors};

/// Number of least-squares steps.
const STEPS: usize = 3;

/// Penalty on the squared second differences of the steering, against squared deviations
/// `[m^2 per squared scale]`.
const STEERING_PENALTY: f64 = 1e-3;

/// Lag of hands and tires together over that of the hands `[-]`.
const LAG_RATIO: f64 = 2.0;

/// Design of a slow car along the center line at a speed `[m/s]`.
///
/// # Errors
/// The outcome of a car without a steady state or a yaw response.
pub(super) fn slow_design(
    model: &Model,
    settings: &DoubleLaneChange,
    trial: &LaneChangeTrial<'_>,
    speed: f64,
) -> Result<LaneChangeDesign, Outcome> {
    let straight = straight(model, speed, settings.friction)?;
    let failed = Outcome::NotConverged {
        passes: 0,
        gap: Gap::NoYawResponse,
    };
    let car = LateralCar::of(&linearize(model, &straight)).ok_or(failed)?;
    let [_, yaw_rate] = car.steady().ok_or(failed)?;
    let lead = LAG_RATIO * settings.hands.lag * speed;
    Ok(trial.along_center_line(speed, speed / yaw_rate, lead))
}

/// Deviations of a drive from the center line; none where the car does not reach the end.
fn deviations(drive: LaneChangeDrive) -> Result<Option<DVector<f64>>, Outcome> {
    match drive.ending.outcome {
        Outcome::Interrupted => Err(Outcome::Interrupted),
        Outcome::Completed => Ok(Some(DVector::from_vec(drive.deviations))),
        _ => Ok(None),
    }
}

/// Brings a design near the center line at its speed. `smooth` holds weights on the second
/// differences of the unknowns, of unit size; `difference` is the step of the differences
/// `[scales]`.
///
/// # Errors
/// [`Outcome::Interrupted`], or the outcome that keeps a car from starting.
pub(super) fn bring_to_center_line(
    trial: &LaneChangeTrial<'_>,
    guess: &LaneChangeDesign,
    smooth: &DMatrix<f64>,
    difference: f64,
    interrupt: Interrupt<'_>,
) -> Result<LaneChangeDesign, Outcome> {
    let mut p = guess.unknowns();
    let n = p.len();
    for _ in 0..STEPS {
        let base = LaneChangeDesign::of(&p);
        let driven = drive_design(trial, &base, Recorder::of(&[]), interrupt)?;
        let Some(here) = deviations(driven.result)? else {
            break;
        };
        let moved = |j: usize| {
            let mut moved = p.clone();
            moved[j] += difference;
            LaneChangeDesign::of(&moved)
        };
        let designs: Vec<LaneChangeDesign> = (1..n).map(moved).collect();
        let drives = drive_neighbors(trial, (&base, &driven.base), &designs, interrupt)?;
        let mut jacobian = DMatrix::zeros(here.len(), n - 1);
        for (j, drive) in drives.into_iter().enumerate() {
            let Some(there) = deviations(drive)? else {
                return Ok(base);
            };
            jacobian.set_column(j, &((there - &here) / difference));
        }
        let weight = smooth.view((1, 1), (n - 1, n - 1)) * STEERING_PENALTY;
        let own = p.rows(1, n - 1).into_owned();
        let right = jacobian.transpose() * here + &weight * own;
        let square = jacobian.transpose() * &jacobian + weight;
        let Some(step) = square.lu().solve(&right) else {
            break;
        };
        for j in 1..n {
            p[j] -= step[j - 1];
        }
    }
    Ok(LaneChangeDesign::of(&p))
}
