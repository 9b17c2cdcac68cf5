//! Equilibria in corners exist up to a limit and not beyond it, whatever the differential does.

use axletree_vehicle::trim::{Condition, TrimError, solve};
use axletree_vehicle::{BUNDLED, bundled};

/// Up to the limit every corner has an equilibrium, beyond it none has, through the kinks where plates
/// begin to slip. Where the search ends for one lateral acceleration it ends for all larger ones, and
/// at the same place. To the left and to the right the limits differ by no more than the torque
/// reaction of the driveline moves them: 4 % with these cars. The control: limits are met.
#[test]
fn law_equilibria_end_at_one_limit() {
    let mut limits = 0;
    for (name, _) in BUNDLED {
        let base = bundled(name).unwrap().unwrap();
        for differential in ["plate", "torque-biasing"] {
            let car = base.edit([("rear.differential.type", differential)]);
            let model = car.unwrap().assemble().unwrap();
            let at = |what: &str| format!("{name}, {differential}, {what}");
            for speed in [4.0, 8.0, 12.0, 20.0, 30.0] {
                let ends = [1.0, -1.0].map(|side| {
                    let mut end: Option<f64> = None;
                    for i in 0..33 {
                        // Tighter circles need more than the lock of a steering wheel.
                        let a = 0.1 + 0.3 * f64::from(i);
                        if speed * speed / a < 6.0 {
                            break;
                        }
                        match (end, solve(&model, Condition::cornering(speed, side * a))) {
                            (None, Ok(_)) => {}
                            (None, Err(TrimError::NoEquilibrium { reached, .. })) => {
                                end = Some(reached.abs());
                            }
                            (Some(end), Err(TrimError::NoEquilibrium { reached, .. })) => assert!(
                                (reached.abs() / end - 1.0).abs() < 0.01,
                                "{}",
                                at(&format!("{speed} m/s: {end} and {reached} m/s^2"))
                            ),
                            (end, found) => {
                                panic!("{}", at(&format!("{speed} m/s, {a}: {end:?}, {found:?}")))
                            }
                        }
                    }
                    end
                });
                if let [Some(left), Some(right)] = ends {
                    limits += 1;
                    let off = (left / right - 1.0).abs();
                    let both = format!("{speed} m/s: {left} and {right} m/s^2");
                    assert!(off < 0.04, "{}", at(&both));
                }
            }
        }
    }
    assert!(limits > 30, "{limits}");
}

/// A gentle circle has an equilibrium on every radius, to both sides.
#[test]
fn law_gentle_circles_have_equilibria() {
    for (name, _) in BUNDLED {
        let base = bundled(name).unwrap().unwrap();
        for differential in ["open", "plate", "torque-biasing", "locked"] {
            let car = base.edit([("rear.differential.type", differential)]);
            let model = car.unwrap().assemble().unwrap();
            // 75 ft across among them.
            for radius in [6.0, 7.5, 11.43, 20.0, 30.0, 100.0, 300.0] {
                for a in [0.3, -0.3, 0.6, -0.6, 1.0, -1.0, 2.0, -2.0] {
                    let speed = f64::sqrt(f64::abs(a) * radius);
                    let found = solve(&model, Condition::cornering(speed, a));
                    assert!(
                        found.is_ok(),
                        "{name}, {differential}, {radius} m, {a} m/s^2: {found:?}"
                    );
                }
            }
        }
    }
}
