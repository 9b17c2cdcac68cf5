//! Records of models: every number under its name, refused by name where the numbers are others.

use std::collections::HashMap;

use axletree_vehicle::model::{RECORD_SCHEMA, Rear, RecordError};
use axletree_vehicle::{Model, bundled};
use serde_json::{Map, Value, json};

fn models() -> [Model; 2] {
    ["bramble-solid", "bramble-independent"]
        .map(|name| bundled(name).unwrap().unwrap().assemble().unwrap())
}

fn record(model: &Model) -> Value {
    serde_json::to_value(model).unwrap()
}

fn restored(record: Value) -> Result<Model, String> {
    serde_json::from_value(record).map_err(|e| e.to_string())
}

fn numbers(record: &mut Value) -> &mut Map<String, Value> {
    record["numbers"].as_object_mut().unwrap()
}

/// Moves a number to another path.
fn renamed(record: &mut Value, from: &str, to: &str) {
    let value = numbers(record).remove(from).unwrap();
    numbers(record).insert(to.to_owned(), value);
}

#[test]
fn a_record_restores_every_bit() {
    for model in models() {
        let record = record(&model);
        assert_eq!(record["schema"], RECORD_SCHEMA);
        let again = restored(record).unwrap();
        assert_eq!(again, model);
        let bits = |m: &Model| {
            let all = m.named_numbers().into_iter();
            all.map(|(path, x)| (path, x.to_bits())).collect::<Vec<_>>()
        };
        assert_eq!(bits(&again), bits(&model));
        assert!(bits(&model).len() > 400);
    }
}

/// The topology is part of the record: a solid axle does not become an independent rear end.
#[test]
fn a_record_keeps_its_topology() {
    let [solid, independent] = models();
    for (model, want, other) in [
        (&solid, "solid", "independent"),
        (&independent, "independent", "solid"),
    ] {
        let mut record = record(model);
        assert_eq!(record["rear"], want);
        let again = restored(record.clone()).unwrap();
        assert_eq!(
            matches!(again.numbers.rear, Rear::Solid(_)),
            want == "solid"
        );
        record["rear"] = json!(other);
        let error = restored(record.clone()).unwrap_err();
        assert!(error.contains("rear."), "{error}");
        record["rear"] = json!("trailing");
        let error = restored(record).unwrap_err();
        assert!(
            error.contains("\"trailing\"") && error.contains("\"solid\""),
            "{error}"
        );
    }
}

/// The order of the numbers has no meaning, their names have: two numbers whose names are exchanged
/// make another car.
#[test]
#[expect(clippy::float_cmp, reason = "the same bits are meant")]
fn the_order_of_the_numbers_has_no_meaning() {
    let [model, _] = models();
    let mut reordered = record(&model);
    let backward: Map<String, Value> = {
        let all = numbers(&mut reordered).clone();
        let mut all: Vec<_> = all.into_iter().collect();
        all.reverse();
        assert!(all[0].0 > all[1].0);
        all.into_iter().collect()
    };
    reordered["numbers"] = Value::Object(backward);
    assert_eq!(restored(reordered).unwrap(), model);

    let mut exchanged = record(&model);
    renamed(&mut exchanged, "front.bar_rate", "spare");
    renamed(&mut exchanged, "rear.bar_rate", "front.bar_rate");
    renamed(&mut exchanged, "spare", "rear.bar_rate");
    let other = restored(exchanged).unwrap();
    assert_eq!(other.numbers.front.bar_rate, bar_rate(&model));
    assert_ne!(other, model);
}

fn bar_rate(model: &Model) -> f64 {
    match &model.numbers.rear {
        Rear::Solid(axle) => axle.bar_rate,
        Rear::Independent(corners) => corners.bar_rate,
    }
}

#[test]
fn a_missing_or_unknown_number_is_refused_by_name() {
    let [model, _] = models();
    let mut lacking = record(&model);
    numbers(&mut lacking).remove("chassis.sprung.mass");
    let error = restored(lacking).unwrap_err();
    assert_eq!(error, "the model's record lacks chassis.sprung.mass");

    let mut lacking = record(&model);
    numbers(&mut lacking).remove("geometry.track.1");
    numbers(&mut lacking).remove("rest_travel.3");
    let error = restored(lacking).unwrap_err();
    assert_eq!(
        error,
        "the model's record lacks geometry.track.1, rest_travel.3"
    );

    let mut more = record(&model);
    numbers(&mut more).insert("chassis.sprung.color".to_owned(), json!(1.0));
    let error = restored(more).unwrap_err();
    assert_eq!(
        error,
        "no number of this car has the path chassis.sprung.color"
    );

    // A number that was renamed is missing under its name, and many are only counted.
    let mut other = record(&model);
    renamed(&mut other, "chassis.height", "chassis.center_height");
    assert!(
        restored(other)
            .unwrap_err()
            .ends_with("lacks chassis.height")
    );
    let mut none = record(&model);
    numbers(&mut none).clear();
    let error = restored(none).unwrap_err();
    assert!(
        error.contains("chassis.sprung.mass") && error.ends_with(" more"),
        "{error}"
    );
}

#[test]
fn another_schema_is_refused_before_anything_else() {
    let [model, _] = models();
    for found in [0, RECORD_SCHEMA + 1] {
        let other = json!({ "schema": found, "name": "x" });
        let error = restored(other).unwrap_err();
        assert!(error.contains(&format!("schema {found},")), "{error}");
    }
    assert!(restored(json!({})).unwrap_err().contains("schema 0"));
    let mut next = record(&model);
    next["schema"] = json!(RECORD_SCHEMA + 1);
    let error = restored(next).unwrap_err();
    assert!(
        error.contains(&format!("reads schema {RECORD_SCHEMA}")),
        "{error}"
    );
}

#[test]
#[expect(clippy::float_cmp, reason = "the same bits are meant")]
fn numbers_are_replaced_by_their_paths() {
    let [model, _] = models();
    let change = |path: &str, value: f64| model.with_numbers(&[(path.to_owned(), value)].into());
    let heavier = change("chassis.sprung.mass", 1000.0).unwrap();
    assert_eq!(heavier.numbers.chassis.sprung.mass, 1000.0);
    assert_eq!(
        change("no.such.number", 1.0),
        Err(RecordError::Unknown(vec!["no.such.number".to_owned()]))
    );
    let error = change("chassis.height", f64::INFINITY).unwrap_err();
    assert_eq!(error.to_string(), "chassis.height = inf is not finite");
    let all: HashMap<String, f64> = model.named_numbers().into_iter().collect();
    assert_eq!(model.with_numbers(&all).unwrap(), model);
}

/// Numbers with which no maneuver could drive the car are refused by name, alone and among others.
#[test]
fn numbers_that_no_drive_can_follow_are_refused_by_name() {
    let [_, model] = models();
    let change = |path: &str, value: f64| model.with_numbers(&[(path.to_owned(), value)].into());
    let tire = "rear.side.1.wheel.tire";
    for (path, value, part) in [
        (
            "chassis.driveline.windup.damping".to_owned(),
            1e12,
            "driveline",
        ),
        (
            "chassis.driveline.windup.inertia".to_owned(),
            1e-12,
            "driveline",
        ),
        (
            "chassis.driveline.engine.inertia".to_owned(),
            1e-12,
            "driveline",
        ),
        (
            "chassis.driveline.clutch.damping".to_owned(),
            1e12,
            "driveline",
        ),
        (format!("{tire}.y.stiffness_floor"), 0.0, "tires"),
        (format!("{tire}.x.stiffness_floor"), 0.0, "tires"),
        (format!("{tire}.y.carcass_stiffness"), 1e14, "tires"),
    ] {
        let error = change(&path, value).unwrap_err().to_string();
        assert!(
            error.starts_with(&format!("{path} = {value:e}: the {part} ")),
            "{error}"
        );
    }
    for path in ["chassis.driveline.throttle_lag", "chassis.lag"] {
        let error = change(path, 0.0).unwrap_err().to_string();
        let want = format!("{path} = 0e0: the rates of the equations are not finite");
        assert_eq!(error, want);
    }
    // The one at fault among many.
    let mut all: HashMap<String, f64> = model.named_numbers().into_iter().collect();
    all.insert("chassis.driveline.throttle_lag".to_owned(), 0.0);
    let error = model.with_numbers(&all).unwrap_err().to_string();
    assert!(
        error.starts_with("chassis.driveline.throttle_lag = 0e0: "),
        "{error}"
    );
    // Every number of its own, and stiff ones that can be followed, are accepted.
    let stiff = change("chassis.driveline.windup.stiffness", 1e9);
    assert!(stiff.is_ok(), "{stiff:?}");
}
