//! Phases.

use crate::near;
use tailbeat::statistics::circular::{mean_direction, phases, rayleigh};

#[test]
#[allow(clippy::approx_constant)] // the source's own digits
fn rayleigh_of_published_angles() {
    // pingouin, help of circ_rayleigh (seen).
    let test = rayleigh(&[0.785, 1.570, 3.141, 0.839, 5.934]).unwrap();
    near(test.z, 1.236_190_079_7, 1e-10);
    near(test.p, 0.304_843_587_6, 1e-10);
}

#[test]
fn zars_eight_directions() {
    // Zar, *Biostatistical Analysis*, example of ch. 26/27: r 0.82522, mean 99 deg (from memory).
    let angles = [45.0, 55.0, 81.0, 96.0, 110.0, 117.0, 132.0, 154.0f64].map(f64::to_radians);
    let mean = mean_direction(&angles).unwrap();
    near(mean.angle_rad.to_degrees(), 98.988, 0.001);
    near(mean.length, 0.825_217_745, 1e-9);
    let test = rayleigh(&angles).unwrap();
    near(test.z, 5.447_874_61, 1e-7);
    near(test.p, 0.001_851_64, 1e-8);
}

#[test]
fn a_beat_has_one_phase_and_its_multiples_none() {
    let moments: Vec<f64> = (0..12).map(|i| 0.4 + 3.5 * f64::from(i)).collect();
    let locked = mean_direction(&phases(&moments, 3.5).unwrap()).unwrap();
    near(locked.length, 1.0, 1e-12);
    near(locked.angle_rad, 0.4 / 3.5 * std::f64::consts::TAU, 1e-9);
    assert!(rayleigh(&phases(&moments, 3.5).unwrap()).unwrap().p < 1e-4);
    let spread = mean_direction(&phases(&moments, 3.5 * 12.0).unwrap()).unwrap();
    assert!(spread.length < 1e-9);
    assert_eq!(phases(&moments, 0.0), None);
    assert_eq!(mean_direction(&[]), None);
}
