//! The antenna chain of a case and the search along it.

use super::fields::{Field, Forms, form};
use super::leaf;
use crate::desk::view::{CasePage, LoadTest, NotTaken, SectionForm};
use crate::present::site::leaf::{Leaf, Part};
use crate::site::chain::kinds::Kind;
use maud::{Markup, html};

/// Columns of the chain. On a telephone each section is a block of its own, and each field brings
/// its head along.
const HEADS: [&str; 8] = [
    "Section",
    "Side",
    "Kind",
    "Load can go on its outer end",
    "Rigger",
    "Minutes",
    "Money",
    "Suspicion",
];
/// Empty rows behind the sections.
const SPARE: usize = 2;

/// The section of the page.
pub fn search(view: &CasePage, may: bool) -> Markup {
    html! {
        section id="search" {
            h2 { "Fault search" }
            @if let Some(plan) = &view.hunt { (leaf::answer(plan)) }
            @else {
                p {
                    "Write the antenna chain down once. The program then says where to put the \
                     dummy load next so that the bad part is found at least cost, and changes the \
                     plan with every result."
                }
            }
            @if view.chain.kept { (results(view, may)) }
            @if let Some(plan) = &view.hunt {
                (leaf::parts(plan, "search", in_the_open(plan), "What it will take, what is suspected, what it rests on"))
            }
            @if may {
                (Forms(&view.wrong).refused("chain"))
                details open[Forms(&view.wrong).is("chain")] {
                    summary { @if view.chain.kept { "Change the chain" } @else { "Write the chain down" } }
                    (form(&view.shell, &format!("/case/{}/chain#search", view.case.id), "stack", &chain_form(view)))
                }
            }
        }
    }
}

/// The plan's steps and their picture stand open, while there is a plan.
fn in_the_open(plan: &Leaf) -> usize {
    let open = |part: &&Part| matches!(part, Part::Steps(..) | Part::Picture { .. });
    plan.parts.iter().take_while(open).count()
}

fn results(view: &CasePage, may: bool) -> Markup {
    html! {
        h3 { "Results" }
        (Forms(&view.wrong).refused("load"))
        @if view.chain.results.is_empty() { p { "None yet." } }
        ol.results {
            @for (n, result) in view.chain.results.iter().enumerate() {
                li {
                    (said(result))
                    @if may { (change(view, n, result)) }
                }
            }
        }
        @if may {
            (form(&view.shell, &format!("/case/{}/load#search", view.case.id), "row boxed", &html! {
                (result_fields(view, &next(view), None))
                button.main { "Add this result" }
            }))
        }
    }
}

/// One result in words.
pub fn said(result: &LoadTest) -> Markup {
    html! {
        "Load after " b { (result.after) } ": the desense "
        b { @if result.stays { "stays" } @else { "is gone" } }
        @if result.looks > 1 { ", " (result.looks) " looks" }
        @if !result.day.is_empty() { span.quiet { ", " (result.day) } }
    }
}

/// What the plan asks for is filled in already.
fn next(view: &CasePage) -> LoadTest {
    let first = view
        .hunt
        .iter()
        .flat_map(|plan| &plan.parts)
        .find_map(|part| match part {
            Part::Steps(_, steps) => steps.first().map(|(_, words)| words.clone()),
            _ => None,
        });
    let asked = first.unwrap_or_default();
    // The longest name that stands in the first step; one name may be part of another.
    let after = (view
        .chain
        .sections
        .iter()
        .filter(|s| s.test && asked.contains(&s.name)))
    .max_by_key(|s| s.name.len())
    .map(|s| s.name.clone());
    LoadTest {
        after: after.unwrap_or_default(),
        stays: true,
        looks: 1,
        day: String::new(),
    }
}

/// A form of results that was not taken: of the `n`-th, or of a new one.
fn not_taken(view: &CasePage, n: Option<usize>) -> Option<&NotTaken> {
    let of = n.map(|n| n.to_string());
    let wrong = view.not_taken("load")?;
    (wrong.field("result", 0) == of.as_deref()).then_some(wrong)
}

fn result_fields(view: &CasePage, now: &LoadTest, n: Option<usize>) -> Markup {
    let id = n.map_or("load-new".into(), |n| format!("load-{n}"));
    let wrong = not_taken(view, n);
    let typed = |name, usual| (wrong.and_then(|form| form.field(name, 0))).unwrap_or(usual);
    let places: Vec<(String, String)> = (view.chain.sections.iter())
        .filter(|section| section.test && !section.name.is_empty())
        .map(|section| (section.name.clone(), section.name.clone()))
        .collect();
    let outcomes = [("stays", "stays"), ("gone", "is gone")].map(|(w, n)| (w.into(), n.into()));
    let looks = now.looks.to_string();
    let stays = if now.stays { "stays" } else { "gone" };
    let ids = ["after", "desense", "looks", "day"].map(|name| format!("{id}-{name}"));
    html! {
        (Field::new("after", "Load after", typed("after", &now.after)).id(&ids[0]).one_of(&places))
        (Field::new("desense", "The desense", typed("desense", stays)).id(&ids[1]).one_of(&outcomes))
        (Field::new("looks", "Looks", typed("looks", &looks)).id(&ids[2]).number().show())
        (Field::new("day", "Day", typed("day", &now.day)).id(&ids[3]).kind("date").show())
    }
}

fn change(view: &CasePage, n: usize, result: &LoadTest) -> Markup {
    let action = format!("/case/{}/load/{n}#search", view.case.id);
    let which = format!("result {}", n + 1);
    html! {
        details.inline open[not_taken(view, Some(n)).is_some()] {
            summary aria-label=(format!("Change {which}")) { "Change" }
            (form(&view.shell, &action, "row", &html! {
                input type="hidden" name="result" value=(n);
                (result_fields(view, result, Some(n)))
                button { "Keep this" }
            }))
            (form(&view.shell, &action, "", &html! {
                input type="hidden" name="remove" value="yes";
                button.slim.grave aria-label=(format!("Remove this {which}")) { "Remove this result" }
            }))
        }
    }
}

fn chain_form(view: &CasePage) -> Markup {
    let chain = &view.chain;
    let spare = vec![
        SectionForm {
            test: true,
            ..SectionForm::default()
        };
        SPARE
    ];
    html! {
        p.hint {
            "In order: the receive side from the receiver outwards, then the transmit side from \
             the transmitter outwards. An empty name removes a section. Minutes, money and \
             suspicion may stay empty for the usual; give a higher suspicion to what has failed before."
        }
        div.scroll tabindex="0" role="group" aria-label="The chain" {
            table.entry.chain {
                thead { tr { @for name in HEADS { th scope="col" { (name) } } } }
                tbody data-rows="One more section" {
                    @for section in chain.sections.iter().chain(&spare) { (section_row(section)) }
                }
            }
        }
        div.row {
            (Field::new("hour_worth", "An hour is worth", &chain.hour_worth).number().show())
            (Field::new("rigger_call", "Calling the rigger costs", &chain.rigger_call).number().show())
            (Field::new("shows", "Chance that one look shows it", &chain.shows).number().show())
            (Field::new("looks", "Looks at each test", &chain.looks).id("chain-looks").number().show())
        }
        button { "Keep the chain" }
    }
}

fn section_row(section: &SectionForm) -> Markup {
    let choice = |name: &str, label: &str, choices: &[(&str, &str)], now: &str| {
        html! {
            select name=(name) aria-label=(label) {
                @for (word, said) in choices { option value=(word) selected[*word == now] { (said) } }
            }
        }
    };
    let yes_no = [("yes", "yes"), ("no", "no")];
    let word = |yes: bool| if yes { "yes" } else { "no" };
    let kinds = Kind::ALL.map(|kind| (kind.as_str(), kind.as_str().replace('_', " ")));
    let kinds: Vec<(&str, &str)> = kinds.iter().map(|(w, n)| (*w, n.as_str())).collect();
    let side = if section.receive {
        "receive"
    } else {
        "transmit"
    };
    let kind = if section.kind.is_empty() {
        "other"
    } else {
        &section.kind
    };
    let number = |name: &str, value: &str, label: &str| {
        html! { input name=(name) value=(value) inputmode="decimal" aria-label=(label); }
    };
    let fields = [
        html! { input.name name="name" value=(section.name) aria-label="Section"; },
        choice(
            "side",
            "Side",
            &[("transmit", "transmit"), ("receive", "receive")],
            side,
        ),
        choice("kind", "Kind", &kinds, kind),
        choice("test", HEADS[3], &yes_no, word(section.test)),
        choice("rigger", "Rigger", &yes_no, word(section.rigger)),
        number("minutes", &section.minutes, "Minutes"),
        number("money", &section.money, "Money"),
        number("weight", &section.weight, "Suspicion"),
    ];
    html! {
        tr { @for (head, field) in HEADS.iter().zip(fields) { td data-head=(head) { (field) } } }
    }
}
