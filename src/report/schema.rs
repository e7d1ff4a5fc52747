//! The shape of an assessment as JSON Schema, made of the rows themselves and of what is said of
//! each field there. docs/assess.schema.json is held to it by a test, which prints the new one after a
//! change of a row.
//!
//! Never here: a field's meaning, which stands beside the field.

use super::Assessment;

#[test]
fn the_schema_in_the_docs_is_that_of_the_rows() {
    let settings = schemars::generate::SchemaSettings::draft2020_12().for_serialize();
    let mut schema = settings
        .into_generator()
        .into_root_schema_for::<Assessment>();
    schema.insert(
        "title".into(),
        format!("linewright assess --json, schema {}", super::SCHEMA).into(),
    );
    let made = serde_json::to_string_pretty(&schema).unwrap() + "\n";
    let kept = include_str!("../../docs/assess.schema.json");
    if kept != made {
        // The whole of it, to be put there.
        panic!("docs/assess.schema.json is not that of the rows; this is:\n{made}");
    }
}
