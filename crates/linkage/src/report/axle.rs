//! Tables of a solid axle.

use axletree_report::{Column, Figures, Quantity};

use crate::axle_linkage::AxleRange;
use crate::axle_report::AxleRow;
use crate::error::LinkageError;
use crate::report::binding;
use crate::report::sheet::{
    ANTI_LIFT, ANTI_SQUAT, LinkageSheet, ROLL_CENTER, ROLL_CENTER_MOVED, column, figure,
};
use crate::solution::AxleSolution;

/// Change of the roll center's height.
const ROLL_CENTER_SLOPE: Quantity = Quantity::new(
    "roll_center_slope",
    "-",
    "Change of the roll center's height per heave, the road moving with the wheels",
);
/// Roll steer.
const ROLL_STEER: Quantity = Quantity::new(
    "roll_steer",
    "-",
    "Steer of the axle per body roll, understeer positive, as on the static sheet",
);
/// Yaw by roll.
const YAW_BY_ROLL: Quantity = Quantity::new(
    "yaw_by_roll",
    "-",
    "Yaw of the axle to the left per roll of the axle, left side up; positive adds oversteer",
);
/// Lateral displacement by heave.
const WALK_BY_HEAVE: Quantity = Quantity::new(
    "walk_by_heave",
    "-",
    "Displacement of the axle to the left per heave",
);
/// Lateral displacement by roll.
const WALK_BY_ROLL: Quantity = Quantity::new(
    "walk_by_roll",
    "m/rad",
    "Displacement of the axle's center to the left per roll, left side up",
);
/// Pinion angle by heave.
const PINION_BY_HEAVE: Quantity = Quantity::new(
    "pinion_by_heave",
    "rad/m",
    "Turn of the pinion's nose down per heave",
);
/// Roll stiffness of binding.
const BINDING_ROLL_STIFFNESS: Quantity = Quantity::new(
    "binding_roll_stiffness",
    "N*m/rad",
    "Roll stiffness from binding of the link ends at rest",
);
/// Stiffness against wind-up.
const WINDUP_STIFFNESS: Quantity = Quantity::new(
    "windup_stiffness",
    "N*m/rad",
    "Torque about the wheels' axis per turn of the axle on its links",
);
/// Motion ratio of the spring.
const SPRING_RATIO: Quantity = Quantity::new(
    "spring_motion_ratio",
    "-",
    "Compression of the left spring per heave",
);
/// Motion ratio of the damper.
const DAMPER_RATIO: Quantity = Quantity::new(
    "damper_motion_ratio",
    "-",
    "Compression of the left damper per heave",
);
/// Motion ratio of the bar.
const BAR_RATIO: Quantity = Quantity::new(
    "bar_motion_ratio",
    "-",
    "Travel of the bar's left end per heave",
);
/// Heave.
const HEAVE: Quantity = Quantity::new("heave", "m", "Rise of the axle's center, bump positive");
/// Roll.
const ROLL: Quantity = Quantity::new("roll", "rad", "Roll of the axle, left side up");
/// Displacement forward.
const FORWARD: Quantity =
    Quantity::new("forward", "m", "Displacement of the axle's center forward");
/// Displacement to the left.
const SIDEWAYS: Quantity = Quantity::new(
    "sideways",
    "m",
    "Displacement of the axle's center to the left",
);
/// Steer.
const STEER: Quantity = Quantity::new("steer", "rad", "Steer of the axle to the left");
/// Pinion angle.
const PINION: Quantity = Quantity::new("pinion", "rad", "Turn of the pinion's nose down");

impl AxleSolution {
    /// Tables of the axle, with the moment of binding over the roll of `range`.
    ///
    /// # Errors
    /// Errors of the positions over the range.
    pub fn sheet(&self, range: AxleRange) -> Result<LinkageSheet, LinkageError> {
        Ok(LinkageSheet {
            figures: self.figures()?,
            curves: curves(&self.report.rows),
            binding: binding::axle(self, range)?,
            compliance: self.compliance.columns(),
            windup: self.compliance.windup_stiffness(),
            axes: vec![
                ("roll_axis", self.report.roll_axis),
                ("heave_axis", self.report.heave_axis),
            ],
            fit: self.curves.errors.clone(),
        })
    }

    /// Figures at static.
    fn figures(&self) -> Result<Figures, LinkageError> {
        let r = &self.report;
        let ratio = |x: Option<f64>| x.unwrap_or(f64::NAN);
        let left = &r.ratios[0];
        Ok(Figures::from(vec![
            figure(ROLL_CENTER, r.roll_center),
            figure(ROLL_CENTER_SLOPE, r.roll_center_slope),
            // A body that rolls is an axle that rolls back.
            figure(ROLL_STEER, -r.yaw_by_roll),
            figure(YAW_BY_ROLL, r.yaw_by_roll),
            figure(WALK_BY_HEAVE, r.walk_by_heave),
            figure(WALK_BY_ROLL, r.walk_by_roll),
            figure(PINION_BY_HEAVE, r.pinion_by_heave),
            figure(ANTI_SQUAT, r.anti_squat),
            figure(ANTI_LIFT, r.anti_lift),
            figure(BINDING_ROLL_STIFFNESS, self.binding_roll_stiffness()?),
            figure(WINDUP_STIFFNESS, self.compliance.windup.recip()),
            figure(SPRING_RATIO, ratio(left.spring)),
            figure(DAMPER_RATIO, ratio(left.damper)),
            figure(BAR_RATIO, ratio(left.bar)),
        ]))
    }
}

/// Kinematic values over heave and roll.
fn curves(rows: &[AxleRow]) -> Vec<Column> {
    vec![
        column(HEAVE, rows, |x| x.heave),
        column(ROLL, rows, |x| x.roll),
        column(FORWARD, rows, |x| x.forward),
        column(SIDEWAYS, rows, |x| x.sideways),
        column(STEER, rows, |x| x.yaw),
        column(PINION, rows, |x| x.pitch),
        column(ROLL_CENTER_MOVED, rows, |x| x.roll_center),
    ]
}
