//! A model with some of its numbers replaced.

use std::collections::HashMap;
use std::hash::BuildHasher;

use super::layout::{ENGINE, Inputs};
use super::model::Model;
use super::numbers::Numbers;
use super::record::{RecordError, check_finite};
use super::undrivable::{FASTEST_RATE, UndrivableNumbers};

/// Speed at which the rates are looked at `[m/s]`.
const SPEED: f64 = 20.0;

impl Model {
    /// The same topology with some numbers replaced, by their dotted paths.
    ///
    /// # Errors
    /// [`RecordError::Unknown`] for a path that this car does not have; [`RecordError::NotFinite`];
    /// [`RecordError::Undrivable`] for numbers with which no maneuver can drive the car, such as an
    /// inertia of zero.
    pub fn with_numbers<S: BuildHasher>(
        &self,
        changes: &HashMap<String, f64, S>,
    ) -> Result<Self, RecordError> {
        let mut numbers: HashMap<String, f64> = self.named_numbers().into_iter().collect();
        let mut unknown = Vec::new();
        for (path, value) in changes {
            if let Some(old) = numbers.get_mut(path) {
                *old = *value;
            } else {
                unknown.push(path.clone());
            }
        }
        if !unknown.is_empty() {
            unknown.sort();
            return Err(RecordError::Unknown(unknown));
        }
        check_finite(changes)?;
        let model = self.with_all_numbers(&numbers);
        check_drivable(&model).map_err(|reason| {
            let written = |(path, value): (&String, &f64)| format!("{path} = {value:e}");
            let mut guilty: Vec<String> = changes
                .iter()
                .filter(|(path, value)| {
                    let mut one: HashMap<_, _> = self.named_numbers().into_iter().collect();
                    one.insert((*path).clone(), **value);
                    check_drivable(&self.with_all_numbers(&one)).is_err()
                })
                .map(written)
                .collect();
            if guilty.is_empty() {
                guilty = changes.iter().map(written).collect();
            }
            guilty.sort();
            RecordError::Undrivable {
                numbers: guilty,
                reason,
            }
        })?;
        Ok(model)
    }

    /// The same topology with other numbers, by every path that this car has.
    fn with_all_numbers(&self, numbers: &HashMap<String, f64>) -> Self {
        Model {
            numbers: Numbers::from_named(self.solid_rear(), &mut |path| numbers[path]),
            ..self.clone()
        }
    }
}

/// Looks for a reason why the car cannot be driven: in the rates while it rolls straight ahead,
/// with the engine off and on, and in the fastest motions of driveline and tires.
fn check_drivable(model: &Model) -> Result<(), UndrivableNumbers> {
    let line = &model.numbers.chassis.driveline;
    let wheels = model.wheels();
    let spin = wheels[2].spin_inertia.min(wheels[3].spin_inertia);
    let gears = model.gears.iter().map(|gear| Some(*gear)).chain([None]);
    let driveline = gears.map(|gear| line.fastest_rate(spin, gear));
    let tires = wheels.map(|wheel| wheel.tire.fastest_memory(SPEED));
    for (part, rate) in [
        ("driveline", driveline.fold(0.0, f64::max)),
        ("tires", tires.into_iter().fold(0.0, f64::max)),
    ] {
        if rate > FASTEST_RATE {
            return Err(UndrivableNumbers::TooFast { part, rate });
        }
    }
    let mut state = model.rolling_state(SPEED);
    state[ENGINE] = line.engine.idle;
    let engine = Inputs {
        throttle: 0.5,
        gear_ratio: model.gears.first().copied().unwrap_or(1.0),
        clutch: 1.0,
        engine_on: 1.0,
        ..Inputs::coasting()
    };
    let finite = [Inputs::coasting(), engine].iter().all(|inputs| {
        let rate = model.rate(&state, inputs);
        rate.iter().all(|x| x.is_finite())
    });
    if finite {
        Ok(())
    } else {
        Err(UndrivableNumbers::NotFinite)
    }
}
