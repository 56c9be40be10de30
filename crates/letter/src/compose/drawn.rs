//! Drawings that explain, what sags in a flat foot; and the words that stand on the drawing over a film.

use super::{Foot, LetterFacts};
use crate::document::{Block, Pictures};
use crate::words::{Words, say};
use figure::OverlayModel;
use figure::arch::{self, ArchWords};
use knowledge::Knowledge;
use terms::MeasureKey;

const WHAT_SAGS: &str = "what-sags.svg";

/// The drawing of a sound and a sagging arch, where a sunken arch was found on a foot.
pub fn what_sags(facts: &LetterFacts<'_>, pictures: &mut Pictures) -> Option<Block> {
    if !facts.feet.iter().any(sags) {
        return None;
    }
    let w = facts.words;
    let words = ArchWords {
        title: say!(w, "sags-alt"),
        sound: say!(w, "sags-sound"),
        sagging: say!(w, "sags-sagging"),
        tendon: say!(w, "sags-tendon"),
        arch: say!(w, "sags-arch"),
    };
    pictures.insert(WHAT_SAGS.into(), arch::side_view(&words).into_bytes());
    Some(Block::Figure {
        picture: WHAT_SAGS.into(),
        alt: words.title,
        caption: say!(w, "sags-caption"),
        width_percent: 62.0,
    })
}

/// Names and values over a film, in the language of the paper that it stands on.
pub fn overlay_in(w: &Words, knowledge: &Knowledge, model: &mut OverlayModel) {
    for figure in &mut model.figures {
        let measure = MeasureKey::new(&figure.key)
            .ok()
            .and_then(|key| knowledge.measure(&key));
        if let Some(measure) = measure {
            figure.name = super::words::measure_short(w, measure);
        }
        figure.value = w.figures(&figure.value);
    }
}

/// Only what was seen: an arch found low, or a stage that was decided on or worked out.
fn sags(foot: &Foot<'_>) -> bool {
    let low = matches!(
        foot.exam.choice("arch_standing").value(),
        Some("lowered" | "flat")
    );
    let stage = foot.stage.and_then(|s| s.tendon.as_ref()).is_some_and(|t| {
        t.holding()
            .iter()
            .any(|k| k.starts_with("II") || *k == "IV")
    });
    let decided = foot.decided.is_some_and(|d| d.trim().starts_with("II"));
    low || stage || decided
}
