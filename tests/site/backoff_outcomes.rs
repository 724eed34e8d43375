//! The stepped test from trials typed by hand.

use crate::near;
use tailbeat::backoff::advice::Advice;
use tailbeat::backoff::estimate::{Method, NoEstimate};
use tailbeat::backoff::report::{BackoffOptions, BackoffReport, CostBasis, report};
use tailbeat::backoff::typed;
use tailbeat::units::{Decibels, Watts};

fn from(text: &str) -> BackoffReport {
    report(
        typed::read("trials.csv", text).unwrap(),
        &BackoffOptions::default(),
    )
    .unwrap()
}

fn counted(rows: &[(f64, u32, u32)]) -> BackoffReport {
    let rows: String = rows
        .iter()
        .map(|(b, n, k)| format!("{b},{n},{k}\n"))
        .collect();
    from(&format!("backoff_db,trials,came_back\n{rows}"))
}

#[test]
fn the_trades_own_figures() {
    // Common practice, no source: steps of 2 dB, back at 2, 4, 6 and 8, not at 10: at least 8,
    // less than 10 dB.
    let text = "backoff_db,came_back\n2,yes\n4,yes\n6,yes\n8,yes\n10,no\n";
    let result = from(text);
    assert_eq!(result.bracket.at_least, Some(Decibels(8.0)));
    assert_eq!(result.bracket.less_than, Some(Decibels(10.0)));
    let estimate = result.estimate.unwrap();
    assert_eq!(estimate.method, Method::ProbitWithPrior);
    assert!((8.0..10.0).contains(&estimate.middle.get()), "{estimate:?}");
    assert!(estimate.low.unwrap().get() < 8.0 && estimate.high.unwrap().get() > 10.0);
    let cross = result.cross_check.unwrap();
    near(cross.mean.get(), 9.0, 1e-12);
    assert_eq!(cross.error, None, "single trials tell no error");
    assert!(matches!(result.advice, Some(Advice::Test { backoff, .. })
        if (7.0..=11.0).contains(&backoff.get())));
}

#[test]
fn repeats_tighten_the_bracket_and_end_the_test() {
    let rows: Vec<_> = [2.0, 4.0, 6.0, 8.0].map(|b| (b, 6, 6)).into();
    let result = counted(&[rows, vec![(10.0, 6, 0), (12.0, 3, 0)]].concat());
    let estimate = result.estimate.unwrap();
    assert!(estimate.low.unwrap().get() > 7.5 && estimate.high.unwrap().get() < 10.5);
    near(estimate.middle.get(), 9.0, 0.1);
    let finer = counted(&[(8.0, 5, 5), (8.5, 5, 5), (9.0, 5, 0), (9.5, 5, 0)]);
    assert!(matches!(finer.advice, Some(Advice::Stop { width }) if width.get() <= 2.0));
}

#[test]
fn overlapping_outcomes_are_fitted_by_maximum_likelihood() {
    // Derived here: scipy 1.17.1, Nelder-Mead and brentq on the profile.
    let result = counted(&[
        (4.0, 10, 10),
        (6.0, 10, 8),
        (8.0, 10, 5),
        (10.0, 10, 1),
        (12.0, 10, 0),
    ]);
    let estimate = result.estimate.unwrap();
    assert_eq!(estimate.method, Method::Probit);
    near(estimate.middle.get(), 7.791_134, 1e-4);
    near(estimate.scatter.unwrap().get(), 1.700_497, 1e-4);
    near(estimate.low.unwrap().get(), 6.903_179, 1e-4);
    near(estimate.high.unwrap().get(), 8.677_494, 1e-4);
    near(result.cross_check.unwrap().mean.get(), 7.8, 1e-12);
}

#[test]
fn one_sided_outcomes_give_a_one_sided_statement() {
    let all = counted(&[(2.0, 2, 2), (4.0, 2, 2)]);
    assert_eq!(all.bracket.at_least, Some(Decibels(4.0)));
    assert_eq!(all.bracket.less_than, None);
    assert_eq!(all.estimate, Err(NoEstimate::AllCameBack));
    assert_eq!(
        all.advice,
        Some(Advice::GoLower {
            backoff: Decibels(6.0)
        })
    );
    assert_eq!(all.cost.unwrap().1, CostBasis::AtLeast);
    let none = counted(&[(2.0, 2, 0), (4.0, 2, 0)]);
    assert_eq!(none.bracket.at_least, None);
    assert_eq!(none.bracket.less_than, Some(Decibels(2.0)));
    assert_eq!(none.estimate, Err(NoEstimate::NoneCameBack));
    assert_eq!(
        none.advice,
        Some(Advice::GoHigher {
            backoff: Decibels(0.0)
        })
    );
    assert!(none.cost.is_none());
    let single = counted(&[(4.0, 5, 2)]);
    assert_eq!(single.estimate, Err(NoEstimate::OneLevel));
}

#[test]
fn disorder_is_said_and_widens_the_bracket() {
    let result = counted(&[
        (2.0, 3, 3),
        (4.0, 3, 3),
        (6.0, 3, 0),
        (8.0, 3, 3),
        (10.0, 3, 0),
    ]);
    assert_eq!(result.bracket.at_least, Some(Decibels(4.0)));
    assert_eq!(result.bracket.less_than, Some(Decibels(10.0)));
    let disorder = result.bracket.disorder;
    assert_eq!(disorder.len(), 1);
    assert_eq!(disorder[0].smaller.backoff, Decibels(6.0));
    // Fisher: all three of three against none of three, 1 in 20.
    near(disorder[0].p, 0.05, 1e-12);
    let backwards = counted(&[(2.0, 4, 0), (4.0, 4, 4)]);
    assert_eq!(backwards.estimate, Err(NoEstimate::WrongWay));
    assert!(matches!(backwards.advice, Some(Advice::Settle { .. })));
    assert_eq!(backwards.bracket.at_least, Some(Decibels(4.0)));
    assert_eq!(backwards.bracket.less_than, None);
}

#[test]
fn hysteresis_is_kept_apart_and_the_cost_is_of_the_raw_figure() {
    let trials = typed::read("t", "backoff_db,trials,came_back\n8,5,5\n10,5,0\n").unwrap();
    let options = BackoffOptions {
        hysteresis: Some(Decibels(3.0)),
        erp: Some(Watts(50.0)),
        ..BackoffOptions::default()
    };
    let result = report(trials, &options).unwrap();
    let raw = result.estimate.unwrap().middle;
    near(raw.get(), 9.0, 0.05);
    let corrected = result.corrected.unwrap();
    near(corrected.estimate.unwrap().get(), raw.get() + 3.0, 1e-12);
    assert_eq!(corrected.at_least, Some(Decibels(11.0)));
    assert_eq!(corrected.less_than, Some(Decibels(13.0)));
    let (cost, basis) = result.cost.unwrap();
    assert_eq!(basis, CostBasis::Estimate);
    near(cost.power_ratio, 7.943, 0.1);
    near(cost.erp_needed.unwrap().get(), 397.0, 5.0);
    let nonsense = BackoffOptions {
        hysteresis: Some(Decibels(-1.0)),
        ..options
    };
    let trials = typed::read("t", "backoff_db,came_back\n8,yes\n").unwrap();
    assert!(
        report(trials, &nonsense)
            .unwrap_err()
            .to_string()
            .contains("0 to 20 dB")
    );
}

#[test]
fn a_bracket_on_few_trials_is_to_be_repeated() {
    let result = counted(&[
        (6.0, 8, 8),
        (8.0, 8, 8),
        (8.5, 1, 1),
        (9.5, 8, 0),
        (10.0, 8, 0),
    ]);
    assert!(matches!(
        result.advice,
        Some(
            Advice::Repeat {
                backoff: Decibels(8.5),
                trials: 1
            } | Advice::Test { .. }
        )
    ));
    assert!(!matches!(result.advice, Some(Advice::Stop { .. })));
}

#[test]
fn bad_tables_name_line_and_remedy() {
    let refusal = |text: &str| typed::read("t.csv", text).unwrap_err().to_string();
    assert_eq!(
        refusal("backoff_db,came_back\n2,yes\n4,perhaps\n"),
        "t.csv line 3: came_back is \"perhaps\"; write yes or no, or add a column trials and \
         give counts"
    );
    assert!(refusal("backoff,came_back\n").starts_with("t.csv line 1: the column backoff_db"));
    assert!(refusal("backoff_db,came_back\n-2,no\n").contains("which is 0"));
    assert!(refusal("backoff_db,trials,came_back\n2,3,4\n").contains("cannot be"));
    assert!(refusal("backoff_db,trials,came_back\n2,2.5,1\n").contains("whole numbers"));
    assert!(refusal("backoff_db,came_back\n").contains("no trials"));
}
