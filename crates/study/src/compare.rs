//! Several cars in the same maneuvers.

use axletree_maneuver::Maneuver;
use axletree_simulation::Ending;
use axletree_vehicle::{Car, CarError};

use crate::error::StudyError;
use crate::sweep::{MetricColumn, columns};
use crate::vary::{MOST_ROWS, first_repeated};
use crate::work::{StudyOptions, check, rows};

/// Results of several cars in the same maneuvers.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison {
    /// Names of the cars, in the order given.
    pub names: Vec<String>,
    /// Names of the maneuvers.
    pub maneuvers: Vec<&'static str>,
    /// Measured metrics.
    pub columns: Vec<MetricColumn>,
    /// A value per metric and car, `values[column][car]`; not a number where the run gave none.
    pub values: Vec<Vec<f64>>,
    /// Ending of each maneuver with each car, `endings[maneuver][car]`.
    pub endings: Vec<Vec<Ending>>,
    /// Why each car could not be built, where it could not.
    pub faults: Vec<Option<CarError>>,
}

/// Drives every car through every maneuver.
///
/// As many cars come out as go in: a car that cannot be built keeps its place, with the outcome
/// "not built" in every maneuver and its faults. A car is therefore given as the result of building
/// it, such as that of [`Car::edit`].
///
/// # Errors
/// [`StudyError`] for a request without cars or maneuvers, for two of the same name, for too many
/// cars or threads, and for settings of a maneuver that fail its check.
///
/// ```
/// use axletree_maneuver::Circle;
/// use axletree_study::{StudyOptions, compare};
/// use axletree_vehicle::bundled;
///
/// let car = bundled("bramble-solid").expect("a bundled car")?;
/// let cars = [
///     ("as it is".to_owned(), Ok(car.clone())),
///     ("thick bar".to_owned(), car.edit([("rear.bar.outer_diameter", "26 mm")])),
///     ("too thick".to_owned(), car.edit([("rear.bar.outer_diameter", "1 m")])),
/// ];
/// let table = compare(&cars, &[&Circle::default()], &StudyOptions::default())?;
/// assert_eq!(table.endings[0][2].outcome.name(), "not_built");
/// assert!(table.faults[2].is_some() && table.faults[1].is_none());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn compare(
    cars: &[(String, Result<Car, CarError>)],
    maneuvers: &[&dyn Maneuver],
    options: &StudyOptions<'_>,
) -> Result<Comparison, StudyError> {
    check(maneuvers, options)?;
    if cars.is_empty() {
        return Err(StudyError::Empty {
            what: "car",
            given: 0,
        });
    }
    if cars.len() > MOST_ROWS {
        return Err(StudyError::TooLarge {
            rows: cars.len() as u128,
            most: MOST_ROWS,
        });
    }
    if let Some(twice) = first_repeated(cars.iter().map(|(name, _)| name.as_str())) {
        return Err(StudyError::Twice {
            what: "the car",
            name: twice.to_owned(),
        });
    }
    let done = rows(
        cars.len(),
        |row| Ok((cars[row].1.clone()?, Vec::new())),
        maneuvers,
        options,
    );
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
        faults: done.into_iter().map(|d| d.fault).collect(),
        columns,
    })
}
