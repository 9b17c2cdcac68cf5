//! The course for one car and gear, and what a drive through it shows.

use axletree_maneuver::initial_state::{in_gear, straight};
use axletree_scalar::{Real, lone};
use axletree_simulation::channels::Moment;
use axletree_simulation::drive::Drive;
use axletree_simulation::driver::Hands;
use axletree_simulation::{Ending, Outcome};
use axletree_vehicle::Model;
use axletree_vehicle::model::layout::{ATTITUDE, Inputs, POSITION, STATES};
use axletree_vehicle::trim::Trim;
use nalgebra::DVector;

use super::settings::DoubleLaneChange;
use crate::cones::{Cone, ConePass, Outline};
use crate::trajectory::{JOINT, SplineCourse, TrajectoryObjective, TrajectoryScore, ending_of};
use axletree_numerics::spline::UniformSpline;

/// Margin beyond nose and tail within which a cone is followed `[m]`.
const FOLLOWED_MARGIN: f64 = 2.0;

/// Mean speed of the slowest drive that may finish `[m/s]`.
const LEAST_MEAN_SPEED: f64 = 2.0;

/// Sideslip that a drive is given at least `[rad]`, so that its logarithm exists.
const LEAST_SIDESLIP: f64 = 1e-3;

/// Scales of the unknowns: speed `[m/s]`, offset `[m]`, steering coefficients `[rad]`.
const SCALES: [f64; 3] = [1.0, 0.2, 0.4];

/// Clearance that corresponds to a logarithm of the sideslip guard over the sideslip `[m]`.
const GUARD_SCALE: f64 = 0.2;

/// Decisions of the driver in a lane change.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct LaneChangeDesign {
    /// Entry speed `[m/s]`.
    pub speed: f64,
    /// Lateral position at the entry, left of the first lane's center line `[m]`.
    pub offset: f64,
    /// Coefficients of the steering-wheel angle asked for `[rad]`.
    pub steering: Vec<f64>,
}

impl LaneChangeDesign {
    /// Unknowns of the search, in units of their scales.
    pub fn unknowns(&self) -> DVector<f64> {
        let [v, y, c] = SCALES;
        DVector::from_iterator(
            2 + self.steering.len(),
            [self.speed / v, self.offset / y]
                .into_iter()
                .chain(self.steering.iter().map(|x| x / c)),
        )
    }

    /// Design of a vector of unknowns.
    pub fn of(unknowns: &DVector<f64>) -> Self {
        let [v, y, c] = SCALES;
        LaneChangeDesign {
            speed: unknowns[0] * v,
            offset: unknowns[1] * y,
            steering: unknowns.iter().skip(2).map(|x| x * c).collect(),
        }
    }
}

/// Course of a double lane change for one car in one gear.
pub(super) struct LaneChangeTrial<'a> {
    model: &'a Model,
    /// Gear, counted from 1: the same for every design, because another gear is another car.
    gear: usize,
    settings: &'a DoubleLaneChange,
    throttle_released: bool,
    outline: Outline,
    cones: Vec<Cone>,
    /// Positions of O at the start and at the end `[m]`.
    span: [f64; 2],
    knot_spacing: f64,
    /// Even stations and the center line's lateral positions there `[m]`.
    center_line: Vec<[f64; 2]>,
}

/// Result of a drive through the course.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct LaneChangeDrive {
    /// Its design.
    pub design: LaneChangeDesign,
    /// Clearances of each cone `[m]`: while it is ahead of O and while it is behind. Nose and tail
    /// may come equally near, where the least of both alone would have a kink.
    pub clearances: Vec<f64>,
    /// Distances of O from the center line at even stations `[m, left positive]`.
    pub deviations: Vec<f64>,
    /// Largest magnitude of the sideslip `[rad]`.
    pub sideslip: f64,
    /// Ending.
    pub ending: Ending,
}

impl LaneChangeDrive {
    /// Least clearance `[m]`.
    pub fn least_clearance(&self) -> f64 {
        self.clearances
            .iter()
            .copied()
            .fold(f64::INFINITY, f64::min)
    }
}

/// Observations of a drive up to some moment.
#[derive(Clone, Debug)]
pub(super) struct LaneChangeLog {
    /// Passes of each cone: while it is ahead of O and while it is behind.
    passes: Vec<[ConePass; 2]>,
    sideslip: f64,
    /// Last position of O `[m]`.
    last: Option<[f64; 2]>,
    /// Deviations at the stations passed so far `[m]`.
    deviations: Vec<f64>,
}

impl<'a> LaneChangeTrial<'a> {
    /// Course of some settings for a car in a gear.
    pub fn new(model: &'a Model, settings: &'a DoubleLaneChange, gear: usize) -> Self {
        let course = settings.course;
        let geometry = &model.geometry;
        let span = [
            course.release().unwrap_or(0.0) - geometry.nose,
            course.end(geometry),
        ];
        let length = span[1] - span[0];
        let stations = 4 * settings.coefficients;
        LaneChangeTrial {
            model,
            gear,
            settings,
            throttle_released: course.release().is_some(),
            outline: Outline::of(geometry),
            cones: course.cones(geometry.width),
            span,
            knot_spacing: UniformSpline::spacing_over(settings.coefficients, length),
            center_line: (1..=stations)
                .map(|k| (span[0] + length * k as f64 / stations as f64).min(span[1]))
                .map(|at| [at, course.center_line(geometry.width, at)[0]])
                .collect(),
        }
    }

    /// Steering of a slow car along the center line: `gain` is the steering-wheel angle per
    /// curvature `[rad*m]`, `lead` the distance by which the driver acts ahead `[m]`.
    pub fn along_center_line(&self, speed: f64, gain: f64, lead: f64) -> LaneChangeDesign {
        let width = self.model.geometry.width;
        LaneChangeDesign {
            speed,
            offset: 0.0,
            steering: (0..self.settings.coefficients)
                .map(|i| {
                    let x = self.span[0] + self.knot_spacing * (i as f64 - 1.0) + lead;
                    gain * self.settings.course.center_line(width, x)[1]
                })
                .collect(),
        }
    }
}

impl SplineCourse for LaneChangeTrial<'_> {
    type Design = LaneChangeDesign;
    type Log = LaneChangeLog;
    type Result = LaneChangeDrive;

    const SAMPLE_STRIDE: usize = 2;

    fn model(&self) -> &Model {
        self.model
    }

    fn hands(&self) -> Hands {
        self.settings.hands
    }

    fn step(&self) -> f64 {
        self.settings.step
    }

    fn longest(&self) -> f64 {
        (self.span[1] - self.span[0]) / LEAST_MEAN_SPEED
    }

    fn knot_spacing(&self) -> f64 {
        self.knot_spacing
    }

    fn side(&self) -> f64 {
        1.0
    }

    fn steering<'d>(&self, design: &'d LaneChangeDesign) -> &'d [f64] {
        &design.steering
    }

    fn equilibrium(&self, design: &LaneChangeDesign) -> Result<Trim, Outcome> {
        let straight = straight(self.model, design.speed, self.settings.friction)?;
        in_gear(self.model, &straight, Some(self.gear))
    }

    #[expect(clippy::float_cmp, reason = "the same bits are meant")]
    fn same_equilibrium(&self, a: &LaneChangeDesign, b: &LaneChangeDesign) -> bool {
        a.speed == b.speed
    }

    fn start(&self, design: &LaneChangeDesign, equilibrium: &Trim) -> [f64; STATES] {
        let mut car = equilibrium.state;
        car[POSITION] = self.span[0];
        car[POSITION + 1] = design.offset;
        car
    }

    #[inline(always)]
    fn place(&self, car: &[f64; STATES]) -> [f64; 2] {
        [car[POSITION] - self.span[0], car[POSITION + 1]]
    }

    #[inline(always)]
    fn throttle(&self, _: &LaneChangeDesign, equilibrium: &Inputs<f64>, _: f64) -> f64 {
        if self.throttle_released {
            0.0
        } else {
            equilibrium.throttle
        }
    }

    fn empty_log(&self) -> LaneChangeLog {
        let pass = |&cone: &Cone| [ConePass::new(cone, self.outline); 2];
        LaneChangeLog {
            passes: self.cones.iter().map(pass).collect(),
            sideslip: LEAST_SIDESLIP,
            last: None,
            deviations: Vec::new(),
        }
    }

    fn observe(
        &self,
        log: &mut LaneChangeLog,
        moment: &Moment<'_>,
        _: [f64; 2],
    ) -> Option<Outcome> {
        let [x, y] = [moment.state[POSITION], moment.state[POSITION + 1]];
        let (sin, cos) = Real::sin_cos(moment.state[ATTITUDE]);
        for (cone, pass) in self.cones.iter().zip(&mut log.passes) {
            let along = cone.x - x;
            if along > self.outline.nose + FOLLOWED_MARGIN
                || along < -self.outline.tail - FOLLOWED_MARGIN
            {
                continue;
            }
            let ahead = cos * along + sin * (cone.y - y);
            pass[usize::from(ahead < 0.0)].observe([x, y], (sin, cos));
        }
        log.sideslip = log.sideslip.max(moment.sideslip().abs());
        if let Some([x0, y0]) = log.last {
            // Every station passed since the last moment.
            while let Some(&[at, middle]) = self.center_line.get(log.deviations.len())
                && at <= x
            {
                let share = (at - x0) / (x - x0);
                log.deviations.push(y0 + share * (y - y0) - middle);
            }
        }
        log.last = Some([x, y]);
        (x >= self.span[1]).then_some(Outcome::Completed)
    }

    fn result(
        &self,
        design: &LaneChangeDesign,
        log: &LaneChangeLog,
        drive: &Drive<JOINT>,
    ) -> LaneChangeDrive {
        let clearances = log.passes.iter().flatten().map(ConePass::clearance);
        LaneChangeDrive {
            design: design.clone(),
            clearances: clearances.collect(),
            deviations: log.deviations.clone(),
            sideslip: log.sideslip,
            ending: ending_of(drive, drive.state[POSITION] >= self.span[1]),
        }
    }

    #[expect(clippy::float_cmp, reason = "the same bits are meant")]
    fn other_common_station(&self, a: &LaneChangeDesign, b: &LaneChangeDesign) -> Option<f64> {
        (a.speed == b.speed && a.offset == b.offset).then_some(f64::INFINITY)
    }
}

impl TrajectoryObjective for LaneChangeTrial<'_> {
    fn design(&self, unknowns: &DVector<f64>) -> LaneChangeDesign {
        LaneChangeDesign::of(unknowns)
    }

    fn ending(result: &LaneChangeDrive) -> Ending {
        result.ending
    }

    /// Entry speed; clearances beyond the reserve `[m]` and the sideslip guard.
    fn evaluate(&self, design: &LaneChangeDesign, result: &LaneChangeDrive) -> TrajectoryScore {
        let clearances = result.clearances.iter();
        let mut constraints: Vec<f64> = clearances
            .map(|c| c - self.settings.clearance_reserve)
            .collect();
        let guard = lone::ln(self.settings.sideslip_guard / result.sideslip);
        constraints.push(GUARD_SCALE * guard);
        TrajectoryScore {
            objective: design.speed,
            constraints,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trajectory::{drive_design, drive_neighbors};
    use axletree_numerics::Interrupt;
    use axletree_simulation::Recorder;
    use axletree_test_support::cars::{BOTH, model};
    use axletree_test_support::close;

    /// Neighbors driven side by side from checkpoints are the drives from the start: to the bit
    /// where they differ from the start, to rounding where steps were left out. The control: every
    /// unknown moves something.
    #[test]
    fn law_neighbors_side_by_side() {
        let settings = DoubleLaneChange::default();
        for name in BOTH {
            let car = model(name);
            let trial = LaneChangeTrial::new(&car, &settings, 2);
            let base = trial.along_center_line(14.0, 40.0, 3.0);
            let never = Interrupt::never();
            let drive = |design: &LaneChangeDesign| {
                drive_design(&trial, design, Recorder::of(&[]), never).unwrap()
            };
            let here = drive(&base);
            let (base_drive, here) = (here.base, here.result);
            assert!(here.ending.outcome.is_completed());
            let neighbors: Vec<LaneChangeDesign> = (0..2 + base.steering.len())
                .map(|i| {
                    let mut near = base.clone();
                    match i {
                        0 => near.speed += 0.01,
                        1 => near.offset += 0.01,
                        _ => near.steering[i - 2] += 0.01,
                    }
                    near
                })
                .collect();
            let near = drive_neighbors(&trial, (&base, &base_drive), &neighbors, never).unwrap();
            assert_eq!(near.len(), neighbors.len());
            for (i, (near, design)) in near.iter().zip(&neighbors).enumerate() {
                let alone = drive(design).result;
                assert_eq!(near.design, *design);
                assert_eq!(near.ending.outcome, alone.ending.outcome);
                let clearances = near.clearances.iter().zip(&alone.clearances);
                for (x, y) in clearances.chain(near.deviations.iter().zip(&alone.deviations)) {
                    if i < 5 {
                        assert_eq!(x.to_bits(), y.to_bits(), "{name}, {i}");
                    } else {
                        close("late", *x, *y, 1e-9);
                    }
                }
                let moved = near.deviations.iter().zip(&here.deviations);
                let moved = moved.map(|(x, y)| (x - y).abs()).fold(0.0, f64::max);
                assert!(moved > 1e-6, "{name}, {i}");
            }
        }
    }
}
