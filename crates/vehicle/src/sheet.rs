//! The static sheet: what a car is before it moves.
//!
//! Everything is read off the assembled numbers by virtual work at rest, so that what the sheet says
//! is what the equations do. Symmetric quantities are means over left and right.
//!
//! - Wheel rate: stiffness of one wheel's travel against the body, bar excluded,
//!   `k c'^2 + F c''` with c the spring's compression and F its force (for an axle: half its rate in
//!   heave), and what binding adds.
//! - Ride rate: wheel rate and tire in series; ride frequency `sqrt(k/m)/(2 pi)` with the sprung mass
//!   that the wheel carries (Gillespie, *Fundamentals of Vehicle Dynamics*, 1992, ch. 5).
//! - Roll stiffness: of springs, bars and binding between body and wheels (for an axle, body and axle);
//!   of binding, the second derivative of its energy by roll.
//! - Roll-center height: the height at which a lateral force needs no roll couple:
//!   `(t/2) dy/ds` of the contact for a corner, `c_z + dy/dr` for an axle.
//! - Anti-squat `-100 (dx/ds)/(h/L)` with x of the contact for an axle that carries its differential
//!   and of the wheel center where the body carries it; anti-lift the same with the contact times the
//!   rear share of the brakes; anti-dive `100 (dx/ds)/(h/L)` of the front contact times the front
//!   share (Gillespie, ch. 7).
//! - Roll steer: steer of the end per body roll, positive where it adds understeer.
//! - Gravity arm: `(K - K')/(m_s g)`, with K the roll stiffness of springs, bars and binding and K' that of the
//!   body on rigid tires with its weight on it. Textbooks take the sprung center's height over the roll
//!   axis; the path by which the springs' static load reaches the wheels decides.

use crate::model::carrier::Carrier;
use crate::model::energy::store;
use crate::model::layout::{ATTITUDE, Inputs, POSITION, STATES, TRAVEL};
use crate::model::numbers::{Corners, Rear};
use crate::model::{Evaluation, Model};
use crate::trim::{Condition, TrimError, solve};
use axletree_scalar::Real;
use axletree_scalar::Vec3;

/// One line of the sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetRow {
    /// Name, snake case.
    pub key: &'static str,
    /// SI unit; "-" for a pure number.
    pub unit: &'static str,
    /// Value [unit].
    pub value: f64,
    /// What it means, with its sign where it has one.
    pub meaning: &'static str,
}

/// The static sheet of a car.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// Name of the car.
    pub name: String,
    /// The lines, in order.
    pub rows: Vec<SheetRow>,
}

impl Sheet {
    /// The value of a line.
    pub fn get(&self, key: &str) -> Option<f64> {
        self.rows.iter().find(|row| row.key == key).map(|r| r.value)
    }
}

/// What one end is, per wheel where it has two.
struct End {
    wheel_rate: f64,
    damping: f64,
    roll_springs: f64,
    roll_bar: f64,
    roll_binding: f64,
    roll_center: f64,
    /// Change of the roll center's height over the moved road per bump of both wheels.
    roll_center_slope: f64,
    /// Slopes of the contact's and of the wheel center's forward position by bump.
    contact_forward: f64,
    center_forward: f64,
    camber_by_bump: f64,
    toe_in_by_bump: f64,
    /// Steer to the left per body roll.
    steer_by_roll: f64,
    unsprung: f64,
    track: f64,
}

/// The static sheet.
///
/// # Errors
/// [`TrimError`] where the car has no equilibrium at 20 m/s and 1 m/s^2, from which the roll and
/// understeer gradients are read.
pub fn static_sheet(model: &Model) -> Result<Sheet, TrimError> {
    let state = model.rolling_state(0.0);
    let rest = model.evaluate(&state, &Inputs::coasting());
    let chassis = &model.numbers.chassis;
    let g = chassis.gravity;
    let mass = model.mass();
    let loads = rest.contacts.map(|c| c.load);
    let weight: f64 = loads.iter().sum();
    let front = corners(model, &model.numbers.front, &rest, 0);
    let rear = match &model.numbers.rear {
        Rear::Independent(c) => corners(model, c, &rest, 2),
        Rear::Solid(_) => axle(model, &rest),
    };
    let solid = model.solid_rear();
    let slope = chassis.height / model.geometry.wheelbase;
    let brakes = chassis.front_brake_share;
    let drive_slope = if solid {
        rear.contact_forward
    } else {
        rear.center_forward
    };

    let gravity_arm = gravity_arm(model, &state, front.roll() + rear.roll());
    // Straight and gently cornering on the same radius: what 1 m/s^2 adds.
    let (a, b) = (0.5, 1.0);
    let speed = 20.0;
    let one = solve(model, Condition::cornering(speed, a))?;
    let two = solve(model, Condition::cornering(speed, b))?;
    let roll = |t: &crate::trim::Trim| t.state[ATTITUDE + 2];
    let roll_gradient = (roll(&two) - roll(&one)) / (b - a);
    // Constant speed: the steer that the turn's geometry asks for is L/V^2 per a_y.
    let steer = |t: &crate::trim::Trim| t.inputs.steering_wheel * chassis.steering.gain;
    let understeer =
        (steer(&two) - steer(&one)) / (b - a) - model.geometry.wheelbase / (speed * speed);

    let wheels = model.wheels();
    let ride = |end: &End, i: usize| {
        let tire = wheels[i].tire.vertical_stiffness;
        let rate = end.wheel_rate * tire / (end.wheel_rate + tire);
        let carried = (loads[i] + loads[i + 1]) / (2.0 * g) - end.unsprung;
        let frequency = (rate / carried).sqrt() / std::f64::consts::TAU;
        let damping = end.damping / (2.0 * (end.wheel_rate * carried).sqrt());
        (rate, frequency, damping)
    };
    let (front_ride, front_frequency, front_damping) = ride(&front, 0);
    let (rear_ride, rear_frequency, rear_damping) = ride(&rear, 2);
    // Tires in series with the suspension's roll stiffness.
    let with_tires = |end: &End, i: usize| {
        let tire = wheels[i].tire.vertical_stiffness * end.track * end.track / 2.0;
        end.roll() * tire / (end.roll() + tire)
    };
    let (front_total, rear_total) = (with_tires(&front, 0), with_tires(&rear, 2));

    let mut rows = Vec::new();
    let mut row = |key, unit, value: f64, meaning| {
        rows.push(SheetRow {
            key,
            unit,
            value,
            meaning,
        });
    };
    row("mass", "kg", mass, "whole car as described");
    row(
        "front_weight_share",
        "-",
        (loads[0] + loads[1]) / weight,
        "share of the weight on the front wheels",
    );
    row(
        "cross_weight_share",
        "-",
        (loads[1] + loads[2]) / weight,
        "share of the weight on front right and rear left",
    );
    row(
        "center_height",
        "m",
        chassis.height,
        "height of the center of mass",
    );
    row("load_front_left", "N", loads[0], "wheel load at rest");
    row("load_front_right", "N", loads[1], "wheel load at rest");
    row("load_rear_left", "N", loads[2], "wheel load at rest");
    row("load_rear_right", "N", loads[3], "wheel load at rest");
    row(
        "unsprung_mass_front",
        "kg",
        2.0 * front.unsprung,
        "both wheels with all that moves with them",
    );
    row(
        "unsprung_mass_rear",
        "kg",
        2.0 * rear.unsprung,
        "both wheels or the axle with all that moves with them",
    );
    row(
        "wheel_rate_front",
        "N/m",
        front.wheel_rate,
        "springs and binding at one wheel, without bar and tire",
    );
    row(
        "wheel_rate_rear",
        "N/m",
        rear.wheel_rate,
        "springs and binding at one wheel in heave, without bar and tire",
    );
    row(
        "ride_rate_front",
        "N/m",
        front_ride,
        "wheel rate and tire in series",
    );
    row(
        "ride_rate_rear",
        "N/m",
        rear_ride,
        "wheel rate and tire in series",
    );
    row(
        "ride_frequency_front",
        "Hz",
        front_frequency,
        "of the sprung mass on the ride rate",
    );
    row(
        "ride_frequency_rear",
        "Hz",
        rear_frequency,
        "of the sprung mass on the ride rate",
    );
    row(
        "damping_ratio_front",
        "-",
        front_damping,
        "at small damper speed, mean of bump and rebound",
    );
    row(
        "damping_ratio_rear",
        "-",
        rear_damping,
        "at small damper speed, mean of bump and rebound",
    );
    row(
        "roll_stiffness_front",
        "N*m/rad",
        front.roll(),
        "springs, bar and binding, without tires",
    );
    row(
        "roll_stiffness_rear",
        "N*m/rad",
        rear.roll(),
        "springs, bar and binding, without tires",
    );
    row(
        "roll_stiffness_bar_front",
        "N*m/rad",
        front.roll_bar,
        "the bar's part",
    );
    row(
        "roll_stiffness_bar_rear",
        "N*m/rad",
        rear.roll_bar,
        "the bar's part",
    );
    for (key, end) in [
        ("roll_stiffness_binding_front", &front),
        ("roll_stiffness_binding_rear", &rear),
    ] {
        row(
            key,
            "N*m/rad",
            end.roll_binding,
            "the part of link ends that twist and tilt; none for an end given by coefficients",
        );
    }
    row(
        "binding_share_rear",
        "-",
        rear.roll_binding / rear.roll(),
        "binding's share of the rear roll stiffness",
    );
    row(
        "roll_stiffness_front_share",
        "-",
        front_total / (front_total + rear_total),
        "front share with the tires in series",
    );
    row(
        "roll_center_height_front",
        "m",
        front.roll_center,
        "above the road",
    );
    row(
        "roll_center_height_rear",
        "m",
        rear.roll_center,
        "above the road",
    );
    for (key, end) in [
        ("roll_center_slope_front", &front),
        ("roll_center_slope_rear", &rear),
    ] {
        row(
            key,
            "-",
            end.roll_center_slope,
            "migration: change of that height per bump of both wheels, the road moving with them",
        );
    }
    row(
        "gravity_arm",
        "m",
        gravity_arm,
        "arm on which the sprung weight adds to roll",
    );
    row(
        "roll_gradient",
        "rad*s2/m",
        roll_gradient,
        "roll angle per lateral acceleration at 20 m/s, right side down in a left turn positive",
    );
    row(
        "understeer_gradient",
        "rad*s2/m",
        understeer,
        "road-wheel steer per lateral acceleration at 20 m/s beyond the geometric, understeer positive",
    );
    row(
        "anti_dive_front",
        "%",
        100.0 * brakes * front.contact_forward / slope,
        "share of the brake load transfer that the front links carry",
    );
    row(
        "anti_lift_rear",
        "%",
        -100.0 * (1.0 - brakes) * rear.contact_forward / slope,
        "share of the brake load transfer that the rear links carry",
    );
    row(
        "anti_squat_rear",
        "%",
        -100.0 * drive_slope / slope,
        "share of the drive load transfer that the rear links carry",
    );
    row(
        "roll_steer_front",
        "-",
        -front.steer_by_roll,
        "steer per body roll, understeer positive",
    );
    row(
        "roll_steer_rear",
        "-",
        rear.steer_by_roll,
        "steer per body roll, understeer positive",
    );
    row(
        "camber_gain_front",
        "rad/m",
        front.camber_by_bump,
        "camber per bump travel, top outward positive",
    );
    row(
        "camber_gain_rear",
        "rad/m",
        rear.camber_by_bump,
        "camber per bump travel, top outward positive; none in heave for an axle",
    );
    row(
        "bump_steer_front",
        "rad/m",
        front.toe_in_by_bump,
        "toe-in per bump travel",
    );
    row(
        "bump_steer_rear",
        "rad/m",
        rear.toe_in_by_bump,
        "toe-in per bump travel; none in heave for an axle",
    );
    if let Rear::Solid(axle) = &model.numbers.rear {
        let [h, r] = [state[TRAVEL + 2], state[TRAVEL + 3]];
        row(
            "lateral_walk_rear",
            "-",
            axle.y.value_and_slope(h, r).1[0],
            "sideways travel of the axle per bump travel, to the left positive",
        );
        row(
            "pinion_gain_rear",
            "rad/m",
            axle.pitch.value_and_slope(h, r).1[0],
            "turn of the axle per bump travel, pinion nose down positive",
        );
    }
    let windup = &chassis.driveline.windup;
    if windup.flexible > 0.5 {
        row(
            "windup_stiffness_rear",
            "N*m/rad",
            windup.stiffness,
            "torque about the wheels' axis per turn of axle or differential on what holds it",
        );
    }
    Ok(Sheet {
        name: model.name.clone(),
        rows,
    })
}

impl End {
    fn roll(&self) -> f64 {
        self.roll_springs + self.roll_bar + self.roll_binding
    }
}

/// Derivative of a function at zero.
fn slope_at_rest(f: impl Fn(f64) -> f64) -> f64 {
    let d = 1e-5;
    (f(d) - f(-d)) / (2.0 * d)
}

/// Velocity of the carrier's point at the contact by a travel.
fn contact_by<const D: usize>(
    carrier: &Carrier<f64, D>,
    center: Vec3<f64>,
    arm: Vec3<f64>,
    d: usize,
) -> Vec3<f64> {
    carrier.center_by[d] + carrier.turn_by[d].cross(center + arm - carrier.center)
}

fn corners(model: &Model, corners: &Corners<f64>, rest: &Evaluation<f64>, first: usize) -> End {
    let track = model.geometry.track[first / 2];
    let half = track / 2.0;
    let mut end = End {
        wheel_rate: 0.0,
        damping: 0.0,
        roll_springs: 0.0,
        roll_bar: 0.0,
        roll_binding: 0.0,
        roll_center: 0.0,
        roll_center_slope: 0.0,
        contact_forward: 0.0,
        center_forward: 0.0,
        camber_by_bump: 0.0,
        toe_in_by_bump: 0.0,
        steer_by_roll: 0.0,
        unsprung: 0.0,
        track,
    };
    let mut bar_slopes = 0.0;
    for (i, side) in [(0, 1.0), (1, -1.0)] {
        let corner = &corners.side[i];
        let carrier = corner.carrier(&rest.frame, i, first);
        let contact = contact_by(&carrier, carrier.center, rest.contacts[first + i].arm, 0);
        let [_, spring, spring_bend] = corner.spring.at(0.0);
        let [_, damper, _] = corner.damper.at(0.0);
        let s = &corner.strut;
        let rate = s.spring.rate * spring * spring + s.spring.preload * spring_bend;
        let bound = slope_at_rest(|x| corner.binding.at(x)[1]);
        end.wheel_rate += (rate + bound) / 2.0;
        end.damping += (s.damper.low[0] + s.damper.low[1]) / 2.0 * damper * damper / 2.0;
        end.roll_springs += rate * half * half;
        end.roll_binding += bound * half * half;
        bar_slopes += corner.bar.at(0.0)[1] / 2.0;
        end.roll_center += half * side * contact.y() / contact.z() / 2.0;
        let radius = rest.contacts[first + i].arm.norm();
        let outward = side * (rest.contacts[first + i].arm.y() + carrier.center.y());
        end.roll_center_slope += slope_at_rest(|x| {
            let mut frame = rest.frame;
            frame.travel[first + i] += x;
            let moved = corner.carrier(&frame, i, first);
            let forward = moved.axis.cross(frame.up).unit();
            let arm = forward.cross(moved.axis).times(-radius);
            let by = contact_by(&moved, moved.center, arm, 0);
            let across = half + side * (moved.center.y() + arm.y()) - outward;
            across * side * by.y() / by.z()
        }) / 2.0;
        end.contact_forward += contact.x() / 2.0;
        end.center_forward += carrier.center_by[0].x() / 2.0;
        // Tilt to the right is away from the car on the right; toe to the left is in on the right.
        let (tilt, toe) = (carrier.turn_by[0].x(), carrier.turn_by[0].z());
        end.camber_by_bump -= side * tilt / 2.0;
        end.toe_in_by_bump -= side * toe / 2.0;
        // The left wheel droops by half the track per body roll to the right.
        end.steer_by_roll -= side * toe * half / 2.0;
        end.unsprung += corner.unsprung.mass / 2.0;
    }
    // Ends move apart by the track times the mean slope per radian.
    end.roll_bar = corners.bar_rate * Real::sq(track * bar_slopes);
    end
}

fn axle(model: &Model, rest: &Evaluation<f64>) -> End {
    let Rear::Solid(axle) = &model.numbers.rear else {
        unreachable!("called for a solid axle");
    };
    let carrier = axle.carrier(&rest.frame);
    let arm = (rest.contacts[2].arm + rest.contacts[3].arm).times(0.5);
    let heave = contact_by(&carrier, carrier.center, arm, 0);
    let roll_velocity = carrier.center_by[1];
    let height = rest.frame.position.z() + rest.frame.up.dot(carrier.center);
    let (h, r) = (rest.frame.travel[2], rest.frame.travel[3]);
    let mut end = End {
        wheel_rate: slope_at_rest(|x| axle.binding.at(h + x, r)[1]) / 2.0,
        damping: 0.0,
        roll_springs: 0.0,
        roll_bar: 0.0,
        roll_binding: slope_at_rest(|x| axle.binding.at(h, r + x)[2]),
        roll_center: height + roll_velocity.y() / carrier.turn_by[1].x(),
        // The road rises with the axle: what is left is how its sideways path in roll bends.
        roll_center_slope: slope_at_rest(|x| {
            axle.y.value_and_slope(h + x, r).1[1] / carrier.turn_by[1].x()
        }),
        contact_forward: heave.x(),
        center_forward: carrier.center_by[0].x(),
        camber_by_bump: 0.0,
        toe_in_by_bump: 0.0,
        // The body rolls to the right: the axle rolls to the left relative to it.
        steer_by_roll: -carrier.turn_by[1].z(),
        unsprung: axle.unsprung.mass / 2.0,
        track: model.geometry.track[1],
    };
    let mut bar = [0.0; 2];
    for i in 0..2 {
        let side = &axle.side[i];
        let spring = side.spring.moving([h, r], [1.0, 0.0]);
        let roll_bend = side.spring.moving([h, r], [0.0, 1.0]).bias;
        let (k, f) = (side.strut.spring.rate, rest.part_forces.spring[2 + i]);
        end.wheel_rate += (k * Real::sq(spring.by[0]) + f * spring.bias) / 2.0;
        end.roll_springs += k * Real::sq(spring.by[1]) + f * roll_bend;
        let damper = side.damper.value_and_slope(h, r).1[0];
        let low = side.strut.damper.low;
        end.damping += (low[0] + low[1]) / 2.0 * damper * damper / 2.0;
        bar[i] = side.bar.value_and_slope(h, r).1[1];
    }
    end.roll_bar = axle.bar_rate * Real::sq(bar[0] - bar[1]);
    end
}

/// How much less the body resists roll on rigid tires than springs and bars do, over the sprung
/// weight [m].
fn gravity_arm(model: &Model, rest: &[f64; STATES], stiffness: f64) -> f64 {
    let still = Inputs::coasting();
    let pressed = model.evaluate(rest, &still).contacts.map(|c| c.deflection);
    // Potential energy at a roll and height, the wheels following with their tires as at rest.
    let potential = |roll: f64, height: f64| {
        let mut state = *rest;
        state[ATTITUDE + 2] = roll;
        state[POSITION + 2] += height;
        for _ in 0..60 {
            let e = model.evaluate(&state, &still);
            let excess: [f64; 4] = std::array::from_fn(|i| e.contacts[i].deflection - pressed[i]);
            state[TRAVEL] += excess[0];
            state[TRAVEL + 1] += excess[1];
            if model.solid_rear() {
                state[TRAVEL + 2] += (excess[2] + excess[3]) / 2.0;
                state[TRAVEL + 3] += (excess[2] - excess[3]) / model.geometry.track[1];
            } else {
                state[TRAVEL + 2] += excess[2];
                state[TRAVEL + 3] += excess[3];
            }
            if excess.iter().all(|x| x.abs() < 1e-13) {
                break;
            }
        }
        store(&model.numbers, &state, &still).potential
    };
    // The body settles at the height of least energy: the vertex of a parabola.
    let least = |roll: f64| {
        let mut height = 0.0;
        for d in [1e-3, 1e-4] {
            let (a, b, c) = (
                potential(roll, height - d),
                potential(roll, height),
                potential(roll, height + d),
            );
            height -= d * (c - a) / (2.0 * (c - 2.0 * b + a));
        }
        potential(roll, height)
    };
    let d = 0.01;
    let effective = (least(d) - 2.0 * least(0.0) + least(-d)) / (d * d);
    let chassis = &model.numbers.chassis;
    (stiffness - effective) / (chassis.sprung.mass * chassis.gravity)
}
