//! Speed of the equations with several cars to an instruction, and their share of the machine's
//! peak.

use std::hint::black_box;
use std::time::Instant;

use axletree_scalar::{LANES, LaneRow, LaneTask, Lanes, Width, dispatch_any};
use axletree_vehicle::model::{Batch, STATES};
use axletree_vehicle::trim::{Condition, Trim, solve};
use axletree_vehicle::{Model, bundled};
use criterion::{Criterion, criterion_group, criterion_main};

#[path = "../tests/support/operations.rs"]
mod operations;
use operations::operations;

/// Multiply-adds of [`Peak`].
const CHAINS: usize = 12;
const LINKS: usize = 1000;

/// Chains of multiply-adds that do not wait for each other, in the widest lanes.
struct Peak;

impl LaneTask for Peak {
    type Out = f64;
    #[inline(always)]
    fn run<T: Lanes>(self) -> f64 {
        let (k, d) = (T::c(black_box(0.999)), T::c(black_box(1e-3)));
        let mut x = [T::c(black_box(1.0)); CHAINS];
        for _ in 0..LINKS {
            x = x.map(
                #[inline(always)]
                |v| v.mul_add(k, d),
            );
        }
        let mut sum = T::zero();
        for v in x {
            sum += v;
        }
        let mut row = [0.0; LANES];
        sum.store(&mut row);
        row[0]
    }
}

/// The least time of one call among many short bursts `[s]`.
fn least(mut call: impl FnMut()) -> f64 {
    let mut best = f64::INFINITY;
    for _ in 0..400 {
        let begun = Instant::now();
        for _ in 0..20 {
            call();
        }
        best = best.min(begun.elapsed().as_secs_f64() / 20.0);
    }
    best
}

struct Side {
    batch: Batch,
    state: [LaneRow; STATES],
    trim: Trim,
}

fn side(model: &Model, width: Width) -> Side {
    let trim = solve(model, Condition::cornering(20.0, 6.0)).unwrap();
    Side {
        batch: Batch::with_width(model, width),
        state: trim.state.map(|x| [x; LANES]),
        trim,
    }
}

impl Side {
    fn run(&self) -> f64 {
        let inputs = self.trim.inputs.map(|x| [*x; LANES]);
        let (mut rate, mut load) = ([[0.0; LANES]; STATES], [[0.0; LANES]; 4]);
        let live = [true; LANES];
        self.batch.rate(
            black_box(&self.state),
            black_box(&inputs),
            &live,
            &mut rate,
            &mut load,
        );
        rate[10][0] + load[0][0]
    }
}

fn lanes(c: &mut Criterion) {
    for name in ["bramble-solid", "bramble-independent"] {
        let model = bundled(name).unwrap().unwrap().assemble().unwrap();
        for width in Width::all() {
            let side = side(&model, width);
            let lanes = width.count();
            c.bench_function(&format!("eight_cars/{name}/{lanes}_lanes"), |b| {
                b.iter(|| side.run());
            });
        }
        // In turns in one process: the machine may be shared.
        let side = side(&model, Width::best());
        let (mut own, mut peak) = (f64::INFINITY, f64::INFINITY);
        for _ in 0..20 {
            own = own.min(least(|| {
                black_box(side.run());
            }));
            peak = peak.min(least(|| {
                black_box(dispatch_any(Peak));
            }));
        }
        let tally = operations(&model, &side.trim);
        println!("{name}: {tally:?}");
        let width = Width::best().count();
        let most = (2 * CHAINS * LINKS * width) as f64 / peak;
        let done = (tally.operations() * LANES as u64) as f64 / own;
        println!(
            "{name}: {:.3} us a car, {:.1} of {:.1} GFLOP/s, {:.1} % of the peak",
            1e6 * own / LANES as f64,
            1e-9 * done,
            1e-9 * most,
            100.0 * done / most
        );
    }
}

criterion_group!(benches, lanes);
criterion_main!(benches);
