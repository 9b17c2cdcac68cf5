//! Position: Newton's method on the constraints, followed along the travel.
//!
//! An exactly constrained linkage has as many constraints and drivers as unknowns: Newton's method
//! with the analytic rows converges to rounding in a few steps. A linkage with more links than that
//! fits only because its links yield (see [`crate::relaxed`]).
//!
//! From a known position the next one is predicted with the rates and corrected; where the correction
//! does not converge, or where the determinant of the rows changes sign or falls away (a branch point
//! would have been passed), the step is halved. When no step is left, the linkage locks there or has
//! come to a dead center, and the error names the links that fight each other.

use axletree_scalar::Real;
use axletree_scalar::Vec3;
use axletree_scalar::elementary;

use crate::dense::{Lu, MOST, Square};
use crate::diagnose;
use crate::error::{LinkageError, Travel};
use crate::mechanism::{Mechanism, Row, State, UNKNOWNS};
use crate::relaxed;

/// Newton steps before a position counts as not found.
const STEPS: usize = 10;
/// A position is found when no constraint misses by more [m].
pub(crate) const TOLERANCE: f64 = 1e-13;
/// Longest step along the travel [m], [rad].
const LONGEST: f64 = 0.025;
const WIDEST: f64 = 0.05;
/// Halvings of a step before the travel counts as ended.
const HALVINGS: i32 = 16;
/// Greatest change of a link's length in an over-constrained linkage [m].
pub const STRETCH: f64 = 0.01;
/// The determinant may not fall below this share of its value at static.
const LEFT: f64 = 1e-3;

/// Rates of all unknowns by each travel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rates {
    /// By heave or wheel travel [per m].
    pub heave: Row<f64>,
    /// By roll; zero for a corner [per rad].
    pub roll: Row<f64>,
    /// By displacement of the rack [per m].
    pub rack: Row<f64>,
}

impl Rates {
    /// Velocity of the center and angular velocity in one set of rates.
    pub fn twist(row: &Row<f64>) -> (Vec3<f64>, Vec3<f64>) {
        (
            Vec3([row[0], row[1], row[2]]),
            Vec3([row[3], row[4], row[5]]),
        )
    }
}

/// A position with its travel and rates.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Position {
    /// Pose and member angles.
    pub state: State<f64>,
    /// The travel it belongs to.
    pub travel: Travel,
    /// Its rates.
    pub rates: Rates,
    /// Forces of the drivers at equilibrium of yielding links; zero when exactly constrained
    /// [N, N m].
    pub driver: [f64; 2],
}

/// A mechanism with its position at static.
#[derive(Clone, Debug)]
pub struct Solver {
    /// The equations.
    pub mechanism: Mechanism,
    /// The position at static.
    pub start: Position,
    determinant: f64,
}

/// Rows of constraints and drivers, and their values.
pub(crate) fn assemble(
    m: &Mechanism,
    state: &State<f64>,
    want: Travel,
) -> (Square, [f64; MOST], usize) {
    let bodies = m.bodies(state, want.rack);
    let (mut a, mut g) = ([[0.0; MOST]; MOST], [0.0; MOST]);
    let count = m.constraints.len();
    for i in 0..count {
        let (value, row) = m.constraint(&bodies, i);
        g[i] = value;
        a[i][..UNKNOWNS].copy_from_slice(&row);
    }
    for j in 0..m.carried.drivers() {
        let (value, row) = m.driver(state, want, j);
        g[count + j] = value;
        a[count + j][..UNKNOWNS].copy_from_slice(&row);
    }
    (a, g, count + m.carried.drivers())
}

/// The state moved by small changes of the unknowns.
pub(crate) fn moved(m: &Mechanism, state: &State<f64>, d: &[f64]) -> State<f64> {
    let mut next = *state;
    next.pose = state
        .pose
        .step(Vec3([d[0], d[1], d[2]]), Vec3([d[3], d[4], d[5]]));
    for k in 0..m.hinges.len() {
        next.angle[k] += d[6 + k];
    }
    next
}

fn largest(g: &[f64]) -> f64 {
    g.iter().fold(0.0, |m, x| m.max(x.abs()))
}

/// Newton's method on an exactly constrained linkage: the state, the split rows there.
fn newton(m: &Mechanism, from: &State<f64>, want: Travel) -> Option<(State<f64>, Lu)> {
    let n = m.unknowns();
    let mut state = *from;
    let mut before = f64::INFINITY;
    for _ in 0..STEPS {
        let (a, g, rows) = assemble(m, &state, want);
        let miss = largest(&g[..rows]);
        let lu = Lu::new(a, n);
        if miss < TOLERANCE {
            state.pose = state.pose.squared();
            return Some((state, lu));
        }
        // Quadratic convergence or nothing; rounding may hold the last digit.
        if !miss.is_finite() || (miss > 0.5 * before && miss > 4.0 * TOLERANCE) || miss > 1.0 {
            return None;
        }
        if miss >= before {
            return Some((state, lu));
        }
        before = miss;
        if lu.pivot_ratio() < 1e-12 {
            return None;
        }
        let mut d = lu.solve(&g);
        for x in &mut d {
            *x = -*x;
        }
        if largest(&d[..n]) > 0.5 {
            return None;
        }
        state = moved(m, &state, &d[..n]);
    }
    None
}

/// Rates from the split rows: a driver moves by one, or a constraint by the rack.
fn exact_rates(m: &Mechanism, state: &State<f64>, at: Travel, lu: &Lu) -> Rates {
    let count = m.constraints.len();
    let take = |b: &[f64; MOST]| -> Row<f64> {
        let x = lu.solve(b);
        std::array::from_fn(|i| x[i])
    };
    let mut b = [0.0; MOST];
    b[count] = 1.0;
    let heave = take(&b);
    let mut roll = [0.0; UNKNOWNS];
    if m.carried.drivers() == 2 {
        b[count] = 0.0;
        b[count + 1] = Real::cos(at.roll);
        roll = take(&b);
    }
    Rates {
        heave,
        roll,
        rack: rack_rates(m, state, at, lu),
    }
}

fn rack_rates(m: &Mechanism, state: &State<f64>, at: Travel, lu: &Lu) -> Row<f64> {
    let mut b = [0.0; MOST];
    let bodies = m.bodies(state, at.rack);
    let mut any = false;
    for (i, x) in b.iter_mut().enumerate().take(m.constraints.len()) {
        *x = -m.by_rack(&bodies, i);
        any |= *x != 0.0;
    }
    if !any {
        return [0.0; UNKNOWNS];
    }
    let x = lu.solve(&b);
    std::array::from_fn(|i| x[i])
}

impl Solver {
    /// Assembles the linkage at static.
    pub fn new(mechanism: Mechanism) -> Result<Self, LinkageError> {
        let m = &mechanism;
        let still = Travel {
            heave: 0.0,
            roll: 0.0,
            rack: 0.0,
        };
        let drawn = m.drawn();
        diagnose::freedom_left(m, &drawn, still)?;
        if m.over_constrained() {
            let start =
                relaxed::position(m, &drawn, still).ok_or_else(|| cannot(m, &drawn, still))?;
            return Ok(Solver {
                start,
                determinant: 0.0,
                mechanism,
            });
        }
        let state = settle(m, &drawn, still).ok_or_else(|| cannot(m, &drawn, still))?;
        diagnose::freedom_left(m, &state, still)?;
        let (state, lu) = newton(m, &state, still).ok_or_else(|| cannot(m, &drawn, still))?;
        let start = Position {
            state,
            travel: still,
            rates: exact_rates(m, &state, still, &lu),
            driver: [0.0; 2],
        };
        Ok(Solver {
            start,
            determinant: lu.determinant(),
            mechanism,
        })
    }

    /// The position at `want`, found by following the travel from `from`.
    pub fn follow(&self, from: &Position, want: Travel) -> Result<Position, LinkageError> {
        check_travel(want)?;
        let m = &self.mechanism;
        let mut here = *from;
        let mut halvings = 0;
        loop {
            let (dh, dr, dk) = (
                want.heave - here.travel.heave,
                want.roll - here.travel.roll,
                want.rack - here.travel.rack,
            );
            let steps = (dh.abs() / LONGEST)
                .max(dr.abs() / WIDEST)
                .max(dk.abs() / LONGEST)
                .max(1.0);
            let share = (1.0 / steps) * elementary::powi(0.5, halvings);
            let last = share >= 1.0;
            let next = if last {
                want
            } else {
                Travel {
                    heave: here.travel.heave + share * dh,
                    roll: here.travel.roll + share * dr,
                    rack: here.travel.rack + share * dk,
                }
            };
            let (h, r, k) = (share * dh, share * dr, share * dk);
            let rates = &here.rates;
            let d: Row<f64> =
                std::array::from_fn(|i| h * rates.heave[i] + r * rates.roll[i] + k * rates.rack[i]);
            let found = if largest(&d) < 0.3 {
                self.correct(&moved(m, &here.state, &d), next)
            } else {
                None
            };
            if let Some(position) = found {
                here = position;
                self.check_strain(&here)?;
                if last {
                    return Ok(here);
                }
                halvings = 0.max(halvings - 1);
            } else {
                halvings += 1;
                if halvings > HALVINGS {
                    return Err(diagnose::stopped(m, &here.state, here.travel, want));
                }
            }
        }
    }

    /// The position at a travel, followed from static.
    pub fn at(&self, want: Travel) -> Result<Position, LinkageError> {
        self.follow(&self.start, want)
    }

    fn correct(&self, guess: &State<f64>, want: Travel) -> Option<Position> {
        let m = &self.mechanism;
        if m.over_constrained() {
            return relaxed::position(m, guess, want);
        }
        let (state, lu) = newton(m, guess, want)?;
        // On the branch of the static position the determinant keeps its sign.
        if lu.determinant() / self.determinant < LEFT {
            return None;
        }
        Some(Position {
            state,
            travel: want,
            rates: exact_rates(m, &state, want, &lu),
            driver: [0.0; 2],
        })
    }

    fn check_strain(&self, position: &Position) -> Result<(), LinkageError> {
        if !self.mechanism.over_constrained() {
            return Ok(());
        }
        let misses = self.misses(position);
        let stretch = largest(&misses);
        if stretch <= STRETCH {
            return Ok(());
        }
        Err(LinkageError::Strained {
            links: diagnose::with_share(&self.mechanism, &misses),
            stretch,
            bound: STRETCH,
            travel: position.travel,
        })
    }

    /// How much each constraint misses at a position: the link's change of length [m].
    pub fn misses(&self, position: &Position) -> Vec<f64> {
        let m = &self.mechanism;
        let bodies = m.bodies(&position.state, position.travel.rack);
        (0..m.constraints.len())
            .map(|i| m.constraint(&bodies, i).0)
            .collect()
    }
}

/// The drawn position brought to the lengths given, by damped steps.
fn settle(m: &Mechanism, drawn: &State<f64>, still: Travel) -> Option<State<f64>> {
    let n = m.unknowns();
    let mut state = *drawn;
    for _ in 0..60 {
        let (a, g, rows) = assemble(m, &state, still);
        let miss = largest(&g[..rows]);
        if miss < 1e-9 {
            return Some(state);
        }
        let d = Lu::new(a, n).solve(&g);
        let size = largest(&d[..n]);
        if !size.is_finite() {
            return None;
        }
        // The longest step that brings the constraints nearer.
        let mut k = (0.2 / size).min(1.0);
        loop {
            let tried: Vec<f64> = d[..n].iter().map(|x| -k * x).collect();
            let next = moved(m, &state, &tried);
            let (_, g, _) = assemble(m, &next, still);
            if largest(&g[..rows]) < miss {
                state = next;
                break;
            }
            k *= 0.5;
            if k < 1e-4 {
                return None;
            }
        }
    }
    None
}

/// The error for a linkage that does not go together: least squares tells who misses.
fn cannot(m: &Mechanism, drawn: &State<f64>, still: Travel) -> LinkageError {
    let state = relaxed::nearest(m, drawn, still);
    let bodies = m.bodies(&state, still.rack);
    let misses: Vec<f64> = (0..m.constraints.len())
        .map(|i| m.constraint(&bodies, i).0)
        .collect();
    LinkageError::CannotAssemble {
        links: diagnose::with_share(m, &misses),
        gap: largest(&misses),
    }
}

fn check_travel(want: Travel) -> Result<(), LinkageError> {
    for (what, value, unit, most) in [
        ("heave", want.heave, "m", 1.0),
        ("roll", want.roll, "rad", 1.0),
        ("rack travel", want.rack, "m", 0.5),
    ] {
        if !(-most..=most).contains(&value) {
            return Err(LinkageError::Range {
                what,
                value,
                unit,
                low: -most,
                high: most,
            });
        }
    }
    Ok(())
}
