//! Search for the fastest corner exit.
//!
//! Unknowns are the station at which the throttle opens and the coefficients of the steering, each
//! in units of its scale. First a drive that stays on the track is found with the throttle opened
//! only at the end; from there the throttle moves forward. The method is that of
//! [`axletree_numerics::sqp`].

use axletree_maneuver::initial_state::straight;
use axletree_numerics::interrupt::Interrupt;
use axletree_numerics::spline::UniformSpline;
use axletree_numerics::sqp::{SqpSettings, TrustRegionSqp};
use axletree_simulation::driver::LateralCar;
use axletree_simulation::{Gap, Outcome, Recorder, Trace};
use axletree_vehicle::Model;
use axletree_vehicle::linearize;

use super::settings::CornerExit;
use super::track::ExitTrack;
use super::trial::{ExitDesign, ExitDrive, ExitTrial};
use crate::trajectory::{SplineCourse, TrajectoryProblem, drive_design, smoothing};

/// Penalty weight of a meter of track against a meter of lead `[-]`.
const PENALTY_WEIGHT: f64 = 60.0;
/// Weight on the squares of the steering's second differences `[m per squared scale]`.
const SMOOTHING: f64 = 2e-3;
/// Step of the differences `[scales]`.
const DIFFERENCE: f64 = 1e-3;
/// Gain below which a step is not taken `[m]`.
const GAIN_TOLERANCE: f64 = 2e-3;
/// Most steps of one search.
const MOST_STEPS: usize = 60;
/// Room on the track from which the throttle is moved `[m]`.
const START_ROOM: f64 = 0.2;
/// Distance from the end of the track at which the throttle opens at first `[m]`: too late to spin
/// the car on a slippery surface.
const START_THROTTLE: f64 = 2.0;
/// Length over which the first guess unwinds the steering at the end of the arc `[m]`.
const UNWINDING: f64 = 6.0;
/// Lag of hands and tires together over that of the hands `[-]`.
const LAG_RATIO: f64 = 2.0;

/// Fastest exit found.
#[derive(Clone, Debug)]
pub(super) struct FastestExit {
    /// Its design.
    pub design: ExitDesign,
    /// Its drive.
    pub drive: ExitDrive,
    /// Center line of the track.
    pub track: ExitTrack,
    /// Recorded channels.
    pub trace: Trace,
    /// Least constraint; below zero where one is broken `[m]`.
    pub least: f64,
    /// Steps tried.
    pub steps: usize,
    /// Whether no further gain was possible.
    pub settled: bool,
}

impl CornerExit {
    /// Steering of a slow car that stays on the middle of the track: steady on the arc, zero behind
    /// it.
    fn first_guess(&self, trial: &ExitTrial<'_>) -> Result<ExitDesign, Outcome> {
        let model = trial.model();
        let speed = trial.equilibrium.condition.speed;
        let failed = Outcome::NotConverged {
            passes: 0,
            gap: Gap::NoYawResponse,
        };
        let straight = straight(model, speed, self.friction)?;
        let car = LateralCar::of(&linearize(model, &straight)).ok_or(failed)?;
        let [_, yaw_rate] = car.steady().ok_or(failed)?;
        let gain = speed / yaw_rate;
        let track = &trial.track;
        let spacing = UniformSpline::spacing_over(self.coefficients, track.length());
        let lead = LAG_RATIO * self.hands.lag * speed;
        let steering = (0..self.coefficients).map(|i| {
            let station = spacing * (i as f64 - 1.0) + lead;
            let share = ((station - track.arc()) / UNWINDING + 0.5).clamp(0.0, 1.0);
            let steady = trial.equilibrium.inputs.steering_wheel * track.side;
            let linear = gain / self.radius;
            -share * steady.max(linear)
        });
        Ok(ExitDesign {
            throttle: track.length() - START_THROTTLE,
            steering: steering.collect(),
        })
    }

    /// Fastest exit, recorded.
    pub(super) fn fastest(
        &self,
        model: &Model,
        recorder: Recorder,
        interrupt: Interrupt<'_>,
    ) -> Result<FastestExit, Outcome> {
        let interrupt = interrupt.without_progress();
        let trial = ExitTrial::new(model, self)?;
        let settings = SqpSettings {
            penalty_weight: PENALTY_WEIGHT,
            regularization: smoothing(self.coefficients + 1, 1, SMOOTHING),
            difference_step: DIFFERENCE,
            tolerance: GAIN_TOLERANCE,
            most_steps: MOST_STEPS,
            // The throttle stays where it is until the car stays on the track.
            fixed_while_infeasible: vec![0],
        };
        let problem = TrajectoryProblem {
            course: &trial,
            interrupt,
        };
        let mut search = TrustRegionSqp::new(&problem, &settings, interrupt);
        let inside = search.feasible_point(&self.first_guess(&trial)?.unknowns(), START_ROOM)?;
        if inside.least_constraint() < 0.0 {
            return Err(Outcome::LeftPath {
                deviation: self.half_width - inside.least_constraint(),
            });
        }
        let found = search.maximize(inside)?;
        let design = ExitDesign::of(&found.point.p);
        let driven = drive_design(&trial, &design, recorder, interrupt)?;
        Ok(FastestExit {
            design,
            drive: driven.result,
            track: trial.track,
            trace: driven.trace,
            least: found.point.least_constraint(),
            steps: found.steps,
            settled: found.converged,
        })
    }
}
