//! Tables of a pair of corners.

use axletree_report::{Column, Figure, Figures, Quantity};

use crate::corner_linkage::CornerRange;
use crate::corner_report::CornerRow;
use crate::error::LinkageError;
use crate::report::binding;
use crate::report::sheet::{
    ANTI_LIFT, ANTI_SQUAT, LinkageSheet, ROLL_CENTER, ROLL_CENTER_MOVED, column, figure,
};
use crate::solution::CornerSolution;
use crate::steering::SteeringAxis;

/// Change of the roll center's height.
const ROLL_CENTER_SLOPE: Quantity = Quantity::new(
    "roll_center_slope",
    "-",
    "Change of the roll center's height per bump of both wheels, the road moving with them",
);
/// Toe-in by travel.
const TOE_GAIN: Quantity = Quantity::new("toe_gain", "rad/m", "Change of toe-in per bump travel");
/// Camber by travel.
const CAMBER_GAIN: Quantity = Quantity::new(
    "camber_gain",
    "rad/m",
    "Change of camber per bump travel, top outward positive",
);
/// Turn about the wheel axis by travel.
const PITCH_GAIN: Quantity = Quantity::new(
    "pitch_gain",
    "rad/m",
    "Turn of the knuckle about the wheel's axis per bump travel, top forward positive",
);
/// Scrub.
const SCRUB: Quantity = Quantity::new(
    "scrub",
    "-",
    "Displacement of the contact outward per bump travel",
);
/// Swing arm.
const SWING_ARM: Quantity = Quantity::new(
    "swing_arm",
    "m",
    "Distance from the contact to the instant center in the plane across the car",
);
/// Anti-dive.
const ANTI_DIVE: Quantity = Quantity::new(
    "anti_dive",
    "%",
    "Share of the load transfer in braking that the links carry",
);
/// Caster.
const CASTER: Quantity = Quantity::new(
    "caster",
    "rad",
    "Lean of the steering axis, top rearward positive",
);
/// Inclination.
const INCLINATION: Quantity = Quantity::new(
    "inclination",
    "rad",
    "Lean of the steering axis, top inward positive",
);
/// Trail.
const TRAIL: Quantity = Quantity::new(
    "trail",
    "m",
    "Distance from the contact forward to the steering axis on the road",
);
/// Scrub radius.
const SCRUB_RADIUS: Quantity = Quantity::new(
    "scrub_radius",
    "m",
    "Distance from the contact inward to the steering axis on the road",
);
/// Stiffness against wind-up.
const WINDUP_STIFFNESS: Quantity = Quantity::new(
    "windup_stiffness",
    "N*m/rad",
    "Torque about the wheels' axis per turn of the differential on its mounts",
);
/// Motion ratio of the spring.
const SPRING_RATIO: Quantity = Quantity::new(
    "spring_motion_ratio",
    "-",
    "Compression of the spring per bump travel",
);
/// Motion ratio of the damper.
const DAMPER_RATIO: Quantity = Quantity::new(
    "damper_motion_ratio",
    "-",
    "Compression of the damper per bump travel",
);
/// Motion ratio of the bar.
const BAR_RATIO: Quantity = Quantity::new(
    "bar_motion_ratio",
    "-",
    "Travel of the bar's end per bump travel",
);
/// Travel.
const TRAVEL: Quantity = Quantity::new("travel", "m", "Rise of the wheel center, bump positive");
/// Toe-in.
const TOE_IN: Quantity = Quantity::new("toe_in", "rad", "Change of toe-in from rest");
/// Camber.
const CAMBER: Quantity = Quantity::new(
    "camber",
    "rad",
    "Change of camber from rest, top outward positive",
);
/// Displacement forward.
const FORWARD: Quantity = Quantity::new("forward", "m", "Displacement of the wheel center forward");
/// Displacement outward.
const OUTWARD: Quantity = Quantity::new("outward", "m", "Displacement of the contact outward");

impl CornerSolution {
    /// Tables of the corners, with the force of binding over the travel of `range`. A pair that
    /// steers has anti-dive and the figures of its steering axis, another anti-squat, anti-lift and
    /// wind-up.
    ///
    /// # Errors
    /// Errors of the positions over the range.
    pub fn sheet(&self, range: CornerRange, steers: bool) -> Result<LinkageSheet, LinkageError> {
        Ok(LinkageSheet {
            figures: self.figures(steers),
            curves: curves(&self.report.rows),
            binding: binding::corner(self, range)?,
            compliance: self.compliance.columns(),
            windup: self.compliance.windup_stiffness(),
            axes: vec![("axis", self.report.axis)],
            fit: self.curves.errors.clone(),
        })
    }

    /// Figures at static.
    fn figures(&self, steers: bool) -> Figures {
        let r = &self.report;
        let ratio = |x: Option<f64>| x.unwrap_or(f64::NAN);
        let mut list = vec![
            figure(ROLL_CENTER, r.roll_center),
            figure(ROLL_CENTER_SLOPE, r.roll_center_slope),
            figure(TOE_GAIN, r.toe_gain),
            figure(CAMBER_GAIN, r.camber_gain),
            figure(PITCH_GAIN, r.pitch_gain),
            figure(SCRUB, r.scrub),
            figure(SWING_ARM, r.swing_arm),
        ];
        if steers {
            list.push(figure(ANTI_DIVE, r.anti_dive));
            list.extend(r.steering.iter().flat_map(steering));
        } else {
            list.extend([
                figure(ANTI_SQUAT, r.anti_squat),
                figure(ANTI_LIFT, r.anti_lift),
                figure(WINDUP_STIFFNESS, self.compliance.windup.recip()),
            ]);
        }
        list.extend([
            figure(SPRING_RATIO, ratio(r.ratios.spring)),
            figure(DAMPER_RATIO, ratio(r.ratios.damper)),
            figure(BAR_RATIO, ratio(r.ratios.bar)),
        ]);
        Figures::from(list)
    }
}

/// Figures of a steering axis.
fn steering(axis: &SteeringAxis) -> [Figure; 4] {
    [
        figure(CASTER, axis.caster),
        figure(INCLINATION, axis.inclination),
        figure(TRAIL, axis.trail),
        figure(SCRUB_RADIUS, axis.scrub),
    ]
}

/// Kinematic values over the travel.
fn curves(rows: &[CornerRow]) -> Vec<Column> {
    vec![
        column(TRAVEL, rows, |x| x.travel),
        column(TOE_IN, rows, |x| x.toe_in),
        column(CAMBER, rows, |x| x.camber),
        column(FORWARD, rows, |x| x.forward),
        column(OUTWARD, rows, |x| x.outward),
        column(ROLL_CENTER_MOVED, rows, |x| x.roll_center),
    ]
}
