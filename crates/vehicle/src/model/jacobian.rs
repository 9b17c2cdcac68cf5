//! Exact derivatives of one evaluation by states and inputs, several directions side by side.
//!
//! The car's numbers are the same in every direction; so one evaluation on a value and a vector of
//! derivatives ([`Dual`] with lanes) gives as many directions as the machine has lanes, for about
//! twice the work of the value alone. Equilibria and linearizations both use
//! [`Linearizer::jacobian`], because every number type is another copy of the equations to compile.
//! A direction gets the same bits in lanes of any width.

use std::any::Any;

use axletree_scalar::{Dual, LANES, LaneRow, LaneTask, Lanes, Lift, Real, Width, dispatch};

use super::evaluate::{Evaluation, evaluate_precomputed};
use super::layout::{Inputs, STATES};
use super::numbers::Numbers;
use super::observe::Observation;
use super::precomputed::Precomputed;
use super::road::Flat;

/// Number of variables: the states, then the inputs in the order of their declaration.
pub const VARIABLES: usize = STATES + 9;
/// Variable: angle of the steering wheel.
pub const STEERING_WHEEL: usize = STATES;
/// Variable: torque given to the crown wheel.
pub const DRIVE_TORQUE: usize = STATES + 2;
/// Variable: torque of the brakes.
pub const BRAKE_TORQUE: usize = STATES + 3;

/// First quantity after the rates of the states: the members of [`Observation`] in the order of
/// their declaration.
pub const OBSERVED: usize = STATES;
/// Quantity: horizontal speed of O.
pub const SPEED: usize = OBSERVED + 2;
/// Quantity: lateral acceleration of O in heading axes.
pub const LATERAL_ACCELERATION: usize = OBSERVED + 6;
/// Quantities: loads of the wheels.
pub const LOAD: usize = OBSERVED + 10;
/// Quantities: forward sliding speeds at the wheels.
pub const SLIDING: usize = LOAD + 4;
/// Number of quantities.
pub const QUANTITIES: usize = SLIDING + 4;

/// A value with derivatives along as many directions as there are lanes.
type DualLane<T> = Dual<f64, 1, T>;

/// A car's numbers as constants of dual numbers, for derivatives by states and inputs.
///
/// ```
/// use axletree_vehicle::bundled;
/// use axletree_vehicle::model::{Inputs, Linearizer, STATES, SPEED, layout::VELOCITY};
///
/// let model = bundled("bramble-solid").unwrap()?.assemble()?;
/// let linearizer = Linearizer::of(&model.numbers);
/// let jacobian = linearizer.jacobian(&model.rolling_state(20.0), &Inputs::coasting(), &[VELOCITY]);
/// assert!((jacobian.at(SPEED, 0) - 1.0).abs() < 1e-6);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub struct Linearizer {
    width: Width,
    /// `(Numbers<DualLane<T>>, Precomputed<DualLane<T>>)` for the lanes `T` of this width.
    numbers: Box<dyn Any + Send + Sync>,
}

/// Derivatives of all quantities by some variables.
#[derive(Clone, Debug, PartialEq)]
pub struct Jacobian {
    /// The quantities themselves.
    pub values: [f64; QUANTITIES],
    /// For every [`LANES`] variables, a row of derivatives for every quantity.
    blocks: Vec<[LaneRow; QUANTITIES]>,
}

impl Jacobian {
    /// Derivatives of a quantity by [`LANES`] variables from number `first` on, a multiple of
    /// [`LANES`].
    #[inline(always)]
    pub fn row(&self, quantity: usize, first: usize) -> &LaneRow {
        &self.blocks[first / LANES][quantity]
    }

    /// Derivative of a quantity by variable number `number` of those that were given.
    #[inline(always)]
    pub fn at(&self, quantity: usize, number: usize) -> f64 {
        self.blocks[number / LANES][quantity][number % LANES]
    }
}

impl Linearizer {
    /// A car's numbers for the widest lanes of this machine.
    pub fn of(numbers: &Numbers<f64>) -> Self {
        Self::with_width(numbers, Width::best())
    }

    /// The same for lanes of a width; one direction after another where the machine lacks it.
    pub fn with_width(numbers: &Numbers<f64>, width: Width) -> Self {
        match dispatch(width, PackDuals(numbers)) {
            Ok(numbers) => Linearizer { width, numbers },
            Err(alone) => Linearizer {
                width: Width::One,
                numbers: alone.run::<f64>(),
            },
        }
    }

    /// Derivatives of every quantity at a point by some variables.
    pub fn jacobian(
        &self,
        state: &[f64; STATES],
        inputs: &Inputs<f64>,
        variables: &[usize],
    ) -> Jacobian {
        let mut values = [0.0; QUANTITIES];
        let mut blocks = vec![[[0.0; LANES]; QUANTITIES]; variables.len().div_ceil(LANES)];
        for (block, wanted) in blocks.iter_mut().zip(variables.chunks(LANES)) {
            let mut seeds = [[0.0; LANES]; VARIABLES];
            for (lane, variable) in wanted.iter().enumerate() {
                seeds[*variable][lane] = 1.0;
            }
            for first in (0..wanted.len()).step_by(self.width.count()) {
                let pass = Directions {
                    numbers: &*self.numbers,
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
        Jacobian { values, blocks }
    }
}

/// Without lanes; a function of its own, because the compiler is slow with large loop bodies.
#[inline(never)]
fn alone(pass: Directions<'_>) {
    pass.run::<f64>();
}

struct PackDuals<'a>(&'a Numbers<f64>);

impl LaneTask for PackDuals<'_> {
    type Out = Box<dyn Any + Send + Sync>;

    #[inline(always)]
    fn run<T: Lanes>(self) -> Self::Out {
        let numbers: Numbers<DualLane<T>> = self.0.lift(&mut |x| Dual::constant(x));
        let pre: Precomputed<DualLane<T>> =
            Precomputed::of(self.0).lift(&mut |x| Dual::constant(x));
        Box::new((numbers, pre))
    }
}

/// As many directions as there are lanes, at one point.
struct Directions<'a> {
    numbers: &'a (dyn Any + Send + Sync),
    state: &'a [f64; STATES],
    inputs: &'a Inputs<f64>,
    /// Change of each variable along every direction.
    seeds: &'a [LaneRow; VARIABLES],
    /// The first of these directions.
    first: usize,
    out: &'a mut [LaneRow; QUANTITIES],
    values: &'a mut [f64; QUANTITIES],
}

impl LaneTask for Directions<'_> {
    type Out = ();

    #[inline(always)]
    fn run<T: Lanes>(self) {
        let numbers = self
            .numbers
            .downcast_ref::<(Numbers<DualLane<T>>, Precomputed<DualLane<T>>)>();
        let Some((numbers, pre)) = numbers else {
            panic!("numbers are packed for the lanes that they are read in");
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
        let inputs = self.inputs.map(|x| next(*x));
        let e = evaluate_precomputed(numbers, pre, &state, &inputs, &Flat);
        let read = quantities(numbers, &state, &e);
        for i in 0..QUANTITIES {
            self.values[i] = read[i].re;
            read[i].d[0].store(&mut self.out[i][first..]);
        }
    }
}

/// All quantities in their order.
#[inline(always)]
pub fn quantities<T: Real>(
    numbers: &Numbers<T>,
    state: &[T; STATES],
    e: &Evaluation<T>,
) -> [T; QUANTITIES] {
    let observed = Observation::of(numbers, state, e);
    let observed = [
        observed.forward_velocity,
        observed.lateral_velocity,
        observed.speed,
        observed.sideslip,
        observed.yaw_rate,
        observed.longitudinal_acceleration,
        observed.lateral_acceleration,
        observed.roll,
        observed.pitch,
        observed.steering_wheel_torque,
    ];
    let mut all = [T::zero(); QUANTITIES];
    for i in 0..STATES {
        all[i] = e.rate[i];
    }
    for i in 0..10 {
        all[OBSERVED + i] = observed[i];
    }
    for i in 0..4 {
        all[LOAD + i] = e.contacts[i].load;
        all[SLIDING + i] = e.contacts[i].sliding[0];
    }
    all
}
