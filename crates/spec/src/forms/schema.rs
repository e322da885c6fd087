//! JSON Schemas of the files, for editors that complete and check TOML by a schema.

use serde_json::{Map, Value, json};

use super::{Default, Form, Key, Table, actuals, card, job, offer};
use crate::read::may_range;

/// JSON Schema (2020-12) of a job file; equals `docs/job.schema.json`.
pub fn job_schema() -> Value {
    document("Inkset job", &job::JOB)
}

/// JSON Schema (2020-12) of a rate card; equals `docs/rate-card.schema.json`.
pub fn rate_card_schema() -> Value {
    let mut schema = document("Inkset rate card", &card::RATE_CARD);
    let range = |end: Value| {
        let ends = ["low", "typical", "high"];
        let properties: Map<String, Value> = ends
            .iter()
            .map(|key| ((*key).to_owned(), end.clone()))
            .collect();
        json!({
            "type": "object", "properties": properties, "required": ends,
            "additionalProperties": false,
        })
    };
    allow_ranges(&mut schema, &range);
    schema
}

/// Lets every rate below a schema be a range.
fn allow_ranges(schema: &mut Value, range: &impl Fn(Value) -> Value) {
    if let Some(properties) = schema.get_mut("properties").and_then(Value::as_object_mut) {
        for (key, property) in properties.iter_mut() {
            if may_range(key) && is_rate(property) {
                or_range(property, range);
            } else {
                allow_ranges(property, range);
            }
        }
    }
    if let Some(items) = schema.get_mut("items") {
        allow_ranges(items, range);
    }
}

fn is_rate(property: &Value) -> bool {
    property["type"] == "number"
        || property["type"] == "integer"
        || property["anyOf"] == amount()["anyOf"]
}

fn or_range(property: &mut Value, range: &impl Fn(Value) -> Value) {
    let mut plain = property.clone();
    let described = plain.as_object_mut().and_then(|p| p.remove("description"));
    *property = json!({ "anyOf": [plain, range(plain.clone())] });
    if let Some(described) = described {
        property["description"] = described;
    }
}

/// JSON Schema (2020-12) of an offer; equals `docs/offer.schema.json`.
pub fn offer_schema() -> Value {
    document("Inkset offer", &offer::OFFER)
}

/// JSON Schema (2020-12) of a buyer's file; equals `docs/buyer.schema.json`.
pub fn buyer_schema() -> Value {
    document("Inkset buyer's file", &offer::BUYER)
}

/// JSON Schema (2020-12) of a file of actuals; equals `docs/actuals.schema.json`.
pub fn actuals_schema() -> Value {
    document("Inkset actuals", &actuals::ACTUALS)
}

fn document(title: &str, top: &Table) -> Value {
    let mut schema = table(top);
    schema["$schema"] = json!("https://json-schema.org/draft/2020-12/schema");
    schema["title"] = json!(title);
    schema
}

fn table(table: &Table) -> Value {
    let properties: Map<String, Value> = table
        .keys
        .iter()
        .map(|key| (key.name.to_owned(), property(key)))
        .collect();
    let required: Vec<&str> = table
        .keys
        .iter()
        .filter(|key| matches!(key.default, Default::Required))
        .map(|key| key.name)
        .collect();
    json!({
        "type": "object",
        "title": table.header,
        "description": table.about,
        "properties": properties,
        "required": required,
        "additionalProperties": false,
    })
}

fn property(key: &Key) -> Value {
    let mut schema = form(key.form);
    let described = description(key);
    if !described.is_empty() {
        schema["description"] = json!(described);
    }
    schema
}

fn description(key: &Key) -> String {
    let mut said = Vec::new();
    if !key.about.is_empty() {
        said.push(key.about.to_owned());
    }
    if !key.unit.is_empty() {
        said.push(format!("Unit: {}.", key.unit));
    }
    if let Default::Value(value) = key.default {
        said.push(format!("Default: {value}."));
    }
    if !key.example.is_empty() {
        said.push(format!("Example: {} = {}", key.name, key.example));
    }
    said.join(" ")
}

fn form(form: Form) -> Value {
    match form {
        Form::Text => json!({ "type": "string", "minLength": 1 }),
        Form::Size | Form::Length | Form::Date => json!({ "type": "string" }),
        Form::Words(words) => json!({ "enum": words }),
        Form::WordList(words) => json!({ "type": "array", "items": { "enum": words } }),
        Form::TextList => {
            json!({ "type": "array", "items": { "type": "string", "minLength": 1 } })
        }
        Form::Percent => percent(),
        Form::Flag => json!({ "type": "boolean" }),
        Form::Count(low, high) => count(low, high),
        Form::Number(low, high) => json!({ "type": "number", "minimum": low, "maximum": high }),
        Form::Amount => amount(),
        Form::Share => share(),
        Form::Numbers(count, low, high) => numbers(count, (low, high)),
        Form::LabOrPalette(palette) => {
            json!({ "anyOf": [numbers(3, (-128.0, 128.0)), table(palette)] })
        }
        Form::Hex => json!({ "type": "string", "pattern": "^#([0-9A-Fa-f]{3}|[0-9A-Fa-f]{6})$" }),
        Form::Pages => pages(),
        Form::PictureInks => picture_inks(),
        Form::Counts(low, high) => {
            json!({ "type": "array", "items": count(low, high), "minItems": 1, "uniqueItems": true })
        }
        Form::Sizes => json!({ "type": "array", "items": { "type": "string" }, "minItems": 1 }),
        Form::One(one) => table(one),
        Form::Many(many) => json!({ "type": "array", "items": table(many) }),
    }
}

fn count(low: u64, high: u64) -> Value {
    json!({ "type": "integer", "minimum": low, "maximum": high })
}

fn amount() -> Value {
    json!({ "anyOf": [
        { "type": "number", "minimum": 0, "maximum": 100_000_000 },
        { "type": "string", "pattern": "^[0-9][0-9_]*([.][0-9]*)?$" },
    ] })
}

fn percent() -> Value {
    json!({ "anyOf": [
        { "type": "number", "minimum": 0, "maximum": 100 },
        { "type": "string", "pattern": "^ *[0-9.]+ *%? *$" },
    ] })
}

fn share() -> Value {
    json!({ "anyOf": [
        { "type": "number", "minimum": 0, "maximum": 1 },
        { "type": "string", "pattern": "^ *[0-9.]+ *% *$" },
    ] })
}

fn numbers(count: usize, (low, high): (f64, f64)) -> Value {
    json!({
        "type": "array",
        "items": { "type": "number", "minimum": low, "maximum": high },
        "minItems": count,
        "maxItems": count,
    })
}

fn pages() -> Value {
    let page = count(1, 1000);
    json!({ "anyOf": [page, { "type": "array", "items": page, "minItems": 1 }, { "type": "string" }] })
}

fn picture_inks() -> Value {
    let inks = ["c", "m", "y", "k"];
    let properties: Map<String, Value> = inks
        .iter()
        .map(|ink| ((*ink).to_owned(), share()))
        .collect();
    json!({ "anyOf": [
        { "const": "typical" },
        { "type": "object", "properties": properties, "required": inks, "additionalProperties": false },
    ] })
}
