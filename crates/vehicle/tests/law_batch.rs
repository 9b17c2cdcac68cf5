//! Cars side by side against cars alone.

use allocation_counter::measure;
use axletree_scalar::{LANES, Real, Width};
use axletree_vehicle::model::layout::{SPIN, VELOCITY};
use axletree_vehicle::model::{Batch, BatchExtras, Evaluation, Inputs, Patch, Road, STATES};
use axletree_vehicle::trim::{Condition, solve};
use axletree_vehicle::{Model, bundled};

/// Eight cars of one topology with different bars and speeds, their states and inputs.
fn cars(name: &str) -> (Vec<Model>, Vec<[f64; STATES]>, Vec<Inputs<f64>>) {
    let base = bundled(name).unwrap().unwrap();
    let (mut models, mut states, mut inputs) = (Vec::new(), Vec::new(), Vec::new());
    for i in 0..LANES {
        let bar = 0.016 + 0.001 * i as f64;
        let edited = base.edit([("rear.bar.outer_diameter", bar)]).unwrap();
        let model = edited.assemble().unwrap();
        let condition = Condition::cornering(12.0 + 2.0 * i as f64, 5.0 - 0.8 * i as f64);
        let trim = solve(&model, condition).unwrap();
        let mut x = trim.state;
        // Away from the equilibrium; the third car has a wheel that spins, the fifth slides.
        x[VELOCITY + 2] += 0.03;
        x[SPIN + 2] *= if i == 2 { 1.6 } else { 1.01 };
        x[VELOCITY + 1] += if i == 4 { 6.0 } else { 0.1 };
        models.push(model);
        states.push(x);
        inputs.push(trim.inputs);
    }
    (models, states, inputs)
}

/// Every width of lanes gives the same bits as each car alone, with a lane left out. The control:
/// the cars differ. Once filled, a batch allocates nothing.
#[test]
#[expect(clippy::float_cmp, reason = "the same bits are meant")]
fn law_a_batch_agrees_with_each_car_alone() {
    for name in ["bramble-solid", "bramble-independent"] {
        let (models, states, inputs) = cars(name);
        let mut x = [[0.0; LANES]; STATES];
        let mut u = Inputs::coasting().map(|v: &f64| [*v; LANES]);
        for i in 0..LANES {
            for k in 0..STATES {
                x[k][i] = states[i][k];
            }
            u.put(i, &inputs[i]);
        }
        for width in Width::all() {
            let mut batch = Batch::with_width(&models[0], width);
            batch.put(models.iter().enumerate());
            assert_eq!(batch.width(), width);
            let mut live = [true; LANES];
            live[5] = false;
            let (mut rate, mut load) = ([[0.0; LANES]; STATES], [[0.0; LANES]; 4]);
            let counted = measure(|| batch.rate(&x, &u, &live, &mut rate, &mut load));
            assert_eq!(counted.count_total, 0, "{width:?}");
            for i in (0..LANES).filter(|i| live[*i]) {
                let alone = models[i].evaluate(&states[i], &inputs[i]);
                for k in 0..STATES {
                    let (got, want) = (rate[k][i], alone.rate[k]);
                    assert_eq!(
                        got.to_bits(),
                        want.to_bits(),
                        "{name} {width:?}: car {i}, {k}"
                    );
                }
                for w in 0..4 {
                    assert_eq!(load[w][i].to_bits(), alone.contacts[w].load.to_bits());
                }
            }
            assert!(rate[VELOCITY + 1][0] != rate[VELOCITY + 1][1]);
        }
    }
}

/// A road whose height is a sine along x; the number is the wavelength over 2 pi `[m]`.
struct Wave(f64);

impl Road<f64> for Wave {
    fn under(&self, wheel: usize, [x, _]: [f64; 2], [vx, _]: [f64; 2]) -> Patch<f64> {
        let (sin, cos) = Real::sin_cos(x / self.0 + wheel as f64);
        Patch {
            height: 0.01 * sin,
            rise: 0.01 * cos * vx / self.0,
        }
    }
}

/// Stored evaluations have the same bits as those of each car alone on its own road, in every width
/// of lanes. The control: the road has an effect.
#[test]
#[expect(clippy::float_cmp, reason = "the same bits are meant")]
fn law_an_observed_batch_agrees_with_each_car_alone() {
    for name in ["bramble-solid", "bramble-independent"] {
        let (models, states, inputs) = cars(name);
        let mut x = [[0.0; LANES]; STATES];
        let mut u = Inputs::coasting().map(|v: &f64| [*v; LANES]);
        for i in 0..LANES {
            for k in 0..STATES {
                x[k][i] = states[i][k];
            }
            u.put(i, &inputs[i]);
        }
        let waves: [Wave; LANES] = std::array::from_fn(|i| Wave(1.0 + i as f64));
        let roads: [&dyn Road<f64>; LANES] = std::array::from_fn(|i| &waves[i] as &dyn Road<f64>);
        for width in Width::all() {
            let mut batch = Batch::with_width(&models[0], width);
            batch.put(models.iter().enumerate());
            let (mut rate, mut load) = ([[0.0; LANES]; STATES], [[0.0; LANES]; 4]);
            let mut evaluations = [None; LANES];
            let extras = BatchExtras {
                roads: Some(&roads),
                evaluations: Some(&mut evaluations),
            };
            batch.observe(&x, &u, &[true; LANES], &mut rate, &mut load, extras);
            let bits = |e: &Evaluation<f64>| {
                let mut bits = Vec::new();
                e.map(|v| bits.push(v.to_bits()));
                bits
            };
            for i in 0..LANES {
                let alone = models[i].evaluate_on(&states[i], &inputs[i], &waves[i]);
                let got = bits(&evaluations[i].unwrap());
                assert!(got.len() > 150);
                assert_eq!(got, bits(&alone), "{name} {width:?}: car {i}");
                assert_eq!(rate[VELOCITY][i].to_bits(), alone.rate[VELOCITY].to_bits());
                assert_eq!(load[3][i].to_bits(), alone.contacts[3].load.to_bits());
                let flat = models[i].evaluate(&states[i], &inputs[i]);
                assert!(flat.contacts[1].load != alone.contacts[1].load);
            }
        }
    }
}

#[test]
#[should_panic(expected = "another rear end")]
fn a_car_of_another_topology_does_not_fit() {
    let load = |name| bundled(name).unwrap().unwrap().assemble().unwrap();
    let (solid, independent) = (load("bramble-solid"), load("bramble-independent"));
    let mut batch = Batch::of(&solid);
    assert!(batch.fits(&solid) && !batch.fits(&independent));
    batch.put([(0, &independent)]);
}
