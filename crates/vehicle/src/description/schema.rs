//! The JSON schema of the car file, for editors.

use serde_json::{Map, Value, json};

use super::declare::condition::EntryCondition;
use super::declare::declarations::{DECLARATIONS, Declaration};
use super::declare::row::ConditionTest;
use super::declare::shape::{EntryNeed, EntryShape};

/// How a quantity with a unit is written.
const QUANTITY: &str = r"^\s*[-+\u2212]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][-+]?[0-9]+)?\s*\S.*$";

/// A text of one line.
const ONE_LINE: &str = r"^[^\u0000-\u001f\u007f-\u009f]*$";

/// The JSON schema (draft 2020-12) of a car file, from the declarations.
///
/// Ranges hold in the unit named by `x-unit` and are in `x-minimum` and `x-maximum`, since JSON
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
    schema.insert("allOf".into(), conditional());
    schema.into()
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
    let required = declaration.need == EntryNeed::Required && declaration.conditions.is_empty();
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
        EntryNeed::Required | EntryNeed::Default("", _) => String::new(),
        EntryNeed::Default(value, reason) => format!(" Default: {value} ({reason})."),
        EntryNeed::Optional(absent) => format!(" If absent: {absent}."),
    };
    let conditions: Vec<String> = declaration
        .conditions
        .iter()
        .map(EntryCondition::to_string)
        .collect();
    let only = if conditions.is_empty() {
        String::new()
    } else {
        format!(" For {}.", conditions.join(" and "))
    };
    let description = format!("{}.{need}{only}", declaration.meaning);
    match declaration.shape {
        EntryShape::Text { longest, lines } => {
            let mut text =
                json!({ "type": "string", "maxLength": longest, "description": description });
            if !lines {
                text["pattern"] = ONE_LINE.into();
            }
            text
        }
        EntryShape::Choice(choices) => {
            json!({ "type": "string", "enum": choices, "description": description })
        }
        EntryShape::Quantity {
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
        EntryShape::Quantity { unit, low, high } => json!({
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

/// For every set of conditions: if a car meets them, the entries that it must have, else none of
/// the entries that hang on them.
fn conditional() -> Value {
    let mut sets: Vec<&[EntryCondition]> = Vec::new();
    for declaration in &DECLARATIONS.list {
        let conditions = &declaration.conditions[..];
        if !conditions.is_empty() && !sets.contains(&conditions) {
            sets.push(conditions);
        }
    }
    let one = |set: &&[EntryCondition]| {
        let (mut required, mut forbidden) = (Map::new(), Map::new());
        for declaration in &DECLARATIONS.list {
            if declaration.conditions != *set {
                continue;
            }
            mark(&mut forbidden, &declaration.path, &|properties, name| {
                properties.insert(name.into(), false.into());
            });
            if declaration.need == EntryNeed::Required {
                mark(&mut required, &declaration.path, &|_, _| {});
            }
        }
        let met: Vec<Value> = set.iter().map(met).collect();
        json!({ "if": { "allOf": met }, "then": required, "else": forbidden })
    };
    sets.iter().map(one).collect()
}

/// A condition as a schema.
fn met(condition: &EntryCondition) -> Value {
    let mut out = Map::new();
    let other = DECLARATIONS
        .find(&condition.path)
        .map(|i| &DECLARATIONS.list[i]);
    match condition.test {
        ConditionTest::Given | ConditionTest::Absent => mark(&mut out, &condition.path, &|_, _| {}),
        ConditionTest::Is(words) => {
            mark(&mut out, &condition.path, &|properties, name| {
                properties.insert(name.into(), json!({ "enum": words }));
            });
            // A default counts as written.
            let by_default = other
                .and_then(Declaration::default_text)
                .is_some_and(|word| words.contains(&word));
            if !by_default {
                mark(&mut out, &condition.path, &|_, _| {});
            }
        }
    }
    if condition.test == ConditionTest::Absent {
        json!({ "not": out })
    } else {
        out.into()
    }
}

/// Marks a path in a schema of nested properties: as required at every level where `leaf` writes
/// no property, else as `leaf` writes it.
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
