//! Site files and what is said about bad ones.

use crate::near;
use tailbeat::site::chain::belief::prior;
use tailbeat::site::chain::kinds::Kind;
use tailbeat::site::chain::read::read;
use tailbeat::site::chain::station::Side;

const GOOD: &str = r#"name = "QQ0TB, an invented hill"
hour_worth = 25
rigger_call = 450.0
shows = 0.9

[[receive]]
name = "receiver"
kind = "receiver"
[[receive]]
name = "receive cavities"
kind = "duplexer"
minutes = 10

[[transmit]]
name = "antenna"
kind = "antenna"
after = "feed line"
[[transmit]]
name = "transmitter"
kind = "transmitter"
test = false
[[transmit]]
name = "feed line"
kind = "feed_line"
after = "transmitter"
weight = 9

[[result]]
load_after = "receive cavities"
desense = "gone"
looks = 3
date = 2031-05-04
"#;

fn refusal(from: &str, to: &str) -> String {
    assert!(GOOD.contains(from));
    read("site.toml", &GOOD.replacen(from, to, 1))
        .unwrap_err()
        .to_string()
}

#[test]
fn a_station_is_read_in_order() {
    let station = read("site.toml", GOOD).unwrap();
    let names: Vec<&str> = station.sections.iter().map(|s| s.name.as_str()).collect();
    assert_eq!(
        names,
        [
            "receiver",
            "receive cavities",
            "transmitter",
            "feed line",
            "antenna"
        ]
    );
    assert_eq!(station.sections[1].side, Side::Receive);
    assert_eq!(station.sections[2].test, None);
    assert_eq!(station.sections[1].test.unwrap().minutes, 10.0);
    assert!(
        station.sections[3].test.unwrap().rigger,
        "the outer end of a feed line is up there"
    );
    assert_eq!(station.results[0].date.as_deref(), Some("2031-05-04"));
    assert_eq!((station.results[0].after, station.results[0].looks), (1, 3));
    let shares = prior(&station);
    near(shares.iter().sum(), 1.0, 1e-12);
    near(shares[3], 9.0 / 18.0, 1e-12);
    assert_eq!(station.sections[4].kind, Kind::Antenna);
}

#[test]
fn bad_files_name_line_and_remedy() {
    assert_eq!(
        refusal("after = \"transmitter\"", "after = \"antenna\""),
        "site.toml line 17: the chain runs in a circle at \"antenna\"; leave the after out at the \
         section next to the set"
    );
    assert_eq!(
        refusal("minutes = 10", "minutes = -10"),
        "site.toml line 12: minutes is -10; write a number that is 0 or more"
    );
    assert!(refusal("minutes = 10", "money = -1").starts_with("site.toml line 12: money is -1"));
    assert!(refusal("minutes = 10", "minuts = 10").starts_with("site.toml line 12: unknown field"));
    assert!(
        refusal("kind = \"antenna\"", "kind = \"tree\"").starts_with(
            "site.toml line 16: the kind \"tree\" is not known; write one of receiver"
        )
    );
    assert!(
        refusal("name = \"antenna\"", "name = \"Receiver\"")
            .contains("line 15: the name \"Receiver\" is used twice")
    );
    assert!(
        refusal("after = \"feed line\"", "after = \"mast\"").contains("no section of this chain")
    );
    assert!(
        refusal("after = \"feed line\"\n", "")
            .contains("does not say after which section it comes")
    );
    assert!(refusal("desense = \"gone\"", "desense = \"better\"").contains("write stays or gone"));
    assert!(
        refusal("load_after = \"receive cavities\"", "load_after = \"mast\"")
            .starts_with("site.toml line 29: there is no section \"mast\"")
    );
    assert!(refusal("looks = 3", "looks = 0").contains("1 or more"));
    assert!(refusal("shows = 0.9", "shows = 1.9").contains("above 0 and up to 1"));
    assert!(refusal("shows = 0.9", "false_alarm = 1.0").contains("tells nothing"));
    assert!(refusal("weight = 9", "weight = nan").contains("weight is NaN"));
    assert!(
        read("site.toml", "name = 'x'")
            .unwrap_err()
            .to_string()
            .contains("no chain to search")
    );
    assert!(
        read("site.toml", "name = ")
            .unwrap_err()
            .to_string()
            .starts_with("site.toml line 1")
    );
}
