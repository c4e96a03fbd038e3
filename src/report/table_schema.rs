//! The survey sheet as a Table Schema, the open standard for tables of text (Data Package, version 2): one entry a column
//! with its type, bounds and words. It is made from the table of fields; where the sheet stands it does not know.

use super::sentence::as_sentence;
use crate::site::{Field, FieldKind, fields};
use serde_json::{Map, Value, json};

/// Columns of which any one of a row is needed.
const LEAST: [&[&str]; 4] = [
    &["address"],
    &["cutout_rating_a", "agreed_capacity_kva"],
    &["existing_demand_a", "existing_demand_kw", "recorded_peak_kva"],
    &["parking_distance_m"],
];
/// The form of identifiers whose digits have a fixed number, and of times.
const FORMS: [(&str, &str); 2] = [("uprn", "^[0-9]{1,12}$"), ("mpan", "^([0-9]{13}|[0-9]{21})$")];
const TIME_OF_DAY: &str = "^([01]?[0-9]|2[0-4]):[0-5][0-9]$";

/// The schema.
pub(super) fn table_schema() -> Value {
    let fields: Vec<Value> = fields().iter().map(column).collect();
    json!({
        "$schema": "https://datapackage.org/profiles/2.0/tableschema.json",
        "title": "A survey sheet",
        "description": "One row a site, by canonical heading. Of the columns with the same `least` one is needed; every \
            other may be left out, and columns of your own may stand between them. A cell may be left blank or say \
            \"unknown\". The bounds are what is plausible; the reader takes many other spellings and units besides.",
        "fields": fields,
        "fieldsMatch": "partial",
        "missingValues": ["", "unknown"]
    })
}

fn column(field: &Field) -> Value {
    let mut column = Map::new();
    column.insert("name".into(), json!(field.name));
    column.insert("title".into(), json!(title(field)));
    column.insert("description".into(), json!(as_sentence(field.meaning)));
    let kind = match field.kind {
        FieldKind::Number => "number",
        FieldKind::Count => "integer",
        FieldKind::Date => "date",
        _ => "string",
    };
    column.insert("type".into(), json!(kind));
    column.insert("format".into(), json!("default"));
    let constraints = constraints(field);
    if !constraints.is_empty() {
        column.insert("constraints".into(), Value::Object(constraints));
    }
    column.insert("group".into(), json!(field.group));
    if !field.unit.is_empty() && field.kind != FieldKind::Time {
        column.insert("unit".into(), json!(field.unit));
    }
    if let Some(least) = LEAST.iter().find(|any| any.contains(&field.name)) {
        column.insert("least".into(), json!(least.join(" or ")));
    }
    if field.personal {
        column.insert("personal".into(), json!(true));
    }
    Value::Object(column)
}

fn constraints(field: &Field) -> Map<String, Value> {
    let mut constraints = Map::new();
    let number = |bound: f64| if bound.fract() == 0.0 { json!(bound as i64) } else { json!(bound) };
    if matches!(field.kind, FieldKind::Number | FieldKind::Count) {
        constraints.extend(field.min.map(|min| ("minimum".to_owned(), number(min))));
        constraints.extend(field.max.map(|max| ("maximum".to_owned(), number(max))));
    }
    let form = FORMS.iter().find(|(name, _)| *name == field.name).map(|(_, form)| *form);
    if let Some(form) = form.or((field.kind == FieldKind::Time).then_some(TIME_OF_DAY)) {
        constraints.insert("pattern".into(), json!(form));
    }
    match field.kind {
        FieldKind::YesNo => constraints.insert("enum".into(), json!(["yes", "no"])),
        FieldKind::Word => {
            // "unknown" is a missing value of the whole table.
            let words: Vec<&str> = field.words.iter().copied().filter(|word| *word != "unknown").collect();
            constraints.insert("enum".into(), json!(words))
        }
        _ => None,
    };
    constraints
}

/// The name as a person would write it, with its unit.
fn title(field: &Field) -> String {
    let last = match field.name.rsplit_once('_') {
        Some((rest, last)) if field.unit.to_lowercase() == last || last == "c" && field.unit == "degC" => rest,
        _ => field.name,
    };
    let words = last.replace('_', " ");
    match field.unit {
        "" | "year" | "h" => words,
        unit => format!("{words} ({unit})"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_survey_column_stands_in_it_with_what_is_known_of_it() {
        let schema = table_schema();
        let columns = schema["fields"].as_array().unwrap();
        assert_eq!(columns.len(), fields().len());
        let of = |name: &str| columns.iter().find(|column| column["name"] == name).unwrap();
        let fuse = of("cutout_rating_a");
        assert_eq!(
            (&fuse["type"], &fuse["unit"], &fuse["title"]),
            (&json!("number"), &json!("A"), &json!("cutout rating (A)"))
        );
        assert_eq!(fuse["constraints"], json!({ "minimum": 5, "maximum": 4000 }));
        assert_eq!(fuse["least"], "cutout_rating_a or agreed_capacity_kva");
        assert_eq!(of("looped_service")["constraints"]["enum"], json!(["yes", "no"]));
        assert_eq!(of("survey_date")["type"], "date");
        assert_eq!(of("mpan")["type"], "string");
        for (names, column) in LEAST.iter().flat_map(|names| names.iter().map(move |name| (names, of(name)))) {
            assert_eq!(column["least"], names.join(" or "));
        }
        for (name, _) in FORMS {
            assert!(of(name)["constraints"]["pattern"].is_string());
        }
    }
}
