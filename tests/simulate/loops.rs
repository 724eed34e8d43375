//! Laws of the closed loop: nothing scripts the cycling, so it must obey them.

use tailbeat::simulate::{Rendering, Scenario, render};

/// Squelch opening threshold T of every scene here.
const OPENS_DB: f64 = 4.0;

/// The noise detector wavers, so that within this of a boundary either may happen.
const WAVER_DB: f64 = 1.0;

/// One step of the loop, and rounding.
const STEP_S: f64 = 0.0025 + 1e-6;

fn scene(text: &str) -> Rendering {
    let text = format!("name = \"law\"\ncause = \"self_desense\"\n{text}");
    let scene = Scenario::from_toml(&text, "law.toml").expect("a sound scene");
    render(&scene, 1).expect("a rendering")
}

/// A user who holds the key at `user`'s level for `hold_s`, on a repeater of this desense D and
/// hysteresis H.
fn held(desense_db: f64, hysteresis_db: f64, hang_s: f64, hold_s: f64, user: &str) -> Rendering {
    scene(&format!(
        "duration_s = {}\n[repeater]\nhang_s = {hang_s}\ndesense.db = {desense_db}\n\
         squelch.opens_at_cnr_db = {OPENS_DB}\nsquelch.hysteresis_db = {hysteresis_db}\n\
         [[user]]\nhold = [[0.5, {}]]\nmodulation = \"silence\"\n{user}\n\
         [recorder]\nrate_hz = 8000\n",
        hold_s + 1.0,
        hold_s + 0.5
    ))
}

/// Key-ups of the repeater, heard or not.
fn key_ups(r: &Rendering) -> usize {
    r.truth.transmissions.len()
}

/// Drops while the user holds the key, and for long enough to come back; how many of them did.
fn trials(r: &Rendering) -> (usize, usize) {
    let keyed = &r.truth.keyed_s;
    let (mut trials, mut back) = (0, 0);
    for drop in &r.truth.drops {
        let held = |k: &[f64; 2]| (k[0]..k[1] - LATENCY_S).contains(&drop.drop_s);
        if keyed.iter().any(held) {
            trials += 1;
            back += usize::from(drop.came_back == Some(true));
        }
    }
    (trials, back)
}

/// Squelch opening, key delay and rise take 0.15 s and the detector's lag.
const LATENCY_S: f64 = 0.4;

#[test]
fn period_is_blip_and_tail_and_gap() {
    let r = scene(
        "duration_s = 25\n[repeater]\nhang_s = 2.0\ndesense.db = 8\n[[user]]\nhold = [[1, 24]]\nin_window = 0.5\n",
    );
    assert!(r.truth.drops.len() >= 8, "{} drops", r.truth.drops.len());
    for drop in &r.truth.drops {
        let air = drop.on_air;
        let (blip, tail) = (air.blip_s.unwrap(), air.tail_s.unwrap());
        // The last one may have no successor.
        if let (Some(gap), Some(period)) = (air.gap_s, air.period_s) {
            assert!((blip + tail + gap - period).abs() < STEP_S, "{air:?}");
        }
        assert!(
            (tail - 2.0).abs() < STEP_S,
            "the tail is the hang time: {air:?}"
        );
    }
}

#[test]
fn blip_and_gap_are_the_circuits_own_times() {
    let r = scene(
        "duration_s = 20\n[repeater]\nhang_s = 1.0\ndesense.db = 8\nsquelch.opening_s = 0.1\n\
         squelch.closing_s = 0.12\nkey_delay_s = 0.05\ntransmitter.rise_s = 0.02\n\
         [[user]]\nhold = [[1, 19]]\nin_window = 0.5\n",
    );
    // Squelch closing; squelch opening, key delay, transmitter rise; each with the noise
    // detector's own lag of a few times 12 ms.
    let lag = 0.08;
    assert!(r.truth.drops.len() >= 8);
    for air in r.truth.drops.iter().map(|d| d.on_air) {
        let blip = air.blip_s.unwrap();
        assert!((0.12 - STEP_S..0.12 + lag).contains(&blip), "{air:?}");
        if let Some(gap) = air.gap_s {
            assert!((0.17 - STEP_S..0.17 + lag).contains(&gap), "{air:?}");
        }
    }
}

#[test]
fn the_period_follows_the_hang_time() {
    // The decisive test of the trade: another hang time, and the period follows it by as much.
    let period_s = |hang_s| {
        let r = held(8.0, 2.0, hang_s, 18.0, "in_window = 0.5");
        let periods: Vec<f64> = (r.truth.drops.iter())
            .filter_map(|d| d.on_air.period_s)
            .collect();
        assert!(periods.len() >= 4, "{periods:?}");
        periods.iter().sum::<f64>() / periods.len() as f64
    };
    let longer = period_s(2.5) - period_s(1.0);
    // Blip and gap are the same on both but for the detector's waver.
    assert!((longer - 1.5).abs() < 0.03, "{longer}");
}

#[test]
fn it_cycles_from_the_opening_threshold_to_the_closing_one_raised_by_the_desense() {
    // One receiver opens at T and closes at T - H, with the transmitter on both rise by D: none
    // below T, cycling from T to T - H + D, held above (derived).
    for (desense, hysteresis) in [(6.0, 2.0), (10.0, 1.0)] {
        let upper = OPENS_DB - hysteresis + desense;
        let at = |db: f64| held(desense, hysteresis, 1.0, 8.0, &format!("cnr_db = {db}"));
        assert_eq!(key_ups(&at(OPENS_DB - WAVER_DB)), 0, "below the window");
        for inside in [OPENS_DB + WAVER_DB, upper - WAVER_DB] {
            let (drops, back) = trials(&at(inside));
            assert!(
                drops >= 4 && back == drops,
                "{inside} dB: {back} of {drops}"
            );
        }
        let above = at(upper + WAVER_DB);
        assert_eq!((key_ups(&above), trials(&above).0), (1, 0), "above it");
    }
}

#[test]
fn desense_below_the_hysteresis_never_cycles() {
    // D 1.5 dB and H 3 dB: at no level at all. Each level in turn, then one that sinks through
    // all of them.
    let mut level = OPENS_DB - 3.0;
    while level <= OPENS_DB + 5.0 {
        let r = held(1.5, 3.0, 1.0, 5.0, &format!("cnr_db = {level}"));
        assert_eq!(trials(&r).0, 0, "{level} dB");
        level += 0.5;
    }
    let sinking = "cnr_db = 12\npath.drift_db_per_min = -60";
    let r = held(1.5, 3.0, 1.0, 16.0, sinking);
    assert_eq!((key_ups(&r), trials(&r)), (1, (1, 0)));
    // The same with more desense than hysteresis cycles on its way down.
    let r = held(8.0, 2.0, 1.0, 16.0, sinking);
    let (drops, back) = trials(&r);
    assert!(drops >= 3 && back == drops - 1, "{back} of {drops}");
}

#[test]
fn it_comes_back_at_back_off_b_exactly_when_b_and_h_are_less_than_d() {
    // Brought up 8 dB above the level that just holds, then backed off by B and held there.
    for (desense, hysteresis) in [(10.0, 2.0), (6.0, 2.0), (8.0, 4.0), (3.0, 2.0), (2.0, 3.0)] {
        let boundary: f64 = desense - hysteresis;
        let clear = |b: &f64| *b >= 0.5 && (b - boundary).abs() >= WAVER_DB - 1e-9;
        let wanted = [
            1.0,
            2.0,
            boundary - WAVER_DB,
            boundary + WAVER_DB,
            boundary + 3.0,
        ];
        for back_off in wanted.into_iter().filter(clear) {
            let steps = format!("backoff = [[0, -8], [2, {back_off}]]");
            let (drops, back) = trials(&held(desense, hysteresis, 1.0, 8.0, &steps));
            let expected = back_off + hysteresis < desense;
            assert!(drops >= 1, "D {desense} H {hysteresis} B {back_off}: held");
            assert_eq!(
                back > 0,
                expected,
                "D {desense} H {hysteresis} B {back_off}: {back} of {drops}"
            );
            assert_eq!(back, if expected { drops } else { 0 });
        }
    }
}
