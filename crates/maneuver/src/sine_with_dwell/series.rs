//! The runs of a car at growing amplitudes.

use axletree_numerics::interrupt::Interrupt;
use axletree_scalar::LANES;
use axletree_simulation::channels as ch;
use axletree_simulation::channels::Channel;
use axletree_simulation::drive::{Validity, join_states};
use axletree_simulation::{Ending, Outcome, Recorder, Trace};
use axletree_vehicle::Model;
use axletree_vehicle::model::layout::STATES;
use axletree_vehicle::trim::Trim;

use super::criteria::{Assessment, CHECK_TIMES, DISPLACEMENT_TIME, is_responsive};
use super::reference::reference_angles;
use super::settings::SineWithDwell;
use super::steering::DwellControls;
use crate::initial_state;
use crate::side_by_side::{self, Integration, PreparedCar};

/// Share of the work that the reference angles take, for progress: the slow steer lasts longest
/// `[-]`.
const REFERENCE_SHARE: f64 = 0.6;

/// Channels that the criteria need.
const CHANNELS: &[&Channel] = &[
    &ch::STEERING_WHEEL_ANGLE,
    &ch::YAW_RATE,
    &ch::LATERAL_ACCELERATION,
    &ch::ROLL_ANGLE,
    &ch::SIDESLIP,
];

/// One run of the series.
#[derive(Clone, Debug, PartialEq)]
pub struct DwellRun {
    /// Amplitude of the steering wheel, never negative `[rad]`.
    pub amplitude: f64,
    /// Ending of the run.
    pub ending: Ending,
    /// Quantities that the criteria judge.
    pub assessment: Assessment,
    /// Whether every criterion that applies was met.
    pub met: bool,
}

/// The runs of one car, up to the first that does not complete.
pub(super) struct DwellSeries {
    /// Straight running in gear.
    pub straight: Trim,
    /// Unit of the amplitudes `[rad]`.
    pub reference: f64,
    pub runs: Vec<DwellRun>,
}

impl DwellSeries {
    /// Whether the last run ended before its time.
    fn ended(&self) -> bool {
        self.runs
            .last()
            .is_some_and(|run| !run.ending.outcome.is_completed())
    }
}

impl SineWithDwell {
    fn integration(&self) -> Integration {
        Integration {
            step: self.step,
            integrator: self.integrator,
        }
    }

    /// Straight running, in gear and out of it.
    fn straight(&self, model: &Model) -> Result<[Trim; 2], Outcome> {
        let trim = initial_state::straight(model, self.speed, self.friction)?;
        let gear = Some(self.gear.unwrap_or(model.gears.len()));
        Ok([initial_state::in_gear(model, &trim, gear)?, trim])
    }

    /// A car at the start of a run with an amplitude `[rad]`; the recorder has at least the
    /// channels that the criteria need.
    fn start<'m>(
        &self,
        model: &'m Model,
        straight: &Trim,
        amplitude: f64,
        recorder: Recorder,
    ) -> PreparedCar<'m, DwellControls, STATES> {
        let sine = self.sine(amplitude);
        let mut breaks = vec![0.0];
        breaks.extend(sine.kinks());
        breaks.extend(CHECK_TIMES.map(|t| sine.end() + t));
        breaks.push(DISPLACEMENT_TIME);
        breaks.sort_by(f64::total_cmp);
        PreparedCar {
            model,
            road: None,
            controls: DwellControls {
                straight: straight.inputs,
                sine,
            },
            start: join_states::<0, STATES>(&straight.state, &[]),
            breaks,
            integration: self.integration(),
            sample_every: 1,
            recorder,
        }
    }

    /// The series of every car.
    pub(super) fn series(
        &self,
        models: &[&Model],
        interrupt: Interrupt<'_>,
    ) -> Vec<Result<DwellSeries, Outcome>> {
        let mut all = self.references(models, interrupt);
        interrupt.report(REFERENCE_SHARE);
        let mut waiting: Vec<Vec<f64>> = all
            .iter()
            .map(|series| match series {
                Ok(series) => self.amplitudes(series.reference),
                Err(_) => Vec::new(),
            })
            .collect();
        while waiting.iter().any(|left| !left.is_empty()) {
            self.drive_some(models, &mut all, &mut waiting, interrupt);
        }
        all
    }

    /// Series without runs: straight running and reference angle of every car.
    fn references(
        &self,
        models: &[&Model],
        interrupt: Interrupt<'_>,
    ) -> Vec<Result<DwellSeries, Outcome>> {
        let started: Vec<Result<[Trim; 2], Outcome>> = models
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
            .zip(&started)
            .filter_map(|(model, started)| Some((*model, &started.as_ref().ok()?[1])))
            .collect();
        let mut references =
            reference_angles(&cars, self.integration(), interrupt.without_progress()).into_iter();
        started
            .into_iter()
            .map(|started| {
                let [straight, _] = started?;
                let reference = references.next().unwrap_or(Err(Outcome::Interrupted))?;
                Ok(DwellSeries {
                    straight,
                    reference,
                    runs: Vec::new(),
                })
            })
            .collect()
    }

    /// Drives as many of the waiting amplitudes at once as fill the lanes. A car whose run does not
    /// complete is finished.
    fn drive_some(
        &self,
        models: &[&Model],
        all: &mut [Result<DwellSeries, Outcome>],
        waiting: &mut [Vec<f64>],
        interrupt: Interrupt<'_>,
    ) {
        let mut whose = Vec::new();
        let mut start = Vec::new();
        let active = |solid: bool| {
            let of = |(m, left): &(&&Model, &Vec<f64>)| m.solid_rear() == solid && !left.is_empty();
            models.iter().zip(&*waiting).filter(of).count().max(1)
        };
        let shares = [false, true].map(|solid| LANES.div_ceil(active(solid)));
        for (i, (model, series)) in models.iter().zip(&*all).enumerate() {
            let Ok(series) = series else { continue };
            let share = shares[usize::from(model.solid_rear())].min(waiting[i].len());
            for amplitude in waiting[i].drain(..share) {
                let recorder = Recorder::of(CHANNELS);
                start.push(self.start(model, &series.straight, amplitude, recorder));
                whose.push((i, amplitude));
            }
        }
        let driven =
            side_by_side::drive_all(start, &Validity::default(), interrupt.without_progress());
        for ((i, amplitude), driven) in whose.into_iter().zip(driven) {
            let Ok(series) = &mut all[i] else { continue };
            if series.ended() {
                continue;
            }
            let ending = driven.drive.ending;
            let assessment = self.assess(driven.recorder.trace());
            let completed = ending.outcome.is_completed();
            series.runs.push(DwellRun {
                amplitude,
                ending,
                assessment,
                met: completed && assessment.meets(is_responsive(amplitude, series.reference)),
            });
            if !completed {
                waiting[i].clear();
            }
        }
    }

    /// The last run of a series, driven once more with every channel recorded.
    pub(super) fn last_run(
        &self,
        model: &Model,
        series: &DwellSeries,
        interrupt: Interrupt<'_>,
    ) -> Option<Trace> {
        let last = series.runs.last()?;
        let recorder = Recorder::everything();
        let start = self.start(model, &series.straight, last.amplitude, recorder);
        let driven = side_by_side::drive_all(vec![start], &Validity::default(), interrupt);
        driven.into_iter().next().map(|one| one.recorder.finish())
    }

    /// Quantities of a recorded run that the criteria judge.
    fn assess(&self, trace: &Trace) -> Assessment {
        let column = |channel: &Channel| trace.get(channel.name()).unwrap_or(&[]);
        Assessment::of(
            &self.sine(1.0),
            &trace.time,
            column(&ch::YAW_RATE),
            column(&ch::LATERAL_ACCELERATION),
            column(&ch::SIDESLIP),
            column(&ch::ROLL_ANGLE),
        )
    }
}
