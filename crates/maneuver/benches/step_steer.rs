//! How fast a step steer is driven: simulated seconds per second are three over the time of
//! `measure`.

use axletree_maneuver::{Maneuver, StepSteer};
use axletree_numerics::Interrupt;
use axletree_vehicle::bundled;
use criterion::{Criterion, criterion_group, criterion_main};

fn step_steer(c: &mut Criterion) {
    for name in ["bramble-solid", "bramble-independent"] {
        let Some(Ok(car)) = bundled(name) else {
            continue;
        };
        let Ok(model) = car.assemble() else { continue };
        let maneuver = StepSteer::default();
        c.bench_function(&format!("step_steer/measure/{name}"), |b| {
            b.iter(|| maneuver.measure(&model, Interrupt::never()));
        });
        c.bench_function(&format!("step_steer/equilibria/{name}"), |b| {
            b.iter(|| maneuver.prepare(&model));
        });
        let Ok(prepared) = maneuver.prepare(&model) else {
            continue;
        };
        let state = std::array::from_fn(|i| prepared.start[i]);
        let inputs = axletree_vehicle::Inputs::coasting();
        c.bench_function(&format!("rate/{name}"), |b| {
            b.iter(|| model.rate(std::hint::black_box(&state), &inputs));
        });
    }
}

criterion_group!(benches, step_steer);
criterion_main!(benches);
