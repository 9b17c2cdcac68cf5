//! The full car against quarter cars, half cars and axles on springs: modes, damping, response to
//! the road, ride frequencies on the static sheet.
//!
//! Flags of the sources: M recalled from memory and recomputed, L computed with a general-purpose
//! library.

mod closed_forms;

use std::cell::Cell;
use std::f64::consts::TAU;

use axletree_scalar::Real;
use axletree_vehicle::Linearization;
use axletree_vehicle::Model;
use axletree_vehicle::model::layout::{
    ATTITUDE, POSITION, RATE, STATES, TRAVEL, TRAVEL_RATE, VELOCITY,
};
use axletree_vehicle::model::{Inputs, Patch, Road};
use closed_forms::build::{Beam, Case, End};
use closed_forms::limit::{assert_close, assert_limit};
use closed_forms::numeric::{eigenvalues, eigenvector, gain, nearest, part, rolling, runge_kutta};
use closed_forms::{FOOT, G, INCH, POUND};
use nalgebra::{Complex, DMatrix, DVector};

/// A quarter of a car: masses `[kg]`, stiffnesses `[N/m]`, damping `[N*s/m]`.
#[derive(Clone, Copy)]
struct Quarter {
    sprung: f64,
    unsprung: f64,
    spring: f64,
    tire: f64,
    damping: f64,
}

/// After Wong, *Theory of Ground Vehicles*, ch. 7, from memory.
const SET_W: Quarter = Quarter {
    sprung: 454.5,
    unsprung: 45.45,
    spring: 22e3,
    tire: 176e3,
    damping: 0.0,
};

/// After Rajamani 2012, ch. 10-11, from memory.
const SET_R: Quarter = Quarter {
    sprung: 250.0,
    unsprung: 45.0,
    spring: 16e3,
    tire: 160e3,
    damping: 0.0,
};

impl Quarter {
    /// Four of them under one body, whose heave is theirs.
    fn model(&self) -> Model {
        let end = End {
            damping: self.damping,
            tire_rate: self.tire,
            unsprung: self.unsprung,
            ..End::plain(1.5, 0.3, self.spring)
        };
        let mass = 4.0 * (self.sprung + self.unsprung);
        Case::plain(mass, [1.3, 1.3], 0.5, [end, end]).model()
    }

    fn linearized(&self) -> Linearization {
        rolling(&self.model(), 10.0)
    }
}

/// States of vertical and pitching motion: all that a symmetric road reaches.
const UPRIGHT: [usize; 12] = [
    POSITION + 2,
    ATTITUDE + 1,
    TRAVEL,
    TRAVEL + 1,
    TRAVEL + 2,
    TRAVEL + 3,
    VELOCITY + 2,
    RATE + 1,
    TRAVEL_RATE,
    TRAVEL_RATE + 1,
    TRAVEL_RATE + 2,
    TRAVEL_RATE + 3,
];

/// Frequency `[Hz]` of the undamped mode nearest to a guess `[Hz]`.
fn frequency(lin: &Linearization, guess: f64) -> f64 {
    let [re, im] = nearest(&eigenvalues(lin), [0.0, guess * TAU]);
    assert!(re.abs() < 1e-6 * im, "{re} {im}");
    im / TAU
}

/// Case V1: roots of `m_s m_u w^4 - (m_s (k_s + k_t) + m_u k_s) w^2 + k_s k_t`; flags M, L. The
/// same equations, tolerance of the case 1e-6.
#[test]
fn val_v1_two_mass_roots() {
    let rows = [
        (SET_W, [1.0433204, 10.511298], [0.11221806, -89.112218]),
        (SET_R, [1.2130707, 9.9608835], [0.092279778, -60.203391]),
    ];
    for (quarter, frequencies, shapes) in rows {
        let lin = quarter.linearized();
        let found = frequencies.map(|f| frequency(&lin, f));
        assert_close("V1 frequencies", &found, &frequencies, 1e-6);
        // Shape: the wheel moves by body heave and travel. Pitch and heave modes are apart here.
        let a = part(&lin.a, &UPRIGHT, &UPRIGHT);
        let shape = found.map(|f| {
            let v = eigenvector(&a, [0.0, f * TAU]);
            ((v[0] + v[2]) / v[0]).re
        });
        // The larger shape is a difference of nearly equal numbers: digits of the frequency count a
        // hundredfold.
        assert_close("V1 body shape", &shape[..1], &shapes[..1], 1e-6);
        assert_close("V1 hop shape", &shape[1..], &shapes[1..], 1e-5);
        let modes = lin.modes().unwrap();
        let named = |name: &str, f: f64| {
            modes
                .iter()
                .any(|m| m.name.contains(name) && (m.frequency / f - 1.0).abs() < 1e-6)
        };
        assert!(named("body heave", frequencies[0]), "{modes:?}");
        assert!(named("hop", frequencies[1]), "{modes:?}");
        // The control: a tire ten percent softer.
        let softer = Quarter {
            tire: 0.9 * quarter.tire,
            ..quarter
        };
        let moved = frequency(&softer.linearized(), frequencies[0]);
        assert!((moved / frequencies[0] - 1.0).abs() > 1e-3);
    }
}

/// A road of one height, which rises and falls under all wheels alike as time goes.
struct Shaker {
    height: Cell<f64>,
    rise: Cell<f64>,
}

impl Road<f64> for Shaker {
    fn under(&self, _: usize, _: [f64; 2], _: [f64; 2]) -> Patch<f64> {
        Patch {
            height: self.height.get(),
            rise: self.rise.get(),
        }
    }
}

/// Response of a quarter car to the road's height at a frequency `[Hz]`: magnitudes of body motion,
/// suspension travel and tire deflection per height.
fn shaken(quarter: &Quarter, frequency: f64) -> [f64; 3] {
    let model = quarter.model();
    let lin = rolling(&model, 10.0);
    let a = part(&lin.a, &UPRIGHT, &UPRIGHT).map(|x| Complex::new(x, 0.0));
    // How the rates answer to the height: the tire is a line, so that a difference is exact.
    let rate = |height: f64| {
        let road = Shaker {
            height: Cell::new(height),
            rise: Cell::new(0.0),
        };
        model
            .evaluate_on(&lin.trim.state, &lin.trim.inputs, &road)
            .rate
    };
    let (up, down) = (rate(1e-3), rate(-1e-3));
    let b = DVector::from_fn(12, |i, _| {
        Complex::new((up[UPRIGHT[i]] - down[UPRIGHT[i]]) / 2e-3, 0.0)
    });
    let s = Complex::new(0.0, TAU * frequency);
    let x = (DMatrix::identity(12, 12) * s - a).lu().solve(&b).unwrap();
    [gain(x[0]), gain(x[2]), gain(x[0] + x[2] - 1.0)]
}

/// Case V2: Hedrick and Butsuen, "Invariant properties of automotive suspensions", Proc. IMechE D
/// 204, 1990; flags M, L. Case's tolerance 1e-6.
#[test]
fn val_v2_damped_quarter_car() {
    let quarter = Quarter {
        damping: 1000.0,
        ..SET_R
    };
    let lin = quarter.linearized();
    let values = eigenvalues(&lin);
    let expected = [[-1.6756955, 7.51424], [-11.435416, 60.89681]];
    for pair in expected {
        assert_close("V2 modes", &nearest(&values, pair), &pair, 1e-6);
    }
    let modes = lin.modes().unwrap();
    let body = modes.iter().find(|m| m.name == "body heave").unwrap();
    assert_close(
        "V2 body mode",
        &[body.frequency, body.damping_ratio],
        &[1.2253045, 0.21765628],
        1e-6,
    );
    let rows = [
        (0.5, [1.1987044, 0.18139175, 0.021319067]),
        (1.0, [2.2247256, 1.27736, 0.14882291]),
        (1.5, [1.6252587, 1.9435893, 0.2256874]),
        (3.0, [0.33091903, 1.1888711, 0.1666619]),
        (10.0, [0.16431046, 2.5011618, 2.7392523]),
    ];
    for (frequency, expected) in rows {
        let what = format!("V2 at {frequency} Hz");
        assert_close(&what, &shaken(&quarter, frequency), &expected, 1e-6);
    }
    // Two points that no spring and no damper move.
    for (spring, damping) in [(8e3, 300.0), (16e3, 1000.0), (40e3, 2500.0), (25e3, 6000.0)] {
        let other = Quarter {
            spring,
            damping,
            ..SET_R
        };
        let body = shaken(&other, (SET_R.tire / SET_R.unsprung).sqrt() / TAU)[0];
        let whole = SET_R.sprung + SET_R.unsprung;
        let travel = shaken(&other, (SET_R.tire / whole).sqrt() / TAU)[1];
        assert_close("V2 invariants", &[body, travel], &[0.18, 1.18], 1e-6);
        // Away from them both move the response.
        assert!((shaken(&other, 2.0)[0] / shaken(&SET_R, 2.0)[0] - 1.0).abs() > 1e-2);
    }
}

/// Case V2 by time integration of the full car on a shaking road: magnitudes once the start has
/// died away (15 s, 25 time constants of the body mode, 1e-11). Fourth order in a step of 0.5 ms at
/// 10 Hz leaves (2 pi 10 0.0005)^4, 1e-6.
#[test]
fn val_v2_shaken_in_time() {
    let quarter = Quarter {
        damping: 1000.0,
        ..SET_R
    };
    let model = quarter.model();
    let still = Inputs::coasting();
    for (frequency, expected) in [(1.0, 2.2247256), (3.0, 0.33091903)] {
        let (amplitude, w) = (1e-3, TAU * frequency);
        let road = Shaker {
            height: Cell::new(0.0),
            rise: Cell::new(0.0),
        };
        let rate = |t: f64, x: &[f64; STATES]| {
            road.height.set(amplitude * Real::sin(w * t));
            road.rise.set(amplitude * w * Real::cos(w * t));
            model.evaluate_on(x, &still, &road).rate
        };
        let h = 5e-4;
        let mut x = model.rolling_state(10.0);
        let rest = x[POSITION + 2];
        // Correlation with sine and cosine over whole periods.
        let (mut sine, mut cosine, mut count) = (0.0, 0.0, 0u32);
        for n in 0..40_000u32 {
            let t = f64::from(n) * h;
            if t >= 15.0 - h / 2.0 {
                sine += (x[POSITION + 2] - rest) * Real::sin(w * t);
                cosine += (x[POSITION + 2] - rest) * Real::cos(w * t);
                count += 1;
            }
            x = runge_kutta(&rate, t, &x, h);
        }
        let found = 2.0 * Real::hypot(sine, cosine) / f64::from(count) / amplitude;
        assert_close("V2 in time", &[found], &[expected], 1e-5);
    }
}

/// A half car: bounce and pitch on four springs. Body and wheel centers are at the same height, so
/// that pitch moves no wheel forward and the weight has no arm. `scale` stiffens the tires and
/// lightens the wheels, the only difference from the textbook.
fn half_car(mass: f64, inertia: f64, arms: [f64; 2], axle_rates: [f64; 2], scale: f64) -> Model {
    let end = |i: usize| End {
        tire_rate: 1e6 * scale,
        unsprung: 1.0 / scale,
        ..End::plain(1.5, 0.3, axle_rates[i] / 2.0)
    };
    let mut case = Case::plain(mass, arms, 0.3, [end(0), end(1)]);
    case.pitch_inertia = inertia;
    case.model()
}

/// Frequencies `[rad/s]` of bounce and pitch, and heave of the center per pitch in each, nose down
/// positive.
fn bounce_and_pitch(model: &Model, guesses: [f64; 2]) -> Vec<f64> {
    let lin = rolling(model, 10.0);
    let values = eigenvalues(&lin);
    let a = part(&lin.a, &UPRIGHT, &UPRIGHT);
    let mut found = Vec::new();
    for guess in guesses {
        let value = nearest(&values, [0.0, guess]);
        found.push(value[1]);
    }
    for i in 0..2 {
        let v = eigenvector(&a, [0.0, found[i]]);
        found.push((v[0] / v[1]).re);
    }
    found
}

/// Case V3: Thomson, *Theory of Vibration with Applications*, example 5.3, from memory; flags M, L.
/// As recalled, the book prints 6.90 and 9.06 rad/s, -14.6 and 1.09 ft/rad. Theta of the case
/// shortens the front spring: nose down, as the library's pitch, with x upward.
#[test]
fn val_v3_pitch_and_bounce() {
    let gravity = 32.2 * FOOT;
    let mass = 3220.0 * POUND / gravity;
    let inertia = mass * Real::sq(4.0 * FOOT);
    let rates = [2400.0, 2600.0].map(|k| k * POUND / FOOT);
    assert_close(
        "V3 inputs",
        &[mass, inertia, rates[0], rates[1]],
        &[1459.3903, 2169.3087, 35025.367, 37944.148],
        1e-7,
    );
    let expected = [6.8994284, 9.0514716, -14.596177, 1.0961774];
    let found = |scale: f64| {
        let model = half_car(mass, inertia, [4.5 * FOOT, 5.5 * FOOT], rates, scale);
        let [a, b, c, d]: [f64; 4] = bounce_and_pitch(&model, [6.9, 9.05]).try_into().unwrap();
        // Heave up, pitch nose down: the front goes by x - l theta.
        vec![a, b, c / FOOT, d / FOOT]
    };
    assert_limit("V3", &expected, &[4.0, 16.0, 64.0], 1e-5, found);
    // The book's printed digits.
    let near = found(1e3);
    assert!((near[0] - 6.90).abs() < 0.002 * 6.90 && (near[1] - 9.06).abs() < 0.002 * 9.06);
    assert!((near[2] + 14.6).abs() < 0.146 && (near[3] - 1.09).abs() < 0.0109);
}

/// Case V4: Olley, SAE Journal 34(3), 1934; Gillespie, *Fundamentals of Vehicle Dynamics*, 1992,
/// ch. 5; flags M, L. With k^2 = a b each axle has its own mode, whose center is the other axle.
#[test]
fn val_v4_motion_centers() {
    let rows = [
        (1.0, [1.1200235, 1.3525569], [-1.4, 1.2]),
        (0.8, [1.1619259, 1.4576703], [-2.1886286, 0.61408317]),
    ];
    for (index, frequencies, centers) in rows {
        let (mass, arms) = (1200.0, [1.2, 1.4]);
        let inertia = index * mass * arms[0] * arms[1];
        let expected = [frequencies, centers].concat();
        assert_limit("V4", &expected, &[4.0, 16.0, 64.0], 1e-5, |scale| {
            let model = half_car(mass, inertia, arms, [32e3, 40e3], scale);
            // A point x ahead of the center goes by z - x theta: at rest where x = z/theta.
            let found = bounce_and_pitch(&model, frequencies.map(|f| f * TAU));
            vec![found[0] / TAU, found[1] / TAU, found[2], found[3]]
        });
    }
}

/// Inputs of cases V5 and V6, a compact rear-drive car (the case's own).
const AXLE_MASS: f64 = 95.0;
const AXLE_INERTIA: f64 = 22.0;
const AXLE_SPRING: f64 = 24e3;
const AXLE_TIRE: f64 = 200e3;
const TRACK: f64 = 1.42;

/// A car whose rear has 520 kg of the body and all of its 210 kg m^2 on a solid axle or on two
/// wheels of 38 kg. Front wheels side by side bear no roll, body and axle centers are at one
/// height. The body is `held` times heavier and all weigh `weight` times as much as on earth. The
/// axle's tires have next to no grip, so that its roll about its own center meets no resistance but
/// theirs in height.
fn rear_end(solid: bool, held: f64, weight: f64, damping: f64) -> Case {
    let rear = End {
        damping,
        tire_rate: AXLE_TIRE,
        unsprung: if solid { AXLE_MASS / 2.0 } else { 38.0 },
        roll_center: if solid { 0.3 } else { 0.0 },
        cornering: 1e-2,
        ..End::plain(TRACK, 0.3, AXLE_SPRING)
    };
    let front = End {
        cornering: 1e-2,
        ..End::plain(1e-3, 0.3, 30e3)
    };
    let body = 1040.0 * held;
    let mass = body + 2.0 * rear.unsprung + 2.0 * front.unsprung;
    // The unsprung mass moves the whole car's center back; the body's stays in the middle.
    let back = 2.0 * (rear.unsprung - front.unsprung) * 1.3 / mass;
    let mut case = Case::plain(mass, [1.3 + back, 1.3 - back], 0.3, [front, rear]);
    case.pitch_inertia = body * 1.3 * 1.3;
    case.roll_inertia = 210.0 * held;
    // Spinning wheels couple roll with yaw, which the textbook leaves out (1 kg m^2 at 10 m/s
    // raises the body's roll frequency by 1e-4).
    case.spin_inertia = 1e-2;
    case.gravity = G * weight / held;
    if solid {
        case.beam = Some(Beam {
            inertia: AXLE_INERTIA,
            spring_base: 1.0,
            damper_base: 0.9,
        });
    }
    case
}

/// Case V5: a beam axle hops and tramps. Gillespie ch. 5 and 7, Dixon's *Tires, Suspension and
/// Handling*; flags M, L. Tolerance of the case 1e-6, reached to 1e-5 after the limit: a body
/// heavier without end is a body held, and with less weight the tires' load, whose arm is the
/// wheel's radius, turns the axle less (a thin disc rests on its contact like a pendulum upside
/// down: 0.8 % of the tramp stiffness).
#[test]
fn val_v5_hop_and_tramp() {
    let hop = [10.929426];
    assert_limit("V5 hop", &hop, &[4.0, 16.0, 64.0], 1e-5, |scale| {
        let lin = rolling(&rear_end(true, scale, 1.0, 0.0).model(), 10.0);
        vec![frequency(&lin, hop[0])]
    });
    let tramp = [15.683756];
    assert_limit("V5 tramp", &tramp, &[1.0, 10.0, 100.0], 1e-5, |scale| {
        let lin = rolling(&rear_end(true, 1e6, 1.0 / scale, 0.0).model(), 10.0);
        vec![frequency(&lin, tramp[0])]
    });
    let wheel = [12.219469];
    assert_limit("V5 wheel hop", &wheel, &[4.0, 16.0, 64.0], 1e-5, |scale| {
        let lin = rolling(&rear_end(false, scale, 1.0, 0.0).model(), 10.0);
        vec![frequency(&lin, wheel[0])]
    });
    let damped = [0.22992725, 0.14010823];
    assert_limit("V5 damped", &damped, &[1.0, 10.0, 100.0], 1e-5, |scale| {
        let lin = rolling(
            &rear_end(true, 1e3 * scale, 1.0 / scale, 1500.0).model(),
            10.0,
        );
        let modes = lin.modes().unwrap();
        ["axle hop", "axle tramp"]
            .map(|name| {
                let found = modes.iter().find(|m| m.name == name);
                found.unwrap_or_else(|| panic!("{modes:?}")).damping_ratio
            })
            .to_vec()
    });
}

/// Case V5 with a free body: heave and roll with the axle; flags M, L.
#[test]
fn val_v5_axle_under_a_free_body() {
    let lin = rolling(&rear_end(true, 1.0, 1.0, 0.0).model(), 10.0);
    let heave = [1.4433348, 10.941084];
    assert_close("V5 heave", &heave.map(|f| frequency(&lin, f)), &heave, 1e-6);
    let roll = [1.1686272, 15.686362];
    assert_limit("V5 roll", &roll, &[1.0, 10.0, 100.0], 1e-5, |scale| {
        let lin = rolling(&rear_end(true, 1.0, 1.0 / scale, 0.0).model(), 10.0);
        roll.map(|f| frequency(&lin, f)).to_vec()
    });
    // The sheet's roll stiffness of the axle, and of the same springs at the wheels.
    let row = |solid: bool| {
        let mut case = rear_end(solid, 1.0, 1.0, 0.0);
        // The sheet needs a cornering equilibrium: tires with grip, and a front with a track.
        case.ends.iter_mut().for_each(|end| end.cornering = 1e5);
        case.ends[0].track = TRACK;
        case.ends[0].tire_rate = AXLE_TIRE;
        let sheet = case.model().static_sheet().unwrap();
        sheet.get("roll_stiffness_rear").unwrap()
    };
    assert_close(
        "V5 roll stiffness",
        &[row(true), row(false)],
        &[12000.0, 24196.8],
        1e-9,
    );
}

/// The left contact of the rear end on a step.
struct Step(f64);

impl Road<f64> for Step {
    fn under(&self, wheel: usize, _: [f64; 2], _: [f64; 2]) -> Patch<f64> {
        Patch {
            height: if wheel == 2 { self.0 } else { 0.0 },
            rise: 0.0,
        }
    }
}

/// Rear travels at which the suspension is in equilibrium under a held body with the left contact
/// raised, and the changes of the tires' loads.
fn raised(solid: bool, height: f64, weight: f64) -> [f64; 4] {
    let model = rear_end(solid, 1e9, weight, 0.0).model();
    let still = Inputs::coasting();
    let state = model.rolling_state(0.0);
    let rest = model.evaluate(&state, &still);
    let at = |s: [f64; 2]| {
        let mut x = state;
        x[TRAVEL + 2] = s[0];
        x[TRAVEL + 3] = s[1];
        let e = model.evaluate_on(&x, &still, &Step(height));
        ([e.rate[TRAVEL_RATE + 2], e.rate[TRAVEL_RATE + 3]], e)
    };
    // Newton's method with differences.
    let mut s = [0.0; 2];
    for _ in 0..20 {
        let (f, _) = at(s);
        let d = 1e-6;
        let (a, _) = at([s[0] + d, s[1]]);
        let (b, _) = at([s[0], s[1] + d]);
        let j = [
            [(a[0] - f[0]) / d, (b[0] - f[0]) / d],
            [(a[1] - f[1]) / d, (b[1] - f[1]) / d],
        ];
        let det = j[0][0] * j[1][1] - j[0][1] * j[1][0];
        s[0] -= (f[0] * j[1][1] - f[1] * j[0][1]) / det;
        s[1] -= (j[0][0] * f[1] - j[1][0] * f[0]) / det;
    }
    let (f, e) = at(s);
    assert!(f[0].abs() < 1e-8 && f[1].abs() < 1e-8, "{f:?}");
    let load = |w: usize| e.contacts[w].load - rest.contacts[w].load;
    [s[0], s[1], load(2), load(3)]
}

/// Case V6: one wheel on a bump, the body held. Statics; flags M, L. The closed form is linear: the
/// case's 25 mm are approached from small bumps, with little weight (see V5), and scaled.
#[test]
fn val_v6_one_wheel_on_a_bump() {
    let expected = [11.160714e-3, 0.95206898f64.to_radians(), 408.28028, 127.434];
    assert_limit(
        "V6 axle",
        &expected,
        &[10.0, 100.0, 1000.0],
        1e-5,
        |scale| {
            let found = raised(true, 25e-3 / scale, 1.0 / scale);
            found.map(|x| x * scale).to_vec()
        },
    );
    // At full size the sines and cosines of one degree and the weight on the tires count by a
    // percent of the travels (and more of the loads, which are carried by the 2 mm that the travels
    // leave of 25).
    let full = raised(true, 25e-3, 1.0);
    assert_close("V6 full size", &full[..2], &expected[..2], 2e-2);
    // Independent wheels: the other one does not move.
    let [own, other, ..] = raised(false, 25e-3, 1.0);
    assert_close("V6 independent", &[own], &[22.321429e-3], 1e-6);
    assert!(other.abs() < 1e-9, "{other} m");
}

/// Case P8: ride rates and frequencies on the static sheet. Gillespie 1992, ch. 5, example, from
/// memory; flag M. The wheels carry the example's loads, and the sheet counts the sprung part of
/// them: the unsprung mass tends to zero here.
#[test]
fn val_p8_ride_frequencies_on_the_sheet() {
    let inch_rate = POUND / INCH;
    let (front, rear) = (957.0 * POUND, 730.0 * POUND);
    let end = |rate: f64| End {
        tire_rate: 1198.0 * inch_rate,
        unsprung: 1e-3,
        ..End::plain(1.5, 0.3, rate * inch_rate)
    };
    let gravity = 386.09 * INCH;
    let mass = 2.0 * (front + rear) / gravity;
    let share = rear / (front + rear);
    let mut case = Case::plain(
        mass,
        [2.6 * share, 2.6 * (1.0 - share)],
        0.5,
        [end(143.0), end(100.0)],
    );
    case.gravity = gravity;
    let sheet = case.model().static_sheet().unwrap();
    let rows = ["ride_rate_front", "ride_rate_rear"].map(|key| sheet.get(key).unwrap() / inch_rate);
    assert_close("P8 rates", &rows, &[127.751, 92.296], 1e-5);
    let rows = ["ride_frequency_front", "ride_frequency_rear"].map(|key| sheet.get(key).unwrap());
    // Five digits are printed.
    assert_close("P8 frequencies", &rows, &[1.1426, 1.1120], 5e-5);

    // Two masses: modes of the car itself.
    let two = Quarter {
        sprung: 380.0,
        unsprung: 45.0,
        spring: 28e3,
        tire: 220e3,
        damping: 0.0,
    };
    let lin = two.linearized();
    let found = [1.28576, 11.8242].map(|f| frequency(&lin, f));
    assert_close("P8 two masses", &found, &[1.28576, 11.8242], 1e-5);
}

/// Case P9: damping ratio on the sheet, a damper of 3000 N s/m at a motion ratio of 0.70. Rao,
/// Thomson, Gillespie ch. 5; flags M, L.
#[test]
fn val_p9_damping_ratio_on_the_sheet() {
    let quarter = Quarter {
        sprung: 380.0,
        unsprung: 1.0,
        spring: 28e3,
        tire: 1e6,
        damping: 3000.0,
    };
    let mut model = quarter.model();
    for corner in &mut model.numbers.front.side {
        corner.damper.c[1] = 0.70;
    }
    let sheet = model.static_sheet().unwrap();
    assert_close(
        "P9",
        &[sheet.get("damping_ratio_front").unwrap()],
        &[0.22533],
        3e-5,
    );
    // At the wheel itself the same damper damps by 1/0.49 more.
    let rear = sheet.get("damping_ratio_rear").unwrap();
    assert_close("P9 at the wheel", &[rear * 0.49], &[0.22533], 3e-5);
}
