//! One period of the slalom: its start, its simulation, its constraints.
//!
//! The inside of a slalom repeats after two cones. A period starts halfway between two cones, at X
//! = -S/2, passes one on its left at X = 0 and one on its right at X = S, and ends at X = 3S/2. It
//! is a periodic orbit if it ends in the state in which it started.
//!
//! ```text
//! p = (V, Y_0, A_1, B_1, A_3, B_3, ...)           design: speed, offset, steering amplitudes
//! z = (d_0, psi, v, r, phi, p, u, i, Z, theta)    closure unknowns, at X = -S/2
//! ```
//!
//! with heading psi, lateral velocity v, yaw rate r, roll phi and its rate p, forward velocity u,
//! integral of the speed error i, height Z, pitch theta. The steering's constant d_0 takes the
//! place of the lateral position in z, because the steering alone does not depend on where the
//! course lies. Everything faster (travels, wheel spins, tires, lags, hands) forgets its start
//! within a period and is carried over from the end of the last one.
//!
//! Constraints, each at least zero where it is kept, in meters of clearance:
//!
//! ```text
//! c_j - reserve                              clearance of each cone, before O and behind it
//! 0.1 ln(guard/max sideslip)                 sideslip guard
//! 0.1 ln(1.5/max torque ratio)               power guard
//! ```

use std::cell::{Cell, RefCell};
use std::ops::ControlFlow;

use axletree_scalar::{LANES, lone};
use axletree_vehicle::model::layout::{ATTITUDE, POSITION, RATE, VELOCITY};
use nalgebra::DVector;

use super::super::geometry::{PeriodGrid, SlalomGeometry};
use super::super::settings::Slalom;
use super::harmonics::{HarmonicSteering, basis};
use super::plant::{CRUISE, Plant, PlantState, TIME};
use super::trajectories::{GridPoint, StatePoint, Trajectory};
use crate::cones::{ConePass, Outline};

/// Slow states in the order of z; the first place stands for the steering's constant in z and for
/// the lateral position in the closure.
pub(crate) const SLOW_STATES: [usize; 10] = [
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
/// Faster states that are included in the measure of the closure.
const ALSO_CLOSED: [usize; 2] = [VELOCITY + 2, RATE + 1];
/// Number of closure unknowns.
pub(crate) const UNKNOWNS: usize = SLOW_STATES.len();
/// Number of clearances of a period: of each cone while it is before O and while it is behind.
pub(crate) const CLEARANCES: usize = 4;
/// Number of constraints of the search: clearances, sideslip, power.
pub(crate) const CONSTRAINTS: usize = CLEARANCES + 2;
/// Step of the forward differences, in units of the scales: small enough to be a derivative to six
/// digits, large enough not to be rounding.
pub(crate) const DIFFERENCE: f64 = 1e-6;
/// Tangent of the sideslip from which a car has spun `[-]`.
const SPIN_SLIP: f64 = 2.5;
/// Largest torque ratio allowed `[-]`: the soft bound then gives 99.5 % of full torque.
const TORQUE_RATIO_GUARD: f64 = 1.5;
/// Clearance that corresponds to a logarithm of a guard over its quantity `[m]`.
const GUARD_SCALE: f64 = 0.1;
/// Least sideslip tangent and torque ratio `[-]`, so that their logarithms exist.
const LEAST_SLIP: f64 = 1e-3;
const LEAST_TORQUE_RATIO: f64 = 1e-2;
/// Scales of the design: speed `[m/s]`, offset `[m]`, amplitude of the first harmonic `[rad]`, that
/// of the k-th being divided by k.
const DESIGN_SCALES: [f64; 3] = [1.0, 0.2, 0.04];

/// Design of an orbit.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct OrbitDesign {
    /// Speed, V `[m/s]`.
    pub speed: f64,
    /// Lateral position at the start, Y_0 `[m]`.
    pub offset: f64,
    /// Cosine and sine amplitudes of the odd harmonics `[rad, mean road-wheel angle]`.
    pub amplitudes: Vec<[f64; 2]>,
}

impl OrbitDesign {
    /// Change of each number of the design that matters about as much as one of the others.
    pub fn scales(harmonics: usize) -> Vec<f64> {
        let [speed, offset, amplitude] = DESIGN_SCALES;
        let mut scales = vec![speed, offset];
        for i in 0..harmonics {
            scales.extend([amplitude / (2 * i + 1) as f64; 2]);
        }
        scales
    }

    /// Design as a vector in units of the scales.
    pub fn vector(&self) -> DVector<f64> {
        let raw: Vec<f64> = [self.speed, self.offset]
            .into_iter()
            .chain(self.amplitudes.iter().flatten().copied())
            .collect();
        let scales = OrbitDesign::scales(self.amplitudes.len());
        DVector::from_iterator(raw.len(), raw.iter().zip(scales).map(|(x, s)| x / s))
    }

    /// Design of a vector in units of the scales.
    pub fn from_vector(v: &DVector<f64>) -> Self {
        let harmonics = (v.len() - 2) / 2;
        let raw: Vec<f64> = v
            .iter()
            .zip(OrbitDesign::scales(harmonics))
            .map(|(x, s)| x * s)
            .collect();
        OrbitDesign {
            speed: raw[0],
            offset: raw[1],
            amplitudes: raw[2..].chunks(2).map(|c| [c[0], c[1]]).collect(),
        }
    }
}

/// Start of a period.
#[derive(Clone, Debug)]
pub(crate) struct PeriodStart {
    /// Design.
    pub design: OrbitDesign,
    /// Constant of the steering, d_0 `[rad, mean road-wheel angle]`.
    pub constant: f64,
    /// State; position along the course, offset and clock are set from the design.
    pub state: PlantState,
}

/// One simulated period.
#[derive(Clone, Debug)]
pub(crate) struct Lap {
    /// Design.
    pub design: OrbitDesign,
    /// Constant of the steering, d_0 `[rad, mean road-wheel angle]`.
    pub constant: f64,
    /// State at the start.
    pub start: PlantState,
    /// State at the end.
    pub end: PlantState,
    /// Largest departure of the slow states over the period, each in its unit.
    pub open: f64,
    /// Clearances of the two cones, each while it is before O and while it is behind `[m]`.
    pub clearance: [f64; CLEARANCES],
    /// Derivatives of the clearances by the lateral offset `[-]`.
    pub clearance_by_offset: [f64; CLEARANCES],
    /// Largest sideslip angle `[rad]`.
    pub sideslip: f64,
    /// Largest torque commanded over its bound `[-]`.
    pub torque_ratio: f64,
}

impl Lap {
    /// Least clearance of each cone `[m]`.
    pub fn margins(&self) -> [f64; 2] {
        let [a, b, c, d] = self.clearance;
        [a.min(b), c.min(d)]
    }

    /// Start of the lap.
    pub fn period_start(&self) -> PeriodStart {
        PeriodStart {
            design: self.design.clone(),
            constant: self.constant,
            state: self.start,
        }
    }
}

/// Observer of a period: clearances, largest sideslip and torque.
struct PeriodMonitor {
    passes: [ConePass; 2],
    /// Passes of the car moved to the left by [`DIFFERENCE`].
    shifted: [ConePass; 2],
    slip: f64,
    torque_ratio: f64,
}

impl PeriodMonitor {
    fn new(period: &Period) -> Self {
        let cones = [0, 1].map(|number| period.geometry.cone(number));
        let passes = cones.map(|cone| ConePass::new(cone, period.outline));
        PeriodMonitor {
            passes,
            shifted: passes,
            slip: LEAST_SLIP,
            torque_ratio: LEAST_TORQUE_RATIO,
        }
    }

    fn observe(&mut self, point: &GridPoint<'_>) -> ControlFlow<()> {
        let [x, y] = [POSITION, POSITION + 1].map(|i| point.state.at(i));
        for (pass, shifted) in self.passes.iter_mut().zip(&mut self.shifted) {
            if pass.is_near(x) {
                pass.observe([x, y], point.heading);
                shifted.observe([x, y + DIFFERENCE], point.heading);
            }
        }
        self.slip = self.slip.max(point.slip.abs());
        self.torque_ratio = self.torque_ratio.max(point.torque_ratio);
        // A car that has spun does not come back.
        if self.slip > SPIN_SLIP {
            ControlFlow::Break(())
        } else {
            ControlFlow::Continue(())
        }
    }

    #[expect(clippy::large_types_passed_by_value, reason = "copied once a period")]
    fn report(self, start: &PeriodStart, placed: PlantState, end: PlantState) -> Lap {
        let parts = |[first, second]: [ConePass; 2]| {
            let ([a, b], [c, d]) = (first.parts(), second.parts());
            [a, b, c, d]
        };
        let (clearance, shifted) = (parts(self.passes), parts(self.shifted));
        let open = SLOW_STATES
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
            sideslip: lone::atan(self.slip),
            torque_ratio: self.torque_ratio,
        }
    }
}

/// Periods of one car in one slalom.
pub(crate) struct Period<'a> {
    /// Car and driver.
    pub plant: Plant<'a>,
    /// Geometry of the slalom.
    pub geometry: SlalomGeometry,
    /// Outline of the car.
    pub outline: Outline,
    /// Grid of the integration.
    pub grid: PeriodGrid,
    /// Mean road-wheel angle per steering-wheel angle `[-]`.
    pub gain: f64,
    /// Clearance required `[m]`.
    pub reserve: f64,
    sideslip_guard: f64,
    /// Basis of the steering at every half step.
    basis: Vec<Vec<[f64; 2]>>,
    runs: Cell<usize>,
}

impl<'a> Period<'a> {
    /// Periods of a car in a slalom, in steps of at most a length `[m]`.
    pub fn new(plant: Plant<'a>, slalom: &Slalom, longest_step: f64) -> Self {
        let geometry = SlalomGeometry::of(slalom);
        let grid = geometry.grid(longest_step);
        let half_step = |i: usize| {
            let place = geometry.place_of(grid, i);
            (0..slalom.harmonics).map(|k| basis(k, place)).collect()
        };
        Period {
            outline: Outline::of(&plant.model.geometry),
            gain: plant.steering_gain(),
            plant,
            geometry,
            grid,
            sideslip_guard: slalom.sideslip_guard,
            reserve: slalom.clearance_reserve,
            basis: (0..=2 * grid.steps).map(half_step).collect(),
            runs: Cell::new(0),
        }
    }

    /// Number of harmonics.
    pub fn harmonics(&self) -> usize {
        self.basis[0].len()
    }

    /// Periods simulated so far.
    pub fn runs(&self) -> usize {
        self.runs.get()
    }

    /// Learned steering of a lap.
    pub fn steering(&self, lap: &Lap) -> HarmonicSteering {
        HarmonicSteering {
            constant: lap.constant,
            amplitudes: lap.design.amplitudes.clone(),
            spacing: self.geometry.spacing,
            gain: self.gain,
        }
    }

    /// One period from a start; none where the car does not get through.
    pub fn lap(&self, start: &PeriodStart) -> Option<Lap> {
        self.laps(std::slice::from_ref(start)).pop().flatten()
    }

    /// One period from a start, every point of the grid passed to an observer with its number.
    pub fn lap_observed(
        &self,
        start: &PeriodStart,
        observer: &mut dyn FnMut(usize, &GridPoint<'_>),
    ) -> Option<Lap> {
        let starts = std::slice::from_ref(start);
        self.laps_observed(starts, &mut |_, i, point| observer(i, point))
            .pop()
            .flatten()
    }

    /// A period from each start, side by side.
    pub fn laps(&self, starts: &[PeriodStart]) -> Vec<Option<Lap>> {
        self.laps_observed(starts, &mut |_, _, _| ())
    }

    /// A period from each start; the observer is given the number of the start and of the grid
    /// point.
    fn laps_observed(
        &self,
        starts: &[PeriodStart],
        observer: &mut dyn FnMut(usize, usize, &GridPoint<'_>),
    ) -> Vec<Option<Lap>> {
        self.runs.set(self.runs.get() + starts.len());
        let mut all = Vec::with_capacity(starts.len());
        for (group, starts) in starts.chunks(LANES).enumerate() {
            let observer = RefCell::new(|lane: usize, i: usize, point: &GridPoint<'_>| {
                observer(group * LANES + lane, i, point);
            });
            let mut monitors: Vec<PeriodMonitor> =
                starts.iter().map(|_| PeriodMonitor::new(self)).collect();
            let wanted: Vec<Vec<f64>> = starts.iter().map(|s| self.wanted(s)).collect();
            let wanted: Vec<_> = wanted
                .iter()
                .map(|w| |i: usize, _: &StatePoint<'_>| w[i])
                .collect();
            let mut observers: Vec<_> = monitors
                .iter_mut()
                .enumerate()
                .map(|(lane, monitor)| {
                    let observer = &observer;
                    move |i: usize, point: &GridPoint<'_>| {
                        (observer.borrow_mut())(lane, i, point);
                        monitor.observe(point)
                    }
                })
                .collect();
            let mut trajectories: Vec<Trajectory<'_>> = observers
                .iter_mut()
                .zip(&wanted)
                .zip(starts)
                .map(|((observer, wanted), start)| Trajectory {
                    start: self.placed(start),
                    speed: start.design.speed,
                    wanted,
                    observer,
                })
                .collect();
            let ends = self
                .plant
                .run_batch(&mut trajectories, self.grid.step, self.grid.steps);
            drop(trajectories);
            drop(observers);
            for ((end, monitor), start) in ends.into_iter().zip(monitors).zip(starts) {
                all.push(end.map(|end| monitor.report(start, self.placed(start), end)));
            }
        }
        all
    }

    /// State of a start with position, offset and clock set.
    fn placed(&self, start: &PeriodStart) -> PlantState {
        let mut state = start.state;
        state[POSITION] = self.geometry.period_start();
        state[POSITION + 1] = start.design.offset;
        state[TIME] = 0.0;
        state
    }

    /// Steering-wheel angle wanted at every half step `[rad]`.
    fn wanted(&self, start: &PeriodStart) -> Vec<f64> {
        let wheel = |basis: &Vec<[f64; 2]>| {
            let mut sum = start.constant;
            for ([a, b], [c, s]) in start.design.amplitudes.iter().zip(basis) {
                sum += a * c + b * s;
            }
            sum / self.gain
        };
        self.basis.iter().map(wheel).collect()
    }

    /// Constraints of a lap, each at least zero where it is kept, in meters of clearance.
    pub fn constraints(&self, lap: &Lap) -> [f64; CONSTRAINTS] {
        let [a, b, c, d] = lap.clearance.map(|c| c - self.reserve);
        [
            a,
            b,
            c,
            d,
            GUARD_SCALE * lone::ln(self.sideslip_guard / lap.sideslip),
            GUARD_SCALE * lone::ln(TORQUE_RATIO_GUARD / lap.torque_ratio),
        ]
    }
}
