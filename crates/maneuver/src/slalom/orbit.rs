//! One period of the rhythm: two cones, and its closure.
//!
//! The inside of the slalom repeats after two cones. A period starts halfway between two cones, at
//! X = -S/2, passes one on its left at X = 0 and one on its right at X = S, and ends at X = 3S/2 in
//! the state it started in. What the driver chooses is the design p: the speed V, the lateral offset
//! Y_0 and the amplitudes of the steering. What then has to be found is the slow part z of the start:
//! heading, lateral velocity, yaw rate, roll, pitch, heave with their rates, forward velocity, the
//! cruise integral, and the steering's constant, which takes the place of the lateral position
//! (steering alone does not care where the course lies). Everything faster (travels, wheel spins,
//! tires, lags, hands) forgets itself within a period and is carried over from the end of the last
//! one.
//!
//! Newton's method on z with the sensitivities of a whole period, the fast states following by the
//! fixed-point iteration with the sensitivities of their end to z (Lust, Roose, Spence and
//! Champneys, SIAM J. Sci. Comput. 19, 1998, call this Newton-Picard).

use std::ops::ControlFlow;

use axletree_vehicle::model::layout::{ATTITUDE, POSITION, RATE, SPIN, VELOCITY};
use nalgebra::{DMatrix, DVector};

use super::clearance::{Cone, Outline, Pass};
use super::harmonics::{Steering, basis};
use super::plant::{CRUISE, LENGTH, Plant, State, TIME, sideslip};
use super::settings::Slalom;

/// The slow states, in the order of z; the first place stands for the steering's constant in z and for
/// the lateral position in the closure.
pub const SLOW: [usize; 12] = [
    POSITION + 1,
    ATTITUDE,
    VELOCITY + 1,
    RATE + 2,
    ATTITUDE + 2,
    RATE,
    VELOCITY,
    CRUISE,
    POSITION + 2,
    VELOCITY + 2,
    ATTITUDE + 1,
    RATE + 1,
];
/// Number of slow unknowns.
pub const UNKNOWNS: usize = SLOW.len();
/// Number of constraints of the search: two clearances, sideslip, power.
pub const CONSTRAINTS: usize = 4;
/// Step of the forward differences, in units of the scales: small enough to be a derivative to six
/// digits, large enough not to be rounding.
const DIFFERENCE: f64 = 1e-6;
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
    /// Clearances of the two cones [m].
    pub clearance: [f64; 2],
    /// Their change with the lateral offset [-].
    pub clearance_by_offset: [f64; 2],
    /// Largest sideslip angle [rad].
    pub sideslip: f64,
    /// Most drive torque asked for, over the bound [-].
    pub throttle: f64,
}

/// Sensitivities of a period.
#[derive(Clone, Debug)]
pub struct Sensitivity {
    /// End state by the design (per unit of its scales).
    pub end_by_design: DMatrix<f64>,
    /// End state by z.
    pub end_by_slow: DMatrix<f64>,
    /// Constraints by the design, closure held.
    pub constraints: DMatrix<f64>,
    /// Constraints by z.
    pub constraints_by_slow: DMatrix<f64>,
    /// Inverse of the closure's Jacobian by z.
    pub closure_inverse: DMatrix<f64>,
    /// z by the design, closure held.
    pub slow_by_design: DMatrix<f64>,
}

/// Whether a state is carried over from period to period: neither slow nor the place on the course nor
/// the clock; the spins go with the forward velocity.
fn is_fast(i: usize) -> bool {
    !(SLOW.contains(&i) || i == POSITION || i == TIME || (SPIN..SPIN + 4).contains(&i))
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
    pub fn lap(&self, design: &Design, constant: f64, start: &State) -> Option<Lap> {
        self.lap_seen(design, constant, start, &mut |_, _, _| ())
    }

    /// The same; `each` sees every point of the grid: number, state and its rate per meter.
    pub fn lap_seen(
        &self,
        design: &Design,
        constant: f64,
        start: &State,
        each: &mut impl FnMut(usize, &State, &State),
    ) -> Option<Lap> {
        self.runs.set(self.runs.get() + 1);
        let mut start = *start;
        start[POSITION] = -0.5 * self.spacing;
        start[POSITION + 1] = design.offset;
        start[TIME] = 0.0;
        let wheel = |basis: &Vec<[f64; 2]>| {
            let mut sum = constant;
            for ([a, b], [c, s]) in design.amplitudes.iter().zip(basis) {
                sum += a * c + b * s;
            }
            sum / self.gain
        };
        let wanted: Vec<f64> = self.basis.iter().map(wheel).collect();
        let mut passes = self.cones.map(|c| Pass::new(c, self.outline));
        let mut shifted = passes;
        let (mut slip, mut throttle) = (1e-3_f64, 1e-2_f64);
        let end = self.plant.run(
            &start,
            design.speed,
            self.step,
            self.steps,
            &|i, _| wanted[i],
            &mut |i, x, rate| {
                each(i, x, rate);
                for (pass, shifted) in passes.iter_mut().zip(&mut shifted) {
                    pass.see(x, 0.0);
                    shifted.see(x, DIFFERENCE);
                }
                slip = slip.max(sideslip(x).abs());
                throttle = throttle.max(self.plant.act(x, design.speed, wanted[2 * i]).throttle);
                // Spun: nothing after this is of use.
                if slip > 1.2 {
                    ControlFlow::Break(())
                } else {
                    ControlFlow::Continue(())
                }
            },
        )?;
        let clearance = passes.map(|p| p.clearance());
        let open = SLOW
            .iter()
            .map(|&i| (end[i] - start[i]).abs())
            .fold(0.0, f64::max);
        Some(Lap {
            design: design.clone(),
            constant,
            start,
            end,
            open,
            clearance,
            clearance_by_offset: [0, 1]
                .map(|i| (shifted[i].clearance() - clearance[i]) / DIFFERENCE),
            sideslip: slip,
            throttle,
        })
    }

    /// The constraints of a lap, each at least zero where it is kept, in meters of clearance.
    pub fn constraints(&self, lap: &Lap) -> [f64; CONSTRAINTS] {
        [
            lap.clearance[0] - self.reserve,
            lap.clearance[1] - self.reserve,
            0.1 * (self.guard / lap.sideslip).ln(),
            0.1 * (THROTTLE_GUARD / lap.throttle).ln(),
        ]
    }

    /// Sensitivities at a lap, by forward differences along the same grid.
    ///
    /// Dual numbers would give the same figures; with them a direction costs 1.7 to 2.2 times a period
    /// (measured), without one.
    ///
    /// The fast states follow design and slow states; how, is taken from the sensitivities of an orbit
    /// nearby (`before`). Without that the hands alone, which are still turning at the start, cost the
    /// slopes a percent and the search most of its speed; where there is none, two rounds are made.
    pub fn sensitivity(&self, lap: &Lap, before: Option<&Sensitivity>) -> Option<Sensitivity> {
        match before {
            Some(before) => self.round(lap, Some(before)),
            None => self.round(lap, Some(&self.round(lap, None)?)),
        }
    }

    fn round(&self, lap: &Lap, before: Option<&Sensitivity>) -> Option<Sensitivity> {
        let designs = 2 + 2 * self.harmonics();
        let scales = Design::scales(self.harmonics());
        let columns = designs + UNKNOWNS;
        let mut end = DMatrix::zeros(LENGTH, columns);
        let mut raw = DMatrix::zeros(CONSTRAINTS, columns);
        let here = self.constraints(lap);
        for j in 0..columns {
            // The lateral offset moves the whole path and nothing else.
            if j == 1 {
                end[(POSITION + 1, j)] = scales[1];
                for i in 0..2 {
                    raw[(i, j)] = lap.clearance_by_offset[i] * scales[1];
                }
                continue;
            }
            let (mut design, mut constant, mut start) =
                (lap.design.clone(), lap.constant, lap.start);
            match j.checked_sub(designs) {
                None => {
                    let mut p = design.vector();
                    p[j] += DIFFERENCE;
                    design = Design::from_vector(&p);
                }
                Some(0) => constant += DIFFERENCE,
                Some(k) => {
                    start[SLOW[k]] += DIFFERENCE;
                    // The wheels turn with the forward velocity.
                    if SLOW[k] == VELOCITY {
                        for spin in &mut start[SPIN..SPIN + 4] {
                            *spin *= 1.0 + DIFFERENCE / lap.start[VELOCITY];
                        }
                    }
                }
            }
            if let Some(before) = before {
                let follows = |i: usize| {
                    if j < designs {
                        before.end_by_design[(i, j)]
                    } else {
                        before.end_by_slow[(i, j - designs)]
                    }
                };
                for i in (0..LENGTH).filter(|i| is_fast(*i)) {
                    start[i] += DIFFERENCE * follows(i);
                }
            }
            let moved = self.lap(&design, constant, &start)?;
            for i in 0..LENGTH {
                end[(i, j)] = (moved.end[i] - lap.end[i]) / DIFFERENCE;
            }
            let there = self.constraints(&moved);
            for i in 0..CONSTRAINTS {
                raw[(i, j)] = (there[i] - here[i]) / DIFFERENCE;
            }
        }
        let end_by_design = end.columns(0, designs).into_owned();
        let end_by_slow = end.columns(designs, UNKNOWNS).into_owned();
        // Closure: end less start.
        let mut by_slow = DMatrix::from_fn(UNKNOWNS, UNKNOWNS, |k, j| end_by_slow[(SLOW[k], j)]);
        for k in 1..UNKNOWNS {
            by_slow[(k, k)] -= 1.0;
        }
        let mut by_design = DMatrix::from_fn(UNKNOWNS, designs, |k, j| end_by_design[(SLOW[k], j)]);
        by_design[(0, 1)] -= scales[1];
        let closure_inverse = by_slow.try_inverse()?;
        let slow_by_design = -(&closure_inverse * by_design);
        let constraints_by_slow = raw.columns(designs, UNKNOWNS).into_owned();
        let constraints = raw.columns(0, designs) + &constraints_by_slow * &slow_by_design;
        Some(Sensitivity {
            end_by_design,
            end_by_slow,
            constraints,
            constraints_by_slow,
            closure_inverse,
            slow_by_design,
        })
    }

    /// What is left to close: end less start of the slow states.
    fn gap(lap: &Lap) -> DVector<f64> {
        DVector::from_iterator(UNKNOWNS, SLOW.iter().map(|&i| lap.end[i] - lap.start[i]))
    }

    /// The constraints as they will be once the lap's small gap is closed.
    pub fn closed_constraints(&self, lap: &Lap, s: &Sensitivity) -> [f64; CONSTRAINTS] {
        let change = -(&s.constraints_by_slow * (&s.closure_inverse * Self::gap(lap)));
        let c = self.constraints(lap);
        std::array::from_fn(|i| c[i] + change[i])
    }

    /// The start predicted for a design that is `d` (in units of the scales) away from a closed lap.
    pub fn predict(&self, lap: &Lap, s: &Sensitivity, d: &DVector<f64>) -> (f64, State) {
        let slow = &s.slow_by_design * d;
        let end = &s.end_by_design * d + &s.end_by_slow * &slow;
        let mut start = lap.start;
        for i in 0..LENGTH {
            start[i] += end[i];
        }
        Self::place(&mut start, &lap.start, &slow);
        (lap.constant + slow[0], start)
    }

    /// Sets the slow states to `from` plus a change of z, the spins with the forward velocity.
    fn place(start: &mut State, from: &State, change: &DVector<f64>) {
        for (k, &i) in SLOW.iter().enumerate().skip(1) {
            start[i] = from[i] + change[k];
        }
        let ratio = start[VELOCITY] / from[VELOCITY];
        for i in SPIN..SPIN + 4 {
            start[i] = from[i] * ratio;
        }
    }

    /// Closes the orbit of a design from a start, with given sensitivities. The last lap run, closed
    /// to `tolerance` or not; none where the car does not get through or the passes diverge.
    pub fn close(
        &self,
        design: &Design,
        (mut constant, mut start): (f64, State),
        s: &Sensitivity,
        tolerance: f64,
        passes: usize,
    ) -> Option<Lap> {
        let mut last: Option<Lap> = None;
        for pass in 0..passes.max(1) {
            let lap = self.lap(design, constant, &start)?;
            if lap.open < tolerance || pass + 1 == passes {
                return Some(lap);
            }
            if let Some(before) = &last {
                // No headway: another pass does not help.
                if lap.open > 0.7 * before.open && pass >= 3 {
                    return Some(lap);
                }
                if lap.open > 4.0 * before.open && lap.open > 1e-2 {
                    return None;
                }
            }
            (constant, start) = self.improved(&lap, s);
            last = Some(lap);
        }
        last
    }

    /// The next start after a lap that is not closed.
    pub fn improved(&self, lap: &Lap, s: &Sensitivity) -> (f64, State) {
        let slow = -(&s.closure_inverse * Self::gap(lap));
        let end = &s.end_by_slow * &slow;
        let mut start = lap.end;
        for i in 0..LENGTH {
            start[i] += end[i];
        }
        // Spins keep the ratio to the forward velocity that they end with.
        let mut from = lap.start;
        for (from, end) in from[SPIN..SPIN + 4]
            .iter_mut()
            .zip(&lap.end[SPIN..SPIN + 4])
        {
            *from = end * lap.start[VELOCITY] / lap.end[VELOCITY];
        }
        Self::place(&mut start, &from, &slow);
        (lap.constant + slow[0], start)
    }
}
