//! An equilibrium with the engine in gear, in place of a torque given to the crown wheel.

use thiserror::Error;

use crate::model::Model;
use crate::model::layout::{CLUTCH, DRIVELINE, ENGINE, THROTTLE};
use crate::trim::Trim;

/// Why the engine cannot hold an equilibrium.
#[derive(Clone, Copy, Debug, Error, PartialEq)]
pub enum EngageError {
    /// There is no such gear.
    #[error("gear {gear} does not exist: the gearbox has gears 1 to {gears}")]
    NoGear {
        /// What was asked for, counted from 1.
        gear: usize,
        /// How many there are.
        gears: usize,
    },
    /// The engine would turn too fast or stall.
    #[error(
        "in gear {gear} the engine would turn at {speed:.0} rad/s; it runs from {idle:.0} to {limit:.0} rad/s"
    )]
    Speed {
        /// Gear, counted from 1.
        gear: usize,
        /// Engine speed [rad/s].
        speed: f64,
        /// Idle speed [rad/s].
        idle: f64,
        /// Highest speed [rad/s].
        limit: f64,
    },
    /// No throttle between closed and open gives the torque.
    #[error(
        "in gear {gear} the engine would have to give {torque:.1} N*m at {speed:.0} rad/s; it gives \
         {closed:.1} to {open:.1} N*m"
    )]
    Torque {
        /// Gear, counted from 1.
        gear: usize,
        /// Torque asked for [N m].
        torque: f64,
        /// Engine speed [rad/s].
        speed: f64,
        /// Torque with the throttle closed [N m].
        closed: f64,
        /// Torque with the throttle open [N m].
        open: f64,
    },
}

/// The gear (counted from 1) in which the engine turns at most at `share` of its highest speed, when
/// the crown wheel turns at `crown` [rad/s]: the lowest such gear, or the highest there is.
pub fn gear_for(model: &Model, crown: f64, share: f64) -> usize {
    let line = &model.numbers.chassis.driveline;
    let fits = |ratio: &f64| ratio * line.final_drive * crown.abs() <= share * line.engine.limit;
    model
        .gears
        .iter()
        .position(fits)
        .map_or(model.gears.len(), |i| i + 1)
}

/// The same equilibrium with the engine in gear `gear` (counted from 1), clutch closed, throttle where
/// it holds the torque that was given to the crown wheel.
pub fn engage(model: &Model, trim: &Trim, gear: usize) -> Result<Trim, EngageError> {
    let Some(&gear_ratio) = gear.checked_sub(1).and_then(|i| model.gears.get(i)) else {
        return Err(EngageError::NoGear {
            gear,
            gears: model.gears.len(),
        });
    };
    let line = &model.numbers.chassis.driveline;
    let engine = &line.engine;
    let ratio = gear_ratio * line.final_drive;
    let speed = ratio * trim.state[DRIVELINE];
    if !(engine.idle..=engine.limit).contains(&speed) {
        return Err(EngageError::Speed {
            gear,
            speed,
            idle: engine.idle,
            limit: engine.limit,
        });
    }
    let given = trim.inputs.drive_torque / ratio;
    let torque = if given > 0.0 {
        given / line.efficiency
    } else {
        given * line.efficiency
    };
    let (closed, open) = (engine.torque(speed, 0.0), engine.torque(speed, 1.0));
    let throttle = (torque - closed) / (open - closed);
    if !(0.0..=1.0).contains(&throttle) {
        return Err(EngageError::Torque {
            gear,
            torque,
            speed,
            closed,
            open,
        });
    }
    let mut out = trim.clone();
    out.state[ENGINE] = speed;
    out.state[CLUTCH] = torque / line.clutch.stiffness;
    out.state[THROTTLE] = throttle;
    out.inputs.drive_torque = 0.0;
    out.inputs.throttle = throttle;
    out.inputs.gear_ratio = gear_ratio;
    out.inputs.clutch = 1.0;
    out.inputs.engine_on = 1.0;
    Ok(out)
}
