//! One evaluation of the equations, from state and inputs to the state's rate.
//!
//! The stages, in the order the data flows:
//!
//! 1. [`BodyFrame`]: attitude and velocities of the body.
//! 2. Carriers: pose, velocity and bias acceleration of knuckles and axle ([`super::carrier`]).
//! 3. Contacts: where the wheels meet the road and how they slide ([`super::contact`]).
//! 4. Tires: forces and moments of the road, rates of the deflections ([`super::grip`]).
//! 5. Torques: brakes, rolling resistance, driveline and wind-up ([`super::driveline`]).
//! 6. Parts: springs, dampers, stops, bars ([`super::parts`]), binding; air.
//! 7. Accelerations: Kane's equations ([`super::accelerate`]).
//! 8. Lags: toe, tilt and column twist under load.

mod elements;
mod front;
mod rear;
mod result;
mod wheels;

use axletree_scalar::Real;

use super::accelerate::{Accelerations, Equations};
use super::frame::BodyFrame;
use super::layout::{
    ATTITUDE, DEFLECTION, Inputs, POSITION, RATE, SPIN, STATES, TRAVEL, TRAVEL_RATE, TWIST,
    VELOCITY,
};
use super::numbers::{Numbers, Rear};
use super::precomputed::Precomputed;
use super::road::Road;
use elements::air;
use front::front;
use rear::{independent_rear, solid_rear};
use wheels::compliance_rates;

pub use result::{DriveTorques, Evaluation, PartForces};

/// Evaluates the equations.
///
/// A large function that is inlined into its callers: this crate compiles it once for every number
/// type that `Model`, `Batch` and `Linearizer` use.
#[inline(always)]
pub fn evaluate<T: Real, R: Road<T> + ?Sized>(
    numbers: &Numbers<T>,
    state: &[T; STATES],
    inputs: &Inputs<T>,
    road: &R,
) -> Evaluation<T> {
    evaluate_precomputed(numbers, &Precomputed::of(numbers), state, inputs, road)
}

/// As [`evaluate`], with the quotients that depend on the numbers alone computed before.
#[inline(always)]
pub fn evaluate_precomputed<T: Real, R: Road<T> + ?Sized>(
    numbers: &Numbers<T>,
    pre: &Precomputed<T>,
    state: &[T; STATES],
    inputs: &Inputs<T>,
    road: &R,
) -> Evaluation<T> {
    let chassis = &numbers.chassis;
    let frame = BodyFrame::of(state);
    let zero = T::zero();
    let mut parts = PartForces {
        spring: [zero; 4],
        damper: [zero; 4],
        bar: [zero; 2],
    };
    let mut equations = Equations::sprung(&frame, &chassis.sprung, chassis.gravity);
    air(&mut equations, &frame, chassis);

    let mut rate = [zero; STATES];
    let front = front(
        chassis,
        &numbers.front,
        pre,
        &frame,
        state,
        inputs,
        road,
        &mut equations,
        &mut parts,
    );

    // One branch a car, not one a value.
    let (rear, rear_compliance) = match &numbers.rear {
        Rear::Independent(corners) => (
            independent_rear(
                chassis,
                corners,
                pre,
                &frame,
                state,
                &mut rate,
                inputs,
                road,
                &mut equations,
                &mut parts,
            ),
            &corners.compliance,
        ),
        Rear::Solid(axle) => (
            solid_rear(
                chassis,
                axle,
                pre,
                &frame,
                state,
                &mut rate,
                inputs,
                road,
                &mut equations,
                &mut parts,
            ),
            &axle.compliance,
        ),
    };

    let solved = equations.solve();
    write_motion(&frame, &solved, &mut rate);

    // Spins and deflections.
    for i in 0..2 {
        rate[SPIN + i] = front.loads.torque[i] * pre.ends[0].inverse_spin[i];
        rate[SPIN + 2 + i] =
            (rear.loads.torque[i] + rear.drive.shafts[i]) * pre.ends[1].inverse_spin[i];
        for d in 0..2 {
            rate[DEFLECTION + 2 * i + d] = front.loads.grip.deflection_rate[i][d];
            rate[DEFLECTION + 4 + 2 * i + d] = rear.loads.grip.deflection_rate[i][d];
        }
    }

    // Lags of toe, lean and twist.
    let inverse_lag = pre.inverse_lag;
    compliance_rates(
        state,
        &mut rate,
        &numbers.front.compliance,
        &front.loads,
        inverse_lag,
        0,
    );
    compliance_rates(
        state,
        &mut rate,
        rear_compliance,
        &rear.loads,
        inverse_lag,
        2,
    );
    let twist = chassis.steering.compliance * front.steering_moment;
    rate[TWIST] = (twist - state[TWIST]) * inverse_lag;

    let ([c0, c1], [c2, c3]) = (front.loads.contacts, rear.loads.contacts);
    let (f, r) = (&front.loads.grip, &rear.loads.grip);
    Evaluation {
        rate,
        frame,
        acceleration: solved.velocity + frame.rate.cross(frame.velocity),
        contacts: [c0, c1, c2, c3],
        tire_forces: [f.force[0], f.force[1], r.force[0], r.force[1]],
        slips: [f.slip[0], f.slip[1], r.slip[0], r.slip[1]],
        steering_moment: front.steering_moment,
        part_forces: parts,
        drive: rear.drive,
    }
}

/// Rates of position, attitude, travels and of their speeds.
#[inline(always)]
fn write_motion<T: Real>(frame: &BodyFrame<T>, solved: &Accelerations<T>, rate: &mut [T; STATES]) {
    let over_earth = frame.rot_eb * frame.velocity;
    let turning = frame.attitude_rate();
    for i in 0..3 {
        rate[POSITION + i] = over_earth.0[i];
        rate[ATTITUDE + i] = turning[i];
        rate[VELOCITY + i] = solved.velocity.0[i];
        rate[RATE + i] = solved.rate.0[i];
    }
    for i in 0..4 {
        rate[TRAVEL + i] = frame.travel_rate[i];
        rate[TRAVEL_RATE + i] = solved.travel[i];
    }
}
