//! Wheels that leave the road in the course of a run.

use axletree_vehicle::model::WHEELS;

use crate::channels as ch;
use crate::trace::Trace;

/// Quantity along which a run proceeds.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum RunAxis {
    /// Time `[s]`.
    #[default]
    Time,
    /// Magnitude of the lateral acceleration of a curve of steady states `[m/s^2]`.
    LateralAcceleration,
    /// Direction of the acceleration, from straight ahead over the side to straight back `[rad]`.
    Direction,
}

impl RunAxis {
    /// A place on the axis, with a preposition.
    pub(crate) fn place(self, at: f64) -> String {
        match self {
            RunAxis::Time => format!("at {at:.2} s"),
            RunAxis::LateralAcceleration => {
                format!("at {at:.2} m/s^2 of lateral acceleration")
            }
            RunAxis::Direction => {
                format!("at {:.0} deg between driving and braking", at.to_degrees())
            }
        }
    }

    /// The whole of the axis.
    fn whole(self) -> &'static str {
        match self {
            RunAxis::Time => "run",
            RunAxis::LateralAcceleration => "curve",
            RunAxis::Direction => "envelope",
        }
    }
}

/// The place at which each wheel first leaves the road, and the part of the run that it is off.
///
/// A wheel is off the road where its load is zero. Parts are measured along the axis of the run, by
/// the trapezoidal rule: a wheel that is off at one of two neighboring moments is off for half of
/// the distance between them.
///
/// ```
/// use axletree_simulation::{RunAxis, WheelLifts};
///
/// let mut lifts = WheelLifts::along(RunAxis::Time);
/// for (time, load) in [(0.0, 900.0), (1.0, 0.0), (2.0, 0.0), (3.0, 800.0), (4.0, 900.0)] {
///     lifts.observe(time, [3000.0, 3000.0, load, 3000.0]);
/// }
/// let [.., rear_left, rear_right] = lifts.wheels();
/// assert_eq!(rear_left, Some((1.0, 0.5)));
/// assert_eq!(rear_right, None);
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WheelLifts {
    axis: RunAxis,
    /// First and last place observed.
    span: [f64; 2],
    /// Place at which each wheel was first off the road; infinite for a wheel that never was.
    first: [f64; 4],
    /// Part of the axis for which each wheel was off.
    off: [f64; 4],
    /// Wheels that were off at the last place.
    lifted: [bool; 4],
}

impl Default for WheelLifts {
    fn default() -> Self {
        Self::along(RunAxis::Time)
    }
}

impl WheelLifts {
    /// No observation yet.
    pub const fn along(axis: RunAxis) -> Self {
        WheelLifts {
            axis,
            span: [f64::INFINITY, f64::NEG_INFINITY],
            first: [f64::INFINITY; 4],
            off: [0.0; 4],
            lifted: [false; 4],
        }
    }

    /// Lifts in a trace over time that has the channels of the wheel loads; none in one without
    /// them.
    pub fn in_trace(trace: &Trace) -> Self {
        let channels = [
            &ch::LOAD_FRONT_LEFT,
            &ch::LOAD_FRONT_RIGHT,
            &ch::LOAD_REAR_LEFT,
            &ch::LOAD_REAR_RIGHT,
        ];
        let mut lifts = Self::default();
        let columns = channels.map(|channel| trace.get(channel.name()).unwrap_or(&[]));
        for (i, &time) in trace.time.iter().enumerate() {
            // A load that was not recorded counts as some.
            lifts.observe(time, columns.map(|c| c.get(i).copied().unwrap_or(f64::NAN)));
        }
        lifts
    }

    /// Takes the loads of the wheels at the next place of the axis, in the order of
    /// [`WHEELS`] `[N]`.
    #[inline]
    pub fn observe(&mut self, at: f64, loads: [f64; 4]) {
        let step = (at - self.span[1]).abs();
        let half = if step.is_finite() { 0.5 * step } else { 0.0 };
        for (wheel, &load) in loads.iter().enumerate() {
            let off = load <= 0.0;
            if off {
                self.first[wheel] = self.first[wheel].min(at);
            }
            let count = u8::from(off) + u8::from(self.lifted[wheel]);
            self.off[wheel] += half * f64::from(count);
            self.lifted[wheel] = off;
        }
        if self.span[0] == f64::INFINITY {
            self.span[0] = at;
        }
        self.span[1] = at;
    }

    /// Notes the exact place at which a wheel left the road, between two observations.
    pub fn note(&mut self, wheel: usize, at: f64) {
        self.first[wheel] = self.first[wheel].min(at);
    }

    /// For each wheel that left the road, the place where it first did, and the share of the run
    /// for which it was off `[-]`; in the order of [`WHEELS`].
    pub fn wheels(&self) -> [Option<(f64, f64)>; 4] {
        let length = (self.span[1] - self.span[0]).abs();
        [0, 1, 2, 3].map(|wheel| {
            let first = self.first[wheel];
            let share = if length > 0.0 {
                self.off[wheel] / length
            } else {
                f64::from(u8::from(self.lifted[wheel]))
            };
            first.is_finite().then_some((first, share))
        })
    }

    /// The axis.
    pub fn axis(&self) -> RunAxis {
        self.axis
    }

    /// The last place observed.
    pub(crate) fn end(&self) -> f64 {
        self.span[1]
    }

    /// A sentence without its full stop: every wheel that left the road, in the order of time; none
    /// where all stayed on it.
    pub(crate) fn sentence(&self) -> Option<String> {
        let mut lifted: Vec<(usize, (f64, f64))> = self
            .wheels()
            .into_iter()
            .enumerate()
            .filter_map(|(wheel, lift)| Some((wheel, lift?)))
            .collect();
        lifted.sort_by(|(_, a), (_, b)| a.0.total_cmp(&b.0));
        let parts: Vec<String> = lifted
            .into_iter()
            .enumerate()
            .map(|(i, (wheel, (first, share)))| {
                let name = WHEELS[wheel].replace('_', " ");
                let place = if first <= self.span[0] {
                    "is off the road from the start".to_owned()
                } else if i == 0 {
                    format!("leaves the road {}", self.axis.place(first))
                } else {
                    self.axis.place(first)
                };
                let whole = if i == 0 {
                    format!(" of the {}", self.axis.whole())
                } else {
                    String::new()
                };
                let share = if share < 0.001 {
                    "less than 0.1 %".to_owned()
                } else {
                    format!("{:.1} %", 100.0 * share)
                };
                format!("the {name} wheel {place}, off it for {share}{whole}")
            })
            .collect();
        (!parts.is_empty()).then(|| parts.join("; "))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_run_without_lift_has_no_sentence() {
        let mut lifts = WheelLifts::default();
        assert_eq!(lifts.sentence(), None);
        for time in 0..10 {
            lifts.observe(f64::from(time), [1.0, 1.0, 1e-9, 1.0]);
        }
        assert_eq!(lifts.sentence(), None);
    }

    /// Shares against the measure of the set in which a sampled wave is not positive.
    #[test]
    fn law_share_is_the_measure_of_the_lift() {
        let wave = |t: f64| (t - 1.0) * (t - 4.0);
        let mut lifts = WheelLifts::default();
        for i in 0..=10_000 {
            let t = 1e-3 * f64::from(i);
            lifts.observe(t, [wave(t), 1.0, -wave(t), f64::NAN]);
        }
        let [front_left, front_right, rear_left, rear_right] = lifts.wheels();
        let (first, share) = front_left.unwrap();
        assert!((first - 1.0).abs() < 1e-9 && (share - 0.3).abs() < 2e-4);
        let (first, share) = rear_left.unwrap();
        assert!(first == 0.0 && (share - 0.7).abs() < 2e-4);
        assert_eq!((front_right, rear_right), (None, None));
        assert_eq!(
            lifts.sentence().unwrap(),
            "the rear left wheel is off the road from the start, off it for 70.0 % of the run; \
             the front left wheel at 1.00 s, off it for 30.0 %"
        );
    }

    #[test]
    fn places_are_told_on_their_axis() {
        let mut lifts = WheelLifts::along(RunAxis::LateralAcceleration);
        lifts.observe(5.0, [1.0; 4]);
        lifts.note(0, 9.125);
        lifts.observe(10.0, [1.0; 4]);
        assert_eq!(
            lifts.sentence().unwrap(),
            "the front left wheel leaves the road at 9.12 m/s^2 of lateral acceleration, off it for \
             less than 0.1 % of the curve"
        );
    }

    #[test]
    fn one_observation_is_a_whole_run() {
        let mut lifts = WheelLifts::default();
        lifts.observe(0.0, [0.0, 1.0, 1.0, 1.0]);
        assert_eq!(lifts.wheels()[0], Some((0.0, 1.0)));
    }
}
