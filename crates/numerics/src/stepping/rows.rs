//! The stages of [`lagged`](super::lagged) for several systems side by side, each with its own
//! step.

use std::ops::Range;

use axletree_scalar::{LANES, LaneRow, LaneTask, Lanes, dispatch_any};

use super::lagged::{Weights, stage_a, stage_b, stage_c, stage_end};

/// States and rates of one step, a row over the systems for each state.
#[derive(Clone, Debug)]
#[repr(align(64))]
pub struct Rows<const N: usize> {
    /// States at the start of the step.
    pub x: [LaneRow; N],
    /// States at the stages a, b, c.
    pub stage: [[LaneRow; N]; 3],
    /// Rates at the start and at the stages.
    pub k: [[LaneRow; N]; 4],
    weights: Weights<LaneRow>,
}

/// Stage of a step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// First, in the middle of the step.
    A,
    /// Second, in the middle of the step.
    B,
    /// Third, at the end of the step.
    C,
    /// The step itself, which replaces `x`.
    End,
}

impl<const N: usize> Rows<N> {
    /// Rows of zeros.
    pub fn new() -> Box<Self> {
        let zero = [[0.0; LANES]; N];
        let row = [0.0; LANES];
        Box::new(Rows {
            x: zero,
            stage: [zero; 3],
            k: [zero; 4],
            weights: Weights {
                step: row,
                half: row,
                sixth: row,
                decay: row,
                middle: [row; 2],
                whole: [row; 2],
                last: [row; 3],
            },
        })
    }

    /// Sets the weights of one system's steps.
    pub fn put_weights(&mut self, lane: usize, w: &Weights<f64>) {
        let own = &mut self.weights;
        own.step[lane] = w.step;
        own.half[lane] = w.half;
        own.sixth[lane] = w.sixth;
        own.decay[lane] = w.decay;
        let rows = own
            .middle
            .iter_mut()
            .chain(&mut own.whole)
            .chain(&mut own.last);
        let values = w.middle.into_iter().chain(w.whole).chain(w.last);
        for (row, value) in rows.zip(values) {
            row[lane] = value;
        }
    }

    /// Sets one system's state.
    pub fn put_state(&mut self, lane: usize, x: &[f64; N]) {
        for (row, value) in self.x.iter_mut().zip(x) {
            row[lane] = *value;
        }
    }

    /// Computes a stage from the states and rates before it.
    pub fn advance(&mut self, stage: Stage, lags: &Range<usize>) {
        dispatch_any(Advance {
            rows: self,
            stage,
            lags,
        });
    }
}

/// The values of one system.
#[inline(always)]
pub fn lane<const N: usize>(rows: &[LaneRow; N], lane: usize) -> [f64; N] {
    let mut own = [0.0; N];
    for i in 0..N {
        own[i] = rows[i][lane];
    }
    own
}

struct Advance<'a, const N: usize> {
    rows: &'a mut Rows<N>,
    stage: Stage,
    lags: &'a Range<usize>,
}

impl<const N: usize> LaneTask for Advance<'_, N> {
    type Out = ();

    #[inline(always)]
    fn run<T: Lanes>(self) {
        let Rows {
            x,
            stage: [a, b, c],
            k: [k1, k2, k3, k4],
            weights,
        } = self.rows;
        for first in (0..LANES).step_by(T::WIDTH) {
            let w = load_weights::<T>(weights, first);
            for i in 0..N {
                let lag = self.lags.contains(&i);
                let load = |row: &[LaneRow; N]| T::load(&row[i][first..]);
                let now = load(x);
                match self.stage {
                    Stage::A => stage_a(lag, &w, now, load(k1)).store(&mut a[i][first..]),
                    Stage::B => stage_b(lag, &w, now, load(a), [load(k1), load(k2)])
                        .store(&mut b[i][first..]),
                    Stage::C => stage_c(lag, &w, now, load(b), [load(k1), load(k3)])
                        .store(&mut c[i][first..]),
                    Stage::End => {
                        let rates = [load(k1), load(k2), load(k3), load(k4)];
                        stage_end(lag, &w, now, [load(a), load(b), load(c)], rates)
                            .store(&mut x[i][first..]);
                    }
                }
            }
        }
    }
}

/// The lanes from `first` on of every row.
#[inline(always)]
pub fn load<T: Lanes, const N: usize>(rows: &[LaneRow; N], first: usize) -> [T; N] {
    let mut x = [T::zero(); N];
    for i in 0..N {
        x[i] = T::load(&rows[i][first..]);
    }
    x
}

/// Stores the lanes from `first` on of every row.
#[inline(always)]
pub fn save<T: Lanes, const N: usize>(x: &[T; N], rows: &mut [LaneRow; N], first: usize) {
    for i in 0..N {
        x[i].store(&mut rows[i][first..]);
    }
}

#[inline(always)]
fn load_weights<T: Lanes>(w: &Weights<LaneRow>, first: usize) -> Weights<T> {
    Weights {
        step: T::load(&w.step[first..]),
        half: T::load(&w.half[first..]),
        sixth: T::load(&w.sixth[first..]),
        decay: T::load(&w.decay[first..]),
        middle: [
            T::load(&w.middle[0][first..]),
            T::load(&w.middle[1][first..]),
        ],
        whole: [T::load(&w.whole[0][first..]), T::load(&w.whole[1][first..])],
        last: [
            T::load(&w.last[0][first..]),
            T::load(&w.last[1][first..]),
            T::load(&w.last[2][first..]),
        ],
    }
}
