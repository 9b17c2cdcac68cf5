//! The drives over roads that are not flat.

use axletree_numerics::interrupt::Interrupt;
use axletree_simulation::drive::{Validity, join_states};
use axletree_simulation::driver::SpeedHold;
use axletree_simulation::road::FusedRoad;
use axletree_simulation::{Outcome, Recorder};
use axletree_vehicle::Model;
use axletree_vehicle::model::Road;
use axletree_vehicle::model::layout::STATES;

use super::steady_corner::{HeldControls, SteadyCorner};
use crate::drive_maneuver::Performed;
use crate::side_by_side::{self, Integration, PreparedCar};

/// States of car and controls.
pub(super) const JOINT: usize = STATES + 1;

/// How a steady corner is driven over its road.
pub(super) struct CornerDrive {
    /// Hold the speed; else the drive torque is held.
    pub hold_speed: bool,
    pub integration: Integration,
    pub recorder: Recorder,
}

impl CornerDrive {
    /// A car in its steady corner on a road.
    pub fn start<'m>(
        self,
        model: &'m Model,
        corner: &SteadyCorner,
        road: impl Road<f64> + 'static,
        breaks: &[f64],
    ) -> PreparedCar<'m, HeldControls, JOINT> {
        let torque = corner.trim.inputs.drive_torque;
        let hold = || SpeedHold::new(model, corner.speed, torque);
        PreparedCar {
            model,
            road: Some(Box::new(FusedRoad(road))),
            controls: HeldControls {
                inputs: corner.trim.inputs,
                hold: self.hold_speed.then(hold),
            },
            start: join_states(&corner.trim.state, &[0.0]),
            breaks: breaks.to_vec(),
            integration: self.integration,
            sample_every: 1,
            recorder: self.recorder,
        }
    }
}

/// Drives every car: `corner` finds its steady corner, `start` puts it on the road, `found` makes
/// the findings of a drive that completed.
pub(super) fn perform<'m, F>(
    models: &[&'m Model],
    corner: impl Fn(&Model) -> Result<SteadyCorner, Outcome>,
    start: impl Fn(&'m Model, &SteadyCorner) -> PreparedCar<'m, HeldControls, JOINT>,
    found: impl Fn(SteadyCorner) -> F,
    interrupt: Interrupt<'_>,
) -> Vec<Performed<F>> {
    let validity = Validity {
        // A bump throws the wheels of a side up for a moment.
        lift: 0.25,
        ..Validity::default()
    };
    side_by_side::perform(
        models,
        |model| {
            let corner = corner(model)?;
            let start = start(model, &corner);
            Ok((corner, start))
        },
        |corner, driven| {
            let ending = driven.drive.ending;
            Performed {
                ending,
                trace: driven.recorder.finish(),
                found: ending.outcome.is_completed().then(|| found(corner)),
            }
        },
        Performed::could_not_start,
        &validity,
        interrupt,
    )
}
