//! The stepped test in words.

use super::backoff_picture;
use super::cost;
use super::leaf::{Leaf, Part};
use crate::backoff::advice::Advice;
use crate::backoff::bracket::{Bracket, Disorder};
use crate::backoff::estimate::{Estimate, Method, NoEstimate};
use crate::backoff::report::{BackoffReport, CostBasis};
use crate::backoff::trials::{Excluded, Exclusion, Level};
use crate::present::numbers::{clock, count, db};
use crate::present::wording::cautions::for_site_work;
use crate::tuning::site::{THRESHOLD_SCATTER_DB, THRESHOLD_SCATTER_FACTOR};
use crate::units::Decibels;

/// The whole answer.
#[must_use]
pub fn leaf(report: &BackoffReport) -> Leaf {
    let mut parts = vec![Part::Figures("Numbers", figures(report))];
    parts.push(Part::Table(
        "Step by step",
        vec!["lowered by", "drops", "came back"],
        report.levels.iter().map(level_row).collect(),
    ));
    if !report.levels.is_empty() {
        parts.push(Part::Picture {
            heading: "How often it came back",
            svg: backoff_picture::svg(report, None),
            narrow: Some(backoff_picture::narrow(report)),
        });
    }
    let doubts = doubts(report);
    if !doubts.is_empty() {
        parts.push(Part::List("Doubts", doubts));
    }
    if let Some(advice) = report.advice {
        parts.push(Part::Words("Next step", advice_words(advice)));
    }
    if let Some((priced, basis)) = &report.cost {
        let heading = match basis {
            CostBasis::Estimate => "What that costs",
            CostBasis::AtLeast => "What that costs at least",
        };
        let mut figures = cost::figures(priced);
        // The raw figure: whoever reads the corrected one above must not take it for that.
        let mut of = db(priced.asked.desense);
        if report.corrected.is_some() {
            of += ", the figure of the test itself, without the hysteresis";
        }
        figures.insert(0, ("Reckoned for".into(), of));
        parts.push(Part::Figures(heading, figures));
    }
    if !report.trials.excluded.is_empty() {
        let list = report.trials.excluded.iter().map(excluded).collect();
        parts.push(Part::List("Not counted", list));
    }
    Leaf {
        kicker: "Stepped test",
        headline: headline(report),
        paragraph: paragraph(report),
        cautions: for_site_work(),
        parts,
    }
}

fn headline(report: &BackoffReport) -> String {
    if report.trials.trials.is_empty() {
        return "No trial counts: nothing was measured".into();
    }
    let ordered = report.bracket.disorder.is_empty();
    let said = bracket_words(&report.bracket);
    if ordered {
        said
    } else {
        format!("{said}; but the outcomes are out of order")
    }
}

/// The raw bracket.
fn bracket_words(bracket: &Bracket) -> String {
    match (bracket.at_least, bracket.less_than) {
        (Some(low), Some(high)) => {
            format!(
                "The desense is at least {}, less than {}",
                db(low),
                db(high)
            )
        }
        (Some(low), None) => format!("The desense is at least {}", db(low)),
        (None, Some(high)) => format!(
            "No return at {} or below: no cycling desense seen",
            db(high)
        ),
        (None, None) => "Nothing can be said of the desense".into(),
    }
}

fn paragraph(report: &BackoffReport) -> String {
    let trials = count(report.trials.trials.len(), "trial", "trials");
    let levels = count(report.levels.len(), "step", "steps");
    let counted = format!("{trials} at {levels} count.");
    let estimate = match &report.estimate {
        Ok(estimate) => format!(
            "It comes back half of the time at {}{}.",
            db(estimate.middle),
            interval(estimate)
        ),
        Err(NoEstimate::NoTrials) => "Without trials there is no estimate.".into(),
        Err(NoEstimate::AllCameBack) => {
            "It came back every time, so that only a lower end is known.".into()
        }
        Err(NoEstimate::NoneCameBack) => {
            "It never came back. That is not proof of no desense: less of it than the squelch's \
             hysteresis makes no cycling at all."
                .into()
        }
        Err(NoEstimate::OneLevel) => "One step alone gives no estimate: test others.".into(),
        Err(NoEstimate::WrongWay) => {
            "It came back no less often the further the signal was lowered, so that there is no \
             estimate: something else than the step decided."
                .into()
        }
    };
    let corrected = match report.corrected {
        Some(c) => match c.estimate.or(c.at_least) {
            Some(level) => format!(
                " With the squelch's hysteresis of {} added, the desense itself is about {}.",
                db(c.hysteresis),
                db(level)
            ),
            None => String::new(),
        },
        None => " The squelch's own hysteresis is not added: the desense itself is greater by it. \
                 State it if you know it."
            .into(),
    };
    format!("{counted} {estimate}{corrected}")
}

fn interval(estimate: &Estimate) -> String {
    match (estimate.low, estimate.high) {
        (Some(low), Some(high)) => format!(" (95 % interval {} to {})", db(low), db(high)),
        (Some(low), None) => format!(" (95 % interval from {}, upwards open)", db(low)),
        (None, Some(high)) => format!(" (95 % interval up to {}, downwards open)", db(high)),
        (None, None) => " (the trials put no bounds on it)".into(),
    }
}

fn figures(report: &BackoffReport) -> Vec<(String, String)> {
    let mut list = Vec::new();
    let mut add = |name: &str, value: String| list.push((name.to_owned(), value));
    add("Between two steps", bracket_words(&report.bracket));
    if let Ok(estimate) = &report.estimate {
        add(
            "Half of the time at",
            format!("{}{}", db(estimate.middle), interval(estimate)),
        );
        if let Some(scatter) = estimate.scatter {
            add("Scatter from trial to trial", db(scatter));
        }
        add("How that was reckoned", method(estimate.method));
    }
    if let Some(check) = report.cross_check {
        let error = check
            .error
            .map(|e| format!(" \u{b1} {} (standard error)", db(e)));
        add(
            "Second opinion, no curve assumed",
            format!(
                "{}{} by Spearman and K\u{e4}rber",
                db(check.mean),
                error.unwrap_or_default()
            ),
        );
    }
    if let Some(c) = report.corrected {
        let ends = match (c.at_least, c.less_than) {
            (Some(low), Some(high)) => format!("{} to {}", db(low), db(high)),
            (Some(low), None) => format!("at least {}", db(low)),
            (None, Some(high)) => format!("less than {}", db(high)),
            (None, None) => "unknown".into(),
        };
        let middle = c
            .estimate
            .map(|e| format!(", about {}", db(e)))
            .unwrap_or_default();
        add(
            "With the hysteresis",
            format!("{ends}{middle} ({} added)", db(c.hysteresis)),
        );
    }
    list
}

fn method(method: Method) -> String {
    match method {
        Method::Probit => "normal thresholds, maximum likelihood, profile interval".into(),
        Method::Logit => "logistic thresholds, maximum likelihood, profile interval".into(),
        Method::ProbitWithPrior => format!(
            "the steps part the outcomes cleanly, so the scatter had to be believed: \
             {THRESHOLD_SCATTER_DB} dB, give or take a factor of {THRESHOLD_SCATTER_FACTOR}"
        ),
    }
}

fn level_row(level: &Level) -> Vec<String> {
    vec![
        db(level.backoff),
        level.trials.to_string(),
        level.came_back.to_string(),
    ]
}

fn doubts(report: &BackoffReport) -> Vec<String> {
    let mut list: Vec<String> = report.bracket.disorder.iter().map(disorder).collect();
    let single = report
        .levels
        .iter()
        .filter(|level| level.trials == 1)
        .count();
    if single > 0 {
        list.push(format!(
            "{} on a single trial; a person or a car near the test antenna falsifies one. \
             Repeat those next to the bracket.",
            count(single, "step rests", "steps rest")
        ));
    }
    if let (Ok(estimate), Some(check)) = (&report.estimate, report.cross_check) {
        let apart = (estimate.middle - check.mean).get().abs();
        if apart > 1.0 {
            list.push(format!(
                "The second opinion lies {} away from the curve's: trust the bracket more than \
                 either.",
                db(Decibels(apart))
            ));
        }
    }
    list
}

fn disorder(disorder: &Disorder) -> String {
    let said = |level: Level| format!("{} of {}", level.came_back, level.trials);
    format!(
        "It came back {} times at {} but {} at {}, although the signal was weaker there. By chance \
         alone that happens in {:.0} % of tests. An intermittent fault, or somebody moved near the \
         antenna.",
        said(disorder.smaller),
        db(disorder.smaller.backoff),
        said(disorder.greater),
        db(disorder.greater.backoff),
        100.0 * disorder.p
    )
}

fn advice_words(advice: Advice) -> String {
    match advice {
        Advice::Stop { width } => format!(
            "Stop here: the interval is {} wide, and both steps that hold it were repeated.",
            db(width)
        ),
        Advice::Test {
            backoff,
            sd_now,
            sd_after,
        } => format!(
            "Test at {}: that tells most. The standard deviation should go from {:.2} to about \
             {:.2}\u{a0}dB.",
            db(backoff),
            sd_now.get(),
            sd_after.get()
        ),
        Advice::GoLower { backoff } => {
            format!(
                "Lower the signal further, to {}, until it stays down.",
                db(backoff)
            )
        }
        Advice::GoHigher { backoff } => format!(
            "Test at {}. If it stays down there as well, the stepped test has nothing to measure: \
             use the isolated tee.",
            db(backoff)
        ),
        Advice::Repeat { backoff, trials } => format!(
            "Repeat the step of {}: it holds the bracket and was tried only {}.",
            db(backoff),
            count(trials as usize, "time", "times")
        ),
        Advice::Settle { backoff } => format!(
            "Repeat the step of {} before testing on: that it came back more often further down is \
             hardly chance.",
            db(backoff)
        ),
    }
}

fn excluded(excluded: &Excluded) -> String {
    let step = excluded.backoff.filter(|b| b.get() >= 0.0);
    let step = step
        .map(|b| format!(", step of {}", db(b)))
        .unwrap_or_default();
    format!("{}{step}: {}", clock(excluded.at), reason(excluded.reason))
}

/// Why a drop or a step does not count.
#[must_use]
pub const fn reason(reason: Exclusion) -> &'static str {
    match reason {
        Exclusion::BeforeFirstStep => "it dropped before the first step",
        Exclusion::OperatorRaised => "the level was being raised again",
        Exclusion::StepChanged => "the step changed before it could have come back",
        Exclusion::GapNotObservable => "the recording does not show whether it came back",
        Exclusion::Doubtful => "the drop or the return is not certain enough",
        Exclusion::Disturbed => "the recording is damaged there",
        Exclusion::NoDrop => "the carrier never dropped at this step",
    }
}
