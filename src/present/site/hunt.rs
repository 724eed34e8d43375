//! The fault search in words.

use super::cost::number;
use super::leaf::{Leaf, Part};
use super::{belief_picture, tree_picture};
use crate::present::numbers::percent;
use crate::present::wording::cautions::for_site_work;
use crate::site::chain::doubtful::Suspect;
use crate::site::chain::hunt::{Hunt, Rigger, Standing};
use crate::site::chain::station::Side;
use crate::site::chain::tree::Tree;

/// The whole answer.
#[must_use]
pub fn leaf(hunt: &Hunt) -> Leaf {
    let mut parts = Vec::new();
    // Where nothing is left to test, nothing is left to plan or to pay.
    if hunt.tree.tests() > 0 {
        parts.push(Part::Steps("The plan", steps(hunt)));
        parts.push(Part::Picture {
            heading: "The plan as a picture",
            svg: tree_picture::svg(hunt, None),
            narrow: None,
        });
        parts.push(Part::Figures(
            "What it will take on average",
            expected(hunt),
        ));
        parts.push(Part::Words("The rigger", rigger(hunt)));
    }
    if !hunt.contradictions.is_empty() {
        parts.push(Part::List("Contradictions", contradictions(hunt)));
    }
    if !hunt.station.results.is_empty() {
        parts.push(results(hunt));
    }
    parts.push(Part::Table(
        "How much each section is suspected",
        vec!["section", "before", "now"],
        beliefs(hunt),
    ));
    parts.push(Part::Picture {
        heading: "Suspicion, section by section",
        svg: belief_picture::svg(hunt, None),
        narrow: Some(belief_picture::narrow(hunt)),
    });
    parts.push(Part::List("What this rests on", assumptions(hunt)));
    Leaf {
        kicker: "Fault search",
        headline: headline(hunt),
        paragraph: paragraph(hunt),
        cautions: for_site_work(),
        parts,
    }
}

/// A section's name.
fn name(hunt: &Hunt, section: usize) -> &str {
    &hunt.station.sections[section].name
}

/// One section or from one to another.
#[must_use]
pub fn group(hunt: &Hunt, first: usize, last: usize) -> String {
    if first == last {
        name(hunt, first).to_owned()
    } else {
        format!("{} to {}", name(hunt, first), name(hunt, last))
    }
}

/// Where a load on the outer end of a section goes.
#[must_use]
pub fn place(hunt: &Hunt, section: usize) -> String {
    match hunt.station.sections[section].side {
        Side::Transmit => format!("after {}", name(hunt, section)),
        Side::Receive => format!("on the antenna side of {}", name(hunt, section)),
    }
}

fn headline(hunt: &Hunt) -> String {
    let suspect = |s: &Suspect| group(hunt, s.first, s.last);
    match &hunt.standing {
        Standing::TestNext { cut, .. } => format!("Next: put the load {}", place(hunt, *cut)),
        Standing::Found(found) => format!("The culprit is most likely: {}", suspect(found)),
        Standing::CannotPart(found) => {
            format!("No load can part these any further: {}", suspect(found))
        }
    }
}

fn paragraph(hunt: &Hunt) -> String {
    let torn = if hunt.contradictions.is_empty() {
        ""
    } else {
        "Results contradict each other, as with a fault that comes and goes; tests are trusted less \
         from here on. "
    };
    let rest = match &hunt.standing {
        Standing::TestNext { chance_stays, .. } => format!(
            "Key up and look for the desense: it stays with a chance of {}. If it stays, the fault \
             lies before the load; if it is gone, beyond.",
            percent(*chance_stays)
        ),
        Standing::Found(found) => format!(
            "Belief in it: {}. Mend or replace it, then repeat the test that showed the desense, as \
             proof.",
            percent(found.belief)
        ),
        Standing::CannotPart(found) => format!(
            "Belief in them together: {}. Look at them one by one, or exchange them.",
            percent(found.belief)
        ),
    };
    format!("{torn}{rest}")
}

/// The tree, numbered test by test; branches point to the number where they go on.
fn steps(hunt: &Hunt) -> Vec<(usize, String)> {
    let mut list = Vec::new();
    let mut next = 1;
    walk(hunt, &hunt.tree, 0, "", &mut next, &mut list);
    list
}

fn walk(
    hunt: &Hunt,
    tree: &Tree,
    depth: usize,
    lead: &str,
    next: &mut usize,
    list: &mut Vec<(usize, String)>,
) {
    match tree {
        Tree::Test {
            cut, stays, gone, ..
        } => {
            let rigger = hunt.station.sections[*cut].test.is_some_and(|t| t.rigger);
            let with = if rigger { " (with the rigger)" } else { "" };
            let looks = match hunt.station.looks {
                1 => String::new(),
                n => format!(", {n} looks"),
            };
            list.push((
                depth,
                format!("{lead}{next}. Load {}{looks}{with}.", place(hunt, *cut)),
            ));
            *next += 1;
            walk(hunt, stays, depth + 1, "If it stays: ", next, list);
            walk(hunt, gone, depth + 1, "If it is gone: ", next, list);
        }
        Tree::Found {
            first,
            last,
            belief,
            ..
        } => {
            let sure = if *belief < 1.0 {
                format!(" ({})", percent(*belief))
            } else {
                String::new()
            };
            list.push((
                depth,
                format!("{lead}it is {}{sure}.", group(hunt, *first, *last)),
            ));
        }
        Tree::Open { .. } => {
            list.push((
                depth,
                format!("{lead}write the results down and plan again."),
            ));
        }
    }
}

fn expected(hunt: &Hunt) -> Vec<(String, String)> {
    let e = hunt.expected;
    let least = if hunt.open_ended { "at least " } else { "" };
    let mut list = vec![
        ("Tests".into(), format!("{least}{}", number(e.tests))),
        (
            "Time at the site".into(),
            format!("{least}{:.0}\u{a0}min", e.minutes),
        ),
        ("Money".into(), format!("{least}{:.0}", e.money)),
        (
            "Chance that the rigger is needed".into(),
            if hunt.open_ended {
                "not known yet".into()
            } else {
                percent(e.rigger)
            },
        ),
        (
            "All of it in money".into(),
            format!(
                "{} (an hour at {})",
                match hunt.cost_to_the_end {
                    Some(cost) => format!("about {cost:.0}, to the end of the search"),
                    None => format!("{least}{:.0}", e.cost),
                },
                number(hunt.station.hour_worth)
            ),
        ),
    ];
    if let Some(rules) = hunt.comparison {
        let value = format!(
            "this plan {:.0}; nearest first {:.0}; halving {:.0}; any order {:.0}",
            rules.plan, rules.nearest_first, rules.halving, rules.at_random
        );
        list.push(("Against rules of thumb".into(), value));
    }
    list
}

fn rigger(hunt: &Hunt) -> String {
    match hunt.rigger {
        Rigger::NeverNeeded => "No test that is left needs one.".into(),
        Rigger::NotYet { chance } => {
            if hunt.open_ended {
                return "Not yet: the tests on the ground come first; the plan does not reach as \
                        far as the tower so far."
                    .into();
            }
            format!(
                "Not yet: the tests on the ground come first. The chance that it comes to the \
                 tower is {}.",
                percent(chance)
            )
        }
        Rigger::Now => {
            "Now: no cheaper test is left that would tell enough to save the call.".into()
        }
    }
}

fn contradictions(hunt: &Hunt) -> Vec<String> {
    let said = |index: usize| {
        let result = &hunt.station.results[index];
        let date = result
            .date
            .as_ref()
            .map(|d| format!(" ({d})"))
            .unwrap_or_default();
        format!("{}{date}", place(hunt, result.after))
    };
    hunt.contradictions
        .iter()
        .map(|c| {
            format!(
                "With the load {} the desense stayed, but with the load {} it was gone: both \
                 cannot be true of one steady fault. Look again, several times, tapping the \
                 connectors.",
                said(c.stayed),
                said(c.gone)
            )
        })
        .collect()
}

/// A day's column stands only where a day was noted.
fn results(hunt: &Hunt) -> Part {
    let results = &hunt.station.results;
    let dated = results.iter().any(|r| r.date.is_some());
    let row = |r: &crate::site::chain::TestResult| {
        let date = dated.then(|| r.date.clone().unwrap_or_else(|| "not noted".into()));
        let desense = if r.stays { "stays" } else { "gone" };
        let rest = [
            name(hunt, r.after).into(),
            desense.into(),
            r.looks.to_string(),
        ];
        date.into_iter().chain(rest).collect()
    };
    let head = dated.then_some("date").into_iter();
    Part::Table(
        "Results so far",
        head.chain(["load after", "desense", "looks"]).collect(),
        results.iter().map(row).collect(),
    )
}

fn beliefs(hunt: &Hunt) -> Vec<Vec<String>> {
    (0..hunt.belief.len())
        .map(|i| {
            vec![
                name(hunt, i).to_owned(),
                percent(hunt.prior[i]),
                percent(hunt.belief[i]),
            ]
        })
        .collect()
}

fn assumptions(hunt: &Hunt) -> Vec<String> {
    let mut list = vec![
        "There is one fault. With two, a test shows the nearer one; after mending it, start again."
            .into(),
        "A load on the receive chain cuts the whole transmit chain off as well.".into(),
    ];
    if hunt.station.sections.iter().any(|s| !s.weight_stated) {
        list.push(
            "How often a kind of part is the culprit is rough common practice, no source; give a \
             section that has failed before a higher weight (on the desk: suspicion)."
                .into(),
        );
    }
    if hunt.trust.shows < 1.0 || hunt.trust.false_alarm > 0.0 {
        list.push(format!(
            "One look shows a fault before the load with a chance of {}, and desense with the \
             fault beyond it with a chance of {}.",
            percent(hunt.trust.shows),
            percent(hunt.trust.false_alarm)
        ));
    } else {
        list.push(
            "Every test tells the truth. For a fault that comes and goes, state the chance that one \
             look shows it."
                .into(),
        );
    }
    if let Some(looks) = hunt.looks_needed {
        list.push(format!(
            "Call a section clean only after {looks} looks without desense: that is what 95 % \
             confidence takes."
        ));
    }
    list
}
