//! Engine, clutch, gears, differential, half shafts and wind-up.
//!
//! The torque curve goes through the figures that data sheets state. With the largest torque `T_p`
//! at the speed `w_p` and the largest power at the speed `w_P`, where the torque is `T_P`, and `u =
//! (w - w_p)/(w_P - w_p)`:
//!
//! ```text
//! T = T_p - rise (w_p - w)^2                        below w_p, through the share at idle
//! T = T_p - a u^2 - b u^8                           beyond it
//! a + b = T_p - T_P,   (2 a + 8 b)/(w_P - w_p) = T_P/w_P
//! ```
//!
//! the last one because the power is stationary at its peak. Where that needs a sharper or a
//! flatter bend than the two terms can give, only the nearer of them is used.

use axletree_scalar::Real;

use crate::description::data::Description;
use crate::description::declare::key::Key;
use crate::description::declare::keys;
use crate::description::declare::words::{DifferentialType, PropshaftRotation, RearType};
use crate::fault::Fault;
use crate::fault_kind::FaultKind;
use crate::model::numbers::{Clutch, Differential, Driveline, Engine, HalfShafts, Windup};

/// Bias torque of a locked differential: more than any shaft carries `[N*m]`.
const LOCKED_BIAS_TORQUE: f64 = 1e9;
/// Natural frequency from which a housing on its links counts as rigid: six times the frequency of
/// wheel hop, so that the wind-up follows the torque without delay `[rad/s]`.
const RIGID_FREQUENCY: f64 = 450.0;
/// Torque of the idle control per speed short of idle `[N*m*s/rad]`.
const IDLE_GAIN: f64 = 1.5;

/// Engine speed over propeller-shaft speed in each gear.
pub(super) fn gears(car: &Description) -> Vec<f64> {
    let always = [
        keys::GEARBOX_FIRST,
        keys::GEARBOX_SECOND,
        keys::GEARBOX_THIRD,
        keys::GEARBOX_FOURTH,
    ];
    let more = [keys::GEARBOX_FIFTH, keys::GEARBOX_SIXTH];
    let mut gears = always.map(|key| car.value(key)).to_vec();
    gears.extend(more.iter().map_while(|key| car.value(*key)));
    gears
}

/// The driveline. `held` is the stiffness of wind-up that the rear links give, where they are known
/// `[N*m/rad]`.
pub(super) fn assemble(
    car: &Description,
    held: Option<f64>,
    faults: &mut Vec<Fault>,
) -> Driveline<f64> {
    let clockwise = car.value(keys::DRIVELINE_PROPSHAFT_ROTATION) == PropshaftRotation::Clockwise;
    let final_drive = car.value(keys::DIFFERENTIAL_FINAL_DRIVE);
    let efficiency = car.value(keys::DRIVELINE_EFFICIENCY);
    Driveline {
        final_drive,
        propshaft_sense: if clockwise { -1.0 } else { 1.0 },
        shaft_inertia: car.value(keys::DRIVELINE_SHAFT_INERTIA),
        gear_inertia: car.value(keys::GEARBOX_INPUT_INERTIA),
        efficiency,
        throttle_lag: car.value(keys::ENGINE_THROTTLE_LAG),
        differential: differential(car),
        half_shafts: HalfShafts {
            stiffness: car.value(keys::HALF_SHAFTS_STIFFNESS),
            damping: car.value(keys::HALF_SHAFTS_DAMPING),
        },
        windup: windup(car, held),
        engine: engine(car, final_drive * efficiency, faults),
        clutch: Clutch {
            capacity: car.value(keys::CLUTCH_CAPACITY),
            stiffness: car.value(keys::CLUTCH_STIFFNESS),
            damping: car.value(keys::CLUTCH_DAMPING),
        },
        peak_power: car.value(keys::ENGINE_PEAK_POWER),
        peak_torque: car.value(keys::ENGINE_PEAK_WHEEL_TORQUE),
    }
}

fn differential(car: &Description) -> Differential<f64> {
    let kind = car.value(keys::DIFFERENTIAL_TYPE);
    let (drive, coast) = match kind {
        DifferentialType::Plate => (
            car.value(keys::DIFFERENTIAL_DRIVE_LOCK),
            car.value(keys::DIFFERENTIAL_COAST_LOCK),
        ),
        DifferentialType::TorqueBiasing => {
            let ratio = car.value(keys::DIFFERENTIAL_BIAS_RATIO);
            let lock = (ratio - 1.0) / (ratio + 1.0);
            (lock, lock)
        }
        DifferentialType::Open | DifferentialType::Locked => (0.0, 0.0),
    };
    Differential {
        preload: match kind {
            DifferentialType::Locked => LOCKED_BIAS_TORQUE,
            _ => car.value(keys::DIFFERENTIAL_PRELOAD),
        },
        lock_drive: drive,
        lock_coast: coast,
    }
}

fn windup(car: &Description, held: Option<f64>) -> Windup<f64> {
    let inertia = if car.value(keys::REAR_TYPE) == RearType::Solid {
        car.value(keys::AXLE_AXIAL_INERTIA)
    } else {
        car.value(keys::WINDUP_INERTIA)
    };
    let stiffness = held.or_else(|| car.value(keys::WINDUP_STIFFNESS));
    let rigid = |stiffness: f64| stiffness > inertia * RIGID_FREQUENCY * RIGID_FREQUENCY;
    match stiffness {
        Some(stiffness) if inertia > 0.0 && !rigid(stiffness) => Windup {
            stiffness,
            damping: 2.0 * car.value(keys::WINDUP_DAMPING_RATIO) * (stiffness * inertia).sqrt(),
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
fn engine(car: &Description, passed: f64, faults: &mut Vec<Fault>) -> Engine<f64> {
    let second = car.value(keys::GEARBOX_SECOND);
    let peak_torque = car
        .value(keys::ENGINE_PEAK_TORQUE)
        .unwrap_or_else(|| car.value(keys::ENGINE_PEAK_WHEEL_TORQUE) / (second * passed));
    let (idle, peak_speed, power_speed, limit) = (
        car.value(keys::ENGINE_IDLE_SPEED),
        car.value(keys::ENGINE_PEAK_TORQUE_SPEED),
        car.value(keys::ENGINE_PEAK_POWER_SPEED),
        car.value(keys::ENGINE_LIMIT_SPEED),
    );
    let speeds: [(f64, Key<f64>); 4] = [
        (idle, keys::ENGINE_IDLE_SPEED),
        (peak_speed, keys::ENGINE_PEAK_TORQUE_SPEED),
        (power_speed, keys::ENGINE_PEAK_POWER_SPEED),
        (limit, keys::ENGINE_LIMIT_SPEED),
    ];
    for pair in speeds.windows(2) {
        let ((lower, below), (higher, key)) = (pair[0], pair[1]);
        if higher <= lower * 1.001 {
            faults.push(Fault::new(
                key,
                FaultKind::SpeedsOutOfOrder {
                    below: below.path(),
                    least: lower / RPM,
                },
            ));
        }
    }
    let power = car.value(keys::ENGINE_PEAK_POWER) / car.value(keys::DRIVELINE_EFFICIENCY);
    let at_power = power / power_speed;
    if at_power > peak_torque * (1.0 + 1e-9) {
        faults.push(Fault::new(
            keys::ENGINE_PEAK_POWER,
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
    let share = car.value(keys::ENGINE_IDLE_TORQUE_SHARE);
    Engine {
        inertia: car.value(keys::ENGINE_INERTIA),
        drag: [
            car.value(keys::ENGINE_DRAG),
            car.value(keys::ENGINE_DRAG_SLOPE),
        ],
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

/// One revolution a minute `[rad/s]`.
const RPM: f64 = std::f64::consts::PI / 30.0;
