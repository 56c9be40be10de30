//! Drawings that explain: what sags in a flat foot.

use super::{Foot, LetterFacts};
use crate::document::{Block, Pictures};
use crate::words::say;
use figure::arch::{self, ArchWords};

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
