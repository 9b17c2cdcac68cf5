//! How the whole car stands at rest: masses, center of mass, loads, wheels.
//!
//! The car stands at its ride height with the body level. Loads follow from the center of mass and
//! one free number, the cross weight (how the diagonals share the weight); the wheels' heights follow
//! from the loads, and the center of mass from those heights. The dependence is weak, and a few rounds
//! settle it to rounding. Corner weights replace mass, center and cross weight.

use axletree_scalar::Real;
use axletree_scalar::elementary;
use axletree_tire::Tire;
use nalgebra::{Matrix4, Vector4};

use super::links::Links;
use super::scales;
use super::stand::{self, stand};
use crate::car::Car;
use crate::car::unit::FREE_FALL;
use crate::error::{Fault, FaultKind};

/// Names of the wheels in the order of every array over wheels.
const WHEELS: [&str; 4] = crate::model::layout::WHEELS;

/// Rounds after which the loads have settled to rounding; each gains more than two digits.
pub(super) const ROUNDS: usize = 40;

/// A mass at a point of the frame of the standing car.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct PointMass {
    /// Mass [kg].
    pub mass: f64,
    /// Place [m].
    pub at: [f64; 3],
}

/// A car at rest.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Standing {
    /// The wheels.
    pub wheels: [stand::Standing; 4],
    /// Whole mass [kg].
    pub mass: f64,
    /// Center of the whole mass [m].
    pub center: [f64; 3],
    /// The sprung car without its rear end.
    pub chassis: PointMass,
    /// The rear end's sprung parts.
    pub rear_sprung: PointMass,
    /// Roll of a solid rear axle, left side up [rad].
    pub axle_roll: f64,
    /// Half the distance between the wheel centers of a solid axle [m].
    pub half_track: f64,
    /// Share of the weight on the front right and rear left wheels [-].
    pub cross_weight: f64,
}

impl Standing {
    /// The contacts of one end, left of the center of mass: left, right [m].
    pub(super) fn contacts_left(&self, end: usize) -> [f64; 2] {
        [0, 1].map(|side| self.wheels[2 * end + side].contact[1] - self.center[1])
    }
}

/// Mass and center of the chassis, and the cross weight, where a car has corner weights.
pub(crate) struct ChassisWeighed {
    pub mass: f64,
    pub behind: f64,
    pub left: f64,
    pub cross_weight: f64,
}

/// The chassis of a car that assembles.
pub(crate) fn chassis_of(car: &Car) -> ChassisWeighed {
    let standing = stand_of(car);
    ChassisWeighed {
        mass: standing.chassis.mass,
        behind: -standing.chassis.at[0],
        left: standing.chassis.at[1],
        cross_weight: standing.cross_weight,
    }
}

/// How a car stands that assembles.
pub(crate) fn stand_of(car: &Car) -> Standing {
    // A car that exists has been assembled once without a fault.
    let steer = car.solved[1].as_ref().map(|links| RollSteer::of(links));
    super::tires::at_pressure(car)
        .and_then(|tires| standing(car, &tires, steer.unwrap_or_else(|| RollSteer::given(car))))
        .expect("a checked car stands")
}

/// Yaw of a solid axle by its roll at rest, a polynomial without constant term [rad per rad^k].
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct RollSteer(pub [f64; 3]);

impl RollSteer {
    /// Of an axle given by coefficients; none where it is given by its links.
    pub fn given(car: &Car) -> Self {
        RollSteer([car.of("rear.geometry.roll_steer"), 0.0, 0.0])
    }

    /// Of an axle on its links.
    pub fn of(links: &Links) -> Self {
        links.axle().map_or_else(RollSteer::default, |axle| {
            let c = axle.solution.curves.yaw.c;
            RollSteer([c[2], c[5], c[9]])
        })
    }

    fn at(self, roll: f64) -> f64 {
        let [a, b, c] = self.0;
        roll * (a + roll * (b + roll * c))
    }
}

/// How the car stands.
pub(crate) fn standing(
    car: &Car,
    tires: &[Tire<f64>; 2],
    steer: RollSteer,
) -> Result<Standing, Vec<Fault>> {
    let weights = WHEELS.map(|wheel| car.number(&format!("weights.{wheel}")));
    let layout = layout(car, tires, steer);
    let standing = match weights {
        [Some(a), Some(b), Some(c), Some(d)] => scales::weighed(&layout, [a, b, c, d])?,
        _ => settled(&layout)?,
    };
    check(car, tires, &standing)?;
    Ok(standing)
}

/// What holds the wheels' places: tracks, alignment, kind of rear end, and the parts' masses.
pub(super) struct Layout<'a> {
    pub car: &'a Car,
    tires: &'a [Tire<f64>; 2],
    rear_x: f64,
    track: [f64; 2],
    solid: bool,
    steer: RollSteer,
}

impl Layout<'_> {
    /// The wheels under given loads; the axle's roll is improved by one round.
    pub fn wheels(&self, load: [f64; 4], axle_roll: f64) -> ([stand::Standing; 4], f64, f64) {
        let front = [0, 1].map(|side| self.corner(0, side, load[side]));
        if !self.solid {
            let rear = [0, 1].map(|side| self.corner(1, side, load[2 + side]));
            return ([front[0], front[1], rear[0], rear[1]], 0.0, 0.0);
        }
        // The axle's wheels share its axis. With radii R_l left and right, level contacts a track T
        // apart: R_left - R_right = T sin(roll), distance of the wheel centers T cos(roll).
        let track = self.track[1];
        let radius = [2, 3].map(|i| {
            self.tires[1].unloaded_radius
                - load[i] * Real::cos(axle_roll) / self.tires[1].vertical_stiffness
        });
        let roll = elementary::asin(((radius[0] - radius[1]) / track).clamp(-0.5, 0.5));
        let yaw = self.steer.at(roll);
        let rear = [0, 1].map(|side| {
            let out = if side == 0 { 0.5 * track } else { -0.5 * track };
            let contact = [
                self.rear_x - out * Real::sin(yaw),
                out * Real::cos(yaw),
                0.0,
            ];
            stand(&self.tires[1], load[2 + side], yaw, roll, contact)
        });
        let half_track = 0.5 * track * Real::cos(roll);
        ([front[0], front[1], rear[0], rear[1]], roll, half_track)
    }

    fn corner(&self, index: usize, side: usize, load: f64) -> stand::Standing {
        let end = self.car.end(["front", "rear"][index]);
        let left = if side == 0 { 1.0 } else { -1.0 };
        let x = if index == 0 { 0.0 } else { self.rear_x };
        let contact = [x, left * 0.5 * self.track[index], 0.0];
        let (toe, tilt) = (-left * end.of("toe_in"), -left * end.of("camber"));
        stand(&self.tires[index], load, toe, tilt, contact)
    }

    /// The unsprung masses at the wheels' places.
    pub fn unsprung(&self, wheels: &[stand::Standing; 4]) -> [PointMass; 4] {
        let front = self.car.of("front.unsprung.mass");
        // Half of the axle at each wheel center has the axle's mass and center.
        let rear = if self.solid {
            0.5 * self.car.of("rear.axle.mass")
        } else {
            self.car.of("rear.unsprung.mass")
        };
        let mass = [front, front, rear, rear];
        std::array::from_fn(|i| PointMass {
            mass: mass[i],
            at: wheels[i].center,
        })
    }
}

fn layout<'a>(car: &'a Car, tires: &'a [Tire<f64>; 2], steer: RollSteer) -> Layout<'a> {
    Layout {
        car,
        tires,
        rear_x: -car.of("wheelbase"),
        track: [car.of("front.track"), car.of("rear.track")],
        solid: car.has_solid_rear(),
        steer,
    }
}

pub(super) fn rear_sprung(car: &Car) -> PointMass {
    let rear = car.end("rear");
    PointMass {
        mass: rear.of("sprung.mass"),
        at: [
            rear.of("sprung.center_ahead") - car.of("wheelbase"),
            rear.of("sprung.center_left"),
            rear.of("sprung.center_height"),
        ],
    }
}

/// Mass and center of several masses.
pub(super) fn together(parts: &[PointMass]) -> PointMass {
    let mass: f64 = parts.iter().map(|p| p.mass).sum();
    let at = std::array::from_fn(|k| parts.iter().map(|p| p.mass * p.at[k]).sum::<f64>() / mass);
    PointMass { mass, at }
}

/// From mass and center: rounds of loads, wheels, center of mass.
fn settled(layout: &Layout<'_>) -> Result<Standing, Vec<Fault>> {
    let car = layout.car;
    let chassis = PointMass {
        mass: car.of("chassis.mass"),
        at: [
            -car.of("chassis.center_behind_front_axle"),
            car.of("chassis.center_left"),
            car.of("chassis.center_height"),
        ],
    };
    let rear_sprung = rear_sprung(car);
    let cross = car.number("chassis.cross_weight");

    let (mut load, mut axle_roll) = ([3000.0; 4], 0.0);
    let mut standing = None;
    for _ in 0..ROUNDS {
        let (wheels, roll, half_track) = layout.wheels(load, axle_roll);
        let unsprung = layout.unsprung(&wheels);
        let whole = together(&[&unsprung[..], &[chassis, rear_sprung]].concat());
        let behind = -whole.at[0];
        let wheelbase = -layout.rear_x;
        if behind <= 0.0 || behind >= wheelbase {
            return Err(vec![Fault::new(
                "chassis.center_behind_front_axle",
                FaultKind::CenterOutsideWheelbase { behind, wheelbase },
            )]);
        }
        let (next, cross_weight) = loads(&wheels, &whole, cross, layout.track, wheelbase);
        standing = Some(Standing {
            wheels,
            mass: whole.mass,
            center: whole.at,
            chassis,
            rear_sprung,
            axle_roll: roll,
            half_track,
            cross_weight,
        });
        let moved = load
            .iter()
            .zip(next)
            .any(|(a, b)| (a - b).abs() > 1e-14 * whole.mass * FREE_FALL);
        (load, axle_roll) = (next, roll);
        // A wheel that would hang pulls the next round nowhere: leave it to the check.
        if !moved || load.iter().any(|n| *n <= 0.0) {
            break;
        }
    }
    // ROUNDS is not zero.
    let mut standing = standing.expect("at least one round");
    for (wheel, load) in standing.wheels.iter_mut().zip(load) {
        wheel.load = load;
    }
    Ok(standing)
}

/// Loads of the wheels: they sum to the weight, balance about both axes of the road, and share the
/// cross weight; without a given one, both axles lean to the same side by the same share. Returns them
/// with the cross weight.
fn loads(
    wheels: &[stand::Standing; 4],
    whole: &PointMass,
    cross: Option<f64>,
    track: [f64; 2],
    wheelbase: f64,
) -> ([f64; 4], f64) {
    let weight = whole.mass * FREE_FALL;
    let [x, y, _] = whole.at;
    let cross = cross.unwrap_or_else(|| {
        let rear = -x / wheelbase;
        let front = 1.0 - rear;
        let lean = 2.0 * y / (front * track[0] + rear * track[1]);
        // Front right and rear left: (1 - lean)/2 of the front, (1 + lean)/2 of the rear.
        0.5 * (front * (1.0 - lean) + rear * (1.0 + lean))
    });
    let c = wheels.map(|wheel| wheel.contact);
    let matrix = Matrix4::new(
        1.0,
        1.0,
        1.0,
        1.0, //
        c[0][0] - x,
        c[1][0] - x,
        c[2][0] - x,
        c[3][0] - x, //
        c[0][1] - y,
        c[1][1] - y,
        c[2][1] - y,
        c[3][1] - y, //
        0.0,
        1.0,
        1.0,
        0.0,
    );
    let right = Vector4::new(weight, 0.0, 0.0, cross * weight);
    // Four contacts of a track above 0.8 m and a wheelbase above 1.5 m: never singular.
    let load = matrix.lu().solve(&right).expect("contacts span the road");
    (load.into(), cross)
}

/// Every wheel stands on the road and none is pressed flat.
fn check(car: &Car, tires: &[Tire<f64>; 2], standing: &Standing) -> Result<(), Vec<Fault>> {
    let mut faults = Vec::new();
    for (i, wheel) in standing.wheels.iter().enumerate() {
        let tire = &tires[i / 2];
        let deflection = tire.unloaded_radius - wheel.loaded_radius;
        if wheel.load <= 0.0 {
            let path = if car.is_written("chassis.cross_weight") {
                "chassis.cross_weight"
            } else {
                "chassis.center_left"
            };
            faults.push(Fault::new(
                path,
                FaultKind::NoLoad {
                    wheel: WHEELS[i],
                    load: wheel.load,
                },
            ));
        } else if deflection > 0.25 * tire.unloaded_radius {
            faults.push(Fault::new(
                format!("{}.tire.unloaded_radius", ["front", "rear"][i / 2]),
                FaultKind::TireOverloaded {
                    radius: tire.unloaded_radius,
                    deflection,
                },
            ));
        }
    }
    if faults.is_empty() {
        Ok(())
    } else {
        Err(faults)
    }
}
