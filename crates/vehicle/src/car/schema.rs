//! The JSON schema of the car file, for editors.

use serde_json::{Map, Value, json};

use super::Car;
use super::declare::{DECLARATIONS, Declaration, Need, REAR_TYPES, Shape};

/// How a quantity with a unit is written.
const QUANTITY: &str = r"^\s*[-+\u2212]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][-+]?[0-9]+)?\s*\S.*$";

impl Car {
    /// The JSON schema (draft 2020-12) of a car file, from the declarations.
    ///
    /// Ranges hold in the unit named by `x-unit` and stand in `x-minimum` and `x-maximum`, since JSON
    /// schema cannot compare texts with units; for pure numbers they are `minimum` and `maximum`.
    pub fn schema() -> Value {
        let mut root = table("A car");
        for declaration in &DECLARATIONS.list {
            place(&mut root, &declaration.path, declaration);
        }
        let mut schema = Map::new();
        schema.insert(
            "$schema".into(),
            "https://json-schema.org/draft/2020-12/schema".into(),
        );
        schema.insert("title".into(), "Axletree car file".into());
        schema.extend(root);
        schema.insert(
            "allOf".into(),
            REAR_TYPES.iter().map(|kind| only_for(kind)).collect(),
        );
        schema.into()
    }
}

/// An object that allows no other properties.
fn table(description: &str) -> Map<String, Value> {
    let mut table = Map::new();
    table.insert("type".into(), "object".into());
    table.insert("description".into(), description.into());
    table.insert("properties".into(), json!({}));
    table.insert("required".into(), json!([]));
    table.insert("additionalProperties".into(), false.into());
    table
}

fn place(table_map: &mut Map<String, Value>, path: &str, declaration: &Declaration) {
    let (head, rest) = match path.split_once('.') {
        Some((head, rest)) => (head, Some(rest)),
        None => (path, None),
    };
    let required = declaration.need == Need::Required && declaration.rear.is_none();
    if required && let Some(Value::Array(names)) = table_map.get_mut("required") {
        let name = Value::from(head);
        if !names.contains(&name) {
            names.push(name);
        }
    }
    let Some(Value::Object(properties)) = table_map.get_mut("properties") else {
        return;
    };
    match rest {
        None => {
            properties.insert(head.into(), property(declaration));
        }
        Some(rest) => {
            let inner = properties
                .entry(head)
                .or_insert_with(|| Value::Object(table(head)));
            if let Value::Object(inner) = inner {
                place(inner, rest, declaration);
            }
        }
    }
}

fn property(declaration: &Declaration) -> Value {
    let need = match declaration.need {
        Need::Required | Need::Default("", _) => String::new(),
        Need::Default(value, reason) => format!(" Default: {value} ({reason})."),
        Need::Optional(absent) => format!(" If absent: {absent}."),
    };
    let rear = declaration
        .rear
        .map_or_else(String::new, |rear| format!(" For rear.type = \"{rear}\"."));
    let description = format!("{}.{need}{rear}", declaration.meaning);
    match declaration.shape {
        Shape::Text => json!({ "type": "string", "description": description }),
        Shape::Choice(choices) => {
            json!({ "type": "string", "enum": choices, "description": description })
        }
        Shape::Quantity {
            unit: "",
            low,
            high,
        } => json!({
            "anyOf": [
                { "type": "number", "minimum": low, "maximum": high },
                { "type": "string", "pattern": QUANTITY },
            ],
            "description": description,
        }),
        Shape::Quantity { unit, low, high } => json!({
            "type": "string",
            "pattern": QUANTITY,
            "examples": [declaration.example().trim_matches('"')],
            "x-unit": unit,
            "x-minimum": low,
            "x-maximum": high,
            "description": description,
        }),
    }
}

/// If the rear end is of this kind, its required entries; the other kind's entries are not allowed.
fn only_for(kind: &str) -> Value {
    let mut required = Map::new();
    let mut forbidden = Map::new();
    for declaration in &DECLARATIONS.list {
        let Some(rear) = declaration.rear else {
            continue;
        };
        if rear != kind {
            mark(&mut forbidden, &declaration.path, &|properties, name| {
                properties.insert(name.into(), false.into());
            });
        } else if declaration.need == Need::Required {
            mark(&mut required, &declaration.path, &|_, _| {});
        }
    }
    json!({
        "if": { "properties": { "rear": { "properties": { "type": { "const": kind } }, "required": ["type"] } } },
        "then": { "allOf": [required, forbidden] },
    })
}

/// Marks a path in a schema of nested properties: as required at every level where `leaf` writes
/// nothing, else as `leaf` says.
fn mark(table: &mut Map<String, Value>, path: &str, leaf: &dyn Fn(&mut Map<String, Value>, &str)) {
    let (head, rest) = match path.split_once('.') {
        Some((head, rest)) => (head, Some(rest)),
        None => (path, None),
    };
    let mut properties = match table.remove("properties") {
        Some(Value::Object(properties)) => properties,
        _ => Map::new(),
    };
    let before = properties.len();
    match rest {
        None => leaf(&mut properties, head),
        Some(rest) => {
            let inner = properties.entry(head).or_insert_with(|| json!({}));
            if let Value::Object(inner) = inner {
                mark(inner, rest, leaf);
            }
        }
    }
    let is_requirement = rest.is_none() && properties.len() == before
        || properties
            .get(head)
            .is_some_and(|inner| inner.get("required").is_some());
    if is_requirement {
        let names = table.entry("required").or_insert_with(|| json!([]));
        if let Value::Array(names) = names
            && !names.contains(&Value::from(head))
        {
            names.push(head.into());
        }
    }
    if !properties.is_empty() {
        table.insert("properties".into(), properties.into());
    }
}
