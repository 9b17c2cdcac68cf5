//! Description of a solid axle: links, springs, dampers and bar.

use crate::elements::Side;
use crate::error::LinkageError;
use crate::mechanism::{Carried, Mechanism};
use crate::parts::{Linkage, Triple};
use crate::range::check_range;
use crate::solve::{Position, Solver};
use crate::travel::Travel;

/// A solid axle.
#[derive(Clone, Debug, PartialEq)]
pub struct AxleLinkage {
    /// Parts that locate the axle.
    pub parts: Linkage,
    /// Center at static `[m, b]`.
    pub center: Triple,
    /// Half the distance between the wheel centers `[m]`.
    pub half_track: f64,
    /// Spring, damper and bar end of each side: left, right.
    pub sides: [Side; 2],
}

/// Travel of an axle over which its curves are fitted: heave and roll to both sides. At full heave
/// only half the roll is covered, as the stops at the wheels leave no more.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AxleRange {
    /// Up and down from static `[m]`.
    pub heave: f64,
    /// To both sides `[rad]`.
    pub roll: f64,
}

impl Default for AxleRange {
    /// 60 mm and 5 deg each way, about 90 mm at a wheel: the travel of a road car between its stops
    /// (common practice, no source).
    fn default() -> Self {
        AxleRange {
            heave: 0.06,
            roll: 5f64.to_radians(),
        }
    }
}

/// Points over heave and roll, on each side of static.
const AXLE_POINTS: i32 = 5;

impl AxleLinkage {
    /// Assembles the axle at static.
    ///
    /// # Errors
    /// Errors of [`Mechanism::new`] and [`Solver::new`].
    pub fn solver(&self) -> Result<Solver, LinkageError> {
        Solver::new(Mechanism::new(
            self.parts.clone(),
            Carried::Axle,
            self.center,
        )?)
    }

    /// Point of the axle midway between the contact patches `[m, b]`.
    pub fn patch(&self) -> Triple {
        [self.center[0], self.center[1], 0.0]
    }

    /// Exact positions on a grid of heave and roll, with static in its middle.
    ///
    /// # Errors
    /// [`LinkageError::Range`] for a travel out of range, else the errors of [`Solver::follow`].
    pub fn positions(
        &self,
        solver: &Solver,
        range: AxleRange,
    ) -> Result<Vec<Position>, LinkageError> {
        check_range("heave", range.heave, "m", 0.5)?;
        check_range("roll", range.roll, "rad", 0.5)?;
        let mut all = Vec::new();
        let mut column = |row: &Position| -> Result<(), LinkageError> {
            all.push(*row);
            let most = range.roll * (1.0 - 0.5 * (row.travel.heave / range.heave).abs());
            for sign in [-1.0, 1.0] {
                let mut here = *row;
                for j in 1..=AXLE_POINTS {
                    let roll = sign * most * f64::from(j) / f64::from(AXLE_POINTS);
                    here = solver.follow(&here, Travel { roll, ..row.travel })?;
                    all.push(here);
                }
            }
            Ok(())
        };
        column(&solver.start)?;
        for sign in [-1.0, 1.0] {
            let mut here = solver.start;
            for i in 1..=AXLE_POINTS {
                let heave = sign * range.heave * f64::from(i) / f64::from(AXLE_POINTS);
                here = solver.follow(&here, Travel::heave(heave))?;
                column(&here)?;
            }
        }
        Ok(all)
    }
}
