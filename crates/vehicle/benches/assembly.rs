//! What it costs to read, edit and assemble a car.

use std::hint::black_box;

use axletree_vehicle::{BUNDLED, Car, bundled};
use criterion::{Criterion, criterion_group, criterion_main};

fn assembly(c: &mut Criterion) {
    for (name, text) in BUNDLED {
        let car = bundled(name).expect("bundled").expect("a car");
        c.bench_function(&format!("read {name}"), |b| {
            b.iter(|| Car::from_toml(black_box(text), None).expect("a car"));
        });
        c.bench_function(&format!("edit {name}"), |b| {
            b.iter(|| {
                black_box(&car)
                    .edit([("rear.bar.outer_diameter", 0.024)])
                    .expect("a car")
            });
        });
        // One hole of a bracket: the links are solved again.
        let holes = ["rear.links.lower.axle.z", "rear.links.lower.front.z"];
        let hole = holes.into_iter().find(|path| car.get(path).is_ok());
        if let Some(hole) = hole {
            let mut z = 0.16;
            c.bench_function(&format!("move a hole of {name}"), |b| {
                b.iter(|| {
                    // Never the same place twice in a row.
                    z = if z > 0.205 { 0.16 } else { z + 1e-4 };
                    black_box(&car).edit([(hole, z)]).expect("a car")
                });
            });
        }
        c.bench_function(&format!("assemble {name}"), |b| {
            b.iter(|| black_box(&car).assemble().expect("a model"));
        });
    }
}

criterion_group!(benches, assembly);
criterion_main!(benches);
