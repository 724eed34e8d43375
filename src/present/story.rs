//! One check told in order: what it is, the numbers, what speaks for it, doubts, the next step,
//! cautions. Terminal and page differ in dress only.

use crate::cause::verdict::{Cause, Verdict};
use crate::check::Check;
use crate::present::facts::Facts;
use crate::present::wording::aspect;
use crate::present::wording::cautions::{self, Caution};
use crate::present::wording::evidence::{self, Weight};
use crate::present::wording::figures::{self, Figure};
use crate::present::wording::{causes, listening, next_step, page, verdict};
use crate::tuning::present as limit;

/// Everything said about one check.
#[derive(Debug, Clone, PartialEq)]
pub struct Story {
    /// One line that stands above everything else.
    pub headline: &'static str,
    /// The trade's word for it.
    pub trade_word: &'static str,
    /// How sure, in words and figures.
    pub certainty: String,
    /// The verdict in plain words.
    pub paragraph: String,
    /// Measured numbers.
    pub figures: Vec<Figure>,
    /// Stretches judged each for itself, where there are several.
    pub episodes: Vec<String>,
    /// Heading of the evidence: for or against what.
    pub evidence_heading: &'static str,
    /// What it rests on, weightiest first; where nothing decides, the first few measurements.
    pub evidence: Vec<EvidenceLine>,
    /// The measurements that decide nothing.
    pub undecided: Vec<EvidenceLine>,
    /// All causes with their probability, likeliest first.
    pub causes: Vec<(&'static str, f64)>,
    /// What may be wrong with the recording or the conclusion.
    pub doubts: Vec<String>,
    /// The one thing to do next.
    pub next_step: &'static str,
    /// Cautions, where work is suggested.
    pub cautions: Vec<Caution>,
    /// The file in one line.
    pub recording: String,
}

/// One item of evidence in words, with the weight of all that tells the same.
#[derive(Debug, Clone, PartialEq)]
pub struct EvidenceLine {
    /// How heavily it weighs.
    pub weight: Weight,
    /// log10 of the odds behind the weight.
    pub log10_odds: f64,
    /// What was measured.
    pub text: String,
}

/// Tells it.
#[must_use]
pub fn tell(check: &Check) -> Story {
    let facts = Facts::of(check);
    let judged = &check.verdict;
    let clips = check.recording.clips.as_ref();
    let (evidence, undecided) = weighed(judged);
    Story {
        headline: causes::headline(judged.label),
        trade_word: causes::trade_word(judged.label),
        certainty: verdict::certainty(judged),
        paragraph: verdict::paragraph(judged, &facts),
        figures: figures::figures(check, &facts),
        episodes: figures::episodes(check),
        evidence_heading: page::evidence_heading(judged.label),
        evidence,
        undecided,
        causes: ranked(&judged.posterior),
        doubts: (check
            .timeline
            .listening
            .warnings
            .iter()
            .map(listening::warning))
        .chain(judged.notes.iter().map(verdict::note))
        .chain(clips.and_then(|c| listening::skipped_clips(&c.skipped)))
        .collect(),
        next_step: next_step::sentence(judged.next_step),
        cautions: cautions::needed(judged.label, judged.next_step),
        recording: figures::recording(check),
    }
}

/// Evidence that decides something, and the rest.
fn weighed(judged: &Verdict) -> (Vec<EvidenceLine>, Vec<EvidenceLine>) {
    let items = aspect::gathered(&judged.evidence);
    let lines = items.iter().map(|item| EvidenceLine {
        weight: evidence::weight(item.log10_odds),
        log10_odds: item.log10_odds,
        text: evidence::sentence(item),
    });
    let (mut deciding, mut rest): (Vec<_>, Vec<_>) =
        lines.partition(|line| line.weight != Weight::Undecided);
    if deciding.is_empty() {
        deciding.extend(rest.drain(..limit::SHOWN_ANYWAY.min(rest.len())));
    }
    (deciding, rest)
}

/// Causes by falling probability; equal ones keep their fixed order.
fn ranked(posterior: &[f64; 10]) -> Vec<(&'static str, f64)> {
    let mut list: Vec<_> = Cause::ALL
        .into_iter()
        .zip(posterior)
        .map(|(cause, &p)| (causes::name(cause), p))
        .collect();
    list.sort_by(|a, b| b.1.total_cmp(&a.1));
    list
}
