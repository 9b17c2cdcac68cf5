//! The rear end: two corners or a solid axle, and the torques between its wheels and the engine.

use axletree_scalar::{Real, Vec3};

use super::elements::{axle_parts, corner_parts};
use super::wheels::{EndLoads, end_loads};
use super::{DriveTorques, PartForces, hub_of};
use crate::model::accelerate::Equations;
use crate::model::contact::Hub;
use crate::model::driveline::{FOLLOW, Pedals};
use crate::model::fixed::{Fixed, Line};
use crate::model::frame::Frame;
use crate::model::layout::{
    CLUTCH, DRIVELINE, ENGINE, HOUSING, Inputs, SHAFT_DIFFERENCE, SHAFT_MEAN, SPIN, STATES,
    THROTTLE, WINDUP,
};
use crate::model::numbers::{Axle, Chassis, Corners, Driveline};
use crate::model::road::Road;

/// What the rear end hands back to the common stages.
pub(super) struct RearResult<T> {
    pub loads: EndLoads<T>,
    pub drive: DriveTorques<T>,
}

/// What holds the housing.
struct Holder<T> {
    /// Axis of the housing [-, b].
    axis: Vec3<T>,
    /// Angular velocity of what its links hold it to [rad/s].
    rate: Vec3<T>,
    /// Roll rate of the axle relative to the body, times the couple's sense over the final drive: what
    /// the pinion gains on the propeller shaft [rad/s].
    pinion: T,
    /// Brake torque that reacts on the housing [N m].
    brake: T,
}

/// The torques of driveline and wind-up.
struct Turned<T> {
    drive: DriveTorques<T>,
    /// Couple on what holds the housing, the housing's own axis included [N m, b].
    on_holder: Vec3<T>,
}

/// Driveline and housing: torques, and the rates of their states.
#[inline(always)]
fn turn_wheels<T: Real>(
    line: &Driveline<T>,
    fixed: &Line<T>,
    state: &[T; STATES],
    rate: &mut [T; STATES],
    inputs: &Inputs<T>,
    axes: [Vec3<T>; 2],
    holder: &Holder<T>,
) -> Turned<T> {
    let windup = &line.windup;
    let flexible = windup.flexible;
    let rigid = T::one() - flexible;
    let carried = holder.axis.dot(holder.rate);
    let housing = flexible * state[HOUSING] + rigid * carried;

    let lean = [axes[0] - holder.axis, axes[1] - holder.axis];
    let ends = [
        state[SPIN + 2] - lean[0].dot(holder.rate),
        state[SPIN + 3] - lean[1].dot(holder.rate),
    ];
    let crown = state[DRIVELINE] + housing - holder.pinion;
    let shafts = line.half_shafts.torques(
        fixed.shaft,
        &line.differential,
        [state[SHAFT_MEAN], state[SHAFT_DIFFERENCE]],
        crown,
        ends,
    );

    // The housing between shafts, brakes and its links.
    let turn = state[HOUSING] - carried;
    let loaded = holder.brake - shafts.sum;
    let held = flexible * (windup.stiffness * state[WINDUP] + windup.damping * turn);
    let passed = held + rigid * loaded;
    rate[WINDUP] = flexible * turn - rigid * state[WINDUP].scale(FOLLOW);
    rate[HOUSING] = flexible * (loaded - held) * fixed.housing - rigid * turn.scale(FOLLOW);

    // The engine's side.
    let pedals = Pedals {
        throttle: inputs.throttle,
        gear_ratio: inputs.gear_ratio,
        clutch: inputs.clutch,
        engine_on: inputs.engine_on,
    };
    let engine = line.engine_side(
        fixed,
        &pedals,
        state[DRIVELINE],
        [state[ENGINE], state[CLUTCH], state[THROTTLE]],
    );
    rate[SHAFT_MEAN] = shafts.mean_rate;
    rate[SHAFT_DIFFERENCE] = shafts.difference_rate;
    rate[DRIVELINE] = (engine.gear_torque + inputs.drive_torque - shafts.sum) / engine.inertia;
    rate[ENGINE] = engine.engine_rate;
    rate[CLUTCH] = engine.clutch_rate;
    rate[THROTTLE] = engine.throttle_rate;

    Turned {
        on_holder: lean[0].times_plus(
            -shafts.torque[0],
            lean[1].times_plus(-shafts.torque[1], holder.axis.times(passed)),
        ),
        drive: DriveTorques {
            shafts: shafts.torque,
            sum: shafts.sum,
            engine: engine.engine_torque,
            clutch: engine.clutch_torque,
        },
    }
}

/// Stages 2 to 6 for an independent rear end.
#[inline(always)]
pub(super) fn independent_rear<T: Real, R: Road<T> + ?Sized>(
    chassis: &Chassis<T>,
    corners: &Corners<T>,
    fixed: &Fixed<T>,
    frame: &Frame<T>,
    state: &[T; STATES],
    rate: &mut [T; STATES],
    inputs: &Inputs<T>,
    road: &R,
    equations: &mut Equations<T>,
    parts: &mut PartForces<T>,
) -> RearResult<T> {
    let carriers = [
        corners.side[0].carrier(frame, 0, 2),
        corners.side[1].carrier(frame, 1, 2),
    ];
    let wheels = [&corners.side[0].wheel, &corners.side[1].wheel];
    let loads = end_loads(
        frame,
        state,
        &[hub_of(&carriers[0]), hub_of(&carriers[1])],
        wheels,
        &fixed.ends[1],
        (T::one() - chassis.front_brake_share) * inputs.brake_torque,
        T::zero(),
        inputs.friction,
        road,
        2,
    );
    for i in 0..2 {
        equations.add_carrier(
            frame,
            &carriers[i],
            &corners.side[i].unsprung,
            wheels[i].spin_inertia * state[SPIN + 2 + i],
            chassis.gravity,
            2 + i,
        );
        equations.load_carrier(&carriers[i], loads.force[i], loads.moment[i], 2 + i);
    }

    // The differential turns about the body's lateral axis; the body takes what it is held by.
    let (o, l) = (T::zero(), T::one());
    let across = Vec3([o, l, o]);
    let line = &chassis.driveline;
    let turned = turn_wheels(
        line,
        &fixed.line,
        state,
        rate,
        inputs,
        [loads.contacts[0].axis, loads.contacts[1].axis],
        &Holder {
            axis: across,
            rate: frame.rate,
            pinion: o,
            brake: o,
        },
    );
    let momentum = line.windup.flexible * line.windup.inertia * state[HOUSING];
    let couple = turned.on_holder - frame.rate.cross(across).times(momentum);
    equations.load_body(Vec3::zero(), Vec3::zero(), couple);
    let [p, q, r, s, t, u] = fixed.rear_limits;
    corner_parts(equations, frame, corners, &[[p, q, r], [s, t, u]], parts, 2);
    RearResult {
        loads,
        drive: turned.drive,
    }
}

/// Stages 2 to 6 for a solid axle.
#[inline(always)]
pub(super) fn solid_rear<T: Real, R: Road<T> + ?Sized>(
    chassis: &Chassis<T>,
    axle: &Axle<T>,
    fixed: &Fixed<T>,
    frame: &Frame<T>,
    state: &[T; STATES],
    rate: &mut [T; STATES],
    inputs: &Inputs<T>,
    road: &R,
    equations: &mut Equations<T>,
    parts: &mut PartForces<T>,
) -> RearResult<T> {
    let carrier = axle.carrier(frame);
    let offset = carrier.axis.times(axle.half_track);
    let swing = carrier.rate.cross(offset);
    let hubs = [
        Hub {
            center: carrier.center + offset,
            axis: carrier.axis,
            velocity: carrier.velocity + swing,
            rate: carrier.rate,
        },
        Hub {
            center: carrier.center - offset,
            axis: carrier.axis,
            velocity: carrier.velocity - swing,
            rate: carrier.rate,
        },
    ];
    let wheels = [&axle.side[0].wheel, &axle.side[1].wheel];
    // The brakes wind up with the housing.
    let winding =
        chassis.driveline.windup.flexible * (state[HOUSING] - carrier.axis.dot(carrier.rate));
    let loads = end_loads(
        frame,
        state,
        &hubs,
        wheels,
        &fixed.ends[1],
        (T::one() - chassis.front_brake_share) * inputs.brake_torque,
        winding,
        inputs.friction,
        road,
        2,
    );

    // Brakes and half shafts react on the housing; the propeller shaft turns axle and body apart.
    let line = &chassis.driveline;
    let sense = fixed.line.sense;
    let brake = loads.brake[0] + loads.brake[1];
    let turned = turn_wheels(
        line,
        &fixed.line,
        state,
        rate,
        inputs,
        [loads.contacts[0].axis, loads.contacts[1].axis],
        &Holder {
            axis: carrier.axis,
            rate: carrier.rate,
            pinion: sense * (carrier.rate.x() - frame.rate.x()),
            brake,
        },
    );
    let spinning = wheels[0].spin_inertia * state[SPIN + 2]
        + wheels[1].spin_inertia * state[SPIN + 3]
        + line.windup.flexible * line.windup.inertia * state[HOUSING];
    equations.add_carrier(
        frame,
        &carrier,
        &axle.unsprung,
        spinning,
        chassis.gravity,
        2,
    );
    let propshaft = Vec3([sense * turned.drive.sum, T::zero(), T::zero()]);
    let moment = loads.moment[0]
        + loads.moment[1]
        + offset.cross(loads.force[0] - loads.force[1])
        + turned.on_holder
        - carrier.axis.times(brake);
    equations.load_carrier(
        &carrier,
        loads.force[0] + loads.force[1],
        moment + propshaft,
        2,
    );
    equations.load_body(Vec3::zero(), Vec3::zero(), -propshaft);
    axle_parts(equations, frame, axle, &fixed.rear_limits, parts);
    RearResult {
        loads,
        drive: turned.drive,
    }
}
