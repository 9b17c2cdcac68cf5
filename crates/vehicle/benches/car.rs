//! One evaluation of the equations, exact derivatives, equilibria, and building a car.

use std::hint::black_box;

use axletree_vehicle::model::Inputs;
use axletree_vehicle::trim::{Condition, solve};
use axletree_vehicle::{BUNDLED, Car, bundled, linearize};
use criterion::{Criterion, criterion_group, criterion_main};

fn evaluation(c: &mut Criterion) {
    for name in ["bramble-solid", "bramble-independent"] {
        let model = bundled(name).unwrap().unwrap().assemble().unwrap();
        let trim = solve(&model, Condition::cornering(20.0, 6.0)).unwrap();
        c.bench_function(&format!("right_hand_side/{name}"), |b| {
            b.iter(|| model.rate(black_box(&trim.state), black_box(&trim.inputs)));
        });
        c.bench_function(&format!("linearization/{name}"), |b| {
            b.iter(|| linearize(&model, black_box(&trim)));
        });
        c.bench_function(&format!("cornering_equilibrium/{name}"), |b| {
            b.iter(|| solve(&model, black_box(Condition::cornering(20.0, 6.0))));
        });
    }
}

fn building(c: &mut Criterion) {
    for (name, text) in BUNDLED {
        c.bench_function(&format!("load_and_assemble/{name}"), |b| {
            b.iter(|| {
                Car::from_toml(black_box(text), None)
                    .unwrap()
                    .assemble()
                    .unwrap()
            });
        });
        let loaded = Car::from_toml(text, None).unwrap();
        c.bench_function(&format!("edit_and_assemble/{name}"), |b| {
            b.iter(|| {
                let edited = loaded.edit([("rear.bar.outer_diameter", black_box(0.024))]);
                edited.unwrap().assemble().unwrap()
            });
        });
    }
}

/// Multiplications and additions that do not wait for each other: the gauge for the rows above.
fn machine(c: &mut Criterion) {
    let start = [1.0f64; 8];
    let inputs = Inputs::<f64>::coasting();
    c.bench_function("machine/1000_times_8_multiply_add", |b| {
        b.iter(|| {
            let mut x = black_box(start);
            let (k, d) = (black_box(inputs.friction), black_box(1e-9));
            for _ in 0..1000 {
                for v in &mut x {
                    *v = *v * k + d;
                }
            }
            x
        });
    });
}

criterion_group!(benches, evaluation, building, machine);
criterion_main!(benches);
