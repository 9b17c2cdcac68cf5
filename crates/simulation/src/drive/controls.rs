//! Controls of a car: steering, drive and brakes over time.

use axletree_scalar::{FusedTask, fused};
use axletree_vehicle::model::layout::{Inputs, STATES};

use super::joined::split_states;
use crate::channels::Moment;
use crate::outcome::Outcome;

/// Inputs of the car and rates of the controls' own states at one moment.
#[derive(Clone, Copy, Debug)]
pub struct Action<const K: usize> {
    /// Inputs of the car.
    pub inputs: Inputs<f64>,
    /// Rates of the controls' own states.
    pub own_rate: [f64; K],
}

/// Controls of a car: a function from time, car and the controls' own states (hands, integrals) to
/// the car's inputs and the rates of the own states.
pub trait Controls<const K: usize> {
    /// The controls' action at a time. Jumps and kinks in time must be breaks of the schedule; at a
    /// break the action is the one that holds after it (a step that ends there asks at the largest
    /// float below it).
    fn act(&self, time: f64, car: &[f64; STATES], own: &[f64; K]) -> Action<K>;

    /// Outcome that ends the run for a reason of the controls, such as a cone hit; none to go on.
    fn judge(&self, _moment: &Moment<'_>, _own: &[f64; K]) -> Option<Outcome> {
        None
    }
}

/// The controls' action at a time and a joined state.
#[inline(always)]
pub(super) fn act<C: Controls<K>, const K: usize, const N: usize>(
    controls: &C,
    time: f64,
    x: &[f64; N],
) -> Action<K> {
    let (car, own) = split_states::<K, N>(x);
    fused(Acting {
        controls,
        time,
        car,
        own,
    })
}

/// Evaluates the controls in code compiled for FMA where the processor has it: a driver model is
/// arithmetic-heavy too. Same bits, faster.
struct Acting<'a, C, const K: usize> {
    controls: &'a C,
    time: f64,
    car: &'a [f64; STATES],
    own: &'a [f64; K],
}

impl<C: Controls<K>, const K: usize> FusedTask for Acting<'_, C, K> {
    type Out = Action<K>;
    #[inline(always)]
    fn run(self) -> Action<K> {
        self.controls.act(self.time, self.car, self.own)
    }
}

/// Runs [`Controls::judge`] in code compiled for FMA where the processor has it.
pub(super) struct Judging<'a, C, const K: usize> {
    pub controls: &'a C,
    pub moment: &'a Moment<'a>,
    pub own: &'a [f64; K],
}

impl<C: Controls<K>, const K: usize> FusedTask for Judging<'_, C, K> {
    type Out = Option<Outcome>;
    #[inline(always)]
    fn run(self) -> Option<Outcome> {
        self.controls.judge(self.moment, self.own)
    }
}
