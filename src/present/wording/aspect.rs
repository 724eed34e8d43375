//! Measurements that tell the same thing in several ways are shown as one: each alone says little,
//! because the others have said it already.

use crate::cause::evidence::{Evidence, EvidenceKind};

/// What a measurement is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Aspect {
    ComingBack,
    Silences,
    Beat,
    Tails,
    Hold,
    UserNoise,
    TailNoise,
    Overs,
    Squelch,
    Clearness,
    Sound,
    Stated,
}

const fn aspect(kind: EvidenceKind) -> Aspect {
    match kind {
        EvidenceKind::CameBackFraction | EvidenceKind::CameBack | EvidenceKind::LongestRun => {
            Aspect::ComingBack
        }
        EvidenceKind::GapRegularity
        | EvidenceKind::GapLength
        | EvidenceKind::GapScatter
        | EvidenceKind::GapLongest => Aspect::Silences,
        EvidenceKind::OnRegularity
        | EvidenceKind::PeriodRegularity
        | EvidenceKind::OnLength
        | EvidenceKind::EvenDrops
        | EvidenceKind::EvenDropsSpread
        | EvidenceKind::DropSpacing => Aspect::Beat,
        EvidenceKind::TailMatch
        | EvidenceKind::TailLength
        | EvidenceKind::TailRegularity
        | EvidenceKind::CutWithoutTail
        | EvidenceKind::TailOfSpacing
        | EvidenceKind::QuietEndings => Aspect::Tails,
        EvidenceKind::BlipLength | EvidenceKind::BlipRegularity => Aspect::Hold,
        EvidenceKind::UserNoise
        | EvidenceKind::NoiseSwings
        | EvidenceKind::Quieting
        | EvidenceKind::Crackle => Aspect::UserNoise,
        EvidenceKind::TailNoise | EvidenceKind::TailUnrest => Aspect::TailNoise,
        EvidenceKind::LongestOver
        | EvidenceKind::LongestAlike
        | EvidenceKind::Modulated
        | EvidenceKind::LossesEach
        | EvidenceKind::CourtesyTones
        | EvidenceKind::OnAirShare
        | EvidenceKind::Tones => Aspect::Overs,
        EvidenceKind::RepeaterBursts
        | EvidenceKind::RepeaterLikeness
        | EvidenceKind::ListenerBursts
        | EvidenceKind::NoiseShare => Aspect::Squelch,
        EvidenceKind::KeyUpsSure | EvidenceKind::LossesSure | EvidenceKind::DropsSure => {
            Aspect::Clearness
        }
        EvidenceKind::StatedFact => Aspect::Stated,
        EvidenceKind::SoundsLike(_) => Aspect::Sound,
    }
}

/// One item an aspect, weightiest first: the odds of all its items together, told by the one that adds
/// most to their side.
#[must_use]
pub fn gathered(evidence: &[Evidence]) -> Vec<Evidence> {
    let mut aspects: Vec<(Aspect, Vec<&Evidence>)> = Vec::new();
    for item in evidence {
        let own = aspect(item.kind);
        match aspects.iter_mut().find(|(other, _)| *other == own) {
            Some((_, items)) => items.push(item),
            None => aspects.push((own, vec![item])),
        }
    }
    let mut heads: Vec<Evidence> = aspects
        .into_iter()
        .filter_map(|(_, items)| {
            let sum: f64 = items.iter().map(|item| item.log10_odds).sum();
            let towards = |item: &Evidence| item.log10_odds * sum.signum();
            let head = items
                .into_iter()
                .max_by(|a, b| towards(a).total_cmp(&towards(b)))?;
            Some(Evidence {
                log10_odds: sum,
                ..*head
            })
        })
        .collect();
    heads.sort_by(|a, b| b.log10_odds.abs().total_cmp(&a.log10_odds.abs()));
    heads
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_tells_the_same_is_one_item_with_all_its_weight() {
        let item = |kind, log10_odds| Evidence {
            kind,
            value: 1.0,
            log10_odds,
        };
        let heads = gathered(&[
            item(EvidenceKind::BlipLength, 0.5),
            item(EvidenceKind::GapLength, -0.2),
            item(EvidenceKind::GapRegularity, 0.6),
            item(EvidenceKind::GapScatter, 0.4),
        ]);
        let shown: Vec<_> = heads.iter().map(|h| h.kind).collect();
        assert_eq!(
            shown,
            [EvidenceKind::GapRegularity, EvidenceKind::BlipLength]
        );
        assert!((heads[0].log10_odds - 0.8).abs() < 1e-12);
    }
}
