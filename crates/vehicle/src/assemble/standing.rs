//! Whether the car stays at its ride height.
//!
//! At rest every force is in balance by the preloads; the balance holds where the potential energy
//! of gravity, springs, bars, stops, binding and tires is least there (Lagrange's theorem; damping
//! does not hold what is unstable without it, Kelvin's: Meirovitch, *Methods of Analytical
//! Dynamics*, 1970, ch. 6 and 7, from memory). Least means that the matrix K of its second
//! derivatives is positive definite, by the travels of the wheels s, and by height z, pitch and
//! roll of the body; place and heading change no energy. With `K = L D L^T` that is so where all of
//! D are positive. Eliminated in the order above, D holds the stiffness of each coordinate with
//! those before it following freely: of pitch on the wheels and their tires, for example, less what
//! the weight takes.
//!
//! A spring under load whose motion ratio falls fast in bump has a negative wheel rate,
//! `k c'^2 + F c'' < 0`, and a slow one may leave less than the weight asks for: then the end with
//! the lower wheel rate is named. Where only roll is left without stiffness, the height of the weight
//! is.

use super::end::EndEntries;
use crate::description::data::Description;
use crate::description::declare::key::CarEnd;
use crate::description::declare::keys;
use crate::fault::Fault;
use crate::fault_kind::FaultKind;
use crate::model::layout::{ATTITUDE, POSITION, TRAVEL};
use crate::model::{Inputs, Model, STATES, energy_and_momentum};
use crate::sheet::ends::ends;

/// Step of the differences of energy `[m or rad]`: the rounding of an energy of some kilojoules is
/// then below 1e-3 N/m.
const STEP: f64 = 1e-4;

/// Coordinates of the energy.
const COORDINATES: usize = 7;

/// The last coordinate: roll of the body.
const ROLL: usize = COORDINATES - 1;

/// The coordinates in the order of elimination: state, name on a car with an axle and on one
/// without, whether an angle.
const ORDER: [(usize, [&str; 2], [bool; 2]); COORDINATES] = [
    (TRAVEL, ["travel of the front left wheel"; 2], [false; 2]),
    (
        TRAVEL + 1,
        ["travel of the front right wheel"; 2],
        [false; 2],
    ),
    (
        TRAVEL + 2,
        ["heave of the axle", "travel of the rear left wheel"],
        [false; 2],
    ),
    (
        TRAVEL + 3,
        ["roll of the axle", "travel of the rear right wheel"],
        [true, false],
    ),
    (POSITION + 2, ["heave"; 2], [false; 2]),
    (ATTITUDE + 1, ["pitch"; 2], [true; 2]),
    (ATTITUDE + 2, ["roll"; 2], [true; 2]),
];

/// The faults of a car that falls away from its ride height.
pub(super) fn faults(car: &Description, model: &Model) -> Vec<Fault> {
    let state = model.rolling_state(0.0);
    let rest = model.evaluate(&state, &Inputs::coasting());
    let [front, rear] = ends(model, &rest);
    let spring = |end: CarEnd, kind: FaultKind| {
        let slope = keys::SPRING_MOTION_RATIO_SLOPE.at(end);
        let path = EndEntries { car, end }.spring_stated_by(slope.path());
        Fault::new(path, kind)
    };
    let rates = [front.wheel_rate, rear.wheel_rate];
    let negative: Vec<Fault> = CarEnd::BOTH
        .into_iter()
        .zip(rates)
        // Not a number is no wheel rate either.
        .filter(|(_, rate)| rate.is_nan() || *rate <= 0.0)
        .map(|(end, rate)| {
            let end_name = end.name();
            spring(
                end,
                FaultKind::WheelRateNegative {
                    end: end_name,
                    rate,
                },
            )
        })
        .collect();
    if !negative.is_empty() {
        return negative;
    }
    let Some((coordinate, stiffness)) = first_unstable(model, &state) else {
        return Vec::new();
    };
    if coordinate == ROLL {
        let kind = FaultKind::RollStiffnessTooLow {
            front: front.roll(),
            rear: rear.roll(),
            stiffness,
        };
        return vec![Fault::new(keys::CHASSIS_CENTER_HEIGHT, kind)];
    }
    let softer = CarEnd::BOTH[usize::from(rates[1] < rates[0])];
    let kind_of_rear = usize::from(!model.solid_rear());
    let (_, motion, is_angle) = ORDER[coordinate];
    let kind = FaultKind::WheelRateTooLow {
        end: softer.name(),
        rate: rates[softer.index()],
        motion: motion[kind_of_rear],
        stiffness,
        unit: if is_angle[kind_of_rear] {
            "N*m/rad"
        } else {
            "N/m"
        },
    };
    vec![spring(softer, kind)]
}

/// The first coordinate without a positive stiffness, and its stiffness `[N/m or N*m/rad]`.
fn first_unstable(model: &Model, rest: &[f64; STATES]) -> Option<(usize, f64)> {
    let mut k = second_derivatives(model, rest);
    for i in 0..COORDINATES {
        let pivot = k[i][i];
        if pivot.is_nan() || pivot <= 0.0 {
            return Some((i, pivot));
        }
        for r in i + 1..COORDINATES {
            let factor = k[r][i] / pivot;
            for c in i..COORDINATES {
                k[r][c] -= factor * k[i][c];
            }
        }
    }
    None
}

/// Second derivatives of the potential energy by the coordinates `[N/m, N/rad, N*m/rad]`.
fn second_derivatives(model: &Model, rest: &[f64; STATES]) -> [[f64; COORDINATES]; COORDINATES] {
    let still = Inputs::coasting();
    let energy = |steps: &[(usize, f64)]| {
        let mut state = *rest;
        for (coordinate, step) in steps {
            state[ORDER[*coordinate].0] += step;
        }
        energy_and_momentum(&model.numbers, &state, &still).potential
    };
    let d = STEP;
    let middle = energy(&[]);
    // E(d) + E(-d) - 2 E(0) = d^2 E_ii, and the same along the sum of two coordinates.
    let alone: [f64; COORDINATES] =
        std::array::from_fn(|i| energy(&[(i, d)]) - middle + (energy(&[(i, -d)]) - middle));
    let mut k = [[0.0; COORDINATES]; COORDINATES];
    for i in 0..COORDINATES {
        k[i][i] = alone[i] / (d * d);
        for j in 0..i {
            let both = energy(&[(i, d), (j, d)]) - middle + (energy(&[(i, -d), (j, -d)]) - middle);
            k[i][j] = (both - alone[i] - alone[j]) / (2.0 * d * d);
            k[j][i] = k[i][j];
        }
    }
    k
}
