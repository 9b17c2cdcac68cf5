//! Energy and momentum of the car, for checks and bookkeeping.
//!
//! Kinetic energy of the bodies, of the wheels' spin and of everything that turns between engine
//! and wheels; potential energy of gravity, springs, bars, stops, binding, twisted shafts and
//! clutch, wind-up and the radial deflection of the tires:
//!
//! ```text
//! E_kin = sum (m v.v + w.J w)/2 + sum I_s Omega^2/2 + driveline
//! E_pot = sum m g z + sum (F_0 c + k c^2/2) + k_b b^2/2 + stops + binding + sum C_z rho^2/2
//!       + k sigma^2 + k xi^2/4 + k_w beta^2/2 + k_c theta^2/2
//! P     = sum m v,   L = sum (r x m v + J w + I_s Omega n)
//! ```
//!
//! with c the compression of a spring, F_0 its preload, b the relative travel of a bar's ends, rho
//! the deflection of a tire; the twists are those of the driveline. The energy of the carcass is
//! not included; the work of dampers, slip, brakes, friction and engine changes the sum.

use axletree_scalar::{Real, Vec3};

use super::carrier::Carrier;
use super::frame::BodyFrame;
use super::layout::{
    CLUTCH, DRIVELINE, ENGINE, HOUSING, Inputs, SHAFT_DIFFERENCE, SHAFT_MEAN, SPIN, STATES, TILT,
    TOE, TWIST, WINDUP,
};
use super::numbers::{Axle, Chassis, Corner, Corners, Numbers, Rear, Unsprung, Wheel};
use super::steering::{KnuckleTurn, steer};

/// Energy and momenta of a car.
#[derive(Clone, Copy, Debug)]
pub struct EnergyAndMomentum<T> {
    /// Kinetic energy `[J]`.
    pub kinetic: T,
    /// Potential energy `[J]`.
    pub potential: T,
    /// Momentum `[N*s, e]`.
    pub momentum: Vec3<T>,
    /// Angular momentum about the origin of the earth frame `[N*m*s, e]`.
    pub angular_momentum: Vec3<T>,
}

/// Energy and momentum, summed over the bodies.
struct Sum<T> {
    kinetic: T,
    potential: T,
    momentum: Vec3<T>,
    /// About O, in body axes.
    angular: Vec3<T>,
    gravity: T,
}

impl<T: Real> Sum<T> {
    fn body(&mut self, frame: &BodyFrame<T>, mass: T, center: Vec3<T>, velocity: Vec3<T>) {
        self.kinetic += (mass * velocity.dot(velocity)).scale(0.5);
        self.potential += mass * self.gravity * (frame.position.z() + frame.up.dot(center));
        self.momentum += velocity.times(mass);
        self.angular += center.cross(velocity.times(mass));
    }

    fn turning(&mut self, rate: Vec3<T>, momentum: Vec3<T>) {
        self.kinetic += rate.dot(momentum).scale(0.5);
        self.angular += momentum;
    }

    fn carrier<const D: usize>(
        &mut self,
        frame: &BodyFrame<T>,
        c: &Carrier<T, D>,
        body: &Unsprung<T>,
    ) {
        self.body(frame, body.mass, c.center, c.velocity);
        let axial = (body.inertia_axial - body.inertia_diametral) * c.axis.dot(c.rate);
        self.turning(
            c.rate,
            c.rate.times(body.inertia_diametral) + c.axis.times(axial),
        );
    }

    /// Adds wheel number `i`, which turns with its carrier and leans by compliance.
    fn wheel(
        &mut self,
        frame: &BodyFrame<T>,
        state: &[T; STATES],
        center: Vec3<T>,
        axis: Vec3<T>,
        wheel: &Wheel<T>,
        i: usize,
    ) {
        let (spin, toe, tilt) = (state[SPIN + i], state[TOE + i], state[TILT + i]);
        let momentum = wheel.spin_inertia * spin;
        self.kinetic += (momentum * spin).scale(0.5);
        self.angular += axis.times(momentum);

        let n = (axis + Vec3([tilt, T::zero(), toe]).cross(axis)).unit();
        let lean = n.dot(frame.up);
        let height = frame.position.z() + frame.up.dot(center);
        let pressed =
            (wheel.tire.unloaded_radius - height / (T::one() - lean * lean).sqrt()).positive();
        self.potential += (wheel.tire.vertical_stiffness * pressed * pressed).scale(0.5);
    }

    /// Adds a corner with wheel number `i`.
    fn corner(
        &mut self,
        frame: &BodyFrame<T>,
        state: &[T; STATES],
        carrier: &Carrier<T, 1>,
        corner: &Corner<T>,
        i: usize,
    ) {
        self.carrier(frame, carrier, &corner.unsprung);
        self.wheel(frame, state, carrier.center, carrier.axis, &corner.wheel, i);
        let s = frame.travel[i];
        self.potential += corner.strut.energy(
            corner.spring.value_and_slope(s).0,
            corner.damper.value_and_slope(s).0,
        ) + corner.binding.at(s)[0];
    }

    /// Adds the bar of two corners, the first of which has wheel number `first`.
    fn bar(&mut self, frame: &BodyFrame<T>, corners: &Corners<T>, first: usize) {
        let [left, right] = &corners.side;
        let bar = left.bar.value_and_slope(frame.travel[first]).0
            - right.bar.value_and_slope(frame.travel[first + 1]).0;
        self.potential += (corners.bar_rate * bar * bar).scale(0.5);
    }

    /// Adds the binding, the wheels, the struts and the bar of a solid axle.
    fn axle(
        &mut self,
        frame: &BodyFrame<T>,
        state: &[T; STATES],
        carrier: &Carrier<T, 2>,
        axle: &Axle<T>,
    ) {
        let [_, _, heave, roll] = frame.travel;
        self.potential += axle.binding.at(heave, roll)[0];
        for i in 0..2 {
            let side = &axle.side[i];
            let sign = if i == 0 { 1.0 } else { -1.0 };
            let center = carrier.center + carrier.axis.times(axle.half_track.scale(sign));
            self.wheel(frame, state, center, carrier.axis, &side.wheel, 2 + i);
            self.potential += side.strut.energy(
                side.spring.value_and_slope(heave, roll).0,
                side.damper.value_and_slope(heave, roll).0,
            );
        }
        let bar = axle.side[0].bar.value_and_slope(heave, roll).0
            - axle.side[1].bar.value_and_slope(heave, roll).0;
        self.potential += (axle.bar_rate * bar * bar).scale(0.5);
    }
}

impl<T: Real> Sum<T> {
    /// Adds the driveline; the housing turns about `axis`.
    fn driveline(
        &mut self,
        chassis: &Chassis<T>,
        state: &[T; STATES],
        inputs: &Inputs<T>,
        axis: Vec3<T>,
    ) {
        let line = &chassis.driveline;
        let windup = &line.windup;
        let momentum = windup.flexible * windup.inertia * state[HOUSING];
        self.kinetic += (momentum * state[HOUSING]).scale(0.5);
        self.angular += axis.times(momentum);
        let turn = state[WINDUP];
        self.potential += (windup.flexible * windup.stiffness * turn * turn).scale(0.5);

        let (mean, difference) = (state[SHAFT_MEAN], state[SHAFT_DIFFERENCE]);
        self.potential +=
            line.half_shafts.stiffness * (mean * mean + (difference * difference).scale(0.25));

        let ratio = inputs.gear_ratio * line.final_drive;
        let inertia = line.shaft_inertia * line.final_drive * line.final_drive
            + line.gear_inertia * ratio * ratio;
        let (crown, engine, twist) = (state[DRIVELINE], state[ENGINE], state[CLUTCH]);
        self.kinetic += (inertia * crown * crown).scale(0.5);
        let on = inputs.engine_on;
        self.kinetic += (on * line.engine.inertia * engine * engine).scale(0.5);
        self.potential += (on * line.clutch.stiffness * twist * twist).scale(0.5);
    }
}

/// Energy and momenta on a flat road. The whole twist of differential and clutch counts, also the
/// part beyond the bound of friction.
pub fn energy_and_momentum<T: Real>(
    numbers: &Numbers<T>,
    state: &[T; STATES],
    inputs: &Inputs<T>,
) -> EnergyAndMomentum<T> {
    let frame = BodyFrame::of(state);
    let chassis = &numbers.chassis;
    let zero = T::zero();
    let mut sum = Sum {
        kinetic: zero,
        potential: zero,
        momentum: Vec3::zero(),
        angular: Vec3::zero(),
        gravity: chassis.gravity,
    };

    let body = &chassis.sprung;
    let c = Vec3(body.center);
    let w = frame.rate;
    sum.body(&frame, body.mass, c, frame.velocity + w.cross(c));
    let [xx, yy, zz, xy, xz, yz] = body.inertia;
    sum.turning(
        w,
        Vec3([
            xx * w.x() + xy * w.y() + xz * w.z(),
            xy * w.x() + yy * w.y() + yz * w.z(),
            xz * w.x() + yz * w.y() + zz * w.z(),
        ]),
    );

    let steering = &chassis.steering;
    let mean = steering.gain * inputs.steering_wheel + state[TWIST];
    let mean_rate = steering.gain * inputs.steering_wheel_rate;
    let front = &numbers.front.side;
    let knuckles = [&front[0], &front[1]].map(KnuckleTurn::of);
    let turns = steer(
        [&knuckles[0], &knuckles[1]],
        steering.ackermann,
        mean,
        mean_rate,
    );
    for (i, corner) in front.iter().enumerate() {
        let (carrier, _) = corner.steered_carrier(&frame, i, turns[i]);
        sum.corner(&frame, state, &carrier, corner, i);
    }
    sum.bar(&frame, &numbers.front, 0);

    match &numbers.rear {
        Rear::Independent(corners) => {
            for i in 0..2 {
                let corner = &corners.side[i];
                let carrier = corner.carrier(&frame, i, 2);
                sum.corner(&frame, state, &carrier, corner, 2 + i);
            }
            sum.driveline(chassis, state, inputs, Vec3([zero, T::one(), zero]));
            sum.bar(&frame, corners, 2);
        }
        Rear::Solid(axle) => {
            let carrier = axle.carrier(&frame);
            sum.carrier(&frame, &carrier, &axle.unsprung);
            sum.driveline(chassis, state, inputs, carrier.axis);
            sum.axle(&frame, state, &carrier, axle);
        }
    }

    let momentum = frame.rot_eb * sum.momentum;
    EnergyAndMomentum {
        kinetic: sum.kinetic,
        potential: sum.potential,
        momentum,
        angular_momentum: frame.position.cross(momentum) + frame.rot_eb * sum.angular,
    }
}
