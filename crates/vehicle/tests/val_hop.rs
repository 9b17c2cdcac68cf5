//! Wind-up and hop: the self-excited vibration of a car that spins its wheels, from the modes of
//! the linearized car and in time.
//!
//! The self-excited vibration of a driven wheel needs a friction that falls with slip and a
//! compliance (common practice, no source; the mechanism is the stick-slip oscillator, for instance
//! Den Hartog, *Mechanical Vibrations*, 4th ed. 1956, ch. 7, from memory). The equilibria beyond
//! the peak of the tires' force are found by continuation, and their stability follows from the
//! equations.

use std::f64::consts::PI;

use axletree_scalar::Real;
use axletree_vehicle::bundled;
use axletree_vehicle::model::Linearizer;
use axletree_vehicle::model::layout::{HOUSING, STATES, WINDUP};
use axletree_vehicle::trim::{
    Condition, Slowing, TRIM_UNKNOWNS, Trim, jacobian, pack, residual, solve, unpack,
};
use axletree_vehicle::{Car, Mode, Model, gear_equilibrium, linearize};
use nalgebra::{DMatrix, DVector};

const SPEED: f64 = 8.0;

/// A car by coefficients, whose wind-up is an entry of its own.
fn car(name: &str, windup: &str, damping: &str) -> Model {
    let text = match name {
        "bramble-solid" => {
            include_str!("../cars/bramble-solid-by-coefficients.toml")
        }
        _ => include_str!("../cars/bramble-independent-by-coefficients.toml"),
    };
    Car::from_toml(text, None)
        .unwrap()
        .edit([
            ("rear.windup.stiffness", windup),
            ("rear.windup.damping_ratio", damping),
            ("rear.differential.type", "locked"),
        ])
        .unwrap()
        .assemble()
        .unwrap()
}

fn accelerating(by: f64) -> Condition {
    Condition {
        longitudinal_acceleration: by,
        ..Condition::straight(SPEED)
    }
}

/// Equilibria of growing slip, through the peak of the force, by arc length in unknowns and
/// acceleration.
fn beyond_the_peak(model: &Model, slip: f64) -> Trim {
    let linearizer = Linearizer::of(&model.numbers);
    let n = TRIM_UNKNOWNS;
    let mut scale = vec![
        0.02, 0.05, 0.05, 0.02, 0.02, 0.02, 0.02, 5.0, 1.0, 1.0, 0.1, 0.1, 0.3,
    ];
    scale.extend([5.0, 5.0, 5.0, 5.0]);
    scale.extend([0.01; 17]);
    scale.extend([0.02, 1.0, 0.05, 0.05, 5.0, 1.0, 500.0, 1.0]);
    let scale = DVector::from_vec(scale);
    let split =
        |x: &DVector<f64>| -> ([f64; TRIM_UNKNOWNS], f64) { (std::array::from_fn(|i| x[i]), x[n]) };
    let value = |x: &DVector<f64>| {
        let (u, a) = split(x);
        DVector::from_row_slice(&residual(model, &u, &accelerating(a), Slowing::Driveline))
    };
    let slopes = |x: &DVector<f64>| {
        let (u, a) = split(x);
        let mut j = DMatrix::zeros(n + 1, n + 1);
        j.view_mut((0, 0), (n, n)).copy_from(&jacobian(
            model,
            &linearizer,
            &u,
            &accelerating(a),
            Slowing::Driveline,
        ));
        let mut other = x.clone();
        other[n] += 1e-4;
        let by = (value(&other) - value(x)) / 1e-4;
        j.view_mut((0, n), (n, 1)).copy_from(&by);
        for (mut column, s) in j.column_iter_mut().zip(scale.iter()) {
            column *= *s;
        }
        j
    };
    let trim = solve(model, accelerating(3.0)).unwrap();
    let mut x = DVector::zeros(n + 1);
    for (i, u) in pack(&trim.state, &trim.inputs).iter().enumerate() {
        x[i] = *u;
    }
    x[n] = 3.0;
    let mut before = DVector::zeros(n + 1);
    before[n] = 1.0;
    for _ in 0..400 {
        let mut j = slopes(&x);
        j.set_row(n, &before.transpose());
        let mut right = DVector::zeros(n + 1);
        right[n] = 1.0;
        let tangent = j.lu().solve(&right).unwrap().normalize();
        let along = 0.2;
        let guess = &x + tangent.component_mul(&scale) * along;
        let mut y = guess.clone();
        for _ in 0..20 {
            let mut right = DVector::zeros(n + 1);
            right.rows_mut(0, n).copy_from(&value(&y));
            right[n] = tangent.dot(&(&y - &x).component_div(&scale)) - along;
            if right.norm() < 1e-9 {
                break;
            }
            let mut j = slopes(&y);
            j.set_row(n, &tangent.transpose());
            y -= j.lu().solve(&right).unwrap().component_mul(&scale);
        }
        (x, before) = (y, tangent);
        let (u, a) = split(&x);
        let (state, inputs) = unpack(&u, 1.0, Slowing::Driveline);
        let at = Trim {
            condition: accelerating(a),
            state,
            inputs,
        };
        if at.evaluate(model).slips[2][0] > slip {
            return at;
        }
    }
    panic!("no equilibrium with a slip of {slip}");
}

/// Frequencies `[Hz]` and growth rates `[1/s]` of the growing modes, without those in which the
/// wheels shake against each other, as they can on the half shafts of a locked differential.
fn hop(model: &Model, trim: &Trim) -> Vec<(f64, f64)> {
    let together = |m: &Mode| !m.name.ends_with("opposed");
    let modes = linearize(model, trim).modes().unwrap();
    modes
        .into_iter()
        .filter(|m| m.real > 0.0 && m.imaginary > 0.0 && together(m))
        .map(|m| (m.frequency, m.real))
        .collect()
}

/// In first gear, wheels slipping by a given share.
fn spinning(model: &Model, slip: f64) -> Trim {
    gear_equilibrium(model, &beyond_the_peak(model, slip), 1).unwrap()
}

/// With soft links the axle shakes once the tires are beyond their peak; not before the peak, and
/// not with stiffer or more damped links.
#[test]
fn val_hop_of_an_axle_comes_with_soft_links_beyond_the_peak_and_goes_with_stiffness_or_damping() {
    let soft = car("bramble-solid", "100 N*m/deg", "0.02");
    let found = hop(&soft, &spinning(&soft, 0.15));
    assert_eq!(found.len(), 1, "{found:?}");
    let (frequency, growth) = found[0];
    // Hop of driven axles: 5 to 15 Hz; common practice, no source.
    assert!(
        (5.0..15.0).contains(&frequency) && growth > 1.0,
        "{found:?}"
    );

    let grips = gear_equilibrium(&soft, &solve(&soft, accelerating(4.0)).unwrap(), 1).unwrap();
    assert!(grips.evaluate(&soft).slips[2][0] < 0.05);
    assert_eq!(hop(&soft, &grips), []);
    for (windup, damping) in [("600 N*m/deg", "0.02"), ("100 N*m/deg", "0.3")] {
        let model = car("bramble-solid", windup, damping);
        assert_eq!(
            hop(&model, &spinning(&model, 0.15)),
            [],
            "{windup}, {damping}"
        );
    }
}

/// An independent rear, with half shafts between wheels and housing, has a growth rate that rises
/// and a frequency that falls as its mounts become softer.
#[test]
fn val_hop_of_an_independent_rear_grows_with_softer_mounts() {
    let growth = |windup: &str, damping: &str| {
        let model = car("bramble-independent", windup, damping);
        let found = hop(&model, &spinning(&model, 0.15));
        found
            .iter()
            .fold((0.0, 0.0), |a, b| if b.1 > a.1 { *b } else { a })
    };
    let (soft, firm) = (
        growth("100 N*m/deg", "0.02"),
        growth("5000 N*m/deg", "0.02"),
    );
    assert!(soft.1 > firm.1 && soft.0 < firm.0, "{soft:?} {firm:?}");
    let damped = growth("100 N*m/deg", "0.3");
    assert!(damped.1 < 0.5 * soft.1, "{damped:?} {soft:?}");
}

/// The same from the bushings: with all link ends at a fifth of the stiffness of rubber the axle of
/// the bundled car shakes, with rubber it does not.
#[test]
fn val_hop_follows_from_the_link_ends() {
    let rates = |share: f64| -> Vec<(String, f64)> {
        let ends = ["lower.body", "lower.axle", "upper.body", "upper.axle"];
        let radial = 3.5e6 * share;
        ends.iter()
            .map(|end| (format!("rear.links.{end}.radial"), radial))
            .chain([("rear.windup.damping_ratio".to_owned(), 0.02)])
            .collect()
    };
    let factory = bundled("bramble-solid").unwrap().unwrap();
    let locked = factory
        .edit([("rear.differential.type", "locked")])
        .unwrap();
    let growth = |share: f64| {
        let model = locked.edit(rates(share)).unwrap().assemble().unwrap();
        hop(&model, &spinning(&model, 0.15))
    };
    assert_eq!(growth(1.0), []);
    let soft = growth(0.2);
    assert!(soft.len() == 1 && soft[0].1 > 0.5, "{soft:?}");
}

/// In time a small wind-up grows as in the linear car. The car's own acceleration is subtracted
/// from the rates, so that the equilibrium does not move meanwhile.
#[test]
fn law_hop_grows_in_time_as_in_the_linear_car() {
    let model = car("bramble-solid", "100 N*m/deg", "0.02");
    let trim = spinning(&model, 0.15);
    let lin = linearize(&model, &trim);
    let (frequency, _) = hop(&model, &trim)[0];
    // A quarter of a millimeter of wind-up at the wheels, so that the tires stay where they are.
    let mut disturbance = DVector::zeros(STATES);
    disturbance[WINDUP] = 1e-4;
    let end = 1.0 / frequency;
    let want = axletree_numerics::exponential(&(&lin.a * end)) * &disturbance;

    let gained = model.rate(&trim.state, &trim.inputs);
    let steps = 400;
    let driven = |start: [f64; STATES]| {
        let h = end / f64::from(steps);
        let f = |x: &[f64; STATES]| -> [f64; STATES] {
            let rate = model.rate(x, &trim.inputs);
            std::array::from_fn(|i| rate[i] - gained[i])
        };
        let step = |x: &[f64; STATES], k: &[f64; STATES], s: f64| -> [f64; STATES] {
            std::array::from_fn(|i| x[i] + s * k[i])
        };
        let mut x = start;
        for _ in 0..steps {
            let k1 = f(&x);
            let k2 = f(&step(&x, &k1, h / 2.0));
            let k3 = f(&step(&x, &k2, h / 2.0));
            let k4 = f(&step(&x, &k3, h));
            x = std::array::from_fn(|i| x[i] + h / 6.0 * (k1[i] + 2.0 * (k2[i] + k3[i]) + k4[i]));
        }
        x
    };
    let mut disturbed = trim.state;
    disturbed[WINDUP] += disturbance[WINDUP];
    let (with, without) = (driven(disturbed), driven(trim.state));
    for state in [WINDUP, HOUSING] {
        let got = with[state] - without[state];
        let size = Real::hypot(want[WINDUP], want[HOUSING] / (2.0 * PI * frequency));
        let scale = if state == HOUSING {
            2.0 * PI * frequency
        } else {
            1.0
        };
        // Dampers are stiffer in rebound; the linear car has their mean.
        assert!(
            (got - want[state]).abs() < 0.05 * size * scale,
            "{state}: {got} against {}",
            want[state]
        );
        assert!(size > 1.2 * disturbance[WINDUP], "it grows: {size}");
    }
}
