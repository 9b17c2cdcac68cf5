//! Entries from the engine to the half shafts.

use super::common::BY_COEFFICIENTS;
use super::key::ChoiceKind;
use super::row::{choice, q, table};
use super::shape::{REQUIRED, default, optional};
use super::words::{DifferentialType, PropshaftRotation};

const PRACTICE: &str = "common practice, no source";

table! {
    /// The rows of the whole car, in the order of a file.
    ROWS in Drive by Index;

    whole ENGINE_PEAK_POWER: f64 = "engine.peak_power", q("kW", 1.0, 1500.0), REQUIRED,
        "Largest power that reaches the driven wheels";
    whole ENGINE_PEAK_POWER_SPEED: f64 = "engine.peak_power_speed", q("rpm", 1000.0, 20000.0),
        default("6800 rpm", PRACTICE),
        "Engine speed of the largest power";
    whole ENGINE_PEAK_WHEEL_TORQUE: f64 = "engine.peak_wheel_torque", q("N*m", 50.0, 30000.0),
        REQUIRED,
        "Largest torque on both driven wheels together, in the gear used: second, where engine \
         and gears follow from it";
    whole ENGINE_PEAK_TORQUE: Option<f64> = "engine.peak_torque", q("N*m", 20.0, 3000.0),
        optional("the torque that gives the largest torque on the driven wheels in second gear"),
        "Largest torque at the crankshaft";
    whole ENGINE_PEAK_TORQUE_SPEED: f64 = "engine.peak_torque_speed", q("rpm", 500.0, 18000.0),
        default("4500 rpm", PRACTICE),
        "Engine speed of the largest torque";
    whole ENGINE_IDLE_TORQUE_SHARE: f64 = "engine.idle_torque_share", q("", 0.1, 1.0),
        default("0.6", PRACTICE),
        "Torque with the throttle open at idle speed over the largest torque";
    whole ENGINE_IDLE_SPEED: f64 = "engine.idle_speed", q("rpm", 300.0, 3000.0),
        default("850 rpm", PRACTICE),
        "Idle speed";
    whole ENGINE_LIMIT_SPEED: f64 = "engine.limit_speed", q("rpm", 2000.0, 22000.0),
        default("7300 rpm", PRACTICE),
        "Engine speed at which the limiter leaves no torque";
    whole ENGINE_INERTIA: f64 = "engine.inertia", q("kg*m^2", 0.01, 3.0),
        default("0.16 kg*m^2", PRACTICE),
        "Moment of inertia of crankshaft, flywheel and clutch cover";
    whole ENGINE_DRAG: f64 = "engine.drag", q("N*m", 0.0, 300.0),
        default("14 N*m", "mean effective pressure of friction and pumping near 1.5 bar on two \
         liters; common practice, no source"),
        "Drag at low speed with the throttle closed";
    whole ENGINE_DRAG_SLOPE: f64 = "engine.drag_slope", q("N*m/rpm", 0.0, 0.1),
        default("0.003 N*m/rpm", PRACTICE),
        "Growth of that drag with the engine speed";
    whole ENGINE_THROTTLE_LAG: f64 = "engine.throttle_lag", q("ms", 1.0, 1000.0),
        default("80 ms", "filling of the intake; common practice, no source"),
        "Time constant from the throttle to the engine's torque";
    whole CLUTCH_CAPACITY: f64 = "clutch.capacity", q("N*m", 50.0, 5000.0),
        default("400 N*m", PRACTICE),
        "Torque that the closed clutch holds";
    whole CLUTCH_STIFFNESS: f64 = "clutch.stiffness", q("N*m/deg", 1.0, 500.0),
        default("25 N*m/deg", "springs of the driven plate; common practice, no source"),
        "Torque per twist of the driven plate";
    whole CLUTCH_DAMPING: f64 = "clutch.damping", q("N*m*s/deg", 0.0, 2.0),
        default("0.025 N*m*s/deg", PRACTICE),
        "Torque per rate of twist of the driven plate";
    whole GEARBOX_FIRST: f64 = "gearbox.first", q("", 0.3, 10.0), default("3.4", PRACTICE),
        "Engine speed over propeller-shaft speed in first gear";
    whole GEARBOX_SECOND: f64 = "gearbox.second", q("", 0.3, 10.0), default("2.0", PRACTICE),
        "Engine speed over propeller-shaft speed in second gear";
    whole GEARBOX_THIRD: f64 = "gearbox.third", q("", 0.3, 10.0), default("1.4", PRACTICE),
        "Engine speed over propeller-shaft speed in third gear";
    whole GEARBOX_FOURTH: f64 = "gearbox.fourth", q("", 0.3, 10.0), default("1.0", PRACTICE),
        "Engine speed over propeller-shaft speed in fourth gear";
    whole GEARBOX_FIFTH: Option<f64> = "gearbox.fifth", q("", 0.3, 10.0), optional("no such gear"),
        "Engine speed over propeller-shaft speed in fifth gear";
    whole GEARBOX_SIXTH: Option<f64> = "gearbox.sixth", q("", 0.3, 10.0), optional("no such gear"),
        "Engine speed over propeller-shaft speed in sixth gear";
    whole GEARBOX_INPUT_INERTIA: f64 = "gearbox.input_inertia", q("kg*m^2", 0.001, 1.0),
        default("0.015 kg*m^2", PRACTICE),
        "Moment of inertia of the driven plate and of the parts that turn with the gearbox's input";
    whole DRIVELINE_SHAFT_INERTIA: f64 = "driveline.shaft_inertia", q("kg*m^2", 0.001, 1.0),
        default("0.02 kg*m^2", PRACTICE),
        "Moment of inertia of the propeller shaft and of the parts that turn with it";
    whole DRIVELINE_EFFICIENCY: f64 = "driveline.efficiency", q("", 0.5, 1.0),
        default("0.93", PRACTICE),
        "Share of the engine's torque that reaches the wheels";
    whole DRIVELINE_PROPSHAFT_ROTATION: ChoiceKind<PropshaftRotation> =
        "driveline.propshaft_rotation", choice::<PropshaftRotation>(),
        default("clockwise", PRACTICE),
        "Sense of turn of the propeller shaft in forward drive, seen from the front of the car";
}

table! {
    /// The rows of the rear end, in the order of a file.
    REAR_ROWS in RearDrive by RearIndex;

    rear DIFFERENTIAL_TYPE: ChoiceKind<DifferentialType> = "differential.type",
        choice::<DifferentialType>(),
        REQUIRED,
        "Kind of differential";
    rear DIFFERENTIAL_FINAL_DRIVE: f64 = "differential.final_drive", q("", 1.0, 10.0), REQUIRED,
        "Speed of the propeller shaft over the mean speed of the wheels";
    rear DIFFERENTIAL_PRELOAD: f64 = "differential.preload", q("N*m", 0.0, 1000.0),
        default("0 N*m", "no springs that press the plates"),
        "Difference of the half shafts' torques that it holds at no load (open, plate, \
         torque-biasing)";
    rear DIFFERENTIAL_DRIVE_LOCK: f64 = "differential.drive_lock", q("", 0.0, 0.95),
        default("0.4", "ramps of about 45 degrees; common practice, no source"),
        "Plate type: difference of the half shafts' torques over their sum, driving, set by the \
         drive ramps";
    rear DIFFERENTIAL_COAST_LOCK: f64 = "differential.coast_lock", q("", 0.0, 0.95),
        default("0.2", "steeper ramps on coast; common practice, no source"),
        "Plate type: difference of the half shafts' torques over their sum on coast, set by the \
         coast ramps";
    rear DIFFERENTIAL_BIAS_RATIO: f64 = "differential.bias_ratio", q("", 1.0, 8.0),
        default("2.5", "helical gears; common practice, no source"),
        "Torque-biasing type: torque of the slower wheel over that of the faster at which it slips";
    rear HALF_SHAFTS_STIFFNESS: f64 = "half_shafts.stiffness", q("N*m/deg", 5.0, 5000.0),
        default("140 N*m/deg", PRACTICE),
        "Torque per twist of one half shaft, with its share of the compliance from the gearbox on";
    rear HALF_SHAFTS_DAMPING: f64 = "half_shafts.damping", q("N*m*s/deg", 0.0, 2.0),
        default("0.1 N*m*s/deg", "a few percent of critical; common practice, no source"),
        "Torque per rate of twist of one half shaft";
    rear WINDUP_STIFFNESS: Option<f64> = "windup.stiffness", q("N*m/deg", 50.0, 1e6),
        optional("rigid links and mounts; a natural frequency above 70 Hz counts as rigid too"),
        "Torque about the wheels' axis per turn of the axle on its links, or of the differential \
         and its subframe on their mounts", when BY_COEFFICIENTS;
    rear WINDUP_DAMPING_RATIO: f64 = "windup.damping_ratio", q("", 0.0, 1.0),
        default("0.06", "loss factor of rubber near 0.12; common practice, no source"),
        "Damping of the wind-up over critical damping";
    rear_independent WINDUP_INERTIA: f64 = "windup.inertia", q("kg*m^2", 0.05, 30.0),
        default("1.2 kg*m^2", "differential and the subframe's share; common practice, no source"),
        "Moment of inertia about the wheels' axis of the parts that wind up; an axle winds up with \
         its axial inertia";
}
