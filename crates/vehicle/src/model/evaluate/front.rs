//! The front end: two steered corners.

use axletree_scalar::Real;

use super::elements::corner_parts;
use super::result::PartForces;
use super::wheels::{EndLoads, end_loads, hub_of};
use crate::model::accelerate::Equations;
use crate::model::frame::BodyFrame;
use crate::model::layout::{Inputs, SPIN, STATES, TWIST};
use crate::model::numbers::{Chassis, Corners};
use crate::model::precomputed::Precomputed;
use crate::model::road::Road;
use crate::model::steering::steer;

/// Results of the front end for the common stages.
pub(super) struct FrontResult<T> {
    pub loads: EndLoads<T>,
    /// Moment of road and brakes about the steering axes, by mean steer `[N*m]`.
    pub steering_moment: T,
}

/// Stages 2 to 6 for the front end.
#[expect(
    clippy::too_many_arguments,
    reason = "a stage takes the results of the stages before it"
)]
#[inline(always)]
pub(super) fn front<T: Real, R: Road<T> + ?Sized>(
    chassis: &Chassis<T>,
    corners: &Corners<T>,
    pre: &Precomputed<T>,
    frame: &BodyFrame<T>,
    state: &[T; STATES],
    inputs: &Inputs<T>,
    road: &R,
    equations: &mut Equations<T>,
    parts: &mut PartForces<T>,
) -> FrontResult<T> {
    let steering = &chassis.steering;
    let mean = steering.gain * inputs.steering_wheel + state[TWIST];
    let mean_rate = steering.gain * inputs.steering_wheel_rate;
    let [left, right] = &corners.side;
    let [left_turn, right_turn] = &pre.knuckles;
    let [to_left, to_right] = steer([left_turn, right_turn], steering.ackermann, mean, mean_rate);
    let steered = [
        left.steered_carrier(frame, 0, to_left),
        right.steered_carrier(frame, 1, to_right),
    ];
    let wheels = [&left.wheel, &right.wheel];
    let loads = end_loads(
        frame,
        state,
        &[hub_of(&steered[0].0), hub_of(&steered[1].0)],
        wheels,
        &pre.ends[0],
        chassis.front_brake_share * inputs.brake_torque,
        T::zero(),
        inputs.friction,
        road,
        0,
    );
    let mut steering_moment = T::zero();
    for i in 0..2 {
        let (carrier, kingpin) = &steered[i];
        equations.add_carrier(
            frame,
            carrier,
            &corners.side[i].unsprung,
            wheels[i].spin_inertia * state[SPIN + i],
            chassis.gravity,
            i,
        );
        equations.load_carrier(carrier, loads.force[i], loads.moment[i], i);
        let about = loads.moment[i] + kingpin.arm.cross(loads.force[i]);
        steering_moment += kingpin.by_mean * kingpin.axis.dot(about);
    }
    corner_parts(equations, frame, corners, &pre.front_limits, parts, 0);
    FrontResult {
        loads,
        steering_moment,
    }
}
