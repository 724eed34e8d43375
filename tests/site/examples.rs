//! The invented examples, from file to text, page, picture and JSON.

use serde_json::Value;
use std::path::Path;
use tailbeat::backoff::report::{BackoffOptions, report};
use tailbeat::backoff::{steps, typed};
use tailbeat::present::picture::{Theme, raster};
use tailbeat::present::site::leaf::Leaf;
use tailbeat::present::site::{
    backoff, backoff_picture, belief_picture, cost, hunt, json, tee, tee_picture, tree_picture,
};
use tailbeat::present::text::Style;
use tailbeat::site::chain::hunt::hunt as plan;
use tailbeat::site::chain::read::read;
use tailbeat::site::cost::{CostQuestion, Slope};
use tailbeat::site::tee::read::{read_csv, read_toml};
use tailbeat::site::tee::{Criterion, analyse};
use tailbeat::units::{Decibels, Hertz, Metres, Watts};

fn example(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("corpus/examples")
        .join(name);
    std::fs::read_to_string(path).unwrap()
}

#[track_caller]
fn valid(schema: &str, line: &str) -> Value {
    let schema: Value =
        serde_json::from_str(&tailbeat::present::json::schema(schema).unwrap()).unwrap();
    let value: Value = serde_json::from_str(line).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    let faults: Vec<String> = validator
        .iter_errors(&value)
        .map(|e| e.to_string())
        .collect();
    assert!(faults.is_empty(), "{faults:?}");
    value
}

fn text(leaf: &Leaf) -> String {
    leaf.text(Style {
        width: 80,
        colour: false,
    })
}

#[track_caller]
fn opens_with_cautions(leaf: &Leaf) {
    let text = text(leaf);
    assert!(text.starts_with("Before anybody goes to work\n"), "{text}");
    assert!(
        text.lines().all(|line| line.chars().count() <= 80),
        "{text}"
    );
    let page = leaf.page();
    let (caution, headline) = (
        page.find("Before anybody").unwrap(),
        page.find("<h2>The plan").unwrap_or(usize::MAX),
    );
    assert!(caution < headline);
    assert!(
        !page.contains("http-equiv") && !page.contains("src=\"http"),
        "self-contained"
    );
}

#[track_caller]
fn draws(svg: &str) {
    let png = raster::png(svg, 1.0).unwrap();
    assert!(png.starts_with(b"\x89PNG"));
}

#[test]
fn sites() {
    for (name, standing) in [
        ("site.toml", "test_next"),
        ("site-two-results.toml", "test_next"),
        ("site-intermittent.toml", "test_next"),
    ] {
        let planned = plan(&read(name, &example(name)).unwrap());
        opens_with_cautions(&hunt::leaf(&planned));
        let value = valid("hunt", &json::line(&json::HuntJson::from(&planned)));
        assert_eq!(value["standing"], standing, "{name}");
        let total: f64 = value["sections"]
            .as_array()
            .unwrap()
            .iter()
            .map(|s| s["belief"].as_f64().unwrap())
            .sum();
        assert!((total - 1.0).abs() < 1e-9);
        draws(&tree_picture::svg(&planned, Some(Theme::Light)));
        draws(&belief_picture::svg(&planned, Some(Theme::Dark)));
    }
    let two = plan(&read("s", &example("site-two-results.toml")).unwrap());
    let said = text(&hunt::leaf(&two));
    assert!(
        said.contains("Next: put the load after jumper to arrestor"),
        "{said}"
    );
    assert!(said.contains("No test that is left needs one"), "{said}");
    let torn = plan(&read("s", &example("site-intermittent.toml")).unwrap());
    let said = text(&hunt::leaf(&torn));
    assert!(said.contains("Results contradict each other"), "{said}");
    assert!(
        said.contains("only after 6 looks without desense"),
        "{said}"
    );
}

#[test]
fn worksheets() {
    let sheet = read_toml("tee.toml", &example("tee.toml")).unwrap();
    let result = analyse(&sheet).unwrap();
    let leaf = tee::leaf(&result, sheet.criterion);
    opens_with_cautions(&leaf);
    let paragraph = leaf.paragraph.clone();
    assert!(
        paragraph.starts_with(
            "While it transmits, three quarters of the noise in your receiver is your own \
             transmitter"
        ),
        "{paragraph}"
    );
    let value = valid("tee", &json::line(&json::TeeJson::from(&result)));
    assert_eq!(value["contradiction"], false);
    draws(&tee_picture::shares(
        result.shares.unwrap(),
        Some(Theme::Light),
    ));
    let swapped = read_csv(
        "t.csv",
        &example("tee-swapped.csv"),
        Criterion::Sinad12,
        None,
    )
    .unwrap();
    let result = analyse(&swapped).unwrap();
    let value = valid("tee", &json::line(&json::TeeJson::from(&result)));
    assert_eq!(value["contradiction"], true);
    assert!(text(&tee::leaf(&result, Criterion::Sinad12)).contains("contradict each other"));
}

#[test]
fn stepped_tests() {
    let options = BackoffOptions {
        hysteresis: Some(Decibels(2.0)),
        erp: Some(Watts(50.0)),
        target: Some(Decibels(1.0)),
        ..BackoffOptions::default()
    };
    let result = report(typed::read("t", &example("trials.csv")).unwrap(), &options).unwrap();
    let leaf = backoff::leaf(&result);
    opens_with_cautions(&leaf);
    assert_eq!(
        tailbeat::present::numbers::plain(&leaf.headline),
        "The desense is at least 8.0 dB, less than 10.0 dB"
    );
    let value = valid("backoff", &json::line(&json::BackoffJson::from(&result)));
    assert_eq!(value["desense"]["at_least_db"], 8.0);
    assert_eq!(value["desense"]["less_than_db"], 10.0);
    assert_eq!(value["desense"]["method"], "probit");
    assert_eq!(value["corrected"]["hysteresis_db"], 2.0);
    assert_eq!(value["trials"][0]["drop_s"], Value::Null);
    draws(&backoff_picture::svg(&result, Some(Theme::Light)));
    let disorder = typed::read("t", &example("trials-disorder.csv")).unwrap();
    let result = report(disorder, &BackoffOptions::default()).unwrap();
    let value = valid("backoff", &json::line(&json::BackoffJson::from(&result)));
    assert_eq!(value["in_order"], false);
    assert_eq!(value["corrected"], Value::Null);
    assert!(
        backoff::leaf(&result)
            .headline
            .ends_with("but the outcomes are out of order")
    );
    assert_eq!(steps::read("s", &example("steps.csv")).unwrap().len(), 8);
}

#[test]
fn costs() {
    let answer = tailbeat::site::cost::cost(CostQuestion {
        desense: Decibels(10.0),
        erp: Some(Watts(50.0)),
        slope: Slope::Antenna(Metres(30.0)),
        frequency: Some(Hertz(52e6)),
        target: Some(Decibels(1.0)),
    })
    .unwrap();
    let value = valid("cost", &json::line(&json::CostJson::from(&answer)));
    assert_eq!(value["power_ratio"], 10.0);
    let said = text(&cost::leaf(&answer));
    assert!(said.contains("with 50 W would need 500 W"), "{said}");
    assert!(
        said.contains("rough guide"),
        "52 MHz lies outside Hata's range: {said}"
    );
}
