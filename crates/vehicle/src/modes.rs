//! The modes of a linearized car, named by what moves in them.
//!
//! With right and left eigenvectors v and u of an eigenvalue, state k takes part by `|u_k v_k|`
//! (participation factors, Perez-Arriaga, Verghese and Schweppe, IEEE Trans. PAS-101, 1982, from
//! memory); they do not depend on the units of the states. The group of states that takes part most
//! gives the name; for pairs of wheels, the phase between left and right says whether they move
//! together.

use axletree_scalar::Real;
use nalgebra::{Complex, DMatrix, DVector};

use crate::eigen::{EigenError, eigenvalues};
use crate::linear::Linearization;
use crate::model::layout::{
    ATTITUDE, CLUTCH, DEFLECTION, DRIVELINE, ENGINE, HOUSING, POSITION, RATE, SHAFT_DIFFERENCE,
    SHAFT_MEAN, SPIN, STATES, THROTTLE, TOE, TRAVEL, TRAVEL_RATE, TWIST, VELOCITY, WINDUP,
};

/// One mode: a real eigenvalue or a pair of complex ones.
#[derive(Clone, Debug, PartialEq)]
pub struct Mode {
    /// What moves in it.
    pub name: String,
    /// Real part of the eigenvalue [1/s].
    pub real: f64,
    /// Imaginary part, never negative [rad/s].
    pub imaginary: f64,
    /// Undamped natural frequency: magnitude over 2 pi [Hz].
    pub frequency: f64,
    /// Damping ratio: minus the real part over the magnitude; 1 for a decay, -1 for a growth without
    /// oscillation [-].
    pub damping_ratio: f64,
    /// Share of each state in it, in the order of the state names; adds up to 1 [-].
    pub shares: Vec<f64>,
}

/// Groups of states that give a mode its name.
const GROUPS: [(&str, &[usize]); 17] = [
    ("speed", &[VELOCITY]),
    ("yaw and sideslip", &[VELOCITY + 1, RATE + 2]),
    ("body heave", &[POSITION + 2, VELOCITY + 2]),
    ("body pitch", &[ATTITUDE + 1, RATE + 1]),
    ("body roll", &[ATTITUDE + 2, RATE]),
    (
        "front hop",
        &[TRAVEL, TRAVEL + 1, TRAVEL_RATE, TRAVEL_RATE + 1],
    ),
    (
        "rear hop",
        &[TRAVEL + 2, TRAVEL + 3, TRAVEL_RATE + 2, TRAVEL_RATE + 3],
    ),
    (
        "front wheel spin on its carcass",
        &[SPIN, SPIN + 1, DEFLECTION, DEFLECTION + 2],
    ),
    (
        "rear wheel spin on its carcass",
        &[SPIN + 2, SPIN + 3, DEFLECTION + 4, DEFLECTION + 6],
    ),
    ("front tire lag", &[DEFLECTION + 1, DEFLECTION + 3]),
    ("rear tire lag", &[DEFLECTION + 5, DEFLECTION + 7]),
    (
        "compliance lag",
        &[
            TOE,
            TOE + 1,
            TOE + 2,
            TOE + 3,
            TOE + 4,
            TOE + 5,
            TOE + 6,
            TOE + 7,
        ],
    ),
    ("steering lag", &[TWIST]),
    ("wind-up", &[WINDUP, HOUSING]),
    ("driveline twist", &[SHAFT_MEAN, DRIVELINE]),
    ("half shafts, opposed", &[SHAFT_DIFFERENCE]),
    ("engine", &[ENGINE, CLUTCH, THROTTLE]),
];

/// States that tell whether two wheels move together: of the group's left and right.
fn sides(group: usize) -> Option<[usize; 2]> {
    match GROUPS[group].0 {
        "front hop" => Some([TRAVEL, TRAVEL + 1]),
        "rear hop" => Some([TRAVEL + 2, TRAVEL + 3]),
        "front wheel spin on its carcass" => Some([SPIN, SPIN + 1]),
        "rear wheel spin on its carcass" => Some([SPIN + 2, SPIN + 3]),
        "front tire lag" => Some([DEFLECTION + 1, DEFLECTION + 3]),
        "rear tire lag" => Some([DEFLECTION + 5, DEFLECTION + 7]),
        _ => None,
    }
}

impl Linearization {
    /// The modes, by growing frequency. Position and heading, which nothing on a flat road depends on,
    /// are left out, and so are states at rest.
    pub fn modes(&self) -> Result<Vec<Mode>, EigenError> {
        let felt: Vec<usize> = (0..STATES)
            .filter(|i| {
                ![POSITION, POSITION + 1, ATTITUDE].contains(i) && !self.resting.contains(i)
            })
            .collect();
        let n = felt.len();
        let a = DMatrix::from_fn(n, n, |i, j| self.a[(felt[i], felt[j])]);
        let found: Vec<Found> = eigenvalues(&a)?
            .iter()
            .filter(|l| l.im >= 0.0)
            .map(|l| Found::of(&a, &felt, *l))
            .collect();
        let groups = shared_out(&found);
        let mut modes: Vec<Mode> = found
            .into_iter()
            .zip(groups)
            .map(|(mode, group)| self.named(mode, group, &felt))
            .collect();
        modes.sort_by(|x, y| x.frequency.total_cmp(&y.frequency));
        Ok(modes)
    }

    fn named(&self, mode: Found, group: usize, felt: &[usize]) -> Mode {
        let amplitude = |state: usize| {
            felt.iter()
                .position(|s| *s == state)
                .map_or(Complex::new(0.0, 0.0), |i| mode.right[i])
        };
        let size = Real::hypot(mode.value.re, mode.value.im);
        Mode {
            name: self.name(group, &mode.shares, &amplitude),
            real: mode.value.re,
            imaginary: mode.value.im,
            frequency: size / std::f64::consts::TAU,
            damping_ratio: if size > 0.0 {
                -mode.value.re / size
            } else {
                1.0
            },
            shares: mode.shares,
        }
    }

    fn name(
        &self,
        group: usize,
        shares: &[f64],
        amplitude: &dyn Fn(usize) -> Complex<f64>,
    ) -> String {
        let base = GROUPS[group].0;
        let solid = self
            .state_names
            .iter()
            .any(|(name, _)| name == "axle_heave");
        if solid && base == "rear hop" {
            let heave = shares[TRAVEL + 2] + shares[TRAVEL_RATE + 2];
            let roll = shares[TRAVEL + 3] + shares[TRAVEL_RATE + 3];
            let name = if heave > roll {
                "axle hop"
            } else {
                "axle tramp"
            };
            return name.to_owned();
        }
        match sides(group) {
            Some([l, r]) => {
                let together = (amplitude(l) * amplitude(r).conj()).re >= 0.0;
                format!("{base}, {}", if together { "together" } else { "opposed" })
            }
            None => base.to_owned(),
        }
    }
}

/// An eigenvalue with its right eigenvector and the share of every state in it.
struct Found {
    value: Complex<f64>,
    right: DVector<Complex<f64>>,
    shares: Vec<f64>,
}

impl Found {
    fn of(a: &DMatrix<f64>, felt: &[usize], value: Complex<f64>) -> Self {
        let right = eigenvector(a, value);
        let left = eigenvector(&a.transpose(), value);
        let mut shares = vec![0.0; STATES];
        for (i, state) in felt.iter().enumerate() {
            shares[*state] = {
                let share = right[i] * left[i];
                Real::hypot(share.re, share.im)
            };
        }
        let total: f64 = shares.iter().sum();
        if total > 0.0 {
            for share in &mut shares {
                *share /= total;
            }
        }
        Found {
            value,
            right,
            shares,
        }
    }

    fn part(&self, group: usize) -> f64 {
        GROUPS[group].1.iter().map(|s| self.shares[*s]).sum()
    }

    /// States that the mode accounts for: one, or two for a pair of complex eigenvalues.
    fn order(&self) -> usize {
        if self.value.im > 0.0 { 2 } else { 1 }
    }
}

/// A group for every mode: the largest shares first, no group accounting for more states than it has,
/// so that two modes that mix are still told apart.
fn shared_out(found: &[Found]) -> Vec<usize> {
    let mut pairs: Vec<(usize, usize)> = (0..found.len())
        .flat_map(|mode| (0..GROUPS.len()).map(move |group| (mode, group)))
        .collect();
    let share = |&(mode, group): &(usize, usize)| found[mode].part(group);
    pairs.sort_by(|x, y| share(y).total_cmp(&share(x)));
    let mut room: Vec<usize> = GROUPS.iter().map(|(_, states)| states.len()).collect();
    let mut groups: Vec<Option<usize>> = vec![None; found.len()];
    for (mode, group) in &pairs {
        if groups[*mode].is_none() && room[*group] >= found[*mode].order() {
            room[*group] -= found[*mode].order();
            groups[*mode] = Some(*group);
        }
    }
    // What found no room keeps the group it has most of.
    groups
        .into_iter()
        .enumerate()
        .map(|(mode, group)| {
            let most = || {
                pairs
                    .iter()
                    .find(|(m, _)| *m == mode)
                    .map_or(0, |(_, g)| *g)
            };
            group.unwrap_or_else(most)
        })
        .collect()
}

/// An eigenvector by inverse iteration, of length one.
fn eigenvector(a: &DMatrix<f64>, value: Complex<f64>) -> DVector<Complex<f64>> {
    let n = a.nrows();
    // Slightly off the eigenvalue, so that the matrix can be factored.
    let shift = value * (1.0 + 1e-10) + Complex::new(1e-10, 1e-10);
    let shifted = DMatrix::from_fn(n, n, |i, j| {
        Complex::new(a[(i, j)], 0.0)
            - if i == j {
                shift
            } else {
                Complex::new(0.0, 0.0)
            }
    });
    let factored = shifted.lu();
    // A start that favors no state.
    let mut x = DVector::from_fn(n, |i, _| Complex::new(1.0 + 0.1 * Real::sin(i as f64), 0.3));
    for _ in 0..4 {
        let Some(next) = factored.solve(&x) else {
            break;
        };
        let size = next.norm();
        if !size.is_finite() || size == 0.0 {
            break;
        }
        x = next.unscale(size);
    }
    x
}
