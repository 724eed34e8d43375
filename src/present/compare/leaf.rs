//! The comparison as a leaf, for a terminal.

use crate::compare::Comparison;
use crate::compare::evidence::Exhibit;
use crate::present::site::leaf::{Leaf, Part};
use crate::present::wording::cautions::{Caution, for_a_test_signal, for_site_work};
use crate::present::wording::compare as words;
use crate::present::wording::compare::{doubts, figures};

/// What the comparison's next step calls for.
#[must_use]
pub fn cautions(of: &Comparison) -> Vec<Caution> {
    if words::at_the_site(of) {
        for_site_work()
    } else {
        for_a_test_signal()
    }
}

/// The whole answer.
#[must_use]
pub fn leaf(of: &Comparison) -> Leaf {
    let rows = figures::rows(of)
        .into_iter()
        .map(|(name, before, after)| vec![name.to_owned(), before, after])
        .collect();
    let mut parts = vec![Part::Table(words::NUMBERS, figures::COLUMNS.to_vec(), rows)];
    let tests = figures::tests(of);
    if !tests.is_empty() {
        parts.push(Part::Figures("Chance or change", tests));
    }
    if !of.doubts.is_empty() {
        let list = of.doubts.iter().map(doubts::sentence).collect();
        parts.push(Part::List(words::DOUBTS, list));
    }
    parts.push(Part::Words(words::NEXT_STEP, words::next_step(of)));
    let stated = stated(of);
    if !stated.is_empty() {
        parts.push(Part::Figures(words::STATED, stated));
    }
    let files = [("before", &of.before), ("after", &of.after)]
        .into_iter()
        .flat_map(|(word, set)| set.iter().map(move |exhibit| file(word, exhibit)));
    parts.push(Part::List(words::EXHIBITS, files.collect()));
    Leaf {
        kicker: words::KICKER,
        headline: words::headline(of),
        paragraph: words::paragraph(of),
        cautions: cautions(of),
        parts,
    }
}

/// What the keeper stated, name and value.
#[must_use]
pub fn stated(of: &Comparison) -> Vec<(String, String)> {
    let named = [
        ("Station", of.stated.station.as_ref()),
        ("Done in between", of.stated.work.as_ref()),
    ];
    let said = named
        .into_iter()
        .filter_map(|(name, value)| Some((name.to_owned(), value?.clone())));
    said.collect()
}

fn file(word: &str, exhibit: &Exhibit) -> String {
    format!("{word}: {}, SHA-256 {}", exhibit.file, exhibit.sha256)
}
