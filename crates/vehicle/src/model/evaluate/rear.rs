//! The rear end: two corners or a solid axle, and the torques between its wheels and the engine.

use axletree_scalar::{Real, Vec3};

use super::elements::{axle_parts, corner_parts};
use super::result::{DriveTorques, PartForces};
use super::wheels::{EndLoads, end_loads, hub_of};
use crate::model::accelerate::Equations;
use crate::model::contact::Hub;
use crate::model::driveline::{EngineInputs, RIGID_TRACKING_RATE};
use crate::model::frame::BodyFrame;
use crate::model::layout::{
    CLUTCH, DRIVELINE, ENGINE, HOUSING, Inputs, SHAFT_DIFFERENCE, SHAFT_MEAN, SPIN, STATES,
    THROTTLE, WINDUP,
};
use crate::model::numbers::{Axle, Chassis, Corners, Driveline};
use crate::model::precomputed::{DrivelineInverses, Precomputed};
use crate::model::road::Road;

/// Results of the rear end for the common stages.
pub(super) struct RearResult<T> {
    pub loads: EndLoads<T>,
    pub drive: DriveTorques<T>,
}

/// The support of the housing.
struct HousingSupport<T> {
    /// Axis of the housing `[-, b]`.
    axis: Vec3<T>,
    /// Angular velocity of the body or axle that carries it `[rad/s]`.
    rate: Vec3<T>,
    /// Speed that the pinion gains on the propeller shaft: roll rate of the axle relative to the
    /// body, times the couple's sense over the final drive `[rad/s]`.
    pinion: T,
    /// Brake torque that reacts on the housing `[N*m]`.
    brake: T,
}

/// Torques of driveline and wind-up.
struct HousingTorques<T> {
    drive: DriveTorques<T>,
    /// Couple on the support of the housing, about the housing's own axis too `[N*m, b]`.
    on_support: Vec3<T>,
}

/// Torques of driveline and housing, and the rates of their states.
#[inline(always)]
fn driveline_torques<T: Real>(
    line: &Driveline<T>,
    pre: &DrivelineInverses<T>,
    state: &[T; STATES],
    rate: &mut [T; STATES],
    inputs: &Inputs<T>,
    axes: [Vec3<T>; 2],
    support: &HousingSupport<T>,
) -> HousingTorques<T> {
    let windup = &line.windup;
    let flexible = windup.flexible;
    let rigid = T::one() - flexible;
    let carried = support.axis.dot(support.rate);
    let housing = flexible * state[HOUSING] + rigid * carried;

    let lean = [axes[0] - support.axis, axes[1] - support.axis];
    let ends = [
        state[SPIN + 2] - lean[0].dot(support.rate),
        state[SPIN + 3] - lean[1].dot(support.rate),
    ];
    let crown = state[DRIVELINE] + housing - support.pinion;
    let shafts = line.half_shafts.torques(
        pre.shaft,
        &line.differential,
        [state[SHAFT_MEAN], state[SHAFT_DIFFERENCE]],
        crown,
        ends,
    );

    // The housing between shafts, brakes and its links.
    let turn = state[HOUSING] - carried;
    let loaded = support.brake - shafts.sum;
    let carried_torque = flexible * (windup.stiffness * state[WINDUP] + windup.damping * turn);
    let passed = carried_torque + rigid * loaded;
    rate[WINDUP] = flexible * turn - rigid * state[WINDUP].scale(RIGID_TRACKING_RATE);
    rate[HOUSING] = flexible * (loaded - carried_torque) * pre.housing
        - rigid * turn.scale(RIGID_TRACKING_RATE);

    // The engine's side.
    let engine_inputs = EngineInputs {
        throttle: inputs.throttle,
        gear_ratio: inputs.gear_ratio,
        clutch: inputs.clutch,
        engine_on: inputs.engine_on,
    };
    let engine = line.engine_side(
        pre,
        &engine_inputs,
        state[DRIVELINE],
        [state[ENGINE], state[CLUTCH], state[THROTTLE]],
    );
    rate[SHAFT_MEAN] = shafts.mean_rate;
    rate[SHAFT_DIFFERENCE] = shafts.difference_rate;
    rate[DRIVELINE] = (engine.gear_torque + inputs.drive_torque - shafts.sum) / engine.inertia;
    rate[ENGINE] = engine.engine_rate;
    rate[CLUTCH] = engine.clutch_rate;
    rate[THROTTLE] = engine.throttle_rate;

    HousingTorques {
        on_support: lean[0].times_plus(
            -shafts.torque[0],
            lean[1].times_plus(-shafts.torque[1], support.axis.times(passed)),
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
#[expect(
    clippy::too_many_arguments,
    reason = "a stage takes the results of the stages before it"
)]
#[inline(always)]
pub(super) fn independent_rear<T: Real, R: Road<T> + ?Sized>(
    chassis: &Chassis<T>,
    corners: &Corners<T>,
    pre: &Precomputed<T>,
    frame: &BodyFrame<T>,
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
        &pre.ends[1],
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

    // The differential turns about the body's lateral axis; the couple on its support acts on the
    // body.
    let (o, l) = (T::zero(), T::one());
    let across = Vec3([o, l, o]);
    let line = &chassis.driveline;
    let turned = driveline_torques(
        line,
        &pre.driveline,
        state,
        rate,
        inputs,
        [loads.contacts[0].axis, loads.contacts[1].axis],
        &HousingSupport {
            axis: across,
            rate: frame.rate,
            pinion: o,
            brake: o,
        },
    );
    let momentum = line.windup.flexible * line.windup.inertia * state[HOUSING];
    let couple = turned.on_support - frame.rate.cross(across).times(momentum);
    equations.load_body(Vec3::zero(), Vec3::zero(), couple);
    let [p, q, r, s, t, u] = pre.rear_limits;
    corner_parts(equations, frame, corners, &[[p, q, r], [s, t, u]], parts, 2);
    RearResult {
        loads,
        drive: turned.drive,
    }
}

/// Stages 2 to 6 for a solid axle.
#[expect(
    clippy::too_many_arguments,
    reason = "a stage takes the results of the stages before it"
)]
#[inline(always)]
pub(super) fn solid_rear<T: Real, R: Road<T> + ?Sized>(
    chassis: &Chassis<T>,
    axle: &Axle<T>,
    pre: &Precomputed<T>,
    frame: &BodyFrame<T>,
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
        &pre.ends[1],
        (T::one() - chassis.front_brake_share) * inputs.brake_torque,
        winding,
        inputs.friction,
        road,
        2,
    );

    // Brakes and half shafts react on the housing; the propeller shaft turns axle and body apart.
    let line = &chassis.driveline;
    let sense = pre.driveline.sense;
    let brake = loads.brake[0] + loads.brake[1];
    let turned = driveline_torques(
        line,
        &pre.driveline,
        state,
        rate,
        inputs,
        [loads.contacts[0].axis, loads.contacts[1].axis],
        &HousingSupport {
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
        + turned.on_support
        - carrier.axis.times(brake);
    equations.load_carrier(
        &carrier,
        loads.force[0] + loads.force[1],
        moment + propshaft,
        2,
    );
    equations.load_body(Vec3::zero(), Vec3::zero(), -propshaft);
    axle_parts(equations, frame, axle, &pre.rear_limits, parts);
    RearResult {
        loads,
        drive: turned.drive,
    }
}
