//! Exact derivatives of one evaluation by states and inputs, several directions side by side.
//!
//! The car's numbers are the same in every direction; so one evaluation on a value and a vector of
//! derivatives ([`Dual`] with lanes) gives as many directions as the machine has lanes, for about twice
//! the work of the value alone. Equilibria and linearizations both read their derivatives off what
//! [`Lifted::slopes`] gives, because every number type is another copy of the equations to compile. A
//! direction gets the same bits whatever the lanes.

use std::any::Any;

use axletree_scalar::{Dual, LANES, LaneRow, LaneTask, Lanes, Lift, Real, Width, dispatch};

use super::evaluate::{Evaluation, evaluate_fixed};
use super::fixed::Fixed;
use super::layout::{Inputs, STATES};
use super::numbers::Numbers;
use super::observe::Observation;
use super::road::Flat;

/// What can be varied: the states, then the inputs in the order of their declaration.
pub const VARIABLES: usize = STATES + 9;
/// Variable: angle of the steering wheel.
pub const STEERING_WHEEL: usize = STATES;
/// Variable: torque given to the crown wheel.
pub const DRIVE_TORQUE: usize = STATES + 2;
/// Variable: torque of the brakes.
pub const BRAKE_TORQUE: usize = STATES + 3;

/// What is differentiated: the rates of the states, and from here on what a person reads off the car, in
/// the order of [`Observation`]'s declaration.
pub const SEEN: usize = STATES;
/// Quantity: horizontal speed of O.
pub const SPEED: usize = SEEN + 2;
/// Quantity: lateral acceleration of O in heading axes.
pub const LATERAL_ACCELERATION: usize = SEEN + 6;
/// Quantities: loads of the wheels.
pub const LOAD: usize = SEEN + 10;
/// Quantities: forward sliding speeds at the wheels.
pub const SLIDING: usize = LOAD + 4;
/// Number of quantities.
pub const QUANTITIES: usize = SLIDING + 4;

/// A value with derivatives along as many directions as there are lanes.
type Lane<T> = Dual<f64, 1, T>;

/// A car's numbers ready for derivatives.
pub struct Lifted {
    width: Width,
    /// Numbers and what depends on them alone, as `Lane<T>` for lanes `T` of this width.
    held: Box<dyn Any + Send + Sync>,
}

/// Derivatives of all quantities along some variables.
#[derive(Clone, Debug, PartialEq)]
pub struct Slopes {
    /// The quantities themselves.
    pub values: [f64; QUANTITIES],
    /// A row over directions for every quantity, for [`LANES`] directions after another.
    blocks: Vec<[LaneRow; QUANTITIES]>,
}

impl Slopes {
    /// Derivatives of a quantity by the variables from number `first` on, as many as there are lanes.
    #[inline(always)]
    pub fn row(&self, quantity: usize, first: usize) -> &LaneRow {
        &self.blocks[first / LANES][quantity]
    }

    /// Derivative of a quantity by the variable of a number.
    #[inline(always)]
    pub fn at(&self, quantity: usize, number: usize) -> f64 {
        self.blocks[number / LANES][quantity][number % LANES]
    }
}

impl Lifted {
    /// The numbers for the widest lanes of this machine.
    pub fn of(numbers: &Numbers<f64>) -> Self {
        Self::with_width(numbers, Width::best())
    }

    /// The same for lanes of a width; none where the machine has less.
    pub fn with_width(numbers: &Numbers<f64>, width: Width) -> Self {
        match dispatch(width, Hold(numbers)) {
            Ok(held) => Lifted { width, held },
            Err(alone) => Lifted {
                width: Width::One,
                held: alone.run::<f64>(),
            },
        }
    }

    /// Derivatives of every quantity at a point by the variables asked for.
    pub fn slopes(
        &self,
        state: &[f64; STATES],
        inputs: &Inputs<f64>,
        variables: &[usize],
    ) -> Slopes {
        let mut values = [0.0; QUANTITIES];
        let mut blocks = vec![[[0.0; LANES]; QUANTITIES]; variables.len().div_ceil(LANES)];
        for (block, wanted) in blocks.iter_mut().zip(variables.chunks(LANES)) {
            let mut seeds = [[0.0; LANES]; VARIABLES];
            for (lane, variable) in wanted.iter().enumerate() {
                seeds[*variable][lane] = 1.0;
            }
            for first in (0..wanted.len()).step_by(self.width.count()) {
                let pass = Pass {
                    held: &*self.held,
                    state,
                    inputs,
                    seeds: &seeds,
                    first,
                    out: block,
                    values: &mut values,
                };
                if let Err(pass) = dispatch(self.width, pass) {
                    alone(pass);
                }
            }
        }
        Slopes { values, blocks }
    }
}

/// Without lanes; a function of its own, because the compiler is slow where much stands in a loop.
#[inline(never)]
fn alone(pass: Pass<'_>) {
    pass.run::<f64>();
}

struct Hold<'a>(&'a Numbers<f64>);

impl LaneTask for Hold<'_> {
    type Out = Box<dyn Any + Send + Sync>;

    #[inline(always)]
    fn run<T: Lanes>(self) -> Self::Out {
        let numbers: Numbers<Lane<T>> = self.0.lift(&mut |x| Dual::constant(x));
        let fixed: Fixed<Lane<T>> = Fixed::of(self.0).lift(&mut |x| Dual::constant(x));
        Box::new((numbers, fixed))
    }
}

/// As many directions as there are lanes, at one point.
struct Pass<'a> {
    held: &'a (dyn Any + Send + Sync),
    state: &'a [f64; STATES],
    inputs: &'a Inputs<f64>,
    /// Along every direction, how far each variable moves.
    seeds: &'a [LaneRow; VARIABLES],
    /// The first of these directions.
    first: usize,
    out: &'a mut [LaneRow; QUANTITIES],
    values: &'a mut [f64; QUANTITIES],
}

impl LaneTask for Pass<'_> {
    type Out = ();

    #[inline(always)]
    fn run<T: Lanes>(self) {
        let held = self
            .held
            .downcast_ref::<(Numbers<Lane<T>>, Fixed<Lane<T>>)>();
        let Some((numbers, fixed)) = held else {
            panic!("numbers are held for the lanes they were made for");
        };
        let first = self.first;
        let mut variable = 0;
        let mut next = |x: f64| {
            let d = [T::load(&self.seeds[variable][first..])];
            variable += 1;
            Dual { re: x, d }
        };
        let mut state = [Dual::constant(0.0); STATES];
        for i in 0..STATES {
            state[i] = next(self.state[i]);
        }
        let inputs = self.inputs.map(next);
        let e = evaluate_fixed(numbers, fixed, &state, &inputs, &Flat);
        let read = quantities(numbers, &state, &e);
        for i in 0..QUANTITIES {
            self.values[i] = read[i].re;
            read[i].d[0].store(&mut self.out[i][first..]);
        }
    }
}

/// The quantities in their order.
#[inline(always)]
pub fn quantities<T: Real>(
    numbers: &Numbers<T>,
    state: &[T; STATES],
    e: &Evaluation<T>,
) -> [T; QUANTITIES] {
    let seen = Observation::of(numbers, state, e);
    let seen = [
        seen.forward_velocity,
        seen.lateral_velocity,
        seen.speed,
        seen.sideslip,
        seen.yaw_rate,
        seen.longitudinal_acceleration,
        seen.lateral_acceleration,
        seen.roll,
        seen.pitch,
        seen.steering_wheel_torque,
    ];
    let mut all = [T::zero(); QUANTITIES];
    for i in 0..STATES {
        all[i] = e.rate[i];
    }
    for i in 0..10 {
        all[SEEN + i] = seen[i];
    }
    for i in 0..4 {
        all[LOAD + i] = e.contacts[i].load;
        all[SLIDING + i] = e.contacts[i].sliding[0];
    }
    all
}
