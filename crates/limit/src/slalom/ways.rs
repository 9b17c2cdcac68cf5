//! Several ways of one car along the course, side by side.
//!
//! All ways have the same grid; start, speed and steering are each way's own. As many go at once as the
//! machine has lanes, and each computes the same bits as alone. The fourth-order method of
//! [`axletree_numerics::stepping::lagged`] in X: a lag tau of the car is one of `tau V` along the course, with V the speed
//! asked for; where the car is a little slower or faster, the difference is left to the method's stages.

use std::ops::ControlFlow;

use axletree_scalar::lanes::{Task, dispatch_any};
use axletree_scalar::{LANES, Lanes, Row};
use axletree_vehicle::model::layout::{Inputs, STATES};

use super::plant::{
    CRUISE, Felt, HANDS, LEAST_PROGRESS, LENGTH, Motion, Plant, State, TIME, along,
};
use axletree_numerics::stepping::Weights;
use axletree_numerics::stepping::rows::{Rows, Stage, lane, load, save};
use axletree_simulation::drive::LAGS;

/// A state among others.
#[derive(Clone, Copy)]
pub struct Point<'r> {
    rows: &'r [Row; LENGTH],
    lane: usize,
}

impl Point<'_> {
    /// One state's value.
    #[inline(always)]
    pub fn at(&self, state: usize) -> f64 {
        self.rows[state][self.lane]
    }

    /// All of them.
    pub fn all(&self) -> State {
        lane(self.rows, self.lane)
    }
}

/// What is seen at a point of the grid.
pub struct Seen<'r> {
    /// The state.
    pub state: Point<'r>,
    /// Its rate along the course [per m].
    pub rate: Point<'r>,
    /// Sine and cosine of the heading.
    pub heading: (f64, f64),
    /// Tangent of the sideslip angle [-].
    pub slip: f64,
    /// Torque asked for over its bound [-].
    pub throttle: f64,
    /// Steering-wheel angle wanted [rad].
    pub wanted: f64,
}

/// One way.
pub struct Way<'w> {
    /// State at the start.
    pub start: State,
    /// Speed asked for [m/s].
    pub speed: f64,
    /// The steering-wheel angle wanted at a half step's number and a state [rad].
    pub wanted: &'w dyn Fn(usize, &Point<'_>) -> f64,
    /// Sees every point of the grid with its number and may break off.
    pub each: &'w mut dyn FnMut(usize, &Seen<'_>) -> ControlFlow<()>,
}

/// What the driver wants and does, a row over the ways for each quantity.
struct Driving {
    speed: Row,
    wanted: Row,
    inputs: Inputs<Row>,
    heading: [Row; 2],
    progress: Row,
    slip: Row,
    throttle: Row,
    /// Zero where every state is finite.
    finite: Row,
}

impl Plant<'_> {
    /// Runs every way along the course in steps of `step` [m], `steps` of them; the states at the ends. None
    /// for a way that breaks off or whose car stops going forward.
    pub fn run(&self, ways: &mut [Way<'_>], step: f64, steps: usize) -> Vec<Option<State>> {
        ways.chunks_mut(LANES)
            .flat_map(|some| self.run_some(some, step, steps))
            .collect()
    }

    fn run_some(&self, ways: &mut [Way<'_>], step: f64, steps: usize) -> Vec<Option<State>> {
        let mut rows = Rows::<LENGTH>::new();
        let mut live = [false; LANES];
        let row = [0.0; LANES];
        let mut driving = Driving {
            speed: row,
            wanted: row,
            inputs: Inputs::coasting().map(|x: &f64| [*x; LANES]),
            heading: [row; 2],
            progress: row,
            slip: row,
            throttle: row,
            finite: row,
        };
        driving.inputs.friction = [self.friction(); LANES];
        let lag = self.model.numbers.chassis.lag;
        // Lanes without a way repeat the first.
        for i in 0..LANES {
            let Some(way) = ways.get(i).or(ways.first()) else {
                return Vec::new();
            };
            live[i] = i < ways.len();
            driving.speed[i] = way.speed;
            rows.put_state(i, &way.start);
            rows.put_weights(i, &Weights::new(step, lag * way.speed));
        }
        for i in 0..=steps {
            self.look(&mut rows, &mut driving, ways, live, 2 * i, 0);
            for (number, way) in ways.iter_mut().enumerate() {
                if !live[number] {
                    continue;
                }
                let seen = Seen {
                    state: Point {
                        rows: &rows.x,
                        lane: number,
                    },
                    rate: Point {
                        rows: &rows.k[0],
                        lane: number,
                    },
                    heading: (driving.heading[0][number], driving.heading[1][number]),
                    slip: driving.slip[number],
                    throttle: driving.throttle[number],
                    wanted: driving.wanted[number],
                };
                let forward = driving.progress[number] > LEAST_PROGRESS;
                live[number] =
                    forward && driving.finite[number] == 0.0 && (way.each)(i, &seen).is_continue();
            }
            if i == steps || !live.contains(&true) {
                break;
            }
            for (number, stage) in [(1, Stage::A), (2, Stage::B), (3, Stage::C)] {
                rows.advance(stage, &LAGS);
                let half = if number == 3 { 2 } else { 1 };
                self.look(&mut rows, &mut driving, ways, live, 2 * i + half, number);
            }
            rows.advance(Stage::End, &LAGS);
        }
        (0..ways.len())
            .map(|i| live[i].then(|| lane(&rows.x, i)))
            .collect()
    }

    /// Rates along the course at the start of the step (stage 0) or at one of its stages.
    fn look(
        &self,
        rows: &mut Rows<LENGTH>,
        driving: &mut Driving,
        ways: &[Way<'_>],
        live: [bool; LANES],
        half: usize,
        stage: usize,
    ) {
        let Rows {
            x,
            stage: stages,
            k,
            ..
        } = rows;
        let state = if stage == 0 { &*x } else { &stages[stage - 1] };
        let rate = &mut k[stage];
        for (lane, way) in ways.iter().enumerate() {
            if live[lane] {
                driving.wanted[lane] = (way.wanted)(half, &Point { rows: state, lane });
            }
        }
        dispatch_any(Decide {
            plant: self,
            state,
            driving: &mut *driving,
            rate: &mut *rate,
            watch: stage == 0,
        });
        let mut loads = [[0.0; LANES]; 4];
        if let (Some(car), Some(of_car)) = (
            state.first_chunk::<STATES>(),
            rate.first_chunk_mut::<STATES>(),
        ) {
            self.batch()
                .rate(car, &driving.inputs, &live, of_car, &mut loads);
        }
        dispatch_any(Along { rate });
    }
}

/// What the driver does in every lane, and at the points of the grid what is watched.
struct Decide<'a, 'p> {
    plant: &'a Plant<'p>,
    state: &'a [Row; LENGTH],
    driving: &'a mut Driving,
    rate: &'a mut [Row; LENGTH],
    watch: bool,
}

impl Task for Decide<'_, '_> {
    type Out = ();

    #[inline(always)]
    fn run<T: Lanes>(self) {
        let (plant, state, driving, rate) = (self.plant, self.state, self.driving, self.rate);
        let mut first = 0;
        while first < LANES {
            let own = load::<T, LENGTH>(state, first);
            let speed = T::load(&driving.speed[first..]);
            let wanted = T::load(&driving.wanted[first..]);
            let does = plant.does(&Felt::of(&own), speed, wanted);
            own[HANDS].store(&mut driving.inputs.steering_wheel[first..]);
            does.hand_rate
                .store(&mut driving.inputs.steering_wheel_rate[first..]);
            does.torque.store(&mut driving.inputs.drive_torque[first..]);
            does.hand_rate.store(&mut rate[HANDS][first..]);
            does.missing.store(&mut rate[CRUISE][first..]);
            T::one().store(&mut rate[TIME][first..]);
            if self.watch {
                let motion = Motion::of(&own);
                motion.heading.0.store(&mut driving.heading[0][first..]);
                motion.heading.1.store(&mut driving.heading[1][first..]);
                motion.velocity[0].store(&mut driving.progress[first..]);
                motion.slip.store(&mut driving.slip[first..]);
                does.throttle.store(&mut driving.throttle[first..]);
                let mut finite = T::zero();
                for i in 0..LENGTH {
                    finite += own[i] * T::zero();
                }
                finite.store(&mut driving.finite[first..]);
            }
            first += T::WIDTH;
        }
    }
}

/// Rates in time to rates along the course.
struct Along<'a> {
    rate: &'a mut [Row; LENGTH],
}

impl Task for Along<'_> {
    type Out = ();

    #[inline(always)]
    fn run<T: Lanes>(self) {
        let mut first = 0;
        while first < LANES {
            let own = along(&load::<T, LENGTH>(self.rate, first));
            save(&own, self.rate, first);
            first += T::WIDTH;
        }
    }
}
