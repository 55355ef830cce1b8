//! A report against the schema that the program prints: as much of JSON Schema as that uses.

use super::run::run;
use serde_json::Value;

/// Panics with the place where a report is not what its schema says.
pub fn conforms(report: &Value) {
    let ran = run(&["schema"]);
    assert_eq!((ran.status, ran.stderr.as_str()), (0, ""));
    let schema: Value = serde_json::from_str(&ran.stdout).unwrap();
    if let Err(wrong) = fits(&schema, &schema, report, "report") {
        panic!("{wrong}\n{report:#}");
    }
}

fn fits(root: &Value, schema: &Value, value: &Value, at: &str) -> Result<(), String> {
    if let Some(to) = schema["$ref"].as_str() {
        let target = root.pointer(to.trim_start_matches('#'));
        return fits(root, target.ok_or(format!("{at}: no {to}"))?, value, at);
    }
    for choice in ["anyOf", "oneOf"] {
        if let Some(options) = schema[choice].as_array() {
            let any = options.iter().any(|option| fits(root, option, value, at).is_ok());
            return if any { Ok(()) } else { Err(format!("{at}: none of {options:?}")) };
        }
    }
    if let Some(constant) = schema.get("const") {
        return if constant == value { Ok(()) } else { Err(format!("{at}: not {constant}")) };
    }
    if let Some(values) = schema["enum"].as_array() {
        return if values.contains(value) {
            Ok(())
        } else {
            Err(format!("{at}: not in {values:?}"))
        };
    }
    let kind = match value {
        Value::Null => "null",
        Value::Bool(_) => "boolean",
        Value::Number(n) if n.is_u64() || n.is_i64() => "integer",
        Value::Number(_) => "number",
        Value::String(_) => "string",
        Value::Array(_) => "array",
        Value::Object(_) => "object",
    };
    let named = |name: &Value| name == kind || (name == "number" && kind == "integer");
    let right = match &schema["type"] {
        Value::Array(names) => names.iter().any(named),
        name => named(name),
    };
    if !right {
        return Err(format!("{at}: {kind} where {} is due", schema["type"]));
    }
    for name in schema["required"].as_array().into_iter().flatten().filter_map(Value::as_str) {
        if value.get(name).is_none() {
            return Err(format!("{at}: {name} is missing"));
        }
    }
    for (name, inner) in value.as_object().into_iter().flatten() {
        let due = schema["properties"].get(name);
        fits(root, due.ok_or(format!("{at}.{name}: unheard of"))?, inner, &format!("{at}.{name}"))?;
    }
    for (i, inner) in value.as_array().into_iter().flatten().enumerate() {
        fits(root, &schema["items"], inner, &format!("{at}[{i}]"))?;
    }
    Ok(())
}

#[test]
fn the_schema_requires_what_a_reader_needs_and_says_its_units() {
    let schema: Value = serde_json::from_str(&run(&["schema"]).stdout).unwrap();
    let required: Vec<&str> =
        schema["required"].as_array().unwrap().iter().filter_map(Value::as_str).collect();
    for field in ["report_version", "exit_status", "problems", "files", "stages", "findings"] {
        assert!(required.contains(&field), "{field}");
    }
    let mut undescribed = Vec::new();
    for (name, field) in schema["$defs"]["MeasureReport"]["properties"].as_object().unwrap() {
        if name != "what" && name != "dimension" && field.get("description").is_none() {
            undescribed.push(name);
        }
    }
    assert!(undescribed.is_empty(), "{undescribed:?}");
}

#[test]
fn a_report_of_problems_keeps_to_the_schema() {
    let ran = run(&["check", "missing.ron", "--format", "json"]);
    conforms(&serde_json::from_str(&ran.stdout).unwrap());
}
