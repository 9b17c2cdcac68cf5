//! Following the curve to its limit, and what ends it.

use axletree_scalar::Real;
use axletree_vehicle::Model;
use axletree_vehicle::model::{Evaluation, Observation, Observed};
use axletree_vehicle::trim::{Trim, UNKNOWNS};

use super::continuation::{Curve, Place};
use axletree_numerics::interrupt::Interrupt;
use axletree_numerics::root::zero_between;
use axletree_simulation::driver::speed_hold::available_torque;

/// What ends the curve of steady cornering.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LimitedBy {
    /// The front tires give all they have while the rear ones have something left.
    FrontTires,
    /// The rear tires give all they have while the front ones have something left.
    RearTires,
    /// A driven wheel spins with the torque it is given: an open differential gives the wheel with
    /// little load as much as the other one.
    WheelSpin,
    /// A rear wheel locks under the brakes.
    WheelLock,
    /// Both wheels of the inner side leave the road.
    TwoWheelLift,
    /// The driveline gives all it has.
    Power,
    /// The steering wheel is at its stop.
    Steering,
    /// The curve could not be followed further.
    Lost,
    /// The caller asked to stop.
    Interrupted,
}

/// One point of the curve.
#[derive(Clone, Debug)]
pub struct CirclePoint {
    /// The equilibrium.
    pub trim: Trim,
    /// What a person reads off it.
    pub observation: Observation<f64>,
    /// Contacts and forces.
    pub evaluation: Evaluation<f64>,
}

impl CirclePoint {
    /// Share of what the two tires of an end could give together, each in the direction of its force,
    /// that they give [-]; end 0 is the front.
    pub fn utilization(&self, end: usize) -> f64 {
        let (mut given, mut most) = (0.0, 0.0);
        for tire in &self.evaluation.tire_forces[2 * end..2 * end + 2] {
            if tire.utilization > 0.0 {
                let force = Real::hypot(tire.fx, tire.fy);
                given += force;
                most += force / tire.utilization.sqrt();
            }
        }
        if most > 0.0 { given / most } else { 0.0 }
    }

    /// Whether a rear tire slides more along than across and by more than half of the slip of its largest
    /// force, where force hardly grows any more: forward, as a spinning wheel, or backward, as a locking
    /// one.
    fn slides_along(&self, forward: bool) -> bool {
        let e = &self.evaluation;
        (2..4).any(|i| {
            let [along, across] = e.slips[i];
            let sense = (along > 0.0) == forward;
            sense && e.tire_forces[i].normalized_slip > 0.5 && along.abs() > across.abs()
        })
    }

    /// Deflections of the tires; negative where a wheel is off the road [m].
    fn deflections(&self) -> [f64; 4] {
        self.evaluation.contacts.map(|c| c.deflection)
    }
}

/// A followed curve.
#[derive(Clone, Debug)]
pub struct CircleCurve {
    /// Its points, from little lateral acceleration to the limit.
    pub points: Vec<CirclePoint>,
    /// What ended it.
    pub limited_by: LimitedBy,
    /// The first wheel that leaves the road (order of `axletree_vehicle::model::WHEELS`) and the point
    /// where it does.
    pub wheel_lift: Option<(usize, CirclePoint)>,
}

/// First step along the curve, in its scales: about 0.2 m/s^2.
const FIRST_STEP: f64 = 0.2;
/// Longest step.
const LONGEST_STEP: f64 = 0.5;
/// A tangent that still turns sharply over a step below this has a kink.
const KINK_STEP: f64 = 0.01;
/// How far a step may lead at a kink.
const KINK_REACH: f64 = 0.5;
/// A step that leads farther than so many times its length has left the curve.
const JUMP: f64 = 1.5;
/// A step below this means that the curve is lost.
const SHORTEST_STEP: f64 = 1e-5;
/// No car is followed beyond this many points.
const MOST_POINTS: usize = 2000;

/// Walks along a curve.
pub struct Walk<'a> {
    /// The car.
    pub model: &'a Model,
    /// The curve.
    pub curve: Curve<'a>,
    /// Largest magnitude of the steering-wheel angle [rad].
    pub steering_lock: f64,
}

/// A way for the curve to end, as a function that falls through zero there.
type Margin = fn(&Walk<'_>, &CirclePoint) -> f64;

impl Walk<'_> {
    fn point(&self, place: &Place) -> CirclePoint {
        let trim = self.curve.trim(place);
        let Observed {
            observation,
            evaluation,
        } = trim.observed(self.model);
        CirclePoint {
            trim,
            observation,
            evaluation,
        }
    }

    /// Drive torque that is left [N m].
    fn power_left(&self, point: &CirclePoint) -> f64 {
        let driveline = &self.model.numbers.chassis.driveline;
        let spin = axletree_vehicle::model::layout::SPIN;
        let spin = 0.5 * (point.trim.state[spin + 2] + point.trim.state[spin + 3]);
        available_torque(driveline.peak_torque, driveline.peak_power, spin)
            - point.trim.inputs.drive_torque
    }

    /// Steering-wheel angle that is left [rad].
    fn lock_left(&self, point: &CirclePoint) -> f64 {
        self.steering_lock - point.trim.inputs.steering_wheel.abs()
    }

    /// What the side that carries less still carries, over a newton: below that it is off the road [N].
    fn side_left(point: &CirclePoint) -> f64 {
        let load = point.evaluation.contacts.map(|c| c.load);
        (load[0] + load[2]).min(load[1] + load[3]) - 1.0
    }

    /// Where a margin falls through zero between a place and the distance `along` from it.
    fn crossing(
        &self,
        from: &Place,
        tangent: &nalgebra::DVector<f64>,
        along: f64,
        margin: &impl Fn(&CirclePoint) -> f64,
    ) -> Option<CirclePoint> {
        let at = |s: f64| {
            self.curve
                .step(from, tangent, s)
                .map(|(p, _)| self.point(&p))
        };
        let start = margin(&self.point(from));
        let end = margin(&at(along)?);
        let s = zero_between((0.0, start), (along, end), &|s| {
            at(s).map_or(f64::NAN, |p| margin(&p))
        });
        at(s)
    }

    /// Follows the curve from a place to its limit.
    pub fn follow(&self, start: Place, interrupt: Interrupt<'_>) -> CircleCurve {
        let mut curve = CircleCurve {
            points: vec![self.point(&start)],
            limited_by: LimitedBy::Lost,
            wheel_lift: None,
        };
        let mut place = start;
        let mut along = FIRST_STEP;
        let Some(mut tangent) = self.curve.tangent(&place, &Curve::upward()) else {
            return curve;
        };
        let ends: [(LimitedBy, Margin); 3] = [
            (LimitedBy::Power, |walk, p| walk.power_left(p)),
            (LimitedBy::Steering, |walk, p| walk.lock_left(p)),
            (LimitedBy::TwoWheelLift, |_, p| Walk::side_left(p)),
        ];
        // A car that is beyond an end at the start has no curve.
        for (end, margin) in ends {
            if margin(self, &curve.points[0]) <= 0.0 {
                curve.limited_by = end;
                return curve;
            }
        }
        while curve.points.len() < MOST_POINTS {
            if interrupt.stopped() {
                curve.limited_by = LimitedBy::Interrupted;
                break;
            }
            let stepped = self.curve.step(&place, &tangent, along);
            let next = stepped.and_then(|(next, passes)| {
                let onward = self.curve.tangent(&next, &tangent)?;
                // A sharp turn of the tangent asks for a smaller step; a kink, as where a wheel leaves the
                // road, stays sharp however small the step is.
                // A point much farther away than the step is long lies on another branch; at a kink it may
                // be a little farther.
                let reach = self.curve.distance(&place, &next);
                let smooth = if along < KINK_STEP {
                    reach < KINK_REACH
                } else {
                    reach < JUMP * along && onward.dot(&tangent) > 0.9
                };
                smooth.then_some((next, passes, onward))
            });
            let Some((next, passes, onward)) = next else {
                along *= 0.5;
                if along < SHORTEST_STEP {
                    break;
                }
                continue;
            };
            let point = self.point(&next);
            self.note_lift(&mut curve, &place, &tangent, along, &point);
            let over = ends.iter().find(|(_, margin)| margin(self, &point) <= 0.0);
            if let Some((end, margin)) = over {
                let last = self.crossing(&place, &tangent, along, &|p| margin(self, p));
                curve.points.extend(last);
                curve.limited_by = *end;
                break;
            }
            // Beyond the fold the parameter falls again.
            if onward[UNKNOWNS] <= 0.0 {
                let top = self.top(&place, &tangent, along, &onward);
                let top = top.map_or(point, |p| self.point(&p));
                curve.limited_by = if top.slides_along(true) {
                    LimitedBy::WheelSpin
                } else if top.slides_along(false) {
                    LimitedBy::WheelLock
                } else if top.utilization(0) >= top.utilization(1) {
                    LimitedBy::FrontTires
                } else {
                    LimitedBy::RearTires
                };
                curve.points.push(top);
                break;
            }
            curve.points.push(point);
            (place, tangent) = (next, onward);
            along *= match passes {
                0..=3 => 1.5,
                4..=5 => 1.0,
                _ => 0.6,
            };
            along = along.min(LONGEST_STEP);
        }
        curve
    }

    /// Notes the first wheel that leaves the road in a step.
    fn note_lift(
        &self,
        curve: &mut CircleCurve,
        place: &Place,
        tangent: &nalgebra::DVector<f64>,
        along: f64,
        point: &CirclePoint,
    ) {
        if curve.wheel_lift.is_some() {
            return;
        }
        let least = |p: &CirclePoint| p.deflections().into_iter().fold(f64::INFINITY, f64::min);
        if least(point) <= 0.0
            && let Some(lift) = self.crossing(place, tangent, along, &least)
        {
            let d = lift.deflections();
            let wheel = (0..4).min_by(|&a, &b| d[a].total_cmp(&d[b])).unwrap_or(0);
            curve.wheel_lift = Some((wheel, lift));
        }
    }

    /// The fold between a place and the distance `along` from it, where the tangent is `onward`: where
    /// the tangent has no part along the parameter.
    fn top(
        &self,
        place: &Place,
        tangent: &nalgebra::DVector<f64>,
        along: f64,
        onward: &nalgebra::DVector<f64>,
    ) -> Option<Place> {
        let at = |s: f64| self.curve.step(place, tangent, s).map(|(p, _)| p);
        let rise = |s: f64| {
            at(s)
                .and_then(|p| self.curve.tangent(&p, tangent))
                .map_or(f64::NAN, |t| t[UNKNOWNS])
        };
        let s = zero_between((0.0, tangent[UNKNOWNS]), (along, onward[UNKNOWNS]), &rise);
        at(s)
    }
}
