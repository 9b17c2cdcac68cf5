//! One period of the rhythm: two cones, and its closure.
//!
//! The inside of the slalom repeats after two cones. A period starts halfway between two cones, at
//! X = -S/2, passes one on its left at X = 0 and one on its right at X = S, and ends at X = 3S/2 in
//! the state it started in. What the driver chooses is the design p: the speed V, the lateral offset
//! Y_0 and the amplitudes of the steering. What then has to be found is the slow part z of the start:
//! heading, lateral velocity, yaw rate, roll and its rate, pitch, height, forward velocity, the
//! cruise integral, and the steering's constant, which takes the place of the lateral position
//! (steering alone does not care where the course lies). Everything faster (travels, wheel spins,
//! tires, lags, hands) forgets itself within a period and is carried over from the end of the last
//! one.
//!
//! How orbits close and what they depend on: [`super::sensitivity`].

use axletree_scalar::elementary;
use std::cell::RefCell;
use std::ops::ControlFlow;

use axletree_scalar::{LANES, Real};
use axletree_vehicle::model::layout::{ATTITUDE, POSITION, RATE, VELOCITY};
use nalgebra::DVector;

use super::harmonics::{Steering, basis};
use super::plant::{CRUISE, Plant, State, TIME};
use super::settings::Slalom;
use super::ways::{Point, Seen, Way};
use crate::cones::{Cone, Outline, Pass};

/// The slow states, in the order of z; the first place stands for the steering's constant in z and for
/// the lateral position in the closure.
pub const SLOW: [usize; 10] = [
    POSITION + 1,
    ATTITUDE,
    VELOCITY + 1,
    RATE + 2,
    ATTITUDE + 2,
    RATE,
    VELOCITY,
    CRUISE,
    POSITION + 2,
    ATTITUDE + 1,
];
/// Faster states that must come back all the same.
const ALSO_CLOSED: [usize; 2] = [VELOCITY + 2, RATE + 1];
/// Number of slow unknowns.
pub const UNKNOWNS: usize = SLOW.len();
/// Clearances of a period: of each cone while it is before O and while it is behind.
pub const CLEARANCES: usize = 4;
/// Number of constraints of the search: clearances, sideslip, power.
pub const CONSTRAINTS: usize = CLEARANCES + 2;
/// Step of the forward differences, in units of the scales: small enough to be a derivative to six
/// digits, large enough not to be rounding.
pub(super) const DIFFERENCE: f64 = 1e-6;
/// Tangent of the sideslip from which a car has spun [-].
const SPUN: f64 = 2.5;
/// Share of the bound to which the throttle may be asked beyond full [-]: the soft bound then gives 99.5 %.
const THROTTLE_GUARD: f64 = 1.5;

/// The design: speed, offset, amplitudes.
#[derive(Clone, Debug, PartialEq)]
pub struct Design {
    /// Speed asked for [m/s].
    pub speed: f64,
    /// Lateral position at the start [m].
    pub offset: f64,
    /// Cosine and sine amplitudes of the odd harmonics [rad, mean road-wheel angle].
    pub amplitudes: Vec<[f64; 2]>,
}

impl Design {
    /// Size of a step in each of the design's numbers that matters about alike.
    pub fn scales(harmonics: usize) -> Vec<f64> {
        let mut scales = vec![1.0, 0.2];
        for i in 0..harmonics {
            scales.extend([0.04 / (2 * i + 1) as f64; 2]);
        }
        scales
    }

    /// As a vector in units of the scales.
    pub fn vector(&self) -> DVector<f64> {
        let raw: Vec<f64> = [self.speed, self.offset]
            .into_iter()
            .chain(self.amplitudes.iter().flatten().copied())
            .collect();
        let scales = Design::scales(self.amplitudes.len());
        DVector::from_iterator(raw.len(), raw.iter().zip(scales).map(|(x, s)| x / s))
    }

    /// From a vector in units of the scales.
    pub fn from_vector(v: &DVector<f64>) -> Self {
        let harmonics = (v.len() - 2) / 2;
        let raw: Vec<f64> = v
            .iter()
            .zip(Design::scales(harmonics))
            .map(|(x, s)| x * s)
            .collect();
        Design {
            speed: raw[0],
            offset: raw[1],
            amplitudes: raw[2..].chunks(2).map(|c| [c[0], c[1]]).collect(),
        }
    }
}

/// Where a period starts.
#[derive(Clone, Debug)]
pub struct Start {
    /// The design.
    pub design: Design,
    /// The steering's constant [rad, mean road-wheel angle].
    pub constant: f64,
    /// The state; place on the course and clock are set by the design.
    pub state: State,
}

/// A start of a period and how it went.
#[derive(Clone, Debug)]
pub struct Lap {
    /// The design.
    pub design: Design,
    /// The steering's constant [rad, mean road-wheel angle].
    pub constant: f64,
    /// State at the start.
    pub start: State,
    /// State at the end.
    pub end: State,
    /// Largest departure of the slow states over the period, each in its unit.
    pub open: f64,
    /// Clearances of the two cones, each while it is before O and while it is behind [m].
    pub clearance: [f64; CLEARANCES],
    /// Their change with the lateral offset [-].
    pub clearance_by_offset: [f64; CLEARANCES],
    /// Largest sideslip angle [rad].
    pub sideslip: f64,
    /// Most drive torque asked for, over the bound [-].
    pub throttle: f64,
}

impl Lap {
    /// Least clearance of each cone [m].
    pub fn margins(&self) -> [f64; 2] {
        let [a, b, c, d] = self.clearance;
        [a.min(b), c.min(d)]
    }

    /// Where it started.
    pub fn begin(&self) -> Start {
        Start {
            design: self.design.clone(),
            constant: self.constant,
            state: self.start,
        }
    }
}

/// Watches a period.
struct Teller {
    passes: [Pass; 2],
    /// The same with the car moved to the left by [`DIFFERENCE`].
    shifted: [Pass; 2],
    slip: f64,
    throttle: f64,
}

impl Teller {
    fn new(period: &Period) -> Self {
        let passes = period.cones.map(|c| Pass::new(c, period.outline));
        Teller {
            passes,
            shifted: passes,
            slip: 1e-3,
            throttle: 1e-2,
        }
    }

    fn see(&mut self, seen: &Seen<'_>) -> ControlFlow<()> {
        let [x, y] = [POSITION, POSITION + 1].map(|i| seen.state.at(i));
        for (pass, shifted) in self.passes.iter_mut().zip(&mut self.shifted) {
            if pass.is_near(x) {
                pass.see_at([x, y], seen.heading);
                shifted.see_at([x, y + DIFFERENCE], seen.heading);
            }
        }
        self.slip = self.slip.max(seen.slip.abs());
        self.throttle = self.throttle.max(seen.throttle);
        // Spun: nothing after this is of use.
        if self.slip > SPUN {
            ControlFlow::Break(())
        } else {
            ControlFlow::Continue(())
        }
    }

    fn tell(self, start: &Start, placed: State, end: State) -> Lap {
        let parts = |[first, second]: [Pass; 2]| {
            let ([a, b], [c, d]) = (first.parts(), second.parts());
            [a, b, c, d]
        };
        let (clearance, shifted) = (parts(self.passes), parts(self.shifted));
        let open = SLOW
            .iter()
            .chain(&ALSO_CLOSED)
            .map(|&i| (end[i] - placed[i]).abs())
            .fold(0.0, f64::max);
        Lap {
            design: start.design.clone(),
            constant: start.constant,
            start: placed,
            end,
            open,
            clearance,
            clearance_by_offset: std::array::from_fn(|i| (shifted[i] - clearance[i]) / DIFFERENCE),
            sideslip: Real::atan(self.slip),
            throttle: self.throttle,
        }
    }
}

/// Evaluates periods.
pub struct Period<'a> {
    /// Car and driver.
    pub plant: Plant<'a>,
    /// The two cones.
    pub cones: [Cone; 2],
    /// The car's outline.
    pub outline: Outline,
    /// Distance of the cones [m].
    pub spacing: f64,
    /// Step along the course [m].
    pub step: f64,
    /// Steps a period.
    pub steps: usize,
    /// Mean road-wheel angle per steering-wheel angle [-].
    pub gain: f64,
    /// Largest sideslip allowed [rad].
    pub guard: f64,
    /// Clearance to be left [m].
    pub reserve: f64,
    /// Basis of the steering at every half step.
    basis: Vec<Vec<[f64; 2]>>,
    /// Periods run so far.
    pub runs: std::cell::Cell<usize>,
}

impl<'a> Period<'a> {
    /// The period of a car in a slalom, in steps of at most `step` [m].
    pub fn new(plant: Plant<'a>, slalom: &Slalom, harmonics: usize, step: f64) -> Self {
        let spacing = slalom.spacing;
        // Cones and ends lie on the grid.
        let half = ((0.5 * spacing / step) - 1e-9).ceil().max(4.0) as usize;
        let cone = |x: f64, side: f64| Cone {
            x,
            side,
            radius: slalom.cone_radius,
        };
        let steps = 4 * half;
        let step = 0.5 * spacing / half as f64;
        let place = |i: usize| 0.5 * (i as f64 * step - spacing) / spacing;
        Period {
            cones: [cone(0.0, 1.0), cone(spacing, -1.0)],
            outline: Outline::of(&plant.model.geometry),
            gain: plant.model.numbers.chassis.steering.gain,
            plant,
            spacing,
            step,
            steps,
            guard: slalom.sideslip_guard,
            reserve: slalom.clearance_reserve,
            basis: (0..=2 * steps)
                .map(|i| (0..harmonics).map(|k| basis(k, place(i))).collect())
                .collect(),
            runs: std::cell::Cell::new(0),
        }
    }

    /// Number of harmonics.
    pub fn harmonics(&self) -> usize {
        self.basis[0].len()
    }

    /// The learned steering of a lap.
    pub fn steering(&self, lap: &Lap) -> Steering {
        Steering {
            constant: lap.constant,
            amplitudes: lap.design.amplitudes.clone(),
            spacing: self.spacing,
            gain: self.gain,
        }
    }

    /// One period from a start. None where the car does not get through.
    pub fn lap(&self, start: &Start) -> Option<Lap> {
        self.laps(std::slice::from_ref(start)).pop().flatten()
    }

    /// The same; `each` sees every point of the grid.
    pub fn lap_seen(&self, start: &Start, each: &mut dyn FnMut(usize, &Seen<'_>)) -> Option<Lap> {
        self.laps_seen(std::slice::from_ref(start), &mut |_, i, seen| each(i, seen))
            .pop()
            .flatten()
    }

    /// A period from each start, side by side.
    pub fn laps(&self, starts: &[Start]) -> Vec<Option<Lap>> {
        self.laps_seen(starts, &mut |_, _, _| ())
    }

    fn laps_seen(
        &self,
        starts: &[Start],
        each: &mut dyn FnMut(usize, usize, &Seen<'_>),
    ) -> Vec<Option<Lap>> {
        self.runs.set(self.runs.get() + starts.len());
        let mut all = Vec::with_capacity(starts.len());
        for (group, starts) in starts.chunks(LANES).enumerate() {
            let each = RefCell::new(|way: usize, i: usize, seen: &Seen<'_>| {
                each(group * LANES + way, i, seen);
            });
            let mut tellers: Vec<Teller> = starts.iter().map(|_| Teller::new(self)).collect();
            let wanted: Vec<Vec<f64>> = starts.iter().map(|s| self.wanted(s)).collect();
            let wanted: Vec<_> = wanted
                .iter()
                .map(|w| |i: usize, _: &Point<'_>| w[i])
                .collect();
            let mut seers: Vec<_> = tellers
                .iter_mut()
                .enumerate()
                .map(|(way, teller)| {
                    let each = &each;
                    move |i: usize, seen: &Seen<'_>| {
                        (each.borrow_mut())(way, i, seen);
                        teller.see(seen)
                    }
                })
                .collect();
            let mut ways: Vec<Way<'_>> = seers
                .iter_mut()
                .zip(&wanted)
                .zip(starts)
                .map(|((each, wanted), start)| Way {
                    start: self.placed(start),
                    speed: start.design.speed,
                    wanted,
                    each,
                })
                .collect();
            let ends = self.plant.run(&mut ways, self.step, self.steps);
            drop(ways);
            drop(seers);
            for ((end, teller), start) in ends.into_iter().zip(tellers).zip(starts) {
                all.push(end.map(|end| teller.tell(start, self.placed(start), end)));
            }
        }
        all
    }

    /// The state at the start with the place on the course and the clock set.
    fn placed(&self, start: &Start) -> State {
        let mut state = start.state;
        state[POSITION] = -0.5 * self.spacing;
        state[POSITION + 1] = start.design.offset;
        state[TIME] = 0.0;
        state
    }

    /// The steering-wheel angle wanted at every half step [rad].
    fn wanted(&self, start: &Start) -> Vec<f64> {
        let wheel = |basis: &Vec<[f64; 2]>| {
            let mut sum = start.constant;
            for ([a, b], [c, s]) in start.design.amplitudes.iter().zip(basis) {
                sum += a * c + b * s;
            }
            sum / self.gain
        };
        self.basis.iter().map(wheel).collect()
    }

    /// The constraints of a lap, each at least zero where it is kept, in meters of clearance.
    pub fn constraints(&self, lap: &Lap) -> [f64; CONSTRAINTS] {
        let [a, b, c, d] = lap.clearance.map(|c| c - self.reserve);
        [
            a,
            b,
            c,
            d,
            0.1 * elementary::ln(self.guard / lap.sideslip),
            0.1 * elementary::ln(THROTTLE_GUARD / lap.throttle),
        ]
    }
}
