//! What was found on each foot, side by side, and what nobody looked at.

use super::measured::{self, Place};
use super::{Foot, words};
use crate::document::Block;
use crate::words::{Words, say, slug};
use exam::score::{POSTURE_ITEMS, posture_total};
use exam::{Question, Sheet};
use quantity::with_minus_signs;
use std::collections::BTreeSet;
use terms::Side;

/// Questions without which no stage and no step of care can be judged; told when nobody looked.
const MATTERS: [&str; 12] = [
    "pain_inner_ankle",
    "heel_line",
    "heel_rise_single",
    "heel_rise_turns_in",
    "heel_corrects",
    "forefoot_varus",
    "tp_strength",
    "dorsiflexion_straight_deg",
    "pulse_dorsal",
    "pulse_tibial",
    "filament_great_toe",
    "skin_ulcer",
];

/// The same for a child's foot.
const MATTERS_CHILD: [&str; 7] = [
    "pain_inner_ankle",
    "arch_standing",
    "arch_on_tiptoe",
    "heel_line",
    "dorsiflexion_straight_deg",
    "subtalar_motion",
    "skin_ulcer",
];

/// Left first, whatever the order in which the feet came.
pub fn in_order<'a, 'f>(feet: &'f [Foot<'a>]) -> Vec<&'f Foot<'a>> {
    let mut out: Vec<&Foot<'_>> = feet.iter().collect();
    out.sort_by_key(|f| f.side);
    out
}

fn cell(w: &Words, foot: &Foot<'_>, question: &Question) -> Option<String> {
    measured::answer(w, foot, question, Place::Alone)
}

/// Findings of all feet in one table; `None` where nothing was recorded.
pub fn table(w: &Words, feet: &[Foot<'_>]) -> Option<Block> {
    let feet = in_order(feet);
    let mut rows: Vec<Vec<String>> = Vec::new();
    let mut posture_told = false;
    for (section, questions) in exam::sections(Sheet::Foot) {
        let mut of: Vec<Vec<String>> = Vec::new();
        for q in questions {
            if POSTURE_ITEMS.contains(&q.key) {
                if !posture_told {
                    posture_told = true;
                    of.extend(posture(w, &feet));
                }
                continue;
            }
            let cells: Vec<Option<String>> = feet.iter().map(|f| cell(w, f, q)).collect();
            if cells.iter().any(Option::is_some) {
                let open = || say!(w, "not-looked-at");
                let mut row = vec![words::question(w, q)];
                row.extend(cells.into_iter().map(|c| c.unwrap_or_else(open)));
                of.push(row);
            }
        }
        if !of.is_empty() {
            rows.push(vec![self::section(w, section)]);
            rows.extend(of);
        }
    }
    if rows.is_empty() {
        return None;
    }
    let mut header = vec![say!(w, "head-looked-at")];
    header.extend(feet.iter().map(|f| words::capital(&words::side(w, f.side))));
    Some(Block::Table {
        caption: say!(w, "examination-caption"),
        header,
        rows,
    })
}

/// A part of the form.
pub fn section(w: &Words, section: &str) -> String {
    w.known(&format!("section-{}", slug(section)), section)
}

/// One row for the six looks at the standing foot.
fn posture(w: &Words, feet: &[&Foot<'_>]) -> Option<Vec<String>> {
    let totals: Vec<_> = feet.iter().map(|f| posture_total(f.exam)).collect();
    if totals.iter().all(|t| t.answered == 0) {
        return None;
    }
    let mut row = vec![say!(w, "posture-sum")];
    row.extend(totals.iter().map(|t| match t.exact() {
        Some(sum) if t.answered == t.items => with_minus_signs(&format!("{sum:+}")),
        _ => w.said(&with_minus_signs(&t.words())),
    }));
    Some(row)
}

/// Questions that matter and that nobody answered, in the words of the form, for each foot.
pub fn not_looked_at(w: &Words, feet: &[Foot<'_>], child: bool) -> Vec<(Side, Vec<String>)> {
    let core: &[&str] = if child { &MATTERS_CHILD } else { &MATTERS };
    in_order(feet)
        .into_iter()
        .map(|foot| {
            let mut keys: BTreeSet<&str> = core.iter().copied().collect();
            if let Some(proposal) = foot.proposal {
                let open = proposal.not_recorded.iter().flat_map(|c| &c.ask);
                keys.extend(open.map(String::as_str));
            }
            // In the order of the form, so that the list can be worked through.
            let open = exam::form()
                .iter()
                .filter(|q| q.sheet == Sheet::Foot && keys.contains(q.key))
                .filter(|q| foot.exam.get(q.key).is_none())
                .map(|q| words::small(&words::question(w, q)));
            (foot.side, open.collect())
        })
        .filter(|(_, open): &(Side, Vec<String>)| !open.is_empty())
        .collect()
}
