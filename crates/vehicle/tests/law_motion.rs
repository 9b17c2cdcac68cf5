//! Laws that the equations of motion obey for every car: energy and momentum.

mod support;

use axletree_scalar::{Dual, Lift, Real, Vec3};
use axletree_vehicle::model::layout::{
    CLUTCH, DEFLECTION, DRIVELINE, ENGINE, HOUSING, POSITION, SHAFT_DIFFERENCE, SHAFT_MEAN, SPIN,
    STATES, TILT, TOE, TWIST,
};
use axletree_vehicle::model::numbers::{Compliance, Corners, Driveline, Numbers, Rear, Strut};
use axletree_vehicle::model::{
    BodyFrame, EnergyAndMomentum, Evaluation, Inputs, KnuckleTurn, energy_and_momentum, steer,
};
use support::{Rng, disturbed, random_inputs, random_state, rng};

type D = Dual<f64, 1>;

fn at(numbers: &Numbers<f64>, state: &[f64; STATES], inputs: &Inputs<f64>) -> Evaluation<f64> {
    support::model(*numbers).evaluate(state, inputs)
}

/// Energy and momentum of the car with their time derivatives along a rate of the state.
fn energy_in_motion(
    numbers: &Numbers<f64>,
    state: &[f64; STATES],
    rate: &[f64; STATES],
    inputs: &Inputs<f64>,
) -> EnergyAndMomentum<D> {
    let lifted: Numbers<D> = numbers.lift(&mut D::constant);
    let moving = std::array::from_fn(|i| Dual {
        re: state[i],
        d: [rate[i]],
    });
    let rate = inputs.steering_wheel_rate;
    let mut inputs = inputs.map(|x| D::constant(*x));
    inputs.steering_wheel.d = [rate];
    energy_and_momentum(&lifted, &moving, &inputs)
}

fn struts(numbers: &mut Numbers<f64>) -> Vec<&mut Strut<f64>> {
    let mut all: Vec<&mut Strut<f64>> = Vec::new();
    all.extend(numbers.front.side.iter_mut().map(|c| &mut c.strut));
    match &mut numbers.rear {
        Rear::Independent(c) => all.extend(c.side.iter_mut().map(|c| &mut c.strut)),
        Rear::Solid(a) => all.extend(a.side.iter_mut().map(|s| &mut s.strut)),
    }
    all
}

fn wheels(numbers: &mut Numbers<f64>) -> Vec<&mut axletree_vehicle::model::numbers::Wheel<f64>> {
    let mut all: Vec<_> = numbers
        .front
        .side
        .iter_mut()
        .map(|c| &mut c.wheel)
        .collect();
    match &mut numbers.rear {
        Rear::Independent(c) => all.extend(c.side.iter_mut().map(|c| &mut c.wheel)),
        Rear::Solid(a) => all.extend(a.side.iter_mut().map(|s| &mut s.wheel)),
    }
    all
}

/// A car without compliance in toe and lean: those angles move without inertia, and their work on
/// the tires would be in no energy.
fn firm(numbers: &mut Numbers<f64>, state: &mut [f64; STATES]) {
    let zero = |c: &mut Compliance<f64>| {
        c.toe_lateral = [[0.0; 2]; 2];
        c.toe_longitudinal = [[0.0; 2]; 2];
        c.toe_aligning = [[0.0; 2]; 2];
        c.toe_brake = [[0.0; 2]; 2];
        c.tilt_lateral = [[0.0; 2]; 2];
    };
    zero(&mut numbers.front.compliance);
    match &mut numbers.rear {
        Rear::Independent(Corners { compliance, .. }) => zero(compliance),
        Rear::Solid(a) => zero(&mut a.compliance),
    }
    numbers.chassis.steering.compliance = 0.0;
    state[TOE..TOE + 4].fill(0.0);
    state[TILT..TILT + 4].fill(0.0);
    state[TWIST] = 0.0;
}

/// Power of dampers, tires, driveline, rear brakes and drag on the car `[W]`.
fn power(
    numbers: &mut Numbers<f64>,
    state: &[f64; STATES],
    inputs: &Inputs<f64>,
    e: &Evaluation<f64>,
) -> f64 {
    let mut total = 0.0;
    let u = e.frame.velocity.x();
    total -= numbers.chassis.air.drag
        * u
        * u.abs()
        * (u + e.frame.rate.y() * numbers.chassis.air.drag_height);

    // Road forces at the contact without those of the radial springs, whose energy is counted.
    for (i, w) in wheels(numbers).into_iter().enumerate() {
        let (c, f) = (&e.contacts[i], &e.tire_forces[i]);
        let loaded = w.tire.unloaded_radius - c.deflection;
        let spin = state[SPIN + i];
        let cos = (1.0 - c.inclination * c.inclination).sqrt();
        let spring = w.tire.vertical_stiffness * c.deflection.max(0.0) / cos;
        let sense = Real::tanh(c.rolling / 0.05);
        total += f.fx * (c.forward_speed - spin * loaded)
            + f.fy * c.sliding[1]
            + (c.load - spring) * c.climb
            - w.tire.rolling_resistance * c.load * loaded * sense * spin;
    }

    // Brakes between the wheels and the housing (solid) or the knuckles.
    let brake = inputs.brake_torque * (1.0 - numbers.chassis.front_brake_share) / 2.0;
    let line = &numbers.chassis.driveline;
    let mut ends = [0.0; 2];
    let mut carried = 0.0;
    let mut braked = |spin: f64, host: f64| {
        let turning = spin - host;
        total -= brake * turning * turning / Real::hypot(turning, 0.5);
    };
    match &numbers.rear {
        Rear::Independent(c) => {
            for i in 0..2 {
                let carrier = c.side[i].carrier(&e.frame, i, 2);
                let about = carrier.axis.dot(carrier.rate);
                braked(state[SPIN + 2 + i], about);
                let lean = carrier.axis - Vec3([0.0, 1.0, 0.0]);
                ends[i] = state[SPIN + 2 + i] - lean.dot(e.frame.rate);
                carried = e.frame.rate.y();
            }
        }
        Rear::Solid(a) => {
            let carrier = a.carrier(&e.frame);
            carried = carrier.axis.dot(carrier.rate);
            let host = if line.windup.flexible > 0.5 {
                state[HOUSING]
            } else {
                carried
            };
            for i in 0..2 {
                ends[i] = state[SPIN + 2 + i];
                braked(ends[i], host);
            }
        }
    }
    total += driveline_power(line, state, inputs, e, ends, carried);
    total - damper_power(numbers, &e.frame, &e.part_forces.damper)
}

/// Power of engine and given torque less the losses of the driveline `[W]`: of each twist, the
/// power that it takes in beyond the energy that it stores, and of the gears. `ends` are the speeds
/// of the outer ends of the half shafts, `carried` that of the support of the housing about its
/// axis `[rad/s]`.
fn driveline_power(
    line: &Driveline<f64>,
    state: &[f64; STATES],
    inputs: &Inputs<f64>,
    e: &Evaluation<f64>,
    ends: [f64; 2],
    carried: f64,
) -> f64 {
    let d = &e.drive;
    let stored = |rate: f64, twist: f64, at: usize| rate * twist * e.rate[at];
    let shaft = line.half_shafts.stiffness;
    let (mean, difference) = (state[SHAFT_MEAN], state[SHAFT_DIFFERENCE]);
    let split = d.shafts[0] - d.shafts[1];
    let mut total = inputs.drive_torque * state[DRIVELINE];
    total += stored(2.0 * shaft, mean, SHAFT_MEAN) - d.sum * e.rate[SHAFT_MEAN];
    total += stored(0.5 * shaft, difference, SHAFT_DIFFERENCE) - 0.5 * split * (ends[1] - ends[0]);

    let windup = &line.windup;
    if windup.flexible > 0.5 {
        let turn = state[HOUSING] - carried;
        total -= windup.damping * turn * turn;
    }
    if inputs.engine_on > 0.5 {
        let ratio = inputs.gear_ratio * line.final_drive;
        let slip = state[ENGINE] - ratio * state[DRIVELINE];
        total += d.engine * state[ENGINE];
        total += stored(line.clutch.stiffness, state[CLUTCH], CLUTCH) - d.clutch * slip;
        let passed = if d.clutch > 0.0 {
            line.efficiency
        } else {
            line.efficiency.recip()
        };
        total += d.clutch * ratio * (passed - 1.0) * state[DRIVELINE];
    }
    total
}

fn damper_power(numbers: &Numbers<f64>, frame: &BodyFrame<f64>, force: &[f64; 4]) -> f64 {
    let (q, u) = (frame.travel, frame.travel_rate);
    let corner = |c: &Corners<f64>, first: usize| -> f64 {
        (0..2)
            .map(|i| {
                let slope = c.side[i].damper.value_and_slope(q[first + i]).1[0];
                force[first + i] * slope * u[first + i]
            })
            .sum()
    };
    corner(&numbers.front, 0)
        + match &numbers.rear {
            Rear::Independent(c) => corner(c, 2),
            Rear::Solid(a) => (0..2)
                .map(|i| {
                    let by = a.side[i].damper.value_and_slope(q[2], q[3]).1;
                    force[2 + i] * (by[0] * u[2] + by[1] * u[3])
                })
                .sum(),
        }
}

fn cases() -> impl Iterator<Item = (bool, Rng)> {
    (0..100).map(|i| (i % 2 == 0, rng(1000 + i)))
}

/// Undamped, unforced: springs, bars, stops, gravity, radial tire springs. The energy's rate is
/// zero at every state, not only on average.
#[test]
fn law_energy_of_the_undamped_unforced_car_is_constant() {
    let mut standing = 0;
    for (solid, mut r) in cases() {
        let mut numbers = disturbed(solid, &mut r);
        let mut state = random_state(solid, &mut r);
        firm(&mut numbers, &mut state);
        for s in struts(&mut numbers) {
            s.damper.low = [0.0; 2];
            s.damper.high = [0.0; 2];
        }
        for w in wheels(&mut numbers) {
            w.tire.vertical_damping = 0.0;
            w.tire.rolling_resistance = 0.0;
        }
        let line = &mut numbers.chassis.driveline;
        line.differential.preload = 1e9;
        line.half_shafts.damping = 0.0;
        line.windup.damping = 0.0;
        numbers.chassis.air.drag = 0.0;
        numbers.chassis.air.lift = [0.0; 2];
        // Without slip memory there is no force along the road.
        state[DEFLECTION..DEFLECTION + 8].fill(0.0);
        for w in wheels(&mut numbers) {
            w.tire.carcass_damping_time = 0.0;
        }
        let inputs = Inputs {
            steering_wheel: 1.3,
            ..Inputs::coasting()
        };
        let e = at(&numbers, &state, &inputs);
        standing += e.contacts.iter().filter(|c| c.load > 100.0).count();
        let s = energy_in_motion(&numbers, &state, &e.rate, &inputs);
        let (dk, dp) = (s.kinetic.d[0], s.potential.d[0]);
        assert!(dk.abs() > 100.0, "the test needs energy in motion");
        assert!(
            (dk + dp).abs() < 1e-9 * dk.abs().max(dp.abs()).max(1e3),
            "energy changes by {} W of {dk} W",
            dk + dp
        );
    }
    assert!(standing > 100, "too few wheels stood on the road");
}

/// With everything at work, the rate of the energy is the power of everything but the springs.
#[test]
fn law_energy_changes_by_the_power_of_dampers_tires_driveline_brakes_and_air() {
    for (solid, mut r) in cases() {
        let mut numbers = disturbed(solid, &mut r);
        let mut state = random_state(solid, &mut r);
        let mut inputs = random_inputs(&mut r);
        firm(&mut numbers, &mut state);
        numbers.chassis.front_brake_share = 0.0;
        numbers.chassis.air.lift = [0.0; 2];
        // A steering wheel in motion would do work that is not counted here.
        inputs.steering_wheel_rate = 0.0;
        for s in struts(&mut numbers) {
            s.bump.gap = 1.0;
            s.droop.gap = 1.0;
        }
        for w in wheels(&mut numbers) {
            w.tire.trail_by_root = 0.0;
        }
        let e = at(&numbers, &state, &inputs);
        let s = energy_in_motion(&numbers, &state, &e.rate, &inputs);
        let got = s.kinetic.d[0] + s.potential.d[0];
        let want = power(&mut numbers, &state, &inputs, &e);
        assert!(want.abs() > 100.0, "the test needs power");
        assert!(
            (got - want).abs() < 1e-9 * 1e5_f64.max(want.abs()),
            "{got} W against {want} W"
        );
    }
}

/// The momentum's rate is the sum of the road's, gravity's and the air's forces, and the angular
/// momentum's the sum of their moments about the earth's origin.
#[test]
fn law_momentum_follows_external_forces_alone() {
    for (solid, mut r) in cases() {
        let mut numbers = disturbed(solid, &mut r);
        let mut state = random_state(solid, &mut r);
        let inputs = random_inputs(&mut r);
        numbers.chassis.air.drag = 0.0;
        numbers.chassis.air.lift = [0.0; 2];
        // The tire's wheel axis must be the one that spins.
        firm(&mut numbers, &mut state);
        let e = at(&numbers, &state, &inputs);
        let s = energy_in_motion(&numbers, &state, &e.rate, &inputs);

        let mass = numbers.mass();
        let mut force = Vec3([0.0, 0.0, -mass * numbers.chassis.gravity]);
        for i in 0..4 {
            let (c, f) = (&e.contacts[i], &e.tire_forces[i]);
            force += e.frame.rot_eb
                * (c.forward.times(f.fx) + c.left.times(f.fy) + e.frame.up.times(c.load));
        }
        for k in 0..3 {
            let got = s.momentum.0[k].d[0];
            assert!(
                (got - force.0[k]).abs() < 1e-9 * 2e4,
                "axis {k}: {got} against {}",
                force.0[k]
            );
        }

        // Moments about the earth's origin, tire moments included; without gravity, whose moment
        // would need the center of mass.
        numbers.chassis.gravity = 0.0;
        let e = at(&numbers, &state, &inputs);
        let s = energy_in_motion(&numbers, &state, &e.rate, &inputs);
        let mut moment = Vec3([0.0; 3]);
        for (i, center) in wheel_centers(&numbers, &e, &inputs, &state)
            .into_iter()
            .enumerate()
        {
            let (c, f) = (&e.contacts[i], &e.tire_forces[i]);
            let road = e.frame.rot_eb
                * (c.forward.times(f.fx) + c.left.times(f.fy) + e.frame.up.times(c.load));
            let at = e.frame.position + e.frame.rot_eb * (center + c.arm);
            let sense = Real::tanh(c.rolling / 0.05);
            let tire = wheels(&mut numbers)[i].tire;
            let rolling =
                -tire.rolling_resistance * c.load * (tire.unloaded_radius - c.deflection) * sense;
            moment +=
                at.cross(road) + e.frame.rot_eb * (e.frame.up.times(f.mz) + c.axis.times(rolling));
        }
        for k in 0..3 {
            let got = s.angular_momentum.0[k].d[0];
            assert!(
                (got - moment.0[k]).abs() < 1e-8 * 2e4,
                "about axis {k}: {got} against {}",
                moment.0[k]
            );
        }
    }
}

/// Wheel centers from O in body axes.
fn wheel_centers(
    numbers: &Numbers<f64>,
    e: &Evaluation<f64>,
    inputs: &Inputs<f64>,
    state: &[f64; STATES],
) -> [Vec3<f64>; 4] {
    let steering = &numbers.chassis.steering;
    let mean = steering.gain * inputs.steering_wheel + state[TWIST];
    let [left, right] = &numbers.front.side;
    let knuckles = [left, right].map(KnuckleTurn::of);
    let turns = steer([&knuckles[0], &knuckles[1]], steering.ackermann, mean, 0.0);
    let front = |i: usize| {
        let corner = &numbers.front.side[i];
        corner.steered_carrier(&e.frame, i, turns[i]).0.center
    };
    let rear = |i: usize| match &numbers.rear {
        Rear::Independent(c) => c.side[i].carrier(&e.frame, i, 2).center,
        Rear::Solid(a) => {
            let carrier = a.carrier(&e.frame);
            carrier.center
                + carrier
                    .axis
                    .times(if i == 0 { a.half_track } else { -a.half_track })
        }
    };
    [front(0), front(1), rear(0), rear(1)]
}

#[test]
#[expect(clippy::float_cmp, reason = "the same bits are meant")]
fn position_has_no_effect_on_a_flat_road() {
    let mut r = rng(5);
    let numbers = disturbed(true, &mut r);
    let state = random_state(true, &mut r);
    let inputs = random_inputs(&mut r);
    let mut moved = state;
    moved[POSITION] += 30.0;
    moved[POSITION + 1] -= 7.0;
    let (a, b) = (
        at(&numbers, &state, &inputs).rate,
        at(&numbers, &moved, &inputs).rate,
    );
    assert_eq!(a, b);
}
