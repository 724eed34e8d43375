//! How far an analysis is, on the pages that wait for it.

use crate::desk::view::Analysis;
use maud::{Markup, html};

/// The script of pages that wait.
pub const SCRIPT: &str = "progress.js";
/// Seconds after which a browser without scripts looks again.
pub const LOOK_AGAIN_S: u32 = 8;

/// Whether it is still to come.
pub const fn is_pending(analysis: &Analysis) -> bool {
    matches!(
        analysis,
        Analysis::Waiting { .. } | Analysis::Working { .. }
    )
}

/// The bar with its words; the script asks at `state`. `whose` is what others are ahead of.
pub fn bar(analysis: &Analysis, state: &str, whose: &str) -> Markup {
    let (words, share) = match analysis {
        Analysis::Waiting { ahead: 0 } => ("It is next.".into(), None),
        Analysis::Waiting { ahead: 1 } => (format!("One recording is ahead of {whose}."), None),
        Analysis::Waiting { ahead } => (format!("{ahead} recordings are ahead of {whose}."), None),
        Analysis::Working { share: None, .. } => ("Listening to it now.".into(), None),
        Analysis::Working {
            share: Some(share),
            estimated,
        } => {
            let share = share.clamp(0.0, 1.0);
            let percent = (100.0 * share).floor();
            let about = if *estimated { "about " } else { "" };
            (
                format!("Listening to it now: {about}{percent} %."),
                Some(share),
            )
        }
        Analysis::Failed { .. } | Analysis::Done { .. } => return html! {},
    };
    let value = share.map(|share| format!("{share:.3}"));
    html! {
        div.progress data-state=(state) data-whose=(whose) {
            progress max="1" value=[value] aria-label="Analysis" {}
            p.lead.progress-words role="status" { (words) }
        }
    }
}
