//! The corner for one car, and what a drive out of it shows.

use axletree_maneuver::initial_state::{corner, in_gear};
use axletree_scalar::lone;
use axletree_simulation::channels::Moment;
use axletree_simulation::drive::Drive;
use axletree_simulation::driver::Hands;
use axletree_simulation::road::smooth_step;
use axletree_simulation::{Ending, Outcome};
use axletree_vehicle::Model;
use axletree_vehicle::model::layout::{ATTITUDE, Inputs, POSITION, STATES};
use axletree_vehicle::trim::Trim;
use nalgebra::DVector;

use super::settings::CornerExit;
use super::track::ExitTrack;
use crate::trajectory::{JOINT, SplineCourse, TrajectoryObjective, TrajectoryScore, ending_of};
use axletree_numerics::spline::UniformSpline;

/// Stations at which the car's place on the track is a constraint.
const STATIONS: usize = 24;
/// Distance beyond the track's edge from which a drive is not continued `[m]`.
const LOST_MARGIN: f64 = 20.0;
/// Mean speed of the slowest drive that may finish, over its first speed `[-]`.
const LEAST_MEAN_SPEED_RATIO: f64 = 0.4;
/// Sideslip that a drive is given at least `[rad]`, so that its logarithm exists.
const LEAST_SIDESLIP: f64 = 1e-3;

/// Scales of the unknowns: throttle's station `[m]`, steering coefficients `[rad]`.
const SCALES: [f64; 2] = [3.0, 0.3];
/// Speed at which the objective turns seconds into meters `[m/s]`: about that of the cars tried.
const PACE: f64 = 15.0;
/// Width of track that corresponds to a logarithm of the sideslip guard over the sideslip `[m]`.
const GUARD_SCALE: f64 = 1.0;
/// Width of track that corresponds to a meter of room of the throttle's station on the track `[-]`.
const THROTTLE_SCALE: f64 = 0.2;

/// Decisions of the driver in a corner exit.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct ExitDesign {
    /// Station at which the throttle begins to open `[m]`.
    pub throttle: f64,
    /// Coefficients of the steering-wheel angle asked for beyond the steady one
    /// `[rad, inward positive]`.
    pub steering: Vec<f64>,
}

impl ExitDesign {
    /// Unknowns of the search, in units of their scales.
    pub fn unknowns(&self) -> DVector<f64> {
        let [station, angle] = SCALES;
        DVector::from_iterator(
            1 + self.steering.len(),
            [self.throttle / station]
                .into_iter()
                .chain(self.steering.iter().map(|x| x / angle)),
        )
    }

    /// Design of a vector of unknowns.
    pub fn of(unknowns: &DVector<f64>) -> Self {
        let [station, angle] = SCALES;
        ExitDesign {
            throttle: unknowns[0] * station,
            steering: unknowns.iter().skip(1).map(|x| x * angle).collect(),
        }
    }
}

/// Result of a drive out of the corner.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct ExitDrive {
    /// Distances from the middle of the track at even stations `[m, inward positive]`.
    pub inward: Vec<f64>,
    /// Largest magnitude of the sideslip `[rad]`.
    pub sideslip: f64,
    /// Time at the end of the track `[s]`.
    pub time: f64,
    /// Speed there `[m/s]`.
    pub speed: f64,
    /// Ending.
    pub ending: Ending,
}

/// Corner for one car, in equilibrium at its start.
pub(super) struct ExitTrial<'a> {
    model: &'a Model,
    /// Center line of the track.
    pub track: ExitTrack,
    /// Equilibrium, in gear, moving along x.
    pub equilibrium: Trim,
    /// Its sideslip `[rad]`.
    sideslip: f64,
    settings: &'a CornerExit,
}

/// Observations of a drive up to some moment.
#[derive(Clone, Debug, Default)]
pub(super) struct ExitLog {
    /// Time `[s]`, place on the track `[m]` and speed `[m/s]` at the last moment.
    last: Option<(f64, [f64; 2], f64)>,
    inward: Vec<f64>,
    sideslip: f64,
    /// Time `[s]` and speed `[m/s]` at the end of the track.
    end: Option<(f64, f64)>,
}

impl<'a> ExitTrial<'a> {
    /// Corner of some settings for a car.
    ///
    /// # Errors
    /// The outcome of a car without an equilibrium or without a gear for it.
    pub fn new(model: &'a Model, settings: &'a CornerExit) -> Result<Self, Outcome> {
        let level = settings.lateral_acceleration;
        let speed = (level.abs() * settings.radius).sqrt();
        let trim = corner(model, speed, level, settings.friction)?;
        let sideslip = trim.observe(model).sideslip;
        Ok(ExitTrial {
            model,
            track: settings.track(),
            equilibrium: in_gear(model, &trim, settings.gear)?,
            sideslip,
            settings,
        })
    }
}

impl SplineCourse for ExitTrial<'_> {
    type Design = ExitDesign;
    type Log = ExitLog;
    type Result = ExitDrive;

    const SAMPLE_STRIDE: usize = 1;

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
        self.track.length() / (LEAST_MEAN_SPEED_RATIO * self.equilibrium.condition.speed)
    }

    fn knot_spacing(&self) -> f64 {
        UniformSpline::spacing_over(self.settings.coefficients, self.track.length())
    }

    fn side(&self) -> f64 {
        self.track.side
    }

    fn steering<'d>(&self, design: &'d ExitDesign) -> &'d [f64] {
        &design.steering
    }

    fn equilibrium(&self, _: &ExitDesign) -> Result<Trim, Outcome> {
        Ok(self.equilibrium.clone())
    }

    fn same_equilibrium(&self, _: &ExitDesign, _: &ExitDesign) -> bool {
        true
    }

    fn start(&self, _: &ExitDesign, equilibrium: &Trim) -> [f64; STATES] {
        let mut car = equilibrium.state;
        car[ATTITUDE] = -self.sideslip;
        car
    }

    #[inline(always)]
    fn place(&self, car: &[f64; STATES]) -> [f64; 2] {
        self.track.place([car[POSITION], car[POSITION + 1]])
    }

    #[inline(always)]
    fn throttle(&self, design: &ExitDesign, equilibrium: &Inputs<f64>, station: f64) -> f64 {
        let opened = (station - design.throttle) / self.settings.opening;
        let share = smooth_step(opened)[0];
        equilibrium.throttle + share * (1.0 - equilibrium.throttle)
    }

    fn empty_log(&self) -> ExitLog {
        ExitLog::default()
    }

    fn observe(&self, log: &mut ExitLog, moment: &Moment<'_>, place: [f64; 2]) -> Option<Outcome> {
        log.sideslip = log.sideslip.max(moment.sideslip().abs());
        let here = (moment.time, place, moment.speed());
        if let Some((time, before, speed)) = log.last {
            // Every station passed since the last moment.
            loop {
                let next = self.track.length() * (log.inward.len() + 1) as f64 / STATIONS as f64;
                if next > place[0] || log.inward.len() == STATIONS {
                    break;
                }
                let share = (next - before[0]) / (place[0] - before[0]);
                let inward = before[1] + share * (place[1] - before[1]);
                log.inward.push(inward);
                if log.inward.len() == STATIONS {
                    log.end = Some((
                        time + share * (here.0 - time),
                        speed + share * (here.2 - speed),
                    ));
                }
            }
        }
        log.last = Some(here);
        if place[1].abs() > self.settings.half_width + LOST_MARGIN {
            return Some(Outcome::LeftPath {
                deviation: self.track.side * place[1],
            });
        }
        log.end.map(|_| Outcome::Completed)
    }

    fn result(&self, _: &ExitDesign, log: &ExitLog, drive: &Drive<JOINT>) -> ExitDrive {
        let (time, speed) = log.end.unwrap_or((f64::NAN, f64::NAN));
        ExitDrive {
            inward: log.inward.clone(),
            sideslip: log.sideslip.max(LEAST_SIDESLIP),
            time,
            speed,
            ending: ending_of(drive, log.end.is_some()),
        }
    }

    #[expect(clippy::float_cmp, reason = "the same bits are meant")]
    fn other_common_station(&self, a: &ExitDesign, b: &ExitDesign) -> Option<f64> {
        Some(if a.throttle == b.throttle {
            f64::INFINITY
        } else {
            a.throttle.min(b.throttle)
        })
    }
}

impl TrajectoryObjective for ExitTrial<'_> {
    fn design(&self, unknowns: &DVector<f64>) -> ExitDesign {
        ExitDesign::of(unknowns)
    }

    fn ending(result: &ExitDrive) -> Ending {
        result.ending
    }

    /// Time, as a distance; the track's edges on both sides `[m]`, the sideslip guard, and the
    /// throttle's station between the start and the end of the track.
    fn evaluate(&self, design: &ExitDesign, result: &ExitDrive) -> TrajectoryScore {
        let half_width = self.settings.half_width;
        let mut constraints: Vec<f64> = result
            .inward
            .iter()
            .flat_map(|d| [half_width - d, half_width + d])
            .collect();
        let guard = lone::ln(self.settings.sideslip_guard / result.sideslip);
        constraints.push(GUARD_SCALE * guard);
        constraints.push(THROTTLE_SCALE * design.throttle);
        constraints.push(THROTTLE_SCALE * (self.track.length() - design.throttle));
        TrajectoryScore {
            objective: -PACE * result.time,
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

    /// Neighbors driven side by side from checkpoints are the drives from the start, to rounding.
    /// The control: every unknown moves something.
    #[test]
    fn law_neighbors_side_by_side() {
        let settings = CornerExit::default();
        for name in BOTH {
            let car = model(name);
            let trial = ExitTrial::new(&car, &settings).unwrap();
            let steering = |i: usize| -0.12 * i as f64;
            let base = ExitDesign {
                throttle: 30.0,
                steering: (0..settings.coefficients).map(steering).collect(),
            };
            let never = Interrupt::never();
            let drive = |design: &ExitDesign| {
                drive_design(&trial, design, Recorder::of(&[]), never).unwrap()
            };
            let here = drive(&base);
            let (base_drive, here) = (here.base, here.result);
            assert!(here.ending.outcome.is_completed(), "{}", here.ending);
            let neighbors: Vec<ExitDesign> = (0..=base.steering.len())
                .map(|i| {
                    let mut near = base.clone();
                    match i {
                        0 => near.throttle += 0.1,
                        _ => near.steering[i - 1] += 0.01,
                    }
                    near
                })
                .collect();
            let near = drive_neighbors(&trial, (&base, &base_drive), &neighbors, never).unwrap();
            assert_eq!(near.len(), neighbors.len());
            for (i, (near, design)) in near.iter().zip(&neighbors).enumerate() {
                let alone = drive(design).result;
                assert_eq!(near.ending.outcome, alone.ending.outcome);
                close("time", near.time, alone.time, 1e-9);
                for (x, y) in near.inward.iter().zip(&alone.inward) {
                    close("inward", *x, *y, 1e-8);
                }
                let moved = near.inward.iter().zip(&here.inward);
                let moved = moved.map(|(x, y)| (x - y).abs()).fold(0.0, f64::max);
                assert!(moved > 1e-6, "{name}, {i}");
            }
        }
    }
}
