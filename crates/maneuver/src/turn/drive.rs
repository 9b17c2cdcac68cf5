//! The drives of braking and lifting off in a turn.

use axletree_numerics::interrupt::Interrupt;
use axletree_simulation::Recorder;
use axletree_simulation::drive::{Validity, join_states};
use axletree_vehicle::Model;
use axletree_vehicle::model::layout::STATES;

use super::pedals::Pedals;
use super::steady_turn::{AFTER, BEFORE, EVALUATION, SteadyTurn, TurnSettings};
use crate::drive_maneuver::Performed;
use crate::side_by_side::{self, Integration, PreparedCar};

/// Least number of samples that can be measured.
const LEAST_SAMPLES: usize = 4;

/// Drives every car: its steady turn, then the pedals that `pedals` chooses for it.
pub(super) fn perform(
    models: &[&Model],
    settings: &TurnSettings,
    pedals: impl Fn(&Model, &SteadyTurn) -> Pedals,
    integration: Integration,
    recorder: &dyn Fn() -> Recorder,
    interrupt: Interrupt<'_>,
) -> Vec<Performed<SteadyTurn>> {
    side_by_side::perform(
        models,
        |model| {
            let turn = SteadyTurn::find(model, settings)?;
            let pedals = pedals(model, &turn);
            let start = start(model, &turn, pedals, integration, recorder());
            Ok((turn, start))
        },
        |turn, driven| {
            let trace = driven.recorder.finish();
            Performed {
                ending: driven.drive.ending,
                found: (trace.time.len() >= LEAST_SAMPLES).then_some(turn),
                trace,
            }
        },
        Performed::could_not_start,
        &Validity::default(),
        interrupt,
    )
}

/// A car on its steady turn.
fn start<'m>(
    model: &'m Model,
    turn: &SteadyTurn,
    pedals: Pedals,
    integration: Integration,
    recorder: Recorder,
) -> PreparedCar<'m, Pedals, STATES> {
    let mut breaks = vec![-BEFORE, 0.0];
    if pedals.rise > 0.0 {
        breaks.push(pedals.rise);
    }
    breaks.extend([EVALUATION, AFTER]);
    breaks.sort_by(f64::total_cmp);
    PreparedCar {
        model,
        road: None,
        controls: pedals,
        start: join_states::<0, STATES>(&turn.trim.state, &[]),
        breaks,
        integration,
        sample_every: 1,
        recorder,
    }
}
