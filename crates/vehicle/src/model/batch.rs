//! Several cars side by side: the equations in lanes.
//!
//! Cars of one topology (an independent rear or a solid one) with different numbers, states and inputs
//! are evaluated together, as many to an instruction as the machine can take. A lane computes the same bits
//! as [`Model::rate`](super::Model::rate) does for its car alone, whatever stands in the other lanes.

use std::any::Any;

use axletree_scalar::{LANES, LaneRow, LaneTask, Lanes, Lift, Width, dispatch};

use super::evaluate::{Evaluation, evaluate_fixed};
use super::fixed::Fixed;
use super::layout::{Inputs, STATES};
use super::numbers::Numbers;
use super::road::{Beside, Flat, Road};
use super::whole::{Model, evaluate_alone};

/// [`LANES`] cars of one topology.
pub struct Batch {
    width: Width,
    /// A car of this topology, for the shape of its numbers.
    shape: Numbers<f64>,
    /// Every number of every car, in the order of their declaration.
    rows: Vec<LaneRow>,
    held: Held,
}

/// The numbers as the evaluation wants them.
enum Held {
    /// `Vec<(Numbers<T>, Fixed<T>)>` for the lanes `T` of this machine.
    Lanes(Box<dyn Any + Send + Sync>),
    /// Lone numbers.
    One(Vec<Numbers<f64>>),
}

impl Batch {
    /// As many of the same car, with the widest lanes of this machine.
    pub fn of(model: &Model) -> Self {
        Self::with_width(model, Width::best())
    }

    /// The same with lanes of a width; lone numbers where the machine has less.
    pub fn with_width(model: &Model, width: Width) -> Self {
        let mut rows = Vec::new();
        model.numbers.lift(&mut |x| {
            rows.push([x; LANES]);
            x
        });
        let hold = Hold {
            shape: &model.numbers,
            rows: &rows,
        };
        let (width, held) = match dispatch(width, hold) {
            Ok(held) => (width, Held::Lanes(held)),
            Err(_) => (Width::One, Held::One(vec![model.numbers; LANES])),
        };
        Batch {
            width,
            shape: model.numbers,
            rows,
            held,
        }
    }

    /// How many cars an instruction takes.
    pub fn width(&self) -> Width {
        self.width
    }

    /// Whether a car has this batch's topology.
    pub fn fits(&self, model: &Model) -> bool {
        std::mem::discriminant(&model.numbers.rear) == std::mem::discriminant(&self.shape.rear)
    }

    /// Puts cars into lanes: pairs of lane and car.
    ///
    /// # Panics
    /// If a car does not [fit](Self::fits).
    pub fn put<'a>(&mut self, cars: impl IntoIterator<Item = (usize, &'a Model)>) {
        for (lane, model) in cars {
            assert!(self.fits(model), "{}: another rear end", model.name);
            let mut rows = self.rows.iter_mut();
            model.numbers.lift(&mut |x| {
                if let Some(row) = rows.next() {
                    row[lane] = x;
                }
                x
            });
            if let Held::One(all) = &mut self.held {
                all[lane] = model.numbers;
            }
        }
        if matches!(self.held, Held::Lanes(_)) {
            let hold = Hold {
                shape: &self.shape,
                rows: &self.rows,
            };
            if let Ok(held) = dispatch(self.width, hold) {
                self.held = Held::Lanes(held);
            }
        }
    }

    /// The rates of the states of the cars in the live lanes on a flat road and the loads of their wheels [N];
    /// what is written for other lanes means nothing.
    pub fn rate(
        &self,
        state: &[LaneRow; STATES],
        inputs: &Inputs<LaneRow>,
        live: &[bool; LANES],
        rate: &mut [LaneRow; STATES],
        load: &mut [LaneRow; 4],
    ) {
        let look = Look {
            roads: None,
            seen: None,
        };
        self.turn::<false>(state, inputs, *live, rate, load, look);
    }

    /// The same on the roads that the cars stand on, and with everything that the evaluation finds. Costs a
    /// fifth more.
    pub fn look(
        &self,
        state: &[LaneRow; STATES],
        inputs: &Inputs<LaneRow>,
        live: &[bool; LANES],
        rate: &mut [LaneRow; STATES],
        load: &mut [LaneRow; 4],
        look: Look<'_>,
    ) {
        self.turn::<true>(state, inputs, *live, rate, load, look);
    }

    fn turn<const LOOK: bool>(
        &self,
        state: &[LaneRow; STATES],
        inputs: &Inputs<LaneRow>,
        live: [bool; LANES],
        rate: &mut [LaneRow; STATES],
        load: &mut [LaneRow; 4],
        mut look: Look<'_>,
    ) {
        match &self.held {
            Held::Lanes(held) => {
                let width = self.width.count();
                for (turn, live) in live.chunks(width).enumerate() {
                    if !live.contains(&true) {
                        continue;
                    }
                    let task = RateTask::<LOOK> {
                        held: &**held,
                        turn,
                        state,
                        inputs,
                        rate,
                        load,
                        look: Look {
                            roads: look.roads,
                            seen: look.seen.as_deref_mut(),
                        },
                    };
                    let done = dispatch(self.width, task);
                    assert!(done.is_ok(), "the machine had these lanes before");
                }
            }
            Held::One(all) => {
                for lane in (0..LANES).filter(|i| live[*i]) {
                    let x = state.map(|row| row[lane]);
                    let u = inputs.map(|row| row[lane]);
                    let road = look.roads.map_or(&Flat as &dyn Road<f64>, |r| r[lane]);
                    let e = evaluate_alone(&all[lane], &x, &u, road);
                    for (row, rate) in rate.iter_mut().zip(&e.rate) {
                        row[lane] = *rate;
                    }
                    for (row, contact) in load.iter_mut().zip(&e.contacts) {
                        row[lane] = contact.load;
                    }
                    if let Some(seen) = &mut look.seen {
                        seen[lane] = Some(e);
                    }
                }
            }
        }
    }
}

/// What is asked beside the rates.
pub struct Look<'a> {
    /// The road of each car; flat where there are none.
    pub roads: Option<&'a [&'a dyn Road<f64>; LANES]>,
    /// Where everything that the evaluation finds goes.
    pub seen: Option<&'a mut [Option<Evaluation<f64>>; LANES]>,
}

/// Numbers of several cars from their rows.
struct Hold<'a> {
    shape: &'a Numbers<f64>,
    rows: &'a [LaneRow],
}

impl LaneTask for Hold<'_> {
    type Out = Box<dyn Any + Send + Sync>;

    #[inline(always)]
    fn run<T: Lanes>(self) -> Self::Out {
        let turn = |first: usize| {
            let mut rows = self.rows.iter();
            self.shape.lift(&mut |x| {
                rows.next()
                    .map_or_else(|| T::c(x), |row| T::load(&row[first..]))
            })
        };
        let mut turns: Vec<(Numbers<T>, Fixed<T>)> = Vec::with_capacity(LANES / T::WIDTH);
        for first in (0..LANES).step_by(T::WIDTH) {
            let numbers = turn(first);
            turns.push((numbers, Fixed::of(&numbers)));
        }
        Box::new(turns)
    }
}

/// One evaluation: the rates and loads alone, or with a look. Two copies of the equations, because the lean one
/// is asked most. No loop stands around them: the compiler is slow where much stands in one.
struct RateTask<'a, const LOOK: bool> {
    held: &'a (dyn Any + Send + Sync),
    turn: usize,
    state: &'a [LaneRow; STATES],
    inputs: &'a Inputs<LaneRow>,
    rate: &'a mut [LaneRow; STATES],
    load: &'a mut [LaneRow; 4],
    look: Look<'a>,
}

impl<const LOOK: bool> LaneTask for RateTask<'_, LOOK> {
    type Out = ();

    #[inline(always)]
    fn run<T: Lanes>(self) {
        let Some(turns) = self.held.downcast_ref::<Vec<(Numbers<T>, Fixed<T>)>>() else {
            panic!("numbers are held for the lanes they were made for");
        };
        let first = self.turn * T::WIDTH;
        let (numbers, fixed) = &turns[self.turn];
        let mut state = [T::zero(); STATES];
        for i in 0..STATES {
            state[i] = T::load(&self.state[i][first..]);
        }
        let inputs = lanes_of(self.inputs, first);
        let e = if LOOK {
            let road = Beside {
                roads: self.look.roads,
                first,
            };
            evaluate_fixed(numbers, fixed, &state, &inputs, &road)
        } else {
            evaluate_fixed(numbers, fixed, &state, &inputs, &Flat)
        };
        for i in 0..STATES {
            e.rate[i].store(&mut self.rate[i][first..]);
        }
        for i in 0..4 {
            e.contacts[i].load.store(&mut self.load[i][first..]);
        }
        if LOOK && let Some(seen) = self.look.seen {
            let rows = e.map(&mut |x| {
                let mut row = [0.0; LANES];
                x.store(&mut row);
                row
            });
            for i in 0..T::WIDTH {
                seen[first + i] = Some(rows.map(&mut |row| row[i]));
            }
        }
    }
}

/// Inputs of the cars from lane `first` on.
#[inline(always)]
fn lanes_of<T: Lanes>(inputs: &Inputs<LaneRow>, first: usize) -> Inputs<T> {
    Inputs {
        steering_wheel: T::load(&inputs.steering_wheel[first..]),
        steering_wheel_rate: T::load(&inputs.steering_wheel_rate[first..]),
        drive_torque: T::load(&inputs.drive_torque[first..]),
        brake_torque: T::load(&inputs.brake_torque[first..]),
        friction: T::load(&inputs.friction[first..]),
        throttle: T::load(&inputs.throttle[first..]),
        gear_ratio: T::load(&inputs.gear_ratio[first..]),
        clutch: T::load(&inputs.clutch[first..]),
        engine_on: T::load(&inputs.engine_on[first..]),
    }
}

impl<A: Copy> Inputs<A> {
    /// Every input through a function, in the order of declaration.
    #[inline(always)]
    pub fn map<B>(&self, mut f: impl FnMut(A) -> B) -> Inputs<B> {
        Inputs {
            steering_wheel: f(self.steering_wheel),
            steering_wheel_rate: f(self.steering_wheel_rate),
            drive_torque: f(self.drive_torque),
            brake_torque: f(self.brake_torque),
            friction: f(self.friction),
            throttle: f(self.throttle),
            gear_ratio: f(self.gear_ratio),
            clutch: f(self.clutch),
            engine_on: f(self.engine_on),
        }
    }
}

impl Inputs<LaneRow> {
    /// Inputs of one car into its lane.
    pub fn put(&mut self, lane: usize, of: &Inputs<f64>) {
        self.steering_wheel[lane] = of.steering_wheel;
        self.steering_wheel_rate[lane] = of.steering_wheel_rate;
        self.drive_torque[lane] = of.drive_torque;
        self.brake_torque[lane] = of.brake_torque;
        self.friction[lane] = of.friction;
        self.throttle[lane] = of.throttle;
        self.gear_ratio[lane] = of.gear_ratio;
        self.clutch[lane] = of.clutch;
        self.engine_on[lane] = of.engine_on;
    }
}
