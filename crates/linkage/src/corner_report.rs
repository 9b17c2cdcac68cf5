//! Kinematic figures of a corner.
//!
//! Toe-in is positive; camber is positive with the top outward; motion ratios are compressions per
//! wheel travel. Figures are at static.

use axletree_scalar::Real;

use crate::corner_linkage::CornerLinkage;
use crate::error::LinkageError;
use crate::instant::{self, Screw};
use crate::motion_ratios::{Longitudinal, MotionRatios, motion_ratios};
use crate::solve::{Position, Rates, Solver};
use crate::steering::SteeringAxis;
use crate::travel::Travel;

/// A corner at one travel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CornerRow {
    /// Travel, bump positive `[m]`.
    pub travel: f64,
    /// Toe-in `[rad]`.
    pub toe_in: f64,
    /// Camber, top outward positive `[rad]`.
    pub camber: f64,
    /// Displacement of the wheel center, forward `[m]`.
    pub forward: f64,
    /// Displacement of the patch, outward `[m]`.
    pub outward: f64,
    /// Height of the roll center above the patch, which moves with the wheel `[m]`.
    pub roll_center: f64,
    /// Motion ratios.
    pub ratios: MotionRatios,
}

/// Kinematic figures of a corner.
#[derive(Clone, Debug, PartialEq)]
pub struct CornerReport {
    /// Height of the roll center of the mirrored pair `[m]`.
    pub roll_center: f64,
    /// Its change per heave of both wheels, the ground moving with them `[m/m]`.
    pub roll_center_slope: f64,
    /// Instant axis of the knuckle; none for one that moves without turn.
    pub axis: Option<Screw>,
    /// Toe-in per travel `[rad/m]`.
    pub toe_gain: f64,
    /// Camber per travel, top outward positive `[rad/m]`.
    pub camber_gain: f64,
    /// Turn about the wheel axis per travel, top forward positive `[rad/m]`.
    pub pitch_gain: f64,
    /// Displacement of the patch outward per travel `[m/m]`.
    pub scrub: f64,
    /// Front-view swing arm, from patch to instant center; infinite at constant camber `[m]`.
    pub swing_arm: f64,
    /// Anti-squat with the differential on the body: drive force at the wheel center `[%]`.
    pub anti_squat: f64,
    /// Anti-lift of a rear corner with outboard brakes `[%]`.
    pub anti_lift: f64,
    /// Anti-dive of a front corner with outboard brakes `[%]`.
    pub anti_dive: f64,
    /// Motion ratios.
    pub ratios: MotionRatios,
    /// Steering axis of a wheel that steers.
    pub steering: Option<SteeringAxis>,
    /// Values over the travel.
    pub rows: Vec<CornerRow>,
}

impl CornerLinkage {
    /// Values at one position.
    fn row(&self, solver: &Solver, p: &Position) -> Result<CornerRow, LinkageError> {
        let out = self.center[1].signum();
        let a = p.state.pose.angles();
        let (patch, _) = instant::path(solver, p, self.patch());
        Ok(CornerRow {
            travel: p.travel.heave,
            toe_in: -out * a.yaw,
            camber: -out * a.roll,
            forward: p.state.pose.center.x() - self.center[0],
            outward: out * (patch.y() - self.center[1]),
            roll_center: instant::corner_roll_center(solver, p, self.patch()),
            ratios: motion_ratios(&self.side, solver, p, &p.rates.heave)?,
        })
    }

    /// Figures at static and values at given positions.
    ///
    /// # Errors
    /// Errors of positions near static, of the bar end and of the steering axis.
    pub fn report(
        &self,
        solver: &Solver,
        car: Longitudinal,
        positions: &[Position],
    ) -> Result<CornerReport, LinkageError> {
        let start = &solver.start;
        let out = self.center[1].signum();
        let (_, w) = Rates::twist(&start.rates.heave);
        let turn = start.state.pose.angle_rates(w);
        let (_, v) = instant::path(solver, start, self.patch());
        let slope = |at| instant::slope(solver, start, at) * car.wheelbase / car.height * 100.0;
        let near = |h: f64| -> Result<f64, LinkageError> {
            let p = solver.at(Travel::heave(h))?;
            Ok(instant::corner_roll_center(solver, &p, self.patch()))
        };
        let camber_gain = -out * turn.roll;
        Ok(CornerReport {
            roll_center: instant::corner_roll_center(solver, start, self.patch()),
            roll_center_slope: (near(1e-4)? - near(-1e-4)?) / 2e-4,
            axis: Screw::of(start, &start.rates.heave),
            toe_gain: -out * turn.yaw,
            camber_gain,
            pitch_gain: turn.pitch,
            scrub: out * v.y(),
            swing_arm: Real::hypot(v.y(), v.z()) / camber_gain.abs(),
            anti_squat: slope(self.center),
            anti_lift: slope(self.patch()) * car.brake_share,
            anti_dive: -slope(self.patch()) * car.brake_share,
            ratios: motion_ratios(&self.side, solver, start, &start.rates.heave)?,
            steering: self
                .steering_points(solver)
                .map(|a| SteeringAxis::of(a, self.center))
                .transpose()?,
            rows: positions
                .iter()
                .map(|p| self.row(solver, p))
                .collect::<Result<_, _>>()?,
        })
    }
}
