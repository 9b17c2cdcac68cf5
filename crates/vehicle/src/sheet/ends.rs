//! Stiffnesses and kinematics of one end at rest.

use axletree_linkage::Angles;
use axletree_scalar::{Real, Vec3};

use crate::model::numbers::{Axle, Corners};
use crate::model::{Carrier, Evaluation, Model, Rear};

/// Stiffnesses and kinematics of one end at rest, means over left and right.
pub(crate) struct EndStatics {
    /// Stiffness of one wheel's travel against the body, without bar `[N/m]`.
    pub wheel_rate: f64,
    /// Damping of one wheel's travel at small speed, mean of bump and rebound `[N*s/m]`.
    pub damping: f64,
    /// Roll stiffness of the springs `[N*m/rad]`.
    pub roll_springs: f64,
    /// Roll stiffness of the bar `[N*m/rad]`.
    pub roll_bar: f64,
    /// Roll stiffness of binding `[N*m/rad]`.
    pub roll_binding: f64,
    /// Height of the roll center over the road `[m]`.
    pub roll_center: f64,
    /// Change of that height per bump of both wheels, the road moving with them `[-]`.
    pub roll_center_slope: f64,
    /// Slope of the path of the carrier's point at the contact, forward over up `[-]`.
    pub contact_forward: f64,
    /// Slope of the wheel center's forward position by bump `[-]`.
    pub center_forward: f64,
    /// Camber per bump, top outward positive `[rad/m]`.
    pub camber_by_bump: f64,
    /// Toe-in per bump `[rad/m]`.
    pub toe_in_by_bump: f64,
    /// Steer to the left per body roll `[-]`.
    pub steer_by_roll: f64,
    /// Unsprung mass at one wheel `[kg]`.
    pub unsprung: f64,
    /// Track `[m]`.
    pub track: f64,
}

/// Both ends, front first.
pub(crate) fn ends(model: &Model, rest: &Evaluation<f64>) -> [EndStatics; 2] {
    let rear = match &model.numbers.rear {
        Rear::Independent(c) => corners(model, c, rest, 2),
        Rear::Solid(axle) => solid(model, axle, rest),
    };
    [corners(model, &model.numbers.front, rest, 0), rear]
}

impl EndStatics {
    /// Roll stiffness of springs, bar and binding, without tires `[N*m/rad]`.
    pub fn roll(&self) -> f64 {
        self.roll_springs + self.roll_bar + self.roll_binding
    }
}

/// Derivative of a function at zero.
fn slope_at_rest(f: impl Fn(f64) -> f64) -> f64 {
    let d = 1e-5;
    (f(d) - f(-d)) / (2.0 * d)
}

/// Partial velocity of the carrier's point at the contact by travel number `d`.
fn contact_by<const D: usize>(
    carrier: &Carrier<f64, D>,
    center: Vec3<f64>,
    arm: Vec3<f64>,
    d: usize,
) -> Vec3<f64> {
    carrier.center_by[d] + carrier.turn_by[d].cross(center + arm - carrier.center)
}

/// Rates of the angles of the carrier's wheel axis by travel number `d`: derivatives of toe and
/// tilt, where the angular velocity also holds the turn about the axis.
fn angles_by<const D: usize>(carrier: &Carrier<f64, D>, d: usize) -> Angles<f64> {
    Angles::rates(carrier.axis, carrier.turn_by[d])
}

/// An end with two independently sprung wheels, the first of which is wheel number `first`.
fn corners(
    model: &Model,
    corners: &Corners<f64>,
    rest: &Evaluation<f64>,
    first: usize,
) -> EndStatics {
    let track = model.geometry.track[first / 2];
    let half = track / 2.0;
    let mut end = EndStatics {
        wheel_rate: 0.0,
        damping: 0.0,
        roll_springs: 0.0,
        roll_bar: 0.0,
        roll_binding: 0.0,
        roll_center: 0.0,
        roll_center_slope: 0.0,
        contact_forward: 0.0,
        center_forward: 0.0,
        camber_by_bump: 0.0,
        toe_in_by_bump: 0.0,
        steer_by_roll: 0.0,
        unsprung: 0.0,
        track,
    };
    let mut bar_slopes = 0.0;
    for (i, side) in [(0, 1.0), (1, -1.0)] {
        let corner = &corners.side[i];
        let carrier = corner.carrier(&rest.frame, i, first);
        let contact = contact_by(&carrier, carrier.center, rest.contacts[first + i].arm, 0);
        let [_, spring, spring_bend] = corner.spring.at(0.0);
        let [_, damper, _] = corner.damper.at(0.0);
        let s = &corner.strut;
        let rate = s.spring.rate * spring * spring + s.spring.preload * spring_bend;
        let bound = slope_at_rest(|x| corner.binding.at(x)[1]);
        end.wheel_rate += (rate + bound) / 2.0;
        end.damping += (s.damper.low[0] + s.damper.low[1]) / 2.0 * damper * damper / 2.0;
        end.roll_springs += rate * half * half;
        end.roll_binding += bound * half * half;
        bar_slopes += corner.bar.at(0.0)[1] / 2.0;
        end.roll_center += half * side * contact.y() / contact.z() / 2.0;
        let radius = rest.contacts[first + i].arm.norm();
        let outward = side * (rest.contacts[first + i].arm.y() + carrier.center.y());
        end.roll_center_slope += slope_at_rest(|x| {
            let mut frame = rest.frame;
            frame.travel[first + i] += x;
            let moved = corner.carrier(&frame, i, first);
            let forward = moved.axis.cross(frame.up).unit();
            let arm = forward.cross(moved.axis).times(-radius);
            let by = contact_by(&moved, moved.center, arm, 0);
            let across = half + side * (moved.center.y() + arm.y()) - outward;
            across * side * by.y() / by.z()
        }) / 2.0;
        end.contact_forward += contact.x() / contact.z() / 2.0;
        end.center_forward += carrier.center_by[0].x() / 2.0;
        // Top to the right is outward on the right; toe to the left is in on the right.
        let angles = angles_by(&carrier, 0);
        end.camber_by_bump -= side * angles.roll / 2.0;
        end.toe_in_by_bump -= side * angles.yaw / 2.0;
        // The left wheel droops by half the track per body roll to the right.
        end.steer_by_roll -= side * angles.yaw * half / 2.0;
        end.unsprung += corner.unsprung.mass / 2.0;
    }
    // The bar's ends move apart by the track times the mean slope per radian.
    end.roll_bar = corners.bar_rate * Real::sq(track * bar_slopes);
    end
}

/// A solid axle at the rear.
fn solid(model: &Model, axle: &Axle<f64>, rest: &Evaluation<f64>) -> EndStatics {
    let carrier = axle.carrier(&rest.frame);
    let arm = (rest.contacts[2].arm + rest.contacts[3].arm).times(0.5);
    let heave = contact_by(&carrier, carrier.center, arm, 0);
    let roll_velocity = carrier.center_by[1];
    let height = rest.frame.position.z() + rest.frame.up.dot(carrier.center);
    let (h, r) = (rest.frame.travel[2], rest.frame.travel[3]);
    let mut end = EndStatics {
        wheel_rate: slope_at_rest(|x| axle.binding.at(h + x, r)[1]) / 2.0,
        damping: 0.0,
        roll_springs: 0.0,
        roll_bar: 0.0,
        roll_binding: slope_at_rest(|x| axle.binding.at(h, r + x)[2]),
        roll_center: height + roll_velocity.y() / carrier.turn_by[1].x(),
        // The road rises with the axle: the change comes from the bend of its sideways path in
        // roll.
        roll_center_slope: slope_at_rest(|x| {
            axle.y.value_and_slope(h + x, r).1[1] / carrier.turn_by[1].x()
        }),
        contact_forward: heave.x() / heave.z(),
        center_forward: carrier.center_by[0].x(),
        camber_by_bump: 0.0,
        toe_in_by_bump: 0.0,
        // The body rolls to the right: the axle rolls to the left relative to it.
        steer_by_roll: -angles_by(&carrier, 1).yaw,
        unsprung: axle.unsprung.mass / 2.0,
        track: model.geometry.track[1],
    };
    let mut bar = [0.0; 2];
    for i in 0..2 {
        let side = &axle.side[i];
        let spring = side.spring.moving([h, r], [1.0, 0.0]);
        let roll_bend = side.spring.moving([h, r], [0.0, 1.0]).bias;
        let (k, f) = (side.strut.spring.rate, rest.part_forces.spring[2 + i]);
        end.wheel_rate += (k * Real::sq(spring.by[0]) + f * spring.bias) / 2.0;
        end.roll_springs += k * Real::sq(spring.by[1]) + f * roll_bend;
        let damper = side.damper.value_and_slope(h, r).1[0];
        let low = side.strut.damper.low;
        end.damping += (low[0] + low[1]) / 2.0 * damper * damper / 2.0;
        bar[i] = side.bar.value_and_slope(h, r).1[1];
    }
    end.roll_bar = axle.bar_rate * Real::sq(bar[0] - bar[1]);
    end
}
