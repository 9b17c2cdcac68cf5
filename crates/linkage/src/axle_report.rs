//! Kinematic figures of a solid axle.
//!
//! Motion ratios are compressions per wheel travel. Figures are at static.

use crate::axle_linkage::AxleLinkage;
use crate::error::LinkageError;
use crate::instant::{self, Screw};
use crate::motion_ratios::{Longitudinal, MotionRatios, motion_ratios};
use crate::solve::{Position, Rates, Solver};
use crate::travel::Travel;

/// An axle at one position.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AxleRow {
    /// Heave `[m]`.
    pub heave: f64,
    /// Roll, left side up positive `[rad]`.
    pub roll: f64,
    /// Displacement of the center, forward `[m]`.
    pub forward: f64,
    /// Displacement of the center, to the left `[m]`.
    pub sideways: f64,
    /// Roll steer, to the left positive `[rad]`.
    pub yaw: f64,
    /// Pinion angle, nose down positive `[rad]`.
    pub pitch: f64,
    /// Height of the roll center above the ground, which moves with the wheels `[m]`.
    pub roll_center: f64,
}

/// Kinematic figures of an axle.
#[derive(Clone, Debug, PartialEq)]
pub struct AxleReport {
    /// Height of the roll center `[m]`.
    pub roll_center: f64,
    /// Its change per heave, the ground moving with the wheels `[m/m]`.
    pub roll_center_slope: f64,
    /// Lateral displacement of the axle per roll at constant heave `[m/rad]`.
    pub walk_by_roll: f64,
    /// Lateral displacement of the axle per heave `[m/m]`.
    pub walk_by_heave: f64,
    /// Screw axis of pure roll; its slope is the yaw by roll.
    pub roll_axis: Option<Screw>,
    /// Axis of pure heave, the side-view instant center; none where heave does not turn the axle.
    pub heave_axis: Option<Screw>,
    /// Yaw of the axle to the left per roll of the axle, left side up; positive adds oversteer at a
    /// rear axle `[rad/rad]`.
    pub yaw_by_roll: f64,
    /// Pinion angle, nose down, per heave `[rad/m]`.
    pub pinion_by_heave: f64,
    /// Anti-squat with the differential on the axle: drive force at the patch `[%]`.
    pub anti_squat: f64,
    /// Anti-lift with the brakes on the axle `[%]`.
    pub anti_lift: f64,
    /// Motion ratios in heave: left, right.
    pub ratios: [MotionRatios; 2],
    /// Compression in roll per rise of the own wheel: left, right.
    pub roll_ratios: [MotionRatios; 2],
    /// Values at given positions.
    pub rows: Vec<AxleRow>,
}

impl AxleLinkage {
    /// Figures at static and values at given positions.
    ///
    /// # Errors
    /// Errors of positions near static and of the bar ends.
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
            let p = solver.at(Travel::heave(h))?;
            Ok(instant::axle_roll_center(solver, &p))
        };
        let patch = instant::motion(solver, start, self.patch());
        let anti = 100.0 * patch.slope_along() * car.wheelbase / car.height;
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
            yaw_by_roll: roll.yaw,
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
