//! Kinematic figures of a corner.
//!
//! Toe-in is positive; camber is positive with the top outward; motion ratios are compressions per
//! wheel travel. Figures are at static. Toe and camber are those of the wheel, which turns with the
//! knuckle from its static alignment; roll center and anti effects belong to the point of the
//! knuckle that is at the contact at the travel in question.

use axletree_scalar::Real;

use crate::corner_linkage::CornerLinkage;
use crate::error::LinkageError;
use crate::instant::{self, PointMotion, Screw};
use crate::motion_ratios::{Longitudinal, MotionRatios, motion_ratios};
use crate::solve::{Position, Solver};
use crate::steering::SteeringAxis;
use crate::travel::Travel;

/// Travel on both sides of static over which slopes are differences `[m]`.
const NEAR: f64 = 1e-4;

/// A corner at one travel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CornerRow {
    /// Travel, bump positive `[m]`.
    pub travel: f64,
    /// Change of toe-in from static `[rad]`.
    pub toe_in: f64,
    /// Change of camber from static, top outward positive `[rad]`.
    pub camber: f64,
    /// Displacement of the wheel center, forward `[m]`.
    pub forward: f64,
    /// Displacement of the contact, outward `[m]`.
    pub outward: f64,
    /// Height of the roll center above the contact, which moves with the wheel `[m]`.
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
    /// Displacement of the contact outward per travel `[m/m]`.
    pub scrub: f64,
    /// Swing arm: from the contact to the instant center in the plane across the car; infinite for
    /// a knuckle that does not turn in it `[m]`.
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
        let out = self.outward();
        let [angles, at_static] = [p, &solver.start].map(|p| self.wheel(p).angles());
        let contact = self.contact_motion(p);
        Ok(CornerRow {
            travel: p.travel.heave,
            toe_in: -out * (angles.yaw - at_static.yaw),
            camber: -out * (angles.roll - at_static.roll),
            forward: p.state.pose.center.x() - self.center[0],
            outward: out * (contact.at.y() - self.contact()[1]),
            roll_center: contact.roll_center_of_pair(),
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
        let out = self.outward();
        let wheel = self.wheel(start);
        let contact = self.contact_motion(start);
        let turn = wheel.angle_rates(contact.turn);
        let center = instant::motion(solver, start, self.center);
        let anti = |slope: f64| 100.0 * slope * car.wheelbase / car.height;
        let in_brake = anti(contact.slope_along()) * car.brake_share;
        let near = |travel: f64| -> Result<PointMotion, LinkageError> {
            Ok(self.contact_motion(&solver.at(Travel::heave(travel))?))
        };
        let [above, below] = [near(NEAR)?, near(-NEAR)?];
        let by_travel = |of: &dyn Fn(&PointMotion) -> f64| (of(&above) - of(&below)) / (2.0 * NEAR);
        let across = Real::hypot(contact.velocity.y(), contact.velocity.z());
        Ok(CornerReport {
            roll_center: contact.roll_center_of_pair(),
            roll_center_slope: by_travel(&PointMotion::roll_center_of_pair),
            axis: Screw::of(start, &start.rates.heave),
            toe_gain: -out * turn.yaw,
            camber_gain: -out * turn.roll,
            pitch_gain: turn.pitch,
            scrub: out * by_travel(&|contact| contact.at.y()),
            swing_arm: across / contact.turn.x().abs(),
            anti_squat: anti(center.slope_along()),
            anti_lift: in_brake,
            anti_dive: -in_brake,
            ratios: motion_ratios(&self.side, solver, start, &start.rates.heave)?,
            steering: self
                .steering_points(solver)
                .map(|axis| SteeringAxis::of(axis, self.center, self.contact()))
                .transpose()?,
            rows: positions
                .iter()
                .map(|p| self.row(solver, p))
                .collect::<Result<_, _>>()?,
        })
    }
}
