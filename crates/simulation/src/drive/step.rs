//! Step lengths that are accurate and stable.

use axletree_vehicle::Model;

/// Step of sweeps `[s]`.
///
/// Every metric of the step steer then agrees with the adaptive integrator at 1e-10 to a twentieth
/// of the tolerance, 0.1 % or the metric's floor.
pub const FIXED_STEP: f64 = 0.004;

/// Longest step of the step steer `[s]`.
///
/// Stability would allow a little more, see [`step_at`]. Every metric then agrees with the adaptive
/// integrator at 1e-10 to a quarter of the tolerance, 0.1 % or the metric's floor, from 10 to 55
/// m/s; a test says so.
pub const LONGEST_STEP: f64 = 0.005;

/// Fixed step times the fastest rate of the car, pure lags left out, which are taken exactly `[-]`.
/// The method is stable up to 2.78 for a decay and up to 2.83 for an oscillation.
const STEP_TIMES_RATE: f64 = 2.6;

/// Longest stable step of the driveline, at most the step asked for `[s]`: stiff shafts or light
/// wheels shorten it. `engine` says whether engine and clutch move.
pub fn step_for(model: &Model, asked: f64, engine: bool) -> f64 {
    let line = &model.numbers.chassis.driveline;
    let spin = model.wheels().map(|wheel| wheel.spin_inertia);
    let spin = spin[2].min(spin[3]);
    let gears = model
        .gears
        .iter()
        .filter(|_| engine)
        .map(|gear| Some(*gear));
    let rates = gears
        .chain([None])
        .map(|gear| line.fastest_rate(spin, gear));
    asked.min(STEP_TIMES_RATE / rates.fold(0.0, f64::max))
}

/// Longest stable step up to a `speed` `[m/s]`, in any tire state, at most the step asked for
/// `[s]`: the relaxation rate of the slip grows with the rolling speed, and a sliding contact is
/// limited by the belt's time constant.
pub fn step_at(model: &Model, asked: f64, engine: bool, speed: f64) -> f64 {
    let memory = model.wheels().map(|wheel| wheel.tire.fastest_memory(speed));
    let fastest = memory.into_iter().fold(0.0, f64::max);
    step_for(model, asked, engine).min(STEP_TIMES_RATE / fastest)
}
