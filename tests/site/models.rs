//! Path loss, isolation between antennas, noise from outside.

use crate::near;
use tailbeat::site::noise::{Surroundings, rise_by_site_noise, site_noise};
use tailbeat::site::path_loss::{
    Cover, egli, free_space, hata, hata_exponent, horizontal_isolation, plane_earth,
    vertical_isolation,
};
use tailbeat::units::{Decibels, Hertz, Metres};

const fn mhz(f: f64) -> Hertz {
    Hertz(f * 1e6)
}

#[test]
fn hata_of_ns3() {
    // Hata, IEEE Trans. VT-29, 1980; values of ns-3, okumura-hata-test-suite.cc (seen).
    for (cover, loss) in [
        (Cover::LargeCity, 137.931),
        (Cover::SmallCity, 137.877),
        (Cover::Suburban, 128.025),
        (Cover::Open, 109.520),
    ] {
        let got = hata(mhz(869.0), Metres(30.0), Metres(1.0), Metres(2000.0), cover);
        near(got.get(), loss, 1e-2);
    }
    for (height, n) in [
        (30.0, 3.52249),
        (50.0, 3.37717),
        (100.0, 3.18),
        (200.0, 2.98283),
    ] {
        near(hata_exponent(Metres(height)).unwrap(), n, 1e-5);
    }
    assert_eq!(hata_exponent(Metres(29.0)), None);
    assert_eq!(hata_exponent(Metres(f64::NAN)), None);
}

#[test]
fn free_space_and_plane_earth() {
    // fspl pages of the sdr package and of MathWorks (seen); plane earth from memory.
    near(
        free_space(mhz(1000.0), Metres(1000.0)).get(),
        92.447_783,
        1e-5,
    );
    near(
        free_space(mhz(10_000.0), Metres(10_000.0)).get(),
        132.447_783,
        1e-5,
    );
    near(
        plane_earth(Metres(10_000.0), Metres(50.0), Metres(1.5)).get(),
        122.4988,
        1e-4,
    );
}

#[test]
fn egli_metric() {
    // Egli, Proc. IRE 45, 1957 (from memory).
    let loss = egli(mhz(146.0), Metres(10_000.0), Metres(50.0), Metres(1.5));
    near(loss.get(), 123.8467, 1e-4);
}

#[test]
fn antennas_apart() {
    // A cross-band unit's manual and a calculator note (second-hand).
    near(
        vertical_isolation(mhz(146.0), Metres(10.0)).get(),
        55.501,
        1e-3,
    );
    near(
        vertical_isolation(mhz(440.0), Metres(5.0)).get(),
        62.624,
        1e-3,
    );
    let gains = [Decibels(0.0); 2];
    let got = horizontal_isolation(mhz(146.0), Metres(30.0), gains).get();
    near(got, 45.293, 1e-3);
}

#[test]
fn noise_from_outside() {
    // ITU-R P.372 table 1 (second-hand, four copies agree).
    for (place, fa) in [
        (Surroundings::City, 16.85),
        (Surroundings::Residential, 12.55),
        (Surroundings::Rural, 7.25),
        (Surroundings::QuietRural, -8.30),
        (Surroundings::Galactic, 2.22),
    ] {
        near(site_noise(place, mhz(146.0)).unwrap().get(), fa, 0.01);
    }
    for (f, fa, rise) in [
        (52.0, 24.967, 19.008),
        (146.0, 12.55, 7.2137),
        (222.0, 7.506, 3.3512),
    ] {
        let external = site_noise(Surroundings::Residential, mhz(f)).unwrap();
        near(external.get(), fa, 5e-3);
        near(
            rise_by_site_noise(external, Decibels(6.0)).get(),
            rise,
            1e-3,
        );
    }
    assert_eq!(site_noise(Surroundings::City, mhz(440.0)), None);
}
