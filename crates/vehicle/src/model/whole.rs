//! A whole car ready for the equations.

use axletree_scalar::{FusedTask, fused};

use super::evaluate::{Evaluation, evaluate};
use super::layout::{DRIVELINE, Inputs, POSITION, SPIN, STATES, TRAVEL, VELOCITY};
use super::numbers::{Numbers, Rear, Wheel};
use super::observe::Observation;
use super::road::{Flat, Road};

/// Everything one evaluation of one car finds.
pub(super) fn evaluate_alone(
    numbers: &Numbers<f64>,
    state: &[f64; STATES],
    inputs: &Inputs<f64>,
    road: &dyn Road<f64>,
) -> Evaluation<f64> {
    fused(Alone(numbers, state, inputs, road))
}

struct Alone<'a>(
    &'a Numbers<f64>,
    &'a [f64; STATES],
    &'a Inputs<f64>,
    &'a dyn Road<f64>,
);

impl FusedTask for Alone<'_> {
    type Out = Evaluation<f64>;
    #[inline(always)]
    fn run(self) -> Self::Out {
        evaluate(self.0, self.1, self.2, self.3)
    }
}

/// Outer measures that the equations do not need but maneuvers do.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Geometry {
    /// Distance of the axles [m].
    pub wheelbase: f64,
    /// The front axle line, forward of O [m].
    pub front_axle: f64,
    /// Track, front and rear [m].
    pub track: [f64; 2],
    /// Width of the body [m].
    pub width: f64,
    /// The foremost point, forward of O [m].
    pub nose: f64,
    /// The rearmost point, behind O [m].
    pub tail: f64,
}

/// A car as numbers, with its outer measures and its name. Immutable, shared by threads.
#[derive(Clone, Debug, PartialEq)]
pub struct Model {
    /// The car's name.
    pub name: String,
    /// What the equations run on.
    pub numbers: Numbers<f64>,
    /// Outer measures.
    pub geometry: Geometry,
    /// Travels at rest: zero, but for a solid axle that leans because its wheels carry different
    /// loads [m or rad].
    pub rest_travel: [f64; 4],
    /// Engine speed over propeller-shaft speed of each forward gear, first to last [-].
    pub gears: Vec<f64>,
}

impl Model {
    /// Whether the rear end is a solid axle.
    pub fn solid_rear(&self) -> bool {
        matches!(self.numbers.rear, Rear::Solid(_))
    }

    /// The four wheels in the order of [`super::layout::WHEELS`].
    pub fn wheels(&self) -> [&Wheel<f64>; 4] {
        self.numbers.wheels()
    }

    /// Mass of the whole car [kg].
    pub fn mass(&self) -> f64 {
        self.numbers.mass()
    }

    /// The rate of the state on a flat road.
    pub fn rate(&self, state: &[f64; STATES], inputs: &Inputs<f64>) -> [f64; STATES] {
        evaluate_alone(&self.numbers, state, inputs, &Flat).rate
    }

    /// Everything one evaluation finds on a flat road.
    pub fn evaluate(&self, state: &[f64; STATES], inputs: &Inputs<f64>) -> Evaluation<f64> {
        evaluate_alone(&self.numbers, state, inputs, &Flat)
    }

    /// Everything one evaluation finds on a road.
    pub fn evaluate_on(
        &self,
        state: &[f64; STATES],
        inputs: &Inputs<f64>,
        road: &dyn Road<f64>,
    ) -> Evaluation<f64> {
        evaluate_alone(&self.numbers, state, inputs, road)
    }

    /// What a person reads off the car in a state, with the evaluation it is read from.
    pub fn observe(
        &self,
        state: &[f64; STATES],
        inputs: &Inputs<f64>,
    ) -> (Observation<f64>, Evaluation<f64>) {
        let e = self.evaluate(state, inputs);
        (Observation::of(&self.numbers, state, &e), e)
    }

    /// The car as it stands at rest, rolling straight ahead at `speed` [m/s].
    pub fn rolling_state(&self, speed: f64) -> [f64; STATES] {
        let mut state = [0.0; STATES];
        state[POSITION + 2] = self.numbers.chassis.height;
        state[TRAVEL..TRAVEL + 4].copy_from_slice(&self.rest_travel);
        let rest = self.evaluate(&state, &Inputs::coasting());
        state[VELOCITY] = speed;
        for (i, wheel) in self.wheels().into_iter().enumerate() {
            state[SPIN + i] = speed / wheel.tire.effective_radius(rest.contacts[i].deflection);
        }
        state[DRIVELINE] = 0.5 * (state[SPIN + 2] + state[SPIN + 3]);
        state
    }
}

impl<T: Copy> Numbers<T> {
    /// The four wheels in the order of [`super::layout::WHEELS`].
    pub fn wheels(&self) -> [&Wheel<T>; 4] {
        let [a, b] = &self.front.side;
        match &self.rear {
            Rear::Independent(c) => [&a.wheel, &b.wheel, &c.side[0].wheel, &c.side[1].wheel],
            Rear::Solid(x) => [&a.wheel, &b.wheel, &x.side[0].wheel, &x.side[1].wheel],
        }
    }
}

impl Numbers<f64> {
    /// Mass of the whole car [kg].
    pub fn mass(&self) -> f64 {
        let front: f64 = self.front.side.iter().map(|c| c.unsprung.mass).sum();
        let rear = match &self.rear {
            Rear::Independent(c) => c.side.iter().map(|c| c.unsprung.mass).sum(),
            Rear::Solid(a) => a.unsprung.mass,
        };
        self.chassis.sprung.mass + front + rear
    }
}
