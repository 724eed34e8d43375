//! What a recording really was.

use crate::cause::verdict::{Cause, Label};
use crate::timeline::types::ListeningMode;
use serde::{Deserialize, Deserializer};
use utoipa::ToSchema;
use utoipa::openapi::schema::{Object, ObjectBuilder, SchemaType, Type};

/// What it really was.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CorrectionIn {
    /// A label of the published contract. `null` takes the correction back; a request that leaves
    /// it out says neither and is refused.
    #[schema(required, schema_with = labels)]
    #[serde(deserialize_with = "said")]
    pub label: Option<String>,
    /// Why.
    #[serde(default)]
    #[schema(max_length = 8000)]
    pub why: String,
    /// The repeater's hang time, if you know it. None of this is kept with `null` for the label.
    #[schema(minimum = 0.01, maximum = 600)]
    pub hang_s: Option<f64>,
    /// How carrier and no carrier can be told apart in it, if you know that.
    #[schema(schema_with = modes)]
    pub mode: Option<String>,
}

/// A value or `null`, but not nothing: where no reader is named, a missing field is read as `null`.
fn said<'de, D, T>(from: D) -> Result<Option<T>, D::Error>
where
    D: Deserializer<'de>,
    T: Deserialize<'de>,
{
    Option::deserialize(from)
}

fn labels() -> Object {
    let causes = Cause::ALL.map(Label::Cause).into_iter();
    one_of((causes.chain([Label::Inconclusive])).map(Label::as_str))
}

fn modes() -> Object {
    one_of(ListeningMode::ALL.into_iter().map(ListeningMode::as_str))
}

/// One of these words, or `null`.
fn one_of(words: impl Iterator<Item = &'static str>) -> Object {
    ObjectBuilder::new()
        .schema_type(SchemaType::from_iter([Type::String, Type::Null]))
        .enum_values(Some(words.map(Some).chain([None])))
        .build()
}

#[cfg(test)]
mod tests {
    use super::*;
    use utoipa::PartialSchema;

    #[test]
    fn a_correction_is_taken_back_by_null_and_by_nothing_else() {
        let read = |text: &str| serde_json::from_str::<CorrectionIn>(text);
        assert!(read(r#"{"label": null}"#).unwrap().label.is_none());
        for nothing in ["{}", r#"{"why": "a slip"}"#] {
            let fault = read(nothing).err().unwrap().to_string();
            assert!(fault.contains("missing field `label`"), "{fault}");
        }
    }

    #[test]
    fn the_words_of_the_contract_and_null_are_described_and_the_label_is_needed() {
        let described = serde_json::to_value(CorrectionIn::schema()).unwrap();
        let words = described["properties"]["label"]["enum"].as_array().unwrap();
        assert_eq!(words.len(), Cause::ALL.len() + 2);
        assert!(words.contains(&"self_desense".into()) && words.contains(&serde_json::Value::Null));
        assert_eq!(described["required"], serde_json::json!(["label"]));
        for mode in ListeningMode::ALL {
            // The same word in the corpus, where corrections go.
            assert_eq!(serde_json::to_value(mode).unwrap(), mode.as_str());
        }
    }
}
