//! An equilibrium with the engine in gear, in place of a torque given to the crown wheel.
//!
//! With the ratio i from engine to wheels, the efficiency eta and the torque T given to the crown
//! wheel,
//!
//! ```text
//! om_e = i om_d,   T_e = T/(i eta) for drive, T eta/i for coast,   theta = T_e/k_c
//! throttle = (T_e - T_closed)/(T_open - T_closed)
//! ```

use thiserror::Error;

use crate::model::{Model, State};
use crate::trim::Trim;

/// Why the engine cannot hold an equilibrium.
#[derive(Clone, Copy, Debug, Error, PartialEq)]
pub enum GearError {
    /// There is no such gear.
    #[error("gear {gear} does not exist: the gearbox has gears 1 to {gears}")]
    NoGear {
        /// Gear, counted from 1.
        gear: usize,
        /// Number of gears.
        gears: usize,
    },
    /// The engine would turn too fast or stall.
    #[error(
        "in gear {gear} the engine would turn at {speed:.0} rad/s; allowed: {idle:.0} to {limit:.0} rad/s"
    )]
    Speed {
        /// Gear, counted from 1.
        gear: usize,
        /// Engine speed `[rad/s]`.
        speed: f64,
        /// Idle speed `[rad/s]`.
        idle: f64,
        /// Highest speed `[rad/s]`.
        limit: f64,
    },
    /// No throttle between closed and open gives the torque.
    #[error(
        "in gear {gear} the engine needs {torque:.1} N*m at {speed:.0} rad/s; it gives {closed:.1} to \
         {open:.1} N*m from closed to open throttle"
    )]
    Torque {
        /// Gear, counted from 1.
        gear: usize,
        /// Torque needed `[N*m]`.
        torque: f64,
        /// Engine speed `[rad/s]`.
        speed: f64,
        /// Torque with the throttle closed `[N*m]`.
        closed: f64,
        /// Torque with the throttle open `[N*m]`.
        open: f64,
    },
}

/// The lowest gear (counted from 1) in which the engine turns at most at `share` of its highest
/// speed while the crown wheel turns at `crown` `[rad/s]`; the highest gear where there is none.
pub fn gear_for(model: &Model, crown: f64, share: f64) -> usize {
    let line = &model.numbers.chassis.driveline;
    let fits = |ratio: &f64| ratio * line.final_drive * crown.abs() <= share * line.engine.limit;
    model
        .gears
        .iter()
        .position(fits)
        .map_or(model.gears.len(), |i| i + 1)
}

/// The same equilibrium with the engine in gear `gear` (counted from 1), the clutch closed, and the
/// throttle at which the engine supplies the torque that was given to the crown wheel.
///
/// # Errors
/// [`GearError`] where there is no such gear, or the engine cannot run at that speed or give that
/// torque.
///
/// ```
/// use axletree_vehicle::{bundled, gear_equilibrium, trim::{Condition, solve}};
///
/// let model = bundled("bramble-solid").unwrap()?.assemble()?;
/// let trim = solve(&model, Condition::straight(20.0))?;
/// let driven = gear_equilibrium(&model, &trim, 3)?;
/// assert!(driven.inputs.throttle > 0.0 && driven.inputs.drive_torque == 0.0);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn gear_equilibrium(model: &Model, trim: &Trim, gear: usize) -> Result<Trim, GearError> {
    let Some(&gear_ratio) = gear.checked_sub(1).and_then(|i| model.gears.get(i)) else {
        return Err(GearError::NoGear {
            gear,
            gears: model.gears.len(),
        });
    };
    let line = &model.numbers.chassis.driveline;
    let engine = &line.engine;
    let ratio = gear_ratio * line.final_drive;
    let mut state = State::of(&trim.state);
    let speed = ratio * state.driveline;
    if !(engine.idle..=engine.limit).contains(&speed) {
        return Err(GearError::Speed {
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
        return Err(GearError::Torque {
            gear,
            torque,
            speed,
            closed,
            open,
        });
    }
    let mut out = trim.clone();
    state.engine = speed;
    state.clutch = torque / line.clutch.stiffness;
    state.throttle = throttle;
    out.state = state.as_array();
    out.inputs.drive_torque = 0.0;
    out.inputs.throttle = throttle;
    out.inputs.gear_ratio = gear_ratio;
    out.inputs.clutch = 1.0;
    out.inputs.engine_on = 1.0;
    Ok(out)
}
