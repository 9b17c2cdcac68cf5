//! Several cars side by side.

use axletree_maneuver::Maneuver;
use axletree_simulation::Ending;
use axletree_vehicle::Car;

use crate::error::StudyError;
use crate::sweep::{Column, columns};
use crate::work::{Options, check, rows};

/// What several cars did in the same maneuvers.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison {
    /// Names of the cars, in the order given.
    pub names: Vec<String>,
    /// Names of the maneuvers.
    pub maneuvers: Vec<&'static str>,
    /// What was measured.
    pub columns: Vec<Column>,
    /// A value per measured column and car: `values[column][car]`; not a number where the run gave
    /// none.
    pub values: Vec<Vec<f64>>,
    /// How each maneuver ended with each car: `endings[maneuver][car]`.
    pub endings: Vec<Vec<Ending>>,
}

/// Drives every car through every maneuver.
///
/// # Errors
/// [`StudyError`] where the request makes no sense or a car cannot be built.
pub fn compare(
    cars: &[(String, Car)],
    maneuvers: &[&dyn Maneuver],
    options: &Options<'_>,
) -> Result<Comparison, StudyError> {
    check(maneuvers)?;
    if cars.is_empty() {
        return Err(StudyError::Empty {
            what: "car",
            given: 0,
        });
    }
    for (i, (name, _)) in cars.iter().enumerate() {
        if cars[..i].iter().any(|(other, _)| other == name) {
            return Err(StudyError::Twice {
                what: "the car",
                name: name.clone(),
            });
        }
    }
    let mut done = rows(
        cars.len(),
        |row| Ok((cars[row].1.clone(), Vec::new())),
        maneuvers,
        options,
    )?;
    if let Some(fault) = done.iter_mut().find_map(|d| d.fault.take()) {
        return Err(fault.into());
    }
    let columns = columns(maneuvers);
    let by_car = |of: &dyn Fn(usize) -> f64| (0..cars.len()).map(of).collect::<Vec<f64>>();
    Ok(Comparison {
        names: cars.iter().map(|(name, _)| name.clone()).collect(),
        maneuvers: maneuvers.iter().map(|m| m.name()).collect(),
        values: (0..columns.len())
            .map(|c| by_car(&|car| done[car].values[c]))
            .collect(),
        endings: (0..maneuvers.len())
            .map(|m| done.iter().map(|d| d.endings[m]).collect())
            .collect(),
        columns,
    })
}
