//! A car ready for the equations.

use axletree_scalar::numbers::Named;
use axletree_scalar::{FusedTask, fused};
use serde::{Deserialize, Serialize};

use super::evaluate::{Evaluation, evaluate};
use super::layout::{Inputs, STATES, State};
use super::numbers::{Numbers, Rear, Wheel};
use super::observe::Observation;
use super::record::Record;
use super::road::{Flat, Road};

/// One evaluation of one car.
pub(super) fn evaluate_one(
    numbers: &Numbers<f64>,
    state: &[f64; STATES],
    inputs: &Inputs<f64>,
    road: &dyn Road<f64>,
) -> Evaluation<f64> {
    fused(EvaluateOne(numbers, state, inputs, road))
}

struct EvaluateOne<'a>(
    &'a Numbers<f64>,
    &'a [f64; STATES],
    &'a Inputs<f64>,
    &'a dyn Road<f64>,
);

impl FusedTask for EvaluateOne<'_> {
    type Out = Evaluation<f64>;
    #[inline(always)]
    fn run(self) -> Self::Out {
        evaluate(self.0, self.1, self.2, self.3)
    }
}

/// Outer measures that the equations do not need but maneuvers do.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Geometry {
    /// Distance of the axles `[m]`.
    pub wheelbase: f64,
    /// Front axle line, forward of O `[m]`.
    pub front_axle: f64,
    /// Track, front and rear `[m]`.
    pub track: [f64; 2],
    /// Width of the body `[m]`.
    pub width: f64,
    /// Foremost point, forward of O `[m]`.
    pub nose: f64,
    /// Rearmost point, behind O `[m]`.
    pub tail: f64,
}

/// A car as numbers, with its outer measures and its name. Immutable, shared by threads.
///
/// It serializes as named numbers with a schema number
/// ([`RECORD_SCHEMA`](super::record::RECORD_SCHEMA)); a record of another schema, with missing or
/// with unknown numbers, is refused by name.
///
/// ```
/// use axletree_vehicle::{Inputs, Model, bundled};
///
/// let model = bundled("bramble-solid").unwrap()?.assemble()?;
/// let rate = model.rate(&model.rolling_state(20.0), &Inputs::coasting());
/// assert!(rate.iter().all(|x| x.is_finite()));
///
/// let record = serde_json::to_value(&model)?;
/// assert_eq!(serde_json::from_value::<Model>(record)?, model);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(into = "Record", try_from = "Record")]
pub struct Model {
    /// The car's name.
    pub name: String,
    /// Parameters of the equations.
    pub numbers: Numbers<f64>,
    /// Outer measures.
    pub geometry: Geometry,
    /// Travels at rest `[m or rad]`: zero, except for a solid axle that leans because its wheels
    /// carry different loads.
    pub rest_travel: [f64; 4],
    /// Engine speed over propeller-shaft speed of each forward gear, first to last `[-]`.
    pub gears: Vec<f64>,
}

/// Quantities of a moving car with the evaluation that they are read from.
#[derive(Clone, Copy, Debug)]
pub struct Observed<T> {
    /// Quantities in heading axes, steering effort.
    pub observation: Observation<T>,
    /// Contacts, forces, parts.
    pub evaluation: Evaluation<T>,
}

impl Model {
    /// Whether the rear end is a solid axle.
    pub fn solid_rear(&self) -> bool {
        matches!(self.numbers.rear, Rear::Solid(_))
    }

    /// The four wheels in the order of [`WHEELS`](super::layout::WHEELS).
    pub fn wheels(&self) -> [&Wheel<f64>; 4] {
        self.numbers.wheels()
    }

    /// Mass of the whole car `[kg]`.
    pub fn mass(&self) -> f64 {
        self.numbers.mass()
    }

    /// Every number of the equations with its dotted path, in the order of declaration.
    pub fn named_numbers(&self) -> Vec<(String, f64)> {
        let mut all = Vec::new();
        self.numbers.named("", &mut |path, value| {
            all.push((path.to_owned(), value));
        });
        all
    }

    /// Rate of the state on a flat road.
    pub fn rate(&self, state: &[f64; STATES], inputs: &Inputs<f64>) -> [f64; STATES] {
        evaluate_one(&self.numbers, state, inputs, &Flat).rate
    }

    /// One evaluation on a flat road.
    pub fn evaluate(&self, state: &[f64; STATES], inputs: &Inputs<f64>) -> Evaluation<f64> {
        evaluate_one(&self.numbers, state, inputs, &Flat)
    }

    /// One evaluation on a road.
    pub fn evaluate_on(
        &self,
        state: &[f64; STATES],
        inputs: &Inputs<f64>,
        road: &dyn Road<f64>,
    ) -> Evaluation<f64> {
        evaluate_one(&self.numbers, state, inputs, road)
    }

    /// Quantities of the motion in a state on a flat road, with the evaluation that they are read
    /// from.
    pub fn observe(&self, state: &[f64; STATES], inputs: &Inputs<f64>) -> Observed<f64> {
        let evaluation = self.evaluate(state, inputs);
        Observed {
            observation: Observation::of(&self.numbers, state, &evaluation),
            evaluation,
        }
    }

    /// State of the car at its height and travels of rest, rolling straight ahead at `speed`
    /// `[m/s]`.
    pub fn rolling_state(&self, speed: f64) -> [f64; STATES] {
        let mut state = State::of(&[0.0; STATES]);
        state.position[2] = self.numbers.chassis.height;
        state.travel = self.rest_travel;
        let rest = self.evaluate(&state.as_array(), &Inputs::coasting());
        state.velocity[0] = speed;
        for (i, wheel) in self.wheels().into_iter().enumerate() {
            state.spin[i] = speed / wheel.tire.effective_radius(rest.contacts[i].deflection);
        }
        state.driveline = 0.5 * (state.spin[2] + state.spin[3]);
        state.as_array()
    }
}
