//! Laws of the closed loop.

use tailbeat::simulate::{Rendering, Scenario, render};

fn scene(text: &str) -> Rendering {
    let text = format!("name = \"law\"\ncause = \"self_desense\"\n{text}");
    let scene = Scenario::from_toml(&text, "law.toml").expect("a sound scene");
    render(&scene, 1).expect("a rendering")
}

/// One step of the loop, and rounding.
const STEP_S: f64 = 0.0025 + 1e-6;

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
