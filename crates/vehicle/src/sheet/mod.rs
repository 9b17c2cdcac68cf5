//! The static sheet: weights, rates, frequencies, roll and pitch kinematics of a car at rest.
//!
//! Everything is computed from the assembled numbers by virtual work at rest, so that the sheet
//! agrees with the equations of motion. Symmetric quantities are means over left and right.
//!
//! - Wheel rate: stiffness of one wheel's travel against the body, bar excluded, `k c'^2 + F c''`
//!   with c the spring's compression and F its force (for an axle: half its rate in heave), plus
//!   the stiffness of binding.
//! - Ride rate: wheel rate and tire in series; ride frequency `sqrt(k/m)/(2 pi)` with the sprung
//!   mass that the wheel carries (Gillespie, *Fundamentals of Vehicle Dynamics*, 1992, ch. 5).
//! - Roll stiffness: of springs, bars and binding between body and wheels (for an axle, body and
//!   axle); of binding, the second derivative of its energy by roll.
//! - Roll-center height: the height at which a lateral force needs no roll couple:
//!   `(t/2) v_y/v_z` of the knuckle's point at the contact for a corner, `c_z + dy/dr` for an axle.
//! - Anti-squat `-100 (v_x/v_z)/(h/L)` with v the velocity by bump of the carrier's point at the
//!   contact for an axle that carries its differential, and of the wheel center where the body
//!   carries it; anti-lift the same with the contact times the rear share of the brakes; anti-dive
//!   `100 (v_x/v_z)/(h/L)` of the front contact times the front share (Gillespie, ch. 7).
//! - Bump steer and camber gain: derivatives of toe-in and camber by bump, which are angles of the
//!   wheel's axis, not parts of the knuckle's angular velocity.
//! - Roll steer: steer of the end per body roll, positive where it adds understeer.
//! - Roll and understeer gradients: slopes of roll and of the road wheels' mean steer over lateral
//!   acceleration, that of steer less the Ackermann steer's `L/V^2`, in the limit of gentle
//!   cornering: differences of two equilibria at 20 m/s, at 0.5 and 1 m/s^2. A circle's gradients
//!   are the same slopes, means over its own range of accelerations at its own speeds.
//! - Gravity arm: `(K - K')/(m_s g)`, with K the roll stiffness of springs, bars and binding and K'
//!   that of the body on rigid tires with its weight on it. Textbooks take the sprung center's
//!   height over the roll axis; the path by which the springs' static load reaches the wheels
//!   decides.

pub(crate) mod ends;
mod gravity_arm;
mod rows;
mod statics;

use axletree_report::{Figure, Figures};

use crate::model::Model;
use crate::trim::TrimError;
use rows::ROWS;
use statics::Statics;

/// The static sheet of a car.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// Name of the car.
    pub name: String,
    /// The figures that this car has, in order.
    pub figures: Figures,
}

impl Sheet {
    /// The value of a figure by its key; `None` where the car does not have it.
    pub fn get(&self, key: &str) -> Option<f64> {
        self.figures.get(key)
    }
}

impl Model {
    /// The static sheet.
    ///
    /// # Errors
    /// [`TrimError`] where the car has no equilibrium at 20 m/s and 1 m/s^2, from which the roll
    /// and understeer gradients are computed.
    ///
    /// ```
    /// let model = axletree_vehicle::bundled("bramble-solid").unwrap()?.assemble()?;
    /// let sheet = model.static_sheet()?;
    /// assert!((1.0..3.0).contains(&sheet.get("ride_frequency_front").unwrap()));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn static_sheet(&self) -> Result<Sheet, TrimError> {
        let statics = Statics::of(self)?;
        let figures = ROWS.iter().filter_map(|row| {
            let value = (row.value)(&statics)?;
            Some(Figure {
                quantity: row.quantity,
                value: Some(value),
            })
        });
        Ok(Sheet {
            name: self.name.clone(),
            figures: Figures(figures.collect()),
        })
    }
}
