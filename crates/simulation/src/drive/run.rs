//! One car's way through its schedule.

use axletree_scalar::Real;
use axletree_scalar::lanes::fused;
use axletree_vehicle::Model;
use axletree_vehicle::model::layout::{ATTITUDE, ENGINE, RATE, SPIN, STATES, VELOCITY};

use super::{Action, Controls, Drive, Judging, Schedule, Validity, split, step_at};
use crate::channels::Moment;
use crate::outcome::{Ending, Outcome};
use axletree_numerics::interrupt::Interrupt;
use axletree_numerics::stepping::Weights;

/// How often the wheels' loads are looked at [s].
const LIFT_LOOK: f64 = 0.02;
/// How often the caller is asked whether to stop [s].
const ASK: f64 = 0.1;

/// What comes after a point of the grid.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Next {
    /// A step.
    Step,
    /// Another stretch from the same state: its rate is asked again.
    Break,
    /// Nothing.
    Done,
}

/// Where a car stands in its schedule.
#[derive(Clone, Debug)]
pub(super) struct Run<'a, const N: usize> {
    breaks: &'a [f64],
    longest_step: f64,
    lag: f64,
    /// The stretch between breaks `stretch` and `stretch + 1`, in so many equal steps, and the steps taken.
    stretch: usize,
    steps: usize,
    taken: usize,
    /// Steps taken in all stretches.
    total: usize,
    step: f64,
    weights: Weights<f64>,
    ended: Option<Ending>,
    last: [f64; N],
    looked: f64,
    asked: f64,
    lifted_since: f64,
}

impl<'a, const N: usize> Run<'a, N> {
    pub fn new(model: &Model, schedule: &Schedule<'a>, start: [f64; N]) -> Self {
        let lag = model.numbers.chassis.lag;
        // An engine at rest has no speed.
        let engine = start[ENGINE] != 0.0;
        let speed = Real::hypot(start[VELOCITY], start[VELOCITY + 1]);
        let longest_step = step_at(model, schedule.longest_step, engine, speed);
        let mut run = Run {
            breaks: schedule.breaks,
            longest_step,
            lag,
            stretch: 0,
            steps: 0,
            taken: 0,
            total: 0,
            step: 0.0,
            weights: Weights::new(longest_step, lag),
            ended: None,
            last: start,
            looked: f64::NEG_INFINITY,
            asked: f64::NEG_INFINITY,
            lifted_since: f64::INFINITY,
        };
        run.enter(0);
        run
    }

    /// Enters the first stretch from number `from` on that is not empty; says whether there is one.
    fn enter(&mut self, from: usize) -> bool {
        let open = |i: &usize| self.breaks[i + 1] > self.breaks[*i];
        let Some(stretch) = (from..self.breaks.len() - 1).find(open) else {
            return false;
        };
        let span = self.breaks[stretch + 1] - self.breaks[stretch];
        self.stretch = stretch;
        self.steps = (span / self.longest_step - 1e-9).ceil().max(1.0) as usize;
        self.taken = 0;
        self.step = span / self.steps as f64;
        self.weights = Weights::new(self.step, self.lag);
        true
    }

    /// Weights of the stretch's steps.
    pub fn weights(&self) -> &Weights<f64> {
        &self.weights
    }

    /// The time that many half steps on, from the number of steps, so that breaks are met exactly; what
    /// holds after a break does not leak into the stage that ends on it [s].
    pub fn time(&self, halves: usize) -> f64 {
        let [from, to] = [self.breaks[self.stretch], self.breaks[self.stretch + 1]];
        let steps = self.taken as f64 + 0.5 * halves as f64;
        (from + self.step * steps).min(to.next_down())
    }

    /// At a point of the grid: state, rate, loads of the wheels; `action` is what the controls do at
    /// [`Self::time`].
    pub fn arrive<const K: usize>(
        &mut self,
        controls: &impl Controls<K>,
        action: &Action<K>,
        x: &[f64; N],
        rate: &[f64; N],
        loads: [f64; 4],
        schedule: &Schedule<'_>,
        validity: &Validity,
        interrupt: Interrupt<'_>,
        record: &mut dyn FnMut(&Moment<'_>),
    ) -> Next {
        let at_end = self.taken == self.steps;
        let (begin, end) = (self.breaks[0], self.breaks[self.breaks.len() - 1]);
        let time = if at_end {
            self.breaks[self.stretch + 1]
        } else {
            self.time(0)
        };
        if let Some(outcome) = not_finite(x, rate) {
            self.ended = Some(Ending { outcome, time });
            return Next::Done;
        }
        self.last = *x;
        let (car, own) = split::<K, N>(x);
        // At a break, what holds after it.
        let after = at_end.then(|| controls.act(time, car, own));
        let moment = Moment {
            time,
            state: car,
            rate: split::<K, N>(rate).0,
            inputs: &after.as_ref().unwrap_or(action).inputs,
        };
        let mut recorded = false;
        if self.taken.is_multiple_of(schedule.sample_every) || at_end {
            record(&moment);
            recorded = true;
        }
        let mut outcome = judge(&moment, validity).or_else(|| {
            fused(Judging {
                controls,
                moment: &moment,
                own,
            })
        });
        if outcome.is_none() && time - self.looked >= LIFT_LOOK {
            self.looked = time;
            outcome = two_wheel_lift(loads);
            self.lifted_since = outcome.map_or(f64::INFINITY, |_| self.lifted_since.min(time));
            outcome = outcome.filter(|_| time - self.lifted_since >= validity.lift);
        }
        if outcome.is_none() && time - self.asked >= ASK {
            self.asked = time;
            interrupt.tell((time - begin) / (end - begin));
            outcome = interrupt.stopped().then_some(Outcome::Interrupted);
        }
        if let Some(outcome) = outcome {
            if !recorded {
                record(&moment);
            }
            self.ended = Some(Ending { outcome, time });
            return Next::Done;
        }
        if !at_end {
            return Next::Step;
        }
        if self.enter(self.stretch + 1) {
            Next::Break
        } else {
            Next::Done
        }
    }

    /// A step was taken.
    pub fn stepped(&mut self) {
        self.taken += 1;
        self.total += 1;
    }

    /// How it ended.
    pub fn finish(&self) -> Drive<N> {
        let end = self.breaks[self.breaks.len() - 1];
        Drive {
            ending: self.ended.unwrap_or(Ending::completed(end)),
            state: self.last,
            steps: self.total,
        }
    }
}

/// Names the first group of states that is not finite.
fn not_finite<const N: usize>(x: &[f64; N], k: &[f64; N]) -> Option<Outcome> {
    let bad = x.iter().zip(k).position(|(a, b)| !(a + b).is_finite())?;
    let channel = match bad {
        ..ATTITUDE => "position",
        i if i < VELOCITY => "attitude",
        i if i < RATE => "velocity",
        i if i < SPIN => "rate",
        i if i < STATES => "wheels",
        _ => "controls",
    };
    Some(Outcome::NotFinite { channel })
}

fn judge(moment: &Moment<'_>, validity: &Validity) -> Option<Outcome> {
    let roll = moment.state[ATTITUDE + 2];
    if roll.abs() > validity.roll {
        return Some(Outcome::RolledOver { roll });
    }
    let speed = moment.speed();
    if speed < validity.speed {
        return Some(Outcome::Stopped { speed });
    }
    let sideslip = moment.sideslip();
    (sideslip.abs() > validity.sideslip).then_some(Outcome::Spun { sideslip })
}

fn two_wheel_lift(loads: [f64; 4]) -> Option<Outcome> {
    for (left, wheels) in [(true, [0, 2]), (false, [1, 3])] {
        if wheels.iter().all(|&w: &usize| loads[w] <= 0.0) {
            return Some(Outcome::TwoWheelLift { left });
        }
    }
    None
}
