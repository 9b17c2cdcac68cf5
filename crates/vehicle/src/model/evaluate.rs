//! One evaluation of the equations, from state and inputs to the state's rate.
//!
//! The stages, in the order the data flows:
//!
//! 1. [`Frame`]: attitude and velocities of the body.
//! 2. Carriers: pose, velocity and bias acceleration of knuckles and axle ([`super::carrier`]).
//! 3. Contacts: where the wheels meet the road and how they slide ([`super::contact`]).
//! 4. Tires: forces and moments of the road, rates of the deflections ([`super::grip`]).
//! 5. Torques: brakes, driveline, rolling resistance; the wheels' spins.
//! 6. Parts: springs, dampers, stops, bars ([`super::parts`]); air.
//! 7. Accelerations: Kane's equations ([`super::accelerate`]).
//! 8. Lags: toe, tilt and column twist under load.

use axletree_scalar::{Real, Vec3};
use axletree_tire::TireForce;

use super::accelerate::{Accelerations, Equations};
use super::carrier::{Carrier, Steer};
use super::contact::{Contact, Hub};
use super::frame::Frame;
use super::grip::{EndGrip, end_grip};
use super::layout::{
    ATTITUDE, DEFLECTION, Inputs, POSITION, RATE, SPIN, STATES, TILT, TOE, TRAVEL, TRAVEL_RATE,
    TWIST, VELOCITY,
};
use super::numbers::{Axle, AxleSide, Chassis, Compliance, Corner, Corners, Numbers, Rear, Wheel};
use super::parts::Compression;
use super::road::Road;

/// Wheel speed over which the sense of brake torque changes [rad/s].
const BRAKE_SPEED: f64 = 0.5;

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

/// What the two wheels of one end put on their carriers and take for themselves.
struct EndLoads<T> {
    contacts: [Contact<T>; 2],
    grip: EndGrip<T>,
    /// Force of the road, at the wheel center [N, b].
    force: [Vec3<T>; 2],
    /// Moment on the carrier about the wheel center: of the road less what spins the wheel, and the
    /// brake's reaction [N m, b].
    moment: [Vec3<T>; 2],
    /// Torque of road and brake about the wheel axis [N m].
    torque: [T; 2],
    /// Brake torque, positive when it slows a wheel that rolls forward [N m].
    brake: [T; 2],
}

/// Stage 3 for one wheel.
#[inline(always)]
fn contact<T: Real>(
    frame: &Frame<T>,
    state: &[T; STATES],
    hub: &Hub<T>,
    wheel: &Wheel<T>,
    road: &dyn Road<T>,
    w: usize,
) -> Contact<T> {
    let p = frame.rot_eb * hub.center + frame.position;
    let v = frame.rot_eb * hub.velocity;
    let patch = road.under(w, [p.x(), p.y()], [v.x(), v.y()]);
    Contact::of(
        frame,
        hub,
        wheel,
        state[TOE + w],
        state[TILT + w],
        state[SPIN + w],
        &patch,
    )
}

/// Stages 3 to 5 for one end whose wheels start at number `first`.
#[inline(always)]
fn end_loads<T: Real>(
    frame: &Frame<T>,
    state: &[T; STATES],
    hubs: &[Hub<T>; 2],
    wheels: [&Wheel<T>; 2],
    compliance: &Compliance<T>,
    brake_torque: T,
    friction: T,
    road: &dyn Road<T>,
    first: usize,
) -> EndLoads<T> {
    let contacts = [
        contact(frame, state, &hubs[0], wheels[0], road, first),
        contact(frame, state, &hubs[1], wheels[1], road, first + 1),
    ];
    let at = DEFLECTION + 2 * first;
    let deflection = [[state[at], state[at + 1]], [state[at + 2], state[at + 3]]];
    let grip = end_grip(&contacts, wheels, compliance, deflection, friction);

    let mut force = [Vec3::zero(); 2];
    let mut moment = [Vec3::zero(); 2];
    let mut torque = [T::zero(); 2];
    let mut brake = [T::zero(); 2];
    for i in 0..2 {
        let (c, f) = (&contacts[i], &grip.force[i]);
        let road_force = c.forward.times(f.fx) + c.left.times(f.fy) + frame.up.times(c.load);
        let road_moment =
            c.arm.cross(road_force) + frame.up.times(f.mz) + c.axis.times(grip.rolling_moment[i]);
        let spinning = c.axis.dot(road_moment);

        // The brake acts against the wheel's turning relative to its carrier.
        let turning = state[SPIN + first + i] - c.axis.dot(hubs[i].rate);
        let sense = turning
            * (turning * turning + T::c(BRAKE_SPEED * BRAKE_SPEED))
                .sqrt()
                .recip();
        brake[i] = brake_torque.scale(0.5) * sense;

        force[i] = road_force;
        moment[i] = road_moment + c.axis.times(brake[i] - spinning);
        torque[i] = spinning - brake[i];
    }
    EndLoads {
        contacts,
        grip,
        force,
        moment,
        torque,
        brake,
    }
}

/// Torques of the half shafts on the rear wheels: half of the drive each, and what a locked
/// differential moves from one to the other so that both wheels gain speed alike.
#[inline(always)]
fn half_shafts<T: Real>(
    chassis: &Chassis<T>,
    drive: T,
    torque: [T; 2],
    spin_inertia: [T; 2],
) -> [T; 2] {
    let [left, right] = spin_inertia;
    let half = drive.scale(0.5);
    let moved = chassis.driveline.locked
        * (left * (torque[1] + half) - right * (torque[0] + half))
        * (left + right).recip();
    [half + moved, half - moved]
}

/// Rates of the compliance toe and tilt of one end.
#[inline(always)]
fn yield_rates<T: Real>(
    state: &[T; STATES],
    rate: &mut [T; STATES],
    compliance: &Compliance<T>,
    loads: &EndLoads<T>,
    inverse_lag: T,
    first: usize,
) {
    for i in 0..2 {
        let mut toe = T::zero();
        let mut tilt = T::zero();
        for j in 0..2 {
            let f = &loads.grip.force[j];
            toe += compliance.toe_lateral[i][j] * f.fy
                + compliance.toe_longitudinal[i][j] * f.fx
                + compliance.toe_aligning[i][j] * f.mz
                + compliance.toe_brake[i][j] * loads.brake[j];
            tilt += compliance.tilt_lateral[i][j] * f.fy;
        }
        let w = first + i;
        rate[TOE + w] = (toe - state[TOE + w]) * inverse_lag;
        rate[TILT + w] = (tilt - state[TILT + w]) * inverse_lag;
    }
}

/// Springs, dampers, stops and the bar of two corners.
#[inline(always)]
fn corner_parts<T: Real>(
    equations: &mut Equations<T>,
    frame: &Frame<T>,
    corners: &Corners<T>,
    parts: &mut PartForces<T>,
    first: usize,
) {
    let ends = [
        corners.side[0].bar.value_and_slope(frame.travel[first]),
        corners.side[1].bar.value_and_slope(frame.travel[first + 1]),
    ];
    let bar = corners.bar_rate * (ends[0].0 - ends[1].0);
    parts.bar[first / 2] = bar;
    for i in 0..2 {
        let corner: &Corner<T> = &corners.side[i];
        let (s, s_rate) = (frame.travel[first + i], frame.travel_rate[first + i]);
        let (spring, by_spring) = corner.spring.value_and_slope(s);
        let (damper, by_damper) = corner.damper.value_and_slope(s);
        let (f_spring, f_damper) = corner.strut.forces(Compression {
            spring,
            damper,
            speed: by_damper[0] * s_rate,
        });
        let f_bar = if i == 0 { bar } else { -bar };
        parts.spring[first + i] = f_spring;
        parts.damper[first + i] = f_damper;
        equations.load_travel(
            first + i,
            -(f_spring * by_spring[0] + f_damper * by_damper[0] + f_bar * ends[i].1[0]),
        );
    }
}

/// Springs, dampers, stops and the bar of a solid axle.
#[inline(always)]
fn axle_parts<T: Real>(
    equations: &mut Equations<T>,
    frame: &Frame<T>,
    axle: &Axle<T>,
    parts: &mut PartForces<T>,
) {
    let [_, _, heave, roll] = frame.travel;
    let [_, _, heave_rate, roll_rate] = frame.travel_rate;
    let ends = [
        axle.side[0].bar.value_and_slope(heave, roll),
        axle.side[1].bar.value_and_slope(heave, roll),
    ];
    let bar = axle.bar_rate * (ends[0].0 - ends[1].0);
    parts.bar[1] = bar;
    for i in 0..2 {
        let side: &AxleSide<T> = &axle.side[i];
        let (spring, by_spring) = side.spring.value_and_slope(heave, roll);
        let (damper, by_damper) = side.damper.value_and_slope(heave, roll);
        let (f_spring, f_damper) = side.strut.forces(Compression {
            spring,
            damper,
            speed: by_damper[0] * heave_rate + by_damper[1] * roll_rate,
        });
        let f_bar = if i == 0 { bar } else { -bar };
        parts.spring[2 + i] = f_spring;
        parts.damper[2 + i] = f_damper;
        for d in 0..2 {
            equations.load_travel(
                2 + d,
                -(f_spring * by_spring[d] + f_damper * by_damper[d] + f_bar * ends[i].1[d]),
            );
        }
    }
}

/// Air forces on the body.
#[inline(always)]
fn air<T: Real>(equations: &mut Equations<T>, frame: &Frame<T>, chassis: &Chassis<T>) {
    let (o, a) = (T::zero(), &chassis.air);
    let u = frame.velocity.x();
    equations.load_body(
        Vec3([o, o, a.drag_height]),
        Vec3([-(a.drag * u * u.abs()), o, o]),
        Vec3::zero(),
    );
    for i in 0..2 {
        equations.load_body(
            Vec3([a.lift_x[i], o, o]),
            Vec3([o, o, a.lift[i] * u * u]),
            Vec3::zero(),
        );
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

/// What the rear end hands back to the common stages.
struct RearResult<T> {
    loads: EndLoads<T>,
    /// Torques of the half shafts [N m].
    shafts: [T; 2],
}

/// Stages 2 to 6 for an independent rear end.
#[inline(always)]
fn independent_rear<T: Real>(
    chassis: &Chassis<T>,
    corners: &Corners<T>,
    frame: &Frame<T>,
    state: &[T; STATES],
    inputs: &Inputs<T>,
    road: &dyn Road<T>,
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
        &corners.compliance,
        (T::one() - chassis.front_brake_share) * inputs.brake_torque,
        inputs.friction,
        road,
        2,
    );
    let shafts = half_shafts(
        chassis,
        inputs.drive_torque,
        loads.torque,
        [wheels[0].spin_inertia, wheels[1].spin_inertia],
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
        // The differential on the body takes the half shaft's reaction.
        equations.load_body(
            Vec3::zero(),
            Vec3::zero(),
            loads.contacts[i].axis.times(-shafts[i]),
        );
    }
    corner_parts(equations, frame, corners, parts, 2);
    RearResult { loads, shafts }
}

/// Stages 2 to 6 for a solid axle.
#[inline(always)]
fn solid_rear<T: Real>(
    chassis: &Chassis<T>,
    axle: &Axle<T>,
    frame: &Frame<T>,
    state: &[T; STATES],
    inputs: &Inputs<T>,
    road: &dyn Road<T>,
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
    let loads = end_loads(
        frame,
        state,
        &hubs,
        wheels,
        &axle.compliance,
        (T::one() - chassis.front_brake_share) * inputs.brake_torque,
        inputs.friction,
        road,
        2,
    );
    let shafts = half_shafts(
        chassis,
        inputs.drive_torque,
        loads.torque,
        [wheels[0].spin_inertia, wheels[1].spin_inertia],
    );
    equations.add_carrier(
        frame,
        &carrier,
        &axle.unsprung,
        wheels[0].spin_inertia * state[SPIN + 2] + wheels[1].spin_inertia * state[SPIN + 3],
        chassis.gravity,
        2,
    );
    // The axle takes the half shafts' reactions; the propeller shaft turns axle and body apart.
    let couple =
        chassis.driveline.propshaft_sense * inputs.drive_torque / chassis.driveline.final_drive;
    let propshaft = Vec3([couple, T::zero(), T::zero()]);
    let moment = loads.moment[0] + loads.moment[1] + offset.cross(loads.force[0] - loads.force[1])
        - loads.contacts[0].axis.times(shafts[0])
        - loads.contacts[1].axis.times(shafts[1]);
    equations.load_carrier(
        &carrier,
        loads.force[0] + loads.force[1],
        moment + propshaft,
        2,
    );
    equations.load_body(Vec3::zero(), Vec3::zero(), -propshaft);
    axle_parts(equations, frame, axle, parts);
    RearResult { loads, shafts }
}

/// Steer of one wheel for the mean steer; `spread` is the Ackermann coefficient of its side.
#[inline(always)]
fn steer<T: Real>(mean: T, mean_rate: T, spread: T) -> Steer<T> {
    let by_mean = T::one() + (spread * mean).scale(2.0);
    Steer {
        angle: mean + spread * mean * mean,
        rate: mean_rate * by_mean,
        bias: (spread * mean_rate * mean_rate).scale(2.0),
        by_mean,
    }
}

/// Evaluates the equations.
///
/// A large function, compiled once for every number type: callers outside this crate use
/// [`Model`](super::Model)'s methods, which are compiled here.
pub fn evaluate<T: Real>(
    numbers: &Numbers<T>,
    state: &[T; STATES],
    inputs: &Inputs<T>,
    road: &dyn Road<T>,
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

    // Front: steered corners.
    let front = &numbers.front;
    let steering = &chassis.steering;
    let mean = steering.gain * inputs.steering_wheel + state[TWIST];
    let mean_rate = steering.gain * inputs.steering_wheel_rate;
    let steered = [
        front.side[0].steered_carrier(&frame, 0, steer(mean, mean_rate, steering.ackermann)),
        front.side[1].steered_carrier(&frame, 1, steer(mean, mean_rate, -steering.ackermann)),
    ];
    let front_wheels = [&front.side[0].wheel, &front.side[1].wheel];
    let front_loads = end_loads(
        &frame,
        state,
        &[hub_of(&steered[0].0), hub_of(&steered[1].0)],
        front_wheels,
        &front.compliance,
        chassis.front_brake_share * inputs.brake_torque,
        inputs.friction,
        road,
        0,
    );
    let mut steering_moment = zero;
    for i in 0..2 {
        let (carrier, kingpin) = &steered[i];
        equations.add_carrier(
            &frame,
            carrier,
            &front.side[i].unsprung,
            front_wheels[i].spin_inertia * state[SPIN + i],
            chassis.gravity,
            i,
        );
        equations.load_carrier(carrier, front_loads.force[i], front_loads.moment[i], i);
        let about = front_loads.moment[i] + kingpin.arm.cross(front_loads.force[i]);
        steering_moment += kingpin.by_mean * kingpin.axis.dot(about);
    }
    corner_parts(&mut equations, &frame, front, &mut parts, 0);

    // Rear: one branch a car, not a value.
    let rear = match &numbers.rear {
        Rear::Independent(corners) => independent_rear(
            chassis,
            corners,
            &frame,
            state,
            inputs,
            road,
            &mut equations,
            &mut parts,
        ),
        Rear::Solid(axle) => solid_rear(
            chassis,
            axle,
            &frame,
            state,
            inputs,
            road,
            &mut equations,
            &mut parts,
        ),
    };
    let (rear_wheels, rear_compliance) = match &numbers.rear {
        Rear::Independent(c) => ([&c.side[0].wheel, &c.side[1].wheel], &c.compliance),
        Rear::Solid(a) => ([&a.side[0].wheel, &a.side[1].wheel], &a.compliance),
    };

    let solved = equations.solve();
    let mut rate = [zero; STATES];
    write_motion(&frame, &solved, &mut rate);

    // Spins and deflections.
    for i in 0..2 {
        rate[SPIN + i] = front_loads.torque[i] / front_wheels[i].spin_inertia;
        rate[SPIN + 2 + i] = (rear.loads.torque[i] + rear.shafts[i]) / rear_wheels[i].spin_inertia;
        for d in 0..2 {
            rate[DEFLECTION + 2 * i + d] = front_loads.grip.deflection_rate[i][d];
            rate[DEFLECTION + 4 + 2 * i + d] = rear.loads.grip.deflection_rate[i][d];
        }
    }

    // Lags.
    let inverse_lag = chassis.lag.recip();
    yield_rates(
        state,
        &mut rate,
        &front.compliance,
        &front_loads,
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
    rate[TWIST] = (steering.compliance * steering_moment - state[TWIST]) * inverse_lag;

    let ([c0, c1], [c2, c3]) = (front_loads.contacts, rear.loads.contacts);
    let (f, r) = (&front_loads.grip, &rear.loads.grip);
    Evaluation {
        rate,
        frame,
        acceleration: solved.velocity + frame.rate.cross(frame.velocity),
        contacts: [c0, c1, c2, c3],
        tire_forces: [f.force[0], f.force[1], r.force[0], r.force[1]],
        slips: [f.slip[0], f.slip[1], r.slip[0], r.slip[1]],
        steering_moment,
        part_forces: parts,
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
