//! Time of one wheel's tire evaluation: the steady force alone, the whole transient evaluation, and
//! the latter with derivatives.

use std::hint::black_box;

use axletree_scalar::{Dual, Lift, Real};
use axletree_tire::{Tire, TireSpec, driving_velocity, rolling_sense};
use criterion::{Criterion, criterion_group, criterion_main};

/// Load, memory, slip and force of one wheel, as a car evaluates them.
#[inline(always)]
fn wheel<T: Real>(tire: &Tire<T>, x: [T; 7]) -> [T; 6] {
    let contact = tire.contact(tire.normal_load(x[0], x[1]), x[2], T::c(0.9));
    let sigma = contact.relaxation();
    let zeta = [x[3] / sigma[0], x[4] / sigma[1]];
    let drive = driving_velocity([x[5], x[6]], T::c(20.0), contact.camber_slip);
    let rate = contact.deflection_rate(zeta, drive, T::c(20.0), sigma);
    let slip = contact.contact_slip(zeta, [T::zero(); 2]);
    let sense = rolling_sense(T::c(20.0));
    let f = contact.force(slip, sense);
    [
        rate[0],
        rate[1],
        f.fx,
        f.fy,
        f.mz,
        contact.rolling_moment(T::c(0.29), sense),
    ]
}

fn bench(c: &mut Criterion) {
    let tire = TireSpec::typical(0.31, 4000.0).at(220e3).expect("valid");
    let state = [0.02, 0.1, 0.05, 0.002, 0.01, -0.3, 0.8];
    c.bench_function("steady force", |b| {
        b.iter(|| black_box(&tire).force(black_box([0.03, 0.05]), black_box(4000.0), 0.03, 1.0));
    });
    c.bench_function("one wheel, transient", |b| {
        b.iter(|| wheel(black_box(&tire), black_box(state)));
    });
    let lifted: Tire<Dual<f64, 7>> = tire.lift(&mut Dual::constant);
    c.bench_function("one wheel, transient, seven derivatives", |b| {
        b.iter(|| {
            let x = black_box(state);
            wheel(
                black_box(&lifted),
                std::array::from_fn(|i| Dual::variable(x[i], i)),
            )
        });
    });
}

criterion_group!(benches, bench);
criterion_main!(benches);
