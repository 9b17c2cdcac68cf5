//! One evaluation of the equations, from state and inputs to the state's rate.
//!
//! The stages, in the order the data flows:
//!
//! 1. [`Frame`]: attitude and velocities of the body.
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
mod wheels;

use axletree_scalar::{Real, Vec3};
use axletree_tire::TireForce;

use super::accelerate::{Accelerations, Equations};
use super::carrier::Carrier;
use super::contact::{Contact, Hub};
use super::fixed::Fixed;
use super::frame::Frame;
use super::layout::{
    ATTITUDE, DEFLECTION, Inputs, POSITION, RATE, SPIN, STATES, TRAVEL, TRAVEL_RATE, TWIST,
    VELOCITY,
};
use super::numbers::{Numbers, Rear};
use super::road::Road;
use elements::air;
use front::front;
use rear::{independent_rear, solid_rear};
use wheels::yield_rates;

/// Everything one evaluation finds.
#[derive(Clone, Copy, Debug)]
pub struct Evaluation<T> {
    /// Time derivative of the state.
    pub rate: [T; STATES],
    /// Pose and velocities of the body.
    pub frame: Frame<T>,
    /// Inertial acceleration of O [m/s^2, b].
    pub acceleration: Vec3<T>,
    /// The contacts.
    pub contacts: [Contact<T>; 4],
    /// Forces and moments of the road on the tires.
    pub tire_forces: [TireForce<T>; 4],
    /// Slip at the contacts: forward, left [rad].
    pub slips: [[T; 2]; 4],
    /// Moment of the road and the brakes about the steering axes, by mean steer: positive steers to
    /// the left [N m].
    pub steering_moment: T,
    /// Forces along springs, dampers with stops [N, compressive positive], and bars [N, at the left end,
    /// compressive positive].
    pub part_forces: PartForces<T>,
    /// Torques of the driveline.
    pub drive: DriveTorques<T>,
}

/// Torques of the driveline [N m, forward positive].
#[derive(Clone, Copy, Debug)]
pub struct DriveTorques<T> {
    /// Of the half shafts on the rear wheels: left, right.
    pub shafts: [T; 2],
    /// Of both together.
    pub sum: T,
    /// Of the engine.
    pub engine: T,
    /// In the clutch.
    pub clutch: T,
}

/// Forces in the parts.
#[derive(Clone, Copy, Debug)]
pub struct PartForces<T> {
    /// Springs.
    pub spring: [T; 4],
    /// Dampers and stops.
    pub damper: [T; 4],
    /// Bars: front, rear.
    pub bar: [T; 2],
}

/// Evaluates the equations.
///
/// A large function, compiled wherever it is called: once for every number type, in this crate, where
/// [`Model`](super::Model), [`Batch`](super::Batch) and [`Lifted`](super::Lifted) call it.
#[inline(always)]
pub fn evaluate<T: Real, R: Road<T> + ?Sized>(
    numbers: &Numbers<T>,
    state: &[T; STATES],
    inputs: &Inputs<T>,
    road: &R,
) -> Evaluation<T> {
    evaluate_fixed(numbers, &Fixed::of(numbers), state, inputs, road)
}

/// The same with what depends on the numbers alone found before.
#[inline(always)]
pub fn evaluate_fixed<T: Real, R: Road<T> + ?Sized>(
    numbers: &Numbers<T>,
    fixed: &Fixed<T>,
    state: &[T; STATES],
    inputs: &Inputs<T>,
    road: &R,
) -> Evaluation<T> {
    let chassis = &numbers.chassis;
    let frame = Frame::of(state);
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
        fixed,
        &frame,
        state,
        inputs,
        road,
        &mut equations,
        &mut parts,
    );

    // Rear: one branch a car, not a value.
    let (rear, rear_compliance) = match &numbers.rear {
        Rear::Independent(corners) => (
            independent_rear(
                chassis,
                corners,
                fixed,
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
                fixed,
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
        rate[SPIN + i] = front.loads.torque[i] * fixed.ends[0].inverse_spin[i];
        rate[SPIN + 2 + i] =
            (rear.loads.torque[i] + rear.drive.shafts[i]) * fixed.ends[1].inverse_spin[i];
        for d in 0..2 {
            rate[DEFLECTION + 2 * i + d] = front.loads.grip.deflection_rate[i][d];
            rate[DEFLECTION + 4 + 2 * i + d] = rear.loads.grip.deflection_rate[i][d];
        }
    }

    // Lags.
    let inverse_lag = fixed.inverse_lag;
    yield_rates(
        state,
        &mut rate,
        &numbers.front.compliance,
        &front.loads,
        inverse_lag,
        0,
    );
    yield_rates(
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

#[inline(always)]
fn hub_of<T: Real>(carrier: &Carrier<T, 1>) -> Hub<T> {
    Hub {
        center: carrier.center,
        axis: carrier.axis,
        velocity: carrier.velocity,
        rate: carrier.rate,
    }
}

/// Rates of position, attitude, travels and of their speeds.
#[inline(always)]
fn write_motion<T: Real>(frame: &Frame<T>, solved: &Accelerations<T>, rate: &mut [T; STATES]) {
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
