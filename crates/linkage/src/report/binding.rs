//! Force or moment of binding over the travel.

use axletree_report::{Column, Quantity};

use crate::axle_linkage::AxleRange;
use crate::corner_linkage::CornerRange;
use crate::error::LinkageError;
use crate::report::sheet::column;
use crate::solution::{AxleSolution, CornerSolution};
use crate::travel::Travel;

/// Points over the travel; odd, so that static is one of them for a symmetric range.
const POINTS: u32 = 81;

/// Roll of the axle.
const ROLL: Quantity = Quantity::new("roll", "rad", "Roll of the axle, left side up");
/// Moment of binding.
const MOMENT: Quantity = Quantity::new("moment", "N*m", "Moment of binding against roll");
/// Energy of strained links.
const STRAIN_ENERGY: Quantity = Quantity::new("strain_energy", "J", "Energy of strained links");
/// Energy of ends that run solid.
const SOLID_ENERGY: Quantity = Quantity::new("solid_energy", "J", "Energy of ends that run solid");
/// Travel of the wheel.
const TRAVEL: Quantity = Quantity::new("travel", "m", "Rise of the wheel center, bump positive");
/// Force of binding.
const FORCE: Quantity = Quantity::new("force", "N", "Force of binding against the travel");

/// Evenly spaced values, both ends included.
fn spread(low: f64, high: f64) -> Vec<f64> {
    let last = f64::from(POINTS - 1);
    (0..POINTS)
        .map(|i| low + (high - low) * f64::from(i) / last)
        .collect()
}

/// Moment of binding over the roll of an axle at static heave, exact.
pub(super) fn axle(solution: &AxleSolution, range: AxleRange) -> Result<Vec<Column>, LinkageError> {
    let rows = solution.roll_moments(0.0, &spread(-range.roll, range.roll))?;
    Ok(vec![
        column(ROLL, &rows, |m| m.roll),
        column(MOMENT, &rows, |m| m.moment),
        column(STRAIN_ENERGY, &rows, |m| m.strain),
        column(SOLID_ENERGY, &rows, |m| m.solid),
    ])
}

/// Force of binding over the travel of a corner, exact.
pub(super) fn corner(
    solution: &CornerSolution,
    range: CornerRange,
) -> Result<Vec<Column>, LinkageError> {
    let rows = spread(-range.droop, range.bump)
        .into_iter()
        .map(|travel| {
            let position = solution.solver.at(Travel::heave(travel))?;
            Ok((travel, solution.binding.stored(&solution.solver, &position)))
        })
        .collect::<Result<Vec<_>, LinkageError>>()?;
    Ok(vec![
        column(TRAVEL, &rows, |(travel, _)| *travel),
        column(FORCE, &rows, |(_, stored)| stored.by_heave),
        column(SOLID_ENERGY, &rows, |(_, stored)| stored.solid),
    ])
}
