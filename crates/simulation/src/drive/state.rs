//! Progress of one car through its schedule, and its ending: spun, rolled over, stopped, two wheels
//! lifted, not finite, interrupted.
//!
//! Between two breaks the grid has equal steps, as few as the longest step allows. At every point
//! of the grid the state is checked, recorded and judged.

use axletree_scalar::fused;
use axletree_scalar::lone;
use axletree_vehicle::Model;
use axletree_vehicle::model::layout::{
    ATTITUDE, DEFLECTION, ENGINE, RATE, SPIN, STATES, TOE, TRAVEL, TRAVEL_RATE, VELOCITY, WINDUP,
};

use super::controls::{Action, Controls, Judging};
use super::integrator::Integrator;
use super::joined::{Drive, split_states};
use super::schedule::{Schedule, Validity};
use super::step::step_at;
use crate::channels::Moment;
use crate::outcome::{Ending, Outcome};
use axletree_numerics::interrupt::Interrupt;
use axletree_numerics::stepping::Weights;

/// Interval at which the wheels' loads are checked for a lift `[s]`.
const LIFT_CHECK_INTERVAL: f64 = 0.02;
/// Interval at which an interruption is asked for `[s]`.
const INTERRUPT_INTERVAL: f64 = 0.1;
/// Share of a step by which a stretch may exceed a whole number of steps before it gets another
/// one `[-]`: rounding of the breaks.
const STEP_ROUNDING: f64 = 1e-9;

/// What follows a point of the grid.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Next {
    /// A step.
    Step,
    /// Another stretch from the same state, whose rate may have jumped.
    Break,
    /// The end.
    Done,
}

/// Progress of a car through its schedule.
#[derive(Clone, Debug)]
pub(super) struct DriveState<'a, const N: usize> {
    breaks: &'a [f64],
    longest_step: f64,
    /// Time constant of the pure lags `[s]`.
    lag: f64,
    /// Number of the stretch, between the breaks of that number and the next.
    stretch: usize,
    /// Number of equal steps of the stretch, and of those taken.
    steps: usize,
    taken: usize,
    /// Steps taken in all stretches.
    total: usize,
    step: f64,
    weights: Weights<f64>,
    ended: Option<Ending>,
    /// Last finite state.
    last: [f64; N],
    /// Times of the last check for a lift and of the last check for an interruption `[s]`.
    lift_checked: f64,
    asked: f64,
    /// Start of the lift that lasts, infinite without one `[s]`.
    lifted_since: f64,
    /// Whether the last point of the grid was recorded.
    recorded: bool,
}

impl<'a, const N: usize> DriveState<'a, N> {
    pub fn new(model: &Model, schedule: &Schedule<'a>, start: [f64; N]) -> Self {
        let lag = model.numbers.chassis.lag;
        // An engine that is not simulated has no speed.
        let engine = start[ENGINE] != 0.0;
        let speed = lone::hypot(start[VELOCITY], start[VELOCITY + 1]);
        let longest_step = step_at(model, schedule.longest_step, engine, speed);
        let mut run = DriveState {
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
            lift_checked: f64::NEG_INFINITY,
            asked: f64::NEG_INFINITY,
            lifted_since: f64::INFINITY,
            recorded: false,
        };
        run.enter(0);
        run
    }

    /// Enters the first stretch from number `from` on that is not empty; says whether there is one.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a count: whole, small, not negative"
    )]
    fn enter(&mut self, from: usize) -> bool {
        let open = |i: &usize| self.breaks[i + 1] > self.breaks[*i];
        let Some(stretch) = (from..self.breaks.len() - 1).find(open) else {
            return false;
        };
        let span = self.breaks[stretch + 1] - self.breaks[stretch];
        self.stretch = stretch;
        self.steps = (span / self.longest_step - STEP_ROUNDING).ceil().max(1.0) as usize;
        self.taken = 0;
        self.step = span / self.steps as f64;
        self.weights = Weights::new(self.step, self.lag);
        true
    }

    /// Weights of the steps of this stretch.
    pub fn weights(&self) -> &Weights<f64> {
        &self.weights
    }

    /// Time a number of half steps after the last point of the grid `[s]`.
    ///
    /// It follows from the number of steps, so that breaks are met exactly, and stays below the
    /// next break, so that the stage that ends there does not see what holds after it.
    pub fn time(&self, halves: usize) -> f64 {
        let [from, to] = [self.breaks[self.stretch], self.breaks[self.stretch + 1]];
        let steps = self.taken as f64 + 0.5 * halves as f64;
        (from + self.step * steps).min(to.next_down())
    }

    /// Length of the stretch's steps `[s]`.
    pub fn step(&self) -> f64 {
        self.step
    }

    /// A time inside the step to come, held before the next break `[s]`.
    pub fn before_break(&self, time: f64) -> f64 {
        time.min(self.breaks[self.stretch + 1].next_down())
    }

    /// Checks, records and judges a point of the grid, from the state, its rate, the wheels' loads
    /// and the controls' action at [`Self::time`].
    #[expect(
        clippy::too_many_arguments,
        reason = "the parts of one evaluation, each used once"
    )]
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
        let (car, own) = split_states::<K, N>(x);
        // The action that holds after a break.
        let after = at_end.then(|| controls.act(time, car, own));
        let moment = Moment {
            time,
            state: car,
            rate: split_states::<K, N>(rate).0,
            inputs: &after.as_ref().unwrap_or(action).inputs,
        };
        self.recorded = self.taken.is_multiple_of(schedule.sample_every) || at_end;
        if self.recorded {
            record(&moment);
        }
        let mut outcome = judge(&moment, validity).or_else(|| {
            fused(Judging {
                controls,
                moment: &moment,
                own,
            })
        });
        if outcome.is_none() && time - self.lift_checked >= LIFT_CHECK_INTERVAL {
            self.lift_checked = time;
            outcome = two_wheel_lift(loads);
            self.lifted_since = outcome.map_or(f64::INFINITY, |_| self.lifted_since.min(time));
            outcome = outcome.filter(|_| time - self.lifted_since >= validity.lift);
        }
        // An adaptive step may take long: ask before each.
        let interval = match schedule.integrator {
            Integrator::Fixed => INTERRUPT_INTERVAL,
            Integrator::Adaptive { .. } => 0.0,
        };
        if outcome.is_none() && time - self.asked >= interval {
            self.asked = time;
            interrupt.report((time - begin) / (end - begin));
            outcome = interrupt.stopped().then_some(Outcome::Interrupted);
        }
        if let Some(outcome) = outcome {
            if !self.recorded {
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

    /// Counts a step that was taken.
    pub fn stepped(&mut self) {
        self.taken += 1;
        self.total += 1;
    }

    /// Ends the run at the last point of the grid; says whether that point was recorded.
    pub fn stop(&mut self, outcome: Outcome) -> bool {
        let time = self.time(0);
        self.ended = Some(Ending { outcome, time });
        self.recorded
    }

    /// The end of the drive.
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
    Some(Outcome::NotFinite {
        group: group_of(bad),
    })
}

/// The group of states to which a component of the joined state belongs.
pub(super) fn group_of(component: usize) -> &'static str {
    match component {
        i if i < ATTITUDE => "position",
        i if i < TRAVEL => "attitude",
        i if i < VELOCITY => "travel of the wheels",
        i if i < RATE => "velocity",
        i if i < TRAVEL_RATE => "angular velocity",
        i if i < SPIN => "rate of the wheels' travel",
        i if i < DEFLECTION => "spin of the wheels",
        i if i < TOE => "deflection of the tires",
        i if i < WINDUP => "compliance of toe, tilt and steering",
        i if i < STATES => "driveline",
        _ => "controls",
    }
}

/// The outcome of a moment beyond the limits of validity.
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

/// The lift of both wheels of a side, from the wheels' loads.
fn two_wheel_lift(loads: [f64; 4]) -> Option<Outcome> {
    for (left, wheels) in [(true, [0, 2]), (false, [1, 3])] {
        if wheels.iter().all(|&w: &usize| loads[w] <= 0.0) {
            return Some(Outcome::TwoWheelLift { left });
        }
    }
    None
}
