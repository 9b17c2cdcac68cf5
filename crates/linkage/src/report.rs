//! What a linkage does, in figures for people.
//!
//! Toe-in is positive, camber is positive with the top outward; motion ratios are compression per
//! wheel travel. Everything is at static unless a row says otherwise.

use crate::curves::{AxleLinkage, CornerLinkage};
use crate::error::{LinkageError, Travel};
use crate::instant::{self, Screw};
use crate::parts::Triple;
use crate::solve::{Position, Rates, Solver};
use crate::steering::SteeringAxis;
use crate::unit::Side;
use axletree_scalar::Real;

/// What the anti effects need to know of the car.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Longitudinal {
    /// Height of the car's center of mass [m].
    pub height: f64,
    /// Wheelbase [m].
    pub wheelbase: f64,
    /// Share of the brake force at this end [-].
    pub brake_share: f64,
}

/// Compression per wheel travel (both wheels up) of what there is.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct MotionRatios {
    /// Spring [-].
    pub spring: Option<f64>,
    /// Damper [-].
    pub damper: Option<f64>,
    /// Bar's end [-].
    pub bar: Option<f64>,
}

fn motion_ratios(
    side: &Side,
    solver: &Solver,
    p: &Position,
    by: &crate::mechanism::Row<f64>,
) -> Result<MotionRatios, LinkageError> {
    Ok(MotionRatios {
        spring: side.spring.map(|u| u.rate(solver, p, by)),
        damper: side.damper.map(|u| u.rate(solver, p, by)),
        bar: side
            .bar
            .as_ref()
            .map(|b| b.rate(solver, p, by))
            .transpose()?,
    })
}

/// One travel of a corner.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CornerRow {
    /// Travel, bump positive [m].
    pub travel: f64,
    /// Toe-in [rad].
    pub toe_in: f64,
    /// Camber, top outward positive [rad].
    pub camber: f64,
    /// Wheel center's move forward [m].
    pub forward: f64,
    /// The patch's move outward [m].
    pub outward: f64,
    /// Roll-center height over the moved patch [m].
    pub roll_center: f64,
    /// Motion ratios.
    pub ratios: MotionRatios,
}

/// A corner in figures.
#[derive(Clone, Debug, PartialEq)]
pub struct CornerReport {
    /// Roll-center height of the mirrored pair [m].
    pub roll_center: f64,
    /// Its change per heave of both wheels, over the ground that moves with them [m/m].
    pub roll_center_slope: f64,
    /// Instant axis of the knuckle; none for one that moves without turning.
    pub axis: Option<Screw>,
    /// Toe-in per travel [rad/m].
    pub toe_gain: f64,
    /// Camber per travel, top outward positive [rad/m].
    pub camber_gain: f64,
    /// Spin-axis pitch (top forward) per travel [rad/m].
    pub pitch_gain: f64,
    /// Move of the patch outward per travel [m/m].
    pub scrub: f64,
    /// Length of the front-view swing arm: patch to instant center; infinite where camber holds [m].
    pub swing_arm: f64,
    /// With a differential on the body: drive force at the wheel center [%].
    pub anti_squat: f64,
    /// A rear corner under outboard brakes [%].
    pub anti_lift: f64,
    /// A front corner under outboard brakes [%].
    pub anti_dive: f64,
    /// Motion ratios.
    pub ratios: MotionRatios,
    /// Steering axis, of a steered corner.
    pub steering: Option<SteeringAxis>,
    /// Over the travel.
    pub rows: Vec<CornerRow>,
}

impl CornerLinkage {
    /// The point of the knuckle at the contact patch: straight below the wheel center.
    pub fn patch(&self) -> Triple {
        [self.center[0], self.center[1], 0.0]
    }

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

    /// Figures at static and over given positions.
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
            let p = solver.at(Travel {
                heave: h,
                roll: 0.0,
                rack: 0.0,
            })?;
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

/// One pose of an axle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AxleRow {
    /// Heave [m].
    pub heave: f64,
    /// Roll, left side up positive [rad].
    pub roll: f64,
    /// Center's walk forward [m].
    pub forward: f64,
    /// Center's walk to the left [m].
    pub sideways: f64,
    /// Roll steer, to the left positive [rad].
    pub yaw: f64,
    /// Pinion angle, nose down positive [rad].
    pub pitch: f64,
    /// Roll-center height over the ground that moves with the wheels [m].
    pub roll_center: f64,
}

/// An axle in figures.
#[derive(Clone, Debug, PartialEq)]
pub struct AxleReport {
    /// Roll-center height [m].
    pub roll_center: f64,
    /// Its change per heave, over the ground that moves with the wheels [m/m].
    pub roll_center_slope: f64,
    /// Its sideways shift per roll: walk of the axle in roll at constant heave [m/rad].
    pub walk_by_roll: f64,
    /// Walk sideways per heave [m/m].
    pub walk_by_heave: f64,
    /// Axis of pure roll; its slope is the roll steer.
    pub roll_axis: Option<Screw>,
    /// Axis of pure heave: the side-view instant center; none where heave does not turn the axle.
    pub heave_axis: Option<Screw>,
    /// Yaw of the axle to the left per roll of the axle, left side up: positive is oversteer for a
    /// rear axle [rad/rad].
    pub roll_steer: f64,
    /// Pinion angle, nose down, per heave [rad/m].
    pub pinion_by_heave: f64,
    /// Differential on the axle: drive force at the patch [%].
    pub anti_squat: f64,
    /// Brakes on the axle [%].
    pub anti_lift: f64,
    /// Motion ratios in heave: left, right.
    pub ratios: [MotionRatios; 2],
    /// Compression per roll and half track, the part of the left in the sense of its own wheel's rise:
    /// left, right.
    pub roll_ratios: [MotionRatios; 2],
    /// At given positions.
    pub rows: Vec<AxleRow>,
}

impl AxleLinkage {
    /// The point of the axle midway between the contact patches.
    pub fn patch(&self) -> Triple {
        [self.center[0], self.center[1], 0.0]
    }

    /// Figures at static and at given positions.
    pub fn report(
        &self,
        solver: &Solver,
        car: Longitudinal,
        positions: &[Position],
    ) -> Result<AxleReport, LinkageError> {
        let start = &solver.start;
        let (vh, wh) = Rates::twist(&start.rates.heave);
        let (vr, wr) = Rates::twist(&start.rates.roll);
        let heave = start.state.pose.angle_rates(wh);
        let roll = start.state.pose.angle_rates(wr);
        let near = |h: f64| -> Result<f64, LinkageError> {
            let p = solver.at(Travel {
                heave: h,
                roll: 0.0,
                rack: 0.0,
            })?;
            Ok(instant::axle_roll_center(solver, &p))
        };
        let anti = instant::slope(solver, start, self.patch()) * car.wheelbase / car.height * 100.0;
        let mut ratios = [MotionRatios::default(); 2];
        let mut roll_ratios = [MotionRatios::default(); 2];
        for (i, side) in self.sides.iter().enumerate() {
            ratios[i] = motion_ratios(side, solver, start, &start.rates.heave)?;
            // The rise of this wheel in roll is +-half track per radian.
            let rise = if i == 0 { 1.0 } else { -1.0 } / self.half_track;
            let by = start.rates.roll.map(|x| x * rise);
            roll_ratios[i] = motion_ratios(side, solver, start, &by)?;
        }
        Ok(AxleReport {
            roll_center: instant::axle_roll_center(solver, start),
            roll_center_slope: (near(1e-4)? - near(-1e-4)?) / 2e-4,
            walk_by_roll: vr.y(),
            walk_by_heave: vh.y(),
            roll_axis: Screw::of(start, &start.rates.roll),
            heave_axis: Screw::of(start, &start.rates.heave),
            roll_steer: roll.yaw,
            pinion_by_heave: heave.pitch,
            anti_squat: anti,
            anti_lift: anti * car.brake_share,
            ratios,
            roll_ratios,
            rows: positions
                .iter()
                .map(|p| {
                    let a = p.state.pose.angles();
                    let c = p.state.pose.center;
                    AxleRow {
                        heave: p.travel.heave,
                        roll: p.travel.roll,
                        forward: c.x() - self.center[0],
                        sideways: c.y() - self.center[1],
                        yaw: a.yaw,
                        pitch: a.pitch,
                        roll_center: instant::axle_roll_center(solver, p),
                    }
                })
                .collect(),
        })
    }
}
