//! How is a sheet, an examination or a stage report kept so that a later program can read it?
//!
//! As JSON beside the name and the version of its format. The store keeps it word for word; the
//! crate that owns the type reads it back, and says so when it cannot.

use serde::{Deserialize, Serialize, de::DeserializeOwned};
use serde_json::Value;

/// A payload of another crate, with the name and version of its format.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Kept {
    /// For example `examination` or `reading-sheet`.
    pub format: String,
    pub version: u32,
    pub body: Value,
}

/// A kept payload could not be turned into or read back as its type.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum KeptError {
    #[error("found a payload of the format {found:?}; expected {expected:?}")]
    OtherFormat { found: String, expected: String },
    #[error(
        "found {format} version {found}; this program reads versions up to {known}: use the newer program that wrote it"
    )]
    TooNew {
        format: String,
        found: u32,
        known: u32,
    },
    #[error(
        "found {format} version {version} that does not read back ({detail}); the record may be damaged"
    )]
    Unreadable {
        format: String,
        version: u32,
        detail: String,
    },
}

impl Kept {
    /// # Errors
    /// When the value has no JSON form (a map whose keys are not text, for one).
    pub fn of<T: Serialize>(format: &str, version: u32, value: &T) -> Result<Self, KeptError> {
        let body = serde_json::to_value(value).map_err(|e| KeptError::Unreadable {
            format: format.into(),
            version,
            detail: e.to_string(),
        })?;
        Ok(Self {
            format: format.into(),
            version,
            body,
        })
    }

    /// Reads the payload as `T`, if it is of `format` and not newer than `known`.
    ///
    /// # Errors
    /// Another format, a newer version, or a body that does not fit.
    pub fn read<T: DeserializeOwned>(&self, format: &str, known: u32) -> Result<T, KeptError> {
        if self.format != format {
            return Err(KeptError::OtherFormat {
                found: self.format.clone(),
                expected: format.into(),
            });
        }
        if self.version > known {
            return Err(KeptError::TooNew {
                format: format.into(),
                found: self.version,
                known,
            });
        }
        T::deserialize(&self.body).map_err(|e| KeptError::Unreadable {
            format: format.into(),
            version: self.version,
            detail: place_only(&e),
        })
    }
}

/// The kind of fault without the value at fault, which may be personal.
fn place_only(error: &serde_json::Error) -> String {
    use serde_json::error::Category;
    match error.classify() {
        Category::Data => "a field is missing or has another type".into(),
        Category::Syntax => "not JSON".into(),
        Category::Eof => "cut short".into(),
        Category::Io => "not readable".into(),
    }
}

/// The one spelling of a JSON value that is hashed: keys sorted, no blanks.
///
/// A database may give the keys back in another order; a seal must not depend on that.
pub fn canonical(value: &Value) -> String {
    match value {
        Value::Object(map) => {
            let mut keys: Vec<&String> = map.keys().collect();
            keys.sort();
            let fields: Vec<String> = keys
                .into_iter()
                .map(|k| format!("{}:{}", Value::String(k.clone()), canonical(&map[k])))
                .collect();
            format!("{{{}}}", fields.join(","))
        }
        Value::Array(items) => {
            format!(
                "[{}]",
                items.iter().map(canonical).collect::<Vec<_>>().join(",")
            )
        }
        plain => plain.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn a_payload_comes_back_as_its_type() {
        let kept = Kept::of("pair", 1, &(1.5, "a")).unwrap();
        assert_eq!(
            kept.read::<(f64, String)>("pair", 1).unwrap(),
            (1.5, "a".to_owned())
        );
    }

    #[test]
    fn a_newer_payload_is_refused_with_both_versions() {
        let kept = Kept {
            format: "pair".into(),
            version: 3,
            body: json!([1, "a"]),
        };
        let said = kept
            .read::<(f64, String)>("pair", 2)
            .unwrap_err()
            .to_string();
        assert!(
            said.contains("version 3") && said.contains("up to 2"),
            "{said}"
        );
    }

    #[test]
    fn the_refusal_of_a_payload_does_not_repeat_its_content() {
        let kept = Kept {
            format: "n".into(),
            version: 1,
            body: json!("Somebody's name"),
        };
        let said = kept.read::<u32>("n", 1).unwrap_err().to_string();
        assert!(!said.contains("Somebody"), "{said}");
    }

    #[test]
    fn the_order_of_keys_does_not_change_the_canonical_spelling() {
        let one: Value = serde_json::from_str(r#"{"b":[1,{"y":null,"x":"q\""}],"a":1.5}"#).unwrap();
        let two: Value = serde_json::from_str(r#"{"a":1.5,"b":[1,{"x":"q\"","y":null}]}"#).unwrap();
        assert_eq!(canonical(&one), canonical(&two));
        assert_eq!(canonical(&one), r#"{"a":1.5,"b":[1,{"x":"q\"","y":null}]}"#);
    }
}
