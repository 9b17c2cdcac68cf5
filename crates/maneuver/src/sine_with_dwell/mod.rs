//! Sine with dwell after ISO 19365 (the test of 49 CFR 571.126): one sine of the steering wheel with a
//! pause at its second peak, at growing amplitudes.
//!
//! - [`steering`]: the steering-wheel angle over time.
//! - [`reference`]: the slow steer that gives the unit of the amplitudes.
//! - [`criteria`]: what is asked of a run.

pub mod criteria;
pub mod reference;
pub mod steering;

use axletree_scalar::LANES;
use axletree_vehicle::Model;
use axletree_vehicle::model::layout::{Inputs, STATES};
use axletree_vehicle::trim::Trim;
use serde::{Deserialize, Serialize};

use criteria::Assessment;
use steering::DwellSine;

use crate::maneuver::{Maneuver, Run};
use crate::side_by_side::Ready;
use crate::{initial_state as begin, side_by_side as several};
use axletree_numerics::interrupt::Interrupt;
use axletree_simulation::channels::Channel;
use axletree_simulation::drive::{Action, Controls, Validity, join};
use axletree_simulation::error::{ManeuverError, within};
use axletree_simulation::metrics::{Measures, Metric, list as m};
use axletree_simulation::outcome::{Ending, Outcome};
use axletree_simulation::trace::{Recorder, Trace};
use axletree_simulation::{FIXED_STEP, channels as ch};

const NAME: &str = "sine_with_dwell";

/// Settings of the sine with dwell.
///
/// The defaults are those of the regulation (49 CFR 571.126, S7.6 and S7.9; ISO 19365; from memory): 80
/// km/h, 0.7 Hz, a dwell of 500 ms; amplitudes from 1.5 times the reference angle up in steps of a half,
/// to the larger of 6.5 times and 270 deg, but not over 300 deg; the car coasts in a high gear. There is
/// no electronic stability control here: the runs show what the car does without.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct SineWithDwell {
    /// Speed at the start [m/s].
    pub speed: f64,
    /// Frequency of the sine [Hz].
    pub frequency: f64,
    /// Pause at the second peak [s].
    pub dwell: f64,
    /// First way to the left, else to the right.
    pub to_left: bool,
    /// A single amplitude of the steering wheel instead of the series [rad].
    pub amplitude: Option<f64>,
    /// First amplitude of the series [reference angles].
    pub first: f64,
    /// Step of the series [reference angles].
    pub increment: f64,
    /// The series goes at least to this amplitude [reference angles] ...
    pub last: f64,
    /// ... and at least to this angle [rad] ...
    pub last_angle: f64,
    /// ... but never beyond this one [rad].
    pub largest_angle: f64,
    /// Gear, counted from 1; none: the highest.
    pub gear: Option<usize>,
    /// Friction of the surface relative to the tires' reference [-].
    pub friction: f64,
    /// Longest step of the integration [s].
    pub step: f64,
}

impl Default for SineWithDwell {
    fn default() -> Self {
        SineWithDwell {
            speed: 80.0 / 3.6,
            frequency: 0.7,
            dwell: 0.5,
            to_left: true,
            amplitude: None,
            first: 1.5,
            increment: 0.5,
            last: 6.5,
            last_angle: 270f64.to_radians(),
            largest_angle: 300f64.to_radians(),
            gear: None,
            friction: 1.0,
            step: FIXED_STEP,
        }
    }
}

/// What the criteria need.
static CHANNELS: &[&Channel] = &[
    &ch::STEERING_WHEEL_ANGLE,
    &ch::YAW_RATE,
    &ch::LATERAL_ACCELERATION,
    &ch::ROLL_ANGLE,
    &ch::SIDESLIP,
];

/// The sine about straight running, the throttle closed.
struct Steering {
    straight: Inputs<f64>,
    sine: DwellSine,
}

impl Controls<0> for Steering {
    #[inline(always)]
    fn act(&self, time: f64, _: &[f64; STATES], _: &[f64; 0]) -> Action<0> {
        let [angle, rate] = self.sine.at(time);
        Action {
            inputs: Inputs {
                steering_wheel: self.straight.steering_wheel + angle,
                steering_wheel_rate: rate,
                throttle: 0.0,
                ..self.straight
            },
            own_rate: [],
        }
    }
}

/// One run of the series.
#[derive(Clone, Debug, PartialEq)]
pub struct DwellRun {
    /// Amplitude of the steering wheel [rad, never negative].
    pub amplitude: f64,
    /// How it ended.
    pub ending: Ending,
    /// What it shows.
    pub assessment: Assessment,
    /// Whether every criterion that applies was met.
    pub met: bool,
}

/// The runs of one car.
struct Series {
    /// Straight running in gear.
    straight: Trim,
    /// Unit of the amplitudes [rad].
    reference: f64,
    runs: Vec<DwellRun>,
}

impl SineWithDwell {
    /// The amplitudes of the series for a reference angle, both in rad.
    pub fn amplitudes(&self, reference: f64) -> Vec<f64> {
        if let Some(amplitude) = self.amplitude {
            return vec![amplitude];
        }
        let end = (self.last * reference)
            .max(self.last_angle)
            .min(self.largest_angle);
        let mut series = Vec::new();
        let mut i = 0;
        loop {
            let amplitude = (self.first + self.increment * f64::from(i)) * reference;
            if amplitude >= end - 1e-9 {
                break;
            }
            series.push(amplitude);
            i += 1;
        }
        series.push(end);
        series
    }

    /// One amplitude [rad] from straight running in gear; the recorder has at least what the criteria need.
    fn ready<'m>(
        &self,
        model: &'m Model,
        straight: &Trim,
        amplitude: f64,
        recorder: Recorder,
    ) -> Ready<'m, Steering, STATES> {
        let sine = DwellSine {
            amplitude: if self.to_left { amplitude } else { -amplitude },
            frequency: self.frequency,
            dwell: self.dwell,
        };
        let mut breaks = vec![0.0];
        breaks.extend(sine.kinks());
        breaks.extend(criteria::TIMES.map(|t| sine.end() + t));
        breaks.push(criteria::DISPLACEMENT_TIME);
        breaks.sort_by(f64::total_cmp);
        Ready {
            model,
            road: None,
            controls: Steering {
                straight: straight.inputs,
                sine,
            },
            start: join::<0, STATES>(&straight.state, &[]),
            breaks,
            step: self.step,
            sample_every: 1,
            recorder,
        }
    }

    /// Straight running, in gear and out of it.
    fn straight(&self, model: &Model) -> Result<[Trim; 2], Outcome> {
        let trim = begin::straight(model, self.speed, self.friction)?;
        let gear = Some(self.gear.unwrap_or(model.gears.len()));
        Ok([begin::in_gear(model, &trim, gear)?, trim])
    }

    /// The series of every car: reference angle and runs up to the first that does not end well.
    fn series(&self, models: &[&Model], interrupt: Interrupt<'_>) -> Vec<Result<Series, Outcome>> {
        let begun: Vec<Result<[Trim; 2], Outcome>> = models
            .iter()
            .map(|model| {
                if interrupt.stopped() {
                    return Err(Outcome::Interrupted);
                }
                self.straight(model)
            })
            .collect();
        let cars: Vec<(&Model, &Trim)> = models
            .iter()
            .zip(&begun)
            .filter_map(|(model, begun)| Some((*model, &begun.as_ref().ok()?[1])))
            .collect();
        let mut references =
            reference::reference_angles(&cars, self.step, interrupt.quiet()).into_iter();
        let mut all: Vec<Result<Series, Outcome>> = begun
            .into_iter()
            .map(|begun| {
                let [straight, _] = begun?;
                let reference = references.next().unwrap_or(Err(Outcome::Interrupted))?;
                Ok(Series {
                    straight,
                    reference,
                    runs: Vec::new(),
                })
            })
            .collect();
        // The slow steer lasts longest.
        interrupt.tell(0.6);
        let mut waiting: Vec<Vec<f64>> = all
            .iter()
            .map(|series| match series {
                Ok(series) => self.amplitudes(series.reference),
                Err(_) => Vec::new(),
            })
            .collect();
        // As many amplitudes at once as fill the lanes; a car whose run does not end well is through.
        while waiting.iter().any(|left| !left.is_empty()) {
            let mut whose = Vec::new();
            let mut ready = Vec::new();
            let under = |solid: bool| {
                let of =
                    |(m, left): &(&&Model, &Vec<f64>)| m.solid_rear() == solid && !left.is_empty();
                models.iter().zip(&waiting).filter(of).count().max(1)
            };
            let shares = [false, true].map(|solid| LANES.div_ceil(under(solid)));
            for (i, (model, series)) in models.iter().zip(&all).enumerate() {
                let Ok(series) = series else { continue };
                let share = shares[usize::from(model.solid_rear())].min(waiting[i].len());
                for amplitude in waiting[i].drain(..share) {
                    let recorder = Recorder::of(CHANNELS);
                    ready.push(self.ready(model, &series.straight, amplitude, recorder));
                    whose.push((i, amplitude));
                }
            }
            let driven = several::drive_all(ready, &Validity::default(), interrupt.quiet());
            for ((i, amplitude), driven) in whose.into_iter().zip(driven) {
                let Ok(series) = &mut all[i] else { continue };
                let ended = |run: &DwellRun| !run.ending.outcome.is_completed();
                if series.runs.last().is_some_and(ended) {
                    continue;
                }
                let ending = driven.drive.ending;
                let assessment = self.assess(driven.recorder.trace());
                let responsive = amplitude >= criteria::RESPONSIVE_FROM * series.reference - 1e-9;
                series.runs.push(DwellRun {
                    amplitude,
                    ending,
                    assessment,
                    met: ending.outcome.is_completed() && assessment.meets(responsive),
                });
                if !ending.outcome.is_completed() {
                    waiting[i].clear();
                }
            }
        }
        all
    }

    /// What a car's series shows.
    fn shown(&self, series: &Result<Series, Outcome>) -> Measures {
        match series {
            Ok(series) => self.measured(series.reference, &series.runs),
            Err(outcome) => begin::not_begun(NAME, *outcome, self.metrics()).measures,
        }
    }

    /// What a recorded run shows.
    pub fn assess(&self, trace: &Trace) -> Assessment {
        let column = |channel: &Channel| trace.get(channel.name).unwrap_or(&[]);
        let sine = DwellSine {
            amplitude: if self.to_left { 1.0 } else { -1.0 },
            frequency: self.frequency,
            dwell: self.dwell,
        };
        Assessment::of(
            &sine,
            &trace.time,
            column(&ch::YAW_RATE),
            column(&ch::LATERAL_ACCELERATION),
            column(&ch::SIDESLIP),
            column(&ch::ROLL_ANGLE),
        )
    }

    fn measured(&self, reference: f64, runs: &[DwellRun]) -> Measures {
        let last = &runs[runs.len() - 1];
        let mut measures = Measures::empty(NAME, last.ending, self.metrics());
        measures.set(&m::REFERENCE_ANGLE, reference);
        measures.set(&m::LARGEST_AMPLITUDE, last.amplitude);
        let worst = |read: &dyn Fn(&Assessment) -> f64| {
            runs.iter()
                .map(|r| read(&r.assessment))
                .fold(f64::NAN, f64::max)
        };
        measures.set(&m::YAW_RATE_LEFT_EARLY, worst(&|a| a.yaw_rate_left[0]));
        measures.set(&m::YAW_RATE_LEFT_LATE, worst(&|a| a.yaw_rate_left[1]));
        measures.set(&m::SIDESLIP_LARGEST, worst(&|a| a.sideslip));
        measures.set(&m::ROLL_ANGLE_LARGEST, worst(&|a| a.roll_angle));
        let displacement = runs
            .iter()
            .filter(|r| r.amplitude >= criteria::RESPONSIVE_FROM * reference - 1e-9)
            .map(|r| r.assessment.displacement)
            .fold(f64::NAN, f64::min);
        measures.set(&m::LATERAL_DISPLACEMENT, displacement);
        let not_met = runs.iter().find(|r| !r.met);
        measures.set(&m::CRITERIA_MET, f64::from(not_met.is_none()));
        measures.set(
            &m::AMPLITUDE_NOT_MET,
            not_met.map_or(f64::NAN, |r| r.amplitude),
        );
        if last.ending.outcome == Outcome::Interrupted {
            measures.set(&m::CRITERIA_MET, f64::NAN);
            measures.set(&m::AMPLITUDE_NOT_MET, f64::NAN);
        }
        measures
    }
}

impl Maneuver for SineWithDwell {
    fn name(&self) -> &'static str {
        NAME
    }

    fn metrics(&self) -> Vec<&'static Metric> {
        vec![
            &m::REFERENCE_ANGLE,
            &m::LARGEST_AMPLITUDE,
            &m::YAW_RATE_LEFT_EARLY,
            &m::YAW_RATE_LEFT_LATE,
            &m::LATERAL_DISPLACEMENT,
            &m::CRITERIA_MET,
            &m::AMPLITUDE_NOT_MET,
            &m::SIDESLIP_LARGEST,
            &m::ROLL_ANGLE_LARGEST,
        ]
    }

    fn check(&self) -> Result<(), ManeuverError> {
        within(NAME, "speed", self.speed, (5.0, 100.0), "m/s")?;
        within(NAME, "frequency", self.frequency, (0.1, 5.0), "Hz")?;
        within(NAME, "dwell", self.dwell, (0.0, 5.0), "s")?;
        if let Some(amplitude) = self.amplitude {
            within(NAME, "amplitude", amplitude, (1e-4, 20.0), "rad")?;
        }
        within(NAME, "first", self.first, (0.01, 100.0), "-")?;
        within(NAME, "increment", self.increment, (0.05, 100.0), "-")?;
        within(NAME, "last", self.last, (0.01, 100.0), "-")?;
        within(NAME, "last_angle", self.last_angle, (0.0, 20.0), "rad")?;
        within(
            NAME,
            "largest_angle",
            self.largest_angle,
            (0.01, 20.0),
            "rad",
        )?;
        within(NAME, "friction", self.friction, (0.01, 5.0), "-")?;
        within(NAME, "step", self.step, (1e-5, 0.02), "s")
    }

    fn measure(&self, model: &Model, interrupt: Interrupt<'_>) -> Result<Measures, ManeuverError> {
        self.check()?;
        let series = self.series(&[model], interrupt);
        Ok(self.shown(&series[0]))
    }

    fn measure_all(
        &self,
        models: &[&Model],
        interrupt: Interrupt<'_>,
    ) -> Vec<Result<Measures, ManeuverError>> {
        if let Err(fault) = self.check() {
            return models.iter().map(|_| Err(fault.clone())).collect();
        }
        let all = self.series(models, interrupt);
        all.iter().map(|series| Ok(self.shown(series))).collect()
    }

    /// A car's amplitudes fill the lanes; only the slow steer wants other cars beside it.
    fn side_by_side(&self) -> usize {
        LANES
    }

    /// The trace is that of the last run of the series.
    fn run(&self, model: &Model, interrupt: Interrupt<'_>) -> Result<Run, ManeuverError> {
        self.check()?;
        let series = self.series(&[model], interrupt);
        let mut trace = Trace::default();
        if let Ok(series) = &series[0]
            && let Some(last) = series.runs.last()
        {
            let recorder = Recorder::everything();
            let ready = self.ready(model, &series.straight, last.amplitude, recorder);
            let driven = several::drive_all(vec![ready], &Validity::default(), interrupt);
            trace = driven
                .into_iter()
                .next()
                .map_or(trace, |d| d.recorder.finish());
        }
        Ok(Run {
            measures: self.shown(&series[0]),
            trace,
        })
    }
}
