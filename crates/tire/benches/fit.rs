//! Time of a fit: lateral forces at one pressure, and forces along and across with another
//! inclination and pressure in every row.

use axletree_tire::{ForceRow, TireSpec, theoretical_slip};
use criterion::{Criterion, criterion_group, criterion_main};

/// Rows of a tire unlike the start, evenly scattered.
fn rows(count: usize, both: bool) -> Vec<ForceRow> {
    let mut tire = TireSpec::typical(0.31, 4000.0);
    tire.lateral.friction = 1.15;
    tire.lateral.stiffness = 70_000.0;
    tire.longitudinal.friction = 1.2;
    tire.grip_pressure_loss = 0.8;
    tire.camber_thrust = 0.9;
    (0..count)
        .map(|i| {
            // Multiples of irrational numbers, of which the whole part is left out.
            let share = |k: f64| (k * i as f64).fract();
            let spread = |k: f64, width: f64| width * (share(k) - 0.5);
            let (slip_angle, load) = (spread(0.618_034, 0.4), 1500.0 + 5000.0 * share(0.324_718));
            let (slip_ratio, camber, pressure) = if both {
                let pressure = 210e3 + spread(0.220_744, 120e3);
                (spread(0.754_878, 0.4), spread(0.569_840, 0.1), pressure)
            } else {
                (0.0, 0.0, 220e3)
            };
            let numbers = tire.at(pressure).expect("a pressure of the range");
            let slip = theoretical_slip(slip_ratio, slip_angle);
            let force = numbers.force(slip, load, camber, 1.0);
            // What the model cannot follow, so that the search has an end.
            let off = spread(0.819_173, 100.0);
            ForceRow {
                slip_angle,
                slip_ratio,
                load,
                camber,
                pressure,
                fx: both.then_some(force.fx - off),
                fy: Some(force.fy + off),
                mz: None,
            }
        })
        .collect()
}

fn fits(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("fit");
    group.sample_size(10);
    for (name, both) in [("across", false), ("both", true)] {
        let rows = rows(5000, both);
        group.bench_function(name, |bencher| {
            bencher.iter(|| TireSpec::typical(0.31, 4000.0).fit(&rows));
        });
    }
    group.finish();
}

criterion_group!(benches, fits);
criterion_main!(benches);
