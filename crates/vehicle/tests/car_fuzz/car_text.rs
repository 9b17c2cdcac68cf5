//! The text of a car file.

use std::collections::BTreeSet;
use std::mem::discriminant;
use std::sync::Mutex;

use allocation_counter::measure;
use axletree_scalar::numbers::Named;
use axletree_vehicle::{Car, CarError, EntryValue, Inputs};
use rand::RngExt;
use rand::seq::IndexedRandom;
use rand_chacha::ChaCha8Rng;

use crate::cases::{self, Ended};
use crate::mutate;
use crate::shown::faults_are_shown;

/// Cases of the bounded test.
const CASES: u64 = 1500;
/// Allocations of a text: some per byte, and those of an assembled car.
const ALLOCATIONS_PER_BYTE: u64 = 8;
const ALLOCATIONS_OF_A_CAR: u64 = 400_000;
/// Memory of a text: some bytes per byte, and those of an assembled car.
const BYTES_PER_BYTE: u64 = 800;
const BYTES_OF_A_CAR: u64 = 8 << 20;

#[test]
fn mutated_car_files_end_in_cars_or_faults() {
    let kinds = Mutex::new(BTreeSet::new());
    let counts = cases::run("cars", CASES, mutate::car_text, |text, rng| {
        let mut read = None;
        let counted = measure(|| read = Some(Car::from_toml(text, Some("fuzz.toml"))));
        let length = text.len() as u64;
        assert!(
            counted.count_total < ALLOCATIONS_PER_BYTE * length + ALLOCATIONS_OF_A_CAR,
            "{counted:?} for {length} bytes"
        );
        assert!(
            counted.bytes_max < BYTES_PER_BYTE * length + BYTES_OF_A_CAR,
            "{counted:?} for {length} bytes"
        );
        match read.expect("a result") {
            Ok(car) => {
                whole(&car);
                round_trips(&car, rng);
                Ended::Accepted
            }
            Err(error) => {
                // A line behind the last one may be named.
                faults_are_shown(&error, text.split('\n').count() + 1);
                let mut kinds = kinds.lock().unwrap();
                kinds.extend(
                    error
                        .faults
                        .iter()
                        .map(|f| format!("{:?}", discriminant(&f.kind))),
                );
                Ended::Refused
            }
        }
    });
    // The control: the changes reach every part of the reading.
    if cases::are_usual() {
        let kinds = kinds.into_inner().unwrap();
        assert!(kinds.len() >= 20, "{kinds:?}");
        let total = counts.accepted + counts.refused;
        assert!(5 * counts.accepted > total, "{counts:?}");
        assert!(5 * counts.refused > total, "{counts:?}");
    }
}

/// Every number of a car is finite, and so are its rates at rest and rolling.
fn whole(car: &Car) {
    car.numbers().named("", &mut |path, value| {
        assert!(value.is_finite(), "{path} = {value}");
    });
    let summary = car.summary();
    for number in summary.load.into_iter().chain(summary.loaded_radius) {
        assert!(number.is_finite() && number > 0.0, "{summary:?}");
    }
    let model = car.assemble().unwrap();
    for speed in [0.0, 20.0] {
        let rate = model.rate(&model.rolling_state(speed), &Inputs::coasting());
        assert!(rate.iter().all(|x| x.is_finite()), "{rate:?}");
    }
}

/// Writing and reading loses nothing, in every format; entries set to themselves change nothing.
fn round_trips(car: &Car, rng: &mut ChaCha8Rng) {
    let text = car.to_toml();
    let back = Car::from_toml(&text, None).unwrap_or_else(|e| panic!("{e}\n{text}"));
    assert_same(car, &back);
    assert_eq!(back.to_toml(), text);
    let json = serde_json::to_string(car).unwrap();
    let back: Car = serde_json::from_str(&json).unwrap();
    assert_same(car, &back);
    assert_eq!(serde_json::to_string(&back).unwrap(), json);

    let entries = car.paths();
    for _ in 0..3 {
        let entry = entries.choose(rng).expect("entries");
        if let Some(EntryValue::Number(si)) = entry.value {
            assert!(si.is_finite(), "{entry:?}");
            assert_same(car, &made(car.edit([(&entry.path, si)])));
        }
        if let Some(written) = &entry.written {
            assert!(
                !written.contains(char::is_control) || entry.path == "note",
                "{entry:?}"
            );
            assert_same(car, &made(car.edit([(&entry.path, written.as_str())])));
        }
    }
    // A random change of one entry is a car or faults, too, and leaves the others alone.
    let entry = entries.choose(rng).expect("entries");
    if let Some([low, high]) = entry.allowed {
        let value = low + (high - low) * rng.random_range(0.0..=1.0);
        match car.edit([(&entry.path, value)]) {
            Ok(other) => {
                let changed = car.differences(&other);
                assert!(changed.iter().all(|d| d.path == entry.path), "{changed:?}");
                whole(&other);
            }
            Err(error) => faults_are_shown(&error, 0),
        }
    }
}

fn made(result: Result<Car, CarError>) -> Car {
    result.unwrap_or_else(|error| panic!("{error}"))
}

/// Equal entries, and equal numbers to the bit.
#[track_caller]
fn assert_same(car: &Car, other: &Car) {
    let differences = car.differences(other);
    assert!(differences.is_empty() && other == car, "{differences:?}");
    let bits = |car: &Car| {
        let mut bits = Vec::new();
        car.numbers()
            .named("", &mut |_, value| bits.push(value.to_bits()));
        bits
    };
    assert!(bits(other) == bits(car));
}
