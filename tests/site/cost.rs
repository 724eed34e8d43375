//! What a desense costs.

use crate::near;
use tailbeat::site::cost::{CostQuestion, Slope, cost};
use tailbeat::site::noise;
use tailbeat::units::{
    Dbm, Decibels, Hertz, Metres, Watts, dbm_to_microvolts, microvolts_to_dbm, watts_to_dbm,
};

fn question(desense: f64, slope: Slope) -> CostQuestion {
    CostQuestion {
        desense: Decibels(desense),
        erp: None,
        slope,
        frequency: None,
        target: None,
    }
}

#[test]
fn ten_decibels_cost_500_watts_instead_of_50() {
    // Common practice, no source.
    let asked = CostQuestion {
        erp: Some(Watts(50.0)),
        ..question(10.0, Slope::Usual)
    };
    near(cost(asked).unwrap().erp_needed.unwrap().get(), 500.0, 1e-9);
}

#[test]
fn power_range_and_area() {
    // Algebra, derived here.
    for (d, ratio) in [
        (1.0, 1.258_925),
        (3.0, 1.995_262),
        (6.0, 3.981_072),
        (10.0, 10.0),
    ] {
        near(
            cost(question(d, Slope::Usual)).unwrap().power_ratio,
            ratio,
            1e-6,
        );
    }
    for (d, by_exponent) in [
        (3.0, [0.707_946, 0.820_891, 0.841_395]),
        (6.0, [0.501_187, 0.673_863, 0.707_946]),
        (10.0, [0.316_228, 0.517_947, 0.562_341]),
    ] {
        for (n, range) in [2.0, 3.5, 4.0].into_iter().zip(by_exponent) {
            near(
                cost(question(d, Slope::Stated(n))).unwrap().range_factor,
                range,
                1e-6,
            );
        }
    }
    for (n, area) in [(2.0, 0.251_189), (3.5, 0.454_091), (4.0, 0.501_187)] {
        near(
            cost(question(6.0, Slope::Stated(n))).unwrap().area_factor,
            area,
            1e-6,
        );
    }
    assert_eq!(cost(question(6.0, Slope::Usual)).unwrap().exponent, 3.5);
}

#[test]
fn range_by_antenna_height() {
    // Slope: Hata, IEEE Trans. VT-29, 1980 (seen by way of ns-3's test suite); derived here.
    for (height, factor) in [(30.0, 0.675_563), (100.0, 0.647_621)] {
        let answer = cost(question(6.0, Slope::Antenna(Metres(height)))).unwrap();
        near(answer.range_factor, factor, 1e-6);
    }
    let at = |mhz: f64| CostQuestion {
        frequency: Some(Hertz(mhz * 1e6)),
        ..question(6.0, Slope::Antenna(Metres(30.0)))
    };
    assert!(cost(at(52.0)).unwrap().band_outside_model);
    assert!(!cost(at(440.0)).unwrap().band_outside_model);
}

#[test]
fn missing_isolation() {
    // Algebra, derived here; 8 to 1 dB: common practice, no source.
    for (from, to, isolation) in [
        (10.0, 1.0, 15.4107),
        (6.0, 1.0, 10.6120),
        (3.0, 0.5, 9.1151),
        (20.0, 0.5, 29.0921),
        (6.0, 3.0, 4.7643),
        (8.0, 1.0, 13.1),
    ] {
        let asked = CostQuestion {
            target: Some(Decibels(to)),
            ..question(from, Slope::Usual)
        };
        let tolerance = if from == 8.0 { 0.05 } else { 1e-4 };
        near(
            cost(asked).unwrap().missing_isolation.unwrap().get(),
            isolation,
            tolerance,
        );
    }
    let reached = CostQuestion {
        target: Some(Decibels(3.0)),
        ..question(2.0, Slope::Usual)
    };
    assert_eq!(
        cost(reached).unwrap().missing_isolation,
        Some(Decibels(0.0))
    );
}

#[test]
fn noise_adds_up() {
    // Algebra, derived here.
    for (added, rise) in [
        (-20.0, 0.043_21),
        (-10.0, 0.413_93),
        (-6.0, 0.973_23),
        (0.0, 3.010_30),
        (6.0, 6.973_23),
        (10.0, 10.413_93),
    ] {
        near(noise::rise(Decibels(added)).get(), rise, 1e-5);
        near(noise::added(Decibels(rise)).unwrap().get(), added, 1e-2);
    }
    for (rise, added) in [
        (0.5, -9.1357),
        (1.0, -5.8683),
        (2.0, -2.3293),
        (3.0, -0.0206),
        (6.0, 4.7437),
        (10.0, 9.5424),
        (20.0, 19.9564),
    ] {
        near(noise::added(Decibels(rise)).unwrap().get(), added, 1e-4);
        near(noise::rise(Decibels(added)).get(), rise, 1e-4);
    }
    assert_eq!(noise::added(Decibels(0.0)), None);
}

#[test]
fn floors_and_levels() {
    // ITU-R P.372 eq. 6 (second-hand).
    near(
        noise::floor(Hertz(1.0), Decibels(0.0)).get(),
        -173.9752,
        1e-4,
    );
    near(
        noise::floor(Hertz(12_000.0), Decibels(6.0)).get(),
        -127.183,
        1e-3,
    );
    near(
        noise::floor(Hertz(16_000.0), Decibels(6.0)).get(),
        -125.934,
        1e-3,
    );
    // Mailing lists round to -121, -116, +47, +50 (second-hand).
    for (uv, dbm) in [
        (0.2, -120.969),
        (0.25, -119.031),
        (0.35, -116.108),
        (0.5, -113.010),
        (1.0, -106.990),
    ] {
        near(microvolts_to_dbm(uv).get(), dbm, 1e-3);
        near(dbm_to_microvolts(Dbm(dbm)), uv, 1e-4);
    }
    near(watts_to_dbm(Watts(50.0)).get(), 46.990, 1e-3);
    near(watts_to_dbm(Watts(100.0)).get(), 50.0, 1e-9);
    // 6 dBuV emf is 0.998 uV across the input (ETSI EN 300 086, from memory).
    near(
        microvolts_to_dbm(10f64.powf(6.0 / 20.0) / 2.0).get(),
        -107.010,
        1e-3,
    );
}

#[test]
fn isolation_that_a_transmitter_needs() {
    // Derived here; the -150 dBc/Hz are an assumption.
    let floor = noise::floor(Hertz(12_000.0), Decibels(6.0));
    let isolation =
        noise::needed_isolation(Watts(50.0), -150.0, Hertz(12_000.0), floor, Decibels(1.0));
    near(isolation.unwrap().get(), 70.833, 1e-3);
}

#[test]
fn nonsense_is_refused_with_a_remedy() {
    let refusal = |asked: CostQuestion| cost(asked).unwrap_err().to_string();
    assert!(refusal(question(-1.0, Slope::Usual)).contains("state 0 to 100 dB"));
    assert!(refusal(question(f64::NAN, Slope::Usual)).contains("no desense"));
    assert!(refusal(question(6.0, Slope::Antenna(Metres(500.0)))).contains("30 to 200 m"));
    assert!(refusal(question(6.0, Slope::Stated(0.0))).contains("free space"));
    let asked = CostQuestion {
        target: Some(Decibels(0.0)),
        ..question(6.0, Slope::Usual)
    };
    assert!(refusal(asked).contains("endless isolation"));
    let asked = CostQuestion {
        erp: Some(Watts(0.0)),
        ..question(6.0, Slope::Usual)
    };
    assert!(refusal(asked).contains("above 0 W"));
}
