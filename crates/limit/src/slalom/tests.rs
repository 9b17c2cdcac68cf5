//! Laws of a period that need more than one room: its derivatives, batches, an independent
//! integrator.

use axletree_numerics::Interrupt;
use axletree_numerics::adaptive::adaptive;
use axletree_test_support::cars::{BOTH, model};
use axletree_vehicle::Model;
use axletree_vehicle::model::layout::{ATTITUDE, POSITION, STATES};
use nalgebra::DVector;

use super::geometry::SlalomGeometry;
use super::period::{
    CRUISE, HANDS, LENGTH, Period, PeriodStart, Plant, PlantState, SLOW_STATES,
    close_from_rough_start,
};
use super::search::linear_start;
use super::settings::Slalom;
use crate::cones::{ConePass, Outline};
use axletree_scalar::Real;

/// Period of a car with steps of a length `[m]`, and its linear start at 14 m/s.
fn started<'a>(model: &'a Model, slalom: &Slalom, step: f64) -> (Period<'a>, PeriodStart) {
    let plant = Plant::new(model, slalom, Interrupt::never());
    let lin = plant.straight(14.0).unwrap();
    let start = linear_start(&plant, slalom, &lin).unwrap();
    (Period::new(plant, slalom, step), start)
}

/// The derivatives predict the effect of a small change of the design on the closed orbit: halving
/// the change quarters the error of the prediction.
///
/// The sizes are steps of 0.4 and 0.2 in the tangent space, as large as the search takes them.
/// Two errors make the ratio differ from four: those of the derivatives themselves (forward
/// differences, and fast states that follow by the sensitivities of an orbit nearby), a part of
/// first order that counts the more the smaller the step, and third-order terms, which count the
/// more the larger it is; hence the range of the ratio. The clearances compared are those that
/// bind, of each cone while it is before O; while a cone is behind O another part of the outline
/// may be the nearest at either end of the step, where the clearance has a kink.
#[test]
fn law_sensitivities_are_first_order() {
    let model = model("bramble-solid");
    let slalom = Slalom::default();
    let (period, start) = started(&model, &slalom, 0.06);
    let (lap, s) = close_from_rough_start(&period, &start, 1e-8).unwrap();
    assert!(lap.open < 1e-7);
    let direction = [1.0, -0.5, 0.3, 0.2, -0.4, 0.5];
    let error = |size: f64| {
        let d = DVector::from_fn(direction.len(), |i, _| size * direction[i]);
        let predicted = period.predict(&lap, &s, &d);
        let there = period.close(predicted, &s, 1e-9, 20).unwrap();
        let (here, want) = (period.constraints(&lap), period.constraints(&there));
        let change = &s.constraints * &d;
        [0, 2]
            .into_iter()
            .map(|i: usize| (here[i] + change[i] - want[i]).abs())
            .fold(0.0, f64::max)
    };
    let errors = [0.4, 0.2].map(error);
    let ratio = errors[0] / errors[1];
    assert!((3.0..5.5).contains(&ratio), "{errors:?}");
    // Not trivial: the design does move the clearances by centimeters.
    assert!(s.constraints.row(0).norm() > 0.1);
}

/// Periods run side by side, more than there are lanes, give the bits of each run alone; one that
/// spins among them disturbs none.
#[test]
fn law_periods_side_by_side() {
    let model = model("bramble-independent");
    let (period, from) = started(&model, &Slalom::default(), 0.09);
    let starts: Vec<_> = (0..11)
        .map(|i| {
            let mut one = from.clone();
            one.design.speed += 0.1 * f64::from(i);
            one.design.amplitudes[0][0] *= if i == 3 { 9.0 } else { 1.0 };
            one
        })
        .collect();
    let together = period.laps(&starts);
    assert!(together[3].is_none(), "spins");
    for (start, beside) in starts.iter().zip(&together) {
        let alone = period.lap(start);
        assert_eq!(alone.is_some(), beside.is_some());
        if let (Some(a), Some(b)) = (alone, beside) {
            assert_eq!(a.end.map(f64::to_bits), b.end.map(f64::to_bits));
            assert_eq!(a.clearance.map(f64::to_bits), b.clearance.map(f64::to_bits));
        }
    }
}

/// The orbit, integrated again by the adaptive method at 1e-9 over a period in X, keeps its
/// clearances within 1 mm and returns to its start.
#[test]
fn law_orbit_again_by_adaptive_steps() {
    for name in BOTH {
        let model = model(name);
        let slalom = Slalom::default();
        let geometry = SlalomGeometry::of(&slalom);
        let top = slalom.top_speed(&model, Interrupt::never()).unwrap();
        let (driver, orbit) = (top.driver.unwrap(), top.orbit.unwrap());
        let plant = Plant::new(&model, &slalom, Interrupt::never());
        let mut start = [0.0; LENGTH];
        start[..STATES].copy_from_slice(&orbit.start);
        start[HANDS] = orbit.hands;
        start[CRUISE] = orbit.cruise;
        let outline = Outline::of(&model.geometry);
        let mut passes = [0, 1].map(|i| ConePass::new(geometry.cone(i), outline));
        // Positions every 0.05 m, as the search takes them.
        let stations: Vec<f64> = (0..=720).map(|i| -9.0 + 0.05 * f64::from(i)).collect();
        let rate = |x: f64, state: &PlantState| {
            plant.rate(state, driver.speed, driver.steering.command(x))
        };
        let states = adaptive(&rate, &stations, &start, (1e-9, 1e-10)).unwrap();
        for state in &states {
            let position = [state[POSITION], state[POSITION + 1]];
            for pass in &mut passes {
                pass.observe(position, Real::sin_cos(state[ATTITUDE]));
            }
        }
        let end = states[states.len() - 1];
        for (pass, margin) in passes.iter().zip(orbit.margins) {
            let again = pass.clearance();
            assert!((again - margin).abs() < 1e-3, "{name}: {again} {margin}");
        }
        for i in SLOW_STATES {
            let open = (end[i] - start[i]).abs();
            assert!(open < 5e-3, "{name} state {i} {open}");
        }
    }
}
