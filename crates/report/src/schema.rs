//! JSON Schema of the case file, for editors that complete and check TOML by one. It comes from the table of inputs.
//!
//! Source: JSON Schema, draft 2020-12. The reader says more: ranges of quantities and rules between inputs are not in the schema.

use hoopwright_case::inputs::{INPUTS, Input, Kind, Need, PRESSURE_RATED, RIM_INNER_WIDTH};
use hoopwright_case::units::{Dimension, UNITS};
use hoopwright_case::{Combine, Condition, MOST_VARIANTS, SERVICE_INPUTS, SERVICE_TABLE, SIZE_SETTINGS, STAND_INS};
use serde_json::{Map, Value, json};

/// A finite decimal number.
const NUMBER: &str = r"[-+]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][-+]?[0-9]+)?";

/// Table that a drawing takes the place of, and whose hoop stiffness follows from a table `section`.
const RIM: &str = "rim";

/// The schema as text.
pub fn case() -> String {
    let mut sections: Vec<&str> = INPUTS.iter().map(|i| i.section).collect();
    sections.dedup();
    let mut properties = Map::new();
    let mut required = Vec::new();
    for section in sections {
        let inputs: Vec<&Input> = INPUTS.iter().copied().filter(|i| i.section == section).collect();
        if section.is_empty() {
            properties.extend(inputs.iter().map(|i| (i.key.to_owned(), input(i))));
            continue;
        }
        if section != RIM && inputs.iter().any(|i| matches!(i.need, Need::Required { .. } | Need::OneOf { .. })) {
            required.push(section);
        }
        properties.insert(section.to_owned(), table(&inputs));
    }
    properties.insert("vary".to_owned(), vary());
    properties.insert("map".to_owned(), map());
    properties.insert("sizes".to_owned(), sizes());
    properties.insert("service".to_owned(), service());
    properties.insert("tolerance".to_owned(), tolerance());
    let schema = json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Hoopwright case",
        "type": "object",
        "properties": properties,
        "required": required,
        "additionalProperties": false,
        "anyOf": rims(),
    });
    format!("{schema:#}\n")
}

/// The three ways to state a rim: drawn, by measures with a section, by measures with a hoop stiffness.
fn rims() -> Value {
    let inputs: Vec<&Input> = INPUTS.iter().copied().filter(|i| i.section == RIM).collect();
    let measures = required(&inputs);
    json!([
        { "properties": { "section": { "properties": { "shape": { "const": "drawing" } }, "required": ["shape"] } }, "required": ["section"] },
        { "properties": { RIM: { "required": measures } }, "required": [RIM, "section"] },
        { "properties": { RIM: { "required": measures, "allOf": alternatives(&inputs) } }, "required": [RIM] },
    ])
}

/// Keys that a table must hold.
fn required(inputs: &[&Input]) -> Vec<&'static str> {
    inputs.iter().filter(|i| matches!(i.need, Need::Required { .. })).map(|i| i.key).collect()
}

/// What a table must hold one or the other of.
fn alternatives(inputs: &[&Input]) -> Vec<Value> {
    let of = |i: &&Input| match i.need {
        Need::OneOf { or, .. } => Some(json!({ "anyOf": [{ "required": [i.key] }, { "required": [or] }] })),
        _ => None,
    };
    inputs.iter().filter_map(of).collect()
}

fn table(inputs: &[&Input]) -> Value {
    let properties: Map<String, Value> = inputs.iter().map(|i| (i.key.to_owned(), input(i))).collect();
    let mut table = json!({ "type": "object", "properties": properties, "additionalProperties": false });
    if inputs.iter().any(|i| i.section == RIM) {
        // What it must hold depends on the table `section`.
        return table;
    }
    table["required"] = json!(required(inputs));
    let alternatives = alternatives(inputs);
    if !alternatives.is_empty() {
        table["allOf"] = Value::Array(alternatives);
    }
    table
}

/// The table of values to run the case over: a list or a range for each input that is a number, by its path.
fn vary() -> Value {
    let combine = json!({
        "enum": Combine::WORDS,
        "description": "How the values of several inputs go together: every value with every other, or the n-th values; default grid.",
    });
    let properties: Map<String, Value> = std::iter::once(("combine".to_owned(), combine)).chain(values_of_inputs()).collect();
    json!({
        "type": "object",
        "description": "Values to run the case over by `hoopwright vary`.",
        "properties": properties,
        "additionalProperties": false,
    })
}

/// The table of a map: two inputs as its axes, and the file of measured tyres.
fn map() -> Value {
    let tyres = json!({
        "type": "string",
        "description": "CSV with measured tyres, relative to the case file: id, diameter, stiffness, tested release pressure, units in its head.",
    });
    let properties: Map<String, Value> = std::iter::once(("tyres".to_owned(), tyres)).chain(values_of_inputs()).collect();
    json!({
        "type": "object",
        "description": "The two axes of `hoopwright map`, each rising in equal steps; none for bead.stiffness and mismatch.",
        "properties": properties,
        "additionalProperties": false,
    })
}

/// The table of time and heat in service.
fn service() -> Value {
    let properties: Map<String, Value> = SERVICE_INPUTS.iter().map(|i| (i.key.to_owned(), input(i))).collect();
    json!({
        "type": "object",
        "description": SERVICE_TABLE.1,
        "properties": properties,
        "additionalProperties": false,
    })
}

/// The table of inputs that scatter: what is asked, and a spread for each input that is a number and no count, by its path.
fn tolerance() -> Value {
    let share = |meaning: &str| json!({ "anyOf": [{ "type": "number" }, { "type": "string", "pattern": quantity(&[Dimension::Number]) }], "description": meaning });
    let settings = [
        ("target", share("Allowed probability that it may release or overload the rim.")),
        (
            "seed",
            json!({ "type": "integer", "minimum": 0, "maximum": u32::MAX, "description": "Seed of the sampling; default 1." }),
        ),
        ("interval", share("Half the width of the 95 % interval as a share of the probability; default 20 %.")),
        (
            "most_solves",
            json!({ "type": "integer", "minimum": 50, "maximum": 100_000, "description": "Most cases that are solved; default 600." }),
        ),
        ("condition", json!({ "enum": Condition::WORDS, "description": "Condition in service that is judged; default new." })),
        ("choose", json!({ "type": "string", "description": "Input whose spread is to be sized for the target." })),
        (
            "correlation",
            json!({
                "type": "array",
                "items": { "type": "array", "minItems": 3, "maxItems": 3, "items": { "type": ["string", "number"] } },
                "description": "Triples of two inputs and the correlation of their values.",
            }),
        ),
    ];
    let properties: Map<String, Value> =
        settings.map(|(key, value)| (key.to_owned(), value)).into_iter().chain(spreads()).collect();
    json!({
        "type": "object",
        "description": "How inputs scatter, for `hoopwright tolerance`.",
        "properties": properties,
        "additionalProperties": false,
    })
}

/// The table of sizes: rim inner widths, pressures and the room in the frame.
fn sizes() -> Value {
    let axes = [RIM_INNER_WIDTH.path(), PRESSURE_RATED.path()];
    let axes = values_of_inputs().filter(|(path, _)| axes.contains(path));
    let properties: Map<String, Value> = SIZE_SETTINGS.iter().map(|i| (i.key.to_owned(), input(i))).chain(axes).collect();
    json!({
        "type": "object",
        "description": "Rims and pressures of `hoopwright sizes`, and the room that the frame leaves.",
        "properties": properties,
        "additionalProperties": false,
    })
}

/// A spread for each input that is a number and no count, by its path.
fn spreads() -> impl Iterator<Item = (String, Value)> {
    let all = INPUTS.iter().copied().chain(STAND_INS).chain(SERVICE_INPUTS.iter().copied());
    all.filter(|i| i.unit().is_some() && !matches!(i.kind, Kind::Count { .. })).map(|input| {
        let value = match input.kind {
            Kind::WordOr { unit, min, max, .. } => kind(Kind::Quantity { unit, min, max }),
            other => kind(other),
        };
        let ends = json!({ "type": "array", "minItems": 2, "maxItems": 2, "items": value });
        let form = |keys: Value, required: &str| {
            json!({ "type": "object", "properties": keys, "required": [required], "additionalProperties": false })
        };
        let normal = form(json!({ "mean": value, "deviation": value, "within": ends }), "deviation");
        let between = form(json!({ "between": ends, "mode": value }), "between");
        let measured = form(json!({ "values": { "type": "string" }, "column": { "type": "string" } }), "values");
        (input.path(), json!({ "anyOf": [normal, between, measured], "description": format!("{}{}.", input.meaning, range(input.kind)) }))
    })
}

/// A list or a range of values for each input that is a number, by its path.
fn values_of_inputs() -> impl Iterator<Item = (String, Value)> {
    INPUTS.iter().copied().chain(STAND_INS).filter(|input| input.unit().is_some()).map(|input| {
        // Of a word or a quantity only the quantity may be varied.
        let value = match input.kind {
            Kind::WordOr { unit, min, max, .. } => kind(Kind::Quantity { unit, min, max }),
            other => kind(other),
        };
        let list = json!({ "type": "array", "minItems": 1, "maxItems": MOST_VARIANTS, "items": value });
        let range = json!({
            "type": "object",
            "properties": { "from": value, "to": value, "count": { "type": "integer", "minimum": 2, "maximum": MOST_VARIANTS } },
            "required": ["from", "to", "count"],
            "additionalProperties": false,
        });
        (input.path(), json!({ "anyOf": [list, range], "description": format!("{}{}.", input.meaning, self::range(input.kind)) }))
    })
}

/// One input: its type, its meaning and where its default comes from.
fn input(input: &Input) -> Value {
    let mut schema = kind(input.kind);
    let stands = match input.need {
        Need::Required { .. } => "must be given".to_owned(),
        Need::OneOf { or, .. } => format!("this or {or} must be given"),
        Need::Instead { of, .. } => format!("in place of {of}"),
        Need::Default { value } => format!("default {value}"),
        Need::Derived { rule, .. } => format!("default: {rule}"),
        Need::Optional { absent, .. } => format!("without it {absent}"),
    };
    schema["description"] = json!(format!("{}{}; {stands}. Source: {}.", input.meaning, range(input.kind), input.source));
    schema
}

fn kind(kind: Kind) -> Value {
    match kind {
        Kind::Quantity { unit, .. } if unit.dimension == Dimension::Number => {
            json!({ "anyOf": [{ "type": "number" }, { "type": "string", "pattern": quantity(&[Dimension::Number]) }] })
        }
        Kind::Quantity { unit, .. } => json!({ "type": "string", "pattern": quantity(&[unit.dimension]) }),
        Kind::Modulus { .. } => json!({ "type": "string", "pattern": quantity(&[Dimension::Pressure, Dimension::Hardness]) }),
        Kind::Count { min, max } => json!({ "type": "integer", "minimum": min, "maximum": max }),
        Kind::Flag => json!({ "type": "boolean" }),
        Kind::Text => json!({ "type": "string" }),
        Kind::Choice(words) => json!({ "enum": words }),
        Kind::WordOr { word, unit, .. } => {
            json!({ "anyOf": [{ "const": word }, { "type": "string", "pattern": quantity(&[unit.dimension]) }] })
        }
        Kind::Curve => json!({
            "type": "array",
            "items": { "type": "array", "minItems": 2, "maxItems": 2, "items": { "type": ["string", "number"] } },
        }),
        Kind::Quantities { unit, least, .. } => json!({
            "type": "array",
            "minItems": least,
            "items": { "type": "string", "pattern": quantity(&[unit.dimension]) },
        }),
        Kind::Size => json!({ "type": "string", "pattern": "^\\s*[0-9]+\\s*-\\s*[0-9]+\\s*$" }),
    }
}

/// Pattern of a number with a unit of one of the dimensions; a pure number may stand without.
fn quantity(dimensions: &[Dimension]) -> String {
    let units = UNITS.iter().filter(|u| dimensions.contains(&u.dimension));
    let symbols: Vec<String> =
        units.flat_map(|u| std::iter::once(u.symbol).chain(u.aliases.iter().copied())).map(escaped).collect();
    format!(r"^\s*{NUMBER}\s*({})\s*$", symbols.join("|"))
}

/// A unit's symbol in a pattern.
fn escaped(symbol: &str) -> String {
    symbol.replace('^', r"\^").replace('/', r"\/")
}

fn range(kind: Kind) -> String {
    match kind {
        Kind::Quantity { unit, min, max } | Kind::WordOr { unit, min, max, .. } => {
            format!(" ({min} to {max} {}", unit.symbol).trim_end().to_owned() + ")"
        }
        Kind::Modulus { min, max } => format!(" ({min} to {max} MPa, or Shore A)"),
        Kind::Count { min, max } => format!(" ({min} to {max})"),
        Kind::Quantities { unit, min, max, .. } => format!(" ({min} to {max} {} each)", unit.symbol),
        Kind::Flag | Kind::Text | Kind::Choice(_) | Kind::Curve | Kind::Size => String::new(),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn every_input_is_in_the_schema() {
        let schema: Value = serde_json::from_str(&case()).unwrap();
        for input in INPUTS {
            let properties = &schema["properties"];
            let place = if input.section.is_empty() { properties } else { &properties[input.section]["properties"] };
            assert!(place[input.key]["description"].as_str().unwrap().contains(input.meaning), "{}", input.path());
            let varied = !schema["properties"]["vary"]["properties"][input.path()].is_null();
            assert_eq!(varied, input.unit().is_some(), "{}", input.path());
        }
    }

    #[test]
    fn a_rim_is_drawn_or_has_a_section_or_a_hoop_stiffness() {
        let schema: Value = serde_json::from_str(&case()).unwrap();
        let [drawn, section, ring] = [0, 1, 2].map(|i| &schema["anyOf"][i]);
        assert_eq!(
            (&drawn["required"], &section["required"], &ring["required"]),
            (&json!(["section"]), &json!(["rim", "section"]), &json!(["rim"]))
        );
        let measures = json!(["seat_diameter", "inner_width", "flange_height"]);
        assert_eq!((&section["properties"]["rim"]["required"], &ring["properties"]["rim"]["required"]), (&measures, &measures));
        let either = json!([{ "anyOf": [{ "required": ["hoop_stiffness"] }, { "required": ["area"] }] }]);
        assert_eq!((&ring["properties"]["rim"]["allOf"], section["properties"]["rim"].get("allOf")), (&either, None));
        assert!(schema["properties"]["rim"].get("required").is_none() && schema["properties"]["spokes"].get("allOf").is_some());
    }
}
