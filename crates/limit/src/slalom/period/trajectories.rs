//! Batches of trajectories of one car along the course.
//!
//! All trajectories of a batch have the same grid; start, speed and steering are each one's own. As
//! many run side by side as the machine has lanes, and each computes the same bits as alone. The
//! method is the fourth-order one of [`axletree_numerics::stepping`] in X: a lag tau of the car is
//! one of `tau V` along the course, with V the commanded speed; where the car is a little slower or
//! faster, the difference is left to the method's stages.

use std::ops::ControlFlow;

use axletree_numerics::stepping::Weights;
use axletree_numerics::stepping::rows::{Rows, Stage, lane, load, save};
use axletree_scalar::{LANES, LaneRow, LaneTask, Lanes, dispatch_any};
use axletree_vehicle::model::layout::{Inputs, LAGS, STATES};

use super::plant::{
    CRUISE, CourseMotion, DriverInput, HANDS, LEAST_PROGRESS, LENGTH, Plant, PlantState, TIME,
    along,
};

/// State of one trajectory in a batch.
#[derive(Clone, Copy)]
pub(crate) struct StatePoint<'r> {
    rows: &'r [LaneRow; LENGTH],
    lane: usize,
}

impl StatePoint<'_> {
    /// Value of one state.
    #[inline(always)]
    pub fn at(&self, state: usize) -> f64 {
        self.rows[state][self.lane]
    }

    /// All states.
    pub fn all(&self) -> PlantState {
        lane(self.rows, self.lane)
    }
}

/// Quantities at a point of the grid.
pub(crate) struct GridPoint<'r> {
    /// State.
    pub state: StatePoint<'r>,
    /// Its rate along the course `[per m]`.
    pub rate: StatePoint<'r>,
    /// Sine and cosine of the heading.
    pub heading: (f64, f64),
    /// Tangent of the sideslip angle `[-]`.
    pub slip: f64,
    /// Torque commanded over its bound `[-]`.
    pub torque_ratio: f64,
    /// Steering-wheel angle wanted `[rad]`.
    pub wanted: f64,
}

/// One trajectory of a batch.
pub(crate) struct Trajectory<'w> {
    /// State at the start.
    pub start: PlantState,
    /// Speed wanted `[m/s]`.
    pub speed: f64,
    /// Steering-wheel angle wanted at the number of a half step and a state `[rad]`.
    pub wanted: &'w dyn Fn(usize, &StatePoint<'_>) -> f64,
    /// Observer of every point of the grid, with its number; it may break off.
    pub observer: &'w mut dyn FnMut(usize, &GridPoint<'_>) -> ControlFlow<()>,
}

/// Commands and motion of a batch, a row over the trajectories for each quantity.
struct BatchControls {
    speed: LaneRow,
    wanted: LaneRow,
    inputs: Inputs<LaneRow>,
    heading: [LaneRow; 2],
    progress: LaneRow,
    slip: LaneRow,
    torque_ratio: LaneRow,
    /// Zero where every state is finite.
    finite: LaneRow,
}

impl BatchControls {
    fn new(friction: f64) -> Self {
        let row = [0.0; LANES];
        let mut inputs = Inputs::coasting().map(|x: &f64| [*x; LANES]);
        inputs.friction = [friction; LANES];
        BatchControls {
            speed: row,
            wanted: row,
            inputs,
            heading: [row; 2],
            progress: row,
            slip: row,
            torque_ratio: row,
            finite: row,
        }
    }
}

/// Steps between two questions for an interruption: they take less than a millisecond.
const STEPS_BETWEEN_QUESTIONS: usize = 64;

impl Plant<'_> {
    /// Simulates every trajectory along the course in `steps` steps of a length `[m]`; returns the
    /// states at the ends, none for a trajectory that breaks off or whose car stops going forward,
    /// and none when interrupted.
    pub fn run_batch(
        &self,
        trajectories: &mut [Trajectory<'_>],
        step: f64,
        steps: usize,
    ) -> Vec<Option<PlantState>> {
        trajectories
            .chunks_mut(LANES)
            .flat_map(|group| self.run_lanes(group, step, steps))
            .collect()
    }

    /// Simulates at most as many trajectories as there are lanes.
    fn run_lanes(
        &self,
        trajectories: &mut [Trajectory<'_>],
        step: f64,
        steps: usize,
    ) -> Vec<Option<PlantState>> {
        let mut rows = Rows::<LENGTH>::new();
        let mut live = [false; LANES];
        let mut controls = BatchControls::new(self.friction());
        let lag = self.model.numbers.chassis.lag;
        // Lanes without a trajectory repeat the first.
        for i in 0..LANES {
            let Some(trajectory) = trajectories.get(i).or(trajectories.first()) else {
                return Vec::new();
            };
            live[i] = i < trajectories.len();
            controls.speed[i] = trajectory.speed;
            rows.put_state(i, &trajectory.start);
            rows.put_weights(i, &Weights::new(step, lag * trajectory.speed));
        }
        for i in 0..=steps {
            self.evaluate(&mut rows, &mut controls, trajectories, live, 2 * i, 0);
            for (lane, trajectory) in trajectories.iter_mut().enumerate() {
                if !live[lane] {
                    continue;
                }
                let point = GridPoint {
                    state: StatePoint {
                        rows: &rows.x,
                        lane,
                    },
                    rate: StatePoint {
                        rows: &rows.k[0],
                        lane,
                    },
                    heading: (controls.heading[0][lane], controls.heading[1][lane]),
                    slip: controls.slip[lane],
                    torque_ratio: controls.torque_ratio[lane],
                    wanted: controls.wanted[lane],
                };
                live[lane] = controls.progress[lane] > LEAST_PROGRESS
                    && controls.finite[lane] == 0.0
                    && (trajectory.observer)(i, &point).is_continue();
            }
            if i.is_multiple_of(STEPS_BETWEEN_QUESTIONS) && self.stopped() {
                live = [false; LANES];
            }
            if i == steps || !live.contains(&true) {
                break;
            }
            for (number, stage) in [(1, Stage::A), (2, Stage::B), (3, Stage::C)] {
                rows.advance(stage, &LAGS);
                let half = if number == 3 { 2 } else { 1 };
                self.evaluate(
                    &mut rows,
                    &mut controls,
                    trajectories,
                    live,
                    2 * i + half,
                    number,
                );
            }
            rows.advance(Stage::End, &LAGS);
        }
        (0..trajectories.len())
            .map(|i| live[i].then(|| lane(&rows.x, i)))
            .collect()
    }

    /// Rates along the course at the start of the step (stage 0) or at one of its stages.
    fn evaluate(
        &self,
        rows: &mut Rows<LENGTH>,
        controls: &mut BatchControls,
        trajectories: &[Trajectory<'_>],
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
        for (lane, trajectory) in trajectories.iter().enumerate() {
            if live[lane] {
                let point = StatePoint { rows: state, lane };
                controls.wanted[lane] = (trajectory.wanted)(half, &point);
            }
        }
        dispatch_any(CommandTask {
            plant: self,
            state,
            controls: &mut *controls,
            rate: &mut *rate,
            with_motion: stage == 0,
        });
        let mut loads = [[0.0; LANES]; 4];
        if let (Some(car), Some(of_car)) = (
            state.first_chunk::<STATES>(),
            rate.first_chunk_mut::<STATES>(),
        ) {
            self.batch()
                .rate(car, &controls.inputs, &live, of_car, &mut loads);
        }
        dispatch_any(CourseRateTask { rate });
    }
}

/// Driver commands in every lane; at the points of the grid the motion too.
struct CommandTask<'a, 'p> {
    plant: &'a Plant<'p>,
    state: &'a [LaneRow; LENGTH],
    controls: &'a mut BatchControls,
    rate: &'a mut [LaneRow; LENGTH],
    with_motion: bool,
}

impl LaneTask for CommandTask<'_, '_> {
    type Out = ();

    #[inline(always)]
    fn run<T: Lanes>(self) {
        let (plant, state, controls, rate) = (self.plant, self.state, self.controls, self.rate);
        let mut first = 0;
        while first < LANES {
            let own = load::<T, LENGTH>(state, first);
            let speed = T::load(&controls.speed[first..]);
            let wanted = T::load(&controls.wanted[first..]);
            let command = plant.command(&DriverInput::of(&own), speed, wanted);
            let inputs = &mut controls.inputs;
            own[HANDS].store(&mut inputs.steering_wheel[first..]);
            command
                .hand_rate
                .store(&mut inputs.steering_wheel_rate[first..]);
            command.torque.store(&mut inputs.drive_torque[first..]);
            command.hand_rate.store(&mut rate[HANDS][first..]);
            command.speed_error.store(&mut rate[CRUISE][first..]);
            T::one().store(&mut rate[TIME][first..]);
            if self.with_motion {
                let motion = CourseMotion::of(&own);
                motion.heading.0.store(&mut controls.heading[0][first..]);
                motion.heading.1.store(&mut controls.heading[1][first..]);
                motion.progress.store(&mut controls.progress[first..]);
                motion.slip.store(&mut controls.slip[first..]);
                command
                    .torque_ratio
                    .store(&mut controls.torque_ratio[first..]);
                let mut finite = T::zero();
                for i in 0..LENGTH {
                    finite += own[i] * T::zero();
                }
                finite.store(&mut controls.finite[first..]);
            }
            first += T::WIDTH;
        }
    }
}

/// Rates along the course from rates in time, in every lane.
struct CourseRateTask<'a> {
    rate: &'a mut [LaneRow; LENGTH],
}

impl LaneTask for CourseRateTask<'_> {
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
