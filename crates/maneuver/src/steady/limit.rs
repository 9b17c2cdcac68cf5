//! A curve of equilibria followed to its limit, and the cause of the limit.

use axletree_numerics::interrupt::Interrupt;
use axletree_numerics::root::zero_between;
use axletree_simulation::driver::available_torque;
use axletree_vehicle::Model;
use axletree_vehicle::model::layout::SPIN;
use nalgebra::DVector;

use super::continuation::{CurvePlace, EquilibriumCurve};
use super::points::SteadyPoint;

/// Cause of the end of a curve of equilibria.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LimitedBy {
    /// The front tires are at their limit, the rear tires are not.
    FrontTires,
    /// The rear tires are at their limit, the front tires are not.
    RearTires,
    /// A driven wheel spins: an open differential gives a wheel with little load as much torque as
    /// the other.
    WheelSpin,
    /// A rear wheel locks under the brakes.
    WheelLock,
    /// Both wheels of the inner side leave the road.
    TwoWheelLift,
    /// The driveline is at its largest torque or power.
    Power,
    /// The steering wheel is at its lock.
    Steering,
    /// No further point was found.
    Lost,
    /// The caller asked to stop.
    Interrupted,
}

/// A followed curve.
#[derive(Clone, Debug)]
pub struct SteadyCurve {
    /// Points, from little lateral acceleration to the limit.
    pub points: Vec<SteadyPoint>,
    /// Cause of its end.
    pub limited_by: LimitedBy,
    /// The first wheel that leaves the road in the order of [`axletree_vehicle::model::WHEELS`],
    /// and the point where it does.
    pub wheel_lift: Option<(usize, SteadyPoint)>,
}

/// First step along the curve, in its scales: about 0.2 m/s^2.
const FIRST_STEP: f64 = 0.2;
/// Longest step.
const LONGEST_STEP: f64 = 0.5;
/// Step below which a sharp turn of the tangent is a kink.
const KINK_STEP: f64 = 0.01;
/// Largest distance of a step at a kink.
const KINK_REACH: f64 = 0.5;
/// Distance over length of a step above which it has left the curve.
const JUMP: f64 = 1.5;
/// Step below which the curve is lost.
const SHORTEST_STEP: f64 = 1e-5;
/// Points of a curve, at most.
const MOST_POINTS: usize = 2000;

/// A walk along a curve to its limit.
pub(super) struct LimitWalk<'a> {
    /// The car.
    pub model: &'a Model,
    /// The curve.
    pub curve: EquilibriumCurve<'a>,
    /// Largest magnitude of the steering-wheel angle `[rad]`.
    pub steering_lock: f64,
}

/// Margin to an end of the curve; it falls through zero there.
type Margin = fn(&LimitWalk<'_>, &SteadyPoint) -> f64;

impl LimitWalk<'_> {
    fn point(&self, place: &CurvePlace) -> SteadyPoint {
        SteadyPoint::of(self.model, self.curve.trim(place))
    }

    /// Drive torque that is left `[N*m]`.
    fn power_left(&self, point: &SteadyPoint) -> f64 {
        let driveline = &self.model.numbers.chassis.driveline;
        let spin = 0.5 * (point.trim.state[SPIN + 2] + point.trim.state[SPIN + 3]);
        available_torque(driveline.peak_torque, driveline.peak_power, spin)
            - point.trim.inputs.drive_torque
    }

    /// Steering-wheel angle that is left `[rad]`.
    fn lock_left(&self, point: &SteadyPoint) -> f64 {
        self.steering_lock - point.trim.inputs.steering_wheel.abs()
    }

    /// Load of the side that carries less, less one newton: below that it is off the road `[N]`.
    fn side_left(point: &SteadyPoint) -> f64 {
        let load = point.evaluation.contacts.map(|c| c.load);
        (load[0] + load[2]).min(load[1] + load[3]) - 1.0
    }

    /// The point at which a margin falls through zero, between a place and the distance `along`
    /// from it.
    fn crossing(
        &self,
        from: &CurvePlace,
        tangent: &DVector<f64>,
        along: f64,
        margin: &impl Fn(&SteadyPoint) -> f64,
    ) -> Option<SteadyPoint> {
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
    pub fn follow(&self, start: CurvePlace, interrupt: Interrupt<'_>) -> SteadyCurve {
        let mut curve = SteadyCurve {
            points: vec![self.point(&start)],
            limited_by: LimitedBy::Lost,
            wheel_lift: None,
        };
        let mut place = start;
        let mut along = FIRST_STEP;
        let Some(mut tangent) = self.curve.tangent(&place, &EquilibriumCurve::upward()) else {
            return curve;
        };
        let ends: [(LimitedBy, Margin); 3] = [
            (LimitedBy::Power, |walk, p| walk.power_left(p)),
            (LimitedBy::Steering, |walk, p| walk.lock_left(p)),
            (LimitedBy::TwoWheelLift, |_, p| LimitWalk::side_left(p)),
        ];
        // A car beyond an end at the start has no curve.
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
                // A sharp turn of the tangent needs a smaller step; a kink, as where a wheel leaves
                // the road, stays sharp at any step. A point much farther away than the step is
                // long lies on another branch; at a kink it may be a little farther.
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
            // Beyond the limit the acceleration falls again.
            if self.curve.rise(&next, &onward) <= 0.0 {
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
        curve: &mut SteadyCurve,
        place: &CurvePlace,
        tangent: &DVector<f64>,
        along: f64,
        point: &SteadyPoint,
    ) {
        if curve.wheel_lift.is_some() {
            return;
        }
        let least = |p: &SteadyPoint| p.deflections().into_iter().fold(f64::INFINITY, f64::min);
        if least(point) <= 0.0
            && let Some(lift) = self.crossing(place, tangent, along, &least)
        {
            let d = lift.deflections();
            let wheel = (0..4).min_by(|&a, &b| d[a].total_cmp(&d[b])).unwrap_or(0);
            curve.wheel_lift = Some((wheel, lift));
        }
    }

    /// The place of the largest acceleration between a place and the distance `along` from it, where
    /// the tangent is `onward`.
    fn top(
        &self,
        place: &CurvePlace,
        tangent: &DVector<f64>,
        along: f64,
        onward: &DVector<f64>,
    ) -> Option<CurvePlace> {
        let at = |s: f64| self.curve.step(place, tangent, s).map(|(p, _)| p);
        let rise = |s: f64| {
            let there = at(s)?;
            let onward = self.curve.tangent(&there, tangent)?;
            Some(self.curve.rise(&there, &onward))
        };
        let start = (0.0, self.curve.rise(place, tangent));
        let end = (along, self.curve.rise(&at(along)?, onward));
        let s = zero_between(start, end, &|s| rise(s).unwrap_or(f64::NAN));
        at(s)
    }
}
