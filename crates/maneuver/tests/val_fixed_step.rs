//! The fixed step of sweeps against the adaptive reference.

use axletree_maneuver::{Maneuver, StepSteer};
use axletree_numerics::Interrupt;
use axletree_numerics::adaptive::adaptive as reference;
use axletree_simulation::channels::Moment;
use axletree_simulation::drive::{
    Controls, Integrator, Schedule, Validity, drive, joint_rate_on, split_states,
};
use axletree_simulation::{Ending, FIXED_STEP, Measures, Recorder};
use axletree_test_support::cars::{BOTH, model};
use axletree_vehicle::Model;
use axletree_vehicle::model::Flat;

const N: usize = axletree_vehicle::model::STATES + 1;

/// The same run by `ode_solvers` at 1e-10, sampled every 2 ms, through the same metric code.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a count: whole, small, not negative"
)]
fn by_reference(maneuver: &StepSteer, model: &Model) -> Measures {
    let prepared = maneuver.prepare(model).unwrap();
    let mut times = vec![0.0];
    for pair in prepared.breaks.windows(2) {
        let steps = ((pair[1] - pair[0]) / 0.002).ceil() as usize;
        times.extend((1..=steps).map(|i| pair[0] + (pair[1] - pair[0]) * i as f64 / steps as f64));
    }
    // A kink belongs to the stretch after it: rates are asked a hair inside their stretch.
    let states = {
        let rise = prepared.breaks[1];
        let before = |t: f64, x: &[f64; N]| joint_rate_on(model, &Flat, &prepared.controls, t, x);
        let cut = times.iter().position(|&t| t >= rise).unwrap();
        let mut first = reference(
            &|t, x| before(t.min(rise * (1.0 - 1e-15)), x),
            &times[..=cut],
            &prepared.start,
            (1e-10, 1e-10),
        )
        .unwrap();
        let from = first[cut];
        let rest = reference(&before, &times[cut..], &from, (1e-10, 1e-10)).unwrap();
        first.extend(&rest[1..]);
        first
    };
    let mut recorder = Recorder::metrics();
    for (t, x) in times.iter().zip(&states) {
        let (car, own) = split_states(x);
        let action = prepared.controls.act(*t, car, own);
        let rate = model.rate(car, &action.inputs);
        recorder.record(
            model,
            &Moment {
                time: *t,
                state: car,
                rate: &rate,
                inputs: &action.inputs,
            },
        );
    }
    let end = times[times.len() - 1];
    maneuver.measured(
        recorder.finish(),
        Ending::completed(end),
        prepared.controls.change(),
    )
}

/// Largest disagreement of any metric in units of what is allowed: 0.1 % or the metric's floor.
fn disagreement(got: &Measures, want: &Measures) -> (f64, &'static str) {
    let mut worst = (0.0, "none");
    for ((metric, a), (_, b)) in got.values.iter().zip(&want.values) {
        assert_eq!(a.is_nan(), b.is_nan(), "{}: {a} and {b}", metric.name());
        if a.is_finite() {
            let allowed = metric.floor.max(1e-3 * b.abs());
            let share = (a - b).abs() / allowed;
            if share > worst.0 {
                worst = (share, metric.name());
            }
        }
    }
    worst
}

/// With the step that they choose themselves, cars' metrics of the step steer agree with the
/// adaptive reference to a quarter of 0.1 % or of the metric's floor, for both kinds of rear end,
/// slow and fast, in the linear range and near the limit, with the throttle or the speed held. Two
/// controls: with the end of the turning inside a step it is several times worse, and a run that
/// differs is found.
#[test]
fn val_fixed_step_agrees_with_the_reference() {
    for name in BOTH {
        let model = model(name);
        for (speed, lateral_acceleration, hold_speed) in [
            (80.0 / 3.6, 4.0, false),
            (80.0 / 3.6, -4.0, true),
            (80.0 / 3.6, 0.5, false),
            (80.0 / 3.6, 7.0, false),
            (10.0, 4.0, false),
            (40.0, 6.0, false),
            (55.0, -4.0, false),
        ] {
            let maneuver = StepSteer {
                speed,
                lateral_acceleration,
                hold_speed,
                ..StepSteer::default()
            };
            let want = by_reference(&maneuver, &model);
            assert!(want.values.iter().filter(|v| v.1.is_finite()).count() > 18);
            let got = maneuver.measure(&model, Interrupt::never()).unwrap();
            let (worst, which) = disagreement(&got, &want);
            assert!(
                worst < 0.25,
                "{name}, {speed} m/s, {lateral_acceleration} m/s^2: {which} is off by {worst} of what is allowed"
            );
            // A control: the end of the turning falls into the middle of a step.
            let prepared = maneuver.prepare(&model).unwrap();
            let [start, rise, window, end] = prepared.breaks;
            let turning = (rise / prepared.step).ceil() + 0.5;
            let mut recorder = Recorder::metrics();
            let driven = drive(
                &model,
                &prepared.controls,
                prepared.start,
                &Schedule {
                    breaks: &[start, window, end],
                    longest_step: rise / turning,
                    sample_every: 1,
                    integrator: Integrator::Fixed,
                },
                &mut recorder,
                &Validity::default(),
                Interrupt::never(),
            );
            let careless =
                maneuver.measured(recorder.finish(), driven.ending, prepared.controls.change());
            let (loose, _) = disagreement(&careless, &want);
            assert!(
                loose > 3.0 * worst,
                "{name}, {speed}, {lateral_acceleration}: {loose} and {worst}"
            );
            // The other: a step larger by half a percent is found.
            let larger = StepSteer {
                lateral_acceleration: 1.005 * lateral_acceleration,
                ..maneuver
            };
            let larger = larger.measure(&model, Interrupt::never()).unwrap();
            assert!(disagreement(&larger, &want).0 > 1.0, "{name}");
        }
    }
}

/// Halving the lag with which toe, camber and steering twist follow their loads moves no metric by
/// 0.1 % or its floor. The control: a lag four times as long does.
#[test]
fn val_the_compliance_lag_is_small_enough() {
    for name in BOTH {
        let model = model(name);
        for (speed, lateral_acceleration) in [(80.0 / 3.6, 4.0), (80.0 / 3.6, 7.0), (40.0, 6.0)] {
            let maneuver = StepSteer {
                speed,
                lateral_acceleration,
                ..StepSteer::default()
            };
            let with = |share: f64| {
                let mut car = model.clone();
                car.numbers.chassis.lag *= share;
                maneuver.measure(&car, Interrupt::never()).unwrap()
            };
            let own = with(1.0);
            let (worst, which) = disagreement(&with(0.5), &own);
            assert!(
                worst < 1.0,
                "{name}, {speed} m/s: {which} moves by {worst} of what is allowed"
            );
            assert!(disagreement(&with(4.0), &own).0 > 2.0 * worst, "{name}");
        }
    }
}

/// The step agrees with a sixteenth of it however short the lags are, down to a fortieth of it:
/// they do not bound it. The control: metrics do depend on the step.
#[test]
fn val_the_step_is_not_bound_by_the_lags() {
    for name in BOTH {
        for lag in [0.5e-3, 0.1e-3] {
            let mut car = model(name);
            car.numbers.chassis.lag = lag;
            let with = |step: f64| {
                let maneuver = StepSteer {
                    step,
                    ..StepSteer::default()
                };
                maneuver.measure(&car, Interrupt::never()).unwrap()
            };
            let fine = with(FIXED_STEP / 16.0);
            let (own, which) = disagreement(&with(FIXED_STEP), &fine);
            let (half, _) = disagreement(&with(FIXED_STEP / 2.0), &fine);
            assert!(own < 1.0, "{name}, lag {lag} s: {which} {own}");
            assert!(half < own && own > 1e-4, "{name}: {half} {own}");
        }
    }
}
