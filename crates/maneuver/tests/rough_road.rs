//! Corners that are not flat.

use axletree_maneuver::{BumpInACorner, Maneuver, RoughCorner};
use axletree_numerics::Interrupt;
use axletree_simulation::Measures;
use axletree_simulation::road::{RoadClass, RoughRoad, Shape, Under};
use axletree_test_support::cars::{BOTH, model};
use axletree_test_support::{close, near};
use axletree_vehicle::{Model, bundled};

fn measure(maneuver: &dyn Maneuver, model: &Model) -> Measures {
    maneuver.measure(model, Interrupt::never()).unwrap()
}

fn get(measures: &Measures, name: &str) -> f64 {
    measures.get(name).unwrap()
}

/// A bump of no height and a road without unevenness leave the car on its circle.
#[test]
fn law_flat_is_flat() {
    for name in BOTH {
        let car = model(name);
        let bump = BumpInACorner {
            shape: Shape::Bump {
                height: 0.0,
                length: 0.8,
            },
            ..BumpInACorner::default()
        };
        let m = measure(&bump, &car);
        for name in [
            "outward_deviation",
            "path_deviation_largest",
            "yaw_rate_deviation_largest",
            "front_grip_lost",
            "rear_grip_lost",
        ] {
            close(name, get(&m, name), 0.0, 1e-6);
        }
    }
}

/// Over a ramp the car comes up by its height and stands as before; over a kerb under one wheel it
/// comes back.
#[test]
fn law_ramp_and_kerb() {
    for name in BOTH {
        let car = model(name);
        let over = |shape: Shape, under: Under| {
            let maneuver = BumpInACorner {
                // So gently that nothing else moves.
                lateral_acceleration: 0.5,
                shape,
                under,
                ..BumpInACorner::default()
            };
            let run = maneuver.run(&car, Interrupt::never()).unwrap();
            assert!(run.measures.ending.outcome.is_completed());
            let ends = |name: &str| {
                let c = run.trace.get(name).unwrap();
                [c[0], c[c.len() - 1]]
            };
            let [low, high] = ends("z");
            let [before, after] = ends("load_rear_left");
            (high - low, after / before)
        };
        let ramp = Shape::Ramp {
            height: 0.05,
            length: 2.0,
        };
        let (rise, load) = over(ramp, Under::Both);
        close("rise", rise, 0.05, 2e-3);
        close("load", load, 1.0, 0.03);
        let kerb = Shape::Kerb {
            height: 0.03,
            slope: 0.3,
            length: 0.5,
        };
        let (rise, load) = over(kerb, Under::Left);
        close("back", rise, 0.0, 2e-3);
        close("load", load, 1.0, 0.03);
    }
}

/// Left and right are alike for a car that is the same on both sides.
#[test]
fn law_mirror() {
    let car = model("bramble-independent");
    let left = BumpInACorner::default();
    let right = BumpInACorner {
        lateral_acceleration: -left.lateral_acceleration,
        under: left.under.mirrored(),
        ..left.clone()
    };
    for ((metric, l), (_, r)) in measure(&left, &car)
        .values
        .iter()
        .zip(&measure(&right, &car).values)
    {
        if !l.is_nan() || !r.is_nan() {
            close(metric.name(), *r, *l, 1e-6 * l.abs() + 1e-9);
        }
    }
}

/// A bump under one wheel of a solid axle disturbs the other, under an independent one hardly
/// (common practice; the static part is validation case V6). The front, independent on both cars,
/// is the control.
#[test]
fn law_a_solid_axle_carries_a_bump_across() {
    let bump = BumpInACorner::default();
    let [solid, independent] = BOTH.map(|name| measure(&bump, &model(name)));
    let across = |m: &Measures, end: &str| get(m, &format!("{end}_cross_disturbance"));
    assert!(across(&solid, "rear") > 2.0 * across(&independent, "rear"));
    assert!(across(&independent, "rear") < 0.25);
    near(
        "front",
        across(&solid, "front"),
        across(&independent, "front"),
        0.35,
    );
}

/// The bundled solid-axle car with mass moved from the body above the axle into the axle, or back:
/// the whole car weighs the same.
fn with_axle_mass(kilograms: f64) -> Model {
    let car = bundled("bramble-solid").unwrap().unwrap();
    let edits = [
        ("rear.axle.mass", format!("{} kg", 106.0 + kilograms)),
        ("rear.sprung.mass", format!("{} kg", 80.0 - kilograms)),
        ("rear.sprung.center_ahead", "0 mm".to_owned()),
        ("rear.sprung.center_height", "316 mm".to_owned()),
    ];
    car.edit(edits).unwrap().assemble().unwrap()
}

/// A heavier unsprung axle loses more grip on a rough corner than on a smooth one (common
/// practice). The same car with mass moved between body and axle on the same road; five roads, so
/// that it is not one road's chance. The front is the control: it hardly feels it.
#[test]
fn law_unsprung_mass_costs_grip_on_a_rough_corner() {
    let [light, heavy] = [-40.0, 40.0].map(with_axle_mass);
    near("mass", heavy.mass(), light.mass(), 1e-9);
    let mean = |model: &Model, name: &str| {
        let seeds = 1..=5;
        seeds
            .map(|seed| {
                let corner = RoughCorner {
                    road: RoughRoad {
                        class: RoadClass::D,
                        seed,
                        ..RoughRoad::default()
                    },
                    ..RoughCorner::default()
                };
                get(&measure(&corner, model), name)
            })
            .sum::<f64>()
            / 5.0
    };
    for name in ["rear_load_variation", "rear_grip_lost"] {
        let (l, h) = (mean(&light, name), mean(&heavy, name));
        assert!(h > 1.1 * l && l > 0.0, "{name}: {l} {h}");
    }
    let name = "front_load_variation";
    near(name, mean(&heavy, name), mean(&light, name), 0.05);
}

/// The rougher the road, the more load variation and the less grip; small heights shake in
/// proportion.
#[test]
fn law_rougher_is_worse() {
    for name in BOTH {
        let car = model(name);
        let on = |class: RoadClass| {
            let corner = RoughCorner {
                road: RoughRoad {
                    class,
                    ..RoughRoad::default()
                },
                ..RoughCorner::default()
            };
            measure(&corner, &car)
        };
        let all = [RoadClass::A, RoadClass::B, RoadClass::C, RoadClass::D].map(on);
        for pair in all.windows(2) {
            for name in ["front_load_variation", "rear_load_variation"] {
                // A class has twice the heights of the one before, and a linear car twice the
                // variation. Dampers that are softer at high speed raise it, wheels that leave the
                // road bound it.
                let ratio = get(&pair[1], name) / get(&pair[0], name);
                assert!(ratio > 1.5 && ratio < 2.2, "{name}: {ratio}");
            }
            for name in ["front_grip_lost", "rear_grip_lost"] {
                assert!(get(&pair[1], name) > get(&pair[0], name));
            }
        }
    }
}

/// The steps of the defaults against shorter ones: 1 %, or the floor, for what depends on 600 steps
/// of a shaken car.
#[test]
fn law_steps_converge() {
    for name in BOTH {
        let car = model(name);
        let bump = BumpInACorner::default();
        let rough = RoughCorner::default();
        let finer = [
            measure(
                &BumpInACorner {
                    step: 0.25 * bump.step,
                    ..bump.clone()
                },
                &car,
            ),
            measure(
                &RoughCorner {
                    step: 0.25 * rough.step,
                    ..rough.clone()
                },
                &car,
            ),
        ];
        for (coarse, fine) in [measure(&bump, &car), measure(&rough, &car)]
            .iter()
            .zip(&finer)
        {
            for ((metric, c), (_, f)) in coarse.values.iter().zip(&fine.values) {
                if !f.is_nan() {
                    close(metric.name(), *c, *f, (1e-2 * f.abs()).max(metric.floor));
                }
            }
        }
    }
}

/// A kerb-high bump throws every wheel off the road; a corner that the car cannot hold has a named
/// outcome and no numbers; a circle shorter than the way driven is no setting.
#[test]
fn outcomes_and_settings() {
    let car = model("bramble-solid");
    let violent = BumpInACorner {
        lateral_acceleration: 7.0,
        shape: Shape::Bump {
            height: 0.2,
            length: 0.8,
        },
        under: Under::Both,
        ..BumpInACorner::default()
    };
    let m = measure(&violent, &car);
    assert!(get(&m, "front_time_off_road") > 0.1 && get(&m, "rear_time_off_road") > 0.1);
    let impossible = BumpInACorner {
        lateral_acceleration: 15.0,
        ..BumpInACorner::default()
    };
    let m = measure(&impossible, &car);
    assert_eq!(m.ending.outcome.name(), "no_steady_state");
    assert!(m.values.iter().all(|(_, v)| v.is_nan()));
    let short = RoughCorner {
        radius: 10.0,
        window: 20.0,
        ..RoughCorner::default()
    };
    assert!(short.measure(&car, Interrupt::never()).is_err());
}
