//! Bundled cars with their hardpoints moved at random: each assembles to finite numbers, or fails
//! with faults at entries of its links.

use std::collections::BTreeMap;

use axletree_scalar::numbers::Named;
use axletree_vehicle::model::Rear;
use axletree_vehicle::{BUNDLED, Car, EntryValue, bundled};
use axletree_vehicle::{CarError, FaultKind};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// Largest move of a coordinate, in turn [m]: a hole of a bracket, a bracket, a car that nobody
/// would build.
const MOVES: [f64; 4] = [0.005, 0.02, 0.05, 0.2];

/// Coordinates of links, subframe, springs, dampers and bars that the car gives; no directions.
fn coordinates(car: &Car) -> Vec<(String, f64)> {
    let point = |path: &str| {
        let axis = matches!(path.rsplit('.').next(), Some("x" | "y" | "z"));
        axis && !path.contains(".sleeve.") && !path.contains(".axis.")
    };
    car.paths()
        .into_iter()
        .filter(|entry| point(&entry.path))
        .filter_map(|entry| match entry.value {
            Some(EntryValue::Number(at)) => Some((entry.path, at)),
            _ => None,
        })
        .collect()
}

/// The numbers of the equations and what else is known, all finite.
fn assembles_finite(car: &Car) -> Result<(), CarError> {
    let (numbers, meta) = (car.numbers(), car.summary());
    car.assemble()?;
    let mut finite = true;
    numbers.named("", &mut |_, x| finite &= x.is_finite());
    assert!(finite, "{numbers:?}");
    // What else is known has no such list: its figures as they print.
    let text = format!("{meta:?}");
    let mut words = text.split(|c: char| !c.is_alphanumeric());
    assert!(!words.any(|word| word == "NaN" || word == "inf"), "{text}");
    Ok(())
}

/// Every fault is at an entry of the car or at the table of a link's entries, and tells something.
fn fails_cleanly(car: &Car, error: &CarError) {
    assert!(!error.faults.is_empty());
    let paths = car.paths();
    for fault in &error.faults {
        let table = format!("{}.", fault.path);
        let known = paths
            .iter()
            .any(|entry| entry.path == fault.path || entry.path.starts_with(&table));
        assert!(known && fault.path.contains('.'), "{fault}");
        assert!(fault.to_string().len() > 30, "{fault}");
    }
}

/// Shakes so many cars; how many assembled and which faults there were, for each largest move.
fn shake(cars: usize) -> [(usize, BTreeMap<String, usize>); MOVES.len()] {
    let bundled: Vec<(Car, Vec<(String, f64)>)> = BUNDLED
        .iter()
        .map(|(name, _)| bundled(name).unwrap().unwrap())
        .map(|car| (coordinates(&car), car))
        .filter(|(points, _)| !points.is_empty())
        .map(|(points, car)| (car, points))
        .collect();
    assert!(bundled.len() >= 6 && bundled.iter().all(|(_, points)| points.len() >= 24));
    let mut rng = ChaCha8Rng::seed_from_u64(31);
    let mut tally: [(usize, BTreeMap<String, usize>); MOVES.len()] = Default::default();
    for i in 0..cars {
        let (car, points) = &bundled[i % bundled.len()];
        let which = (i / bundled.len()) % MOVES.len();
        let most = MOVES[which];
        let edits: Vec<(&str, f64)> = points
            .iter()
            .map(|(path, at)| (path.as_str(), at + rng.random_range(-most..most)))
            .collect();
        let outcome = car
            .edit(edits)
            .and_then(|car| assembles_finite(&car).map(|()| car));
        match outcome {
            Ok(shaken) => {
                assert_ne!(&shaken, car);
                tally[which].0 += 1;
            }
            Err(error) => {
                fails_cleanly(car, &error);
                let kind = match &error.faults[0].kind {
                    FaultKind::Linkage { error } => format!("{error:?}"),
                    other => format!("{other:?}"),
                };
                let kind = kind.split([' ', '{']).next().unwrap_or_default().to_owned();
                *tally[which].1.entry(kind).or_default() += 1;
            }
        }
    }
    tally
}

/// Moves of a bracket leave nearly every car a car, wild ones do not.
///
/// Moves of 20 mm shift bar end, drop link and axle tab of the solid axles' bars independently: the
/// short drop link then swings so far that a cubic surface misses the bar's end by more than the
/// millimeter allowed. That takes 2.2 % of the cars (standard deviation 0.3 % in a sample of 2,500)
/// and is the only fault at this size; the bound is six standard deviations above.
fn check(cars: usize) {
    let tally = shake(cars);
    let failed = |which: usize| tally[which].1.values().sum::<usize>();
    let share = |which: usize| failed(which) as f64 / (failed(which) + tally[which].0) as f64;
    assert!(share(0) == 0.0 && share(1) < 0.04, "{tally:?}");
    assert!(tally[1].1.keys().all(|kind| kind == "Fit"), "{tally:?}");
    assert!(share(2) < 0.25 && share(3) > 0.05, "{tally:?}");
}

/// 10,000 cars take a quarter of a minute on one core; without optimization, fewer.
#[test]
fn law_shaken_hardpoints_assemble_or_fail_cleanly() {
    check(if cfg!(debug_assertions) { 400 } else { 10_000 });
}

/// The pressure of the front tires moves the rear wheel centers by less than a nanometer: the rear
/// links are not solved again, which shows in their numbers, the same to the last bit. The control:
/// the rear's own pressure does move them.
#[test]
fn law_links_are_solved_again_only_where_their_places_move() {
    for name in ["bramble-solid", "bramble-independent"] {
        let car = bundled(name).unwrap().unwrap();
        let curve = |path: &str, pressure: f64| {
            let model = car.edit([(path, pressure)]).unwrap().assemble().unwrap();
            match model.numbers.rear {
                Rear::Solid(axle) => axle.yaw.c.map(f64::to_bits).to_vec(),
                Rear::Independent(corners) => corners.side[0].toe.c.map(f64::to_bits).to_vec(),
            }
        };
        let front = "front.tire.pressure";
        assert_eq!(curve(front, 190e3), curve(front, 230e3), "{name}");
        let rear = "rear.tire.pressure";
        assert_ne!(curve(rear, 190e3), curve(rear, 230e3), "{name}");
    }
}
