//! The modes of a linearized car, named by the states that move in them.
//!
//! With right and left eigenvectors v and u of an eigenvalue, state k takes part by `|u_k v_k|`
//! (participation factors, Perez-Arriaga, Verghese and Schweppe, IEEE Trans. PAS-101, 1982, from
//! memory); they do not depend on the units of the states. The group of states with the largest
//! share gives the name; for pairs of wheels, the phase between left and right tells "together"
//! from "opposed".

use axletree_scalar::Real;
use nalgebra::{Complex, DMatrix, DVector};

use crate::eigen::{EigenError, Eigenpair, eigenpairs};
use crate::linear::Linearization;
use crate::model::layout::{
    ATTITUDE, CLUTCH, DEFLECTION, DRIVELINE, ENGINE, HOUSING, POSITION, RATE, SHAFT_DIFFERENCE,
    SHAFT_MEAN, SPIN, STATES, THROTTLE, TOE, TRAVEL, TRAVEL_RATE, TWIST, VELOCITY, WINDUP,
};

/// One mode: a real eigenvalue or a pair of complex ones.
#[derive(Clone, Debug, PartialEq)]
pub struct Mode {
    /// Name: the group of states that moves in it.
    pub name: String,
    /// Real part of the eigenvalue `[1/s]`.
    pub real: f64,
    /// Imaginary part, never negative `[rad/s]`.
    pub imaginary: f64,
    /// Undamped natural frequency: magnitude over 2 pi `[Hz]`.
    pub frequency: f64,
    /// Damping ratio: minus the real part over the magnitude; 1 for a decay, -1 for a growth
    /// without oscillation `[-]`.
    pub damping_ratio: f64,
    /// Share of each state, in the order of the state names; adds up to 1 `[-]`.
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

/// States of the left and the right wheel of a group, whose phase tells "together" from "opposed".
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
    /// The modes in the order of growing frequency, without position and heading, which have no
    /// effect on a flat road, and without states at rest.
    ///
    /// # Errors
    /// [`EigenError`] where the eigenvalues were not found.
    pub fn modes(&self) -> Result<Vec<Mode>, EigenError> {
        let effective: Vec<usize> = (0..STATES)
            .filter(|i| {
                ![POSITION, POSITION + 1, ATTITUDE].contains(i) && !self.resting.contains(i)
            })
            .collect();
        let n = effective.len();
        let a = DMatrix::from_fn(n, n, |i, j| self.a[(effective[i], effective[j])]);
        let parts: Vec<Participation> = eigenpairs(&a)?
            .into_iter()
            .map(|pair| Participation::of(pair, &effective))
            .collect();
        let groups = assigned_groups(&parts);
        let mut modes: Vec<Mode> = parts
            .into_iter()
            .zip(groups)
            .map(|(mode, group)| self.named(mode, group, &effective))
            .collect();
        modes.sort_by(|x, y| x.frequency.total_cmp(&y.frequency));
        Ok(modes)
    }

    fn named(&self, mode: Participation, group: usize, effective: &[usize]) -> Mode {
        let amplitude = |state: usize| {
            effective
                .iter()
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

/// An eigenvalue with its right eigenvector and the share of every state.
struct Participation {
    value: Complex<f64>,
    right: DVector<Complex<f64>>,
    shares: Vec<f64>,
}

impl Participation {
    fn of(pair: Eigenpair, effective: &[usize]) -> Self {
        let Eigenpair { value, right, left } = pair;
        let mut shares = vec![0.0; STATES];
        for (i, state) in effective.iter().enumerate() {
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
        Participation {
            value,
            right,
            shares,
        }
    }

    fn share_of(&self, group: usize) -> f64 {
        GROUPS[group].1.iter().map(|s| self.shares[*s]).sum()
    }

    /// States that the mode accounts for: one, or two for a pair of complex eigenvalues.
    fn order(&self) -> usize {
        if self.value.im > 0.0 { 2 } else { 1 }
    }
}

/// Least share of a group in a mode that it names, unless no other group has more.
const LEAST_SHARE: f64 = 0.1;

/// A group for every mode, the largest shares first. No group gets more modes than it has states,
/// so that two modes that mix get different names; but no mode is named after states that hardly
/// take part in it.
fn assigned_groups(parts: &[Participation]) -> Vec<usize> {
    let mut pairs: Vec<(usize, usize)> = (0..parts.len())
        .flat_map(|mode| (0..GROUPS.len()).map(move |group| (mode, group)))
        .collect();
    let share = |&(mode, group): &(usize, usize)| parts[mode].share_of(group);
    pairs.sort_by(|x, y| share(y).total_cmp(&share(x)));
    let mut room: Vec<usize> = GROUPS.iter().map(|(_, states)| states.len()).collect();
    let mut groups: Vec<Option<usize>> = vec![None; parts.len()];
    for (mode, group) in &pairs {
        let takes_part = parts[*mode].share_of(*group) >= LEAST_SHARE;
        if takes_part && groups[*mode].is_none() && room[*group] >= parts[*mode].order() {
            room[*group] -= parts[*mode].order();
            groups[*mode] = Some(*group);
        }
    }
    // A mode whose groups are all full shares the group with its largest share.
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trim::{Condition, solve};
    use crate::{BUNDLED, bundled, linearize};

    /// No mode of a bundled car is named after states that hardly take part in it, from 5 to 40 m/s.
    /// The control: groups do fill up, so that modes get their second choice.
    #[test]
    fn law_a_mode_is_named_after_states_that_move_in_it() {
        let mut second = 0;
        for (name, _) in BUNDLED {
            let model = bundled(name).unwrap().unwrap().assemble().unwrap();
            for speed in [5.0, 12.0, 20.0, 40.0] {
                let lin = linearize(&model, &solve(&model, Condition::straight(speed)).unwrap());
                for mode in lin.modes().unwrap() {
                    let share = |states: &[usize]| states.iter().map(|s| mode.shares[*s]).sum();
                    let groups = GROUPS.iter().map(|(name, states)| (*name, share(states)));
                    let groups: Vec<(&str, f64)> = groups.collect();
                    let largest = groups.iter().map(|g| g.1).fold(0.0, f64::max);
                    let base = match mode.name.as_str() {
                        "axle hop" | "axle tramp" => "rear hop",
                        name => name
                            .trim_end_matches(", together")
                            .trim_end_matches(", opposed"),
                    };
                    // The half shafts' name has a word of the sides in it.
                    let named = groups.iter().find(|g| g.0 == mode.name || g.0 == base);
                    let named = named.expect(&mode.name).1;
                    assert!(
                        named >= LEAST_SHARE,
                        "{name}, {speed}: {} {named}",
                        mode.name
                    );
                    second += usize::from(named < largest);
                }
            }
        }
        assert!(second > 0);
    }
}
