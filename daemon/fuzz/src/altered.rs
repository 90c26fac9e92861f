//! A sound document with some of its values replaced by what nobody thought of. Text out of
//! chance is hardly ever a document; this one always is JSON, and most often still one of ours.

use serde_json::Value;

/// What values are replaced by.
fn odd(choice: u8, number: f64) -> Value {
    let choices = [
        Value::from(number),
        Value::from(0.0),
        Value::from(-0.0),
        Value::from(f64::MAX),
        Value::from(f64::MIN),
        Value::from(f64::MIN_POSITIVE),
        Value::from(5e-324),
        Value::from(-1.0),
        Value::from(1),
        Value::from(2),
        Value::from(u32::MAX),
        Value::from(i64::MIN),
        Value::from(90.0),
        Value::from(-360.0),
        Value::from(1e15),
        Value::Null,
        Value::from(""),
        Value::from("\u{202e}<script>&\"'"),
        Value::from("front_left"),
        Value::from("rear"),
        Value::from("9999-12-31T23:59:60Z"),
        Value::Array(Vec::new()),
        Value::from(true),
    ];
    choices[usize::from(choice) % choices.len()].clone()
}

/// The leaves of a document, in order.
fn leaves<'a>(value: &'a mut Value, found: &mut Vec<&'a mut Value>) {
    if value.as_array().is_some_and(Vec::is_empty) {
        found.push(value);
        return;
    }
    match value {
        Value::Array(all) => {
            for one in all {
                leaves(one, found);
            }
        }
        Value::Object(all) => {
            for one in all.values_mut() {
                leaves(one, found);
            }
        }
        leaf => found.push(leaf),
    }
}

/// The document with values replaced as the bytes say: each time a place, a choice and a number.
pub(crate) fn altered(document: &str, data: &[u8]) -> Option<String> {
    let mut document: Value = serde_json::from_str(document).ok()?;
    for change in data.chunks_exact(12).take(8) {
        let (place, rest) = change.split_first_chunk::<2>()?;
        let (choice, rest) = rest.split_first_chunk::<2>()?;
        let number = f64::from_le_bytes(*rest.first_chunk()?);
        let mut found = Vec::new();
        leaves(&mut document, &mut found);
        let count = found.len();
        if let Some(leaf) = found.get_mut(usize::from(u16::from_le_bytes(*place)) % count.max(1)) {
            **leaf = odd(choice[0], if number.is_finite() { number } else { 1.5 });
        }
    }
    serde_json::to_string(&document).ok()
}
