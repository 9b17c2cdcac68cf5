//! The drives of the step steer.

use axletree_numerics::interrupt::Interrupt;
use axletree_simulation::channels::{Channel, FOR_METRICS};
use axletree_simulation::drive::{Drive, Validity, split_states};
use axletree_simulation::driver::speed_of;
use axletree_simulation::{Ending, ManeuverError, Outcome, Recorder};
use axletree_vehicle::Model;
use axletree_vehicle::model::layout::STATES;

use super::controls::StepControls;
use super::prepare::PreparedStep;
use super::responses::{METRICS, StepFindings};
use super::settings::{NAME, StepSteer};
use crate::drive_maneuver::{DriveManeuver, Performed, Recorded};
use crate::measured_by::MeasuredBy;
use crate::side_by_side::{self, Integration, PreparedCar};

/// States of car and controls.
const JOINT: usize = STATES + 1;
/// Samples for which a recorder makes room at once, at most; longer runs grow it.
const MOST_RESERVED: usize = 1 << 14;

impl StepSteer {
    /// The car of a prepared step.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a count: whole, small, not negative"
    )]
    fn start<'m>(
        &self,
        model: &'m Model,
        prepared: &PreparedStep,
        mut recorder: Recorder,
    ) -> PreparedCar<'m, StepControls, JOINT> {
        let samples = ((self.settle + self.window) / prepared.step) as usize + 8;
        recorder.reserve(samples.min(MOST_RESERVED));
        PreparedCar {
            model,
            road: None,
            controls: prepared.controls,
            start: prepared.start,
            breaks: prepared.breaks.to_vec(),
            integration: Integration {
                step: prepared.step,
                integrator: self.integrator,
            },
            sample_every: 1,
            recorder,
        }
    }
}

/// The ending of a drive: not enough power where the speed to be held was not.
fn ending(controls: &StepControls, driven: &Drive<JOINT>) -> Ending {
    let mut ending = driven.ending;
    if let (true, Some(hold)) = (ending.outcome.is_completed(), &controls.hold) {
        let (car, own) = split_states::<1, JOINT>(&driven.state);
        let (given, moving) = hold.act(car, own[0]);
        if given >= hold.available(car) && moving == 0.0 {
            ending.outcome = Outcome::NotEnoughPower {
                speed: hold.speed,
                missing_torque: Some(hold.gain() * (hold.speed - speed_of(car))),
            };
        }
    }
    ending
}

impl DriveManeuver for StepSteer {
    type Found = StepFindings;
    const NAME: &'static str = NAME;
    const CHANNELS: &'static [&'static Channel] = FOR_METRICS;
    const METRICS: &'static [MeasuredBy<Recorded<StepFindings>>] = METRICS;

    fn check(&self) -> Result<(), ManeuverError> {
        self.checked()
    }

    fn perform(
        &self,
        models: &[&Model],
        recorder: &dyn Fn() -> Recorder,
        interrupt: Interrupt<'_>,
    ) -> Vec<Performed<StepFindings>> {
        side_by_side::perform(
            models,
            |model| {
                let prepared = self.prepare(model)?;
                let start = self.start(model, &prepared, recorder());
                Ok((prepared, start))
            },
            |prepared, driven| {
                let trace = driven.recorder.finish();
                let change = prepared.controls.change();
                Performed {
                    ending: ending(&prepared.controls, &driven.drive),
                    found: Some(StepFindings::of(self, change, &trace)),
                    trace,
                }
            },
            Performed::could_not_start,
            &Validity::default(),
            interrupt,
        )
    }
}
