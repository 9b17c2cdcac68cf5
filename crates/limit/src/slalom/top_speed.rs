//! Top speed of a car, or its best orbit at a prescribed speed: search, summary, real course.

use axletree_numerics::interrupt::Interrupt;
use axletree_simulation::{Ending, Gap, ManeuverError, Outcome, Recorder};
use axletree_vehicle::Model;

use super::course::{
    CourseApproach, DrivenCourse, FEEDBACK_STRENGTHS, LearnedOrbit, drive_course, feedback_gains,
};
use super::period::{GridPoint, Lap, Period, PlantState, TIME, record, summarize};
use super::result::{CourseRun, OrbitSummary, SlalomDriver, SlalomLimit, TopSpeed};
use super::search::{
    FoundOrbit, SearchAim, SearchError, StartedSearch, first_orbit, search, widest_at_speed,
};
use super::settings::Slalom;

/// Shares of the usual start speed, tried in order after a search that failed `[-]`.
const RETRY_SPEED_FACTORS: [f64; 2] = [0.93, 0.86];
/// Gap to which the orbit that is kept is closed `[largest unit of the slow states]`, and passes.
const FINAL_GAP: f64 = 1e-6;
const FINAL_PASSES: usize = 12;
/// Clearance that may be missing for an orbit to keep it `[m]`.
const CLEARANCE_TOLERANCE: f64 = 1e-3;
/// Bound of the speed where none is prescribed `[m/s]`: more than any car reaches.
const UNBOUNDED_SPEED: f64 = 1e3;
/// A recorded sample of the course every so many steps.
const SAMPLE_STRIDE: usize = 2;
/// Share of a soft bound from which it counts as reached `[-]`.
const REACHED_SHARE: f64 = 0.85;
/// Multiplier from which a constraint limits the speed `[1/s]`.
const ACTIVE_MULTIPLIER: f64 = 0.05;

/// Share of the work done when the first orbit is found, and when the search is done `[-]`.
const STARTED_PROGRESS: f64 = 0.1;
const SEARCHED_PROGRESS: f64 = 0.7;

impl Slalom {
    /// Highest speed that a car can keep up in rhythm with every cone cleared, the steering
    /// optimized for the car; then the real course, driven at that speed.
    ///
    /// # Errors
    /// [`ManeuverError`] where settings are out of range. A search without success is no error:
    /// [`TopSpeed::ending`] says why it ended.
    ///
    /// ```
    /// use axletree_limit::Slalom;
    /// use axletree_numerics::Interrupt;
    /// use axletree_vehicle::bundled;
    ///
    /// let model = bundled("bramble-solid").unwrap()?.assemble()?;
    /// // A search takes seconds; this one is cancelled at once.
    /// let cancel = || true;
    /// let top = Slalom::default().top_speed(&model, Interrupt::when(&cancel))?;
    /// assert_eq!(top.ending.outcome.name(), "interrupted");
    /// assert!(top.speed.is_nan());
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn top_speed(
        &self,
        model: &Model,
        interrupt: Interrupt<'_>,
    ) -> Result<TopSpeed, ManeuverError> {
        self.faults()?;
        Ok(self.solve(model, None, true, interrupt))
    }

    /// Orbit of largest least clearance at a speed `[m/s]`, and the real course driven with its
    /// steering.
    ///
    /// # Errors
    /// [`ManeuverError`] where settings or speed are out of range.
    pub fn at_speed(
        &self,
        model: &Model,
        speed: f64,
        interrupt: Interrupt<'_>,
    ) -> Result<TopSpeed, ManeuverError> {
        self.faults_at(speed)?;
        Ok(self.solve(model, Some(speed), true, interrupt))
    }

    /// Search, and the course where it is wanted. A search may end where no step helps although the
    /// cones can be cleared; it is then repeated from a slower start.
    pub(super) fn solve(
        &self,
        model: &Model,
        speed: Option<f64>,
        with_course: bool,
        interrupt: Interrupt<'_>,
    ) -> TopSpeed {
        let mut top = self.attempt(model, speed, 1.0, with_course, interrupt);
        for factor in RETRY_SPEED_FACTORS {
            if speed.is_some() || top.speed.is_finite() || interrupt.stopped() {
                break;
            }
            let again = self.attempt(model, speed, factor, with_course, interrupt);
            let periods = top.periods + again.periods;
            if again.speed.is_finite() {
                top = again;
            }
            top.periods = periods;
        }
        top
    }

    /// One search from the usual start speed times a factor.
    fn attempt(
        &self,
        model: &Model,
        speed: Option<f64>,
        speed_factor: f64,
        with_course: bool,
        interrupt: Interrupt<'_>,
    ) -> TopSpeed {
        let failed = |outcome: Outcome, periods: usize| {
            TopSpeed::failed(Ending { outcome, time: 0.0 }, periods)
        };
        let most_speed = speed.unwrap_or(f64::INFINITY);
        let started = first_orbit(self, model, most_speed, speed_factor, interrupt);
        let StartedSearch { mut period, closed } = match started {
            Ok(started) => started,
            Err(outcome) => return failed(outcome, 0),
        };
        interrupt.report(STARTED_PROGRESS);
        let found = match speed {
            None => search(
                &period,
                SearchAim::Speed(UNBOUNDED_SPEED),
                closed,
                interrupt,
            ),
            Some(speed) => widest_at_speed(&mut period, speed, closed, interrupt),
        };
        let found = match found {
            Ok(found) => closed_tightly(&period, found),
            Err(SearchError::Interrupted) => return failed(Outcome::Interrupted, period.runs()),
            Err(SearchError::TooFast {
                relaxations,
                reached,
            }) => {
                let outcome = Outcome::NotConverged {
                    passes: relaxations,
                    gap: Gap::Speed(speed.unwrap_or(reached) - reached),
                };
                return failed(outcome, period.runs());
            }
        };
        interrupt.report(SEARCHED_PROGRESS);
        let mut top = self.report(&period, &found, with_course, interrupt);
        if let Some(speed) = speed {
            // The prescribed number itself, without the rounding of the search's scales.
            top.speed = speed;
        }
        top
    }

    /// Result of a search, with the course where it is wanted.
    fn report(
        &self,
        period: &Period,
        found: &FoundOrbit,
        with_course: bool,
        interrupt: Interrupt<'_>,
    ) -> TopSpeed {
        let lap = &found.lap;
        let periods = period.runs();
        let Some((orbit, orbit_trace)) = summarize(period, lap, &found.multipliers) else {
            let outcome = Outcome::NotConverged {
                passes: found.steps,
                gap: Gap::Closure(lap.open),
            };
            return TopSpeed::failed(Ending { outcome, time: 0.0 }, periods);
        };
        let outcome = self.outcome(found, &orbit);
        let counts = outcome.is_completed() || matches!(found.aim, SearchAim::Clearance(_));
        let mut top = TopSpeed {
            ending: Ending {
                outcome,
                time: lap.end[TIME],
            },
            speed: if counts { lap.design.speed } else { f64::NAN },
            limited_by: Some(self.limit(&orbit)),
            driver: Some(driver_of(period, lap, f64::NAN, [0.0; 5])),
            orbit: Some(orbit),
            orbit_trace,
            run: None,
            periods,
        };
        if with_course {
            self.drive(period, lap, &mut top, interrupt);
        }
        interrupt.report(1.0);
        top
    }

    /// Outcome of a search.
    fn outcome(&self, found: &FoundOrbit, orbit: &OrbitSummary) -> Outcome {
        let [left, right] = orbit.margins;
        let clearance = left.min(right);
        let missing = clearance - self.clearance_reserve;
        let cone_hit = Outcome::ConeHit {
            number: 1 + usize::from(right < left),
            clearance,
        };
        let not_converged = |gap: Gap| Outcome::NotConverged {
            passes: found.steps,
            gap,
        };
        match found.aim {
            // No speed clears the cones: the best orbit is reported, but it is no top speed.
            SearchAim::Speed(_) if missing + self.clearance_reserve < -CLEARANCE_TOLERANCE => {
                cone_hit
            }
            SearchAim::Speed(_) if missing < -CLEARANCE_TOLERANCE => {
                not_converged(Gap::Clearance(clearance))
            }
            SearchAim::Speed(_) if !found.confirmed => not_converged(Gap::Gain(found.last_gain)),
            SearchAim::Clearance(_) if missing + self.clearance_reserve < 0.0 => cone_hit,
            _ => Outcome::Completed,
        }
    }

    /// Limiting condition of the speed.
    fn limit(&self, orbit: &OrbitSummary) -> SlalomLimit {
        let [_, _, sideslip, power] = orbit.multipliers;
        if orbit.steering_wheel_angle > REACHED_SHARE * self.steering_lock {
            SlalomLimit::SteeringLock
        } else if power > ACTIVE_MULTIPLIER {
            SlalomLimit::Power
        } else if sideslip > ACTIVE_MULTIPLIER {
            SlalomLimit::Sideslip
        } else if orbit.hand_rate > REACHED_SHARE * self.hand_rate {
            SlalomLimit::SteeringRate
        } else if orbit.least_load <= 0.0 {
            SlalomLimit::WheelLift
        } else {
            SlalomLimit::Cone
        }
    }

    /// Drives the real course with feedback of every strength and keeps the drive of largest least
    /// clearance, the first of equals.
    fn drive(&self, period: &Period, lap: &Lap, top: &mut TopSpeed, interrupt: Interrupt<'_>) {
        let speed = lap.design.speed;
        let (Some(learned), Some(lin)) =
            (LearnedOrbit::new(period, lap), period.plant.straight(speed))
        else {
            return;
        };
        let course = CourseApproach::new(period, &learned, &lin);
        let Some(approach) = course.find(interrupt) else {
            return;
        };
        let drivers: Vec<(f64, [f64; 5])> = FEEDBACK_STRENGTHS
            .into_iter()
            .filter_map(|strength| Some((strength, feedback_gains(period, &lin, strength)?)))
            .collect();
        let gains: Vec<[f64; 5]> = drivers.iter().map(|(_, k)| *k).collect();
        let mut samples: Vec<Vec<(PlantState, f64)>> = drivers.iter().map(|_| Vec::new()).collect();
        let mut points = vec![0_usize; drivers.len()];
        let mut observe = |number: usize, point: &GridPoint<'_>| {
            if points[number].is_multiple_of(SAMPLE_STRIDE) {
                samples[number].push((point.state.all(), point.wanted));
            }
            points[number] += 1;
        };
        let driven = drive_course(
            &course,
            &approach,
            &gains,
            self.cones,
            interrupt,
            &mut observe,
        );
        let mut best: Option<usize> = None;
        for (i, one) in driven.iter().enumerate() {
            let better =
                |b: usize| one.least_clearance() > DrivenCourse::least_clearance(&driven[b]);
            if best.is_none_or(better) {
                best = Some(i);
            }
        }
        let Some(best) = best else { return };
        let mut recorder = Recorder::everything();
        for (state, wanted) in &samples[best] {
            record(period, &mut recorder, state, speed, *wanted);
        }
        let (strength, k) = drivers[best];
        let driven = &driven[best];
        top.driver = Some(driver_of(period, lap, strength, k));
        top.run = Some(CourseRun {
            ending: Ending {
                outcome: driven.outcome,
                time: driven.time,
            },
            margins: driven.margins.clone(),
            miss: approach.miss,
            trace: recorder.finish(),
        });
    }
}

/// Driver of an orbit.
fn driver_of(period: &Period, lap: &Lap, feedback: f64, gains: [f64; 5]) -> SlalomDriver {
    SlalomDriver {
        speed: lap.design.speed,
        steering: period.steering(lap),
        offset: lap.design.offset,
        feedback,
        gains,
    }
}

/// Closes the orbit that is kept as well as the numbers allow.
fn closed_tightly(period: &Period, mut found: FoundOrbit) -> FoundOrbit {
    let start = period.improved(&found.lap, &found.sensitivity);
    let closed = period.close(start, &found.sensitivity, FINAL_GAP, FINAL_PASSES);
    if let Some(closed) = closed
        && closed.open < found.lap.open
    {
        found.lap = closed;
    }
    found
}
