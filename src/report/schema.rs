//! JSON Schemas, made from the code: of the results, of what changed between two, of what outcomes tell, of the map and
//! of a survey row, and the Table Schema of a survey sheet. The copies under schemas/ are held to them by a test.

use super::changes::ChangesDocument;
use super::geojson::MapDocument;
use super::json::Document;
use super::learned::LearnedDocument;
use super::table_schema::table_schema;
use crate::site::{Field, FieldKind, fields};
use serde_json::{Map, Value, json};

/// The schemas: file name under schemas/, text.
pub fn schemas() -> Vec<(&'static str, String)> {
    vec![
        ("results.schema.json", text(&results())),
        ("changes.schema.json", text(&changes())),
        ("learned.schema.json", text(&learned())),
        ("map.schema.json", text(&map())),
        ("survey-row.schema.json", text(&survey_row())),
        ("survey.table-schema.json", text(&table_schema())),
    ]
}

fn text(schema: &Value) -> String {
    // A value made of maps, lists and texts always prints.
    serde_json::to_string_pretty(schema).unwrap_or_default() + "\n"
}

/// The schema of a document that this program writes.
fn written<T: schemars::JsonSchema>(title: &str, description: &str) -> Value {
    let generator = schemars::generate::SchemaSettings::draft2020_12()
        .with(|settings| settings.contract = schemars::generate::Contract::Serialize)
        .into_generator();
    let mut schema = generator.into_root_schema_for::<T>();
    schema.insert("title".into(), json!(title));
    schema.insert("description".into(), json!(description));
    schema.to_value()
}

fn results() -> Value {
    written::<Document<'static>>(
        "Results of a Baywright run",
        "Which of many sites can have electric-vehicle charging, at what cost, and what would unblock the rest. A field \
         that was not computed is null. A desk-top screen: a qualified designer verifies each site before work.",
    )
}

fn changes() -> Value {
    written::<ChangesDocument<'static>>(
        "What changed between two results of Baywright",
        "Sites that changed, came and went, and why, as far as two results can tell. What they do not tell is null or \
         left out; money is before tax.",
    )
}

fn learned() -> Value {
    written::<LearnedDocument<'static>>(
        "What outcomes tell of a Baywright run",
        "How verdicts, costs and hours did against what was found, and which weights and task hours that would move: \
         proposals, used by nothing by themselves. Money is before tax.",
    )
}

fn map() -> Value {
    written::<MapDocument<'static>>(
        "Map of a Baywright run",
        "GeoJSON (RFC 7946): a point a site with coordinates, a point or a polygon a cluster. A desk-top screen: a \
         qualified designer verifies each site before work.",
    )
}

fn survey_row() -> Value {
    let properties: Map<String, Value> =
        fields().iter().map(|field| (field.name.to_owned(), property(field))).collect();
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "A survey row",
        "description": "One site as it is asked for in the survey sheet, by canonical heading. The least set is \
            address, cutout_rating_a or agreed_capacity_kva, existing_demand_a or existing_demand_kw, and \
            parking_distance_m; every field may be left out or null (not asked) or say \"unknown\".",
        "type": "object",
        "properties": properties,
        "allOf": [
            { "required": ["address", "parking_distance_m"] },
            { "anyOf": [{ "required": ["cutout_rating_a"] }, { "required": ["agreed_capacity_kva"] }] },
            { "anyOf": [{ "required": ["existing_demand_a"] }, { "required": ["existing_demand_kw"] }] }
        ],
        "additionalProperties": true
    })
}

/// The schema of one survey column.
fn property(field: &Field) -> Value {
    let mut property = Map::new();
    let unit = if field.unit.is_empty() { String::new() } else { format!(" Unit: {}.", field.unit) };
    let range = match (field.min, field.max) {
        (Some(min), Some(max)) => format!(" Plausible from {min} to {max}."),
        (Some(min), None) => format!(" Plausible from {min}."),
        (None, Some(max)) => format!(" Plausible up to {max}."),
        (None, None) => String::new(),
    };
    property
        .insert("description".into(), json!(format!("{}{unit}{range}", super::sentence::as_sentence(field.meaning))));
    match field.kind {
        FieldKind::Text | FieldKind::Identifier => {
            property.insert("type".into(), json!(["string", "null"]));
        }
        FieldKind::Number => {
            property.insert("anyOf".into(), json!([{ "type": ["number", "null"] }, { "const": "unknown" }]));
        }
        FieldKind::Count => {
            property.insert("anyOf".into(), json!([{ "type": ["integer", "null"] }, { "const": "unknown" }]));
        }
        FieldKind::YesNo => {
            property.insert("enum".into(), json!(["yes", "no", "unknown", null]));
        }
        FieldKind::Word => {
            let mut words: Vec<Value> = field.words.iter().map(|word| json!(word)).collect();
            if !field.words.contains(&"unknown") {
                words.push(json!("unknown"));
            }
            words.push(Value::Null);
            property.insert("enum".into(), Value::Array(words));
        }
        FieldKind::Date => {
            property.insert("type".into(), json!(["string", "null"]));
            property.insert("format".into(), json!("date"));
        }
        FieldKind::Time => {
            property.insert("type".into(), json!(["string", "null"]));
            property.insert("pattern".into(), json!("^([01]?[0-9]|2[0-4]):[0-5][0-9]$"));
        }
    }
    Value::Object(property)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::Path;

    #[test]
    fn the_schemas_in_the_folder_are_those_of_the_code() {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("schemas");
        let rewrite = std::env::var_os("BAYWRIGHT_WRITE_SCHEMAS").is_some();
        for (name, text) in schemas() {
            let path = folder.join(name);
            if rewrite {
                std::fs::write(&path, &text).expect("schemas/ can be written");
            }
            let kept = std::fs::read_to_string(&path).unwrap_or_default();
            assert!(
                kept == text,
                "schemas/{name} is not what the code says: run the tests once with BAYWRIGHT_WRITE_SCHEMAS=1"
            );
        }
    }

    #[test]
    fn the_schema_names_every_field_of_a_site_and_of_the_survey() {
        let results = results();
        let site = &results["$defs"]["SiteRecord"]["properties"];
        for column in crate::report::columns() {
            assert!(site.get(column.name).is_some(), "{}", column.name);
        }
        assert_eq!(results["properties"]["sites"]["type"], "array");
        let survey = survey_row();
        for field in fields() {
            assert!(survey["properties"].get(field.name).is_some(), "{}", field.name);
        }
    }

    #[test]
    fn every_kind_of_survey_column_has_its_type() {
        let field = |kind, words| Field {
            name: "x",
            group: "supply",
            kind,
            unit: "A",
            min: Some(1.0),
            max: None,
            words,
            personal: false,
            meaning: "A thing.",
            headings: vec![],
        };
        assert_eq!(property(&field(FieldKind::Number, vec![]))["description"], "A thing. Unit: A. Plausible from 1.");
        assert_eq!(property(&field(FieldKind::Word, vec!["a", "b"]))["enum"], json!(["a", "b", "unknown", null]));
        assert_eq!(property(&field(FieldKind::YesNo, vec![]))["enum"], json!(["yes", "no", "unknown", null]));
        assert_eq!(property(&field(FieldKind::Date, vec![]))["format"], "date");
    }
}
