//! Hardpoints to assembled numbers of a whole car: links solved anew, links known already, a hole of a
//! bracket moved.
#![allow(missing_docs)]

use std::hint::black_box;

use axletree_vehicle::car::{BUNDLED, Car, bundled};
use criterion::{Criterion, criterion_group, criterion_main};

/// From the text of a car, its links solved, to its numbers.
fn whole(c: &mut Criterion) {
    for (name, text) in BUNDLED {
        c.bench_function(&format!("text_to_numbers/{name}"), |b| {
            b.iter(|| {
                let car = Car::from_toml(black_box(text), None).expect("a car");
                car.numbers().expect("numbers")
            });
        });
    }
}

/// An edit and the numbers after it.
fn edits(c: &mut Criterion) {
    for (name, _) in BUNDLED {
        let car = bundled(name).expect("bundled").expect("a car");
        let hole = ["rear.links.lower.body.z", "rear.links.lower.front.z"]
            .into_iter()
            .find(|path| car.get(path).is_ok());
        let other = ("rear.bar.outer_diameter", 0.024);
        let Some(hole) = hole else { continue };
        for (what, edit) in [("bar", other), ("bracket_hole", (hole, 0.2))] {
            c.bench_function(&format!("edit_{what}_to_numbers/{name}"), |b| {
                b.iter(|| {
                    let edited = black_box(&car).edit([edit]).expect("a car");
                    edited.numbers().expect("numbers")
                });
            });
        }
    }
}

criterion_group!(benches, whole, edits);
criterion_main!(benches);
