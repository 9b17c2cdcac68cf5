//! The rows of the static sheet.

use axletree_report::Quantity;

use super::statics::Statics;
use crate::model::Rear;
use crate::model::layout::TRAVEL;

/// A row of the sheet.
pub(super) struct SheetRow {
    pub quantity: Quantity,
    /// The value in the quantity's unit; `None` where the car does not have it.
    pub value: fn(&Statics<'_>) -> Option<f64>,
}

const fn row(
    key: &'static str,
    unit: &'static str,
    meaning: &'static str,
    value: fn(&Statics<'_>) -> Option<f64>,
) -> SheetRow {
    SheetRow {
        quantity: Quantity::new(key, unit, meaning),
        value,
    }
}

/// The rows in order.
pub(super) const ROWS: &[SheetRow] = &[
    row("mass", "kg", "whole car as described", |s| {
        Some(s.model.mass())
    }),
    row(
        "front_weight_share",
        "-",
        "share of the weight on the front wheels",
        |s| Some((s.loads[0] + s.loads[1]) / s.weight),
    ),
    row(
        "cross_weight_share",
        "-",
        "share of the weight on front right and rear left",
        |s| Some((s.loads[1] + s.loads[2]) / s.weight),
    ),
    row("center_height", "m", "height of the center of mass", |s| {
        Some(s.model.numbers.chassis.height)
    }),
    row("load_front_left", "N", "wheel load at rest", |s| {
        Some(s.loads[0])
    }),
    row("load_front_right", "N", "wheel load at rest", |s| {
        Some(s.loads[1])
    }),
    row("load_rear_left", "N", "wheel load at rest", |s| {
        Some(s.loads[2])
    }),
    row("load_rear_right", "N", "wheel load at rest", |s| {
        Some(s.loads[3])
    }),
    row(
        "unsprung_mass_front",
        "kg",
        "both wheels with all that moves with them",
        |s| Some(2.0 * s.front.unsprung),
    ),
    row(
        "unsprung_mass_rear",
        "kg",
        "both wheels or the axle with all that moves with them",
        |s| Some(2.0 * s.rear.unsprung),
    ),
    row(
        "wheel_rate_front",
        "N/m",
        "springs and binding at one wheel, without bar and tire",
        |s| Some(s.front.wheel_rate),
    ),
    row(
        "wheel_rate_rear",
        "N/m",
        "springs and binding at one wheel in heave, without bar and tire",
        |s| Some(s.rear.wheel_rate),
    ),
    row(
        "ride_rate_front",
        "N/m",
        "wheel rate and tire in series",
        |s| Some(s.front_ride.rate),
    ),
    row(
        "ride_rate_rear",
        "N/m",
        "wheel rate and tire in series",
        |s| Some(s.rear_ride.rate),
    ),
    row(
        "ride_frequency_front",
        "Hz",
        "of the sprung mass on the ride rate",
        |s| Some(s.front_ride.frequency),
    ),
    row(
        "ride_frequency_rear",
        "Hz",
        "of the sprung mass on the ride rate",
        |s| Some(s.rear_ride.frequency),
    ),
    row(
        "damping_ratio_front",
        "-",
        "at small damper speed, mean of bump and rebound",
        |s| Some(s.front_ride.damping_ratio),
    ),
    row(
        "damping_ratio_rear",
        "-",
        "at small damper speed, mean of bump and rebound",
        |s| Some(s.rear_ride.damping_ratio),
    ),
    row(
        "roll_stiffness_front",
        "N*m/rad",
        "springs, bar and binding, without tires",
        |s| Some(s.front.roll()),
    ),
    row(
        "roll_stiffness_rear",
        "N*m/rad",
        "springs, bar and binding, without tires",
        |s| Some(s.rear.roll()),
    ),
    row(
        "roll_stiffness_bar_front",
        "N*m/rad",
        "the bar's part",
        |s| Some(s.front.roll_bar),
    ),
    row(
        "roll_stiffness_bar_rear",
        "N*m/rad",
        "the bar's part",
        |s| Some(s.rear.roll_bar),
    ),
    row(
        "roll_stiffness_binding_front",
        "N*m/rad",
        "the part of link ends that twist and tilt; none for an end given by coefficients",
        |s| Some(s.front.roll_binding),
    ),
    row(
        "roll_stiffness_binding_rear",
        "N*m/rad",
        "the part of link ends that twist and tilt; none for an end given by coefficients",
        |s| Some(s.rear.roll_binding),
    ),
    row(
        "binding_share_rear",
        "-",
        "binding's share of the rear roll stiffness",
        |s| Some(s.rear.roll_binding / s.rear.roll()),
    ),
    row(
        "roll_stiffness_front_share",
        "-",
        "front share with the tires in series",
        |s| Some(s.roll_with_tires[0] / (s.roll_with_tires[0] + s.roll_with_tires[1])),
    ),
    row("roll_center_height_front", "m", "above the road", |s| {
        Some(s.front.roll_center)
    }),
    row("roll_center_height_rear", "m", "above the road", |s| {
        Some(s.rear.roll_center)
    }),
    row(
        "roll_center_slope_front",
        "-",
        "migration: change of that height per bump of both wheels, the road moving with them",
        |s| Some(s.front.roll_center_slope),
    ),
    row(
        "roll_center_slope_rear",
        "-",
        "migration: change of that height per bump of both wheels, the road moving with them",
        |s| Some(s.rear.roll_center_slope),
    ),
    row(
        "gravity_arm",
        "m",
        "arm on which the sprung weight adds to roll",
        |s| Some(s.gravity_arm),
    ),
    row(
        "roll_gradient",
        "rad*s^2/m",
        "roll per lateral acceleration in gentle cornering at 20 m/s, right side down in a left turn positive",
        |s| Some(s.roll_gradient),
    ),
    row(
        "understeer_gradient",
        "rad*s^2/m",
        "mean steer of the road wheels per lateral acceleration less the Ackermann steer's, in gentle cornering at 20 m/s, understeer positive",
        |s| Some(s.understeer_gradient),
    ),
    row(
        "anti_dive_front",
        "%",
        "share of the brake load transfer that the front links carry",
        |s| Some(anti_dive_front(s)),
    ),
    row(
        "anti_lift_rear",
        "%",
        "share of the brake load transfer that the rear links carry",
        |s| Some(anti_lift_rear(s)),
    ),
    row(
        "anti_squat_rear",
        "%",
        "share of the drive load transfer that the rear links carry",
        |s| Some(anti_squat_rear(s)),
    ),
    row(
        "roll_steer_front",
        "-",
        "steer per body roll, understeer positive",
        |s| Some(-s.front.steer_by_roll),
    ),
    row(
        "roll_steer_rear",
        "-",
        "steer per body roll, understeer positive",
        |s| Some(s.rear.steer_by_roll),
    ),
    row(
        "camber_gain_front",
        "rad/m",
        "camber per bump travel, top outward positive",
        |s| Some(s.front.camber_by_bump),
    ),
    row(
        "camber_gain_rear",
        "rad/m",
        "camber per bump travel, top outward positive; none in heave for an axle",
        |s| Some(s.rear.camber_by_bump),
    ),
    row("bump_steer_front", "rad/m", "toe-in per bump travel", |s| {
        Some(s.front.toe_in_by_bump)
    }),
    row(
        "bump_steer_rear",
        "rad/m",
        "toe-in per bump travel; none in heave for an axle",
        |s| Some(s.rear.toe_in_by_bump),
    ),
    row(
        "lateral_walk_rear",
        "-",
        "sideways travel of the axle per bump travel, to the left positive",
        lateral_walk_rear,
    ),
    row(
        "pinion_gain_rear",
        "rad/m",
        "turn of the axle per bump travel, pinion nose down positive",
        pinion_gain_rear,
    ),
    row(
        "windup_stiffness_rear",
        "N*m/rad",
        "torque about the wheels' axis per turn of axle or differential on its links or mounts",
        windup_stiffness_rear,
    ),
];

fn anti_dive_front(s: &Statics<'_>) -> f64 {
    let share = s.model.numbers.chassis.front_brake_share;
    100.0 * share * s.front.contact_forward / s.height_over_wheelbase()
}

fn anti_lift_rear(s: &Statics<'_>) -> f64 {
    let share = 1.0 - s.model.numbers.chassis.front_brake_share;
    -100.0 * share * s.rear.contact_forward / s.height_over_wheelbase()
}

fn anti_squat_rear(s: &Statics<'_>) -> f64 {
    // The torque of the drive reacts on an axle, or on the body.
    let forward = if s.model.solid_rear() {
        s.rear.contact_forward
    } else {
        s.rear.center_forward
    };
    -100.0 * forward / s.height_over_wheelbase()
}

fn lateral_walk_rear(s: &Statics<'_>) -> Option<f64> {
    let [heave, roll] = [s.state[TRAVEL + 2], s.state[TRAVEL + 3]];
    match &s.model.numbers.rear {
        Rear::Solid(axle) => Some(axle.y.value_and_slope(heave, roll).1[0]),
        Rear::Independent(_) => None,
    }
}

fn pinion_gain_rear(s: &Statics<'_>) -> Option<f64> {
    let [heave, roll] = [s.state[TRAVEL + 2], s.state[TRAVEL + 3]];
    match &s.model.numbers.rear {
        Rear::Solid(axle) => Some(axle.pitch.value_and_slope(heave, roll).1[0]),
        Rear::Independent(_) => None,
    }
}

fn windup_stiffness_rear(s: &Statics<'_>) -> Option<f64> {
    let windup = &s.model.numbers.chassis.driveline.windup;
    (windup.flexible > 0.5).then_some(windup.stiffness)
}
