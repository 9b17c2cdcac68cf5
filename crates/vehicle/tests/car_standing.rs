//! A car that falls away from its ride height is refused, with the wheel rate or the stiffness that
//! is not positive.

use std::collections::HashMap;

use axletree_scalar::Real;
use axletree_vehicle::model::layout::{ATTITUDE, POSITION, RATE, TRAVEL, TRAVEL_RATE, VELOCITY};
use axletree_vehicle::{Car, CarError, FaultKind, Inputs, Model, Value, bundled};
use nalgebra::DMatrix;

fn car(name: &str) -> Car {
    bundled(name).unwrap().unwrap()
}

/// The wheel rate of the only fault, at a path.
#[track_caller]
fn refused_rate(error: &CarError, path: &str) -> f64 {
    assert_eq!(error.faults.len(), 1, "{error}");
    assert_eq!(error.faults[0].path, path, "{error}");
    match error.faults[0].kind {
        FaultKind::WheelRateNegative { end, rate } => {
            assert!(path.starts_with(end));
            assert!(
                error.to_string().contains(&format!("{rate:.0} N/m")),
                "{error}"
            );
            rate
        }
        ref other => panic!("{other:?}"),
    }
}

/// A slip in one coordinate of a spring puts it nearly flat: at both kinds of rear end on links.
#[test]
fn springs_that_lie_flat_are_refused() {
    for (name, path, value, fault) in [
        (
            "bramble-solid",
            "rear.spring.body.y",
            "49 mm",
            "rear.spring.body",
        ),
        (
            "bramble-solid",
            "rear.spring.body.y",
            "0 mm",
            "rear.spring.body",
        ),
        (
            "bramble-solid",
            "rear.spring.axle.x",
            "300 mm",
            "rear.spring.body",
        ),
        (
            "bramble-solid-located",
            "rear.spring.body.y",
            "49 mm",
            "rear.spring.body",
        ),
        (
            "bramble-independent",
            "rear.spring.body.x",
            "700 mm",
            "rear.spring.body",
        ),
    ] {
        let error = car(name).edit([(path, value)]).map(|_| ()).expect_err(path);
        let rate = refused_rate(&error, fault);
        assert!(rate < 0.0, "{name}, {path}: {rate}");
        if (name, value) == ("bramble-solid", "49 mm") {
            // What the static sheet gave for this car.
            assert!((rate + 2960.0).abs() < 10.0, "{rate}");
        }
    }
}

/// A wheel rate that is positive and yet too low for the weight names the end, the rate and the
/// stiffness that is left.
#[test]
fn wheel_rates_too_low_for_the_weight_are_refused() {
    let error = car("bramble-independent")
        .edit([("rear.spring.body.x", "600 mm")])
        .unwrap_err();
    assert_eq!(error.faults.len(), 1, "{error}");
    assert_eq!(error.faults[0].path, "rear.spring.body");
    let FaultKind::WheelRateTooLow {
        end,
        rate,
        motion,
        stiffness,
        unit,
    } = error.faults[0].kind
    else {
        panic!("{error}")
    };
    assert_eq!((end, motion, unit), ("rear", "pitch", "N*m/rad"));
    assert!(rate > 0.0 && stiffness < 0.0, "{error}");
}

/// With coefficients the wheel rate is `k MR^2 + F MR'`, F the force of the spring at rest.
#[test]
fn val_rate_of_a_spring_by_coefficients() {
    for name in [
        "bramble-solid-by-coefficients",
        "bramble-independent-by-coefficients",
    ] {
        for (end, first) in [("front", 0), ("rear", 2)] {
            let good = car(name);
            let number = |path: &str| match good.get(&format!("{end}.{path}")).unwrap().value {
                Some(axletree_vehicle::EntryValue::Number(si)) => si,
                other => panic!("{other:?}"),
            };
            let (k, ratio) = (number("spring.rate"), number("spring.motion_ratio"));
            let slope = -15.0;
            let path = format!("{end}.spring.motion_ratio_slope");
            let error = good.edit([(&path, slope)]).unwrap_err();
            let rate = refused_rate(&error, &path);
            // The spring carries the load less the unsprung weight. The contact of a wheel with the
            // camber c rises by 1 + R c' sin c.
            let summary = good.summary();
            let solid = end == "rear" && name.contains("solid");
            let (unsprung, rise) = if solid {
                (0.5 * number("axle.mass"), 1.0)
            } else {
                let (camber, gain) = (number("camber"), number("geometry.camber_gain"));
                let rise = 1.0 + summary.loaded_radius[first] * gain * Real::sin(camber);
                (number("unsprung.mass"), rise)
            };
            let load: f64 = summary.load[first..first + 2].iter().sum::<f64>() / 2.0;
            let force = (load * rise - unsprung * 9.80665) / ratio;
            let want = k * ratio * ratio + force * slope;
            assert!(want < 0.0);
            assert!(
                (rate - want).abs() < 1e-5 * k,
                "{name}, {end}: {rate} against {want}"
            );
        }
    }
}

/// The largest eigenvalue of the accelerations by the positions at rest: positive where the car
/// falls. From the equations of motion, which do not know the energy.
fn fastest_growth(model: &Model) -> f64 {
    let state = model.rolling_state(0.0);
    let places: Vec<usize> = [POSITION + 2, ATTITUDE + 1, ATTITUDE + 2]
        .into_iter()
        .chain(TRAVEL..TRAVEL + 4)
        .collect();
    let rates: Vec<usize> = [VELOCITY + 2, RATE + 1, RATE]
        .into_iter()
        .chain(TRAVEL_RATE..TRAVEL_RATE + 4)
        .collect();
    let d = 1e-6;
    let by = |place: usize| {
        let at = |step: f64| {
            let mut moved = state;
            moved[place] += step;
            model.rate(&moved, &Inputs::coasting())
        };
        let (above, below) = (at(d), at(-d));
        rates
            .iter()
            .map(|r| (above[*r] - below[*r]) / (2.0 * d))
            .collect::<Vec<f64>>()
    };
    let columns: Vec<Vec<f64>> = places.iter().map(|place| by(*place)).collect();
    let a = DMatrix::from_fn(7, 7, |row, column| columns[column][row]);
    a.complex_eigenvalues()
        .iter()
        .map(|value| value.re)
        .fold(f64::NEG_INFINITY, f64::max)
}

/// One entry that is a single number of the equations, changed over the border between cars that
/// stand and cars that fall; the border by the equations of motion is the one of the check.
#[track_caller]
fn border(
    good: &Car,
    path: &str,
    stands: f64,
    falls: f64,
    numbers: &dyn Fn(f64) -> Vec<(String, f64)>,
) {
    let model = good.assemble().unwrap();
    // Refused cars have no numbers: those of the good car, with the entry's, are theirs.
    let growth = |value: f64| {
        let changes: HashMap<String, f64> = numbers(value).into_iter().collect();
        fastest_growth(&model.with_numbers(&changes).unwrap())
    };
    let made = good
        .edit([(path, stands)])
        .unwrap_or_else(|e| panic!("{e}"))
        .assemble()
        .unwrap();
    assert!((growth(stands) / fastest_growth(&made) - 1.0).abs() < 1e-3);
    let bisected = |is_good: &dyn Fn(f64) -> bool| {
        let (mut a, mut b) = (stands, falls);
        assert!(is_good(a) && !is_good(b), "{path}");
        for _ in 0..50 {
            let middle = 0.5 * (a + b);
            if is_good(middle) {
                a = middle;
            } else {
                b = middle;
            }
        }
        a
    };
    let checked = bisected(&|value| match good.edit([(path, value)]) {
        Ok(_) => true,
        Err(error) => {
            let ours = |k: &FaultKind| {
                matches!(
                    k,
                    FaultKind::WheelRateNegative { .. }
                        | FaultKind::WheelRateTooLow { .. }
                        | FaultKind::RollStiffnessTooLow { .. }
                )
            };
            assert!(error.faults.iter().all(|f| ours(&f.kind)), "{error}");
            false
        }
    });
    let moved = bisected(&|value| growth(value) < 0.0);
    let scale = (stands - falls).abs();
    assert!(
        (checked - moved).abs() < 1e-4 * scale,
        "{path}: {checked} against {moved}"
    );
}

/// Spring rate and motion ratio at each end, on each kind of rear end.
#[test]
fn val_the_border_is_that_of_the_equations_of_motion() {
    for name in [
        "bramble-solid-by-coefficients",
        "bramble-independent-by-coefficients",
    ] {
        let solid = name.contains("solid");
        // The weight of a tall car asks for a pitch stiffness that the softest springs do not give.
        let good = car(name)
            .edit([("chassis.center_height", "1.4 m")])
            .unwrap();
        for end in ["front", "rear"] {
            let rate = |value: f64| {
                [0, 1]
                    .map(|i| (format!("{end}.side.{i}.strut.spring.rate"), value))
                    .to_vec()
            };
            border(&good, &format!("{end}.spring.rate"), 20e3, 1e3, &rate);
            if solid && end == "rear" {
                continue;
            }
            let bend = |value: f64| {
                [0, 1]
                    .map(|i| (format!("{end}.side.{i}.spring.c.2"), 0.5 * value))
                    .to_vec()
            };
            border(
                &good,
                &format!("{end}.spring.motion_ratio_slope"),
                -1.0,
                -15.0,
                &bend,
            );
        }
    }
}

/// A car without bars on springs close together falls over in roll though every wheel rate is
/// positive: springs that bend in roll take the stiffness.
#[test]
fn val_cars_that_fall_over_in_roll_are_refused() {
    let good = car("bramble-solid-by-coefficients")
        .edit([
            ("front.bar.outer_diameter", Value::from(0.0)),
            ("rear.bar.outer_diameter", Value::from(0.0)),
            ("rear.spring.spacing", Value::from("0.5 m")),
            ("front.spring.rate", Value::from("5 kN/m")),
        ])
        .unwrap();
    let path = "rear.spring.roll_curvature";
    let bend = |value: f64| {
        [0, 1]
            .map(|i| (format!("rear.side.{i}.spring.c.5"), 0.5 * value))
            .to_vec()
    };
    border(&good, path, 0.0, -0.9, &bend);
    let error = good.edit([(path, -0.9)]).unwrap_err();
    let FaultKind::RollStiffnessTooLow {
        front,
        rear,
        stiffness,
    } = error.faults[0].kind
    else {
        panic!("{error}")
    };
    assert!(front > 4000.0 && rear < 0.0 && stiffness < 0.0, "{error}");
    assert_eq!(error.faults[0].path, "chassis.center_height");
}

/// A weight too high falls over: roll stiffness of the body on rigid tires less weight times arm.
#[test]
fn high_weights_on_soft_springs_are_refused() {
    let soft = [
        ("front.bar.outer_diameter", "0 mm"),
        ("rear.bar.outer_diameter", "0 mm"),
        ("front.spring.rate", "8 kN/m"),
        ("rear.spring.rate", "8 kN/m"),
    ];
    let low = car("bramble-solid-by-coefficients").edit(soft).unwrap();
    let error = low.edit([("chassis.center_height", "1.4 m")]).unwrap_err();
    assert_eq!(error.faults.len(), 1, "{error}");
    assert!(matches!(
        error.faults[0].kind,
        FaultKind::RollStiffnessTooLow { stiffness, .. } if stiffness < 0.0
    ));
    assert_eq!(error.faults[0].read.as_deref(), Some("1.4 m"));
}

/// Every bundled car stands, by both routes.
#[test]
fn bundled_cars_stand() {
    for (name, _) in axletree_vehicle::BUNDLED {
        assert!(
            fastest_growth(&car(name).assemble().unwrap()) < -1.0,
            "{name}"
        );
    }
}
