//! Cars for the tests, from numbers alone: plausible, or with every number disturbed.
#![allow(dead_code, reason = "every test uses another part of it")]

use axletree_linkage::{Potential, TravelPotential};
use axletree_scalar::Lift;
use axletree_tire::TireSpec;
use axletree_vehicle::model::layout::{
    ATTITUDE, CLUTCH, DEFLECTION, DRIVELINE, ENGINE, HOUSING, POSITION, RATE, SHAFT_DIFFERENCE,
    SHAFT_MEAN, SPIN, THROTTLE, TILT, TOE, TRAVEL, TRAVEL_RATE, TWIST, VELOCITY, WINDUP,
};
use axletree_vehicle::model::numbers::{
    Air, Axle, AxleSide, Chassis, Clutch, Compliance, Corner, Corners, Curve, Damper, Differential,
    Driveline, Engine, HalfShafts, Numbers, Rear, Spring, Sprung, Steering, Stop, Strut, Surface,
    Unsprung, Wheel, Windup,
};
use axletree_vehicle::model::{Inputs, STATES};
use axletree_vehicle::{Geometry, Model};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

pub type Rng = ChaCha8Rng;

pub fn rng(seed: u64) -> Rng {
    ChaCha8Rng::seed_from_u64(seed)
}

/// A number in `-1..1` times `scale`.
pub fn spread(rng: &mut Rng, scale: f64) -> f64 {
    (rng.random::<f64>() * 2.0 - 1.0) * scale
}

const HEIGHT: f64 = 0.5;
const RADIUS: f64 = 0.31;
const LOADED: f64 = 0.292;

fn stop(gap: f64) -> Stop<f64> {
    Stop {
        gap,
        rate: 2.0e4,
        progression: 4.0e6,
    }
}

fn strut(preload: f64, rate: f64) -> Strut<f64> {
    Strut {
        spring: Spring { preload, rate },
        damper: Damper {
            low: [2500.0, 4500.0],
            high: [900.0, 1700.0],
            inverse_knee: [1.0 / 0.12, 1.0 / 0.10],
        },
        bump: stop(0.05),
        droop: stop(0.06),
    }
}

fn wheel() -> Wheel<f64> {
    Wheel {
        spin_inertia: 1.1,
        tire: TireSpec::typical(RADIUS, 3300.0).at(220e3).unwrap(),
    }
}

fn compliance(scale: f64) -> Compliance<f64> {
    let own = |x: f64, cross: f64| [[x * scale, cross * scale], [cross * scale, x * scale]];
    Compliance {
        toe_lateral: own(-4e-7, 0.0),
        toe_longitudinal: [[-3e-7 * scale, 0.0], [0.0, 3e-7 * scale]],
        toe_aligning: own(1e-5, 0.0),
        toe_brake: [[1e-6 * scale, 0.0], [0.0, -1e-6 * scale]],
        tilt_lateral: own(8e-7, 0.0),
        lateral: own(6e-7, 1e-7),
        longitudinal: own(1.2e-6, 2e-7),
    }
}

fn corner(x: f64, half_track: f64, side: f64, preload: f64, rate: f64) -> Corner<f64> {
    let line = Curve::line;
    Corner {
        x: line(x, 0.02),
        y: line(side * half_track, side * 0.03),
        z: line(LOADED - HEIGHT, 1.0),
        toe: line(-side * 0.001, -side * 0.05),
        tilt: line(side * 0.015, side * 0.35),
        pitch: line(0.0, 0.4),
        spring: line(0.0, 0.9),
        damper: line(0.0, 0.9),
        bar: line(0.0, 0.6),
        strut: strut(preload, rate),
        binding: travel_binding(),
        unsprung: Unsprung {
            mass: 38.0,
            inertia_diametral: 0.9,
            inertia_axial: 0.5,
        },
        wheel: wheel(),
        steering_axis: [-0.10, -side * 0.20, 1.0].map(|v| v / (1.05_f64).sqrt()),
        steering_arm: [0.02, -side * 0.01, -LOADED],
    }
}

/// A plausible car of about 1320 kg on either rear end.
#[expect(
    clippy::too_many_lines,
    reason = "one loop over the lanes whose steps share all of its state"
)]
pub fn plausible(solid: bool) -> Numbers<f64> {
    let (front_x, rear_x) = (1.20, -1.37);
    let front = Corners {
        side: [1.0, -1.0].map(|s| corner(front_x, 0.74, s, 3200.0, 3.2e4)),
        bar_rate: 3.0e4,
        compliance: compliance(1.0),
    };
    let rear = if solid {
        let side = |s: f64| AxleSide {
            spring: Surface::plane(0.0, 1.0, s * 0.5),
            damper: Surface::plane(0.0, 1.0, s * 0.45),
            bar: Surface::plane(0.0, 1.0, s * 0.5),
            strut: strut(2400.0, 2.8e4),
            wheel: wheel(),
        };
        Rear::Solid(Axle {
            x: Surface::plane(rear_x, 0.06, 0.0),
            y: Surface::plane(0.0, 0.0, 0.28 - LOADED),
            z: LOADED - HEIGHT,
            yaw: Surface::plane(0.0, 0.0, 0.06),
            pitch: Surface::plane(0.0, 0.9, 0.0),
            half_track: 0.74,
            side: [1.0, -1.0].map(side),
            binding: binding(),
            unsprung: Unsprung {
                mass: 115.0,
                inertia_diametral: 28.0,
                inertia_axial: 1.5,
            },
            bar_rate: 1.2e4,
            compliance: Compliance {
                lateral: [[8e-7; 2]; 2],
                toe_lateral: [[1e-7; 2]; 2],
                ..compliance(0.0)
            },
        })
    } else {
        Rear::Independent(Corners {
            side: [1.0, -1.0].map(|s| corner(rear_x, 0.74, s, 2700.0, 3.0e4)),
            bar_rate: 1.5e4,
            compliance: compliance(1.0),
        })
    };
    Numbers {
        chassis: Chassis {
            sprung: Sprung {
                mass: 1130.0,
                center: [0.02, 0.0, 0.03],
                inertia: [420.0, 1500.0, 1700.0, 0.0, -40.0, 0.0],
            },
            height: HEIGHT,
            gravity: 9.80665,
            steering: Steering {
                gain: 1.0 / 15.0,
                ackermann: 0.28,
                compliance: 4e-5,
            },
            driveline: Driveline {
                final_drive: 3.7,
                propshaft_sense: -1.0,
                shaft_inertia: 0.02,
                gear_inertia: 0.015,
                efficiency: 0.93,
                throttle_lag: 0.08,
                differential: Differential {
                    preload: 60.0,
                    lock_drive: 0.4,
                    lock_coast: 0.2,
                },
                half_shafts: HalfShafts {
                    stiffness: 8000.0,
                    damping: 6.0,
                },
                windup: Windup {
                    stiffness: 6.0e4,
                    damping: 40.0,
                    inertia: 1.5,
                    flexible: 1.0,
                },
                engine: Engine {
                    inertia: 0.16,
                    drag: [14.0, 0.03],
                    idle: 89.0,
                    idle_gain: 1.5,
                    peak_torque: 220.0,
                    peak_speed: 470.0,
                    rise: 6e-4,
                    fall: [5.0, 15.0],
                    fall_span: 240.0,
                    limit: 760.0,
                },
                clutch: Clutch {
                    capacity: 400.0,
                    stiffness: 1432.0,
                    damping: 1.5,
                },
                peak_power: 1.5e5,
                peak_torque: 4.0e3,
            },
            front_brake_share: 0.65,
            air: Air {
                drag: 0.42,
                drag_height: 0.1,
                lift: [0.03, 0.05],
                lift_x: [front_x, rear_x],
            },
            lag: 0.004,
        },
        front,
        rear,
    }
}

/// Binding of an axle, with one link that runs solid.
fn binding() -> Potential<f64> {
    let mut binding = Potential::none();
    for (i, c) in binding.c.iter_mut().enumerate() {
        *c = [
            300.0, 40.0, 900.0, 2e3, 500.0, 800.0, 300.0, 1e4, 1e3, 5e3, 1e3, 4e4,
        ][i];
    }
    binding.solid[0].tilt_squared[0] = 0.3;
    binding.solid[0].tilt_squared[2] = 1.0;
    binding.solid[0].limit = 0.03;
    binding.solid[0].rate = 1e4;
    binding
}

/// Binding of a corner, with one link that runs solid.
fn travel_binding() -> TravelPotential<f64> {
    let mut binding = TravelPotential::none();
    binding.c = [500.0, 3e3, 4e4];
    binding.solid[0].tilt_squared = [1.0, 0.1, 0.2];
    binding.solid[0].limit = 0.03;
    binding.solid[0].rate = 1e4;
    binding
}

/// Numbers as a model, with outer measures that no test depends on.
#[expect(clippy::large_types_passed_by_value, reason = "copied once a period")]
pub fn model(numbers: Numbers<f64>) -> Model {
    Model {
        name: "test".to_owned(),
        numbers,
        rest_travel: [0.0; 4],
        gears: vec![3.4, 2.0, 1.4, 1.0],
        geometry: Geometry {
            wheelbase: 2.57,
            front_axle: 1.20,
            track: [1.48; 2],
            width: 1.75,
            nose: 2.05,
            tail: 2.35,
        },
    }
}

/// The plausible car with every number disturbed by up to 10 %, and curves and tensors given the
/// terms that the plausible car lacks, so that left and right differ.
pub fn disturbed(solid: bool, rng: &mut Rng) -> Numbers<f64> {
    let mut numbers: Numbers<f64> = plausible(solid).lift(&mut |x| x * (1.0 + spread(rng, 0.1)));
    let inertia = &mut numbers.chassis.sprung.inertia;
    inertia[3] = spread(rng, 30.0);
    inertia[5] = spread(rng, 30.0);
    numbers.chassis.sprung.center[1] = spread(rng, 0.03);
    let line = &mut numbers.chassis.driveline;
    // Open, plate type, locked; a housing that winds up or not.
    match rng.random_range(0..3) {
        0 => {
            line.differential.preload = 0.0;
            line.differential.lock_drive = 0.0;
            line.differential.lock_coast = 0.0;
        }
        1 => {}
        _ => line.differential.preload = 1e9,
    }
    line.windup.flexible = f64::from(rng.random::<bool>());
    let bend = |curve: &mut Curve<f64>, rng: &mut Rng| {
        for (i, c) in curve.c.iter_mut().enumerate().skip(1) {
            *c += spread(rng, 0.05 * [0.0, 1.0, 5.0, 20.0, 50.0][i]);
        }
    };
    let mut corners = vec![&mut numbers.front];
    let mut surfaces: Vec<&mut Surface<f64>> = Vec::new();
    match &mut numbers.rear {
        Rear::Independent(c) => corners.push(c),
        Rear::Solid(a) => {
            surfaces.extend([&mut a.x, &mut a.y, &mut a.yaw, &mut a.pitch]);
            for s in &mut a.side {
                surfaces.extend([&mut s.spring, &mut s.damper, &mut s.bar]);
            }
        }
    }
    for c in corners.iter_mut().flat_map(|c| c.side.iter_mut()) {
        for curve in [
            &mut c.x,
            &mut c.y,
            &mut c.z,
            &mut c.toe,
            &mut c.tilt,
            &mut c.pitch,
            &mut c.spring,
            &mut c.damper,
            &mut c.bar,
        ] {
            bend(curve, rng);
        }
    }
    for s in surfaces {
        for (i, c) in s.c.iter_mut().enumerate().skip(1) {
            *c += spread(rng, if i < 3 { 0.03 } else { 0.3 });
        }
    }
    for c in corners {
        symmetrize(&mut c.compliance);
        for side in &mut c.side {
            unit(&mut side.steering_axis);
        }
    }
    if let Rear::Solid(a) = &mut numbers.rear {
        symmetrize(&mut a.compliance);
    }
    numbers
}

fn symmetrize(c: &mut Compliance<f64>) {
    for m in [&mut c.lateral, &mut c.longitudinal] {
        m[1][0] = m[0][1];
        // A shared compliance keeps its matrix positive semidefinite.
        let limit = (m[0][0] * m[1][1]).sqrt();
        m[0][1] = m[0][1].min(limit);
        m[1][0] = m[0][1];
    }
}

fn unit(v: &mut [f64; 3]) {
    let n = v.iter().map(|x| x * x).sum::<f64>().sqrt();
    for x in v {
        *x /= n;
    }
}

/// A random state: moving, turning, on its wheels more or less.
pub fn random_state(solid: bool, rng: &mut Rng) -> [f64; STATES] {
    let mut x = [0.0; STATES];
    let mut put = |at: usize, center: f64, scale: f64, rng: &mut Rng| {
        x[at] = center + spread(rng, scale);
    };
    for i in 0..2 {
        put(POSITION + i, 0.0, 20.0, rng);
    }
    put(POSITION + 2, HEIGHT, 0.04, rng);
    put(ATTITUDE, 0.0, 3.0, rng);
    put(ATTITUDE + 1, 0.0, 0.1, rng);
    put(ATTITUDE + 2, 0.0, 0.1, rng);
    for i in 0..4 {
        put(
            TRAVEL + i,
            0.0,
            if solid && i == 3 { 0.08 } else { 0.06 },
            rng,
        );
        put(TRAVEL_RATE + i, 0.0, 0.5, rng);
    }
    put(VELOCITY, 18.0, 12.0, rng);
    put(VELOCITY + 1, 0.0, 3.0, rng);
    put(VELOCITY + 2, 0.0, 0.5, rng);
    for i in 0..3 {
        put(RATE + i, 0.0, 1.0, rng);
    }
    let u = 18.0;
    for i in 0..4 {
        put(SPIN + i, u / LOADED, 20.0, rng);
        put(DEFLECTION + 2 * i, 0.0, 0.006, rng);
        put(DEFLECTION + 2 * i + 1, 0.0, 0.02, rng);
        put(TOE + i, 0.0, 0.005, rng);
        put(TILT + i, 0.0, 0.005, rng);
    }
    put(TWIST, 0.0, 0.01, rng);
    put(WINDUP, 0.0, 0.02, rng);
    put(HOUSING, 0.0, 3.0, rng);
    put(SHAFT_MEAN, 0.0, 0.06, rng);
    put(SHAFT_DIFFERENCE, 0.0, 0.08, rng);
    put(DRIVELINE, u / LOADED, 20.0, rng);
    put(ENGINE, 400.0, 380.0, rng);
    put(CLUTCH, 0.0, 0.4, rng);
    put(THROTTLE, 0.5, 0.5, rng);
    x
}

pub fn random_inputs(rng: &mut Rng) -> Inputs<f64> {
    Inputs {
        steering_wheel: spread(rng, 4.0),
        steering_wheel_rate: spread(rng, 8.0),
        drive_torque: spread(rng, 2000.0),
        brake_torque: rng.random::<f64>() * 3000.0,
        friction: 0.5 + rng.random::<f64>(),
        throttle: rng.random(),
        gear_ratio: 1.0 + 2.5 * rng.random::<f64>(),
        clutch: rng.random(),
        engine_on: f64::from(rng.random::<bool>()),
    }
}
