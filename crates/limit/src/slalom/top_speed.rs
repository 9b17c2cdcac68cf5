//! The fastest rhythm of a car, and the best one at a speed.

use std::f64::consts::PI;

use axletree_vehicle::Linearization;
use axletree_vehicle::Model;
use axletree_vehicle::model::layout::SPIN;

use super::course::{Course, Learned, STRENGTHS, gains};
use super::orbit::{Lap, Period};
use super::plant::{Plant, State};
use super::result::{CourseRun, Driver, TopSpeed};
use super::search::{Aim, Found, Stuck, approach, search};
use super::sensitivity::Sensitivity;
use super::settings::Slalom;
use super::start::{amplitude, grip, linear, linear_start};
use super::summary::{limit, record, summarize};
use axletree_numerics::interrupt::Interrupt;
use axletree_simulation::error::ManeuverError;
use axletree_simulation::outcome::{Ending, Outcome};
use axletree_simulation::trace::Recorder;

/// Shares of the grip's speed that the search tries to start from.
const STARTS: [f64; 4] = [0.85, 0.7, 0.55, 0.4];
/// Closure of the start, and of the orbit that is kept.
const TIGHT: f64 = 1e-6;
/// Clearance that may be missing for the orbit to count as clean [m].
const MISSING: f64 = 1e-3;
/// Share of the driveline's bound that straight running may take where the search starts [-].
const EASY: f64 = 0.6;
/// How far cones may be cut on the way to a speed that is asked for, one after the other [m].
const CUTS: [f64; 4] = [-1.0, 0.0, 0.2, 0.8];
/// Shares of the usual start from which a search that failed is made again.
const SLOWER: [f64; 2] = [0.93, 0.86];
/// A recorded sample of the course every so many steps.
const EVERY: usize = 2;

/// A speed asked for counts as reached from here; the rest is made up with the clearance [m/s].
const NEARLY: f64 = 0.02;
/// More than any car does [m/s].
const ANY_SPEED: f64 = 1e3;

/// A start that closed.
struct Started<'a> {
    period: Period<'a>,
    closed: (Lap, Sensitivity),
}

impl Slalom {
    /// The highest speed that this car can keep up in rhythm with every cone cleared, the steering
    /// found for this car; then the real course, driven at that speed.
    pub fn top_speed(
        &self,
        model: &Model,
        interrupt: Interrupt<'_>,
    ) -> Result<TopSpeed, ManeuverError> {
        self.faults()?;
        Ok(self.solve(model, None, true, interrupt))
    }

    /// At one speed [m/s]: the rhythm of largest least clearance, and the real course driven with it.
    pub fn at_speed(
        &self,
        model: &Model,
        speed: f64,
        interrupt: Interrupt<'_>,
    ) -> Result<TopSpeed, ManeuverError> {
        let speed_fault = axletree_simulation::error::within(
            super::settings::NAME,
            "speed",
            speed,
            (1.0, 100.0),
            "m/s",
        )
        .err();
        let own = match self.faults() {
            Ok(()) => vec![],
            Err(ManeuverError::Several(faults)) => faults,
            Err(fault) => vec![fault],
        };
        ManeuverError::all(own.into_iter().chain(speed_fault).collect())?;
        Ok(self.solve(model, Some(speed), true, interrupt))
    }

    /// The search, and the course where it is wanted. A search can end where no step helps although the cones
    /// can be cleared: it is then made again from a slower start.
    pub(super) fn solve(
        &self,
        model: &Model,
        speed: Option<f64>,
        course: bool,
        interrupt: Interrupt<'_>,
    ) -> TopSpeed {
        let mut top = self.attempt(model, speed, 1.0, course, interrupt);
        for slower in SLOWER {
            if speed.is_some() || top.speed.is_finite() || interrupt.stopped() {
                break;
            }
            let again = self.attempt(model, speed, slower, course, interrupt);
            let periods = top.periods + again.periods;
            if again.speed.is_finite() {
                top = again;
            }
            top.periods = periods;
        }
        top
    }

    /// One search from a share of the usual start.
    fn attempt(
        &self,
        model: &Model,
        speed: Option<f64>,
        slower: f64,
        course: bool,
        interrupt: Interrupt<'_>,
    ) -> TopSpeed {
        let failed = |outcome: Outcome, periods: usize| {
            TopSpeed::failed(Ending { outcome, time: 0.0 }, periods)
        };
        let mut started = match self.start(model, speed, slower, interrupt) {
            Ok(started) => started,
            Err(outcome) => return failed(outcome, 0),
        };
        interrupt.tell(0.1);
        let found = match speed {
            None => search(
                &started.period,
                Aim::Speed(ANY_SPEED),
                started.closed,
                interrupt,
            ),
            Some(speed) => hold(&mut started.period, speed, started.closed, interrupt),
        };
        let period = &started.period;
        let found = match found {
            Ok(found) => tighten(period, found),
            Err(Stuck::Interrupted) => return failed(Outcome::Interrupted, period.runs.get()),
            Err(Stuck::Open { passes, open, .. }) => {
                return failed(
                    Outcome::NotConverged {
                        passes,
                        residual: open,
                    },
                    period.runs.get(),
                );
            }
            Err(Stuck::TooFast { reached }) => {
                return failed(
                    Outcome::NotConverged {
                        passes: CUTS.len(),
                        residual: speed.unwrap_or(reached) - reached,
                    },
                    period.runs.get(),
                );
            }
        };
        interrupt.tell(0.7);
        let mut top = self.report(period, &found, course, interrupt);
        if let Some(speed) = speed {
            // Not to the last digit of the search's own units.
            top.speed = speed;
        }
        top
    }

    /// The first orbit: at a share of what the tires' grip allows, less where the car is weak.
    fn start<'a>(
        &self,
        model: &'a Model,
        speed: Option<f64>,
        slower: f64,
        interrupt: Interrupt<'_>,
    ) -> Result<Started<'a>, Outcome> {
        let plant = Plant::new(model, self);
        let by_grip =
            self.spacing / PI * (grip(&plant, self.friction) / amplitude(&plant, self)).sqrt();
        let mut stuck = Outcome::NotConverged {
            passes: 0,
            residual: f64::NAN,
        };
        for share in STARTS {
            if interrupt.stopped() {
                return Err(Outcome::Interrupted);
            }
            let wanted = (slower * share * by_grip)
                .min(speed.unwrap_or(f64::INFINITY))
                .max(1.0);
            let lin = match self.affordable(&plant, wanted) {
                Ok(lin) => lin,
                Err(outcome) => {
                    stuck = outcome;
                    continue;
                }
            };
            let Some(start) = linear_start(&plant, self, &lin, self.harmonics) else {
                continue;
            };
            let step = plant.step(self.step) * start.design.speed;
            let period = Period::new(plant.clone(), self, self.harmonics, step);
            match approach(&period, &start, 1e-4) {
                Ok(closed) => return Ok(Started { period, closed }),
                Err(Stuck::Interrupted) => return Err(Outcome::Interrupted),
                Err(Stuck::TooFast { .. }) => {}
                Err(Stuck::Open { passes, open, .. }) => {
                    stuck = Outcome::NotConverged {
                        passes,
                        residual: open,
                    };
                }
            }
        }
        Err(stuck)
    }

    /// Straight running at the speed or at the highest one below that leaves the driveline room.
    fn affordable(&self, plant: &Plant, wanted: f64) -> Result<Linearization, Outcome> {
        let driveline = &plant.model.numbers.chassis.driveline;
        let mut speed = wanted;
        let mut outcome = Outcome::NoSteadyState {
            speed,
            lateral_acceleration: 0.0,
        };
        for _ in 0..20 {
            let Some(lin) = linear(plant, self, speed) else {
                return Err(outcome);
            };
            let omega = 0.5 * (lin.trim.state[SPIN + 2] + lin.trim.state[SPIN + 3]);
            let most = driveline
                .peak_torque
                .min(driveline.peak_power / omega.max(1.0));
            let missing = lin.trim.inputs.drive_torque - EASY * most;
            if missing <= 0.0 {
                return Ok(lin);
            }
            outcome = Outcome::NotEnoughPower {
                speed,
                missing_torque: lin.trim.inputs.drive_torque - most,
            };
            speed *= 0.85;
            if speed < 1.0 {
                break;
            }
        }
        Err(outcome)
    }

    /// What is told of a rhythm.
    fn report(
        &self,
        period: &Period,
        found: &Found,
        course: bool,
        interrupt: Interrupt<'_>,
    ) -> TopSpeed {
        let lap = &found.lap;
        let speed = lap.design.speed;
        let periods = period.runs.get();
        let Some((rhythm, orbit)) = summarize(period, found) else {
            let outcome = Outcome::NotConverged {
                passes: found.steps,
                residual: lap.open,
            };
            return TopSpeed::failed(Ending { outcome, time: 0.0 }, periods);
        };
        let missing = rhythm.margins[0].min(rhythm.margins[1]) - self.clearance_reserve;
        let outcome = match found.aim {
            // No speed clears the cones: the best found is reported, but it is no top speed.
            Aim::Speed(_) if missing + self.clearance_reserve < -MISSING => Outcome::ConeHit {
                number: 1 + usize::from(rhythm.margins[1] < rhythm.margins[0]),
                clearance: rhythm.margins[0].min(rhythm.margins[1]),
            },
            Aim::Speed(_) if missing < -MISSING => Outcome::NotConverged {
                passes: found.steps,
                residual: -missing,
            },
            Aim::Speed(_) if !found.confirmed => Outcome::NotConverged {
                passes: found.steps,
                residual: found.last_gain,
            },
            Aim::Clearance(_) if missing + self.clearance_reserve < 0.0 => Outcome::ConeHit {
                number: 1 + usize::from(rhythm.margins[1] < rhythm.margins[0]),
                clearance: rhythm.margins[0].min(rhythm.margins[1]),
            },
            _ => Outcome::Completed,
        };
        let mut top = TopSpeed {
            ending: Ending {
                outcome,
                time: lap.end[super::plant::TIME],
            },
            speed: if outcome.is_completed() || matches!(found.aim, Aim::Clearance(_)) {
                speed
            } else {
                f64::NAN
            },
            limited_by: Some(limit(self, &rhythm)),
            driver: None,
            rhythm: Some(rhythm),
            orbit,
            run: None,
            periods,
        };
        if course {
            self.drive(period, lap, &mut top, interrupt);
        } else {
            top.driver = Some(driver(period, lap, f64::NAN, [0.0; 5]));
        }
        interrupt.tell(1.0);
        top
    }

    /// Drives the real course with every strength and keeps the best.
    fn drive(&self, period: &Period, lap: &Lap, top: &mut TopSpeed, interrupt: Interrupt<'_>) {
        let speed = lap.design.speed;
        top.driver = Some(driver(period, lap, f64::NAN, [0.0; 5]));
        let (Some(learned), Some(lin)) = (
            Learned::new(period, lap),
            linear(&period.plant, self, speed),
        ) else {
            return;
        };
        let course = Course::new(period, &learned, &lin);
        let Some(lead) = course.approach(interrupt) else {
            return;
        };
        let hands: Vec<(f64, [f64; 5])> = STRENGTHS
            .into_iter()
            .filter_map(|strength| {
                let k = gains(period, &lin, self.neuromuscular_lag, strength)?;
                Some((strength, k))
            })
            .collect();
        let gains: Vec<[f64; 5]> = hands.iter().map(|(_, k)| *k).collect();
        let mut points: Vec<Vec<(State, f64)>> = hands.iter().map(|_| Vec::new()).collect();
        let mut seen_so_far = vec![0; hands.len()];
        let driven = course.drive(&lead, &gains, self.cones, interrupt, &mut |hand, seen| {
            if usize::is_multiple_of(seen_so_far[hand], EVERY) {
                points[hand].push((seen.state.all(), seen.wanted));
            }
            seen_so_far[hand] += 1;
        });
        // The first of the best.
        let mut best: Option<usize> = None;
        for (i, one) in driven.iter().enumerate() {
            if best.is_none_or(|b| one.least() > driven[b].least()) {
                best = Some(i);
            }
        }
        let Some(best) = best else { return };
        let mut recorder = Recorder::everything();
        for (state, wanted) in &points[best] {
            record(period, &mut recorder, state, speed, *wanted);
        }
        let (strength, k) = hands[best];
        top.driver = Some(driver(period, lap, strength, k));
        top.run = Some(CourseRun::of(&driven[best], lead.miss, recorder.finish()));
    }
}

fn driver(period: &Period, lap: &Lap, feedback: f64, gains: [f64; 5]) -> Driver {
    Driver {
        speed: lap.design.speed,
        steering: period.steering(lap),
        offset: lap.design.offset,
        feedback,
        gains,
    }
}

/// Closes the orbit that is kept as well as the numbers allow.
fn tighten(period: &Period, mut found: Found) -> Found {
    let lap = &found.lap;
    if let Some(closed) = period.close(
        period.improved(lap, &found.sensitivity),
        &found.sensitivity,
        TIGHT,
        12,
    ) && closed.open < found.lap.open
    {
        found.lap = closed;
    }
    found
}

/// The rhythm of largest least clearance at a speed, reached from a closed orbit at that speed or
/// below. Where the cones do not allow the speed, they are allowed to be cut until it is reached.
fn hold(
    period: &mut Period,
    speed: f64,
    closed: (Lap, Sensitivity),
    interrupt: Interrupt<'_>,
) -> Result<Found, Stuck> {
    let reserve = period.reserve;
    let mut at = closed;
    for cut in CUTS {
        if at.0.design.speed > speed - NEARLY {
            break;
        }
        period.reserve = reserve.min(-cut);
        let found = search(period, Aim::Speed(speed), at, interrupt)?;
        at = (found.lap, found.sensitivity);
    }
    period.reserve = reserve;
    if at.0.design.speed < speed - NEARLY {
        return Err(Stuck::TooFast {
            reached: at.0.design.speed,
        });
    }
    search(period, Aim::Clearance(speed), at, interrupt)
}
