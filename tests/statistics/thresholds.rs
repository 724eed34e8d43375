//! Thresholds without a likelihood: up-and-down, Spearman-Karber, half crossing.

use crate::near;
use tailbeat::statistics::dose_response::DoseGroup;
use tailbeat::statistics::spearman_karber::{half_crossing, spearman_karber};
use tailbeat::statistics::up_and_down::{Rarer, dixon_mood};

fn groups(doses: &[f64], trials: u32, responses: &[u32]) -> Vec<DoseGroup> {
    doses
        .iter()
        .zip(responses)
        .map(|(&dose, &responses)| DoseGroup {
            dose,
            trials,
            responses,
        })
        .collect()
}

#[test]
fn dixon_mood_sums() {
    // Formula: Dixon and Mood, JASA 43 (1948) 109-126 (from memory); the paper's own data could
    // not be confirmed, so these counts are ours (derived here).
    let result = dixon_mood(-120.0, 1.0, &[2, 18, 9, 1], Rarer::NonResponses).unwrap();
    assert_eq!((result.count, result.a, result.b), (30, 39, 63));
    near(result.mean, -118.2, 1e-12);
    near(result.bracket, 0.41, 1e-12);
    near(result.sd.unwrap(), 0.711_18, 1e-5);
    let other = dixon_mood(-120.0, 1.0, &[2, 18, 9, 1], Rarer::Responses).unwrap();
    near(other.mean, -119.2, 1e-12);
    assert_eq!(dixon_mood(0.0, 1.0, &[0, 0], Rarer::Responses), None);
    // All on one level: the published approximation does not hold.
    assert_eq!(
        dixon_mood(0.0, 1.0, &[9], Rarer::Responses).unwrap().sd,
        None
    );
}

#[test]
fn spearman_karber_of_five_levels() {
    // Formula: drcHelper's page on the trimmed Spearman-Karber method (seen); numbers derived.
    let doses = [0.0, 3.0, 6.0, 9.0, 12.0];
    let result = spearman_karber(&groups(&doses, 10, &[0, 2, 5, 8, 10])).unwrap();
    near(result.mean, 6.0, 1e-12);
    near(result.standard_error.unwrap(), 0.754_983, 1e-6);
    let falling = spearman_karber(&groups(&doses, 10, &[10, 8, 5, 2, 0])).unwrap();
    near(falling.mean, 6.0, 1e-12);
    near(falling.standard_error.unwrap(), 0.754_983, 1e-6);
}

#[test]
fn spearman_karber_refuses_what_it_would_have_to_guess() {
    let doses = [0.0, 3.0, 6.0];
    assert_eq!(
        spearman_karber(&groups(&doses, 10, &[1, 5, 10])),
        None,
        "does not start at none"
    );
    assert_eq!(
        spearman_karber(&groups(&doses, 10, &[0, 5, 9])),
        None,
        "does not end at all"
    );
    assert_eq!(
        spearman_karber(&groups(&doses, 10, &[0, 11, 10])),
        None,
        "not monotone"
    );
    assert_eq!(
        spearman_karber(&groups(&[3.0, 0.0], 1, &[0, 1])),
        None,
        "doses not ascending"
    );
    let single = spearman_karber(&groups(&doses, 1, &[0, 0, 1])).unwrap();
    near(single.mean, 4.5, 1e-12);
    assert_eq!(single.standard_error, Some(0.0));
}

#[test]
fn half_crossing_on_a_logarithmic_dose() {
    // US Army Corps of Engineers, dredging manual, appendix L, eq. L-15: printed 44.9 (seen).
    let crossing = half_crossing(25f64.log10(), 0.28, 50f64.log10(), 0.54).unwrap();
    near(10f64.powf(crossing), 44.9425, 1e-4);
    assert_eq!(half_crossing(0.0, 0.6, 1.0, 0.9), None);
}
