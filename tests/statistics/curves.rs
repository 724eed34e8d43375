//! Dose-response curves.

use crate::near;
use tailbeat::statistics::Interval;
use tailbeat::statistics::dose_response::bayes::{Direction, MidpointPosterior, SpreadPrior};
use tailbeat::statistics::dose_response::penalised::{fit_penalised, penalised_log_likelihood};
use tailbeat::statistics::dose_response::profile::{Likelihood, profile_midpoint};
use tailbeat::statistics::dose_response::{
    DoseFit, DoseGroup, FitFailure, Link, Separation, fit_ml, separation,
};

/// Finney, *Probit Analysis*, 1971, as R's drc package has it in `finney71` (seen).
fn finney() -> Vec<DoseGroup> {
    let doses = [10.2f64, 7.7, 5.1, 3.8, 2.6];
    let trials = [50, 49, 46, 48, 50];
    let responses = [44, 42, 24, 16, 6];
    (0..5)
        .map(|i| DoseGroup {
            dose: doses[i].log10(),
            trials: trials[i],
            responses: responses[i],
        })
        .collect()
}

/// Steps of 2 dB, each tried `trials` times: back at 2, 4, 6 and 8 dB, not at 10 (and 12).
fn stepped(trials: u32, levels: usize) -> Vec<DoseGroup> {
    (1..=levels)
        .map(|i| DoseGroup {
            dose: 2.0 * i as f64,
            trials,
            responses: if i <= 4 { trials } else { 0 },
        })
        .collect()
}

#[test]
fn finneys_probit() {
    let fit = fit_ml(&finney(), Link::Probit).unwrap();
    near(fit.midpoint(), 0.685_338, 1e-6);
    near(fit.slope, 4.213_197, 1e-6);
    // R drc: ED50 4.84550166, standard error 0.24653956 (seen); ours 4.845492, 0.246531.
    let ed50 = 10f64.powf(fit.midpoint());
    near(ed50, 4.845_492, 1e-6);
    near(ed50, 4.845_501_66, 2e-5);
    let to_dose = ed50 * 10f64.ln();
    near(to_dose * fit.midpoint_error_observed(), 0.246_531, 1e-6);
    near(to_dose * fit.midpoint_error_observed(), 0.246_539_56, 2e-5);
    near(to_dose * fit.midpoint_error_expected(), 0.246_220, 1e-6);
    near(fit.log_likelihood, -120.051_641_435_5, 1e-9);
}

#[test]
fn a_bruceton_runs_coefficients_give_its_height() {
    // Hamada, Mang and Hoff, Quality Engineering 2019, doi 10.1080/08982112.2018.1551547 (seen).
    let fit = DoseFit {
        link: Link::Probit,
        intercept: -20.773_76,
        slope: 13.562_63,
        covariance_observed: [1.0, 0.0, 1.0],
        covariance_expected: [1.0, 0.0, 1.0],
        log_likelihood: 0.0,
    };
    near(fit.midpoint(), 1.531_691, 1e-6);
    near(fit.spread(), 0.073_732_0, 1e-7);
    near(10f64.powf(fit.midpoint()), 34.0166, 1e-4);
}

#[test]
fn profile_intervals_of_finneys_table() {
    // Derived here: scipy 1.17.1, brentq on a profile by minimize_scalar.
    let probit = fit_ml(&finney(), Link::Probit).unwrap();
    let interval = profile_midpoint(&finney(), &probit, Likelihood::Plain, 0.95);
    near(interval.low.unwrap(), 0.640_294_224, 1e-7);
    near(interval.high.unwrap(), 0.728_462_711, 1e-7);
    let logit = fit_ml(&finney(), Link::Logit).unwrap();
    near(logit.midpoint(), 0.683_849_824, 1e-7);
    near(logit.slope, 7.146_177_5, 1e-5);
    let interval = profile_midpoint(&finney(), &logit, Likelihood::Plain, 0.95);
    near(interval.low.unwrap(), 0.638_508_027, 1e-7);
    near(interval.high.unwrap(), 0.727_841_789, 1e-7);
}

#[test]
fn maximum_likelihood_says_when_it_has_no_answer() {
    assert_eq!(separation(&stepped(1, 5)), Separation::Parted);
    assert_eq!(
        fit_ml(&stepped(1, 5), Link::Probit),
        Err(FitFailure::Parted)
    );
    assert_eq!(
        fit_ml(&stepped(3, 4), Link::Logit),
        Err(FitFailure::OneOutcome)
    );
    assert_eq!(
        fit_penalised(&stepped(3, 4), Link::Logit),
        Err(FitFailure::OneOutcome)
    );
    let mixed_at_the_border = |n: u32, k: u32, dose: f64| DoseGroup {
        dose,
        trials: n,
        responses: k,
    };
    let table =
        [(3, 3, 2.0), (3, 1, 4.0), (3, 0, 6.0)].map(|(n, k, d)| mixed_at_the_border(n, k, d));
    assert_eq!(separation(&table), Separation::Parted);
    let flat =
        [(4, 2, 2.0), (4, 2, 4.0), (4, 2, 6.0)].map(|(n, k, d)| mixed_at_the_border(n, k, d));
    assert_eq!(fit_ml(&flat, Link::Probit), Err(FitFailure::Flat));
    let one_dose = [mixed_at_the_border(5, 2, 4.0)];
    assert_eq!(fit_ml(&one_dose, Link::Probit), Err(FitFailure::OneOutcome));
}

#[test]
fn firth_tames_parted_tables() {
    // Derived here: scipy 1.17.1, Nelder-Mead on the penalised likelihood.
    let single = fit_penalised(&stepped(1, 5), Link::Logit).unwrap();
    near(single.midpoint(), 8.995_556_8, 1e-5);
    near(single.slope, -0.450_577, 1e-5);
    let triple = fit_penalised(&stepped(3, 6), Link::Logit).unwrap();
    near(triple.midpoint(), 8.995_787_6, 1e-5);
    near(triple.slope, -1.600_777, 1e-5);
    let at = [triple.intercept, triple.slope];
    near(
        penalised_log_likelihood(&stepped(3, 6), Link::Logit, at),
        -1.080_591_034_9,
        1e-8,
    );
    let interval = profile_midpoint(&stepped(3, 6), &triple, Likelihood::Penalised, 0.95);
    near(interval.low.unwrap(), 7.422_464, 1e-4);
    near(interval.high.unwrap(), 10.564_909, 1e-4);
}

#[test]
fn the_grid_posterior_stays_in_the_bracket_and_learns() {
    let range = Interval {
        low: 0.0,
        high: 20.0,
    };
    let prior = SpreadPrior {
        median: 0.5,
        factor: 2.0,
    };
    let posterior = |groups: &[DoseGroup]| {
        MidpointPosterior::new(groups, Link::Probit, Direction::Falling, range, prior).unwrap()
    };
    let (once, thrice) = (posterior(&stepped(1, 6)), posterior(&stepped(3, 6)));
    near(once.median(), 9.0, 0.05);
    near(thrice.median(), 9.0, 0.05);
    assert!(thrice.interval(0.95).width() < once.interval(0.95).width());
    assert!(thrice.interval(0.95).low > 7.5 && thrice.interval(0.95).high < 10.5);
    assert!(once.predicted(4.0) > 0.95 && once.predicted(14.0) < 0.05);
    // One more trial teaches most in the middle of the bracket, and on average never harms.
    assert!(once.expected_variance_after(9.0) < once.expected_variance_after(6.0));
    assert!(once.expected_variance_after(9.0) < once.variance());
    let blank = posterior(&[]);
    near(blank.median(), 10.0, 1e-9);
    near(blank.variance(), 400.0 / 12.0, 1e-3);
    let bad = SpreadPrior {
        median: 0.5,
        factor: 1.0,
    };
    assert!(MidpointPosterior::new(&[], Link::Probit, Direction::Falling, range, bad).is_none());
}
