//! Several cars side by side: the equations in lanes.
//!
//! Cars of one topology (an independent or a solid rear end) with different numbers, states and
//! inputs are evaluated together, as many to an instruction as the machine can take. A lane
//! computes the same bits as `Model::rate` does for its car alone, independently of the other
//! lanes.

use std::any::Any;

use axletree_scalar::{LANES, LaneRow, LaneTask, Lanes, Lift, Width, dispatch};

use super::evaluate::{Evaluation, evaluate_precomputed};
use super::layout::{Inputs, STATES};
use super::model::{Model, evaluate_one};
use super::numbers::Numbers;
use super::precomputed::Precomputed;
use super::road::{Flat, LaneRoads, Road};

/// [`LANES`] cars of one topology.
///
/// ```
/// use axletree_scalar::LANES;
/// use axletree_vehicle::{bundled, model::{Batch, Inputs, STATES}};
///
/// let model = bundled("bramble-solid").unwrap()?.assemble()?;
/// let batch = Batch::of(&model);
/// let state = model.rolling_state(20.0).map(|x| [x; LANES]);
/// let inputs = Inputs::<f64>::coasting().map(|x| [*x; LANES]);
/// let (mut rate, mut load) = ([[0.0; LANES]; STATES], [[0.0; LANES]; 4]);
/// batch.rate(&state, &inputs, &[true; LANES], &mut rate, &mut load);
/// assert!((load.iter().map(|wheel| wheel[0]).sum::<f64>() / (9.8 * model.mass()) - 1.0).abs() < 0.02);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub struct Batch {
    width: Width,
    /// A car of this topology, for the shape of its numbers.
    shape: Numbers<f64>,
    /// Every number of every car, in the order of their declaration.
    rows: Vec<LaneRow>,
    numbers: LaneNumbers,
}

/// The numbers as the evaluation reads them.
enum LaneNumbers {
    /// `Vec<(Numbers<T>, Precomputed<T>)>`, one for each group of cars, for the lanes `T` of this
    /// machine.
    Packed(Box<dyn Any + Send + Sync>),
    /// The numbers of each car.
    Single(Vec<Numbers<f64>>),
}

/// Roads of the cars of a batch, and the place of their evaluations.
pub struct BatchExtras<'a> {
    /// The road of each car; flat where there are none.
    pub roads: Option<&'a [&'a dyn Road<f64>; LANES]>,
    /// Place of the evaluation of each car.
    pub evaluations: Option<&'a mut [Option<Evaluation<f64>>; LANES]>,
}

impl Batch {
    /// [`LANES`] copies of one car, in the widest lanes of this machine.
    pub fn of(model: &Model) -> Self {
        Self::with_width(model, Width::best())
    }

    /// The same in lanes of a width; one car after another where the machine lacks it.
    pub fn with_width(model: &Model, width: Width) -> Self {
        let mut rows = Vec::new();
        model.numbers.lift(&mut |x| {
            rows.push([x; LANES]);
            x
        });
        let pack = PackNumbers {
            shape: &model.numbers,
            rows: &rows,
        };
        let (width, numbers) = match dispatch(width, pack) {
            Ok(packed) => (width, LaneNumbers::Packed(packed)),
            Err(_) => (Width::One, LaneNumbers::Single(vec![model.numbers; LANES])),
        };
        Batch {
            width,
            shape: model.numbers,
            rows,
            numbers,
        }
    }

    /// Number of cars to an instruction.
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
            if let LaneNumbers::Single(cars) = &mut self.numbers {
                cars[lane] = model.numbers;
            }
        }
        if matches!(self.numbers, LaneNumbers::Packed(_)) {
            let pack = PackNumbers {
                shape: &self.shape,
                rows: &self.rows,
            };
            if let Ok(packed) = dispatch(self.width, pack) {
                self.numbers = LaneNumbers::Packed(packed);
            }
        }
    }

    /// Rates of the states of the cars in the live lanes on a flat road, and the loads of their
    /// wheels `[N]`; the results in other lanes are undefined.
    pub fn rate(
        &self,
        state: &[LaneRow; STATES],
        inputs: &Inputs<LaneRow>,
        live: &[bool; LANES],
        rate: &mut [LaneRow; STATES],
        load: &mut [LaneRow; 4],
    ) {
        let extras = BatchExtras {
            roads: None,
            evaluations: None,
        };
        self.run::<false>(state, inputs, *live, rate, load, extras);
    }

    /// As [`Batch::rate`], on roads and with the whole evaluation of every live car stored; about
    /// 20 % slower.
    pub fn observe(
        &self,
        state: &[LaneRow; STATES],
        inputs: &Inputs<LaneRow>,
        live: &[bool; LANES],
        rate: &mut [LaneRow; STATES],
        load: &mut [LaneRow; 4],
        extras: BatchExtras<'_>,
    ) {
        self.run::<true>(state, inputs, *live, rate, load, extras);
    }

    fn run<const OBSERVE: bool>(
        &self,
        state: &[LaneRow; STATES],
        inputs: &Inputs<LaneRow>,
        live: [bool; LANES],
        rate: &mut [LaneRow; STATES],
        load: &mut [LaneRow; 4],
        mut extras: BatchExtras<'_>,
    ) {
        match &self.numbers {
            LaneNumbers::Packed(packed) => {
                let width = self.width.count();
                for (group, live) in live.chunks(width).enumerate() {
                    if !live.contains(&true) {
                        continue;
                    }
                    let task = RateTask::<OBSERVE> {
                        packed: &**packed,
                        group,
                        state,
                        inputs,
                        rate,
                        load,
                        extras: BatchExtras {
                            roads: extras.roads,
                            evaluations: extras.evaluations.as_deref_mut(),
                        },
                    };
                    let done = dispatch(self.width, task);
                    assert!(done.is_ok(), "the machine had these lanes before");
                }
            }
            LaneNumbers::Single(cars) => {
                for lane in (0..LANES).filter(|i| live[*i]) {
                    let x = state.map(|row| row[lane]);
                    let u = inputs.map(|row| row[lane]);
                    let road = extras.roads.map_or(&Flat as &dyn Road<f64>, |r| r[lane]);
                    let e = evaluate_one(&cars[lane], &x, &u, road);
                    for (row, rate) in rate.iter_mut().zip(&e.rate) {
                        row[lane] = *rate;
                    }
                    for (row, contact) in load.iter_mut().zip(&e.contacts) {
                        row[lane] = contact.load;
                    }
                    if let Some(evaluations) = &mut extras.evaluations {
                        evaluations[lane] = Some(e);
                    }
                }
            }
        }
    }
}

/// Packs the numbers of several cars, given by rows, into lanes.
struct PackNumbers<'a> {
    shape: &'a Numbers<f64>,
    rows: &'a [LaneRow],
}

impl LaneTask for PackNumbers<'_> {
    type Out = Box<dyn Any + Send + Sync>;

    #[inline(always)]
    fn run<T: Lanes>(self) -> Self::Out {
        let group = |first: usize| {
            let mut rows = self.rows.iter();
            self.shape.lift(&mut |x| {
                rows.next()
                    .map_or_else(|| T::c(x), |row| T::load(&row[first..]))
            })
        };
        let mut groups: Vec<(Numbers<T>, Precomputed<T>)> = Vec::with_capacity(LANES / T::WIDTH);
        for first in (0..LANES).step_by(T::WIDTH) {
            let numbers = group(first);
            groups.push((numbers, Precomputed::of(&numbers)));
        }
        Box::new(groups)
    }
}

/// One evaluation of one group of cars: rates and loads alone, or with roads and everything stored.
/// Two copies of the equations, because the lean one is called most. There is no loop around them:
/// the compiler is slow with large loop bodies.
struct RateTask<'a, const OBSERVE: bool> {
    packed: &'a (dyn Any + Send + Sync),
    group: usize,
    state: &'a [LaneRow; STATES],
    inputs: &'a Inputs<LaneRow>,
    rate: &'a mut [LaneRow; STATES],
    load: &'a mut [LaneRow; 4],
    extras: BatchExtras<'a>,
}

impl<const OBSERVE: bool> LaneTask for RateTask<'_, OBSERVE> {
    type Out = ();

    #[inline(always)]
    fn run<T: Lanes>(self) {
        let groups = self
            .packed
            .downcast_ref::<Vec<(Numbers<T>, Precomputed<T>)>>();
        let Some(groups) = groups else {
            panic!("numbers are packed for the lanes that they are read in");
        };
        let first = self.group * T::WIDTH;
        let (numbers, pre) = &groups[self.group];
        let mut state = [T::zero(); STATES];
        for i in 0..STATES {
            state[i] = T::load(&self.state[i][first..]);
        }
        let inputs = self.inputs.map(
            #[inline(always)]
            |row| T::load(&row[first..]),
        );
        let e = if OBSERVE {
            let road = LaneRoads {
                roads: self.extras.roads,
                first,
            };
            evaluate_precomputed(numbers, pre, &state, &inputs, &road)
        } else {
            evaluate_precomputed(numbers, pre, &state, &inputs, &Flat)
        };
        for i in 0..STATES {
            e.rate[i].store(&mut self.rate[i][first..]);
        }
        for i in 0..4 {
            e.contacts[i].load.store(&mut self.load[i][first..]);
        }
        if OBSERVE && let Some(evaluations) = self.extras.evaluations {
            let rows: Evaluation<LaneRow> = e.map(
                #[inline(always)]
                |x| {
                    let mut row = [0.0; LANES];
                    x.store(&mut row);
                    row
                },
            );
            for i in 0..T::WIDTH {
                evaluations[first + i] = Some(rows.map(|row| row[i]));
            }
        }
    }
}
