//! JSON against its own published schema and against the contract's field names.

use crate::fixtures;
use serde_json::Value;
use std::path::Path;
use tailbeat::present::json::{self, CheckJson};

fn schema(name: &str) -> Value {
    serde_json::from_str(&json::schema(name).unwrap()).unwrap()
}

fn parsed(check: &tailbeat::Check) -> Value {
    serde_json::from_str(&json::check(check)).unwrap()
}

#[test]
fn desense_is_written_down() {
    let mut value = parsed(&fixtures::two_drops());
    insta::assert_json_snapshot!(value);
    value["schema"] = "tailbeat.check/2".into();
    assert!(
        !jsonschema::is_valid(&schema("check"), &value),
        "another number must not pass"
    );
}

#[test]
fn every_result_keeps_to_the_schema() {
    let validator = jsonschema::validator_for(&schema("check")).unwrap();
    for (name, check) in fixtures::all() {
        let value = parsed(&check);
        let faults: Vec<String> = validator
            .iter_errors(&value)
            .map(|e| e.to_string())
            .collect();
        assert!(faults.is_empty(), "{name}: {faults:?}");
    }
}

#[test]
fn the_schema_rejects_what_the_contract_forbids() {
    let schema = schema("check");
    let good = parsed(&fixtures::desense());
    assert!(jsonschema::is_valid(&schema, &good));
    for (path, bad) in [
        ("/verdict/label", Value::from("desense")),
        ("/listening/mode", Value::from("open-squelch")),
        ("/recording/sha256", Value::from("0123")),
        ("/drops", Value::Null),
        ("/carrier/0/start_known", Value::from("yes")),
    ] {
        let mut spoilt = good.clone();
        *spoilt.pointer_mut(path).unwrap() = bad;
        assert!(!jsonschema::is_valid(&schema, &spoilt), "{path}");
    }
    for field in [
        "schema",
        "recording",
        "listening",
        "carrier",
        "events",
        "drops",
        "verdict",
    ] {
        let mut spoilt = good.clone();
        spoilt.as_object_mut().unwrap().remove(field);
        assert!(!jsonschema::is_valid(&schema, &spoilt), "without {field}");
    }
}

/// The names are typed here from the contract and not taken from the code.
#[test]
fn all_field_names_of_the_contract_are_there() {
    let value = parsed(&fixtures::desense());
    for path in [
        "/recording/name",
        "/recording/sha256",
        "/recording/duration_s",
        "/recording/sample_rate_hz",
        "/recording/channels",
        "/recording/container",
        "/recording/codec",
        "/recording/started_at",
        "/listening/mode",
        "/listening/bandwidth_hz",
        "/listening/noise_floor_dbfs",
        "/listening/warnings/0/code",
        "/listening/warnings/0/text",
        "/carrier/0/start_s",
        "/carrier/0/end_s",
        "/carrier/0/start_known",
        "/carrier/0/end_known",
        "/events/0/t_s",
        "/events/0/kind",
        "/events/0/sd_s",
        "/events/0/confidence",
        "/drops/0/drop_s",
        "/drops/0/rekey_s",
        "/drops/0/gap_s",
        "/drops/0/on_s",
        "/drops/0/blip_s",
        "/drops/0/tail_s",
        "/drops/0/came_back",
        "/hang_time/estimate_s",
        "/hang_time/low_s",
        "/hang_time/high_s",
        "/hang_time/count",
        "/rekey/trials",
        "/rekey/came_back",
        "/rekey/fraction",
        "/rekey/low",
        "/rekey/high",
        "/rekey/gap_median_s",
        "/rekey/gap_cv",
        "/rekey/period_median_s",
        "/rekey/period_cv",
        "/verdict/label",
        "/verdict/probability",
        "/verdict/posterior/self_desense",
        "/verdict/evidence/0/name",
        "/verdict/evidence/0/value",
        "/verdict/evidence/0/unit",
        "/verdict/evidence/0/log10_odds",
        "/verdict/evidence/0/text",
        "/verdict/next_step",
    ] {
        assert!(value.pointer(path).is_some(), "{path}");
    }
    assert_eq!(value["schema"], "tailbeat.check/1");
    assert_eq!(value["rekey"]["came_back"], 31);
    assert_eq!(value["rekey"]["trials"], 34);
}

#[test]
fn the_posterior_is_over_the_ten_causes_and_sums_to_one() {
    for (name, check) in fixtures::all() {
        let value = parsed(&check);
        let posterior = value["verdict"]["posterior"].as_object().unwrap();
        assert_eq!(posterior.len(), 10, "{name}");
        assert!(!posterior.contains_key("inconclusive"), "{name}");
        let sum: f64 = posterior.values().map(|p| p.as_f64().unwrap()).sum();
        assert!((sum - 1.0).abs() < 1e-9, "{name}: {sum}");
    }
}

#[test]
fn unknown_is_null_and_one_result_is_one_line() {
    let none = parsed(&fixtures::nothing_found());
    assert!(none["hang_time"].is_null() && none["rekey"].is_null());
    let hostile = parsed(&fixtures::hostile_names());
    assert!(hostile["drops"][1]["gap_s"].is_null());
    assert!(hostile["events"][1]["sd_s"].is_null());
    for (name, check) in fixtures::all() {
        assert!(!json::check(&check).contains('\n'), "{name}");
    }
}

#[test]
fn clips_tell_their_clock_and_what_is_missing() {
    let value = parsed(&fixtures::clips());
    assert_eq!(value["recording"]["clips"]["clock_resolution_s"], 1.0);
    assert_eq!(
        value["recording"]["clips"]["skipped"][0]["name"],
        "x_<b>.wav"
    );
    assert_eq!(value["listening"]["warnings"][0]["code"], "clip_clock");
    assert!(parsed(&fixtures::desense())["recording"]["clips"].is_null());
}

#[test]
fn a_failure_keeps_to_its_schema() {
    let error = tailbeat::Error::BadFile {
        file: "a \"b\".wav".into(),
        what: "the file is empty".into(),
        remedy: "copy it again".into(),
    };
    let value: Value = serde_json::from_str(&json::error("a \"b\".wav", &error)).unwrap();
    assert!(jsonschema::is_valid(&schema("error"), &value));
    assert_eq!(value["schema"], "tailbeat.error/1");
    assert_eq!(value["error"]["code"], "bad_file");
    assert_eq!(value["recording"]["name"], "a \"b\".wav");
}

/// `UPDATE_SCHEMAS=1 cargo test --test present published` writes them anew.
#[test]
fn the_published_schemas_are_those_of_the_code() {
    let dir = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/present/schemas");
    for name in json::SCHEMA_NAMES {
        let file = dir.join(format!("tailbeat.{name}.1.json"));
        let made = json::schema(name).unwrap();
        if std::env::var_os("UPDATE_SCHEMAS").is_some() {
            std::fs::write(&file, &made).unwrap();
        }
        let published = std::fs::read_to_string(&file).unwrap();
        assert_eq!(published, made, "{} is out of date", file.display());
    }
}

#[test]
fn written_bit_by_bit_it_is_what_the_published_types_give() {
    for (name, check) in fixtures::all() {
        let at_once = serde_json::to_string(&CheckJson::from(&check)).unwrap();
        assert_eq!(json::check(&check), at_once, "{name}");
        let mut written = Vec::new();
        json::write_check(&check, &mut written).unwrap();
        assert_eq!(String::from_utf8(written).unwrap(), at_once, "{name}");
    }
}
