//! The worksheet of the isolated tee.

use crate::near;
use tailbeat::site::tee::read::{read_csv, read_toml};
use tailbeat::site::tee::{Criterion, Doubt, State, TeeResult, analyse};

const HEAD: &str = "criterion = \"12 dB SINAD\"\nunit = \"dBm\"\n";

fn worked(rows: &str) -> TeeResult {
    analyse(&read_toml("tee.toml", &format!("{HEAD}{rows}")).unwrap()).unwrap()
}

fn refusal(text: &str) -> String {
    read_toml("tee.toml", text).unwrap_err().to_string()
}

#[test]
fn four_levels_give_desense_site_noise_leakage_and_shares() {
    // Method: M. Volz, "Understanding and Diagnosing Repeater desense", 2007 (second-hand);
    // numbers derived here.
    let result =
        worked("load_off = -119\nantenna_off = -116\nload_on = -118.5\nantenna_on = -110\n");
    near(result.site_noise.unwrap().value.get(), 3.0, 1e-9);
    near(result.cabinet_leakage.unwrap().value.get(), 0.5, 1e-9);
    near(result.desense.unwrap().value.get(), 6.0, 1e-9);
    near(result.whole.unwrap().value.get(), 9.0, 1e-9);
    let shares = result.shares.unwrap();
    let receiver = shares.receiver;
    near(shares.site / receiver, 0.995_262, 1e-6);
    near(shares.cabinet / receiver, 0.122_018, 1e-6);
    near(shares.antenna_side / receiver, 5.826_002, 1e-6);
    near(
        shares.receiver + shares.site + shares.cabinet + shares.antenna_side,
        1.0,
        1e-12,
    );
    assert_eq!(result.doubts, [Doubt::NoRepeats]);
    assert_eq!(result.desense.unwrap().plus_minus, None);
}

#[test]
fn repeats_give_students_interval() {
    // Worked by hand: spreads of 0.2 about each mean, pooled variance 0.02 with 4 degrees of
    // freedom, t = 2.776445; 2.776445 sqrt(0.02) sqrt(1/2 + 1/2) = 0.392649.
    let result = worked(
        "load_off = [-119.1, -118.9]\nantenna_off = [-116.1, -115.9]\n\
         load_on = [-118.6, -118.4]\nantenna_on = [-110.1, -109.9]\n",
    );
    near(
        result.desense.unwrap().plus_minus.unwrap().get(),
        0.392_649,
        1e-6,
    );
    assert!(result.doubts.is_empty());
}

#[test]
fn microvolts_csv_and_tee_loss() {
    let text = "state;level;unit\nantenna_off;0,25;uV\nantenna_on;1,0;uV\nload_off;-120;dBm\n";
    let sheet = read_csv("tee.csv", text, Criterion::Quieting20, Some(0.5)).unwrap();
    let result = analyse(&sheet).unwrap();
    // Voltages of 4 to 1 are 12.0412 dB.
    near(result.desense.unwrap().value.get(), 12.0412, 1e-4);
    near(result.sensitivity.unwrap().get(), -120.5, 1e-9);
    assert!(result.doubts.contains(&Doubt::Missing {
        state: State::LoadOn
    }));
    assert_eq!(result.shares, None);
}

#[test]
fn contradictions_are_named() {
    let swapped =
        worked("load_off = -116\nantenna_off = -119\nload_on = -115.5\nantenna_on = -110\n");
    assert!(matches!(swapped.doubts[0], Doubt::AntennaBeatsLoad { by } if by.get() == 3.0));
    assert_eq!(swapped.shares, None);
    let deaf_off =
        worked("load_off = -119\nantenna_off = -112\nload_on = -118.5\nantenna_on = -116\n");
    assert!(
        deaf_off
            .doubts
            .iter()
            .any(|d| matches!(d, Doubt::AntennaOnBeatsOff { .. }))
    );
    let leaky = worked("load_off = -119\nantenna_off = -116\nload_on = -110\nantenna_on = -113\n");
    assert!(
        leaky
            .doubts
            .iter()
            .any(|d| matches!(d, Doubt::LessThanItsParts { .. }))
    );
    let odd = worked("load_off = -117\nantenna_off = -116\nload_on = -119\nantenna_on = -113\n");
    assert!(matches!(odd.doubts[0], Doubt::LoadOnBeatsOff { by } if by.get() == 2.0));
}

#[test]
fn oddities_are_named() {
    let spread = worked("load_off = [-119, -114]\nantenna_on = -110\n");
    assert!(matches!(
        spread.doubts[0],
        Doubt::RepeatsSpread { state: State::LoadOff, spread } if spread.get() == 5.0
    ));
    let mixed_up = worked("tee_loss_db = 30\nload_off = 0.25\nantenna_on = -80\n");
    let lines: Vec<_> = mixed_up
        .doubts
        .iter()
        .filter_map(|d| match d {
            Doubt::ImplausibleLevel { state, line, .. } => Some((*state, *line)),
            _ => None,
        })
        .collect();
    assert_eq!(lines, [(State::LoadOff, Some(4))]);
    let within_slack = worked("load_off = -119\nantenna_off = -119.3\nantenna_on = -110\n");
    assert!(!within_slack.doubts.iter().any(Doubt::is_contradiction));
}

#[test]
fn bad_worksheets_name_line_and_remedy() {
    assert_eq!(
        refusal("criterion = \"12 dB SINAD\"\nunit = \"furlong\"\nload_off = 1\n"),
        "tee.toml line 2: the unit \"furlong\" is not known; write dBm, or uV for microvolts \
         across 50 ohm"
    );
    assert!(refusal("criterion = \"loud\"\nunit = \"dBm\"\n").starts_with("tee.toml line 1"));
    assert!(refusal(&format!("{HEAD}antena_on = -110\n")).starts_with("tee.toml line 3"));
    assert!(refusal(&format!("{HEAD}tee_loss_db = -3\n")).contains("positive number"));
    let uv = "criterion = \"20 dB quieting\"\nunit = \"uV\"\nload_off = [0.2,\n -110]\n";
    assert!(refusal(uv).contains("negative levels are dBm"));
    let one = read_toml("tee.toml", &format!("{HEAD}load_off = -119\n")).unwrap();
    assert!(
        analyse(&one)
            .unwrap_err()
            .to_string()
            .contains("fewer than two states")
    );
    let csv = read_csv(
        "t.csv",
        "state,level,unit\noff,1,uV\n",
        Criterion::Sinad12,
        None,
    );
    assert!(
        csv.unwrap_err()
            .to_string()
            .starts_with("t.csv line 2: \"off\" is no state")
    );
}
