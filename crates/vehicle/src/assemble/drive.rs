//! From the engine to the half shafts.
//!
//! The torque curve goes through what a maker states. With the largest torque T_p at the speed w_p and
//! the largest power at the speed w_P, where the torque is T_P, u = (w - w_p)/(w_P - w_p):
//!
//! ```text
//! T = T_p - rise (w_p - w)^2                        below w_p, through the share at idle
//! T = T_p - a u^2 - b u^8                           beyond it
//! a + b = T_p - T_P,   (2 a + 8 b)/(w_P - w_p) = T_P/w_P
//! ```
//!
//! the last one because the power is stationary at its peak. Where it asks for a sharper or a flatter
//! bend than the two terms give, the nearer of them stands alone.

use super::End;
use crate::car::Car;
use crate::error::{Fault, FaultKind};
use crate::model::numbers::{Clutch, Differential, Driveline, Engine, HalfShafts, Windup};
use axletree_scalar::Real;

/// Bias torque of a locked differential: more than any shaft carries [N m].
const NO_BOUND: f64 = 1e9;
/// Own frequency from which a housing on its links counts as rigid: six times the frequency of hop, so
/// that the wind-up follows the torque without delay [rad/s].
const RIGID_FROM: f64 = 450.0;
/// Torque of the idle control per speed short of idle [N m s/rad].
const IDLE_GAIN: f64 = 1.5;

/// Engine speed over propeller-shaft speed in each gear.
pub(super) fn gears(car: &Car) -> Vec<f64> {
    ["first", "second", "third", "fourth", "fifth", "sixth"]
        .iter()
        .map_while(|name| car.number(&format!("gearbox.{name}")))
        .collect()
}

/// The driveline. `held` is the rate of wind-up that the rear links give, where they are known
/// [N m/rad].
pub(super) fn assemble(car: &Car, held: Option<f64>, faults: &mut Vec<Fault>) -> Driveline<f64> {
    let rear = car.end("rear");
    let clockwise = car.text("driveline.propshaft_rotation") != Some("counterclockwise");
    let (final_drive, efficiency) = (
        rear.of("differential.final_drive"),
        car.of("driveline.efficiency"),
    );
    Driveline {
        final_drive,
        propshaft_sense: if clockwise { -1.0 } else { 1.0 },
        shaft_inertia: car.of("driveline.shaft_inertia"),
        gear_inertia: car.of("gearbox.input_inertia"),
        efficiency,
        throttle_lag: car.of("engine.throttle_lag"),
        differential: differential(rear),
        half_shafts: HalfShafts {
            stiffness: rear.of("half_shafts.stiffness"),
            damping: rear.of("half_shafts.damping"),
        },
        windup: windup(car, rear, held),
        engine: engine(car, final_drive * efficiency, faults),
        clutch: Clutch {
            capacity: car.of("clutch.capacity"),
            stiffness: car.of("clutch.stiffness"),
            damping: car.of("clutch.damping"),
        },
        peak_power: car.of("engine.peak_power"),
        peak_torque: car.of("engine.peak_wheel_torque"),
    }
}

fn differential(rear: End<'_>) -> Differential<f64> {
    let kind = rear.car.text("rear.differential.type");
    let (drive, coast) = match kind {
        Some("plate") => (
            rear.of("differential.drive_lock"),
            rear.of("differential.coast_lock"),
        ),
        Some("torque-biasing") => {
            let ratio = rear.of("differential.bias_ratio");
            let lock = (ratio - 1.0) / (ratio + 1.0);
            (lock, lock)
        }
        _ => (0.0, 0.0),
    };
    Differential {
        preload: match kind {
            Some("locked") => NO_BOUND,
            _ => rear.of("differential.preload"),
        },
        lock_drive: drive,
        lock_coast: coast,
    }
}

fn windup(car: &Car, rear: End<'_>, held: Option<f64>) -> Windup<f64> {
    let inertia = if car.has_solid_rear() {
        rear.of("axle.axial_inertia")
    } else {
        rear.of("windup.inertia")
    };
    let stiffness = held.or_else(|| rear.maybe("windup.stiffness"));
    let quick = |stiffness: f64| stiffness > inertia * RIGID_FROM * RIGID_FROM;
    match stiffness {
        Some(stiffness) if inertia > 0.0 && !quick(stiffness) => Windup {
            stiffness,
            damping: 2.0 * rear.of("windup.damping_ratio") * (stiffness * inertia).sqrt(),
            inertia,
            flexible: 1.0,
        },
        _ => Windup {
            stiffness: 0.0,
            damping: 0.0,
            inertia: 1.0,
            flexible: 0.0,
        },
    }
}

/// The engine; `passed` is the final drive times the driveline's efficiency.
fn engine(car: &Car, passed: f64, faults: &mut Vec<Fault>) -> Engine<f64> {
    let second = car.of("gearbox.second");
    let peak_torque = car
        .number("engine.peak_torque")
        .unwrap_or_else(|| car.of("engine.peak_wheel_torque") / (second * passed));
    let (idle, peak_speed, power_speed, limit) = (
        car.of("engine.idle_speed"),
        car.of("engine.peak_torque_speed"),
        car.of("engine.peak_power_speed"),
        car.of("engine.limit_speed"),
    );
    for (lower, higher, path, below) in [
        (
            idle,
            peak_speed,
            "engine.peak_torque_speed",
            "engine.idle_speed",
        ),
        (
            peak_speed,
            power_speed,
            "engine.peak_power_speed",
            "engine.peak_torque_speed",
        ),
        (
            power_speed,
            limit,
            "engine.limit_speed",
            "engine.peak_power_speed",
        ),
    ] {
        if higher <= lower * 1.001 {
            faults.push(Fault::new(
                path,
                FaultKind::SpeedsOutOfOrder {
                    below,
                    least: lower / RPM,
                },
            ));
        }
    }
    let power = car.of("engine.peak_power") / car.of("driveline.efficiency");
    let at_power = power / power_speed;
    if at_power > peak_torque * (1.0 + 1e-9) {
        faults.push(Fault::new(
            "engine.peak_power",
            FaultKind::PowerAboveTorque {
                needed: at_power,
                torque: peak_torque,
                speed: power_speed / RPM,
            },
        ));
    }
    let span = (power_speed - peak_speed).max(1.0);
    let lost = (peak_torque - at_power).max(0.0);
    let eighth = ((at_power / power_speed * span - 2.0 * lost) / 6.0).clamp(0.0, lost);
    let share = car.of("engine.idle_torque_share");
    Engine {
        inertia: car.of("engine.inertia"),
        drag: [car.of("engine.drag"), car.of("engine.drag_slope")],
        idle,
        idle_gain: IDLE_GAIN,
        peak_torque,
        peak_speed,
        rise: (1.0 - share) * peak_torque / Real::sq((peak_speed - idle).max(1.0)),
        fall: [lost - eighth, eighth],
        fall_span: span,
        limit,
    }
}

/// One revolution a minute [rad/s].
const RPM: f64 = std::f64::consts::PI / 30.0;
