//! The drives of the launch, gear after gear.

use axletree_numerics::interrupt::Interrupt;
use axletree_simulation::channels::Channel;
use axletree_simulation::drive::{Validity, join_states, split_states};
use axletree_simulation::driver::speed_of;
use axletree_simulation::{Ending, ManeuverError, Outcome, Recorder};
use axletree_vehicle::Model;
use axletree_vehicle::model::layout::{ENGINE, POSITION, STATES, THROTTLE};

use super::results::{CHANNELS, LaunchFindings, METRICS};
use super::settings::{Launch, NAME};
use super::throttle::{LaunchDriver, OWN};
use crate::drive_maneuver::{DriveManeuver, Performed, Recorded};
use crate::measured_by::MeasuredBy;
use crate::side_by_side::{self, DrivenCar, Integration, PreparedCar};

/// Time after which a launch is given up `[s]`.
const LONGEST: f64 = 60.0;

/// States of car and driver.
const JOINT: usize = STATES + OWN;

/// A car between two gears.
struct LaunchingCar {
    /// Its place in the batch.
    place: usize,
    state: [f64; JOINT],
    time: f64,
    /// Time at which the first gear ended; not a number in it `[s]`.
    first_gear: f64,
    recorder: Recorder,
}

impl Launch {
    /// At rest, the engine turning with the clutch open.
    fn at_rest(&self, model: &Model) -> [f64; STATES] {
        let mut car = model.rolling_state(0.0);
        let engine = &model.numbers.chassis.driveline.engine;
        car[ENGINE] = self.engine_speed;
        let (closed, open) = (
            engine.drag_torque(self.engine_speed),
            engine.full_torque(self.engine_speed),
        );
        car[THROTTLE] = (-closed / (open - closed)).clamp(0.0, 1.0);
        car
    }

    /// A car at the start of a gear, counted from 1.
    fn start<'m>(
        &self,
        model: &'m Model,
        car: &mut LaunchingCar,
        gear: usize,
    ) -> PreparedCar<'m, LaunchDriver<'m>, JOINT> {
        let time = car.time;
        let open_until = if gear == 1 {
            0.0
        } else {
            time + self.shift_time
        };
        PreparedCar {
            model,
            road: None,
            controls: LaunchDriver::new(model, self, gear, open_until, open_until),
            start: car.state,
            breaks: vec![time, time.max(open_until), time.max(LONGEST) + 1.0],
            integration: Integration {
                step: self.step,
                integrator: self.integrator,
            },
            sample_every: 1,
            recorder: std::mem::replace(&mut car.recorder, Recorder::of(&[])),
        }
    }

    /// Takes over a driven car at the end of a gear; the ending of the launch where no gear
    /// follows.
    fn end_of_gear(
        &self,
        car: &mut LaunchingCar,
        driven: DrivenCar<LaunchDriver<'_>, JOINT>,
    ) -> Option<Ending> {
        car.state = driven.drive.state;
        car.recorder = driven.recorder;
        let mut ending = driven.drive.ending;
        car.time = ending.time;
        if car.first_gear.is_nan() {
            car.first_gear = car.time;
        }
        if ending.outcome.is_completed() && car.state[POSITION] < self.distance {
            if car.time < LONGEST {
                return None;
            }
            ending.outcome = Outcome::Stopped {
                speed: speed_of(split_states::<OWN, JOINT>(&car.state).0),
            };
        }
        Some(ending)
    }

    /// The launch of a car that ended.
    fn performed(&self, car: LaunchingCar, ending: Ending) -> Performed<LaunchFindings> {
        Performed {
            ending,
            trace: car.recorder.finish(),
            found: Some(LaunchFindings {
                distance: self.distance,
                completed: ending.outcome.is_completed(),
                first_gear: car.first_gear,
            }),
        }
    }

    /// Drives every car, gear after gear.
    fn drive(
        &self,
        models: &[&Model],
        recorder: &dyn Fn() -> Recorder,
        interrupt: Interrupt<'_>,
    ) -> Vec<Performed<LaunchFindings>> {
        let validity = Validity {
            sideslip: f64::INFINITY,
            speed: -1.0,
            lift: 0.25,
            ..Validity::default()
        };
        let mut all: Vec<_> = models.iter().map(|_| None).collect();
        let mut under_way: Vec<LaunchingCar> = (0..)
            .zip(models)
            .map(|(place, model)| LaunchingCar {
                place,
                state: join_states(&self.at_rest(model), &[0.0; OWN]),
                time: 0.0,
                first_gear: f64::NAN,
                recorder: recorder(),
            })
            .collect();
        let mut gear = 1;
        while !under_way.is_empty() {
            let start = under_way
                .iter_mut()
                .map(|car| self.start(models[car.place], car, gear))
                .collect();
            let driven = side_by_side::drive_all(start, &validity, interrupt);
            let mut onward = Vec::new();
            for (mut car, driven) in under_way.into_iter().zip(driven) {
                match self.end_of_gear(&mut car, driven) {
                    None => onward.push(car),
                    Some(ending) => {
                        let place = car.place;
                        all[place] = Some(self.performed(car, ending));
                    }
                }
            }
            under_way = onward;
            gear += 1;
        }
        all.into_iter().flatten().collect()
    }
}

impl DriveManeuver for Launch {
    type Found = LaunchFindings;
    const NAME: &'static str = NAME;
    const CHANNELS: &'static [&'static Channel] = CHANNELS;
    const METRICS: &'static [MeasuredBy<Recorded<LaunchFindings>>] = METRICS;

    fn check(&self) -> Result<(), ManeuverError> {
        self.checked()
    }

    fn perform(
        &self,
        models: &[&Model],
        recorder: &dyn Fn() -> Recorder,
        interrupt: Interrupt<'_>,
    ) -> Vec<Performed<LaunchFindings>> {
        // An engine that would stall, or turn beyond its limit, starts no launch.
        let can = |model: &&Model| {
            let engine = &model.numbers.chassis.driveline.engine;
            (engine.idle..engine.limit).contains(&self.engine_speed)
        };
        let able: Vec<&Model> = models.iter().copied().filter(can).collect();
        let mut driven = self.drive(&able, recorder, interrupt).into_iter();
        let one = |model: &&Model| {
            let driven = can(model).then(|| driven.next()).flatten();
            driven.unwrap_or_else(|| {
                Performed::could_not_start(Outcome::WrongGear {
                    gear: 1,
                    engine_speed: self.engine_speed,
                })
            })
        };
        models.iter().map(one).collect()
    }
}
