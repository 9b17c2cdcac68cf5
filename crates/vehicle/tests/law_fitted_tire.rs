//! A fitted tire goes on a car: the ranges of the fit, of the tire's check and of the car file are
//! one.

use axletree_tire::{FitNote, ForceRow, TIRE_INPUTS, TireSpec};
use axletree_vehicle::{Car, CarEnd, EntryValue, FaultKind, bundled};

fn car() -> Car {
    bundled("bramble-solid").unwrap().unwrap()
}

/// Every input of the tire is an entry at both ends of the car, with the same range, and the same
/// usual value where that is the default: to the last bit, though the car file converts units on
/// its own.
#[test]
fn law_entries_are_the_inputs_of_the_tire() {
    let paths = car().paths();
    let mut defaults = 0;
    for input in TIRE_INPUTS {
        for end in ["front", "rear"] {
            let path = format!("{end}.tire.{}", input.key);
            let entry = paths.iter().find(|e| e.path == path).expect(&path);
            assert_eq!(entry.allowed, Some(input.range_si()), "{path}");
            assert_eq!(entry.unit, input.unit.name, "{path}");
            assert_eq!(entry.meaning, input.meaning, "{path}");
            assert!(!(input.required && entry.is_default), "{path}");
            if entry.is_default {
                defaults += 1;
                let usual = input.unit.to_si(input.usual);
                assert_eq!(entry.value, Some(EntryValue::Number(usual)), "{path}");
                assert_eq!(entry.reason, Some(input.reason), "{path}");
            }
        }
    }
    assert!(defaults > 10, "{defaults}");
    let tires = paths.iter().filter(|e| e.path.starts_with("front.tire."));
    // The pressure the car runs at is the car's own.
    assert_eq!(tires.count(), TIRE_INPUTS.len() + 1);
}

/// Both ends of the range of every input are in the range of the car, and the next numbers are not.
#[test]
fn law_the_car_takes_both_ends_of_every_range() {
    let car = car();
    for input in TIRE_INPUTS {
        let path = format!("front.tire.{}", input.key);
        let out_of_range = |value: f64| match car.edit([(path.as_str(), value)]) {
            Ok(_) => false,
            Err(error) => error
                .faults
                .iter()
                .any(|f| f.path == path && matches!(f.kind, FaultKind::OutOfRange)),
        };
        let [low, high] = input.range_si();
        assert!(!out_of_range(low) && !out_of_range(high), "{path}");
        assert!(
            out_of_range(low.next_down()) && out_of_range(high.next_up()),
            "{path}"
        );
    }
}

/// Rows whose stiffness just grows with load drive the fit to its limits; the car takes the result.
#[test]
fn law_a_fit_at_its_limits_goes_on_a_car() {
    let curve =
        |angle: f64| axletree_scalar::Real::sin(1.4 * axletree_scalar::Real::atan(14.0 * angle));
    for grip in [1.1, 6.0] {
        let rows: Vec<ForceRow> = [2000.0, 3500.0, 5000.0]
            .into_iter()
            .flat_map(|load| (-10..=10).map(move |i| (load, 0.02 * f64::from(i))))
            .map(|(load, slip_angle)| ForceRow {
                slip_angle,
                slip_ratio: 0.0,
                load,
                camber: 0.0,
                pressure: 220e3,
                fx: None,
                fy: Some(grip * load * curve(slip_angle)),
                mz: None,
            })
            .collect();
        let fit = TireSpec::typical(0.31, 4000.0).fit(&rows).unwrap();
        let at_limit = fit
            .notes
            .iter()
            .any(|n| matches!(n, FitNote::AtLimit { .. }));
        assert!(at_limit, "nothing ended at a limit: {:?}", fit.notes);
        let edits = fit
            .fitted
            .iter()
            .map(|f| (format!("front.tire.{}", f.name), f.value));
        let fitted = car().edit(edits).unwrap_or_else(|error| panic!("{error}"));
        for f in &fit.fitted {
            let entry = fitted.get(&format!("front.tire.{}", f.name)).unwrap();
            assert_eq!(entry.value, Some(EntryValue::Number(f.value)));
        }
        let whole = car().with_tire(CarEnd::Front, &fit.spec).unwrap();
        for input in TIRE_INPUTS {
            let entry = whole.get(&format!("front.tire.{}", input.key)).unwrap();
            let want = (input.get)(&fit.spec);
            assert_eq!(entry.value, Some(EntryValue::Number(want)), "{}", input.key);
        }
    }
}
