//! Entries of a car: getting, editing, listing, writing, exchanging rear ends, the schema.
#![expect(
    clippy::float_cmp,
    reason = "equal values must be the same number, to the bit"
)]

use axletree_scalar::numbers::Named;
use axletree_vehicle::words::{LinksType, RearType};
use axletree_vehicle::{
    BUNDLED, Car, CarEnd, CarError, DECLARATIONS, EntryNeed, EntryShape, EntryValue, FaultKind,
    Value, bundled, keys,
};

fn solid() -> Car {
    bundled("bramble-solid").unwrap().unwrap()
}

fn independent() -> Car {
    bundled("bramble-independent").unwrap().unwrap()
}

fn number(car: &Car, path: &str) -> f64 {
    match car.get(path).unwrap().value {
        Some(EntryValue::Number(si)) => si,
        other => panic!("{path}: {other:?}"),
    }
}

#[test]
fn bundled_cars_are_cars() {
    assert!(BUNDLED.len() >= 2);
    for (name, text) in BUNDLED {
        let car = bundled(name).unwrap().unwrap_or_else(|e| panic!("{e}"));
        assert!(car.assemble().is_ok());
        assert_eq!(car.origin(), Some(*name));
        // Marked as invented, in the file.
        assert!(text.to_lowercase().contains("invented"), "{name}");
    }
    assert!(bundled("nettle").is_none());
}

#[test]
fn entries_are_got_in_si_units() {
    let car = solid();
    assert_eq!(number(&car, "rear.bar.outer_diameter"), 0.022);
    assert_eq!(number(&car, "steering.ratio"), 15.0);
    assert!((number(&car, "front.tire.pressure") / 220_632.2 - 1.0).abs() < 1e-6);
    let entry = car.get("rear.bar.outer_diameter").unwrap();
    assert_eq!(entry.written.as_deref(), Some("22 mm"));
    assert_eq!((entry.unit, entry.allowed), ("mm", Some([0.0, 0.06])));
    assert!(!entry.is_default);
    // A default comes with its reason.
    let entry = car.get("rear.bar.shear_modulus").unwrap();
    assert_eq!(entry.value, Some(EntryValue::Number(79.3e9)));
    assert!(entry.is_default && entry.reason.is_some());
    // An optional entry is absent.
    assert_eq!(car.get("rear.bar.arm_rate").unwrap().value, None);
    assert_eq!(
        car.get("rear.type").unwrap().value,
        Some(EntryValue::Text("solid".into()))
    );
    // No such entry, with the nearest one.
    let kind = |e: CarError| e.faults[0].kind.clone();
    assert_eq!(
        kind(car.get("rear.bar.outer_diametre").unwrap_err()),
        FaultKind::UnknownKey {
            nearest: Some("rear.bar.outer_diameter".into())
        }
    );
    assert_eq!(
        kind(car.get("rear.camber").unwrap_err()),
        FaultKind::NotApplicable {
            needs: "rear.type = \"independent\"".into()
        }
    );
}

/// Keys read what their paths list, at each end and of each kind of value.
#[test]
fn keys_read_the_entries_of_their_paths() {
    for car in [solid(), independent()] {
        for end in CarEnd::BOTH {
            for key in [keys::TRACK, keys::BAR_OUTER_DIAMETER, keys::TIRE_PRESSURE] {
                let key = key.at(end);
                assert!(key.path().starts_with(end.name()));
                assert_eq!(car.value(key), number(&car, key.path()));
            }
            let pivot = keys::BAR_PIVOT.at(end);
            let listed = ["x", "y", "z"].map(|axis| car.get(&format!("{}.{axis}", pivot.path())));
            let listed = listed.map(|entry| entry.ok().and_then(|entry| entry.value));
            match car.value(pivot) {
                None => assert_eq!(listed, [None, None, None]),
                Some(at) => assert_eq!(listed, at.map(|x| Some(EntryValue::Number(x)))),
            }
        }
        assert_eq!(
            car.value(keys::STEERING_RATIO),
            number(&car, "steering.ratio")
        );
        assert_eq!(car.value(keys::NAME), car.name());
        assert_eq!(car.value(keys::BAR_ARM_RATE.at(CarEnd::Rear)), None);
    }
    assert_eq!(solid().value(keys::REAR_TYPE), RearType::Solid);
    assert_eq!(independent().value(keys::REAR_TYPE), RearType::Independent);
    let links = keys::LINKS_TYPE.at(CarEnd::Rear);
    assert_eq!(solid().value(links), Some(LinksType::FourLinks));
    // The end of a link reads whole: point, material, rates, sleeve.
    let body = solid().value(keys::LINKS_LOWER_BODY);
    let at = ["x", "y", "z"].map(|axis| number(&solid(), &format!("rear.links.lower.body.{axis}")));
    assert_eq!(body.at, at);
    assert_eq!((body.radial, body.sleeve), (None, None));
    let edited = solid()
        .edit([
            ("rear.links.lower.body.material", "spherical"),
            ("rear.links.lower.body.tilt_limit", "20 deg"),
            ("rear.links.lower.body.sleeve.y", "1"),
        ])
        .unwrap();
    let body = edited.value(keys::LINKS_LOWER_BODY);
    assert_eq!(body.material, Some(axletree_linkage::Material::Spherical));
    assert_eq!(body.tilt_limit, Some(20f64.to_radians()));
    assert_eq!(body.sleeve, Some([0.0, 1.0, 0.0]));
}

/// A required entry that the car does not have is a bug of its reader: it stops, in release builds
/// too, in place of a zero.
#[test]
#[should_panic(expected = "the car has no entry rear.axle.mass, which is read")]
fn an_entry_of_another_car_is_not_read_as_zero() {
    let _ = independent().value(keys::AXLE_MASS);
}

#[test]
fn editing_makes_a_new_car() {
    let car = solid();
    let before = car.clone();
    let edited = car
        .edit([
            ("rear.bar.outer_diameter", Value::from("24 mm")),
            ("front.tire.pressure", Value::from(230e3)),
            ("rear.differential.type", Value::from("locked")),
            ("steering.ackermann", Value::Default),
        ])
        .unwrap();
    assert_eq!(car, before);
    assert_eq!(number(&edited, "rear.bar.outer_diameter"), 0.024);
    assert_eq!(number(&edited, "front.tire.pressure"), 230e3);
    let numbers = edited.numbers();
    assert!(numbers.chassis.driveline.differential.preload > 1e6);
    assert_ne!(numbers, car.numbers());
    // However it is written.
    assert_eq!(
        edited,
        edited.edit([("rear.bar.outer_diameter", 0.024)]).unwrap()
    );
    assert_eq!(
        car.edit([("rear.bar.outer_diameter", "0.022 m")]).unwrap(),
        car
    );
    let none: [(&str, f64); 0] = [];
    assert_eq!(car.edit(none).unwrap(), car);
}

#[test]
fn every_wrong_edit_is_reported() {
    let error = solid()
        .edit([
            ("rear.bar.outer_diameter", Value::from("24 kg")),
            ("front.bar.outer_diameter", Value::from(24.0)),
            ("rear.bar.diameter", Value::from("24 mm")),
            ("rear.camber", Value::from("-1 deg")),
            ("rear.type", Value::from(true)),
            ("name", Value::from(3.0)),
            ("wheelbase", Value::Default),
            ("front.damper.setting", Value::from(f64::NAN)),
            ("front.track", Value::from(f64::INFINITY)),
        ])
        .unwrap_err();
    let paths: Vec<&str> = error.faults.iter().map(|f| f.path.as_str()).collect();
    for path in [
        "rear.bar.outer_diameter",
        "front.bar.outer_diameter",
        "rear.bar.diameter",
        "rear.camber",
        "rear.type",
        "name",
        "wheelbase",
        "front.damper.setting",
        "front.track",
    ] {
        assert_eq!(
            paths.iter().filter(|p| **p == path).count(),
            1,
            "{path}: {error}"
        );
    }
    assert_eq!(paths.len(), 9, "{error}");
}

#[test]
fn paths_list_every_entry_once() {
    for car in [solid(), independent()] {
        let paths = car.paths();
        assert!(paths.len() > 150);
        for entry in &paths {
            assert!(!entry.meaning.is_empty());
            assert_eq!(car.get(&entry.path).unwrap(), *entry);
            if let (Some(EntryValue::Number(si)), Some([low, high])) = (&entry.value, entry.allowed)
            {
                assert!(low <= *si && *si <= high, "{}", entry.path);
            }
        }
        let mut names: Vec<&str> = paths.iter().map(|e| e.path.as_str()).collect();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), paths.len());
        // Every number can be set to itself and to the ends of its range, one at a time, or is
        // refused with a fault: nothing panics.
        for entry in &paths {
            if let Some(EntryValue::Number(si)) = entry.value {
                assert_eq!(
                    car.edit([(&entry.path, si)]).unwrap(),
                    car,
                    "{}",
                    entry.path
                );
            }
            for end in entry.allowed.into_iter().flatten() {
                if let Err(error) = car.edit([(&entry.path, end)]) {
                    assert!(
                        !error.faults.iter().any(|f| f.kind == FaultKind::OutOfRange),
                        "{error}"
                    );
                }
            }
        }
    }
}

#[test]
fn declarations_are_sound() {
    for d in &DECLARATIONS.list {
        assert!(d.meaning.chars().next().unwrap().is_uppercase() && !d.meaning.ends_with('.'));
        if let EntryShape::Quantity { low, high, .. } = d.shape {
            assert!(low < high, "{}", d.path);
            // The example of a message is itself allowed.
            let example = d.example();
            let value = solid().edit([(d.path.as_str(), example.trim_matches('"'))]);
            if let Err(error) = value {
                let bad = |k: &FaultKind| {
                    matches!(
                        k,
                        FaultKind::OutOfRange
                            | FaultKind::UnknownUnit { .. }
                            | FaultKind::NotANumber { .. }
                            | FaultKind::WrongDimension { .. }
                    )
                };
                assert!(!error.faults.iter().any(|f| bad(&f.kind)), "{error}");
            }
            if let (Some([low, high]), Some(si)) = (d.range_si(), d.default_si) {
                assert!(low <= si && si <= high, "{}", d.path);
            }
        }
        if let EntryNeed::Default(_, reason) | EntryNeed::Optional(reason) = d.need {
            assert!(!reason.is_empty());
        }
        if let (EntryShape::Choice(choices), Some(default)) = (d.shape, d.default_text()) {
            assert!(choices.contains(&default), "{}", d.path);
        }
    }
}

#[test]
fn law_round_trips() {
    let odd = solid()
        .edit([
            (
                "note",
                Value::from("quotes \" and 'these', a \\ and\nlines, \u{e9}\u{2603}"),
            ),
            ("front.spring.rate", Value::from(33_123.456_789_012_34)),
            ("front.camber", Value::from(-0.021_734_5)),
            ("front.tire.camber_thrust", Value::from(1.0 / 3.0)),
        ])
        .unwrap();
    // With every default written out, so that every table of the file is there.
    let written_out = |car: Car| {
        let values = car.paths().into_iter().filter_map(|entry| {
            let value = match entry.value? {
                EntryValue::Number(si) => Value::from(si),
                EntryValue::Text(text) => Value::from(text),
            };
            (entry.is_default).then_some((entry.path, value))
        });
        car.edit(values).unwrap()
    };
    let full = [written_out(solid()), written_out(independent())];
    assert_eq!(full[0], solid());
    assert!(full[0].to_toml().len() > solid().to_toml().len() + 1000);
    for car in [solid(), independent(), odd].into_iter().chain(full) {
        let text = car.to_toml();
        let back = Car::from_toml(&text, None).unwrap_or_else(|e| panic!("{e}\n{text}"));
        assert_eq!(back, car);
        // And the text itself is stable.
        assert_eq!(back.to_toml(), text);
        assert_eq!(back.numbers(), car.numbers());
        assert_eq!(back.summary(), car.summary());
        // Units stay as written.
        assert!(text.contains("pressure = \"32 psi\""));
        // Through serde, in another format.
        let json = serde_json::to_string(&car).unwrap();
        let back: Car = serde_json::from_str(&json).unwrap();
        assert_eq!(back, car);
        assert_eq!(serde_json::to_string(&back).unwrap(), json);
    }
    assert!(serde_json::from_str::<Car>("{\"name\": []}").is_err());
    assert!(serde_json::from_str::<Car>("[1, 2]").is_err());
}

#[test]
fn law_rear_ends_exchange_whole() {
    let (a, b) = (solid(), independent());
    let swapped = a.with_rear(&b).unwrap();
    for entry in swapped.paths() {
        let source = if entry.path.starts_with("rear.") {
            &b
        } else {
            &a
        };
        assert_eq!(source.get(&entry.path).unwrap(), entry);
    }
    // There and back: the same car and the same numbers.
    let back = swapped.with_rear(&a).unwrap();
    assert_eq!(back, a);
    assert_eq!(back.numbers(), a.numbers());
    assert_eq!(back.summary(), a.summary());
    // Mass and center follow.
    let (solid_meta, swapped_meta) = (a.summary(), swapped.summary());
    let parts = |car: &Car| {
        let p = |path| number(car, path);
        p("rear.sprung.mass")
            + if p("rear.sprung.mass") > 50.0 {
                2.0 * p("rear.unsprung.mass")
            } else {
                p("rear.axle.mass")
            }
    };
    let gain = swapped_meta.mass - solid_meta.mass;
    assert!((gain - (parts(&b) - parts(&a))).abs() < 1e-9 && gain > 10.0);
    assert!(swapped_meta.center_behind_front_axle > solid_meta.center_behind_front_axle + 0.005);
    // The bundled pair shares its front half: the exchange is the other car but for its texts.
    let differences = swapped.differences(&b);
    let paths: Vec<&str> = differences.iter().map(|d| d.path.as_str()).collect();
    assert_eq!(paths, ["name"]);
    assert!(a.differences(&a).is_empty());
    let all = a.differences(&b);
    assert!(all.iter().any(|d| d.path == "rear.type"
        && d.this.as_deref() == Some("solid")
        && d.other.as_deref() == Some("independent")));
    assert!(
        all.iter()
            .any(|d| d.path == "rear.axle.mass" && d.other.is_none())
    );
}

#[test]
fn corner_weights_replace_mass_and_center() {
    let car = solid();
    let (numbers, meta) = (car.numbers(), car.summary());
    let g = numbers.chassis.gravity;
    let wheels = ["front_left", "front_right", "rear_left", "rear_right"];
    let mut edits: Vec<(String, Value)> = wheels
        .iter()
        .zip(meta.load)
        .map(|(wheel, load)| (format!("weights.{wheel}"), Value::from(load / g)))
        .collect();
    // Both stated, in agreement.
    let both = car.edit(edits.clone()).unwrap();
    assert!((both.summary().mass - meta.mass).abs() < 1e-9);
    // Weights alone.
    for path in ["chassis.mass", "chassis.center_behind_front_axle"] {
        edits.push((path.to_owned(), Value::Default));
    }
    let weighed = car.edit(edits).unwrap();
    let (from_weights, other) = (weighed.numbers(), weighed.summary());
    let mut pairs = Vec::new();
    numbers.named("", &mut |path, x| pairs.push((path.to_owned(), x)));
    let mut i = 0;
    from_weights.named("", &mut |path, x| {
        let (name, want) = &pairs[i];
        i += 1;
        assert_eq!(path, name);
        assert!(
            (x - want).abs() <= 1e-9 * (1.0 + want.abs()),
            "{path}: {x} against {want}"
        );
    });
    assert!((other.center_behind_front_axle - meta.center_behind_front_axle).abs() < 1e-9);
    // On another rear end the weights no longer hold; the car without its rear end does.
    let swapped = weighed.with_rear(&independent()).unwrap();
    let direct = car.with_rear(&independent()).unwrap();
    assert!(!swapped.to_toml().contains("[weights]"));
    let (a, b) = (swapped.summary(), direct.summary());
    assert!((a.mass - b.mass).abs() < 1e-9);
    assert!((a.center_behind_front_axle - b.center_behind_front_axle).abs() < 1e-9);
    // A heavier left front corner shows in loads and cross weight.
    let heavy = weighed
        .edit([("weights.front_left", Value::from("370 kg"))])
        .unwrap();
    let load = heavy.summary().load;
    assert!((load[0] - 370.0 * g).abs() < 1e-9);
}

#[test]
fn the_schema_describes_the_file() {
    let schema = Car::schema();
    assert_eq!(
        schema["$schema"],
        "https://json-schema.org/draft/2020-12/schema"
    );
    // Every declared path is a property.
    for d in &DECLARATIONS.list {
        let mut at = &schema;
        for name in d.path.split('.') {
            at = &at["properties"][name];
            assert!(at.is_object(), "{}", d.path);
        }
        assert!(at["description"].as_str().unwrap().starts_with(d.meaning));
    }
    let required = schema["required"].as_array().unwrap();
    for name in ["name", "wheelbase", "front", "rear", "chassis"] {
        assert!(required.iter().any(|r| r == name), "{name}");
    }
    // Bundled cars are valid by the part of the schema language that it uses; broken ones are not.
    for (name, text) in BUNDLED {
        let value: serde_json::Value = toml::from_str::<toml::Table>(text)
            .map(|table| serde_json::to_value(table).unwrap())
            .unwrap();
        let faults = validate(&schema, &value, "");
        assert!(faults.is_empty(), "{name}: {faults:?}");

        let mut broken = value.clone();
        broken["steering"]["ratio"] = 500.into();
        broken["front"]["bar"]["outer_diameter"] = 0.02.into();
        broken["rear"]["colour"] = "red".into();
        broken["rear"]["differential"]["type"] = "odd".into();
        broken["front"].as_object_mut().unwrap().remove("track");
        let other = if name.starts_with("bramble-solid") {
            broken["rear"].as_object_mut().unwrap().remove("axle");
            "toe_in"
        } else {
            broken["rear"].as_object_mut().unwrap().remove("unsprung");
            "axle"
        };
        broken["rear"][other] = serde_json::json!({ "mass": "100 kg" });
        let faults = validate(&schema, &broken, "");
        for path in [
            "steering.ratio",
            "front.bar.outer_diameter",
            "rear.colour",
            "rear.differential.type",
            "front.track",
            if name.starts_with("bramble-solid") {
                "rear.axle"
            } else {
                "rear.unsprung"
            },
        ] {
            assert!(faults.iter().any(|f| f == path), "{path}: {faults:?}");
        }
        let other = format!("rear.{other}");
        assert!(faults.iter().any(|f| f.starts_with(&other)), "{faults:?}");
    }
}

/// Paths at which a value breaks a schema, for the keywords that the car's schema uses.
fn validate(schema: &serde_json::Value, value: &serde_json::Value, path: &str) -> Vec<String> {
    let at = || path.trim_start_matches('.').to_owned();
    let mut faults = Vec::new();
    match schema {
        serde_json::Value::Bool(true) => return faults,
        serde_json::Value::Bool(false) => return vec![at()],
        _ => {}
    }
    let kind = match value {
        serde_json::Value::Object(_) => "object",
        serde_json::Value::String(_) => "string",
        serde_json::Value::Number(_) => "number",
        _ => "other",
    };
    if schema.get("type").is_some_and(|t| t != kind)
        || schema.get("const").is_some_and(|c| c != value)
        || schema
            .get("enum")
            .is_some_and(|e| !e.as_array().unwrap().contains(value))
        || schema
            .get("maximum")
            .is_some_and(|m| value.as_f64().is_some_and(|x| x > m.as_f64().unwrap()))
    {
        faults.push(at());
    }
    if let Some(any) = schema.get("anyOf")
        && !any
            .as_array()
            .unwrap()
            .iter()
            .any(|s| validate(s, value, path).is_empty())
    {
        faults.push(at());
    }
    for s in schema
        .get("allOf")
        .and_then(|a| a.as_array())
        .into_iter()
        .flatten()
    {
        faults.extend(validate(s, value, path));
    }
    if let Some(not) = schema.get("not")
        && validate(not, value, path).is_empty()
    {
        faults.push(at());
    }
    if let Some(condition) = schema.get("if") {
        let branch = if validate(condition, value, path).is_empty() {
            "then"
        } else {
            "else"
        };
        if let Some(branch) = schema.get(branch) {
            faults.extend(validate(branch, value, path));
        }
    }
    let Some(object) = value.as_object() else {
        return faults;
    };
    for name in schema
        .get("required")
        .and_then(|r| r.as_array())
        .into_iter()
        .flatten()
    {
        let name = name.as_str().unwrap();
        if !object.contains_key(name) {
            faults.push(format!("{path}.{name}").trim_start_matches('.').to_owned());
        }
    }
    let properties = schema.get("properties");
    for (name, inner) in object {
        let path = format!("{path}.{name}");
        match properties.and_then(|p| p.get(name)) {
            Some(s) => faults.extend(validate(s, inner, &path)),
            None if schema.get("additionalProperties").is_some() => {
                faults.push(path.trim_start_matches('.').to_owned());
            }
            None => {}
        }
    }
    faults
}

/// A car keeps the numbers it was checked with: they are those that its written file gives, and an
/// edit does not keep the old ones.
#[test]
fn law_a_car_has_the_numbers_of_its_file() {
    for name in ["bramble-solid", "bramble-independent"] {
        let car = bundled(name).unwrap().unwrap();
        let edited = car.edit([("rear.bar.outer_diameter", 0.021)]).unwrap();
        let again = Car::from_toml(&edited.to_toml(), None).unwrap();
        assert_eq!(edited.numbers(), again.numbers());
        assert_eq!(edited.summary(), again.summary());
        assert_ne!(edited.numbers(), car.numbers());
        let Some(EntryValue::Number(was)) = car.get("rear.bar.outer_diameter").unwrap().value
        else {
            panic!("{name}: a bar without a diameter");
        };
        let back = edited.edit([("rear.bar.outer_diameter", was)]).unwrap();
        assert_eq!(back.numbers(), car.numbers());
        assert_eq!(back.summary(), car.summary());
    }
}
