//! The list of damaged places: neighbours of a kind become one, and the list has an end.

use super::recording::{Damage, DamageKind};
use crate::tuning::intake::MOST_DAMAGE_LISTED;
use crate::units::Seconds;

/// Collects damage in the order of time.
#[derive(Debug, Default)]
pub(super) struct DamageList(Vec<Damage>);

impl DamageList {
    /// Notes one place; one that touches the place before it makes that longer.
    pub fn note(&mut self, damage: Damage) {
        let full = self.0.len() >= MOST_DAMAGE_LISTED;
        let same = self
            .0
            .iter_mut()
            .rev()
            .find(|earlier| earlier.kind == damage.kind);
        match same {
            Some(earlier) if full || touches(earlier, &damage) => {
                earlier.lost = earlier.lost + damage.lost;
            }
            _ => self.0.push(damage),
        }
    }

    /// The list.
    pub fn take(self) -> Vec<Damage> {
        self.0
    }
}

fn touches(earlier: &Damage, later: &Damage) -> bool {
    const SAME_PLACE: Seconds = Seconds(1e-4);
    later.kind != DamageKind::ShortLength
        && (later.at - (earlier.at + earlier.lost)).0.abs() <= SAME_PLACE.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Instant;

    fn bad(at: f64, lost: f64) -> Damage {
        Damage {
            at: Instant(at),
            lost: Seconds(lost),
            kind: DamageKind::BadPacket,
        }
    }

    #[test]
    fn neighbours_become_one_and_others_stay_apart() {
        let mut list = DamageList::default();
        list.note(bad(1.0, 0.02));
        list.note(bad(1.02, 0.02));
        list.note(bad(3.0, 0.02));
        let list = list.take();
        assert_eq!(list.len(), 2);
        assert!((list[0].lost.0 - 0.04).abs() < 1e-12);
    }

    #[test]
    fn the_list_ends_but_what_was_lost_is_still_counted() {
        let mut list = DamageList::default();
        for place in 0..3 * MOST_DAMAGE_LISTED {
            list.note(bad(place as f64, 0.5));
        }
        let list = list.take();
        let lost: f64 = list.iter().map(|damage| damage.lost.0).sum();
        assert_eq!(list.len(), MOST_DAMAGE_LISTED);
        assert!((lost - 1.5 * MOST_DAMAGE_LISTED as f64).abs() < 1e-6);
    }
}
